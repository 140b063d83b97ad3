"""Slurs over the partials for a whole section: brass on the harmonic series, everybody else in the same chords.

Each bar is one fingering or position of the brass, a half step lower than the bar before; so all of it is a major triad
on one concert note, and who has no valves or slide slurs over the same chord, in the same rhythm, where it lies well.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar
from generator.exercise.partials import FIRST_NOTES, PARTIALS, slurred, tempi_of
from generator.exercise.possible import HARP
from generator.exercise.pour import into_bars, pour
from generator.exercise.records import Bar, Exercise, Note
from generator.exercise.request import Request
from generator.exercise.routine import Routine, Tube
from generator.exercise.tempo import beat_value
from generator.phrase.write import canonical
from generator.section.concert_pitch import at_concert_pitch, in_clef
from generator.section.ensemble import Seat
from generator.section.turns import Turn
from generator.theory.duration import value_of
from generator.theory.interval import Interval
from generator.theory.key import usual_name
from generator.theory.pitch import NoteName, Pitch

_BARS = 7  # valve combinations, and positions of a slide
_MOST_OF_THEM = 4
_B_FLAT = 10
# What slurs over the chord are made of where there is no harmonic series: as partials 2 to 6 lie to each other.
_CHORD = ("P1", "P5", "P8", "M10", "P12")
_CLOSE = ("P1", "M3", "P5", "P8", "M10")  # for who has no room for that
_ROWS = tuple(PARTIALS.values())
_IN_CHORD = frozenset({1, 2, 3, 4, 5, 6, 8, 10, 12, 16})
_FIRST_NOTES_AT_MOST = 3  # different notes of a beginner's pattern
# The thumb valve of a double horn takes it from F to B-flat, a fourth up (common practice).
_HORN, _THUMB, _FOURTH = "horn in F", "T", 5
_REASONS = {
    "brass": "The air moves, not valves or slide; rest as long as you play",
    "string": "One bow to a bar, across the strings from a loose wrist",
    "voice": "One vowel, no push on the higher notes",
    "mallet": "An even roll to each bar, under the slurs of the others",
    "keyboard": "Legato, the hand moving with the line",
    "plucked": "Let each note ring into the next",
}
_BREATH = "One breath to a bar; fingers together, no push on the higher notes"
_CANNOT = {HARP: "The pedals cannot follow the chords bar by bar; count and listen"}
_DRUMS = "The drums cannot be tuned to each bar; count and listen"


@dataclass(frozen=True, slots=True)
class _Group:
    """The notes of one bar.

    Attributes:
        root: sounding height its chord stands on.
        steps: intervals above it.
        label: valves or position; "" where it is fingered note by note.
    """

    root: int
    steps: tuple[Interval, ...]
    label: str = ""

    @property
    def heights(self) -> tuple[int, ...]:
        return tuple(self.root + step.semitones for step in self.steps)


def for_a_section(routine: Routine) -> bool:
    """Whether a routine can be played by everyone together.

    Args:
        routine: any.
    """
    return bool(routine.pattern) and routine.winds == ("brass",)


def flexibility_turn(request: Request, seats: Sequence[Seat]) -> Turn:
    """Slurs over the partials for every seat, bar for bar.

    Args:
        request: a routine over the partials, with a tempo or without.
        seats: who plays.

    Raises:
        DoesNotFitError: nobody has room for it.
    """
    routine = request.form
    assert isinstance(routine, Routine)  # noqa: S101  # whoever asks has looked
    roots = _roots(seats)
    found = [_groups(routine, seat, roots) for seat in seats]
    if not any(found):
        raise DoesNotFitError(f"{routine.name} do not fit between {seats[0].player.compass.words}")
    begin = usual_name(roots[0], 0).words
    read = [
        _made(routine, request, seat.player, seat.player, own) for seat, own in zip(seats, found, strict=True)
    ]
    heard = [
        in_clef(
            _made(routine, request, seat.player, at_concert_pitch(seat.player), own), seat.player.instrument
        )
        if seat.player.instrument.transposes
        else one
        for seat, own, one in zip(seats, found, read, strict=True)
    ]
    name = routine.name[0].upper() + routine.name[1:]
    heading = f"{name}, from concert {begin} down by half steps"
    drums = replace(read[next(n for n, own in enumerate(found) if own)], head=heading, notes=(), beneath=())
    rolled = replace(
        drums,
        bars=tuple(_rolled(bar, Pitch.parse("C4")) for bar in drums.bars),
        reason="Evenly, under the slurs of the others",
    )
    resting = [seat.name for seat, own in zip(seats, found, strict=True) if not own]
    told = (f"resting, because they cannot play it: {', '.join(resting)}",) if resting else ()
    return Turn(heading, tuple(read), tuple(heard), rhythm=rolled, told=told)


def _roots(seats: Sequence[Seat]) -> tuple[int, ...]:
    """The pitch class of each bar's chord: from the open tube that most brass have, B-flat if there are none."""
    tubes = shared_catalogue().tubes
    opened: Counter[int] = Counter()
    for seat in seats:
        instrument = seat.player.instrument
        if instrument.wind == "brass" and instrument.name in tubes:
            opened[(tubes[instrument.name].fundamental.height + instrument.sounds.semitones) % 12] += 1
    most = max(opened.values(), default=0)
    first = _B_FLAT if not opened or opened[_B_FLAT] == most else opened.most_common(1)[0][0]
    return tuple((first - step) % 12 for step in range(_BARS))


