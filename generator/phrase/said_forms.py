"""Forms in a phrase: named, counted ("all major scales"), or told by another, as its arpeggio or relative key."""

from typing import Any

from generator.catalogue.names import fold
from generator.exercise.request import RowSet
from generator.phrase.cursor import AND, Cursor
from generator.phrase.part import Part
from generator.phrase.settle import triad_of
from generator.phrase.vocabulary import BARE_ARPEGGIO, Term
from generator.theory.form import Form

SCALE = ("scale", "scales")
_COUNTED = ("12", "twelve", "15", "fifteen")
_MODES = ("major", "minor")
_HEAD = {"form", "concert", "key set", "names"}
_WITH = ("with", "its", "their", "plus")
_PLURALS = ("majors", "minors", "arpeggios", "sevenths", "scales")
_FEW = 6  # small words in a row at most
_DOMINANT = "dominant seventh from the root"
_THREE = "three minors"
_CADENCE, _MINOR_CADENCE = "ii-V-I", "minor ii-V-i"
_CHAINS = (_CADENCE, "guide tones", "I-IV-V", "I-vi-ii-V")


class SaidForms(Cursor):
    """Reads forms."""

    def _counted_forms(self) -> bool:
        """A key set in other words: "all major scales", "every dorian", "all twelve majors", "12 major scales"."""
        first = self.words[self.at]
        counted = first.text in _COUNTED
        anew = bool(self.linked) and self.complete
        if not (first.key in ("all", "every", "each") or counted):
            return False
        if not anew and (self.part.has_keys or self.part.form is not None):
            return False
        if self._terms() and len(self._terms()[0].words) > 1:
            return False
        skip = 1
        while (
            skip < _FEW
            and (word := self._word(skip)) is not None
            and (word.text in _COUNTED or word.key in ("the", "of"))
        ):
            skip += 1
        named = self._terms(skip)
        kind = named[0].kind if named else ""
        if kind == "modes":
            self.at += skip
            return True
        scales = self._key(skip) in SCALE
        if not scales and kind not in ("form", "minor", "relative"):
            return False
        if anew:
            self._open_part()
        if any(w.text in ("15", "fifteen") for w in self.words[self.at : self.at + skip]):
            self._set("names", "both")
        self._set("key set", "all keys")
        self.part.scale = self.part.scale or scales
        return self._took("key", skip)

    def _form(self, term: Term) -> bool:
        """A form, a minor that does not say which, or an arpeggio that does not."""
        row = term.value
        if term.kind == "minor":
            row = self.catalogue.forms.find(f"{self.ways.minor} minor")
        bare = term.words in BARE_ARPEGGIO
        part, size = self.part, len(term.words)
        if part.form is None and part.arpeggio_of is None and not (bare and part.relative):
            return self._first_form(term, row, bare=bare)
        beside = bool(self.linked) or self._key(-1) in _WITH
        if bare and beside and (self.complete or part.arpeggio_of is not None):
            return self._arpeggios(size)
        if not self.linked and self._merged(row, bare=bare):
            return self._took("form", size)
        if not (self.linked and (self.complete or self.link)):
            return False
        if self.last_key < self.head_end or term.words[-1].endswith("s"):
            self._distributed(part, term)
        part = self._open_part()
        part.found["form"] = row
        part.form_first = True
        part.bare_minor = term.kind == "minor"
        part.roman = term.words[0] == "v7" or term.words[-1] == "key"
        return self._took("form", size)

    def _distributed(self, before: Part, term: Term) -> None:
        """A noun for two adjectives: "major and minor arpeggios", "C major and A minor arpeggios"."""
        if len(term.words) != 2 or term.words[0] not in _MODES or before.scale or not self.plain_mode:
            return
        if before.form is None or AND not in (self.link, self.part_link) or not set(before.found) <= _HEAD:
            return
        name = " ".join((self.plain_mode, term.words[1]))
        row = self.catalogue.forms.index.get(fold(name))
        if row is not None:
            before.found["form"], before.bare_minor = row, False

    def _first_form(self, term: Term, row: Any, *, bare: bool) -> bool:  # noqa: ANN401
        part, size = self.part, len(term.words)
        if bare and part.scale and self.linked:
            part.with_arpeggio = True
            return self._took("arpeggio", size)
        if part.relative and isinstance(row, Form) and row.name == "major":
            return self._took("form", size)  # "relative minor of F major"
        if len(self.parts) > 1 and self.part_link == AND and term.words[-1].endswith("s"):
            self._distributed(self.parts[-2], term)
        self.plain_mode = term.words[0] if len(term.words) == 1 and term.words[0] in _MODES else ""
        part.form_first = not part.has_keys
        part.form_apart = self.apart
        part.roman = term.words[0] == "v7" or term.words[-1] == "key"
        part.found["form"] = row
        part.bare_minor = term.kind == "minor"
        part.bare_arpeggio = bare
        plural = term.words[-1] in _PLURALS and not bare
        part.every = part.every or term.words[0] in ("all", "every", "each") or plural
        return self._took("form", size)

    def _merged(self, row: object, *, bare: bool) -> bool:
        """A second form that only tells more of the first: "arpeggio of D minor", "ii-V-I in C minor"."""
        part, form = self.part, self.part.form
        if isinstance(form, RowSet) and isinstance(row, Form):
            return self._chain_told(form, row)
        if not isinstance(form, Form) or not isinstance(row, Form):
            return False
        told: Form | None = None
        if bare:
            told = form if form.chord else triad_of(form, self.catalogue)
        elif part.bare_arpeggio and not row.chord:
            told = triad_of(row, self.catalogue)
        elif form.name == _DOMINANT and not row.chord:
            told = row  # "G7 altered": the scale over the chord
        if told is None:
            return False
        if told is not form:
            part.found["form"], part.bare_minor = told, False
        return True

    def _chain_told(self, form: RowSet[Any], row: Form) -> bool:
        """The mode of a chain of chords: "ii-V-I in C minor"."""
        if row.name == "major":
            return form.name in _CHAINS
        if not row.name.endswith("minor") or form.name not in (_CADENCE, _MINOR_CADENCE):
            return False
        self.part.found["form"] = self.catalogue.sets.find(_MINOR_CADENCE)
        return True

    def _arpeggios(self, size: int) -> bool:
        """Arpeggios of every scale since the last arpeggio, or of the last one where "its" is said."""
        scales: list[Part] = []
        for part in reversed(self.parts):
            if part.arpeggio_of is not None or (part.plain_form is not None and part.plain_form.chord):
                break
            scales.insert(0, part)
        if not scales:
            return False
        if self._key(-1) == "its":
            scales = scales[-1:]
        for part in scales:
            self._open_part().arpeggio_of = part
        return self._took("form", size)

    def _minor_form(self, term: Term) -> bool:
        """Which minor: "A minor, melodic", "harmonic and melodic minor", "D minor, all three forms"."""
        part, size = self.part, len(term.words)
        open_minor = part.bare_minor or (bool(part.relative) and part.form is None)
        if term.value == _THREE:
            row: Any = self.catalogue.sets.find(_THREE)
        else:
            row = self.catalogue.forms.find(term.value)
        if open_minor:
            part.found["form"], part.bare_minor = row, False
        elif term.value == _THREE:
            return False
        elif part.form is None and part.arpeggio_of is None:
            if term.words == ("natural",) and not self._minor_named_later():
                return False
            part.form_first = not part.has_keys
            part.found["form"] = row
        elif self.linked and self.complete and "minor" in getattr(part.form, "name", ""):
            self._open_part().found["form"] = row
        else:
            return False
        return self._took("form", size)

    def _minor_named_later(self) -> bool:
        skip = 1
        while self._key(skip) in ("and", "or", "/", "+"):
            skip += 1
        named = self._terms(skip)
        return bool(named) and (named[0].kind in ("minor form", "minor") or "minor" in named[0].words)

    def _relative(self, term: Term) -> bool:
        """A key by its relation to another: "relative minor of G", "G major and its relative minor"."""
        part = self.part
        if self.complete:
            if not self.linked:
                return False
            source = part
            part = self._open_part()
            # "relative minor of G" names its own key, "its relative minor" none.
            if not (self._key(len(term.words)) == "of" and self._note(len(term.words) + 1)[0] is not None):
                part.relative_of = source
        elif part.form is not None and not isinstance(part.form, Form):
            return False
        part.relative = str(term.value)
        return self._took("form", len(term.words))
