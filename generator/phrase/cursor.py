"""A place in the words of a phrase, and the parts read so far: what the readers of keys, tempi and names share."""

from typing import Any

from generator.catalogue.names import Word
from generator.catalogue.tables import Catalogue
from generator.errors import RequestError, shown
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.phrase.note_names import note_name, told
from generator.phrase.part import LISTED, Part
from generator.phrase.vocabulary import Term, Vocabulary, vocabulary_of
from generator.phrase.ways import Ways
from generator.phrase.words import phrase_words
from generator.theory.pitch import NoteName

AND, THEN = "and", "then"
_LINKS = {"and": AND, "plus": AND, "+": AND, "/": AND, "then": THEN}
_APART = (",", ";", ":", "(", "\n")
_ROW_OF_KEYS = 60  # words
NAMED = ("form", "minor", "relative")


class Cursor:
    """Words, where reading stands, and the parts.

    Attributes:
        words: of the phrase.
        at: index of the next word.
        parts: read so far; the last one is being read.
        link: how the next thing is joined to what came before: "and", "then", a comma, or "".
        part_link: how the part that is being read is joined to the one before.
        head_end: index after the last form or key.
        last_key: index after the last key.
        last_kind: kind of the last thing read.
        capitals: the last key was written with a capital.
        plain_mode: the last form said, where it was only "major" or "minor".
    """

    def __init__(self, text: str, catalogue: Catalogue, ways: Ways) -> None:
        self.text = text
        self.catalogue = catalogue
        self.ways = ways
        self.vocabulary: Vocabulary = vocabulary_of(catalogue)
        self.words: tuple[Word, ...] = phrase_words(text, self.vocabulary)
        self._known: dict[int, list[Term]] = {}
        self.at = 0
        self.parts: list[Part] = [Part()]
        self.link = self.part_link = ""
        self.head_end = self.last_key = -1
        self.last_kind = ""
        self.capitals = False
        self.plain_mode = ""

    @property
    def said(self) -> str:
        """The phrase as messages quote it."""
        return shown(self.text, 80)

    @property
    def part(self) -> Part:
        """The part that is being read."""
        return self.parts[-1]

    def _word(self, offset: int = 0) -> Word | None:
        """A word from here on, if there is one."""
        place = self.at + offset
        return self.words[place] if 0 <= place < len(self.words) else None

    def _key(self, offset: int = 0) -> str:
        """The same folded, or ""."""
        word = self._word(offset)
        return word.key if word is not None else ""

    def _stands(self, *keys: str) -> bool:
        """Whether these words stand here."""
        return tuple(w.key for w in self.words[self.at : self.at + len(keys)]) == keys

    def _terms(self, offset: int = 0) -> list[Term]:
        """Names that stand at a place, the longest first."""
        place = self.at + offset
        found = self._known.get(place)
        if found is None:
            found = self._known[place] = self.vocabulary.longest(self.words, place)
        return found

    def _term_of(self, kind: str, offset: int = 0) -> Term | None:
        """The longest name of a kind that stands at a place."""
        return next((term for term in self._terms(offset) if term.kind == kind), None)

    def _note(self, offset: int = 0) -> tuple[NoteName | None, int]:
        """The note name at a place, and how many words it takes."""
        return note_name(self.words, self.at + offset) if self._word(offset) is not None else (None, 0)

    @property
    def apart(self) -> bool:
        """Whether a comma or the like stands before the next word."""
        word = self._word()
        if word is None or self.at == 0:
            return False
        return any(sign in word.gap for sign in _APART) or (
            len(word.gap) > 2 and word.gap.strip(" ") in "-\u2013\u2014" and word.gap.strip() != ""
        )

    @property
    def linked(self) -> str:
        """How the next thing is joined to what came before."""
        return self.link or ("," if self.apart else "")

    def _joined(self) -> bool:
        """Read a small word that joins two things; they may end nothing."""
        if self.at + 1 >= len(self.words) or self.at == 0:
            return False
        here = _LINKS.get(self._key())
        if self._stands("followed", "by"):
            here, self.at = THEN, self.at + 1
        if here is None:
            return False
        self.link = THEN if THEN in (here, self.link) else AND
        self.at += 1
        return True

    def _took(self, kind: str, words: int) -> bool:
        """Go on after something that was read."""
        self.at += words
        self.link = ""
        self.last_kind = kind
        if kind in ("form", "key"):
            self.head_end = self.at
        return True

    @property
    def complete(self) -> bool:
        """Whether the part says what and in which key, or takes the key from the one before."""
        part = self.part
        named = part.form is not None or bool(part.relative) or part.arpeggio_of is not None
        return named and (part.has_keys or len(self.parts) > 1 or isinstance(part.form, Routine))

    def _open_part(self) -> Part:
        """Begin a new part."""
        self.part_link = self.link
        self.parts.append(Part())
        return self.part

    def _form_follows(self, offset: int = 0) -> bool:
        """Whether a form comes after one key, or several joined ones, at a place."""
        place = offset
        while place < offset + _ROW_OF_KEYS:
            name, used = self._note(place)
            if name is None:
                break
            place += used
            if self.vocabulary.symbol(self.words, self.at + place) is not None:
                return True
            terms = self._terms(place)
            if terms and terms[0].kind in NAMED:
                return True
            while self._key(place) in ("and", "/", "+"):
                place += 1
        return False

    def _set(self, kind: str, value: Any) -> None:  # noqa: ANN401
        """Settle something for the part that is being read.

        Raises:
            RequestError: it was settled otherwise before, and the two are not joined.
        """
        part = self.part
        if part.form is None and part.arpeggio_of is None and not part.relative:
            part.early.add(kind)
        if kind not in part.found:
            part.found[kind] = value
            return
        if kind == "rhythm" and (closer := _closer(part.found[kind], value)) is not None:
            part.found[kind] = closer
            return
        if kind in part.loose:
            part.loose.discard(kind)
            part.found[kind] = value
            return
        several = part.lists.get(kind, [part.found[kind]])
        if value in several:
            return
        closed = self.linked in (AND, THEN)
        if kind not in LISTED or not (closed or (self.linked and self.last_kind == kind)):
            raise contradiction(self.said, kind, several[-1], value)
        part.lists[kind] = [*several, value]
        if closed or kind == "figure" or len(part.lists[kind]) > 2:
            part.open_lists.discard(kind)
        else:
            part.open_lists.add(kind)


def _closer(one: Any, other: Any) -> Any:  # noqa: ANN401
    """The rhythm that says more, where the other only leaves out its metre: eighths, in seven-eight."""
    if (
        isinstance(one, Rhythm)
        and isinstance(other, Rhythm)
        and (one.metre, one.cell) == (other.metre, other.cell)
    ):
        return one if one.feel else other  # eighths, swung
    names = [str(getattr(row, "name", "")) for row in (one, other)]
    if names[0].startswith(f"{names[1]} in "):
        return one
    return other if names[1].startswith(f"{names[0]} in ") else None


def contradiction(said: str, kind: str, one: object, other: object) -> RequestError:
    """What is said where a phrase settles something twice.

    >>> print(contradiction("this", "times", 2, 3))
    this names two of one kind (times): 2 and 3; choose one
    """
    what = kind.replace("_", " ")
    return RequestError(
        f"{said} names two of one kind ({what}): {told(kind, one)} and {told(kind, other)}; choose one"
    )
