"""Timpani, chords and percussion under a section's line. Common practice, no source, but where one is named."""

from collections.abc import Callable
from fractions import Fraction
from itertools import product

import pytest

from generator.exercise.records import Exercise, Note
from generator.exercise.strokes import strong_beats
from generator.section.rehearsal import ChairPart, Rehearsal

KEYS = ("C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F")


def notes(exercise: Exercise) -> list[Note]:
    return [note for bar in exercise.bars for note in bar.notes if note.pitch]


def of(rehearsal: Rehearsal, name: str) -> ChairPart:
    return next(part for part in rehearsal.parts if part.player.instrument.name == name)


@pytest.mark.parametrize("level", ["first notes", "standard", "extended"])
def test_each_note_of_the_timpani_has_a_drum_of_its_own(pages: Callable[..., Rehearsal], level: str) -> None:
    for key in KEYS:
        for form in ("major", "harmonic minor", "blues scale", "major arpeggio"):
            rehearsal = pages(
                "flute, tuba, timpani" if level != "first notes" else "flute, timpani",
                f"concert {key} {form}, a fifth, quarters",
                level=level,
            )
            part = of(rehearsal, "timpani")
            exercise = part.exercises[0]
            used = {note.pitch.height: note.pitch for note in notes(exercise) if note.pitch}
            drums = part.player.compass.drums
            assert 1 <= len(used) <= min(3, len(drums))
            reach = [[n for n, (a, b) in enumerate(drums) if a.height <= h <= b.height] for h in used]
            # Some way to put every note on a drum of its own.
            assert any(len(set(way)) == len(way) for way in product(*reach))
            # The tonic begins and ends.
            tonic = rehearsal.parts[0].heard[0].pitches[0].height % 12
            if "arpeggio" not in form:
                assert notes(exercise)[0].pitch.height % 12 == notes(exercise)[-1].pitch.height % 12 == tonic
            assert all(pitch.note.words in exercise.reason for pitch in used.values())


def test_timpani_and_the_others_have_the_same_bars_and_the_drums_strike_strong_beats(
    pages: Callable[..., Rehearsal],
) -> None:
    rehearsal = pages(
        "flute, horn, timpani", "concert E-flat major, one octave, sixteenths", "concert F major in 6/8"
    )
    flute, drums = of(rehearsal, "flute"), of(rehearsal, "timpani")
    for one, other in zip(flute.exercises, drums.exercises, strict=True):
        assert [bar.metre for bar in one.bars] == [bar.metre for bar in other.bars]
        for bar in other.bars[:-1]:
            place, struck = Fraction(0), []
            for note in bar.notes:
                struck += [place] if note.pitch else []
                place += note.length
            assert struck == [bar.metre.beat_starts[n] for n in strong_beats(bar.metre)]


def test_timpani_narrow_nobody(pages: Callable[..., Rehearsal]) -> None:
    alone = pages("flute, trumpet", "concert F major, two octaves")
    joined = pages("flute, trumpet, timpani", "concert F major, two octaves")
    assert joined.parts[0].exercises == alone.parts[0].exercises
    assert not joined.refused


def test_a_pianist_has_the_line_and_its_chords(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages("flute, piano, guitar", "concert A-flat major, one octave, quarters")
    flute, piano, guitar = (
        of(rehearsal, name).exercises[0] for name in ("flute", "piano", "classical guitar")
    )
    assert [p.note for p in piano.pitches] == [p.note for p in flute.pitches]
    assert [n.chord and n.chord.symbol for n in notes(piano)] == [
        n.chord and n.chord.symbol for n in notes(guitar)
    ]
    assert notes(piano)[0].chord.symbol == "Ab"
    left = piano.left
    assert left is not None
    assert guitar.left is None
    for bar in left.bars:
        assert bar.filled == bar.metre.length
    first = notes(left)[0]
    assert {p.note.name for p in (first.pitch, *first.also)} == {"Ab", "C", "Eb"}
    assert first.pitch.note.name == "Ab"
    # The tonic chord ends as it began.
    assert (notes(left)[-1].pitch, notes(left)[-1].also) == (first.pitch, first.also)
    # No left hand is stretched over more than an octave or lies over the line.
    for note in notes(left):
        heights = [p.height for p in (note.pitch, *note.also) if p]
        assert max(heights) - min(heights) < 12
        assert min(heights) >= 45


def test_chords_hold_the_strong_notes_of_the_line(pages: Callable[..., Rehearsal]) -> None:
    held = total = 0
    for key in KEYS:
        for form in ("major", "harmonic minor", "melodic minor", "dorian", "major in thirds"):
            rehearsal = pages("flute, piano", f"concert {key} {form}, one octave, quarters")
            chord = None
            for bar in of(rehearsal, "piano").exercises[0].bars:
                place = Fraction(0)
                for note in bar.notes:
                    chord = note.chord or chord
                    if place in (0, Fraction(1, 2)) and note.pitch:
                        total += 1
                        held += note.pitch.height % 12 in {n.pitch_class for n in chord.notes}
                    place += note.length
    assert held / total > 0.75


def test_mallets_have_sticking_and_roll_where_bars_do_not_ring(pages: Callable[..., Rehearsal]) -> None:
    names = "flute, marimba, xylophone, glockenspiel, vibraphone, tubular bells"
    rehearsal = pages(names, "concert F major, one octave, eighths", "concert F major, a fifth, whole notes")
    for name, letters, rolls in (
        ("marimba", "RLRLRLRL", True), ("xylophone", "RLRLRLRL", True), ("glockenspiel", "RLRLRLRL", False),
        ("vibraphone", "RLRLRLRL", False), ("tubular bells", "", False),
    ):  # fmt: skip
        line, long = of(rehearsal, name).exercises
        assert "".join(n.syllable or "" for n in line.bars[0].notes) == letters
        assert all(("roll" in n.marks) is rolls for n in notes(long))
        assert [n.value for b in long.bars for n in b.notes] == [
            n.value for b in of(rehearsal, "flute").exercises[1].bars for n in b.notes
        ]
