"""The fields of a TOML text that a person wrote, or in one line why it is none."""

import re
import tomllib
from typing import Any

from generator.errors import BadFileError, clipped

MOST_PARTS = 16
"""Parts of one dotted key. Ours have two; reading one of thousands takes the parser minutes."""

_PART = r"""(?:[\w-]+|"[^"\n]*"|'[^'\n]*')"""
_LONG_KEY = re.compile(rf"(?:^|[\[{{,])[ \t]*{_PART}(?:[ \t]*\.[ \t]*{_PART}){{{MOST_PARTS}}}", re.MULTILINE)
# The fewest digits at which Python may be set to refuse a number (sys.int_info.str_digits_check_threshold).
_LONG_NUMBER = re.compile(r"[0-9_]{640}")
_AT_LINE = re.compile(r" \(at line (\d+), column (\d+)\)")


def toml_fields(name: str, text: str) -> dict[str, Any]:
    """Read a TOML text.

    Args:
        name: of the file, for messages.
        text: its content.

    Raises:
        BadFileError: it is not TOML, or holds what no field of ours can be; names the line.
    """
    long = _LONG_KEY.search(text)
    if long:
        raise BadFileError(
            f"{_at(name, text, long.end())}: a name of more than {MOST_PARTS} parts, which no field has"
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise BadFileError(_not_toml(name, text, str(error))) from None
    except RecursionError:
        deepest = re.search(r"[\[{][\s\[{]{100}", text)
        place = _at(name, text, deepest.start() if deepest else 0)
        raise BadFileError(
            f"{place}: lists or tables stand inside one another too deeply; no field needs that"
        ) from None
    except ValueError:  # Python's own limit on the digits of a number
        number = _LONG_NUMBER.search(text)
        place = _at(name, text, number.start() if number else 0)
        raise BadFileError(
            f"{place}: a number has too many digits; no field takes one of more than four"
        ) from None


def _at(name: str, text: str, place: int) -> str:
    line = text.count("\n", 0, place) + 1
    return f"{name}, line {line}"


def _not_toml(name: str, text: str, reason: str) -> str:
    """The parser's words with the line in front; a broken end is the last line."""
    match = _AT_LINE.search(reason)
    line = int(match[1]) if match else max(1, len(text.rstrip("\n").split("\n")))
    words = clipped(_AT_LINE.sub("", reason).removesuffix(" (at end of document)"), 160)
    return f"{name}, line {line}: this is no TOML: {words[:1].lower()}{words[1:]}"
