"""A figure laid along a line: which degrees are played, in groups, up and down.

Rising groups start on the home degree and every one after it up to the one below the top; falling groups (the cell
mirrored, unless the row says otherwise) start on the top and end on the degree above home; the line closes on home.
Groups that run over the top or below home are usual in print and are kept while the instrument has the notes. A group
is never cut. Degrees count the notes of the form; 0 need not be home.
"""

from collections.abc import Callable, Container, Iterable, Sequence
from dataclasses import dataclass

from generator.errors import DoesNotFitError
from generator.exercise.figure import Direction, Figure
from generator.theory.form import Way

Playable = Callable[[int, Way], bool]
_UNEVEN = 2
_SCALE = 7  # notes of a scale that has two tetrachords


@dataclass(frozen=True, slots=True)
class Group:
    """Notes played as one unit of a figure, all in the rising or the falling form."""

    degrees: tuple[int, ...]
    way: Way


@dataclass(frozen=True, slots=True)
class Extent:
    """Where a line lies.

    Attributes:
        home: degree it belongs to: starts and ends there when it goes up and down.
        top: turning degree of a span; of a full-range line, the highest degree in range.
        floor: lowest degree of a full-range line; None for a plain span.
    """

    home: int
    top: int
    floor: int | None = None


def lay(
    figure: Figure,
    size: int,
    extent: Extent,
    direction: Direction,
    playable: Playable,
    *,
    inside: bool = False,
    differs: Container[int] = (),
) -> tuple[Group, ...]:
    """Lay a figure out between home and top.

    Args:
        figure: the figure.
        size: notes of the form in an octave.
        extent: home, top and, for full range, the lowest degree.
        direction: which halves, and which first.
        playable: whether a degree in its rising or falling spelling lies in range.
        inside: leave out groups that run over the top or below home.
        differs: notes of the form, counted from its root, that sound otherwise rising than falling.

    Raises:
        DoesNotFitError: no whole group fits.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> thirds = shared_catalogue().figures.find("thirds")
    >>> line = lay(thirds, 7, Extent(0, 4), "up and down", lambda degree, way: -1 <= degree <= 5)
    >>> print(*[group.degrees for group in line])
    (0, 2) (1, 3) (2, 4) (3, 5) (4, 2) (3, 1) (2, 0) (1, -1) (0,)
    """
    if figure.kind != "moving":
        return _unmoving(figure, size, extent, direction, playable)
    layer = _Layer(figure, extent, playable, figure.sized(size), inside=inside)
    home, full = extent.home, extent.floor is not None
    rising = layer.rising(home, extent.top + full)
    falling = layer.falling()
    if not full and direction in ("up and down", "down first"):
        falling = layer.as_many(rising, falling)
    dips = len(figure.close) > 1
    close = [Group(tuple(home + c for c in figure.close), "up" if dips or full else "down")]
    close_top = [Group((extent.top,), "up")]

    def joined(*halves: Sequence[Group]) -> tuple[Group, ...]:
        return _joined(halves, lambda degree: degree % size in differs)

    if extent.floor is not None:
        whole = layer.rising(extent.floor, extent.top + 1)
        if not (whole or falling):
            raise DoesNotFitError(f"not one whole group of {figure.name} fits")
        if direction == "down first" or (direction == "up and down" and not rising):
            # A full-range line belongs to its tonic: down to the bottom, up to the top, home again.
            below = layer.kept(range(home, extent.floor - 1, -figure.step), "down")
            first = [Group((home,), "down")] if direction == "up and down" and not below else []
            return joined(first, below, whole, [g for g in falling if g.degrees[0] > home], close)
        if direction == "up":
            return joined(rising or whole, close_top)
        # From the lowest note of a full range the line climbs back to its tonic group by group.
        return joined(
            rising if direction == "up and down" else [], falling, layer.rising(extent.floor, home), close
        )
    if not (falling if direction in ("down", "down first") else rising):
        raise DoesNotFitError(f"not one whole group of {figure.name} fits")
    return {
        "up": lambda: joined(rising, close_top),
        "down": lambda: joined(falling, close),
        "down first": lambda: joined(falling, rising, close_top),
        "up and down": lambda: joined(rising, falling, close),
    }[direction]()


