"""Exercises become files: a sheet, a book, cropped pictures, a section's handout."""
