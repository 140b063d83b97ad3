"""How an exercise is played beyond its notes: dynamics over the whole line, and each bar played twice.

Swells over each half of a line and over each note belong to articulations, see hairpins and articulation; a repeat of
the whole is a sign at its end.
"""

from collections.abc import Sequence
from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation
from generator.exercise.records import Bar, Note, Slur

ECHO = "echo"
_LEVELS = ("pp", "p", "mp", "mf", "f", "ff")


def check_playing(up: Articulation, down: Articulation, dynamic: str, bar_times: int) -> None:
    """Refuse a dynamic where the articulation brings its own, and bars played twice under its hairpins.

    Raises:
        DoesNotFitError: with the reason.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> row = shared_catalogue().articulations.find("crescendo up, diminuendo down")
    >>> check_playing(row, row, "mf", 1)
    Traceback (most recent call last):
        ...
    generator.errors.DoesNotFitError: crescendo up, diminuendo down brings its own dynamics; leave out mf
    """
    shaped = next((row for row in (up, down) if row.swell or row.each), None)
    if shaped is None:
        return
    if dynamic:
        raise DoesNotFitError(f"{shaped.name} brings its own dynamics; leave out {dynamic}")
    if bar_times > 1:
        raise DoesNotFitError(f"{shaped.name} goes over several bars; leave out each bar twice")


def as_played(bars: tuple[Bar, ...], dynamic: str, bar_times: int) -> tuple[Bar, ...]:
    """Bars with their dynamics, each played as often as asked for.

    Args:
        bars: of the exercise.
        dynamic: as a request holds it, or "".
        bar_times: how often each bar is played before the next; a last one with a closing note alone comes once.

    Raises:
        DoesNotFitError: notes are held over a barline, so that a bar cannot be played twice.

    >>> from generator import exercises, player
    >>> plain = exercises("C major, one octave, quarters", player=player("flute"))[0]
    >>> bars = as_played(plain.bars, "echo", 1)
    >>> [(bar.notes[0].pitch.name, *bar.notes[0].dynamic) for bar in bars][:4]
    [('C4', 'f'), ('C4', 'p'), ('G4', 'f'), ('G4', 'p')]
    """
    if dynamic == ECHO:
        return _echoed(repeated(bars, max(bar_times, 2)), max(bar_times, 2))
    if bar_times > 1:
        bars = repeated(bars, bar_times)
    return with_dynamic(bars, dynamic) if dynamic else bars


def repeated(bars: Sequence[Bar], times: int) -> tuple[Bar, ...]:
    """Each bar several times, but for a last one that holds the closing note alone; slurs stay inside their bars.

    Raises:
        DoesNotFitError: notes are held over a barline.

    >>> from generator import exercises, player
    >>> plain = exercises("C major, one octave, quarters, all slurred", player=player("flute"))[0]
    >>> [[note.slur for note in bar.notes] for bar in repeated(plain.bars, 2)][:2]
    [['start', 'inside', 'inside', 'stop'], ['start', 'inside', 'inside', 'stop']]
    """
    found: list[Bar] = []
    for place, bar in enumerate(bars):
        last = place == len(bars) - 1 and _closes(bar)
        if not last and bar.notes[-1].tie:
            raise DoesNotFitError(
                "notes are held over the barline here, so no bar can be played twice by itself"
            )
        closed = replace(bar, notes=_closed(bar.notes))
        found.append(closed)
        if not last:
            found += [replace(closed, equivalence=None)] * (times - 1)
    return tuple(found)


def _closes(bar: Bar) -> bool:
    """Whether a bar holds one note and no more, tied over as it may be."""
    return len([note for note in bar.notes if note.pitch is not None and not note.tie]) < 2


def _closed(notes: Sequence[Note]) -> tuple[Note, ...]:
    """Notes whose slurs begin and end among them."""
    found: list[Note] = []
    last = len(notes) - 1
    opened = False
    for place, note in enumerate(notes):
        goes_on = note.slur in ("inside", "stop", "stop start") and opened
        begins = note.slur in ("start", "stop start", "inside") and place < last
        on = begins and notes[place + 1].slur in ("inside", "stop", "stop start")
        slur: Slur | None = None
        if goes_on:
            slur = ("stop start" if note.slur == "stop start" else "inside") if on else "stop"
        elif on:
            slur = "start"
        opened = on
        found.append(note if note.slur == slur else replace(note, slur=slur))
    return tuple(found)


