"""Two independent programs read our MusicXML and find what the JSON contract promises."""

from collections.abc import Callable
from fractions import Fraction
from typing import Any

import pytest

from generator.exchange.formats import Music
from generator.exchange.musicxml import XmlPart, as_musicxml
from generator.theory.duration import Value
from generator.theory.pitch import Pitch

Promised = Callable[[Music], list[Any]]
# A partitura part is a line of points in time; music21 is a tree of streams.
MARKS = {
    "staccato": "Staccato", "tenuto": "Tenuto", "accent": "Accent", "marcato": "StrongAccent", "breath": "BreathMark",
}  # fmt: skip
pytestmark = [
    pytest.mark.filterwarnings("ignore::DeprecationWarning"),
    pytest.mark.filterwarnings("ignore::music21.musicxml.xmlObjects.MusicXMLWarning"),
]


@pytest.fixture(scope="module")
def by_music21(assortment: tuple[Music, ...], xml_of: Any, with_music21: Any) -> list[tuple[Music, Any]]:
    """Each sheet, and the score that music21 finds in it."""
    assert len(assortment) >= 60
    return [(music, with_music21(xml_of(music))) for music in assortment]


@pytest.fixture(scope="module")
def by_partitura(assortment: tuple[Music, ...], xml_of: Any, with_partitura: Any) -> list[tuple[Music, Any]]:
    """Each sheet, and the part that partitura finds in it."""
    return [(music, *with_partitura(xml_of(music))) for music in assortment]


def slurs_promised(heard: list[Any]) -> list[tuple[int, int]]:
    """First and last note of each slur, counted without rests."""
    found: list[tuple[int, int]] = []
    begun = -1
    notes = [h for h in heard if h.written is not None]
    for index, note in enumerate(notes):
        for end in (note.slur or "").split():
            if end == "stop":
                found.append((begun, index))
            elif end == "start":
                begun = index
    return found


def name21(written: str) -> str:
    """A note name as music21 spells it."""
    return written.replace("b", "-")


def test_music21_finds_every_note(by_music21: list[tuple[Music, Any]], promised: Promised) -> None:
    for music, score in by_music21:
        part = score.parts[0]
        notes = list(part.recurse().notesAndRests)
        heard = promised(music)
        phrases = [e.phrase for e in music.exercises]
        assert [n.isRest for n in notes] == [h.written is None for h in heard], phrases
        for note, promise in zip(notes, heard, strict=True):
            assert Fraction(note.getOffsetInHierarchy(part)) == pytest.approx(promise.place, abs=1e-6)
            assert Fraction(note.quarterLength) == pytest.approx(promise.length, abs=1e-6)
            if promise.written is None:
                continue
            assert note.pitch.nameWithOctave == name21(promise.written)
            assert note.lyric == promise.syllable
            kinds = [type(a).__name__ for a in note.articulations]
            assert kinds == [MARKS[m] for m in promise.marks if m in MARKS]
            assert bool([e for e in note.expressions if type(e).__name__ == "Fermata"]) == (
                "fermata" in promise.marks
            )
            assert (note.tie is not None and note.tie.type in ("start", "continue")) == promise.tie
            assert bool(note.duration.tuplets) == (promise.tuplet is not None)


def test_music21_sounds_what_is_promised(by_music21: list[tuple[Music, Any]], promised: Promised) -> None:
    for music, score in by_music21:
        part = score.parts[0].toSoundingPitch()
        heights = [n.pitch.midi for n in part.recurse().notes]
        assert heights == [h.midi for h in promised(music) if h.midi is not None], [
            e.phrase for e in music.exercises
        ]


def test_music21_finds_slurs_tempi_metres_and_clefs(
    by_music21: list[tuple[Music, Any]], promised: Promised
) -> None:
    slurs = 0
    for music, score in by_music21:
        part = score.parts[0]
        assert score.metadata.title == music.title
        place = {id(n): i for i, n in enumerate(part.recurse().notes)}
        found = [
            (place[id(s.getFirst())], place[id(s.getLast())])
            for s in part.spanners
            if type(s).__name__ == "Slur"
        ]
        assert sorted(found) == slurs_promised(promised(music)), [e.phrase for e in music.exercises]
        slurs += len(found)
        bars = [(e, i) for e in music.exercises for i in range(len(e.bars))]
        measures = list(part.getElementsByClass("Measure"))
        metre: Any = None
        clef: Any = None
        for (exercise, index), measure in zip(bars, measures, strict=True):
            metre, clef = measure.timeSignature or metre, measure.clef or clef
            assert metre.ratioString == exercise.bars[index].metre.name
            assert type(clef).__name__.removesuffix("Clef").lower() == exercise.clefs[index]
            if index == 0:
                speed = measure.getElementsByClass("MetronomeMark").first().getQuarterBPM()
                tempo = exercise.tempo
                unit, bpm = (
                    (tempo.unit, tempo.bpm)
                    if tempo
                    else (max(exercise.beat, Value(4), key=lambda v: v.length), 72)
                )
                assert speed == pytest.approx(float(bpm * unit.length * 4), abs=0.01)
    assert slurs > 100


