"""Files that people write: plans, required lists, sections and rosters."""
