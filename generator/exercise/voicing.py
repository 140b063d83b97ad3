"""Chords set for several voices by the usual rules of part writing.

No two voices move in fifths, octaves or unisons; nobody crosses or lies more than an octave above the next voice (a
twelfth above the bass); the bass has the root, a chord all its notes; the leading note is not doubled and rises to the
tonic; no augmented steps. Among what is left the root is doubled rather than the fifth or third, voices move as little
as they can, and each lies near its own middle (common practice; the rules of any harmony primer).
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from generator.errors import DoesNotFitError
from generator.theory.form import Ladder

Chord = tuple[int, ...]
_KEPT = 40  # voicings of a chord that are followed up, the best first
_OCTAVE, _TWELFTH, _FIFTH = 12, 19, 7
_LEADING = 6  # degree, from 0
_WIDEST_LEAP = 9
_COMPLETE = 4  # from so many voices on a chord has all its notes
# Weights: semitones beyond the compass, a doubled third, a doubled fifth, a missing note, voices that overlap, a leap
# into an open interval of the outer voices, each semitone of a leap wider than a third.
_BEYOND, _THIRD, _DOUBLED_FIFTH, _MISSING, _OVERLAP, _DIRECT, _LEAP = 4.0, 2.0, 0.5, 3.0, 3.0, 4.0, 0.4
_NO_THIRD = 8.0


@dataclass(frozen=True, slots=True)
class Voice:
    """One voice.

    Attributes:
        low: lowest height it should have, as the ladder counts.
        high: highest.
        middle: where it lies best.
    """

    low: int
    high: int
    middle: float


@dataclass(frozen=True, slots=True)
class _Tone:
    degree: int
    height: int
    member: int  # 0 root, 1 third, 2 fifth


_Voicing = tuple[_Tone, ...]  # from the bass up


def voiced(chords: Sequence[Chord], ladder: Ladder, voices: Sequence[Voice]) -> tuple[tuple[int, ...], ...]:
    """Set chords for voices.

    Args:
        chords: degrees of root, third and fifth of each chord, in any octave.
        ladder: a scale of seven notes on its tonic.
        voices: from the highest to the lowest.

    Returns:
        For each voice, from the highest on, its degree in each chord.

    Raises:
        DoesNotFitError: the form has no such chords, or the rules leave nothing between these limits.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.theory.pitch import NoteName
    >>> ladder = Ladder(shared_catalogue().forms.find("major"), NoteName.parse("C"))
    >>> four = [Voice(60, 79, 70), Voice(55, 74, 65), Voice(48, 69, 60), Voice(41, 60, 50)]
    >>> for line in voiced([(0, 2, 4), (3, 5, 7), (4, 6, 8), (0, 2, 4)], ladder, four):
    ...     print(*[ladder.pitch(degree) for degree in line])
    G4 A4 G4 G4
    E4 F4 D4 E4
    C4 C4 B3 C4
    C3 F3 G3 C3
    """
    return _voiced(tuple(chords), ladder.form.name, ladder.tonic.name, tuple(voices), _Held(ladder))


class _Held:
    """A ladder that a cache does not look at: form and tonic say all of it."""

    __slots__ = ("ladder",)

    def __init__(self, ladder: Ladder) -> None:
        self.ladder = ladder

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Held)

    def __hash__(self) -> int:
        return 0


@lru_cache(maxsize=256)
def _voiced(
    chords: tuple[Chord, ...], form: str, tonic: str, voices: tuple[Voice, ...], held: _Held
) -> tuple[tuple[int, ...], ...]:
    ladder, rising = held.ladder, voices[::-1]
    if ladder.size != 7 or any(not _consonant(chord, ladder) for chord in chords):
        raise DoesNotFitError(f"{form} has no such chords in every place; ask for major or harmonic minor")
    best: dict[_Voicing, tuple[float, tuple[_Voicing, ...]]] = {
        voicing: (_cost(voicing, rising), (voicing,)) for voicing in _first(chords[0], ladder, rising)
    }
    for before, chord in pairwise(chords):
        row: dict[_Voicing, tuple[float, tuple[_Voicing, ...]]] = {}
        home = chord[0] % ladder.size == 0 and before[0] % ladder.size != 0
        for voicing in sorted(best, key=lambda v: best[v][0])[:_KEPT]:
            total, path = best[voicing]
            for following, moving in _next(voicing, chord, ladder, rising, resolves=home):
                cost = total + moving + _cost(following, rising)
                if following not in row or cost < row[following][0]:
                    row[following] = (cost, (*path, following))
        best = row
    if not best:
        raise DoesNotFitError(f"{len(voices)} voices in {tonic} {form} find no way between their limits")
    _, path = min(best.values(), key=lambda found: found[0])
    return tuple(tuple(v[n].degree for v in path) for n in reversed(range(len(voices))))


def _consonant(chord: Chord, ladder: Ladder) -> bool:
    root, third, fifth = (ladder.pitch(d).height for d in chord)
    return fifth - root == _FIFTH and third - root in (3, 4)


def _tones(chord: Chord, ladder: Ladder, voice: Voice, *, bass: bool) -> list[_Tone]:
    """The notes of a chord that a voice may have, a little beyond its limits too."""
    found = []
    for degree in ladder.degrees_between(voice.low - 3, voice.high + 3):
        for member, tone in enumerate(chord):
            if (degree - tone) % ladder.size == 0 and not (bass and member):
                found.append(_Tone(degree, ladder.pitch(degree).height, member))
    return found


def _first(chord: Chord, ladder: Ladder, voices: Sequence[Voice]) -> Iterator[_Voicing]:
    """Every good voicing of one chord, from the bass up."""

    def grow(done: _Voicing) -> Iterator[_Voicing]:
        if len(done) == len(voices):
            if _full(done):
                yield done
            return
        for tone in _tones(chord, ladder, voices[len(done)], bass=not done):
            if not done or _above(tone, done[-1], bass=len(done) == 1):
                yield from grow((*done, tone))

    every = sorted(grow(()), key=lambda v: _cost(v, voices))
    yield from every[: 2 * _KEPT]


def _full(voicing: _Voicing) -> bool:
    if len(voicing) >= _COMPLETE and {tone.member for tone in voicing} != {0, 1, 2}:
        return False
    return sum(tone.degree % 7 == _LEADING for tone in voicing) <= 1


def _above(tone: _Tone, below: _Tone, *, bass: bool) -> bool:
    return 0 < tone.height - below.height <= (_TWELFTH if bass else _OCTAVE)


def _next(
    voicing: _Voicing, chord: Chord, ladder: Ladder, voices: Sequence[Voice], *, resolves: bool
) -> Iterator[tuple[_Voicing, float]]:
    """Every way on to a chord, with what the moves cost."""

    def grow(done: _Voicing, cost: float) -> Iterator[tuple[_Voicing, float]]:
        place = len(done)
        if place == len(voices):
            if _full(done):
                yield done, cost
            return
        here = voicing[place]
        for tone in _tones(chord, ladder, voices[place], bass=not place):
            if not _may(here, tone, done, place, resolves=resolves):
                continue
            if any(_parallel(voicing[k], done[k], here, tone) for k in range(place)):
                continue
            yield from grow((*done, tone), cost + _moving(voicing, done, tone))

    yield from grow((), 0.0)


def _may(here: _Tone, tone: _Tone, done: _Voicing, place: int, *, resolves: bool) -> bool:
    """Whether a voice may go on to a note, above the voices that have gone on already."""
    if abs(tone.height - here.height) > (_WIDEST_LEAP if place else _OCTAVE):
        return False
    if done and not _above(tone, done[-1], bass=place == 1):
        return False
    if resolves and here.degree % 7 == _LEADING and tone.degree != here.degree + 1:
        return False
    # No augmented second.
    return abs(tone.degree - here.degree) != 1 or abs(tone.height - here.height) < 3


def _moving(voicing: _Voicing, done: _Voicing, tone: _Tone) -> float:
    """What a move costs."""
    place = len(done)
    here = voicing[place]
    cost = _move(here, tone, bass=not place)
    if place:
        cost += _OVERLAP * (tone.height < voicing[place - 1].height or done[-1].height > here.height)
    if place and place == len(voicing) - 1:
        cost += _DIRECT * _direct(voicing[0], done[0], here, tone)
    return cost


def _parallel(low: _Tone, low_next: _Tone, high: _Tone, high_next: _Tone) -> bool:
    """Two fifths, octaves or unisons in a row, in whatever direction."""
    if high.height == high_next.height:
        return False
    first, second = (high.height - low.height) % 12, (high_next.height - low_next.height) % 12
    return first == second and first in (0, _FIFTH)


def _direct(low: _Tone, low_next: _Tone, high: _Tone, high_next: _Tone) -> bool:
    """Outer voices that leap the same way into a fifth or an octave."""
    ways = (low_next.height - low.height) * (high_next.height - high.height)
    return (
        ways > 0
        and high_next.height - high.height > 2
        and (high_next.height - low_next.height) % 12 in (0, 7)
    )


def _move(here: _Tone, tone: _Tone, *, bass: bool) -> float:
    size = abs(tone.height - here.height)
    return 0.05 * size if bass else 0.1 * size + _LEAP * max(0, size - 4)


@lru_cache(maxsize=65536)
def _cost(voicing: _Voicing, voices: tuple[Voice, ...]) -> float:
    """How far voices lie from their middles, and how the chord is doubled."""
    total = 0.0
    for tone, voice in zip(voicing, voices, strict=True):
        off = (tone.height - voice.middle) / 6
        total += off * off + _BEYOND * max(0, voice.low - tone.height, tone.height - voice.high)
    members = [tone.member for tone in voicing]
    total += _THIRD * max(0, members.count(1) - 1) + _DOUBLED_FIFTH * max(0, members.count(2) - 1)
    return (
        total + _MISSING * (3 - len(set(members)) if len(members) > 2 else 0) + _NO_THIRD * (1 not in members)
    )
