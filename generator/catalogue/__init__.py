"""The names this program knows, read from shared/*.toml, and the phrase that uses them."""
