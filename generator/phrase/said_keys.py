"""Keys in a phrase: named one by one, as a list with a name, by their signatures, or as the note to start on."""

from generator.errors import RequestError
from generator.exercise.request import ORDINALS
from generator.phrase.cursor import AND, THEN, Cursor
from generator.phrase.part import Signs
from generator.phrase.vocabulary import NTH, Term
from generator.theory.pitch import NoteName

_BEFORE_KEYS = ("on", "of", "in", "concert", "written", "from", "for", "through", "to")
_NEVER_BEFORE = ("on", "of", "in", "from", "at", "the", "for", "with")
_BESIDE_KEYS = ("concert", "written", "pitch", "the", "note", "notes", "root", "key", "keys")
_PLACES = {
    "low": "lowest octave",
    "lowest": "lowest octave",
    "bottom": "lowest octave",
    "middle": "middle octave",
    "high": "top octave",
    "highest": "top octave",
    "top": "top octave",
}
_ALL = 12  # keys of a round that begins wherever one likes
_FEW = 6  # small words in a row at most
_STARTS = ("from", "starting", "beginning", "start", "begin", "starts", "begins")
_COUNTS = {
    "zero": 0,
    "no": 0,
    "one": 1,
    "two": 2,
    "three": 3,
    "four": 4,
    "five": 5,
    "six": 6,
    "seven": 7,
    "7": 7,
}
_NO_DEGREE = (
    "octave",
    "octaves",
    "beat",
    "beats",
    "bar",
    "position",
    "finger",
    "string",
    "to",
    "inversion",
    "line",
    "space",
)
_SIGNS = {
    "sharp": (True, False),
    "sharps": (True, False),
    "flat": (False, True),
    "flats": (False, True),
    "accidentals": (True, True),
    "signs": (True, True),
}


