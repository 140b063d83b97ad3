"""The phrase: one sentence for a request, as musicians say it.

    [concert] KEYS FORM [in FIGURE] [, clause]...        G major in thirds, two octaves, quarter = 84
    FORM on KEYS ...                                     whole-tone on C and D-flat, every articulation

Reading is longest-match over names that come from the data files, so a new row is understood without a
change here. ``wording.canonical`` writes a request so that reading it gives the request back.
"""

from dataclasses import dataclass, field
from typing import Any

from generator.catalogue.names import Word, nearest, words_of
from generator.catalogue.rows import KeyList
from generator.catalogue.tables import Catalogue
from generator.errors import RequestError, UnknownNameError, shown
from generator.exercise.articulation import Articulation
from generator.exercise.records import Tempo
from generator.exercise.request import Request
from generator.phrase.assemble import request_of
from generator.phrase.note_names import note_name, told
from generator.phrase.vocabulary import Term, vocabulary_of
from generator.theory.duration import Metre
from generator.theory.pitch import NoteName

SLOWEST, FASTEST = 20, 400
LONGEST_PHRASE = 2000  # characters; every key by name and a clause of each kind take a quarter of that
_FILLERS = frozenset(
    {
        "the",
        "scale",
        "scales",
        "of",
        "with",
        "a",
        "an",
        "and",
        "at",
        "over",
        "in",
        "on",
        "for",
        "from",
        "key",
        "keys",
    }
    | {"starting", "beginning"}
)
_HALVES = {"up": "up", "rising": "up", "down": "down", "falling": "down"}
_EXPECTED = ("figure", "span", "rhythm", "articulation", "direction", "register", "degree", "tempo")
_MUST_COME_FIRST = "a key and a form, like G major or all keys, harmonic minor"


def parse(text: str, catalogue: Catalogue) -> Request:
    """Read a phrase.

    Args:
        text: the phrase.
        catalogue: the names.

    Raises:
        UnknownNameError: a word that means nothing here, with its place and the nearest names.
        RequestError: the phrase lacks a key or form, or says something twice.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> asked = parse("E-flat major in thirds, two octaves, quarter = 84", names)
    >>> asked.keys[0].words, asked.form.name, asked.figure.name, asked.span.name, asked.tempo.bpm
    ('E-flat', 'major', 'thirds', 'two octaves', 84)
    """
    return _PhraseReader(text, catalogue).read()


