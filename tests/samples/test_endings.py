"""A part of the count of endings: four instruments, every usual line; and every pair of articulation cells."""

from dataclasses import replace

import pytest

from generator.catalogue.players import player_named
from generator.exercise.records import Exercise, Note
from generator.theory.duration import Value
from tests.exhaustive.endings import (
    CELLS,
    SPANS,
    cells_displaced,
    crowding_faults,
    ending_faults,
    faults_of,
    lines,
    made,
)


@pytest.mark.parametrize("name", ["flute", "trumpet in B-flat", "tuba", "cello"])
def test_no_usual_line_ends_badly(name: str) -> None:
    usual = lines()
    assert len(usual) == 120
    assert list(faults_of(player_named(name), usual)) == []


def test_no_pair_of_cells_is_displaced() -> None:
    assert len(CELLS) * (len(CELLS) - 1) * len(SPANS) == 660
    assert cells_displaced(player_named("flute")) == []


def test_the_count_sees_what_is_wrong() -> None:
    good = made("G major, one octave, sixteenths", player_named("alto saxophone"))
    assert good is not None
    assert list(ending_faults(good)) == []
    bar, last = good.bars
    (end,) = last.notes

    def ending(*notes: Note) -> Exercise:
        return replace(good, bars=(bar, replace(last, notes=notes)))

    half = replace(end, value=Value(2))
    sixteenth, eighth = (replace(end, value=Value(n)) for n in (16, 8))
    assert "struck twice" in list(ending_faults(ending(half, half)))
    late = ending(half, replace(eighth, pitch=bar.notes[0].pitch), replace(end, value=Value(4, dots=1)))
    assert "off beat" in list(ending_faults(late))
    short = ending(replace(sixteenth, tie=True), half)
    assert "tied short" in list(ending_faults(short))
    breathing = ending(half.marked("breath"), half)
    assert "breath" in list(ending_faults(breathing))
    slurred = ending(replace(half, slur="start"), replace(half, slur="stop"))
    assert "crowded" in list(crowding_faults(slurred))
