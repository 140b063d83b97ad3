"""What a section plays, before paper: turns for everyone, pages for every chair, warm-ups, and their words."""
