"""Everything that has a name, read from shared/*.toml."""
