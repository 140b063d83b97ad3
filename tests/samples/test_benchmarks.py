"""The benchmarks' own arithmetic, and that they all load; nothing here is timed."""

import argparse
import importlib
import sys
from pathlib import Path

import pytest

from generator.catalogue.players import player_named
from generator.exchange.json_contract import as_json
from generator.phrase import expand
from tests.benchmarks import everything, growth, measure, peer_work, sheet_speed
from tests.benchmarks.measure import Cost, Row

FOLDER = Path(everything.__file__).parent
FLUTE = player_named(growth.INSTRUMENT)


@pytest.mark.parametrize("name", sorted(path.stem for path in FOLDER.glob("*.py")))
def test_a_benchmark_loads_without_measuring_anything(name: str) -> None:
    assert importlib.import_module(f"tests.benchmarks.{name}").__doc__


def test_a_ratio_is_the_median_of_the_ratios_of_each_round() -> None:
    row = Row("part", "what", (1.0, 6.0, 3.0), (2.0, 3.0, 4.0), limit=0.75)
    assert row.ratios == (0.5, 2.0, 0.75)
    assert row.ratio == 0.75
    assert row.verdict == "met"


@pytest.mark.parametrize(
    ("row", "verdict"),
    [
        (Row("p", "w", (1.3,), (1.0,), limit=1.25), "MISSED"),
        (Row("p", "w", (99.0,), (1.0,), limit=100, at_least=True), "MISSED"),
        (Row("p", "w", (101.0,), (1.0,), limit=100, at_least=True), "met"),
        (Row("p", "w", (0.4, 0.6, 0.45), limit=0.5), "met"),
        (Row("p", "w", (1.3,), (1.0,)), ""),
        (Row("p", "w", limit=1.0, note="not installed"), ""),
    ],
)
def test_a_verdict_needs_a_limit_and_a_figure(row: Row, verdict: str) -> None:
    assert row.verdict == verdict
    assert row.as_data()["verdict"] == verdict


def test_rounds_that_do_not_pair_are_refused() -> None:
    with pytest.raises(ValueError, match="shorter"):
        Row("p", "w", (1.0, 2.0), (1.0,))


def test_the_table_shows_medians_ratio_spread_limit_verdict_and_note() -> None:
    rows = [
        Row("sheet", "first", (2.0, 2.5, 2.4), (2.0, 2.0, 2.0), limit=1.25, note="by turns"),
        Row("peers", "absent"),
    ]
    lines = measure.table(rows)
    assert lines[1] == "sheet"
    assert lines[2].split() == ["first", "2.4", "2", "s", "1.2", "1-1.25", "<=", "1.25", "met"]
    assert lines[3].strip() == "by turns"
    assert [line.split() for line in lines[4:]] == [["peers"], ["absent"]]


def test_growth_is_told_against_sixty() -> None:
    def cost(cpu: float) -> tuple[Cost, ...]:
        return tuple(Cost(10.0, one, 100.0, 150.0) for one in (cpu, cpu + 1, cpu - 1))

    lines = growth.growth_lines({60: cost(6.0), 600: cost(75.0)})
    assert "100 ms (1.00 x)" in lines[1]
    assert "125 ms (1.25 x)" in lines[2]


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_memory_and_time_of_a_child_of_the_child_count(tmp_path: Path) -> None:
    child = "import time; held = bytearray(150_000_000); time.sleep(0.4)"
    parent = f"import subprocess, sys; subprocess.run([sys.executable, '-c', {child!r}])"
    cost = measure.run([sys.executable, "-c", parent], tmp_path, watch=True)
    assert cost.peak >= 150
    assert 150 <= cost.together < 300
    assert cost.cpu > 0
    assert cost.wall >= 0.4


def test_a_command_that_fails_says_why(tmp_path: Path) -> None:
    command = [sys.executable, "-c", "raise SystemExit('no such thing')"]
    with pytest.raises(RuntimeError, match=r"1: no such thing$"):
        measure.run(command, tmp_path)
    with pytest.raises(RuntimeError, match=r"1: no such thing$"):
        measure.said(command, tmp_path)
    assert measure.said(command, tmp_path, good=(0, 1)) == ""


