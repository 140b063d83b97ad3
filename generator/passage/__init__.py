"""A player's own music: read it from a file or a typed line, keep it, and make the drills a teacher would write."""
