"""The command line's way to the open formats, and what a printed page must not pay for."""

from pathlib import Path

import pytest

from generator.publish.sheet import FORMATS
from tests.fixtures.command import loaded_by, run_here

# None of these may be loaded for a page; some are not even ours.
HEAVY = ("mido", "music21", "partitura", "numpy", "wave", "xml.etree.ElementTree")
OPEN = tuple(
    f"generator.exchange.{n}" for n in ("musicxml", "xml_parts", "midi", "wav", "performance", "sounding")
)


def test_every_open_format_is_written_where_its_path_says(tmp_path: Path) -> None:
    said = run_here(
        "sheet", "G major in thirds, one octave", "D major, one octave", "-i", "alto sax", "--out", str(tmp_path),
        "--format", "musicxml,midi,wav,json", "--drone", "fifth", "--pitch", "442", "--count-in", "2",
        "--click", "dropout",
    )  # fmt: skip
    out = said.succeeds()
    assert [Path(p).suffix for p in out] == [".musicxml", ".mid", ".wav", ".json"]
    starts = {p.suffix: p.read_bytes()[:5] for p in map(Path, out)}
    riff = b"RIFF" + starts[".wav"][4:]
    assert starts == {".musicxml": b"<?xml", ".mid": b"MThd\x00", ".wav": riff, ".json": b'{\n "s'}
    assert all(Path(p).parent == tmp_path for p in out)


def test_one_midi_file_for_each_exercise(tmp_path: Path) -> None:
    phrase = "all sharp keys, major, one octave"
    said = run_here("sheet", phrase, "-f", "midi", "--midi-each", "-o", str(tmp_path), "-q")
    names = [Path(p).name for p in said.succeeds()]
    assert len(names) > 3
    assert [n.rsplit("-", 1)[1] for n in names] == [f"{k}.mid" for k in range(1, len(names) + 1)]


@pytest.mark.parametrize(
    ("option", "value", "says"),
    [
        ("--click", "never", "none"),
        ("--drone", "octave", "tonic"),
        ("--pitch", "415", "438 to 446"),
        ("--pitch", "high", "high"),
        ("--count-in", "5", "0 to 2"),
        ("--format", "mid", "midi"),
    ],
)
def test_a_bad_value_is_one_clear_line_and_exit_2(option: str, value: str, says: str, tmp_path: Path) -> None:
    arguments = ["sheet", "G major", "-i", "flute", "-o", str(tmp_path)]
    if option != "--format":
        arguments += ["-f", "midi"]
    run_here(*arguments, option, value).fails(2, says)
    assert not list(tmp_path.iterdir())


def test_a_page_loads_none_of_the_open_formats(tmp_path: Path) -> None:
    loaded = loaded_by("sheet", "G major", "-i", "flute", "-f", "ly,json", "-o", str(tmp_path))
    assert "generator.publish.sheet" in loaded
    assert loaded.isdisjoint(HEAVY)
    assert loaded.isdisjoint(OPEN)
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("command", ["sheet", "today", "handout"])
def test_help_names_every_format_there_is(command: str) -> None:
    said = run_here(command, "--help", setting={"COLUMNS": "200"})
    assert ", ".join(FORMATS) in " ".join(" ".join(said.out).replace("│", " ").split())