Cells = Sequence[Sequence[int]]


class _Layer:
    def __init__(
        self, figure: Figure, extent: Extent, playable: Playable, cells: tuple[Cells, Cells], *, inside: bool
    ) -> None:
        self.figure = figure
        self.extent = extent
        self.playable = playable
        self.cells: dict[Way, Cells] = {"up": cells[0], "down": cells[1]}
        self.deepest = min(o for cell in cells[1] for o in cell)
        self.inside = inside

    def rising(self, first: int, stop: int) -> list[Group]:
        """Rising groups that start from one degree on, up to another."""
        return self.kept(range(first, stop, self.figure.step), "up")

    def falling(self) -> list[Group]:
        """Falling groups from the top to the degree above home, or to the lowest of a full range."""
        first, last = self.extent.top, self.extent.home + 1
        if self.extent.floor is not None:
            last = self.extent.floor
        elif self.figure.peak:
            highest = max(o for cell in self.cells["up"] for o in cell)
            first, last = self.extent.top - 1 + highest, self.extent.home - 1 - self.deepest
        return self.kept(range(first, last - 1, -self.figure.step), "down")

    def as_many(self, rising: Sequence[Group], falling: list[Group]) -> list[Group]:
        """What was climbed comes down: where groups below home lack notes, from the highest note reached to home."""
        if not rising or abs(len(rising) - len(falling)) < _UNEVEN:
            return falling
        reached = max(d for group in rising for d in group.degrees)
        back = self.kept(range(reached, self.extent.home - self.deepest - 1, -self.figure.step), "down")
        return back if abs(len(rising) - len(back)) < abs(len(rising) - len(falling)) else falling

    def kept(self, starts: Iterable[int], way: Way) -> list[Group]:
        """Groups in order; those before the first that fits and after the last that fits in a row drop out."""
        groups: list[Group] = []
        cells = self.cells[way]
        for index, start in enumerate(starts):
            group = Group(tuple(start + o for o in cells[index % len(cells)]), way)
            if self._fits(group):
                groups.append(group)
            elif groups:
                break
        return groups

    def _fits(self, group: Group) -> bool:
        if self.inside and self.extent.floor is None:
            low, high = self.extent.home, self.extent.top
            if not all(low <= d <= high for d in group.degrees):
                return False
        return all(self.playable(d, group.way) for d in group.degrees)


def _joined(halves: Sequence[Sequence[Group]], differs: Callable[[int], bool]) -> tuple[Group, ...]:
    """Halves in a row, without what would only repeat what was just played.

    At a turn a group that begins with the note just played, or has the same notes, is left out; at the end, a closing
    note that was just played: the last one is held instead. Notes are the same when they sound the same.
    """
    line: list[Group] = []
    for half in (half for half in halves if half):
        kept = list(half)
        if line:
            last, first = line[-1], kept[0]
            alike = last.way == first.way or not any(differs(d) for d in first.degrees)
            again = last.degrees[-1] == first.degrees[0] and (
                last.way == first.way or not differs(first.degrees[0])
            )
            if half is halves[-1]:
                if again:
                    line, kept = _closed(line, kept[0])
            elif again or (alike and len(first.degrees) > 1 and set(first.degrees) == set(last.degrees)):
                kept = kept[1:]
        line.extend(kept)
    return tuple(line)


def _closed(line: list[Group], close: Group) -> tuple[list[Group], list[Group]]:
    """A line that has come home, and what is left to close it."""
    if len(line[-1].degrees) == 1:
        # A single note that is already home: the closing note takes its place.
        return line[:-1], [close]
    rest = close.degrees[1:]
    return line, [Group(rest, close.way)] if rest else []


def _unmoving(
    figure: Figure, size: int, extent: Extent, direction: Direction, playable: Playable
) -> tuple[Group, ...]:
    """What does not move step by step."""
    if figure.kind == "blocks":
        return _blocks(figure, size, extent, direction, playable)
    if figure.kind == "chords":
        return _through(figure, size, extent, playable)
    return _about_home(figure, extent, direction, playable)


