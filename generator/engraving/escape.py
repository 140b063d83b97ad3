"""The only door through which a person's words enter LilyPond text.

LilyPond source is a programming language: a title that closes its own quotes can run any command. So
whatever a person wrote (title, name, note, syllable) passes through `ly_string`, which supplies the quotes
itself, and templates print nothing but `Ly` and whole numbers (`finalize`).

Rules (LilyPond Notation Reference, "Special characters" and Guile's string syntax; both agree on these two):
inside a quoted string only the backslash and the double quote mean something, so these are the two escaped,
the backslash first. `#`, `$`, `%`, `{` and `}` are plain characters there.
"""

import re

from generator.files.text import clean


class Ly(str):
    """Text that already is LilyPond source. Joining or slicing gives a plain, refused `str`."""

    __slots__ = ()


def ly_string(text: str, limit: int = 200) -> Ly:
    """The text as one LilyPond (and Scheme) string, with its quotes.

    Args:
        text: anything a person typed.
        limit: the most characters kept, see `clean`.
    """
    return Ly('"' + clean(text, limit).replace("\\", "\\\\").replace('"', '\\"') + '"')


def syllable_string(text: str, limit: int = 40) -> Ly:
    """A sung or tongued syllable as one LilyPond string.

    Lyrics give `~` (tie), `_` (extender or skip) and `--` (hyphen) a meaning of their own, the first even
    inside quotes, so they are left out.

    Args:
        text: the syllable as typed.
        limit: the most characters kept, see `clean`.
    """
    return ly_string(re.sub(r"-{2,}", "", re.sub(r"[~_]", "", clean(text, limit))), limit)


def finalize(value: object) -> Ly | int:
    """Let only LilyPond source and whole numbers out of a template; meant for Jinja's `finalize`.

    Args:
        value: what an expression in a template came to.

    Returns:
        The value itself.

    Raises:
        TypeError: for everything else, above all plain text, which would be a way past the quotes.
    """
    if isinstance(value, Ly) or (isinstance(value, int) and not isinstance(value, bool)):
        return value
    shown = str(value)[:40]  # an undefined template name raises its own, better error here
    raise TypeError(f"a template may print only Ly and int, not {type(value).__name__} {shown!r}")
