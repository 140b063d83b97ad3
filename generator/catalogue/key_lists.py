"""Lists of concert keys by name, as in "usual band keys, major in thirds"."""

import tomllib
from dataclasses import dataclass
from pathlib import Path

from generator.catalogue.names import LONGEST_NAME, fold, words_of
from generator.errors import BadFileError, OutputError
from generator.theory.pitch import NoteName


@dataclass(frozen=True, slots=True)
class KeyList:
    """A row of shared/key_lists.toml.

    Attributes:
        name: what it is called.
        keys: concert keys in order.
        source: where the list comes from.
    """

    name: str
    keys: tuple[NoteName, ...]
    source: str
    aliases: tuple[str, ...] = ()


def load_key_lists(folder: Path) -> tuple[KeyList, ...]:
    """Read the lists.

    Raises:
        BadFileError: a row has mistakes.
        OutputError: the file is missing.
    """
    path = folder / "key_lists.toml"
    try:
        rows = tomllib.loads(path.read_text("utf-8")).get("list", [])
        return tuple(
            KeyList(
                r["name"],
                tuple(NoteName.parse(k) for k in r["keys"].split()),
                r["source"],
                tuple(r["aliases"]),
            )
            for r in rows
        )
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (KeyError, TypeError, tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None


def spelled_out(phrase: str, lists: tuple[KeyList, ...]) -> str:
    """A phrase with the name of a list, at its beginning, replaced by its keys; any other phrase as it is.

    >>> major = KeyList("band keys", (NoteName.parse("Bb"), NoteName.parse("F")), "")
    >>> spelled_out("band keys, major in thirds", (major,))
    'B-flat and F, major in thirds'
    """
    # A name of a list stands at the beginning; a phrase that is too long is refused when it is read.
    words = words_of(phrase[:LONGEST_NAME])
    keys = tuple(word.key for word in words)
    skip = 1 if keys[:1] == ("concert",) else 0
    found: tuple[int, KeyList] | None = None
    for row in lists:
        for name in (row.name, *row.aliases):
            size = len(fold(name))
            if keys[skip : skip + size] == fold(name) and (found is None or size > found[0]):
                found = size, row
    if found is None:
        return phrase
    size, row = found
    last = words[skip + size - 1]
    names = [key.words for key in row.keys]
    head = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    return head + phrase[last.place - 1 + len(last.text) :]
