"""Scores as MusicXML 4.0: one part for a player's sheet, several for a section.

Written with the standard library's XML, not with music21: that library takes half a second to load, does
not write the standard's swing, and decides about accidentals, beams and breaks itself, where ours must say
exactly what the printed page says. It and partitura serve as independent readers in the tests.

The format knows no separate pieces in one file, so that each exercise begins a new system under its number
and heading, and ends with a heavy double bar. The title stands once as the work's title and once as a
credit on page 1. No document type is declared: readers go by the root element, and none has to look for a
definition far away.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import partial
from math import lcm
from xml.etree.ElementTree import Element, indent, tostring

from generator.errors import RequestError
from generator.exchange import xml_parts as xml
from generator.exchange.notation import Accidentals, beam_groups, beams
from generator.exchange.performance import quarters
from generator.exchange.programs import drum_key, program
from generator.exchange.xml_parts import add
from generator.exercise.clef import DRUM_SET, OCTAVE_TREBLE, ending
from generator.exercise.hands import resting_left
from generator.exercise.instrument import Instrument
from generator.exercise.kit import AT, KIT
from generator.exercise.records import Bar, Exercise, Note
from generator.files.version import VERSION
from generator.theory.duration import Value
from generator.theory.interval import UNISON
from generator.theory.pitch import Pitch

# A swell has died away by this share of its note before the note ends, as on our pages.
_EARLY = Fraction(1, 8)


@dataclass(frozen=True, slots=True)
class XmlPart:
    """What one player reads.

    Attributes:
        instrument: decides clef, transposition and sound.
        exercises: in order, in written pitch.
        name: of the chair; the instrument's label when left out.
        breaks: for each exercise the bars, from 0, with which a line begins.
    """

    instrument: Instrument
    exercises: tuple[Exercise, ...]
    name: str = ""
    breaks: tuple[tuple[int, ...], ...] = ()


def as_musicxml(title: str, parts: Sequence[XmlPart], headings: Sequence[str] = ()) -> bytes:
    """A score as MusicXML, in UTF-8.

    Args:
        title: of the sheet.
        parts: from top to bottom; each holds the same number of exercises, and one that has fewer bars is
            filled up with rests.
        headings: over each exercise, instead of those of the first part.

    Raises:
        RequestError: no part, no exercise, or parts of different numbers of exercises.
    """
    if not parts or len({len(p.exercises) for p in parts}) != 1 or not parts[0].exercises:
        raise RequestError("a score needs parts that hold the same number of exercises, at least one")
    root = Element("score-partwise", version="4.0")
    add(add(root, "work"), "work-title", title)
    _encoding(root)
    if title:
        credit = add(root, "credit", page=1)
        add(credit, "credit-type", "title")
        add(credit, "credit-words", title, justify="center", valign="top", font_size=18)
    part_list = add(root, "part-list")
    for number, part in enumerate(parts, 1):
        _score_part(part_list, f"P{number}", part)
    texts = headings or [_heading(n, e) for n, e in enumerate(parts[0].exercises, 1)]
    counts = [max(len(p.exercises[n].bars) for p in parts) for n in range(len(parts[0].exercises))]
    divisions = _divisions(parts)
    parts = [_with_both_hands(_under_an_octave_clef(part)) for part in parts]
    for number, part in enumerate(parts, 1):
        # Only the top staff of a score carries what belongs to the system.
        writer = _Writer(add(root, "part", id=f"P{number}"), part, divisions, texts if number == 1 else ())
        writer.write(counts)
    indent(root)
    return bytes(tostring(root, encoding="UTF-8", xml_declaration=True)) + b"\n"


def _with_both_hands(part: XmlPart) -> XmlPart:
    """A part of two staves has both from beginning to end."""
    if not any(one.left for one in part.exercises):
        return part
    both = (one if one.left else replace(one, left=resting_left(one)) for one in part.exercises)
    return replace(part, exercises=tuple(both))


def _under_an_octave_clef(part: XmlPart) -> XmlPart:
    """A tenor's part: the octave is told by the clef, so that its notes carry the pitch that is heard."""
    if part.instrument.clefs[0] != OCTAVE_TREBLE:
        return part

    def heard(note: Note) -> Note:
        return note if note.pitch is None else replace(note, pitch=part.instrument.sounds.above(note.pitch))

    exercises = tuple(
        replace(e, bars=tuple(replace(b, notes=tuple(map(heard, b.notes))) for b in e.bars))
        for e in part.exercises
    )
    return replace(part, exercises=exercises, instrument=replace(part.instrument, sounds=UNISON))