def _echoed(bars: Sequence[Bar], times: int) -> tuple[Bar, ...]:
    """Loud the first time, soft when it comes again; a closing bar alone stays soft."""
    found: list[Bar] = []
    for place, bar in enumerate(bars):
        turn = place % times
        alone = place == len(bars) - 1 and turn == 0
        sign = "f" if turn == 0 and not alone else "p" if turn == 1 else ""
        found.append(_signed(bar, 0, sign) if sign else bar)
    return tuple(found)


def with_dynamic(bars: Sequence[Bar], dynamic: str) -> tuple[Bar, ...]:
    """One dynamic from the beginning, or one that leads to another over the line and perhaps back.

    >>> from generator import exercises, player
    >>> plain = exercises("C major, one octave, quarters", player=player("flute"))[0]
    >>> marked = with_dynamic(plain.bars, "pp to ff and back")
    >>> [(n.pitch.name, *n.dynamic) for bar in marked for n in bar.notes if n.dynamic]
    [('C4', 'pp', '<'), ('C5', 'ff', '>'), ('C4', 'pp')]
    """
    first, _, rest = dynamic.partition(" to ")
    if not rest:
        return _at(bars, {_sounding(bars)[0]: (first,)})
    goal, _, back = rest.partition(" and ")
    grows = _LEVELS.index(first) < _LEVELS.index(goal)
    there, again = ("<", ">") if grows else (">", "<")
    places = _sounding(bars)
    if len(places) == 1 and back and len(held := _held(bars, *places[0])) > 2:
        # One note alone swells and dies away: the turn lies in the middle of its tied values.
        marked = _at(bars, {held[0]: (first, there), held[len(held) // 2]: (goal, again)})
        number, place = held[-1]
        last = replace(marked[number].notes[place], dynamic_end=(first,))
        notes = (*marked[number].notes[:place], last, *marked[number].notes[place + 1 :])
        return (*marked[:number], replace(marked[number], notes=notes), *marked[number + 1 :])
    if len(places) < 3:
        return _at(bars, {places[0]: (first,)})
    if not back:
        return _at(bars, {places[0]: (first, there), places[-1]: (goal,)})
    turn = _turn(bars, places)
    return _at(bars, {places[0]: (first, there), places[turn]: (goal, again), places[-1]: (first,)})


def _sounding(bars: Sequence[Bar]) -> list[tuple[int, int]]:
    """Where notes begin: bar and place in it, tied notes once."""
    found: list[tuple[int, int]] = []
    tied = False
    for number, bar in enumerate(bars):
        for place, note in enumerate(bar.notes):
            if note.pitch is not None and not tied:
                found.append((number, place))
            tied = note.tie
    return found


def _held(bars: Sequence[Bar], number: int, place: int) -> list[tuple[int, int]]:
    """The tied values of a note: bar and place in it."""
    found: list[tuple[int, int]] = []
    for bar in range(number, len(bars)):
        for at in range(place if bar == number else 0, len(bars[bar].notes)):
            found.append((bar, at))
            if not bars[bar].notes[at].tie:
                return found
    return found


def _turn(bars: Sequence[Bar], places: Sequence[tuple[int, int]]) -> int:
    """Index of the first note that lies farthest from where the line begins and is neither its first nor its last."""
    heights = [
        pitch.height for number, place in places if (pitch := bars[number].notes[place].pitch) is not None
    ]
    inner = range(1, len(heights) - 1)
    return max(inner, key=lambda k: (abs(heights[k] - heights[0]), -k))


def _at(bars: Sequence[Bar], signs: dict[tuple[int, int], tuple[str, ...]]) -> tuple[Bar, ...]:
    found = list(bars)
    for (number, place), words in signs.items():
        for word in words:
            found[number] = _signed(found[number], place, word)
    return tuple(found)


def _signed(bar: Bar, place: int, sign: str) -> Bar:
    """A bar with a dynamic sign at the first sounding note from a place on."""
    spot = next((k for k in range(place, len(bar.notes)) if bar.notes[k].pitch is not None), None)
    if spot is None:
        return bar
    note = replace(bar.notes[spot], dynamic=(*bar.notes[spot].dynamic, sign))
    return replace(bar, notes=(*bar.notes[:spot], note, *bar.notes[spot + 1 :]))
