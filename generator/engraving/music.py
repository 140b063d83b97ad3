"""Notes as LilyPond text: absolute octaves, English note names, one bar to a line.

Pitches are written pitches. Nothing a person typed passes through here but tonguing syllables, which are
escaped.
"""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from generator.engraving.escape import Ly, ly_string, syllable_string
from generator.exercise.clef import DRUM_SET, OCTAVE_TREBLE, ONE_LINE
from generator.exercise.kit import CROSSES
from generator.exercise.records import Note
from generator.pages.lines import Piece
from generator.theory.chord import Chord
from generator.theory.duration import Metre
from generator.theory.interval import Interval
from generator.theory.pitch import LETTERS, NoteName, Pitch

_MARKS = {
    "staccato": "-.",
    "tenuto": "--",
    "accent": "->",
    "marcato": "-^",
    "fermata": r"\fermata",
    "down-stroke": r"\downbow",
    "up-stroke": r"\upbow",
    "breath": r"\breathe",
    "trill": r"\trill",
    "turn": r"\turn",
    "mordent": r"\mordent",
    "inverted mordent": r"\prall",
}
_ROLL = ":32"
_ENDS = {"repeat": r" \againHere", "double": r" \doubleBar"}
_DYNAMICS = {"<": r"\<", ">": r"\>", "!": r"\!"}
_SLURS = {"start": "(", "stop": ")", "stop start": ")(", "inside": ""}
_SIDES = {"": "", "above": "^", "below": "_"}
_SIGNS = {-2: "ff", -1: "f", 0: "", 1: "s", 2: "ss"}
_MODES = {0: "major"}

# Every backslash word that a finished sheet may hold; the second lock refuses what a template uses beyond them.
WORDS = frozenset(
    {
        "version",
        "include",
        "header",
        "paper",
        "score",
        "layout",
        "midi",
        "book",
        "bookOutputName",
        "mm",
        "clef",
        "octaveTreble",
        "key",
        "major",
        "time",
        "tempo",
        "tuplet",
        "ottava",
        "transposition",
        "outline",
        "override",
        "fermata",
        "downbow",
        "upbow",
        "breathe",
        "after",
        "sameUnit",
        "over",
        "addlyrics",
        "beside",
        "with",
        "new",
        "Staff",
        "PianoStaff",
        "markup",
        "stacked",
        "music-text",
        "largeGive",
        "thicker",
        "plainLetters",
        "plainLayout",
        "namesInHeads",
        "tinted",
        "MarkLine",
        "break",
        "pageBreak",
        "bar",
        "fin",
        "again",
        "againHere",
        "doubleBar",
        "cell",
        "placed",
        "grace",
        "partial",
        "metreHidden",
        "keysAlone",
        "below",
        "trill",
        "turn",
        "mordent",
        "prall",
        "mayPart",
        "outline-row",
        "outline-cell",
        "free",
        "context",
        "Score",
        "longTones",
        "<",
        ">",
        "!",
        "drumLine",
        "drumStaff",
        "x",
        "ChordLine",
        "chordHere",
        "pp",
        "p",
        "mp",
        "mf",
        "f",
        "ff",
    }
)


def pitch_text(pitch: Pitch) -> str:
    """LilyPond's English name with absolute octave: ``fs''``."""
    marks = pitch.octave - 3
    octave = "'" * marks if marks > 0 else "," * -marks
    return LETTERS[pitch.step].lower() + _SIGNS[pitch.alter] + octave


def clef_text(clef: str) -> str:
    r"""``\clef "bass"``, or our own command for the treble clef with an 8 below it."""
    if clef == DRUM_SET:
        return r"\drumStaff"
    return r"\octaveTreble" if clef == OCTAVE_TREBLE else f'\\clef "{clef}"'


def opening(clef: str, signature: int, metre: Metre, *, ottava: bool = False, feel: str = "") -> Ly:
    """Clef, key signature, time signature and what else stands before the first note."""
    tonic = _major_tonic(signature)
    parts = [clef_text(clef), rf"\key {tonic} \major", time_text(metre)]
    if clef == ONE_LINE:
        parts.insert(0, r"\override Staff.StaffSymbol.line-count = #1 \drumLine")
    if feel:
        parts.insert(0, f'\\tempo "{feel}"')
    if ottava:
        parts.append(r"\ottava #1")
    return Ly(" ".join(parts))


def time_text(metre: Metre) -> str:
    r"""``\time 4/4``, with the grouping where the beats are uneven: ``\time 2,2,3 7/8``."""
    if len(set(metre.beats)) == 1:
        return rf"\time {metre.name}"
    groups = ",".join(str(b * metre.unit) for b in metre.beats)
    return rf"\time {groups} {metre.name}"


