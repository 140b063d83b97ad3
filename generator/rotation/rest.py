"""Rest, which belongs to the minutes of a sheet.

Source: BAPAM, "Ten top health tips": a five-minute break in each half hour. Breaks between heavy rows follow
brass teachers' custom of resting before the lip is tired (custom, not a trial). So does the rest of a brass player
after every row: two parts of five of the sheet, which with the half minute in each row for looking at it is about
as long as was played.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate

TOO_SHORT_FOR_REST = 5
PARTS = 6  # five minutes in thirty
BRASS = Fraction(2, 5)
MOST_MINUTES = 240  # beyond it the sheet says a word
LONGEST_STRETCH = 25  # minutes of playing between breaks
LEAST_BREAK = 30  # seconds between two heavy rows
SECONDS = 60
STEP = 5  # breaks are whole steps of five seconds


@dataclass(frozen=True, slots=True)
class Breaks:
    """Seconds of rest after each row, and how many whole minutes they run over the planned rest."""

    after: tuple[int, ...]
    extra_minutes: int
    between_heavy: int


def rest_minutes(minutes: int, *, brass: bool = False) -> int:
    """How many of the minutes of a sheet are rest: at least 5 in every 30, none in 5 minutes or fewer.

    A longer sheet never leaves fewer minutes for playing than a shorter one.

    Args:
        minutes: of the sheet.
        brass: the lips rest about as long as they played.

    >>> [rest_minutes(minutes) for minutes in (5, 20, 30)]
    [0, 4, 5]
    >>> [rest_minutes(minutes, brass=True) for minutes in (5, 20, 30)]
    [0, 8, 12]
    """
    if minutes <= TOO_SHORT_FOR_REST:
        return 0
    return int(minutes * BRASS) if brass else -(-minutes // PARTS)


def minutes_with_rest(playing: int, *, brass: bool = False) -> int:
    """The shortest sheet that leaves `playing` minutes after its rest.

    >>> minutes_with_rest(25)
    30
    """
    minutes = playing
    while minutes - rest_minutes(minutes, brass=brass) < playing:
        minutes += 1
    return minutes


def place_breaks(lengths: Sequence[int], heavy: Sequence[bool], rest: int, *, each: bool = False) -> Breaks:
    """Lay `rest` minutes between the rows.

    Breaks come at even distances, about 25 minutes of playing apart at most, and between any two heavy rows
    that stand side by side. The latter get at least half a minute each even if that makes the sheet longer.

    Args:
        lengths: minutes of each row, in playing order.
        heavy: whether each row is heavy.
        rest: planned minutes of rest.
        each: a break after every row but the last, as long in proportion as the row.

    >>> place_breaks([5, 5, 10, 5], heavy=[False, True, True, False], rest=5)
    Breaks(after=(0, 300, 0, 0), extra_minutes=0, between_heavy=1)
    >>> place_breaks([1, 2, 1], heavy=[False] * 3, rest=2, each=True).after
    (40, 80, 0)
    """
    count = len(lengths)
    forced = {place for place in range(count - 1) if heavy[place] and heavy[place + 1]}
    places = forced | (_even_places(lengths) if rest else set())
    if rest and each:
        places = set(range(max(1, count - 1))) if count else set()
    seconds = max(rest * SECONDS, LEAST_BREAK * len(forced))
    extra = -(-(seconds - rest * SECONDS) // SECONDS)
    after = [0] * count
    for place in forced:
        after[place] = LEAST_BREAK
    left = seconds - LEAST_BREAK * len(forced)
    units, done = left // STEP, 0
    shares = {place: lengths[place] if each else 1 for place in sorted(places)}
    for place, share in shares.items():
        after[place] += STEP * (
            units * (done + share) // sum(shares.values()) - units * done // sum(shares.values())
        )
        done += share
    return Breaks(after=tuple(after), extra_minutes=extra, between_heavy=len(forced))


def _even_places(lengths: Sequence[int]) -> set[int]:
    """The rows whose ends lie nearest to cuts of the playing into equal stretches of at most 25 minutes.

    A sheet that is one stretch still gets its break, half-way; a sheet of one row has it at the end.
    """
    if len(lengths) < 2:
        return set(range(len(lengths)))
    ends = list(accumulate(lengths))
    stretches = max(2, -(-ends[-1] // LONGEST_STRETCH))
    cuts = [Fraction(ends[-1] * cut, stretches) for cut in range(1, stretches)]
    return {min(range(len(ends) - 1), key=lambda place: abs(ends[place] - cut)) for cut in cuts}