def _encoding(root: Element) -> None:
    encoding = add(add(root, "identification"), "encoding")
    add(encoding, "software", f"scalewright {VERSION}")
    for element in ("accidental", "beam"):
        add(encoding, "supports", element=element, type="yes")
    add(encoding, "supports", element="print", attribute="new-system", type="yes", value="yes")


def _score_part(part_list: Element, identity: str, part: XmlPart) -> None:
    score_part = add(part_list, "score-part", id=identity)
    add(score_part, "part-name", part.name or part.instrument.label)
    add(score_part, "part-abbreviation", part.instrument.short)
    if part.exercises[0].clef == DRUM_SET:
        _drum_set(score_part, identity)
        return
    add(add(score_part, "score-instrument", id=f"{identity}-I1"), "instrument-name", part.instrument.label)
    # Channels, programmes and keys are counted from 1 here.
    sound = add(score_part, "midi-instrument", id=f"{identity}-I1")
    drum = drum_key(part.instrument)
    if drum is None:
        add(sound, "midi-program", program(part.instrument) + 1)
    else:
        add(sound, "midi-channel", 10)
        add(sound, "midi-unpitched", drum + 1)


def _drum_set(score_part: Element, identity: str) -> None:
    """Every part of a set of drums with its key."""
    for piece in KIT:
        add(add(score_part, "score-instrument", id=f"{identity}-I{piece.key}"), "instrument-name", piece.name)
    for piece in KIT:
        sound = add(score_part, "midi-instrument", id=f"{identity}-I{piece.key}")
        add(sound, "midi-channel", 10)
        add(sound, "midi-unpitched", piece.key + 1)


def _heading(number: int, exercise: Exercise) -> str:
    concert = f" ({exercise.concert_heading})" if exercise.concert_heading else ""
    return f"{number}. {exercise.heading}{concert}"


def _divisions(parts: Sequence[XmlPart]) -> int:
    """Divisions of a quarter in which every length of the score is a whole number."""
    bars = [b for p in parts for e in p.exercises for b in e.bars]
    lengths = (
        {b.metre.length for b in bars} | {b.length for b in bars} | {n.length for b in bars for n in b.notes}
    )
    lengths |= {n.length * _EARLY for b in bars for n in b.notes if n.dynamic_end}
    return lcm(*((length * 4).denominator for length in lengths))