def line_texts(
    lines: Sequence[Sequence[Piece]], repeats: int = 1, digits: str = "", page_starts: Sequence[int] = ()
) -> tuple[Ly, ...]:
    r"""One text for each bar, with ``\break`` after each line and the closing bar, or a repeat sign, at the end.

    Args:
        lines: the pieces by line.
        repeats: how often the whole is played.
        digits: where the fingers of a keyboard stand, "above" or "below"; "" for none at the notes.
        page_starts: lines, from 0, that begin a page.
    """
    texts: list[Ly] = []
    previous, lowered = "", False
    for number, line in enumerate(lines):
        for place, piece in enumerate(line):
            text, previous = _piece_text(piece, previous, _SIDES[digits], lowered=lowered)
            lowered = len(piece.notes) - 1 in piece.octaves
            if piece.new_clef:
                text = f"{clef_text(piece.clef)} {text}"
            if piece.partial is not None:
                text = rf"\partial 1*{piece.partial.numerator}/{piece.partial.denominator} {text}"
            if piece.new_metre:
                text = f"{time_text(piece.metre)} {text}"
            if piece.signature is not None:
                text = rf"\key {_major_tonic(piece.signature)} \major {text}"
            at_end = place == len(line) - 1
            last = at_end and number == len(lines) - 1
            if last:
                text += r" \again" if repeats > 1 else _ENDS.get(piece.ends, r" \fin")
            else:
                text += _ENDS.get(piece.ends, " |") if piece.closes else r' \bar ""'
                if at_end:
                    text += r" \pageBreak" if number + 1 in page_starts else r" \break"
            texts.append(Ly(text))
    return tuple(texts)


def mark_line(lines: Sequence[Sequence[Piece]]) -> Ly | None:
    """What stays equal where the metre changes, bar by bar on a level of its own; None when nothing does."""
    pieces = [p for line in lines for p in line]
    if not any(p.equivalence for p in pieces):
        return None
    parts: list[str] = []
    for piece in pieces:
        length = sum((n.length for n in piece.notes), Fraction(0))
        mark = rf' \sameUnit "{piece.equivalence[0]}" "{piece.equivalence[1]}"' if piece.equivalence else ""
        parts.append(f"s1*{length.numerator}/{length.denominator}{mark}")
    return Ly(" ".join(parts))


def chord_line(lines: Sequence[Sequence[Piece]]) -> Ly | None:
    """Chord symbols on a level of their own, note by note; None where there are none."""
    notes = [n for line in lines for piece in line for n in piece.notes if not n.grace]
    if not any(note.chord for note in notes):
        return None
    parts: list[str] = []
    for note in notes:
        symbol = rf" \chordHere {ly_string(_symbol(note.chord))}" if note.chord else ""
        parts.append(f"s1*{note.length.numerator}/{note.length.denominator}{symbol}")
    return Ly(" ".join(parts))


def _symbol(chord: Chord) -> str:
    """With the signs of print."""
    kind = chord.symbol.removeprefix(chord.root.name).replace("b5", "\u266d5")
    return f"{_name(chord.root)}{kind}"


def outline_text(piece: Piece) -> Ly:
    """The first note alone, and room to go on."""
    first = next(n for n in piece.notes if n.pitch is not None)
    assert first.pitch is not None  # noqa: S101  # for the type checker; the line above chose it
    return Ly(rf"\outline {pitch_text(first.pitch)}4 \fin")


def syllable_texts(notes: Iterable[Note]) -> Ly | None:
    """The syllables under some notes, an empty one where a note has none; None when no note has any.

    LilyPond passes by small notes.
    """
    sounding = [n for n in notes if n.pitch is not None and not n.grace]
    if not any(n.syllable for n in sounding):
        return None
    return Ly(" ".join(syllable_string(n.syllable or "") for n in sounding))


def finger_texts(notes: Iterable[Note]) -> Ly | None:
    r"""The help for the hand under some notes, valves one over the other; None when there is none."""
    sounding = [n for n in notes if n.pitch is not None and not n.grace]
    if not any(n.finger for n in sounding):
        return None
    return Ly(" ".join(_finger_text(n.finger) for n in sounding))


def name_texts(notes: Iterable[Note]) -> Ly:
    """The names of some notes, to stand under them; one that is tied to has its name already."""
    texts: list[str] = []
    tied = False
    for note in notes:
        if note.pitch is not None and not note.grace:
            texts.append('""' if tied else rf"\markup \music-text {ly_string(_name(note.pitch))}")
            tied = note.tie
    return Ly(" ".join(texts))


