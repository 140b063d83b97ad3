"""The words of the phrase that name no row of music: clauses, words in haste, small words, and advice for refusals."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from generator.errors import BadFileError

KINDS = (
    "key set",
    "names",
    "direction",
    "half",
    "register",
    "inside",
    "articulation",
    "rhythm",
    "degree",
    "clef",
    "dynamic",
    "climb",
    "times",
    "bar times",
    "minor",
    "minor form",
    "relative",
    "modes",
)
Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Clause:
    """A row of shared/clauses.toml.

    Attributes:
        kind: what it settles, one of `KINDS`.
        value: what it settles it to.
        names: ways of saying it; the first is the one a phrase is written with.
        about: what it means, in a list for people; "" where it is read but not listed.
        example: a phrase that holds it.
    """

    kind: str
    value: Any
    names: tuple[str, ...]
    about: str = ""
    example: str = ""


@dataclass(frozen=True, slots=True)
class Advice:
    """A row of shared/advice.toml: what people ask for that a phrase cannot say.

    Attributes:
        names: how they ask for it.
        why: what is said about it.
        offers: whole phrases that work; ``{rest}`` stands for the phrase without these words, ``{key}`` for the first
            key named, or C.
    """

    names: tuple[str, ...]
    why: str
    offers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SmallWords:
    """Words that say little.

    Attributes:
        short: words in haste, and what each stands for.
        between: skipped where something follows.
        anywhere: skipped everywhere.
    """

    short: Mapping[str, str]
    between: frozenset[str]
    anywhere: frozenset[str]


def clause_rows(data: Row) -> tuple[Clause, ...]:
    """The clauses of a file.

    Raises:
        BadFileError: the first bad row.
    """
    found: list[Clause] = []
    for number, row in enumerate(data.get("clause", []), 1):
        where = f"clauses.toml, row {number}"
        extra = sorted(set(row) - {"kind", "value", "names", "about", "example"})
        if extra:
            raise BadFileError(f"{where}: unknown field {extra[0]!r}")
        if row.get("kind") not in KINDS:
            raise BadFileError(f"{where}: kind is {', '.join(KINDS)}, not {row.get('kind')!r}")
        if "value" not in row or not _words(row.get("names")):
            raise BadFileError(f"{where}: needs a value and a list of names")
        found.append(
            Clause(
                row["kind"],
                row["value"],
                tuple(row["names"]),
                str(row.get("about", "")),
                str(row.get("example", "")),
            )
        )
    return tuple(found)


def small_words(data: Row) -> SmallWords:
    """The small words of a file.

    Raises:
        BadFileError: the first bad row.
    """
    places: dict[str, list[str]] = {"between": [], "anywhere": []}
    for number, row in enumerate(data.get("small", []), 1):
        if row.get("where") not in places or not _words(row.get("words")):
            raise BadFileError(
                f"words.toml, small {number}: where is between or anywhere, words a list of words"
            )
        places[row["where"]] += row["words"]
    short: dict[str, str] = {}
    for number, row in enumerate(data.get("short", []), 1):
        if set(row) != {"word", "means"} or not _words([*row.values()]):
            raise BadFileError(f"words.toml, short {number}: needs a word and what it means")
        short[row["word"]] = row["means"]
    return SmallWords(short, frozenset(places["between"]), frozenset(places["anywhere"]))


def advice_rows(data: Row) -> tuple[Advice, ...]:
    """The advice of a file.

    Raises:
        BadFileError: the first bad row.
    """
    found: list[Advice] = []
    for number, row in enumerate(data.get("advice", []), 1):
        if set(row) != {"names", "why", "offers"} or not _words(row["names"]) or not _words(row["offers"]):
            raise BadFileError(f"advice.toml, row {number}: needs names, why and offers, and nothing else")
        found.append(Advice(tuple(row["names"]), str(row["why"]), tuple(row["offers"])))
    return tuple(found)


def _words(words: object) -> bool:
    return isinstance(words, list) and bool(words) and all(isinstance(w, str) and w.strip() for w in words)
