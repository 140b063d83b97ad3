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
from generator.passage.abc_fields import unit_for
from generator.passage.abc_head import TuneHead
from generator.passage.abc_lengths import broken_factors, factor_of, free, stretched, tuplet_of, values_of
from generator.passage.abc_pitches import HeldAccidentals
from generator.passage.abc_tokens import DECORATIONS, NAMED_DECORATIONS, USUAL_SYMBOLS, next_field, tokens
from generator.passage.records import MOST_BARS, ReadBar, ReadNote
from generator.theory.duration import Metre, Tuplet, Value, split_length
from generator.theory.pitch import Pitch

LONGEST_TEXT = 64 * 1024
_MOST_BARS_READ = 4000


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


def _pass_over(_text: str) -> None:
    """What stands among grace notes and is none."""


class _AbcReader:
    """What has been read so far."""

    def __init__(self) -> None:
        self.head = TuneHead()
        self.bars: list[ReadBar] = []
        self.notes: list[ReadNote] = []
        self.number = 1
        self.trouble = ""
        self.accidentals = HeldAccidentals()
        self.voice: str | None = None
        self.skipping = self.in_body = False
        self.began = False
        self._clear()

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
            self._said(line[2:].strip())
            return
        line = re.sub(r"(?<!\\)%.*", "", line)
        if re.match(r"[A-Za-z+]:", line) and not line.startswith("|"):
            self.field(line[0], line[2:].strip())
            return
        self.music(line)

    def field(self, name: str, value: str) -> None:
        """An information field, on a line of its own or in brackets."""
        if name == "V":
            self._voice(value)
            return
        if self.skipping and self.in_body:
            return
        self.head.field(name, value, self._where())
        if name == "K":
            self.accidentals.forget()
            self.in_body, self.skipping = True, self.skipping and self.in_body
        elif name == "I":
            self._said(value)

    def _said(self, directive: str) -> None:
        """A directive that says where bars begin to be numbered, or how far accidentals hold."""
        name, value = self.head.directive(directive)
        if name == "propagate-accidentals":
            self.accidentals.propagate = value
        elif name in ("setbarnb", "measurefirst") and value.isdecimal() and len(value) <= 6:
            self.number = int(value)

    def _voice(self, value: str) -> None:
        """The voice that goes on from here: the first that is named is read, all others are passed over."""
        name = value.split(maxsplit=1)[0] if value.split() else ""
        if self.voice is None:
            self.voice = "" if self.began else name
        self.skipping = name != self.voice

    def _where(self) -> str:
        return f"bar {self.number}"

    def music(self, line: str) -> None:
        """A line of music."""
        at = 0
        while at < len(line):
            if self.skipping:
                found = next_field(line, at)
                if found is None:
                    return
                self._field(found)
                at = found.end()
            for kind, match in tokens(line, self._no_abc, at):
                getattr(self, f"_{kind}")(match)
                at = match.end()
                if self.skipping:
                    break

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
        self.accidentals.forget()
        if not self.notes:
            return
        filled = sum((note.value.length for note in self.notes), Fraction(0))
        metre = self.head.metre or free(filled)
        pickup = not self.bars and filled < metre.length and self.number == 1
        number = 0 if pickup else self.number
        self.bars.append(
            ReadBar(str(number), metre, self.head.key.signature, tuple(self.notes), self.trouble)
        )
        self.number = number + 1
        self.notes, self.trouble = [], ""
        if len(self.bars) > _MOST_BARS_READ:
            raise RequestError(f"these are more than {_MOST_BARS_READ} bars; give the {MOST_BARS} you drill")

    def _tuplet(self, match: re.Match[str]) -> None:
        self.tuplet, self.left = tuplet_of(match[0], self.head.metre, self._where())
        self.starts = True

    def _grace(self, match: re.Match[str]) -> None:
        found = []
        for kind, one in tokens(match[0].strip("{}/ "), _pass_over):
            if kind == "note":
                pitch = self.accidentals.pitch(one, self.head.key, self._where())
                found.append((pitch, Value(16 if len(match[0]) > 4 else 8)))
        self.graces = tuple(found)

    def _named(self, match: re.Match[str]) -> None:
        mark = NAMED_DECORATIONS.get(match[0][1:-1].strip())
        if mark:
            self.marks.append(mark)

    def _quoted(self, _match: re.Match[str]) -> None:
        """A chord name or words over the staff: none of our business."""

    def _mark(self, match: re.Match[str]) -> None:
        if match[0] not in USUAL_SYMBOLS and match[0] not in self.head.symbols:
            self._no_abc(match[0])
        mark = DECORATIONS.get(match[0])
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
            self.accidentals.tie(last.pitch)

    def _chord(self, _match: re.Match[str]) -> None:
        raise RequestError(
            f"{self._where()} has a chord; a drill is made of one note at a time, so write the one you play"
        )

    def _broken(self, match: re.Match[str]) -> None:
        if not self.notes:
            return
        before, after = broken_factors(match[0], self._where())
        self.notes[-1] = stretched(self.notes[-1], before, self._where())
        self.broken = after

    def _note(self, match: re.Match[str]) -> None:
        self._add(self.accidentals.pitch(match, self.head.key, self._where()), match["length"])

    def _rest(self, match: re.Match[str]) -> None:
        self._add(None, match["rlength"])

    def _bars(self, match: re.Match[str]) -> None:
        count = int(match["count"] or 1) if len(match["count"]) <= 3 else 1000
        for _ in range(min(count, _MOST_BARS_READ)):
            metre = self.head.metre or Metre.parse("4/4")
            whole = tuple(ReadNote(None, value) for value in split_length(Fraction(0), metre.length, metre))
            self.notes += whole
            if count > 1:
                self._end_bar()
        self.began = True

    def _add(self, pitch: Pitch | None, length: str) -> None:
        self.began = True
        unit = self.head.unit or unit_for(self.head.metre)
        written = unit * factor_of(length, self._where()) * self.broken
        tuplet = self.tuplet if self.left else None
        values = values_of(written, tuplet, self._where())
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

    def finish(self) -> AbcTune:
        """The tune."""
        self._end_bar()
        if not self.bars:
            raise RequestError(
                "there are no notes in it; write some like [K:F][M:4/4][L:1/16] fgab c'bag | f4"
            )
        return AbcTune(
            tuple(self.bars), self.head.title, self.head.source, self.head.goal, tuple(self.head.directives)
        )