class SaidKeys(Cursor):
    """Reads keys."""

    def _concert(self) -> bool:
        """Concert or written keys."""
        if self._key() not in ("concert", "written"):
            return False
        pitch = self._key(1) == "pitch"
        if self.complete and "(" in self.words[self.at].gap and not self._form_follows(1):
            name, used = self._note(1)
            if name is not None:
                return self._took("concert", 1 + used)  # as a page says it beside the written key
        if self.complete and not pitch and self.linked and self._note(1)[0] is not None:
            self._open_part()
        self.part.found["concert"] = self._key() == "concert"
        if self.part.form is None:
            self.part.early.add("concert")
        link = self.link
        self._took("concert", 2 if pitch else 1)
        self.link = link
        return True

    def _start(self) -> bool:
        """The note that a line starts on: "starting on E", "from low B-flat", "from middle C"."""
        skip = 0
        while self._key(skip) in (*_STARTS, "on", "at", "with", "the") and skip < 4:
            skip += 1
        said = any(self._key(k) in _STARTS for k in range(skip))
        place = _PLACES.get(self._key(skip), "")
        name, used = self._note(skip + bool(place))
        if name is None or not (said or place):
            return False
        rest = self._terms(skip)
        if rest and len(rest[0].words) > used + bool(place):
            return False
        return self._started(name, place, skip, used + bool(place))

    def _started(self, name: NoteName, place: str, skip: int, used: int) -> bool:
        """What a note to start on means: in a round of keys, before the key is named, as the key, or as a degree."""
        part = self.part
        if part.key_list is not None and not part.start:
            part.keys = _from_here(part.keys, name)
            return self._took("key", skip + used)
        if place:
            self._set("register", place)
        sure = self._key() in _STARTS and self._key() != "from"
        if part.form is None and not part.has_keys and sure and self._form_follows(skip + used):
            part.start = name  # "starting on E, C major"
            return self._took("", skip + used)
        if not part.has_keys or part.form is None:
            part.key_after = part.key_after or ("from" if place else "")
            # The note itself is the key.
            return bool(place) and self._took("", skip + 1)
        part.start = name
        self.at += skip + used
        self._back_to(name)
        return self._took("key", 0)

    def _degree(self) -> bool:
        """The degree that a line starts on: "from the third degree", "starting on the fifth", "on degree 2"."""
        skip = 0
        while skip < _FEW and self._key(skip) in (*_STARTS, "on", "at", "with", "the", "its"):
            skip += 1
        said = any(self._key(k) in _STARTS for k in range(skip))
        if not skip or not (said or self._key() == "on"):
            return False
        if self._key(skip) == "degree" and self._word(skip + 1) is not None:
            number = self.words[self.at + skip + 1].text
            counted = number.isascii() and number.isdecimal() and 0 < int(number[:3]) <= len(ORDINALS)
            if counted:
                self._set("degree", int(number) - 1)
            return counted and self._took("degree", skip + 2)
        return self._key(skip - 1) in ("the", "its") and self._nth(skip, said=said)

    def _nth(self, skip: int, *, said: bool) -> bool:
        """Its number or name, with or without the word degree."""
        nth = NTH.get(self._key(skip))
        if nth is None:
            return False
        used = skip + 1 + (self._key(skip) == "leading" and self._key(skip + 1) in ("note", "tone"))
        after = self._key(used)
        if after == "degree":
            self._set("degree", nth)
            return self._took("degree", used + 1)
        if not said or after in _NO_DEGREE or self._term_of("register", skip):
            return False
        self._set("nth", nth)
        return self._took("nth", used + (after == "note"))

    def _back_to(self, name: NoteName) -> None:
        """Skip "to F" after F: a line from a note to the same one."""
        skip = 1 if self._key() == "to" else 0
        if not skip and (self._word() is None or "-" not in self.words[self.at].gap):
            return
        place = bool(_PLACES.get(self._key(skip)))
        other, used = self._note(skip + place)
        if other == name:
            self.at += skip + place + used

    def _note_named(self) -> bool:
        """A note name, where one may stand: before the form, after it with "on", or at the head of something new."""
        name, used = self._note()
        if name is None or self._names_more(used) or self._article():
            return False
        if not self._key_may_stand():
            return False
        part = self.part
        if name in part.keys:
            raise RequestError(f"{name.words} is named twice in {self.said}")
        if not part.keys:
            self._said_before_keys()
        part.keys.append(name)
        self.capitals = self.words[self.at].text[0].isupper()
        self.at += used
        self._back_to(name)
        self._took("key", 0)
        self.last_key = self.at
        return True

    def _said_before_keys(self) -> None:
        """What stands before the first key: "on", "of", "in the key of"."""
        part, back = self.part, -1
        while back > -_FEW and self._key(back) in _BESIDE_KEYS:
            part.key_said = part.key_said or self._key(back) in ("key", "keys")
            back -= 1
        part.key_after = part.key_after or self._key(back)
        part.key_said = part.key_said or (part.key_after == "of" and self._key(back - 1) in ("key", "keys"))

    def _names_more(self, used: int) -> bool:
        """Whether a longer name begins with what looks like a note: "a fifth"."""
        longer = self._terms()
        return bool(longer) and len(longer[0].words) > used and longer[0].kind != "form"

    def _key_may_stand(self) -> bool:
        """Whether a key may stand here; where it is the head of something new, a part for it is opened."""
        part = self.part
        if "key set" in part.found and not self.complete:
            return False
        if part.keys and self._key(-1) == "to" and not self.link:
            return False  # from one key to another: which are between is not said
        if part.form is not None or part.arpeggio_of is not None:
            if not part.has_keys and part.arpeggio_of is None:
                if not (self._key(-1) in (*_BEFORE_KEYS, *_PLACES) or self.head_end == self.at or self.link):
                    return False
            elif not self._goes_on():
                if not self._begins_anew():
                    return False
                part = self._open_part()
        return part.signs is None and "key set" not in part.found

    def _goes_on(self) -> bool:
        """Whether a key goes on a row of keys that comes after its form."""
        if not self.part.form_first or self.last_key < self.at - 1 or self._form_follows():
            return False
        if self.words[self.at].text == "f" and self.capitals:
            return False  # forte after keys in capitals
        return self.link == AND or self.apart

    def _begins_anew(self) -> bool:
        """Whether a key begins something new."""
        word = self.words[self.at]
        follows = self._form_follows()
        if word.text in ("a", "f") and not follows:
            return False  # an article, or forte
        if self._key(1) == "to" and self._term_of("dynamic", 2) is not None:
            return False  # forte to piano
        if self._key(-1) in _NEVER_BEFORE and not self.link:
            return False
        return bool(self.link) or follows or self.apart

    def _article(self) -> bool:
        """Whether a small "a" is no key: "a G major scale", "a two-octave scale of E"."""
        following = self._word(1)
        if self.words[self.at].text != "a" or following is None or following.after_comma:
            return False
        named = self._terms(1)
        if named and named[0].kind == "span":
            return True
        return following.text[:1].isupper() and self._note(1)[0] is not None

    def _key_set(self, term: Term) -> bool:
        """A set of keys."""
        if self.part.keys:
            raise RequestError(f"{self.said} names keys and {term.value} as well; choose one")
        self._set("key set", "all keys" if term.value == "all fifteen keys" else term.value)
        if term.value == "all fifteen keys":
            self._set("names", "both")
        return self._took("key", len(term.words))

    def _named_keys(self, term: Term) -> bool:
        """Keys in an order that has a name; concert keys are what the list means, unless "written" is said."""
        row = term.value
        named = self.part.keys
        round_from = named[0] if len(named) == 1 and len(row.keys) == _ALL else None
        if (named and round_from is None) or self.part.found.get("key set", "all keys") != "all keys":
            raise RequestError(f"{self.said} names keys and {row.name} as well; choose one")
        self.part.found.pop("key set", None)
        self.part.keys = _from_here(list(row.keys), round_from) if round_from else list(row.keys)
        self.part.key_list = row
        if row.concert:
            self.part.found.setdefault("concert", True)
        self.last_key = self.at + len(term.words)
        return self._took("key", len(term.words))

    def _signatures(self) -> bool:
        """Keys by their signatures: "up to three flats", "keys with two sharps"."""
        skip = 0
        while skip < _FEW and self._key(skip) in (
            "up",
            "to",
            "with",
            "within",
            "in",
            "as",
            "far",
            "from",
            "most",
            "at",
        ):
            skip += 1
        up_to = any(self._key(k) in ("to", "within", "most") for k in range(skip))
        if self._key(skip) == "one" and self._key(skip + 1) == "to":
            up_to, skip = True, skip + 2
        count = _COUNTS.get(self._key(skip))
        kinds = _SIGNS.get(self._key(skip + 1))
        if count is None or kinds is None or self.part.keys or self.part.signs:
            return False
        if self.part.found.get("key set", "all keys") != "all keys":
            return False
        self.part.found.pop("key set", None)
        sharps, flats = kinds
        used = skip + 2
        more = _SIGNS.get(self._key(used + 1)) if self._key(used) in ("and", "or", "/") else None
        if more:
            sharps, flats, used = sharps or more[0], flats or more[1], used + 2
        self.part.signs = Signs(count, up_to, sharps, flats)
        return self._took("key", used)


def _from_here(keys: list[NoteName], first: NoteName) -> list[NoteName]:
    """A round of keys that begins on one of them."""
    place = next((k for k, key in enumerate(keys) if key.pitch_class == first.pitch_class), None)
    if place is None:
        raise RequestError(f"{first.words} is not among these keys: {', '.join(key.words for key in keys)}")
    return keys[place:] + keys[:place]


__all__ = ["AND", "THEN", "SaidKeys"]
