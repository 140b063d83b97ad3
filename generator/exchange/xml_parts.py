"""Notes, directions and attributes as MusicXML elements, for the writer of scores beside this module.

Pitches are written pitches, as in all MusicXML parts that carry a transposition. The order of the children
of each element is that of the W3C's MusicXML 4.0 schema.
"""

from collections.abc import Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement

from generator.exercise.clef import DRUM_SET, OCTAVE_TREBLE, ONE_LINE, PERCUSSION
from generator.exercise.kit import CROSSES
from generator.exercise.records import Note, Tempo
from generator.theory.chord import Chord
from generator.theory.duration import Metre, Value, value_of
from generator.theory.interval import Interval
from generator.theory.pitch import LETTERS

_TYPES = {
    1: "whole", 2: "half", 4: "quarter", 8: "eighth", 16: "16th", 32: "32nd", 64: "64th",
}  # fmt: skip
_SIGNS = {-2: "flat-flat", -1: "flat", 0: "natural", 1: "sharp", 2: "double-sharp"}
_ARTICULATIONS = {
    "staccato": "staccato", "tenuto": "tenuto", "accent": "accent", "marcato": "strong-accent", "breath": "breath-mark",
}  # fmt: skip
_WAYS = {"down-stroke": "down-bow", "up-stroke": "up-bow"}
_CLEFS = {"treble": ("G", 2), OCTAVE_TREBLE: ("G", 2), "alto": ("C", 3), "tenor": ("C", 4), "bass": ("F", 4)}
_CHORDS = {
    "major": "major", "minor": "minor", "diminished": "diminished", "augmented": "augmented",
    "dominant seventh": "dominant", "major seventh": "major-seventh", "minor seventh": "minor-seventh",
    "minor major seventh": "major-minor", "half-diminished seventh": "half-diminished",
    "diminished seventh": "diminished-seventh", "suspended fourth": "suspended-fourth",
}  # fmt: skip
_HAIRPINS = {"<": "crescendo", ">": "diminuendo"}


def add(parent: Element, tag: str, text: object = "", /, **attributes: object) -> Element:
    """A child element; underscores in attribute names stand for hyphens."""
    child = SubElement(parent, tag, {name.replace("_", "-"): str(v) for name, v in attributes.items()})
    if text != "":
        child.text = line(str(text))
    return child


def line(text: str) -> str:
    """Text as one line of the characters XML allows; escaping is the library's."""
    allowed = (c if c.isprintable() or c.isspace() else "" for c in text)
    return " ".join("".join(allowed).split())


def key(attributes: Element, signature: int) -> None:
    """Key signature, without a mode: a whole-tone scale has none."""
    add(add(attributes, "key"), "fifths", signature)


def time(attributes: Element, metre: Metre, *, shown: bool = True) -> None:
    """Time signature, perhaps one that is not printed."""
    signature = add(attributes, "time", **({} if shown else {"print_object": "no"}))
    add(signature, "beats", metre.count)
    add(signature, "beat-type", metre.unit)


def clef(attributes: Element, name: str, staff: int = 0) -> None:
    """Clef, of one of several staves where a number is given."""
    parent = add(attributes, "clef", **({"number": staff} if staff else {}))
    if name in PERCUSSION:
        add(parent, "sign", "percussion")
        if name == ONE_LINE:
            add(add(attributes, "staff-details"), "staff-lines", 1)
        return
    sign, on_line = _CLEFS[name]
    add(parent, "sign", sign)
    add(parent, "line", on_line)
    if name == OCTAVE_TREBLE:
        add(parent, "clef-octave-change", -1)


def transpose(attributes: Element, sounds: Interval) -> None:
    """What to add to written pitch to get sounding pitch; whole octaves stand apart, as the schema asks."""
    if not (sounds.steps or sounds.semitones):
        return
    octaves = int(sounds.steps / 7)
    parent = add(attributes, "transpose")
    add(parent, "diatonic", sounds.steps - 7 * octaves)
    add(parent, "chromatic", sounds.semitones - 12 * octaves)
    if octaves:
        add(parent, "octave-change", octaves)


def words(measure: Element, text: str, **attributes: object) -> Element:
    """Words over the staff; attributes are those of the words."""
    direction = add(measure, "direction", placement="above")
    add(add(direction, "direction-type"), "words", text, **attributes)
    return direction


def metronome(measure: Element, tempo: Tempo) -> Element:
    """A metronome mark."""
    direction = add(measure, "direction", placement="above")
    mark = add(add(direction, "direction-type"), "metronome")
    _unit(mark, tempo.unit)
    add(mark, "per-minute", tempo.bpm)
    return direction