@dataclass
class _PhraseReader:
    text: str
    catalogue: Catalogue
    at: int = 0
    keys: list[NoteName] = field(default_factory=list)
    found: dict[str, Any] = field(default_factory=dict)

    def read(self) -> Request:
        if len(self.text) > LONGEST_PHRASE:
            raise RequestError(
                f"a phrase has at most {LONGEST_PHRASE} characters, not {len(self.text)}: {self.said}"
            )
        self.words = words_of(self.text)
        self.vocabulary = vocabulary_of(self.catalogue)
        if not self.words:
            raise RequestError(f"the phrase is empty; write {_MUST_COME_FIRST}")
        while self.at < len(self.words):
            if not (self._concert() or self._key() or self._metre() or self._name() or self._filler()):
                self._unknown()
        return request_of(self.said, tuple(self.keys), self.found, self.catalogue)

    @property
    def said(self) -> str:
        """The phrase as messages quote it."""
        return shown(self.text, 80)

    def _word(self, offset: int = 0) -> Word | None:
        place = self.at + offset
        return self.words[place] if place < len(self.words) else None

    def _is(self, *keys: str) -> bool:
        return tuple(w.key for w in self.words[self.at : self.at + len(keys)]) == keys

    def _concert(self) -> bool:
        if not (self._is("concert") or self._is("written")):
            return False
        self.found["concert"] = self._is("concert")
        self.at += 1
        if self._is("pitch"):
            self.at += 1
        return True

    def _key(self) -> bool:
        """A note name, where one may stand: before the form, or after it with "on"."""
        word = self._word()
        if word is None or "key set" in self.found or ("form" in self.found and not self._keys_may_follow()):
            return False
        longer = self.vocabulary.longest(self.words, self.at)
        if (longer and len(longer[0].words) > 1) or self._article():
            return False
        name, used = note_name(self.words, self.at)
        if name is None:
            return False
        if name in self.keys:
            raise RequestError(f"{name.words} is named twice in {self.said}")
        self.keys.append(name)
        self.at += used
        self.last_key = self.at
        return True

    def _article(self) -> bool:
        """Whether a small "a" is no key: "a G major scale", "a two-octave scale of E"."""
        following = self._word(1)
        if self.words[self.at].text != "a" or following is None or following.after_comma:
            return False
        named = self.vocabulary.longest(self.words, self.at + 1)
        if named and named[0].kind == "span":
            return True
        return following.text[:1].isupper() and note_name(self.words, self.at + 1)[0] is not None

    def _keys_may_follow(self) -> bool:
        before = self.words[self.at - 1].key
        if not self.keys:
            return before in ("on", "of", "in", "concert", "written", "from")
        return (
            self.form_first
            and (before == "and" or self.words[self.at].after_comma)
            and (self.last_key >= self.at - 1)
        )

    @property
    def form_first(self) -> bool:
        return bool(self.found.get("form first"))

    def _metre(self) -> bool:
        skip = 1 if self._is("in") else 0
        upper, slash, lower = (self._word(skip + k) for k in range(3))
        # "6/8 and 4/4" is a rhythm, "in 6/8" a metre.
        longer = self.vocabulary.longest(self.words, self.at + skip)
        if longer and len(longer[0].words) > 3:
            return False
        if upper is None or slash is None or lower is None or slash.key != "/":
            return False
        if not (upper.text.isdecimal() and lower.text.isdecimal()):
            return False
        self._set("metre", Metre.parse(f"{upper.text}/{lower.text}").name)
        self.at += skip + 3
        if self._is("time"):
            self.at += 1
        return True

    def _name(self) -> bool:
        if self._every_form():
            return True
        return any(self._take(term) for term in self.vocabulary.longest(self.words, self.at))

    def _every_form(self) -> bool:
        """A key set in other words: "all major scales", "every dorian", "all twelve majors"."""
        if self._word().key not in ("all", "every", "each") or self.keys or "form" in self.found:  # type: ignore[union-attr]
            return False
        skip = 1
        while (word := self._word(skip)) is not None and word.key in ("the", "12", "twelve", "15", "fifteen"):
            skip += 1
        named = self.vocabulary.longest(self.words, self.at + skip)
        if not named or named[0].kind != "form":
            return False
        fifteen = any(w.key in ("15", "fifteen") for w in self.words[self.at : self.at + skip])
        self.at += skip
        self._set("key set", "all keys")
        if fifteen:
            self._set("names", "both")
        return True

    def _take(self, term: Term) -> bool:
        end = self.at + len(term.words)
        match term.kind:
            case "form" if "form" in self.found:
                return False
            case "tempo":
                return self._tempo(term, end)
            case "key set":
                self._key_set(term, end)
            case "key list":
                self._key_list(term.value, end)
            case _:
                if term.kind == "form":
                    self.found["form first"] = not self.keys and "key set" not in self.found
                self.at = end
                if term.kind != "articulation" or not self._half(term):
                    self._set(term.kind, term.value)
        return True

    def _key_set(self, term: Term, end: int) -> None:
        if self.keys:
            raise RequestError(f"{self.said} names keys and {term.value} as well; choose one")
        self._set("key set", "all keys" if term.value == "all fifteen keys" else term.value)
        if term.value == "all fifteen keys":
            self._set("names", "both")
        self.at = end

    def _key_list(self, row: KeyList, end: int) -> None:
        """Keys in an order that has a name; concert keys are what the list means, unless "written" is said."""
        if self.keys or "key set" in self.found:
            raise RequestError(f"{self.said} names keys and {row.name} as well; choose one")
        self.keys = list(row.keys)
        if row.concert:
            self.found.setdefault("concert", True)
        self.at = self.last_key = end

    def _half(self, term: Term) -> bool:
        """One articulation for each half: "tongued up, slurred down"."""
        word = self._word()
        half = _HALVES.get(word.key) if word and not word.after_comma else None
        if word is None or half is None:
            return False
        after, last = self._word(1), self._word(2)
        both_ways = (
            after is not None and after.key == "and" and last is not None and last.key in ("up", "down")
        )
        if both_ways or (after is not None and after.key in ("first", "only") and not after.after_comma):
            return False
        if half == "down" and not isinstance(term.value, Articulation):
            raise RequestError(
                f"{self.said} asks for {term.text} on the way down; that half takes one, like all slurred down"
            )
        self._set("articulation" if half == "up" else "articulation_down", term.value)
        self.at += 1
        return True

    def _tempo(self, term: Term, end: int) -> bool:
        """A metronome mark, or a row of them; a note value with no number after it is none."""
        number = self._word(len(term.words))
        if not term.text.endswith("=") and (number is None or not number.text.isdecimal()):
            return False
        self.at = end
        bpm = self._number()
        self._set("tempo", Tempo(term.value, bpm))
        word = self._word()
        if self._is("to") or (word is not None and word.text.isdecimal() and not word.after_comma):
            self.at += self._is("to")
            goal = self._number()
            if goal < bpm:
                raise RequestError(
                    f"{bpm} to {goal} (character {word.place if word else 0}): a row of tempi leads from the slower "
                    f"one to the goal; say {goal} to {bpm}"
                )
            self._set("goal", goal)
            if self._is("by"):
                self.at += 1
                self._set("step", self._number(1, 50))
        return True

    def _number(self, least: int = SLOWEST, most: int = FASTEST) -> int:
        word = self._word()
        digits = word is not None and word.text.isascii() and word.text.isdecimal() and len(word.text) < 5
        if word is None or not digits or not least <= int(word.text) <= most:
            said = f"{shown(word.text, 40)} (character {word.place})" if word else "nothing"
            raise RequestError(f"a tempo is a number of beats per minute from {least} to {most}, not {said}")
        self.at += 1
        return int(word.text)

    def _set(self, kind: str, value: object) -> None:
        if kind in self.found and self.found[kind] != value:
            raise RequestError(
                f"{self.said} names two of one kind ({kind}): "
                f"{told(kind, self.found[kind])} and {told(kind, value)}; choose one"
            )
        self.found[kind] = value

    def _filler(self) -> bool:
        """Small words are skipped where something follows them; "scale" may also end a phrase."""
        word = self._word()
        if word is None or word.key not in _FILLERS:
            return False
        if self.at + 1 >= len(self.words) and word.key not in ("scale", "scales"):
            return False
        self.at += 1
        return True

    def _unknown(self) -> None:
        word = self.words[self.at]
        rest = [word.text]
        for following in self.words[self.at + 1 : self.at + 5]:
            if following.after_comma or following.key in ("in", "with", "at", "over"):
                break
            rest.append(following.text)
        kinds = _EXPECTED if "form" in self.found else ("form", "key set", "key list")
        names = [n for kind in kinds for n in self.vocabulary.names.get(kind, ())]
        tries = [" ".join(rest[:k]) for k in range(len(rest), 0, -1)]
        near = next((hit for t in tries if (hit := self.vocabulary.distinct(nearest(t, names, most=12)))), ())
        if (
            word.text.isdecimal()
            and len(word.text) < 5
            and "form" in self.found
            and SLOWEST <= int(word.text) <= FASTEST
        ):
            near = (f"quarter = {word.text}",)
        expected = (
            f"a {', '.join(_EXPECTED[:-1])} or {_EXPECTED[-1]}" if "form" in self.found else _MUST_COME_FIRST
        )
        hint = f"; nearest: {', '.join(near)}" if near else ""
        raise UnknownNameError(
            f"{shown(word.text, 40)} (character {word.place} of {self.said}) is not understood; "
            f"expected {expected}{hint}",
            position=word.place,
            nearest=near,
        )
