"""A person's words as one printable line, and as a file name that every system allows."""

import re
import unicodedata

ELLIPSIS = "\u2026"
_JOINERS = "\u200c\u200d"  # zero-width (non-)joiner: several scripts and emoji need them
WINDOWS_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", "conin", "conout", "clock"}
    | {f"{port}{number}" for port in ("com", "lpt") for number in range(10)}
)
_BARE = re.compile(r"[a-z0-9][a-z0-9-]{0,127}\.[a-z0-9]{1,16}")
_SIGNS = str.maketrans(
    {
        "\u266d": "-flat ",
        "\u266f": "-sharp ",
        "\u266e": "-natural ",
        "\U0001d12b": "-double-flat ",
        "\U0001d12a": "-double-sharp ",
        "\u00e6": "ae",
        "\u0153": "oe",
        "\u00f8": "o",
        "\u0142": "l",
        "\u0111": "d",
        "\u00f0": "d",
        "\u00fe": "th",
        "\u0131": "i",
    }
)

# What a spreadsheet takes for the beginning of a formula, full-width signs included, at the beginning of a cell or
# where another separator than ours would begin one; and our own guard, so that it can be told from a person's.
_FORMULA = re.compile("(^|[;\\t\\r\\n])(\\s*)(['=+@\uff1d\uff0b\uff0d\uff20-])")
_BLANK = ("\t", "\r")
_GUARDED = re.compile("(^|[;\\t\\r\\n])(\\s*)'(['=+@\uff1d\uff0b\uff0d\uff20-])")


def _is_printable(character: str) -> bool:
    """Whether a character other than a space may stand on a page."""
    category = unicodedata.category(character)
    if (
        category == "Cf"
    ):  # direction overrides, byte order mark, invisible marks; Arabic number signs do print
        return character in _JOINERS or ("\u0600" <= character <= "\u08e2" and character != "\u061c")
    return category[0] != "C"


def clean(text: str, limit: int = 200) -> str:
    """One printable line of at most `limit` characters.

    Composed (NFC); control, direction, surrogate, private and unassigned characters dropped; every run of
    white space, line breaks included, becomes one space; what is too long ends in an ellipsis. Cleaning a
    second time changes nothing.

    Args:
        text: anything a person typed.
        limit: the most characters kept, at least 1.
    """
    if not (text.isascii() and text.isprintable()):
        text = "".join(c for c in text if c.isspace() or _is_printable(c))
        text = unicodedata.normalize("NFC", text)
    text = " ".join(text.split())
    if len(text) <= limit:
        return text
    end = limit - 1
    while end > max(0, limit - 10) and (unicodedata.combining(text[end]) or text[end - 1] == "\u200d"):
        end -= 1  # do not part a letter from its accent, nor an emoji from its other half
    return text[:end].rstrip() + ELLIPSIS


def guarded_cell(text: str) -> str:
    """Text for a cell of a table, with an apostrophe before whatever a spreadsheet would take for a formula."""
    guarded = _FORMULA.sub(r"\1\2'\3", text)
    return f"'{guarded}" if guarded.startswith(_BLANK) else guarded


def unguarded_cell(text: str) -> str:
    """The text that `guarded_cell` was given."""
    return _GUARDED.sub(r"\1\2\3", text[1:] if text[:1] == "'" and text[1:].startswith(_BLANK) else text)


def slug(text: str, limit: int = 60) -> str:
    """A file name stem of `[a-z0-9-]`, safe on every system.

    Never empty (then it is "sheet"), never begins or ends with a hyphen, never a device name of Windows.
    Accidentals are spelt out: "B♭ major" gives "b-flat-major", "F# minor" gives "f-sharp-minor".

    Args:
        text: anything a person typed.
        limit: the most characters kept, at least 8.
    """
    line = re.sub(r"(?<![^\W\d_])([A-Ga-g])(#+)", _spell_sharps, clean(text, limit=1000))
    line = unicodedata.normalize("NFKD", line.casefold().translate(_SIGNS))
    line = re.sub(r"['\u2019]", "", "".join(c for c in line if not unicodedata.combining(c)))
    stem = re.sub(r"[^a-z0-9]+", "-", line).strip("-")[:limit].rstrip("-")
    if stem in WINDOWS_DEVICES:
        return f"x-{stem}"
    return stem or "sheet"


def is_bare_name(name: str) -> bool:
    """Whether a file name leads nowhere but to a file of one folder, on every system.

    Letters a-z, digits and hyphens, a dot, and an ending of letters and digits: no separators, no dots that climb, no
    device of Windows.

    >>> [is_bare_name(name) for name in ("sheet-2.png", "../x.pdf", "c:x.pdf", "nul.pdf")]
    [True, False, False, False]
    """
    return _BARE.fullmatch(name) is not None and name.partition(".")[0] not in WINDOWS_DEVICES


def _spell_sharps(found: re.Match[str]) -> str:
    return found[1] + "-sharp" * len(found[2]) + " "
