"""The outside of the program: where data lies, files placed whole or not at all, a person's words made plain."""
