"""The command line: parse, read the clock, call a use case, print, map errors to exit codes.

What is written goes to standard output, one path a line; everything said to the person goes to standard error.
"""

from generator.cli.main import main

__all__ = ["main"]