class _Writer:
    """Writes one part, bar by bar."""

    def __init__(self, part_element: Element, part: XmlPart, divisions: int, headings: Sequence[str]) -> None:
        self._element, self._part, self._divisions, self._headings = part_element, part, divisions, headings
        self._number = 0
        self._swung = False
        self._clefs: list[str] = []
        self._key: int | None = None

    def write(self, counts: Sequence[int]) -> None:
        """All exercises, each filled up to a number of bars."""
        for index, exercise in enumerate(self._part.exercises):
            breaks = self._part.breaks[index] if index < len(self._part.breaks) else ()
            self._exercise(index, exercise, breaks, counts[index])

    def _exercise(self, index: int, exercise: Exercise, breaks: Sequence[int], count: int) -> None:
        speeds = quarters(exercise)
        identity = self._element.get("id", "")
        lines = [
            _Line(hand, self._divisions, staff, identity) for staff, hand in enumerate(exercise.hands, 1)
        ]
        several = len(lines) > 1
        measure = self._element
        for place, bar in enumerate(exercise.bars):
            measure = self._measure(new_system=place in breaks or (place == 0 and index > 0))
            self._attributes(measure, exercise, place)
            if place == 0:
                self._opening(measure, index, exercise, speeds[0])
            elif bar.equivalence and self._headings:
                direction = xml.equal_values(measure, *bar.equivalence)
                if speeds[place] != speeds[place - 1]:
                    xml.sound(direction, speeds[place])
            _beginning(measure, bar)
            for line, hand in zip(lines, exercise.hands, strict=True):
                if line is not lines[0]:
                    add(add(measure, "backup"), "duration", int(bar.metre.length * 4 * self._divisions))
                line.bar(measure, hand.bars[place], several=several)
            _inner_barline(measure, "" if bar is exercise.bars[-1] else bar.ends)
            self._clefs = [
                ending(clef, hand.bars[place].notes)
                for clef, hand in zip(self._clefs, exercise.hands, strict=True)
            ]
        for line in reversed(lines):
            line.close(measure)
        for _ in range(count - len(exercise.bars)):
            measure = self._measure(new_system=False)
            self._silent(measure, exercise.bars[-1])
        close = add(measure, "barline", location="right")
        add(close, "bar-style", "light-heavy")
        times = max(exercise.repeats, 2 * (exercise.bars[-1].ends == "repeat"))
        if times > 1:
            add(close, "repeat", direction="backward", times=times)

    def _measure(self, *, new_system: bool) -> Element:
        self._number += 1
        measure = add(self._element, "measure", number=self._number)
        if new_system:
            add(measure, "print", new_system="yes")
        return measure

    def _attributes(self, measure: Element, exercise: Exercise, place: int) -> None:
        bar = exercise.bars[place]
        new_metre = place == 0 or bar.metre.name != exercise.bars[place - 1].metre.name
        # Said again, a clef or key would be announced at the end of the line before.
        signature = exercise.signature if place == 0 else bar.signature
        clefs = [hand.clefs[place] for hand in exercise.hands]
        before, self._clefs = self._clefs or [""] * len(clefs), clefs
        new_clefs = [staff for staff, clef in enumerate(clefs) if clef != before[staff]]
        new_key = signature is not None and signature != self._key
        self._key = self._key if signature is None else signature
        if not (new_metre or new_clefs or (new_key and place)):
            return
        attributes = add(measure, "attributes")
        first = self._number == 1
        if first:
            add(attributes, "divisions", self._divisions)
        if new_key and signature is not None:
            xml.key(attributes, signature)
        if new_metre:
            xml.time(attributes, bar.metre, shown=exercise.metre_shown)
        if first and len(clefs) > 1:
            add(attributes, "staves", len(clefs))
        for staff in new_clefs:
            xml.clef(attributes, clefs[staff], staff + 1 if len(clefs) > 1 else 0)
        if first:
            xml.transpose(attributes, self._part.instrument.sounds)

    def _opening(self, measure: Element, index: int, exercise: Exercise, speed: Fraction) -> None:
        """What stands over the first bar of an exercise."""
        swung = exercise.feel.casefold() == "swing"
        changes = swung if swung != self._swung else None
        self._swung = swung
        if not self._headings:
            return
        heading = xml.words(measure, self._headings[index], font_weight="bold")
        heading.set("system", "only-top")
        if exercise.feel:
            xml.words(measure, exercise.feel)
        parent = xml.metronome(measure, exercise.tempo) if exercise.tempo else measure
        xml.sound(parent, speed, swing=changes)

    def _silent(self, measure: Element, like: Bar) -> None:
        note = add(measure, "note")
        add(note, "rest", measure="yes")
        add(note, "duration", int(like.metre.length * 4 * self._divisions))
        add(note, "voice", 1)