@pytest.mark.parametrize("size", growth.SIZES)
def test_a_mixture_makes_exactly_so_many_exercises(size: int) -> None:
    phrases = growth.mixture(size)
    orders = [order.request for phrase in phrases for order in expand.orders(phrase, FLUTE)]
    assert len(orders) == size
    assert len({request.figure for request in orders}) == 5
    if size > 12:
        assert len(set(orders)) == size  # none comes twice


def test_the_average_exercise_of_every_book_is_equally_long() -> None:
    means = []
    for size in (12, 60, 120, 600):
        built = expand.exercises(growth.mixture(size), FLUTE)
        assert not built.refused
        means.append(sum(len(bar.notes) for one in built.exercises for bar in one.bars) / size)
    assert means[1:] == pytest.approx([means[1]] * 3, rel=0.01)
    assert means[0] == pytest.approx(means[1], rel=0.06)


@pytest.mark.parametrize("size", [0, -60, 1, 24, 90])
def test_other_sizes_are_refused(size: int) -> None:
    with pytest.raises(ValueError, match="multiple of 60"):
        growth.mixture(size)


def test_sizes_are_read_from_the_command_line() -> None:
    assert everything.sizes("12,60,120") == (12, 60, 120)
    for wrong in ("13", "60,,", "many"):
        with pytest.raises(argparse.ArgumentTypeError):
            everything.sizes(wrong)


def test_notes_a_second_are_read_from_what_the_other_benchmark_prints() -> None:
    text = (
        "240 exercises, 11279 notes; medians of 3 repeats\n"
        "                                  notes a second     ours is\n"
        "ours                                      54,473       1.0 x\n"
        "music21 streams                            4,539      12.0 x\n"
        "music21 streams with notation                508     107.3 x\n"
    )
    assert everything.read_building(text) == {
        "ours": 54473,
        "music21 streams": 4539,
        "music21 streams with notation": 508,
    }
    with pytest.raises(ValueError, match="no notes a second"):
        everything.read_building("Traceback\n")


def test_seconds_are_read_from_the_last_line_that_has_some() -> None:
    text = (
        "--help   wall 0.200 s\ntoday    wall 0.700 s\nchoosing wall 0.480 s   processor 0.450 s\nthe end\n"
    )
    assert everything.read_choosing(text) == 0.48
    assert everything.read_choosing("choosing 0.31 s\n") == 0.31
    with pytest.raises(ValueError, match="no seconds"):
        everything.read_choosing("nothing\n")


def test_the_sheet_of_the_benchmarks_holds_twelve_exercises() -> None:
    built = expand.exercises(sheet_speed.PHRASES, player_named(sheet_speed.INSTRUMENT))
    assert (len(built.exercises), built.refused) == (12, ())


def test_music21_gets_every_note_of_the_sheet_at_its_full_length(tmp_path: Path) -> None:
    player = player_named(sheet_speed.INSTRUMENT)
    built = expand.exercises(sheet_speed.PHRASES, player)
    source = tmp_path / "notes.json"
    source.write_text(as_json("Sheet", built.exercises, [player.instrument.sounds] * 12), "utf-8")
    part, count = peer_work.music21_part(peer_work.read(source))
    bars = [bar for one in built.exercises for bar in one.bars]
    heads = list(part.recurse().notes)
    assert count == len(heads) == sum(len(bar.notes) for bar in bars)
    assert sum(float(one.quarterLength) for one in heads) == pytest.approx(4 * len(bars))  # all are in 4/4
    slurs = sum("start" in (one.slur or "") for bar in bars for one in bar.notes)
    assert len(part.recurse().getElementsByClass("Slur")) == slurs


def test_a_signature_names_the_major_key_that_music21_names() -> None:
    key = importlib.import_module("music21.key")
    for fifths in range(-7, 8):
        tonic = key.KeySignature(fifths).asKey("major").tonic.name.lower()
        assert peer_work.TONICS[fifths + 7] == tonic.replace("-", "f").replace("#", "s")


def test_tuplets_end_where_they_fill_a_quarter() -> None:
    def note(duration: str, tuplet: str | None = None) -> dict[str, object]:
        return {"duration": duration, "tuplet": tuplet}

    bar = [*[note("1/12", "3:2")] * 3, note("1/4"), note("1/12", "3:2"), note("1/6", "3:2"), note("1/4")]
    found = [(tuplet, len(notes)) for tuplet, notes in peer_work.groups(bar)]
    assert found == [("3:2", 3), (None, 1), ("3:2", 2), (None, 1)]
