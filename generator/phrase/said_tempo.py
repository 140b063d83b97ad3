"""Tempo, metre and dynamics in a phrase."""

from generator.errors import RequestError, shown
from generator.exercise.records import Tempo
from generator.exercise.tempo import first_mark
from generator.phrase.cursor import Cursor
from generator.phrase.own_figure import FEWEST_DEGREES, is_degree, mark, own_figure
from generator.phrase.vocabulary import Term
from generator.phrase.words import digits_apart
from generator.theory.duration import Metre

SLOWEST, FASTEST = 20, 400
_FEW = 6  # small words in a row at most
_BEFORE = (
    "at",
    "@",
    "tempo",
    "mm",
    "bpm",
    "metronome",
    "=",
    "speed",
    "circa",
    "click",
    "around",
    "about",
    "from",
    "m",
    ".",
)
_SAYS_TEMPO = ("at", "@", "tempo", "mm", "bpm", "metronome", "=", "speed", "circa", "click")
_TOWARDS = (
    "slow",
    "up",
    "working",
    "work",
    "building",
    "build",
    "towards",
    "toward",
    "goal",
    "aiming",
    "to",
    "for",
    "with",
    "a",
    "of",
)
_ENDS = ("to", "towards", "toward", "goal")
_BPM = (("bpm",), ("beats", "per", "minute"), ("beats", "a", "minute"), ("mm",), ("beats",))
_METRES = {("cut", "time"): "2/2", ("alla", "breve"): "2/2", ("common", "time"): "4/4"}
LEVELS = ("pp", "p", "mp", "mf", "f", "ff")
_GROWING = ("crescendo", "diminuendo", "decrescendo", "growing", "fading", "swelling")
_LOWER = ("2", "4", "8", "16")