class _Line:
    """The notes of one exercise, with all that goes on from note to note."""

    def __init__(self, exercise: Exercise, divisions: int, staff: int, identity: str) -> None:
        self._exercise, self._divisions, self._staff, self._identity = exercise, divisions, staff, identity
        self._several = False
        self._accidentals = Accidentals(exercise.signature)
        self._slurs, self._hairpins = xml.Slurs(staff), xml.Hairpins()
        self._tied = False
        self._begun = False

    def bar(self, measure: Element, bar: Bar, *, several: bool = False) -> None:
        """The notes of one bar, on one of several staves."""
        self._several = several
        if self._exercise.ottava and not self._begun:
            _octave_shift(measure, "down")
        self._begun = True
        if bar.signature is not None:
            self._accidentals.new_key(bar.signature)
        signs, tuplets = beams(bar), dict(_tuplets(bar))
        for index, note in enumerate(bar.notes):
            unit, bracket = tuplets.get(index, (None, True))
            self._note(measure, note, signs[index], unit, bracket=bracket, alone=len(bar.notes) == 1)
        self._accidentals.next_bar()

    def close(self, measure: Element) -> None:
        """The end of the exercise."""
        self._hairpins.close(measure)
        if self._exercise.ottava:
            _octave_shift(measure, "stop")

    def _note(
        self,
        measure: Element,
        note: Note,
        signs: Sequence[str],
        unit: Value | None,
        *,
        bracket: bool,
        alone: bool,
    ) -> None:
        if note.clef:
            xml.clef(add(measure, "attributes"), note.clef, self._staff if self._several else 0)
        self._hairpins.write(measure, note.dynamic)
        if note.text:
            xml.words(measure, note.text)
        tied = self._tied and note.pitch is not None
        sign = note.pitch is not None and not tied and self._accidentals.shows(note.pitch)
        if note.chord:
            xml.harmony(measure, note.chord)
        told = partial(
            xml.note_element, measure, divisions=self._divisions, tied=tied, unit=unit,
            clef=self._exercise.clef, voice=self._staff, staff=self._staff if self._several else 0,
        )  # fmt: skip
        element = told(note, sign=sign, beams=signs, part=self._drum(note.pitch), whole_bar=alone)
        xml.notations(element, note, self._slurs, tied=tied, bracket=bracket, number=self._staff)
        if note.syllable:
            xml.lyric(element, note.syllable)
        for pitch in note.also:
            sign = not tied and self._accidentals.shows(pitch)
            lower = replace(note, pitch=pitch)
            element = told(lower, sign=sign, beams=(), part=self._drum(pitch), chord=True)
            if tied or note.tie:
                xml.notations(
                    element, replace(lower, slur=None, marks=()), self._slurs, tied=tied, bracket=False
                )
        self._tied = note.tie
        self._hairpins.write(measure, note.dynamic_end, int(note.length * _EARLY * 4 * self._divisions))

    def _drum(self, pitch: Pitch | None) -> str:
        """Identity of the part of a set of drums that stands at a place."""
        return f"{self._identity}-I{AT[pitch].key}" if pitch and self._exercise.clef == DRUM_SET else ""


def _beginning(measure: Element, bar: Bar) -> None:
    """The label of a cell, and whether the bar is incomplete."""
    if bar.label:
        xml.words(measure, bar.label, font_weight="bold")
    if bar.incomplete:
        measure.set("implicit", "yes")


def _inner_barline(measure: Element, ends: str) -> None:
    """The end of a cell: a repeat sign or a double bar."""
    if not ends:
        return
    close = add(measure, "barline", location="right")
    add(close, "bar-style", "light-heavy" if ends == "repeat" else "light-light")
    if ends == "repeat":
        add(close, "repeat", direction="backward")


def _octave_shift(measure: Element, kind: str) -> None:
    """An 8va line: the notes carry their true pitch and are shown an octave lower."""
    direction = add(measure, "direction", placement="above")
    add(add(direction, "direction-type"), "octave-shift", type=kind, size=8, number=1)


def _tuplets(bar: Bar) -> Iterator[tuple[int, tuple[Value | None, bool]]]:
    """For each note under a tuplet the value that is counted, and whether a bracket is needed."""
    beamed = set(beam_groups(bar))
    begun = 0
    for index, note in enumerate(bar.notes):
        if note.tuplet_start:
            begun = index
        if note.tuplet_stop:
            places = tuple(range(begun, index + 1))
            unit = xml.tuplet_unit(bar.notes[begun : index + 1])
            yield from ((place, (unit, places not in beamed)) for place in places)