def equal_values(measure: Element, old: Value, new: Value) -> Element:
    """Values that stay equal over a barline: eighth = eighth."""
    direction = add(measure, "direction", placement="above")
    mark = add(add(direction, "direction-type"), "metronome")
    _unit(mark, old)
    _unit(mark, new)
    return direction


def sound(parent: Element, quarters: Fraction | None, *, swing: bool | None = None) -> None:
    """Playback: tempo in quarter notes a minute, and whether eighths swing two to one from here on."""
    element = add(parent, "sound", **({"tempo": decimal(quarters)} if quarters else {}))
    if swing is None:
        return
    feel = add(element, "swing")
    if swing:
        add(feel, "first", 2)
        add(feel, "second", 1)
        add(feel, "swing-type", "eighth")
    else:
        add(feel, "straight")


def decimal(number: Fraction) -> str:
    """A number as XML decimals are written: ``108``, ``67.5``."""
    return f"{float(number):.6f}".rstrip("0").rstrip(".")


class Hairpins:
    """Dynamic signs, and hairpins that end where the next sign stands."""

    def __init__(self) -> None:
        self._open = False

    def write(self, measure: Element, signs: Sequence[str], early: int = 0) -> None:
        """Directions for the signs at one place.

        Args:
            measure: where the music has come to.
            signs: dynamics and hairpins, in order.
            early: divisions by which they stand before that place.
        """
        if signs and self._open:
            self._wedge(measure, "stop", early)
        for sign in signs:
            if sign in _HAIRPINS:
                self._wedge(measure, _HAIRPINS[sign], early)
            elif sign != "!":
                add(add(self._direction(measure, early), "dynamics"), sign)

    def close(self, measure: Element) -> None:
        """The music ends."""
        if self._open:
            self._wedge(measure, "stop")

    def _wedge(self, measure: Element, kind: str, early: int = 0) -> None:
        add(self._direction(measure, early), "wedge", type=kind, number=1)
        self._open = kind != "stop"

    def _direction(self, measure: Element, early: int) -> Element:
        direction = add(measure, "direction", placement="below")
        kind = add(direction, "direction-type")
        if early:
            add(direction, "offset", -early)
        return kind


class Slurs:
    """Numbers for slurs: two that meet on one note have different ones, and so have those of two staves."""

    def __init__(self, staff: int = 1) -> None:
        self._number = self._first = 2 * staff - 1

    def write(self, notations: Element, slur: str | None) -> None:
        """The ends of slurs at one note."""
        for kind in (slur or "").split():
            if kind == "start":
                add(notations, "slur", type="start", number=self._number)
            elif kind == "stop":
                add(notations, "slur", type="stop", number=self._number)
                self._number = 2 * self._first + 1 - self._number


def note_element(
    measure: Element,
    note: Note,
    divisions: int,
    *,
    sign: bool,
    tied: bool,
    beams: Sequence[str],
    unit: Value | None,
    clef: str = "",
    part: str = "",
    chord: bool = False,
    voice: int = 1,
    staff: int = 0,
    whole_bar: bool = False,
) -> Element:
    """A note or rest without its notations and lyric.

    Args:
        measure: where it stands.
        note: the note, in written pitch.
        divisions: divisions of a quarter note.
        sign: an accidental stands before it.
        tied: a tie from the note before ends on it.
        beams: its beams, from the eighth's inwards.
        unit: the value its tuplet counts.
        clef: that of a percussion staff, where its place is no pitch.
        part: identity of the part of a set of drums that plays it.
        chord: it sounds together with the note before it.
        voice: its voice.
        staff: its staff, where a part has several.
        whole_bar: it is a rest that fills its bar, and stands in its middle.
    """
    element = add(measure, "note")
    if note.grace:
        add(element, "grace")
    if chord:
        add(element, "chord")
    pitched = clef not in PERCUSSION
    _sounds(element, note, clef, whole_bar=whole_bar)
    _duration(element, note, divisions, tied=tied)
    if part:
        add(element, "instrument", id=part)
    add(element, "voice", voice)
    add(element, "type", _TYPES[note.value.base])
    for _ in range(note.value.dots):
        add(element, "dot")
    if sign and note.pitch and pitched:
        add(element, "accidental", _SIGNS[note.pitch.alter])
    _modification(element, note.value, unit)
    if clef == DRUM_SET and note.pitch in CROSSES:
        add(element, "notehead", "x")
    if staff:
        add(element, "staff", staff)
    for depth, beam in enumerate(beams, 1):
        add(element, "beam", beam, number=depth)
    return element