def test_music21_finds_every_beam_well_formed(by_music21: list[tuple[Music, Any]]) -> None:
    """Each level of beams opens, goes on and closes; each flagged note has as many levels as flags, or none."""
    beamed = 0
    for _, score in by_music21:
        part = score.parts[0]
        open_levels: set[int] = set()
        for note in part.recurse().notes:
            flags = {"eighth": 1, "16th": 2, "32nd": 3, "64th": 4}.get(note.duration.type, 0)
            kinds = {b.number: b.type for b in note.beams.beamsList}
            assert len(kinds) in (0, flags)
            for number, kind in kinds.items():
                assert (number in open_levels) == (kind in ("continue", "stop"))
                if kind == "start":
                    open_levels.add(number)
                elif kind == "stop":
                    open_levels.remove(number)
            assert not open_levels or kinds, "a beam over a note without one"
            beamed += bool(kinds)
        assert not open_levels
    assert beamed > 1000


def test_partitura_finds_every_note_slur_and_tempo(
    by_partitura: list[tuple[Music, Any]], promised: Promised, partitura: Any
) -> None:
    pt = partitura.score
    for music, part in by_partitura:
        heard = [h for h in promised(music) if h.written is not None]
        notes = sorted(part.iter_all(pt.Note), key=lambda n: n.start.t)
        quarter = part.quarter_duration_map(0)
        phrases = [e.phrase for e in music.exercises]
        assert len(notes) == len(heard), phrases
        for note, promise in zip(notes, heard, strict=True):
            pitch = Pitch.parse(promise.written)
            assert (note.step, note.alter or 0, note.octave) == (
                "CDEFGAB"[pitch.step],
                pitch.alter,
                pitch.octave,
            )
            assert Fraction(note.start.t) / int(quarter) == promise.place
            assert Fraction(note.duration) / int(quarter) == promise.length
            assert (note.tie_next is not None) == promise.tie
        lines = [(s.start_note, s.end_note) for s in part.iter_all(pt.Slur)]
        place = {id(n): i for i, n in enumerate(notes)}
        assert sorted((place[id(a)], place[id(b)]) for a, b in lines) == slurs_promised(heard), phrases
        speeds = [t.bpm for t in part.iter_all(pt.Tempo)]
        firsts = [
            e.tempo.bpm * e.tempo.unit.length * 4 if e.tempo else 72 * max(e.beat.length * 4, 1)
            for e in music.exercises
        ]
        # A metre that changes the length of the beat adds tempi in between.
        assert set(map(float, firsts)) <= set(speeds)
        assert speeds[0] == float(firsts[0])


def test_partitura_sounds_what_is_promised(
    by_partitura: list[tuple[Music, Any]], promised: Promised, partitura: Any
) -> None:
    pt = partitura.score
    for music, part in by_partitura:
        moves = [(t.diatonic, t.chromatic) for t in part.iter_all(pt.Transposition)]
        # partitura leaves the octave change out of its numbers.
        (chromatic,) = [c for _, c in moves] or [0]
        written = sorted(part.iter_all(pt.Note), key=lambda n: n.start.t)
        heights = [n.midi_pitch + chromatic for n in written]
        wanted = [h.midi for h in promised(music) if h.midi is not None]
        assert {a - b for a, b in zip(heights, wanted, strict=True)} <= {-24, -12, 0, 12, 24}
        assert len({a - b for a, b in zip(heights, wanted, strict=True)}) == 1


def test_music21_finds_each_chair_of_a_score_at_concert_pitch(make_sheet: Any, with_music21: Any) -> None:
    parts = [
        XmlPart(m.instrument, m.exercises)
        for m in (
            make_sheet("concert E-flat major, one octave, quarters", instrument=name)
            for name in ("flute", "clarinet in B-flat", "alto saxophone", "horn in F", "tuba")
        )
    ]
    score = with_music21(as_musicxml("Score", parts)).toSoundingPitch()
    names = [[n.pitch.name for n in p.recurse().notes] for p in score.parts]
    assert len(names) == 5
    # E-flat major, one octave and back.
    line = ["E-", "F", "G", "A-", "B-", "C", "D", "E-", "D", "C", "B-", "A-", "G", "F", "E-"]
    assert names == [line] * 5


def test_music21_hears_swing_marks_as_words(make_sheet: Any, xml_of: Any, with_music21: Any) -> None:
    part = with_music21(xml_of(make_sheet("C major, swung eighths, one octave"))).parts[0]
    assert "Swing" in [t.content for t in part.recurse().getElementsByClass("TextExpression")]
