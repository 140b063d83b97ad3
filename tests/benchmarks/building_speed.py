"""How fast exercises are built, against the same notes put into music21 streams.

    python tests/benchmarks/building_speed.py [--repeats 7] [--goal 100]

Builds the same requests both ways and prints notes a second, the median of several repeats taken by turns, so
that a busy machine slows both. What counts as built: with us bars of notes with ties, slurs, marks, syllables and
tuplets, from the phrase on; with music21 a part of measures that holds the same. Two figures stand for music21:
streams alone, and streams that also know their beams and accidentals, which its score needs before it can be shown.
Leaves with exit code 1 where the first ratio is below the goal.
"""

import argparse
import statistics
import sys
import time
from collections.abc import Callable, Sequence

from music21 import articulations, duration, key, meter, note, spanner, stream, tie

from generator.catalogue.players import player_named
from generator.exercise.build import Player
from generator.exercise.records import Bar, Exercise, Note
from generator.phrase import expand

PHRASES = (
    "all keys, major in thirds",
    "all keys, harmonic minor, slur two tongue two",
    "all keys, melodic minor, two octaves, triplets, slur two tongue one",
    "all keys, dorian in groups of four, one octave, staccato",
    "all keys, major, all slurred, dotted eighth and sixteenth",
)
INSTRUMENTS = ("flute", "clarinet in B-flat", "alto saxophone", "tuba")
MARKS = {
    "staccato": articulations.Staccato,
    "tenuto": articulations.Tenuto,
    "accent": articulations.Accent,
    "marcato": articulations.StrongAccent,
}


def build(who: Sequence[Player]) -> list[Exercise]:
    """Our way, from the phrases on."""
    return [e for player in who for e in expand.exercises(PHRASES, player).exercises]


def streams(exercises: Sequence[Exercise], *, notated: bool) -> list[stream.Part]:
    """The same notes as music21 streams.

    Args:
        exercises: what to build again.
        notated: work beams and accidentals out as well.
    """
    parts = [part_of(e) for e in exercises]
    if notated:
        for part in parts:
            part.makeNotation(inPlace=True)
    return parts


def part_of(exercise: Exercise) -> stream.Part:
    """One exercise as a part of measures, with its slurs."""
    part = stream.Part()
    begun: note.Note | None = None
    for number, bar in enumerate(exercise.bars, 1):
        measure = stream.Measure(number=number)
        if number == 1:
            measure.append([key.KeySignature(exercise.signature), meter.TimeSignature(bar.metre.name)])
        begun = fill(part, measure, bar, begun)
        part.append(measure)
    return part


def fill(part: stream.Part, measure: stream.Measure, bar: Bar, begun: note.Note | None) -> note.Note | None:
    """Put the notes of a bar into a measure; the note at which an open slur began goes in and out."""
    for ours in bar.notes:
        theirs = note_of(ours)
        measure.append(theirs)
        for end in (ours.slur or "").split():
            if end == "stop" and begun is not None:
                part.insert(0, spanner.Slur(begun, theirs))
            begun = theirs if end == "start" and isinstance(theirs, note.Note) else None
    return begun


def note_of(ours: Note) -> note.Note | note.Rest:
    """One note."""
    length = duration.Duration(ours.length * 4)
    if ours.pitch is None:
        return note.Rest(duration=length)
    found = note.Note(ours.pitch.name.replace("b", "-"), duration=length)
    found.articulations = [MARKS[m]() for m in ours.marks if m in MARKS]
    if ours.tie:
        found.tie = tie.Tie("start")
    if ours.syllable:
        found.lyric = ours.syllable
    return found


def timed(work: Callable[[], object]) -> float:
    """Seconds of one run."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> int:
    """Measure by turns and print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--repeats", type=int, default=7)
    parser.add_argument("--goal", type=float, default=100.0)
    asked = parser.parse_args()
    who = [player_named(name) for name in INSTRUMENTS]
    built = build(who)
    count = sum(len(b.notes) for e in built for b in e.bars)
    # music21 takes as long for each note of many as of few; a quarter of them will do.
    some = built[::4]
    fewer = sum(len(b.notes) for e in some for b in e.bars)
    ways: dict[str, tuple[int, Callable[[], object]]] = {
        "ours": (count, lambda: build(who)),
        "music21 streams": (fewer, lambda: streams(some, notated=False)),
        "music21 streams with notation": (fewer, lambda: streams(some, notated=True)),
    }
    speeds: dict[str, list[float]] = {name: [] for name in ways}
    for _ in range(asked.repeats):
        for name, (notes, work) in ways.items():
            speeds[name].append(notes / timed(work))
    medians = {name: statistics.median(found) for name, found in speeds.items()}
    ratios = {name: medians["ours"] / median for name, median in medians.items()}
    lines = [f"{len(built)} exercises, {count} notes; medians of {asked.repeats} repeats"]
    lines.append(f"{'':32}{'notes a second':>16}{'ours is':>12}")
    lines += [f"{name:32}{medians[name]:16,.0f}{ratios[name]:10.1f} x" for name in medians]
    print("\n".join(lines))  # what it is for
    return 0 if ratios["music21 streams"] >= asked.goal else 1


if __name__ == "__main__":
    sys.exit(main())