def _name(pitch: Pitch | NoteName) -> str:
    signs = "\u266d" * -pitch.alter if pitch.alter < 0 else "\u266f" * pitch.alter
    return LETTERS[pitch.step] + signs


def _finger_text(finger: str) -> str:
    return rf"\markup \stacked {ly_string(finger)}" if "-" in finger else syllable_string(finger)


def transposition(sounds: Interval) -> Ly:
    r"""``\transposition ef``: what a written middle C sounds as."""
    return Ly(rf"\transposition {pitch_text(sounds.above(Pitch(0, 0, 4)))}")


def _major_tonic(signature: int) -> str:
    from_fifths = ("cf", "gf", "df", "af", "ef", "bf", "f", "c", "g", "d", "a", "e", "b", "fs", "cs")
    return from_fifths[signature + 7]


def _piece_text(piece: Piece, previous: str, side: str, *, lowered: bool) -> tuple[str, str]:
    """The notes of a bar; a rest that fills it stands in its middle."""
    rests = all(note.pitch is None for note in piece.notes)
    if rests and piece.closes and piece.partial is None and not piece.label:
        length = sum((note.length for note in piece.notes), Fraction(0))
        if length == piece.metre.length:
            down = r"\ottava #0 " if lowered else ""
            held = _MARKS["fermata"] if any("fermata" in note.marks for note in piece.notes) else ""
            return f"{down}R1*{length.numerator}/{length.denominator}{held}", ""
    return _notes_text(piece, previous, side, lowered=lowered)


def _notes_text(piece: Piece, previous: str, side: str, *, lowered: bool) -> tuple[str, str]:
    label = piece.label
    parts: list[str] = []
    small: list[str] = []
    for number, note in enumerate(piece.notes):
        if note.grace:
            small.append(pitch_text(note.pitch) + str(note.value) if note.pitch else "")
            continue
        if (number in piece.octaves) != lowered:
            lowered = not lowered
            parts.append(rf"\ottava #{lowered:d}")
        if small:
            parts.append(rf"\grace {{ {' '.join(small)} }}")
            small, previous = [], ""
        if note.tuplet_start and note.value.tuplet:
            parts.append(rf"\tuplet {note.value.tuplet.actual}/{note.value.tuplet.normal} {{")
        drums = piece.clef == DRUM_SET
        text, previous = _note_text(note, previous, side, drums=drums)
        if label:
            text, label = rf"{text} \cell {ly_string(label)}", ""
        parts.append(text)
        if note.tuplet_stop:
            parts.append("}")
    return " ".join(parts), previous


def _note_text(note: Note, previous: str, side: str, *, drums: bool) -> tuple[str, str]:
    value = str(note.value)
    text = _head_text(note, drums=drums) if note.pitch else "r"
    before = f"{clef_text(note.clef)} " if note.clef else ""
    roll = "roll" in note.marks
    if value != previous or roll:
        text += value + _ROLL * roll
    text += "~" if note.tie else ""
    text += _SLURS.get(note.slur or "", "") + (note.beam or "")
    after = ""
    for mark in note.marks:
        if mark == "breath":
            after = r" \breathe"
        elif mark != "roll":
            text += _MARKS[mark]
    if note.finger and side:
        text += f"{side}{note.finger}"
    text += "".join(_DYNAMICS.get(sign, f"\\{sign}") for sign in note.dynamic)
    if note.place:
        text += rf" \placed {ly_string(note.place)}"
    if note.text:
        text += rf" \over {ly_string(_signs(note.text))}"
    if note.dynamic_end:
        # Just before the note ends, so that a swell has died away when the player breathes.
        late = note.length * Fraction(7, 8)
        signs = "".join(f"\\{sign}" for sign in note.dynamic_end)
        text = rf"\after 1*{late.numerator}/{late.denominator} {signs} {text}"
    return before + text + after, value


def _head_text(note: Note, *, drums: bool) -> str:
    """A note, or all that is struck together with it; cymbals of a set of drums have crosses for heads."""
    heads = [
        rf"\x {pitch_text(pitch)}" if drums and pitch in CROSSES else pitch_text(pitch)
        for pitch in (note.pitch, *note.also)
        if pitch is not None
    ]
    return f"<{' '.join(heads)}>" if len(heads) > 1 or drums else heads[0]


def _signs(text: str) -> str:
    return text.replace("-flat", "\u266d").replace("-sharp", "\u266f")
