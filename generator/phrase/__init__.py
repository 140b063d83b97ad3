"""The language of a request: reading a phrase, writing one, and expanding it to exercises."""
