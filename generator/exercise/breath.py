"""Where breath marks stand: how long a player is asked to play on one breath, and where to take the next.

Players breathe at the turns of a line, where a group or a run to the tonic ends, and at barlines; never inside a slur,
between the leading note and the tonic, or close before the end (common practice, no source). Articulations that close
every note with a breath (long tones) set their marks themselves, see articulation; a partial's slurs end in one, see
partials. Where the rhythm has rests, those are the breaths.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, cycle
from typing import Literal

from generator.exercise.records import Note
from generator.exercise.rhythm import Rhythm

Pause = Literal["never", "", "phrase", "turn"]
"""What a breath after a note would part: a leading note from its tonic, nothing, two groups, two halves."""

SECONDS: Mapping[str, int] = {"brass": 10, "flute": 11, "voice": 12, "reed": 14}
"""Seconds on one breath, by how the instrument is sounded: flutes and brass take most air (common practice, no source
for the figures)."""
BREATHING = frozenset(SECONDS)
_USUAL = 72
_FEWEST, _MOST = 6, 32  # quarters
_END = Fraction(3, 2)  # bars
# What a breath costs, and what it costs where it stands: on a beat or after a held note; in the middle of a beat.
_EACH, _UNEVEN, _TOO_LONG = 10, 6, 150
_PLACES = {"turn": (0, 3), "phrase": (2, 4), "": (5, None)}
_OFF_BARLINE = 2


def breath_length(quarters_a_minute: Fraction | None, wind: str = "reed") -> Fraction:
    """How long a player may be asked to play without a breath, as a fraction of a whole note.

    As many seconds as `SECONDS` gives at the tempo asked for (72 when none is), between six and thirty-two quarters.

    Args:
        quarters_a_minute: the tempo asked for.
        wind: how the instrument is sounded.

    >>> print(breath_length(Fraction(60)))  # fourteen quarters
    7/2
    >>> print(breath_length(Fraction(60), "brass"), breath_length(None))  # as at quarter = 72
    5/2 21/5
    """
    quarters = Fraction(quarters_a_minute or _USUAL) * SECONDS[wind] / 60
    return min(max(quarters, Fraction(_FEWEST)), Fraction(_MOST)) / 4


@dataclass(frozen=True, slots=True)
class _Place:
    """A note after which a breath may be taken: where that is, in parts of the grain, and what it costs."""

    index: int
    at: int
    cost: int


def with_breaths(
    worn: list[tuple[Note, ...]], rhythm: Rhythm, longest: Fraction, pauses: Sequence[Pause] = ()
) -> list[tuple[Note, ...]]:
    """Breath marks in a line that is too long for one breath: as few as possible, where they part least.

    Args:
        worn: the notes of the line, each with its written pieces.
        rhythm: for beats and barlines.
        longest: the longest stretch without a breath, a fraction of a whole note.
        pauses: what a breath after each note would part; empty for a line without groups.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.duration import Value
    >>> from generator.theory.pitch import Pitch
    >>> line = [(Note(Pitch.parse("G4"), Value(1)),)] * 9
    >>> marked = with_breaths(line, shared_catalogue().rhythms.find("whole notes"), Fraction(4))
    >>> [bar for bar, (note,) in enumerate(marked, 1) if "breath" in note.marks]
    [3, 6]
    """
    ends = list(accumulate(sum(rhythm.parts(n.value) for n in pieces) for pieces in worn))
    most = int(longest * rhythm.grain)
    if 4 * ends[-1] <= 5 * most or any(slot.rest for slot in rhythm.cell):
        return worn
    nothing: list[Pause] = [""] * len(worn)
    places = _places(worn, rhythm, ends, pauses or nothing)
    found = list(worn)
    for index in _chosen(places, ends[-1], most):
        found[index] = (*found[index][:-1], found[index][-1].marked("breath"))
    return found


def _places(
    worn: Sequence[tuple[Note, ...]], rhythm: Rhythm, ends: Sequence[int], pauses: Sequence[Pause]
) -> list[_Place]:
    """Where breaths may be taken."""
    barlines, beats, last_bar = _lines(rhythm, ends[-1])
    latest = ends[-1] - int(_END * last_bar)
    found: list[_Place] = []
    for index, (pieces, pause) in enumerate(zip(worn[:-1], pauses[:-1], strict=True)):
        at, last = ends[index], pieces[-1]
        if at > latest:
            break
        if pause == "never" or last.slur not in (None, "stop") or last.pitch is None:
            continue
        length = at - (ends[index - 1] if index else 0)
        held = (
            length >= rhythm.grain // 4
            and length > ends[index + 1] - at
            and (index == 0 or length > ends[index - 1] - (ends[index - 2] if index > 1 else 0))
        )
        on_beat, between = _PLACES[pause]
        cost = on_beat if at in beats or held else between
        if cost is not None:
            found.append(_Place(index, at, cost + (0 if at in barlines or pause == "turn" else _OFF_BARLINE)))
    return found


def _chosen(places: Sequence[_Place], end: int, most: int) -> list[int]:
    """The cheapest breaths: few, in good places, in stretches of about the same length that one breath allows."""
    best: list[tuple[float, int | None]] = []
    for number, place in enumerate(places):
        options: list[tuple[float, int | None]] = [(_stretch(place.at, most), None)]
        for before in range(number - 1, -1, -1):
            length = place.at - places[before].at
            options.append((best[before][0] + _stretch(length, most), before))
            if length > most:
                break
        cost, before_ = min(options, key=lambda o: o[0])
        best.append((cost + place.cost + _EACH, before_))
    finishes: list[tuple[float, int | None]] = [(_stretch(end, most), None)]
    finishes += [(best[k][0] + _stretch(end - p.at, most), k) for k, p in enumerate(places)]
    chosen = min(finishes, key=lambda o: o[0])[1]
    found: list[int] = []
    while chosen is not None:
        found.append(places[chosen].index)
        chosen = best[chosen][1]
    return found


def _stretch(length: int, most: int) -> float:
    """What it costs to play so long on one breath."""
    share = length / most
    return _UNEVEN * share * share + (_TOO_LONG * (share - 1) if share > 1 else 0)


def _lines(rhythm: Rhythm, end: int) -> tuple[set[int], set[int], int]:
    """Barlines and beats up to a place, in parts of the rhythm's grain, and the length of the last bar."""
    barlines: set[int] = set()
    beats: set[int] = set()
    place = length = 0
    for metre in cycle(rhythm.metres):
        if place >= end:
            break
        beats |= {place + int(start * rhythm.grain) for start in metre.beat_starts}
        length = int(metre.length * rhythm.grain)
        place += length
        barlines.add(place)
    return barlines, beats | barlines, length