class SaidTempo(Cursor):
    """Reads numbers and dynamics."""

    def _metre(self) -> bool:
        """A metre: "in 6/8", "3/4 time", "in cut time"."""
        skip = 1 if self._key() == "in" else 0
        for words, name in _METRES.items():
            if tuple(self._key(skip + k) for k in range(2)) == words:
                self._set("metre", name)
                return self._took("metre", skip + 2)
        upper, middle, lower = (self._word(skip + k) for k in range(3))
        # "6/8 and 4/4" is a rhythm, "in 6/8" a metre.
        longer = self._terms(skip)
        if upper is None or middle is None or (longer and len(longer[0].words) > 3):
            return False
        used = 3
        if middle.key != "/":
            lower, used = middle, 2
            alone = skip and not self._more_degrees(skip + 2)
            if not (alone or self._key(skip + 2) == "time") or lower.text not in _LOWER or lower.gap != " ":
                return False
        if lower is None or not (upper.text.isdecimal() and lower.text.isdecimal()):
            return False
        self._set("metre", Metre.parse(f"{upper.text}/{lower.text}").name)
        self._took("metre", skip + used)
        if self._key() == "time":
            self.at += 1
        return True

    def _more_degrees(self, offset: int) -> bool:
        word = self._word(offset)
        return word is not None and (word.key in ("low", "high") or is_degree(word.text))

    def _degrees(self) -> bool:
        """A figure of one's own: "in 1 3 5 3 4 2 7, 1"."""
        skip = 1 if self._key() == "in" else 0
        first = self._word(skip)
        if first is None:
            return False
        glued = digits_apart(first) or (
            tuple(map(int, first.text)) if skip and first.text.isdecimal() and len(first.text) == 3 else ()
        )
        if glued and 0 not in glued and not self._terms(skip):
            self._own([(degree, 0) for degree in glued], skip + 1)
            return True
        places = self._places(skip)
        named = self._terms(skip)
        chords = bool(named) and named[0].kind == "form" and len(named[0].words) == len(places)
        if len(places) < FEWEST_DEGREES or (chords and not skip):
            return False
        gaps = [self.words[place].gap for place, _ in places[1:]]
        apart = len(places) > 2 and all("," in gap for gap in gaps)
        found = []
        for number, (place, octave) in enumerate(places):
            following = places[number + 1][0] if number + 1 < len(places) else None
            after = self.words[following].gap if following is not None else ""
            if following is None and place + 1 < len(self.words):
                after = self.words[place + 1].gap.replace(
                    ",", "", 0 if self.words[place + 1].gap.count(",") > 1 else 1
                )
            found.append((int(self.words[place].text), octave or mark(after, apart=apart)))
        self._own(found, places[-1][0] + 1 - self.at)
        return True

    def _own(self, degrees: list[tuple[int, int]], words: int) -> None:
        self._set("figure", own_figure(degrees, self.catalogue))
        self._took("figure", words)

    def _places(self, skip: int) -> list[tuple[int, int]]:
        """Where the degrees of a figure stand from here on, and in which octave a word puts them."""
        found: list[tuple[int, int]] = []
        at, octave = self.at + skip, 0
        while at < len(self.words):
            word = self.words[at]
            if (
                word.key in ("low", "high")
                and at + 1 < len(self.words)
                and is_degree(self.words[at + 1].text)
            ):
                octave = -1 if word.key == "low" else 1
                at += 1
                continue
            slash = at + 1 < len(self.words) and self.words[at + 1].key == "/"
            if not is_degree(word.text) or slash or self._names_thing(at):
                break
            found.append((at, octave))
            at, octave = at + 1, 0
        return found

    def _names_thing(self, at: int) -> bool:
        """Whether a number belongs to a name, "2 octaves", and not only to numbers, "six eight"."""
        named = self.vocabulary.longest(self.words, at)
        words = self.words[at : at + len(named[0].words)] if named else ()
        if len(words) < 2 or any(word.after_comma for word in words[1:]):
            return False
        return not all(is_degree(word.text) for word in words)

    def _bare_tempo(self) -> bool:
        """A number that can only be a tempo: "at 80", "@ 80 bpm", "60-108", "slow to 108"."""
        skip, goal_only = self._before_number()
        number = self._word(skip)
        if number is None or not number.text.isdecimal():
            return False
        named = self._terms(skip)
        if named and (not skip or len(named[0].words) > 1):
            return False
        if self._key(skip + 1) == "/" or self._degrees_or_signs(skip):
            return False
        surely = any(self._key(k) in _SAYS_TEMPO for k in range(skip))
        if not surely and not (
            number.text.isascii() and len(number.text) < 4 and SLOWEST <= int(number.text) <= FASTEST
        ):
            return False
        self.at += skip
        bpm = self._number()
        self._bpm_said()
        if goal_only:
            self._row(first_mark(bpm), bpm, None)
        else:
            self._row_or_mark(bpm, None)
        return True

    def _degrees_or_signs(self, skip: int) -> bool:
        after = self._key(skip + 1)
        return after in ("sharps", "flats", "sharp", "flat", "octaves", "octave", "keys", "notes")

    def _before_number(self) -> tuple[int, bool]:
        """How many words lead to a number, and whether they say that it is the goal."""
        skip = 0
        while skip < _FEW and self._key(skip) in _BEFORE:
            skip += 1
        towards = skip
        while towards < skip + _FEW and self._key(towards) in _TOWARDS:
            towards += 1
        if towards > skip and self._key(towards - 1) in (*_ENDS, "for", "of"):
            return towards, True
        return skip, False

    def _marked_tempo(self, term: Term) -> bool:
        """A metronome mark, or a row of them; a note value with no number after it is none."""
        after = len(term.words)
        said = term.words[-1] in ("=", "equals")
        if not said and self._key(after) in ("at", "is", "@"):
            after += 1
        number = self._word(after)
        if not said and (number is None or not number.text.isdecimal()):
            return False
        self.at += after
        bpm = self._number()
        self._bpm_said()
        self._row_or_mark(bpm, term)
        return True

    def _row_or_mark(self, bpm: int, term: Term | None) -> None:
        word = self._word()
        up = 1 if self._key() == "up" and self._key(1) == "to" else 0
        joined = self._key(up) in ("to", ">", "\u2192", "->")
        if (
            joined
            and not (self._word(up + 1) is not None and self.words[self.at + up + 1].text.isdecimal())
            and self._note(up + 1)[0]
        ):
            joined = False
        adjacent = word is not None and word.text.isdecimal() and not word.after_comma and not self._terms()
        if not (joined or adjacent):
            self._row(bpm, None, term)
            return
        place = word.place if word else 0
        self.at += up + 1 if joined else 0
        goal = self._number()
        self._bpm_said()
        if goal < bpm:
            raise RequestError(
                f"{bpm} to {goal} (character {place}): a row of tempi leads from the slower "
                f"one to the goal; say {goal} to {bpm}"
            )
        self._row(bpm, goal, term)

    def _row(self, bpm: int, goal: int | None, term: Term | None) -> None:
        self._set("tempo", Tempo(term.value, bpm) if term else bpm)
        if goal is not None:
            self._set("goal", goal)
            if self._key() == "by" and self._word(1) is not None and self.words[self.at + 1].text.isdecimal():
                self.at += 1
                self._set("step", self._number(1, 50))
        self._took("tempo", 0)

    def _bpm_said(self) -> None:
        for words in _BPM:
            if self._stands(*words):
                self.at += len(words)
                return

    def _number(self, least: int = SLOWEST, most: int = FASTEST) -> int:
        """A number of beats a minute."""
        word = self._word()
        digits = word is not None and word.text.isascii() and word.text.isdecimal() and len(word.text) < 5
        if word is None or not digits or not least <= int(word.text) <= most:
            said = f"{shown(word.text, 40)} (character {word.place})" if word else "nothing"
            raise RequestError(f"a tempo is a number of beats per minute from {least} to {most}, not {said}")
        self.at += 1
        return int(word.text)

    def _dynamic(self, term: Term) -> bool:
        """A dynamic, or one that leads to another: "pp to ff and back"."""
        value, used = str(term.value), len(term.words)
        if value in LEVELS and self._key(used) in _GROWING:
            used += 1  # "p crescendo to f"
        other = self._term_of("dynamic", used + 1) if self._key(used) == "to" else None
        if other is not None and " " not in value + str(other.value) and "echo" not in (value, other.value):
            used += 1 + len(other.words)
            again = self._term_of("dynamic", used + 1) if self._key(used) == "to" else None
            if again is not None and again.value == value:
                value, used = f"{value} to {other.value} and back", used + 1 + len(again.words)
            elif self._key(used) == "and" and self._key(used + 1) == "back":
                value, used = f"{value} to {other.value} and back", used + 2
            else:
                value = f"{value} to {other.value}"
        if value == term.value and value in LEVELS:
            used = len(term.words)
        self._set("dynamic", value)
        return self._took("dynamic", used)
