"""Names under which older logs have lines that are written otherwise today.

A dominant seventh was "G dominant seventh" in the key of G and "G major-minor seventh" on the root; today they are
"dominant seventh of G" and "dominant seventh on G", and some figures have names that players would say. A log is never
rewritten, so old names are read as today's.
"""

import re
from functools import cache

_KEY = r"[A-G](?:-flat|-sharp| double-flat| double-sharp)?"
_HEADS = (
    ("{key} dominant seventh", "dominant seventh of {key}"),
    ("{key} major-minor seventh", "dominant seventh on {key}"),
    ("octatonic, half-whole on {key}", "half-whole octatonic on {key}"),
    ("octatonic, whole-half on {key}", "whole-half octatonic on {key}"),
    ("chromatic on {key} in long tones outward", "long tones outward from {key}"),
)
"""Before and today, at the beginning of a name."""
_FIGURES = (
    (" in wheel pattern", " in turning figures"),
    (" in interlocking", " in interlocking thirds"),
    (" in straight with a dip", " with a dip"),
    (" in intervals over a drone", ", intervals over a drone"),
)
"""The same after key and form."""
_TELLING = {max(old.split("{key}"), key=len).strip() for old, _ in (*_HEADS, *_FIGURES)}
_SOME = re.compile("|".join(map(re.escape, sorted(_TELLING))))


def may_be_former(text: str) -> bool:
    """Whether a text holds words that only older names have; quick, for the many that do not.

    >>> may_be_former("flute: G dominant seventh"), may_be_former("flute: G major")
    (True, False)
    """
    return _SOME.search(text) is not None


def renamed(name: str) -> str:
    """The name of an exercise as it is written today.

    >>> renamed("G dominant seventh in thirds"), renamed("B-flat major-minor seventh, one octave")
    ('dominant seventh of G in thirds', 'dominant seventh on B-flat, one octave')
    >>> renamed("dominant seventh of G"), renamed("G major in wheel pattern, two octaves")
    ('dominant seventh of G', 'G major in turning figures, two octaves')
    """
    return _changed(name, backwards=False) if may_be_former(name) else name


def former(name: str) -> str:
    """The name that an older log has for an exercise, or the name itself where nothing changed.

    >>> former("dominant seventh of G in thirds"), former("dominant seventh on B-flat"), former("G major")
    ('G dominant seventh in thirds', 'B-flat major-minor seventh', 'G major')
    """
    return _changed(name, backwards=True)


def _changed(name: str, *, backwards: bool) -> str:
    for pattern, new in _patterns(backwards=backwards):
        match = pattern.search(name)
        if match:
            said = new.replace("{key}", match["key"]) if "{key}" in new else new
            name = name[: match.start()] + said + name[match.end() :]
    return name


@cache
def _patterns(*, backwards: bool) -> tuple[tuple[re.Pattern[str], str], ...]:
    found = []
    for start, end, rows in (("^", r"(?=$|,| in | with )", _HEADS), ("", r"(?=$|, )", _FIGURES)):
        for row in rows:
            old, new = reversed(row) if backwards else row
            key = re.escape(old).replace(re.escape("{key}"), f"(?P<key>{_KEY})")
            found.append((re.compile(f"{start}{key}{end}"), new))
    return tuple(found)
