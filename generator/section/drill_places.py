"""A passage for a whole section: in which key each chair reads it, in which octave, and what becomes of notes it lacks.

The whole passage moves by octaves. Where no octave holds it, it changes octave there and back, best at rests and
barlines, or the notes beyond the chair's own become rests.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from generator.errors import DoesNotFitError
from generator.exercise.clef import ledger_lines
from generator.exercise.instrument import Compass
from generator.passage.all_keys import signature_after, transposed
from generator.passage.records import Passage, PassageNote
from generator.section.ensemble import Seat, in_order
from generator.section.together import Together, Way, limits, listed
from generator.theory.interval import Interval
from generator.theory.key import MOST_SIGNS
from generator.theory.pitch import Pitch
from generator.theory.written_key import Keys

# There and back once in so many bars; a passage that changes octave more often is no longer one.
_BARS, _MOST_CHANGES = 4, 2
# What an octave away from the passage's own pitch costs, beside the square of octaves from the middle of the compass.
_AWAY, _LEDGER_LINE = 0.1, 0.02
# What a change of octave costs, in half steps from the middle of the compass.
_AFTER_A_REST, _AT_A_BARLINE, _CHANGE, _UNDER_A_SLUR, _AT_END = 30.0, 60.0, 100.0, 200.0, 120.0


@dataclass(frozen=True, slots=True)
class PassagePlace:
    """Where one seat has a passage.

    Attributes:
        passage: as it reads it; notes beyond its compass are still there where it rests.
        up: from sounding to written pitch, octave aside.
        octave: by how many octaves it lies above the passage's own pitch.
        way: whether it has all of it, changes octave, or rests in part.
    """

    passage: Passage
    up: Interval
    octave: int
    way: Way = "whole"


def read_interval(signature: int, sounds: Interval, keys: Keys = "fewest") -> Interval:
    """The named interval from concert to written pitch, so that the signature stays readable.

    Args:
        signature: of the music in concert pitch, in fifths.
        sounds: from written to sounding pitch of who reads it.
        keys: ``fewest`` signs, or the sharp or flat name of the key wherever there is one.

    >>> alto, clarinet = Interval.parse("-M6"), Interval.parse("-M2")
    >>> read_interval(-3, alto).name, read_interval(5, clarinet).name, read_interval(5, clarinet, "sharps").name
    ('M6', 'd3', 'M2')
    """
    exact = -sounds
    if keys == "fewest" and sounds.semitones % 12 == 0:
        return exact
    offers = [Interval(exact.steps + k, exact.semitones) for k in (0, 1, -1)]
    signs = {one: signature_after(signature, one) for one in offers}
    readable = [one for one in offers if abs(signs[one]) <= MOST_SIGNS]
    if keys == "sharps":
        return max(readable, key=lambda one: signs[one])
    if keys == "flats":
        return min(readable, key=lambda one: signs[one])
    return min(readable, key=lambda one: abs(signs[one]))


def placed(
    passage: Passage,
    seats: Sequence[Seat],
    together: Together,
    *,
    keys: Keys = "fewest",
    whole: bool = False,
    always: bool = False,
    own: tuple[str, Interval] | None = None,
    name: str = "the passage",
) -> tuple[PassagePlace, ...]:
    """A place for every seat.

    Args:
        passage: as it sounds.
        seats: who plays.
        together: what becomes of those who have not all of it in any octave.
        keys: which of two names of a written key is read.
        whole: refuse where somebody has not all of it.
        always: change octave however often that takes.
        own: the instrument it was written for, which plays it as it stands, and how far up that is; or None.
        name: what a refusal calls it.

    Raises:
        DoesNotFitError: somebody lacks notes of it who must not; says who and what would help.
    """
    ups = [read_interval(passage.bars[0].signature, s.player.instrument.sounds, keys) for s in seats]
    if own is not None and keys == "fewest":
        ups = [own[1] if s.player.instrument.name == own[0] else up for s, up in zip(seats, ups, strict=True)]
    written = [transposed(passage, up) for up in ups]
    offers = [octaves_of(one, seat.player.compass) for one, seat in zip(written, seats, strict=True)]
    lacking = [seat for seat, offer in zip(seats, offers, strict=True) if not offer]
    if lacking and (whole or together == "narrow"):
        helps = "without --exact they" if whole else "--together fold lets them"
        raise DoesNotFitError(
            f"{name} fits {listed([limits(seat) for seat in lacking])} in no octave; {helps} change octave,"
            " --together 'leave out' has them rest"
        )
    chosen = _octaves(written, offers, seats, own[0] if own else "")
    found = []
    for seat, one, up, octave in zip(seats, written, ups, chosen, strict=True):
        if octave is not None:
            found.append(PassagePlace(_moved(one, octave), up, octave))
            continue
        beside = next(
            (
                c
                for s, c in zip(seats, chosen, strict=True)
                if c is not None and s.player.instrument == seat.player.instrument
            ),
            None,
        )
        near = beside if beside is not None else most_of(one, seat.player.compass)
        moved, way = brought(_moved(one, near), seat.player.compass, together, always=always)
        found.append(PassagePlace(moved, up, near, way))
    return tuple(found)


def brought(
    passage: Passage, compass: Compass, together: Together, *, always: bool = False
) -> tuple[Passage, Way]:
    """Written music brought into a compass: by octaves, the nearest first; else folded; else where most of it lies.

    Args:
        passage: in written pitch, in the octave it would best lie in.
        compass: of who reads it.
        together: whether it may be folded.
        always: change octave however often that takes.
    """
    offers = octaves_of(passage, compass)
    if offers:
        return _moved(passage, min(offers, key=lambda k: (abs(k), k))), "whole"
    if together != "leave out":
        octaves = _fold(passage, compass)
        most = _MOST_CHANGES * -(-len(passage.bars) // _BARS)
        changes = sum(a != b for a, b in pairwise(octaves))
        if octaves and (always or changes <= most):
            return _moved_each(passage, octaves), "folded"
    return _moved(passage, most_of(passage, compass)), "rests"


def octaves_of(passage: Passage, compass: Compass) -> range:
    """By how many octaves a passage may be moved to lie in a compass."""
    heights = [pitch.height for pitch in _pitches(passage)]
    first = -((min(heights) - compass.low.height) // 12)
    return range(first, (compass.high.height - max(heights)) // 12 + 1)


def most_of(passage: Passage, compass: Compass) -> int:
    """The octave in which most of a passage lies in a compass, the nearest to its middle first."""
    heights = [pitch.height for pitch in _pitches(passage)]
    low, high = compass.low.height, compass.high.height
    middle = (min(heights) + max(heights)) / 2
    return max(
        range((low - max(heights)) // 12, (high - min(heights)) // 12 + 2),
        key=lambda k: (
            sum(low <= h + 12 * k <= high for h in heights),
            -abs(middle + 12 * k - (low + high) / 2),
        ),
    )


def explained(seats: Sequence[Seat], places: Sequence[PassagePlace]) -> tuple[str, ...]:
    """Who changes octave and who rests in part, in a sentence."""
    words = []
    for way, verb in (("folded", "changing octave"), ("rests", "resting in part")):
        names = [limits(seat) for seat, place in zip(seats, places, strict=True) if place.way == way]
        if names:
            words.append(f"{verb}: {listed(names)}")
    if not words:
        return ()
    rest = "; --together 'leave out' has them rest" if "changing" in words[0] else ""
    return (f"{'; '.join(words)}{rest}",)


def _pitches(passage: Passage) -> Iterator[Pitch]:
    """Every pitch it asks for, small notes and the note it lands on too."""
    for note in passage.attacks:
        assert note.pitch is not None  # noqa: S101  # for the type checker: attacks have one
        yield note.pitch
        yield from (pitch for pitch, _ in note.graces)
    if passage.landing is not None:
        yield passage.landing


def _moved(passage: Passage, octaves: int) -> Passage:
    return transposed(passage, Interval(7 * octaves, 12 * octaves)) if octaves else passage


def _octaves(
    written: Sequence[Passage], offers: Sequence[range], seats: Sequence[Seat], own: str
) -> list[int | None]:
    """An octave for each seat that can have the whole passage; seats of one instrument share one where they can."""
    fits = [n for n, offer in enumerate(offers) if offer]
    allowed = {n: _shared(n, offers, seats, fits, own) for n in fits}
    middles = [_middle(one) for one in written]
    costs = [
        {k: _cost(written[n], k, middles[n], seats[n], own) for k in allowed.get(n, ())}
        for n in range(len(seats))
    ]
    found: list[int | None] = [None] * len(seats)
    if fits:
        chosen = in_order([costs[n] for n in fits], [middles[n] for n in fits], [seats[n] for n in fits])
        for n, octave in zip(fits, chosen, strict=True):
            found[n] = octave
    return found


def _shared(
    number: int, offers: Sequence[range], seats: Sequence[Seat], fits: Sequence[int], own: str
) -> list[int]:
    instrument = seats[number].player.instrument
    same = [set(offers[n]) for n in fits if seats[n].player.instrument == instrument]
    shared = sorted(set.intersection(*same)) or list(offers[number])
    # Whoever the part was written for reads it where it stands.
    return [0] if instrument.name == own and 0 in shared else shared


def _middle(passage: Passage) -> float:
    heights = [pitch.height for pitch in _pitches(passage)]
    return (min(heights) + max(heights)) / 2


def _cost(passage: Passage, octave: int, middle: float, seat: Seat, own: str) -> float:
    """Octaves from the middle of the instrument's own notes, from the passage's pitch, and ledger lines."""
    instrument, compass = seat.player.instrument, seat.player.compass
    if instrument.name == own and octave == 0:
        return 0.0
    off = (middle + 12 * octave + 0.05 - (compass.low.height + compass.high.height) / 2) / 12
    lines = sum(ledger_lines(pitch.octaves_up(octave), instrument.clefs[0]) for pitch in _pitches(passage))
    return off * off + _AWAY * abs(octave) + _LEDGER_LINE * lines / max(1, len(passage.attacks))


def _fold(passage: Passage, compass: Compass) -> tuple[int, ...]:
    """The cheapest octave for each note that is begun and for the landing; nothing where a note has none."""
    notes = list(passage.attacks)
    groups = [[note.pitch, *(pitch for pitch, _ in note.graces)] for note in notes]
    heights = [[pitch.height for pitch in group if pitch is not None] for group in groups]
    heights += [[passage.landing.height]] if passage.landing is not None else []
    low, high = compass.low.height, compass.high.height
    middle = (low + high) / 2
    best: dict[int, tuple[float, tuple[int, ...]]] = {}
    for number, own in enumerate(heights):
        offers = range(-((min(own) - low) // 12), (high - max(own)) // 12 + 1)
        if not offers:
            return ()
        change = _change(passage, notes, number)
        row: dict[int, tuple[float, tuple[int, ...]]] = {}
        for k in offers:
            before, path = (
                min((t + change * abs(k - j), p) for j, (t, p) in best.items()) if number else (0.0, ())
            )
            row[k] = (before + abs(own[0] + 12 * k - middle), (*path, k))
        best = row
    return min(best.values())[1]


def _change(passage: Passage, notes: Sequence[PassageNote], number: int) -> float:
    """What it costs to begin another octave with a note."""
    if number in (1, len(notes) - 1):
        return _AT_END
    if number == len(notes):  # the landing
        return _CHANGE
    note = notes[number]
    if note.slurred:
        return _UNDER_A_SLUR
    if number and notes[number - 1].end < note.onset:
        return _AFTER_A_REST
    return _AT_A_BARLINE if any(bar.start == note.onset for bar in passage.bars) else _CHANGE


def _moved_each(passage: Passage, octaves: Sequence[int]) -> Passage:
    """Each note that is begun in an octave of its own."""
    each = iter(octaves)
    notes = tuple(_note_moved(note, next(each)) if note.pitch else note for note in passage.notes)
    landing = passage.landing.octaves_up(next(each)) if passage.landing is not None else None
    return Passage(passage.bars, notes, landing)


def _note_moved(note: PassageNote, octave: int) -> PassageNote:
    assert note.pitch is not None  # noqa: S101  # for the type checker: rests are not moved
    graces = tuple((pitch.octaves_up(octave), value) for pitch, value in note.graces)
    return replace(note, pitch=note.pitch.octaves_up(octave), graces=graces)
