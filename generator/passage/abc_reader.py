"""One voice of ABC 2.1 (abcnotation.com/wiki/abc:standard:v2.1): a typed line, or a kept passage.

Read: the fields K (modes, global accidentals, exp, clef and octave), L, M, T, S, Q, I; notes, rests, broken rhythm,
ties, slurs, tuplets, grace notes, decorations, bar lines. An accidental holds to the end of its bar in its own
octave, as printed, unless ``I:propagate-accidentals`` says otherwise. Passed over: lyrics, chord names, comments.
Refused, with the bar: chords and endings; of several voices the first is read.
"""

import re
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import NoReturn

from generator.errors import RequestError, shown
from generator.passage.abc_fields import AbcKey, key_of, metre_of, unit_for
from generator.passage.records import MOST_BARS, ReadBar, ReadNote
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of
from generator.theory.pitch import LETTERS, Pitch

LONGEST_TEXT = 64 * 1024
_MOST_BARS_READ, _LONGEST_NUMBER = 4000, 4
_SIGNS = {"^": 1, "^^": 2, "_": -1, "__": -2, "=": 0}
_DECORATIONS = {
    ".": "staccato", "~": "turn", "H": "fermata", "L": "accent", "M": "mordent", "P": "inverted mordent", "T": "trill",
}  # fmt: skip
_USUAL_SYMBOLS = frozenset(".~HLMOPSTuv")  # section 4.14; others are defined by a field U
_NAMED = {
    "staccato": "staccato", ".": "staccato", "tenuto": "tenuto", "accent": "accent", ">": "accent",
    "emphasis": "accent", "marcato": "marcato", "^": "marcato", "fermata": "fermata", "breath": "breath",
    "trill": "trill", "turn": "turn", "mordent": "mordent", "lowermordent": "mordent",
    "uppermordent": "inverted mordent", "pralltriller": "inverted mordent",
}  # fmt: skip
# (p puts p notes into the time of q; the standard's table. Three in compound metres for 5, 7 and 9.
_TUPLET_TIMES = {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}
_TOKEN = re.compile(
    r"""
      (?P<field>   \[ [A-Za-z] : [^\]]* \] )
    | (?P<ending>  [|:]* [|\]] :* \s* \[? [1-9] (?:[,-][1-9])* (?![\d/]) | \[ [1-9] | \[" )
    | (?P<bar>     :* \|\] | :* \[?\|+ \]? :* | :: )
    | (?P<tuplet>  \( [1-9]\d{0,2} (?: : \d{0,3} (?: : \d{0,3} )? )? )
    | (?P<grace>   \{ [^}]* \} )
    | (?P<named>   ! [^!\n|]* ! | \+ [a-z0-9.^>]+ \+ )
    | (?P<quoted>  " [^"]* " )
    | (?P<note>    (?P<sign> \^\^ | \^ | __ | _ | = )? (?P<letter> [A-Ga-g] ) (?P<marks> [,']* )
                   (?P<length> \d* /* \d* ) )
    | (?P<rest>    [zx] (?P<rlength> \d* /* \d* ) )
    | (?P<bars>    [ZX] (?P<count> \d* ) )
    | (?P<broken>  <+ | >+ )
    | (?P<tie>     - )
    | (?P<open>    \( )
    | (?P<close>   \) )
    | (?P<chord>   \[ )
    | (?P<mark>    [.~H-Wh-w] )
    | (?P<space>   [\s`y\\*$]+ )
    """,
    re.VERBOSE,
)


@dataclass(frozen=True, slots=True)
class AbcTune:
    """One tune.

    Attributes:
        bars: in order.
        title: its field T, or "".
        source: its field S, or "".
        goal: beats per minute of its field Q, or None.
        directives: our own, by name: what stands after ``%%scalewright-``.
    """

    bars: tuple[ReadBar, ...]
    title: str = ""
    source: str = ""
    goal: int | None = None
    directives: tuple[tuple[str, str], ...] = ()

    def said(self, name: str) -> str:
        """What a directive of ours says, or ""."""
        return dict(self.directives).get(name, "")


def read_abc(text: str) -> AbcTune:
    """Read the first tune of a text.

    Raises:
        RequestError: something is no music, with its bar and what is read; or the text is too long.

    >>> tune = read_abc("[K:F][M:4/4][L:1/16](d'c')ba (ba)g^f | g4")
    >>> print(*[note.pitch for bar in tune.bars for note in bar.notes])
    D6 C6 Bb5 A5 Bb5 A5 G5 F#5 G5
    """
    if len(text) > LONGEST_TEXT:
        raise RequestError(f"the notes are {len(text)} characters; at most {LONGEST_TEXT} are read")
    reader = _AbcReader()
    for line in text.replace("\r\n", "\n").replace("\r", "\n").split("\n"):
        if reader.done(line):
            break
        reader.line(line)
    return reader.finish()