def _about_home(
    figure: Figure, extent: Extent, direction: Direction, playable: Playable
) -> tuple[Group, ...]:
    """What does not move step by step: the home note alone, against each degree, or outward from it."""
    if figure.kind == "held":
        return (Group((extent.home,), "up"),)
    return _pedal(extent, direction, playable) if figure.kind == "pedal" else _outward(extent, playable)


def _blocks(
    figure: Figure, size: int, extent: Extent, direction: Direction, playable: Playable
) -> tuple[Group, ...]:
    """Each cell by itself, up and back to where it began: the tetrachords of a scale."""
    if size != _SCALE:
        raise DoesNotFitError(
            f"tetrachords are parts of a scale of seven notes, not of {size}; ask for major or a minor"
        )
    cells = [tuple(extent.home + o for o in cell) for cell in figure.sized(size)[0]]
    cells = [cell for cell in cells if max(cell) <= extent.top and all(playable(d, "up") for d in cell)]
    if not cells:
        raise DoesNotFitError("not one tetrachord fits; ask for another key")
    if direction == "up":
        return tuple(Group(cell, "up") for cell in cells)
    if direction != "up and down":
        # From the top: the upper one down (and up again), then the lower one.
        again = direction == "down first"
        halves = ((Group(cell[::-1], "down"), Group(cell, "up")) for cell in reversed(cells))
        return tuple(group for both in halves for group in (both if again else both[:1]))
    return tuple(group for cell in cells for group in (Group(cell, "up"), Group(cell[::-1], "down")))


def _through(figure: Figure, size: int, extent: Extent, playable: Playable) -> tuple[Group, ...]:
    """A voice that moves through chords as little as it can, from home on."""
    if size != _SCALE:
        raise DoesNotFitError(
            f"a {figure.name} needs a scale of seven notes, not of {size}; ask for major or a minor"
        )
    line = [extent.home]
    for cell in figure.sized(size)[0][1:]:
        near = range(line[-1] - 3, line[-1] + 4)
        notes = [
            d for d in near if playable(d, "up") and any((d - extent.home - o) % size == 0 for o in cell)
        ]
        if not notes:
            raise DoesNotFitError(f"a voice of a {figure.name} does not fit")
        line.append(min(notes, key=lambda d: (abs(d - line[-1]), d)))
    return tuple(Group((degree,), "up") for degree in line)


def _pedal(extent: Extent, direction: Direction, playable: Playable) -> tuple[Group, ...]:
    """Each degree against the home note: 12 13 14 ... and back."""
    home = extent.home
    rising = [Group((home, d), "up") for d in range(home + 1, extent.top + 1) if playable(d, "up")]
    falling = [Group((home, d), "down") for d in range(extent.top - 1, home, -1) if playable(d, "down")]
    below: list[Group] = []
    if extent.floor is not None:
        below = [
            Group((home, d), "down") for d in range(home - 1, extent.floor - 1, -1) if playable(d, "down")
        ]
        below += [Group((home, d), "up") for d in range(extent.floor + 1, home) if playable(d, "up")]
    if not rising:
        raise DoesNotFitError("not one leap from the tonic fits")
    if direction == "up":
        return tuple(rising)
    top_down = [Group((home, extent.top), "down"), *falling]
    close = Group((home,), "down")
    if direction == "down":
        return (*top_down, close)
    if direction == "down first":
        return (*top_down, *rising[1:])
    return (*rising, *falling, *below, close)


def _outward(extent: Extent, playable: Playable) -> tuple[Group, ...]:
    """Home, then by turns one below and one above, each a degree further, as far as both sides go."""
    home = extent.home
    reach = extent.top - home
    order = [home] + [home + side * n for n in range(1, reach + 1) for side in (-1, 1)]
    groups: list[Group] = []
    for degree in order:
        way: Way = "down" if degree < home else "up"
        if playable(degree, way):
            groups.append(Group((degree,), way))
    if len(groups) < 2:
        raise DoesNotFitError("not one note on either side fits")
    return tuple(groups)