def _patterns(routine: Routine, player: Player) -> list[tuple[int, ...]]:
    """The pattern and what it narrows to, from wide to narrow."""
    every = [routine.pattern, *routine.narrower]
    if player.level != FIRST_NOTES:
        return every
    return [p for p in every if len(set(p)) <= _FIRST_NOTES_AT_MOST] or every[-1:]


def _groups(routine: Routine, seat: Seat, roots: Sequence[int]) -> tuple[_Group, ...]:
    """One bar on each root; none at all where the instrument cannot."""
    instrument = seat.player.instrument
    if seat.player.compass.drums or instrument.wind == HARP:
        return ()
    patterns, low, high = _patterns(routine, seat.player), *seat.sounding
    matching = _matching(patterns, roots, low, high)
    if instrument.wind != "brass" or instrument.name not in shared_catalogue().tubes:
        return matching
    on_tube = _on_partials(patterns, _fingerings(seat), roots, low, high)
    if not matching:
        return tuple(filter(None, on_tube)) if all(on_tube) else ()
    # An E-flat tube has two of these chords: slurs that are fingered are one line then.
    if sum(map(bool, on_tube)) < _MOST_OF_THEM:
        return matching
    return tuple(own or beside for own, beside in zip(on_tube, matching, strict=True))


def _fingerings(seat: Seat) -> dict[int, tuple[int, str]]:
    """Sounding fundamental and label of each root that the brass player has, by pitch class."""
    instrument = seat.player.instrument
    tube: Tube = shared_catalogue().tubes[instrument.name]
    base = tube.fundamental.height + instrument.sounds.semitones
    found: dict[int, tuple[int, str]] = {}
    if instrument.name == _HORN and seat.player.level != FIRST_NOTES:
        for label, steps in tube.steps:
            mark = _THUMB if label == "0" else f"{_THUMB}{label}"
            found[(base + _FOURTH + steps) % 12] = (base + _FOURTH + steps, mark)
    for label, steps in tube.steps:
        found.setdefault((base + steps) % 12, (base + steps, label))
    return found


def _on_partials(
    patterns: Sequence[tuple[int, ...]],
    fingerings: dict[int, tuple[int, str]],
    roots: Sequence[int],
    low: int,
    high: int,
) -> list[_Group | None]:
    """The widest pattern that the first root carries, begun as low as all fingerings but one can play it."""
    numbers = list(PARTIALS)
    best: list[_Group | None] = [None] * len(roots)
    for pattern in patterns:
        for start in range(1, len(_ROWS) - max(pattern)):
            if not all(numbers[start + p] in _IN_CHORD for p in pattern):
                continue
            steps = tuple(Interval.parse(_ROWS[start + p]) for p in pattern)
            row = [
                _Group(fingerings[root][0], steps, fingerings[root][1]) if root in fingerings else None
                for root in roots
            ]
            row = [g if g and low <= min(g.heights) and max(g.heights) <= high else None for g in row]
            if sum(map(bool, row)) > sum(map(bool, best)):
                best = row
        if sum(map(bool, best)) >= len(roots) - 1:
            break
    return best


