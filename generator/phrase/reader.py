"""Reading the words of a phrase from left to right into parts."""

from generator.catalogue.names import Word
from generator.errors import RequestError
from generator.exercise.articulation import Articulation
from generator.exercise.figure import Figure
from generator.phrase.cursor import AND, THEN
from generator.phrase.part import Part
from generator.phrase.said_forms import SCALE, SaidForms
from generator.phrase.said_keys import SaidKeys
from generator.phrase.said_tempo import SaidTempo
from generator.phrase.vocabulary import Term

_NEAR = 40  # words within which the other half is looked for
_NOTE_WORDS = frozenset({"note", "notes", "finger", "scale", "pentascale"})
_CHORDS = ("chord", "chords", "triad")
_STOPS = frozenset({".", "!", "?", "\u2026", "*", "~", "|", "_"})
_SURE_HALVES = ("going up", "going down", "coming down", "on the way up", "on the way down", "back down")


class Reader(SaidKeys, SaidTempo, SaidForms):
    """Reads a phrase into parts."""

    def read(self) -> list[Part]:
        """Every part of the phrase.

        >>> from generator.catalogue.tables import shared_catalogue
        >>> from generator.phrase.ways import USUAL
        >>> parts = Reader("G major and D, slurred", shared_catalogue(), USUAL).read()
        >>> [[key.name for key in part.keys] for part in parts], parts[1].found["articulation"].name
        ([['G'], ['D']], 'all slurred')

        Raises:
            RequestError: something contradicts itself; `at` says where.
            LookupError: a word means nothing; `at` says which.
        """
        small = self.catalogue.small
        readers = (
            self._concert,
            self._start,
            self._degree,
            self._note_named,
            self._metre,
            self._signatures,
            self._counted_forms,
            self._bare_tempo,
            self._degrees,
            self._name,
            self._joined,
        )
        while self.at < len(self.words):
            if any(reader() for reader in readers):
                continue
            word = self.words[self.at]
            last = self.at + 1 >= len(self.words)
            if word.key in small.anywhere or word.key in _STOPS or (word.key in small.between and not last):
                self._skip(word)
                continue
            if word.key in _CHORDS and self.head_end == self.at and getattr(self.part.form, "chord", False):
                self._took("form", 1)
                continue
            raise LookupError(word.text)
        return self.parts

    def _skip(self, word: Word) -> None:
        """Go past a small word; a comma before it still parts what comes after it."""
        if word.key in SCALE:
            self.part.scale = True
            self.part.every = self.part.every or word.key == "scales"
            self.last_kind = "form"
        self.link = self.link or ("," if self.apart else "")
        self.at += 1

    def _name(self) -> bool:
        """The longest name that may stand here, the player's own figures first."""
        return self._own_name() or any(self._take(term) for term in self._candidates())

    def _own_name(self) -> bool:
        keys = tuple(word.key for word in self.words[self.at : self.at + _NEAR])
        own = [words for words in self.ways.figures if keys[: len(words)] == words]
        if not own:
            return False
        words = max(own, key=len)
        named = self._terms()
        if named and len(named[0].words) > len(words):
            return False
        return self._figure_named(self.ways.figures[words], len(words))

    def _candidates(self) -> list[Term]:
        """Names from the longest on; one whose next word leads nowhere gives way to a shorter one that goes on."""
        terms = [term for term in self._terms() if not self._half_a_metre(term)]
        symbol = self.vocabulary.symbol(self.words, self.at) if self.last_key == self.at else None
        if symbol is not None and symbol.words == ("+",) and self.words[self.at].gap:
            symbol = None
        if symbol is not None and (not terms or len(symbol.words) >= len(terms[0].words)):
            terms = [symbol, *terms]
        if len(terms) < 2 or terms[0].kind != "form" or not self._ends_nowhere(len(terms[0].words)):
            return terms
        shorter = [t for t in terms[1:] if len(t.words) < len(terms[0].words) and self._terms(len(t.words))]
        return [t for t in shorter if len(self._terms(len(t.words))[0].words) > 1] + terms

    def _half_a_metre(self, term: Term) -> bool:
        """Whether the last word of a name is the upper number of a metre: "major 6/8"."""
        size = len(term.words)
        return size > 1 and self._key(size) == "/" and self.words[self.at + size - 1].text.isdecimal()

    def _ends_nowhere(self, offset: int) -> bool:
        key = self._key(offset)
        small = self.catalogue.small
        return (
            bool(key) and key in ("chords", "chord") and key not in small.anywhere and not self._terms(offset)
        )

    def _take(self, term: Term) -> bool:
        """Read a name as its kind wants it."""
        ways = {
            "form": self._form,
            "minor": self._form,
            "minor form": self._minor_form,
            "relative": self._relative,
            "tempo": self._marked_tempo,
            "key set": self._key_set,
            "key list": self._named_keys,
            "dynamic": self._dynamic,
            "figure": self._figure,
            "modes": self._modes,
            "half": self._half_alone,
        }
        return ways.get(term.kind, self._clause)(term)

    def _half_alone(self, _term: Term) -> bool:
        return False  # "up" after an articulation is read with it, elsewhere it is a direction

    def _modes(self, term: Term) -> bool:
        self.part.modes = True
        return self._took("modes", len(term.words))

    def _clause(self, term: Term) -> bool:
        link = self.link
        self.at += len(term.words)
        if term.kind == "articulation" and self._half(term, link):
            return True
        self.at -= len(term.words)
        if term.kind == "span" and not _NOTE_WORDS.isdisjoint(term.words):
            self.part.scale = True
        kind = term.kind.replace(" ", "_") if term.kind == "bar times" else term.kind
        if kind == "times" and kind not in self.part.found and "repeat" in term.text:
            self.part.loose.add(kind)
        self._set(kind, term.value)
        return self._took(kind, len(term.words))

    def _figure(self, term: Term) -> bool:
        if term.value == self.catalogue.straight and term.words[0] in SCALE and len(term.words) == 1:
            return False
        return self._figure_named(term.value, len(term.words))

    def _figure_named(self, figure: Figure, size: int) -> bool:
        """A figure, which may set a part of its own apart: "scale, arpeggio and thirds", "then in thirds"."""
        part = self.part
        unsaid = "figure" not in part.found
        then = self.link == THEN
        listed = self._key(-1) in SCALE and self.linked == ","  # "scale, thirds and arpeggio"
        listed = listed and figure.kind != "blocks"  # "scale, lower tetrachord" is one thing
        if self.linked and part.arpeggio_of is not None and unsaid and (then or self._key(-1) != "in"):
            self._beside(part.arpeggio_of)
        elif unsaid and self.complete and (then or listed or (self.link == AND and self.last_kind == "form")):
            part.found["figure"] = self.catalogue.straight
            part.lists["figure"] = [self.catalogue.straight, figure]
            return self._took("figure", size)
        self._set("figure", figure)
        return self._took("figure", size)

    def _beside(self, source: Part) -> None:
        """A new part of the same keys and form, which its figure sets apart: "scale, arpeggio and thirds"."""
        part = self._open_part()
        part.keys, part.signs, part.bare_minor = list(source.keys), source.signs, source.bare_minor
        kept = ("form", "key set", "names", "concert")
        part.found = {kind: value for kind, value in source.found.items() if kind in kept}
        part.own = {"figure"}

    def _half(self, term: Term, link: str) -> bool:
        """One articulation for each half: "tongued up, slurred down", "slurred going up, tongued coming down"."""
        half = self._term_of("half")
        word = self._word()
        if half is None or word is None or word.after_comma or not self._is_half(half):
            return False
        if half.value == "down" and not isinstance(term.value, Articulation):
            raise RequestError(
                f"{self.said} asks for {term.text} on the way down; that half takes one, like all slurred down"
            )
        self.link = link
        self.at -= len(term.words)
        self._set("articulation" if half.value == "up" else "articulation_down", term.value)
        return self._took("half", len(term.words) + len(half.words))

    def _is_half(self, half: Term) -> bool:
        """Whether these words are a half, and no direction: "slurred, up and down", "slurred up only"."""
        if " ".join(half.words) in _SURE_HALVES:
            return True
        longer = self._term_of("direction")
        if longer is not None and len(longer.words) > len(half.words):
            return False
        if half.words in (("up",), ("down",), ("rising",), ("falling",)):
            return True
        after = self.at + len(half.words)
        rest = [w.key for w in self.words[after : after + _NEAR]]
        other = (
            ("descending", "falling", "down", "downwards")
            if half.value == "up"
            else ("ascending", "rising", "up", "upwards")
        )
        other_found = {"up": "articulation_down", "down": "articulation"}[str(half.value)] in self.part.found
        return other_found or any(word in other for word in rest)