def _sounds(element: Element, note: Note, clef: str, *, whole_bar: bool) -> None:
    """A pitch, a place on a percussion staff, or a rest."""
    if note.pitch is None:
        add(element, "rest", **({"measure": "yes"} if whole_bar else {}))
    elif clef in PERCUSSION:
        # Read as in the treble clef, the only line being the lowest one (schema, display-step-octave).
        display = add(element, "unpitched")
        add(display, "display-step", LETTERS[note.pitch.step] if clef == DRUM_SET else "E")
        add(display, "display-octave", note.pitch.octave)
    else:
        pitch = add(element, "pitch")
        add(pitch, "step", LETTERS[note.pitch.step])
        if note.pitch.alter:
            add(pitch, "alter", note.pitch.alter)
        add(pitch, "octave", note.pitch.octave)


def _duration(element: Element, note: Note, divisions: int, *, tied: bool) -> None:
    """How long a note lasts, small notes no time at all, and its ties."""
    if not note.grace:
        add(element, "duration", int(note.length * 4 * divisions))
    for kind, there in (("stop", tied), ("start", note.tie)):
        if there:
            add(element, "tie", type=kind)


def notations(
    element: Element, note: Note, slurs: Slurs, *, tied: bool, bracket: bool, number: int = 1
) -> None:
    """Ties, slurs, tuplet brackets, articulations, fermatas and fingerings of a note; tuplets under their number."""
    parent = Element("notations")
    for kind, there in (("stop", tied), ("start", note.tie)):
        if there:
            add(parent, "tied", type=kind)
    slurs.write(parent, note.slur)
    if note.tuplet_start:
        add(parent, "tuplet", type="start", number=number, bracket="yes" if bracket else "no")
    if note.tuplet_stop:
        add(parent, "tuplet", type="stop", number=number)
    _ornaments(parent, note)
    marks = [m for m in note.marks if m in _ARTICULATIONS]
    if marks:
        articulations = add(parent, "articulations")
        for mark in marks:
            text = "comma" if mark == "breath" else ""
            add(articulations, _ARTICULATIONS[mark], text, **({"type": "up"} if mark == "marcato" else {}))
    _technical(parent, note, tied=tied)
    if "fermata" in note.marks:
        add(parent, "fermata", type="upright")
    if len(parent):
        element.append(parent)


def _ornaments(parent: Element, note: Note) -> None:
    """Trills, turns, mordents and rolls."""
    found = [_ORNAMENTS[mark] for mark in note.marks if mark in _ORNAMENTS]
    if found or "roll" in note.marks:
        ornaments = add(parent, "ornaments")
        for name in found:
            add(ornaments, name)
        if "roll" in note.marks:
            add(ornaments, "tremolo", 3, type="single")


def _technical(parent: Element, note: Note, *, tied: bool) -> None:
    """Ways of the bow or plectrum, and help for the hand."""
    ways = [_WAYS[m] for m in note.marks if m in _WAYS]
    if not ways and (tied or not note.finger):
        return
    technical = add(parent, "technical")
    for way in ways:
        add(technical, way)
    if note.finger and not tied:
        add(technical, "fingering", note.finger)


def harmony(measure: Element, chord: Chord) -> None:
    """A chord symbol."""
    parent = add(measure, "harmony")
    root = add(parent, "root")
    add(root, "root-step", LETTERS[chord.root.step])
    if chord.root.alter:
        add(root, "root-alter", chord.root.alter)
    add(parent, "kind", _CHORDS[chord.kind])


def lyric(element: Element, syllable: str) -> None:
    """A tonguing syllable under a note."""
    parent = add(element, "lyric", number=1)
    add(parent, "syllabic", "single")
    add(parent, "text", syllable)


_ORNAMENTS = {
    "trill": "trill-mark",
    "turn": "turn",
    "mordent": "mordent",
    "inverted mordent": "inverted-mordent",
}


def tuplet_unit(notes: Sequence[Note]) -> Value | None:
    """The value a tuplet counts: its whole written length shared out."""
    tuplet = notes[0].value.tuplet
    if tuplet is None:
        return None
    return value_of(sum((n.value.written for n in notes), Fraction(0)) / tuplet.actual)


def _unit(mark: Element, value: Value) -> None:
    add(mark, "beat-unit", _TYPES[value.base])
    for _ in range(value.dots):
        add(mark, "beat-unit-dot")


def _modification(element: Element, value: Value, unit: Value | None) -> None:
    if value.tuplet is None:
        return
    parent = add(element, "time-modification")
    add(parent, "actual-notes", value.tuplet.actual)
    add(parent, "normal-notes", value.tuplet.normal)
    if unit and (unit.base, unit.dots) != (value.base, value.dots):
        add(parent, "normal-type", _TYPES[unit.base])
        for _ in range(unit.dots):
            add(parent, "normal-dot")