def _matching(
    patterns: Sequence[tuple[int, ...]], roots: Sequence[int], low: int, high: int
) -> tuple[_Group, ...]:
    """The same over the chord for who has no partials: every bar in one register, as near the middle as can be."""
    middle = (low + high) / 2
    lines = [
        tuple(Interval.parse(chord[p - min(pattern)]) for p in pattern)
        for chord in (_CHORD, _CLOSE)
        for pattern in patterns
    ]
    for steps in lines:
        top = max(step.semitones for step in steps)
        offers = [first for first in range(low, high + 1) if first % 12 == roots[0]]
        offers = [first for first in offers if low <= first - len(roots) + 1 and first + top <= high]
        if offers:
            first = min(offers, key=lambda f: abs(f - len(roots) / 2 + top / 2 - middle))
            return tuple(_Group(first - n, steps) for n in range(len(roots)))
    # No register holds all of it: each bar where it can lie.
    for steps in lines:
        top = max(step.semitones for step in steps)
        each = [[f for f in range(low, high - top + 1) if f % 12 == root] for root in roots]
        if all(each):
            return tuple(_Group(min(own, key=lambda f: abs(f + top / 2 - middle)), steps) for own in each)
    return ()


def _pitches(group: _Group, player: Player) -> Iterator[Pitch]:
    """The notes of a bar as a player reads them, spelt from the usual name of its root."""
    height = group.root - player.instrument.sounds.semitones
    name: NoteName = usual_name(height % 12, 0)
    root = Pitch(name.step, name.alter, 0)
    root = root.octaves_up((height - root.height) // 12)
    for step in group.steps:
        yield step.above(root)


def _made(
    routine: Routine, request: Request, player: Player, reader: Player, groups: Sequence[_Group]
) -> Exercise:
    """The exercise of one seat, in the pitch of a reader."""
    instrument, rhythm = player.instrument, routine.rhythm
    wind = instrument.wind
    line = [tuple(_pitches(group, reader)) for group in groups] or [
        (Pitch.parse("C4"),) * len(routine.pattern)
    ] * _BARS
    poured = iter(pour(tuple(p for bar in line for p in bar), rhythm))
    notes: list[Note] = []
    for n, bar in enumerate(line):
        for place in range(len(bar)):
            notes += slurred(next(poured), place, len(bar), groups[n].label if groups else "")
    if wind not in ("flute", "reed", "brass", "voice"):
        notes = [replace(note, marks=tuple(m for m in note.marks if m != "breath")) for note in notes]
    bars = into_bars(tuple(notes), rhythm)
    if not groups:
        bars = tuple(_rolled(bar, None) for bar in bars)
    elif wind == "mallet":
        bars = tuple(_rolled(bar, bar.notes[0].pitch, "roll") for bar in bars)
    partials = any(group.label for group in groups)
    head = routine.name if partials else "flexibility with the brass"
    first = usual_name((groups[0].root if groups else 0) % 12, 0)
    cannot = _DRUMS if player.compass.drums else _CANNOT.get(wind, "Beyond your notes; count and listen")
    horn = instrument.name == _HORN and any(group.label.startswith(_THUMB) for group in groups)
    return Exercise(
        phrase=canonical(request),
        head=head[0].upper() + head[1:],
        details="",
        concert_heading=f"concert {first.words} chord first" if instrument.transposes and groups else "",
        instrument=instrument.name,
        level=player.level,
        key=line[0][0].note.name if groups else "",
        form=routine.name,
        figure="partials" if partials else "flexibility",
        span="full range",
        asked_span="full range",
        signature=0,
        clefs=clefs_by_bar(
            [[note.pitch for note in bar.notes if note.pitch] for bar in bars], reader.instrument.clefs
        ),
        bars=bars,
        tempo=request.tempo,
        tempi=tempi_of(request),
        beat=request.tempo.unit if request.tempo else beat_value(rhythm.metre),
        notes=("T: thumb valve",) if horn else (),
        reason=_REASONS.get(wind, _BREATH) if groups else cannot,
    )


def _rolled(bar: Bar, pitch: Pitch | None, *marks: str) -> Bar:
    """A bar as one note, or one rest."""
    value = value_of(bar.metre.length)
    assert value is not None  # noqa: S101  # the rhythms of routines fill bars of 4/4
    return replace(bar, notes=(Note(pitch, value, marks=marks),))
