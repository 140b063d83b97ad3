"""The records that leave this stage: notes in bars, and the exercise they make.

Pitches are written pitches unless a field says sounding. Lengths are fractions of a whole note.
"""

from dataclasses import dataclass, field, replace
from fractions import Fraction
from typing import Literal

from generator.theory.chord import Chord
from generator.theory.duration import Metre, Value
from generator.theory.pitch import Pitch

Slur = Literal["start", "stop", "stop start", "inside"]


@dataclass(frozen=True, slots=True)
class Note:
    """A written note or rest.

    Attributes:
        pitch: written pitch; None for a rest.
        value: note value as written, with its tuplet.
        tie: tied to the next note.
        slur: what a slur does at this note.
        marks: staccato, tenuto, accent, marcato, fermata, breath, roll, in printing order.
        syllable: tonguing syllable under the note.
        dynamic: dynamic signs that begin here: ``p``, ``<`` (crescendo begins), ``>`` , ``!`` (hairpin ends).
        dynamic_end: dynamic signs at its end (a swell that dies away before a breath).
        text: short words over the note (a fingering position, a string of words of ours, never user text).
        tuplet_start: first note of a printed tuplet.
        tuplet_stop: last note of a printed tuplet.
        beam: ``[`` opens and ``]`` closes a beam that differs from the metre's own.
        clef: a clef printed before it, where the clef changes within the bar; "" for none.
        finger: help for the hand, such as valves, a position or a finger, or "".
        grace: a small note before the next one, which takes no time of its own.
        place: a number in a circle over it, where the music is referred to, or "".
        also: what is struck together with it: the other notes of a chord, or of a set of drums.
        chord: the chord that begins here, as its symbol says it over the music, or None.
    """

    pitch: Pitch | None
    value: Value
    tie: bool = False
    slur: Slur | None = None
    marks: tuple[str, ...] = ()
    syllable: str | None = None
    dynamic: tuple[str, ...] = ()
    dynamic_end: tuple[str, ...] = ()
    text: str | None = None
    tuplet_start: bool = False
    tuplet_stop: bool = False
    beam: str | None = None
    clef: str = ""
    finger: str = ""
    grace: bool = False
    place: str = ""
    also: tuple[Pitch, ...] = ()
    chord: Chord | None = None

    @property
    def length(self) -> Fraction:
        """Real length."""
        return Fraction(0) if self.grace else self.value.length

    def marked(self, *marks: str) -> "Note":
        """The note with more marks.

        >>> Note(Pitch.parse("Bb3"), Value(4)).marked("accent", "tenuto").marks
        ('accent', 'tenuto')
        """
        return replace(self, marks=(*self.marks, *(m for m in marks if m not in self.marks)))


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar.

    Attributes:
        metre: its time signature.
        notes: what it holds; lengths add up to the metre exactly, but for an incomplete bar.
        equivalence: note values that stay equal over the barline before it, as in eighth = eighth.
        label: words over its first note, where a cell of a drill begins, or "".
        incomplete: it holds less than its metre, as a pickup does.
        signature: key signature in fifths from here on, where it is another one than before.
        ends: the barline after it: "repeat", "double", or "" for the usual one.
    """

    metre: Metre
    notes: tuple[Note, ...]
    equivalence: tuple[Value, Value] | None = None
    label: str = ""
    incomplete: bool = False
    signature: int | None = None
    ends: str = ""

    @property
    def filled(self) -> Fraction:
        """Sum of its lengths."""
        return sum((n.length for n in self.notes), Fraction(0))

    @property
    def length(self) -> Fraction:
        """How long it lasts."""
        return self.filled if self.incomplete else self.metre.length


@dataclass(frozen=True, slots=True)
class Tempo:
    """A metronome mark: beats of ``unit`` a minute."""

    unit: Value
    bpm: int


@dataclass(frozen=True, slots=True)
class Exercise:
    """A request made into bars for one instrument at one level.

    Attributes:
        phrase: canonical phrase of the request.
        head: key, form and figure, as a heading names them.
        details: span, rhythm, articulation and the like, where they are not obvious.
        concert_heading: the concert key in small print for transposing instruments, or "".
        instrument: catalogue name.
        level: level name, or "own range".
        key: written tonic, ``F#``.
        form: form name.
        figure: figure name.
        span: span played.
        asked_span: span asked for.
        signature: written key signature in fifths; 0 none.
        clefs: clef each bar begins in.
        bars: the music.
        tempo: metronome mark asked for, if any.
        tempi: a row of tempi to tick, in beats per minute.
        beat: note value the tempo counts.
        notes: lines for the person (a narrower span was used; cautions).
        reason: one line under the heading.
        feel: words over the first bar (Swing), or "".
        ottava: printed an octave lower under an 8va line.
        drone: concert note of a drone to play against, or "".
        long: long tones, whose spacing follows time exactly.
        unit: bars that belong together on a line.
        repeats: how often the whole is played; more than once with a repeat sign.
        digits: where the fingers of a keyboard stand, "above" or "below" the notes; "" where help stands in a line of
            its own under the staff.
        left: what the left hand plays on a staff of its own, where hands are together.
        recipe: what a drill makes of a passage, or "" for every other exercise.
        metre_shown: time signatures are printed.
        called: number on the page instead of its place, or None; "" for none.
        beneath: rows under the music, each a heading, or "", and a line; boxes to tick stand after its bars ``|``.
        follows: more music under the same number.
        text: the player's own music it was made of, as a text from which it can be made again, or "".
        ticked: tempi have squares to tick, and there is a line to write one on where none is asked for.
    """

    phrase: str
    head: str
    details: str
    concert_heading: str
    instrument: str
    level: str
    key: str
    form: str
    figure: str
    span: str
    asked_span: str
    signature: int
    clefs: tuple[str, ...]
    bars: tuple[Bar, ...]
    tempo: Tempo | None = None
    tempi: tuple[int, ...] = ()
    beat: Value = field(default_factory=lambda: Value(4))
    notes: tuple[str, ...] = ()
    reason: str = ""
    feel: str = ""
    ottava: bool = False
    drone: str = ""
    long: bool = False
    unit: int = 1
    repeats: int = 1
    digits: str = ""
    left: "Exercise | None" = None
    recipe: str = ""
    metre_shown: bool = True
    called: str | None = None
    beneath: tuple[tuple[str, str], ...] = ()
    follows: tuple["Exercise", ...] = ()
    text: str = ""
    ticked: bool = True

    @property
    def heading(self) -> str:
        """The whole heading."""
        return f"{self.head}, {self.details}" if self.details else self.head

    @property
    def clef(self) -> str:
        """Clef it begins in."""
        return self.clefs[0]

    @property
    def hands(self) -> "tuple[Exercise, ...]":
        """Its staves from the top: itself, and what the left hand plays."""
        return (self,) if self.left is None else (self, self.left)

    @property
    def pitches(self) -> tuple[Pitch, ...]:
        """All written pitches in order, ties included."""
        return tuple(n.pitch for b in self.bars for n in b.notes if n.pitch is not None)