class _AbcReader:
    """What has been read so far."""

    def __init__(self) -> None:
        self.metre: Metre | None = Metre.parse("4/4")
        self.unit: Fraction | None = None
        self.key = AbcKey(0, (), 0)
        self.title = self.source = ""
        self.goal: int | None = None
        self.directives: list[tuple[str, str]] = []
        self.bars: list[ReadBar] = []
        self.notes: list[ReadNote] = []
        self.number = 1
        self.trouble = ""
        self.propagate = "octave"
        self.voices: set[str] = set()
        self.symbols: set[str] = set()
        self.skipping = False
        self.began = False
        self._clear()
        self._held: dict[tuple[int, int], int] = {}
        self._tied: dict[tuple[int, int], int] = {}

    def _clear(self) -> None:
        self.marks: list[str] = []
        self.opens = 0
        self.graces: tuple[tuple[Pitch, Value], ...] = ()
        self.broken = Fraction(1)
        self.tuplet: Tuplet | None = None
        self.left = 0
        self.starts = False

    def done(self, line: str) -> bool:
        """Whether the tune is over: an empty line, or the next tune."""
        return (self.began and not line.strip()) or (self.began and line.startswith("X:"))

    def line(self, line: str) -> None:
        """One line: a directive, a field, or music."""
        if line.startswith("%%"):
            self._directive(line[2:].strip())
            return
        line = re.sub(r"(?<!\\)%.*", "", line)
        if re.match(r"[A-Za-z+]:", line) and not line.startswith("|"):
            self.field(line[0], line[2:].strip())
            return
        if not self.skipping:
            self.music(line)

    def _directive(self, text: str) -> None:
        name, _, value = text.partition(" ")
        if name.startswith("scalewright-"):
            self.directives.append((name.removeprefix("scalewright-"), value.strip()))
        elif name == "propagate-accidentals":
            self.propagate = value.strip()
        elif name in ("setbarnb", "measurefirst") and value.strip().isdecimal() and len(value) <= 6:
            self.number = int(value)

    def field(self, name: str, value: str) -> None:
        """An information field, on a line of its own or in brackets."""
        if name == "K":
            self.key = key_of(value, self.key, self._where())
            self._held = {}
        elif name == "M":
            self.metre = metre_of(value, self._where())
        elif name == "L":
            match = re.fullmatch(r"1(?:/(1|2|4|8|16|32|64))?", value.replace(" ", ""))
            if match is None:
                raise RequestError(f"L:{shown(value)} is no unit of length; write one like L:1/8")
            self.unit = Fraction(1, int(match[1] or 1))
        elif name in "TS":
            self._words(name, value)
        elif name == "Q":
            found = re.search(r"=\s*(\d{1,4})(?!\d)", value) or re.fullmatch(r"(\d{1,4})", value)
            self.goal = int(found[1]) if found else self.goal
        elif name == "I":
            self._directive(value)
        elif name == "U":
            self.symbols.add(value[:1])
        elif name == "V":
            self._voice(value)

    def _words(self, name: str, value: str) -> None:
        """Title and source: the first of each counts."""
        if name == "T":
            self.title = self.title or value
        else:
            self.source = self.source or value

    def _voice(self, value: str) -> None:
        name = value.split(maxsplit=1)[0] if value.split() else ""
        self.voices.add(name)
        first = next(iter(self.voices)) if len(self.voices) == 1 else ""
        if len(self.voices) > 1 and name != first and self.bars:
            self.skipping = True
        self.skipping = len(self.voices) > 1

    def _where(self) -> str:
        return f"bar {self.number}"

    def music(self, line: str) -> None:
        """A line of music."""
        at = 0
        while at < len(line):
            match = _TOKEN.match(line, at)
            if match is None:
                self._no_abc(line[at : at + 12])
            at = match.end()
            kind = match.lastgroup or ""
            # The innermost named group that matched last is a part of a note.
            kind = next(name for name in _KINDS if match[name] is not None) or kind
            getattr(self, f"_{kind}")(match)

    def _no_abc(self, text: str) -> NoReturn:
        raise RequestError(
            f"{self._where()} holds {shown(text)}, which is no ABC; notes are written like C D E F G A B c d e, longer"
            " ones like C2, sharps like ^F"
        )

    def _field(self, match: re.Match[str]) -> None:
        text = match[0][1:-1]
        self.field(text[0], text[2:].strip())

    def _ending(self, match: re.Match[str]) -> None:
        if match[0].strip("[ ")[:1] in "|:":
            self._end_bar()
        self.trouble = self.trouble or "has a first or second ending; write out the one you play"

    def _bar(self, _match: re.Match[str]) -> None:
        self._end_bar()

    def _end_bar(self) -> None:
        self._held = {}
        if not self.notes:
            return
        filled = sum((note.value.length for note in self.notes), Fraction(0))
        metre = self.metre or _free(filled)
        pickup = not self.bars and filled < metre.length and self.number == 1
        number = 0 if pickup else self.number
        self.bars.append(ReadBar(str(number), metre, self.key.signature, tuple(self.notes), self.trouble))
        self.number = number + 1
        self.notes, self.trouble = [], ""
        if len(self.bars) > _MOST_BARS_READ:
            raise RequestError(f"these are more than {_MOST_BARS_READ} bars; give the {MOST_BARS} you drill")

    def _tuplet(self, match: re.Match[str]) -> None:
        parts = match[0][1:].split(":")
        actual = int(parts[0])
        compound = self.metre is not None and self.metre.count % 3 == 0 and self.metre.count > 3
        usual = _TUPLET_TIMES.get(actual, 3 if compound else 2)
        if actual > 9 and len(parts) < 2:
            raise RequestError(
                f"{self._where()} has a tuplet of {actual}; say in the time of how many, like ({actual}:8"
            )
        normal = int(parts[1]) if len(parts) > 1 and parts[1] else usual
        self.left = int(parts[2]) if len(parts) > 2 and parts[2] else actual
        if not (1 <= actual <= 64 and 1 <= normal <= 64 and 1 <= self.left <= 64):
            raise RequestError(
                f"{self._where()} has the tuplet {match[0]}; its numbers go from 1 to 64, like (3:2:3"
            )
        self.tuplet = Tuplet(actual, normal)
        self.starts = True

    def _grace(self, match: re.Match[str]) -> None:
        found = []
        for one in _TOKEN.finditer(match[0].strip("{}/ ")):
            if one["note"] is not None:
                pitch = self._pitch(one)
                found.append((pitch, Value(16 if len(match[0]) > 4 else 8)))
        self.graces = tuple(found)

    def _named(self, match: re.Match[str]) -> None:
        mark = _NAMED.get(match[0][1:-1].strip())
        if mark:
            self.marks.append(mark)

    def _quoted(self, _match: re.Match[str]) -> None:
        """A chord name or words over the staff: none of our business."""

    def _mark(self, match: re.Match[str]) -> None:
        if match[0] not in _USUAL_SYMBOLS and match[0] not in self.symbols:
            self._no_abc(match[0])
        mark = _DECORATIONS.get(match[0])
        if mark:
            self.marks.append(mark)

    def _space(self, _match: re.Match[str]) -> None:
        """White space and line breaks."""

    def _open(self, _match: re.Match[str]) -> None:
        self.opens += 1

    def _close(self, _match: re.Match[str]) -> None:
        if self.notes:
            last = self.notes[-1]
            self.notes[-1] = replace(last, closes=last.closes + 1)
        elif self.bars:
            bar = self.bars[-1]
            last = bar.notes[-1]
            self.bars[-1] = replace(bar, notes=(*bar.notes[:-1], replace(last, closes=last.closes + 1)))

    def _tie(self, _match: re.Match[str]) -> None:
        if self.notes and self.notes[-1].pitch is not None:
            last = self.notes[-1]
            assert last.pitch is not None  # noqa: S101  # for the type checker
            self.notes[-1] = replace(last, tie=True)
            self._tied[last.pitch.octave, last.pitch.step] = last.pitch.alter

    def _chord(self, _match: re.Match[str]) -> None:
        raise RequestError(
            f"{self._where()} has a chord; a drill is made of one note at a time, so write the one you play"
        )

    def _broken(self, match: re.Match[str]) -> None:
        if not self.notes:
            return
        dots = len(match[0])
        if dots > 3:
            raise RequestError(f"{self._where()} has a broken rhythm of {dots} signs; at most three are read")
        long, short = 2 - Fraction(1, 2**dots), Fraction(1, 2**dots)
        before, after = (long, short) if match[0][0] == ">" else (short, long)
        last = self.notes[-1]
        self._put_back(last, before)
        self.broken = after

    def _put_back(self, last: ReadNote, factor: Fraction) -> None:
        """The last note once more, longer or shorter."""
        written = last.value.written * factor
        value = value_of(written * (last.value.tuplet.scale if last.value.tuplet else 1), last.value.tuplet)
        if value is None:
            raise RequestError(f"{self._where()} has a broken rhythm that cannot be written")
        self.notes[-1] = replace(last, value=value)

    def _note(self, match: re.Match[str]) -> None:
        self._add(self._pitch(match), match["length"])

    def _rest(self, match: re.Match[str]) -> None:
        self._add(None, match["rlength"])

    def _bars(self, match: re.Match[str]) -> None:
        count = int(match["count"] or 1) if len(match["count"]) <= 3 else 1000
        for _ in range(min(count, _MOST_BARS_READ)):
            metre = self.metre or Metre.parse("4/4")
            whole = tuple(ReadNote(None, value) for value in split_length(Fraction(0), metre.length, metre))
            self.notes += whole
            if count > 1:
                self._end_bar()
        self.began = True

    def _pitch(self, match: re.Match[str]) -> Pitch:
        letter, marks = match["letter"], match["marks"]
        step = LETTERS.index(letter.upper())
        octave = 4 + letter.islower() + marks.count("'") - marks.count(",") + self.key.octave
        if len(marks) > 9:
            raise RequestError(f"{self._where()} has a note of {len(marks)} octave marks; at most 9 are read")
        place = (octave, step)
        everywhere = (-1, step)
        if match["sign"]:
            alter = _SIGNS[match["sign"]]
            self._held[everywhere if self.propagate == "pitch" else place] = alter
            if self.propagate == "not":
                self._held = {}
        else:
            usual = self.key.alter(step)
            alter = self._held.get(place, self._held.get(everywhere, self._tied.get(place, usual)))
        self._tied = {}
        return Pitch(step, alter, octave)

    def _add(self, pitch: Pitch | None, length: str) -> None:
        self.began = True
        unit = self.unit or unit_for(self.metre)
        written = unit * self._factor(length) * self.broken
        tuplet = self.tuplet if self.left else None
        values = self._values(written, tuplet)
        stops = bool(tuplet) and self.left == 1
        for place, value in enumerate(values):
            last = place == len(values) - 1
            self.notes.append(
                ReadNote(
                    pitch,
                    value,
                    tie=not last and pitch is not None,
                    opens=0 if place else self.opens,
                    marks=() if place else tuple(self.marks),
                    graces=() if place else self.graces,
                    starts=self.starts and not place,
                    stops=stops and last,
                )
            )
        left, tuplet = self.left - 1, self.tuplet
        self._clear()
        if left > 0:
            self.left, self.tuplet = left, tuplet

    def _values(self, written: Fraction, tuplet: Tuplet | None) -> tuple[Value, ...]:
        if written > 16:
            raise RequestError(f"{self._where()} has a note of {written} whole notes; at most 16 can be read")
        one = value_of(written * (tuplet.scale if tuplet else 1), tuplet)
        if one is not None:
            return (one,)
        try:
            metre = _free(max(written, Fraction(1)))
            return tuple(replace(value, tuplet=tuplet) for value in split_length(Fraction(0), written, metre))
        except RequestError:
            raise RequestError(
                f"{self._where()} has a note of {written} of a whole note; it cannot be written, so use a tuplet"
            ) from None

    def _factor(self, text: str) -> Fraction:
        number, slash, divisor = text.partition("/")
        slashes = len(slash) + len(divisor) - len(divisor.lstrip("/"))
        divisor = divisor.lstrip("/")
        if max(len(number), len(divisor)) > _LONGEST_NUMBER or slashes > 6:
            raise RequestError(f"{self._where()} has the length {shown(text)}; write one like 3/2")
        top = int(number or 1)
        below = int(divisor) if divisor else 2**slashes
        if not top or not below:
            raise RequestError(f"{self._where()} has a note without length; write one like C or C2")
        return Fraction(top, below)

    def finish(self) -> AbcTune:
        """The tune."""
        self._end_bar()
        if not self.bars:
            raise RequestError(
                "there are no notes in it; write some like [K:F][M:4/4][L:1/16] fgab c'bag | f4"
            )
        return AbcTune(tuple(self.bars), self.title, self.source, self.goal, tuple(self.directives))


def _free(length: Fraction) -> Metre:
    """A metre that is as long as what it holds."""
    return Metre(length.numerator, length.denominator, (length,))


_KINDS = (
    "field", "ending", "bar", "tuplet", "grace", "named", "quoted", "note", "rest", "bars", "broken", "tie", "open",
    "close", "chord", "mark", "space",
)  # fmt: skip
