"""The command line's way to the open formats, and what a printed page must not pay for."""

import subprocess  # a fresh interpreter
import sys
from pathlib import Path

import pytest

from generator.cli import main

# None of these may be loaded for a page; some are not even ours.
HEAVY = ("mido", "music21", "partitura", "numpy", "wave", "xml.etree.ElementTree")
OPEN = tuple(
    f"generator.exchange.{n}" for n in ("musicxml", "xml_parts", "midi", "wav", "performance", "sounding")
)


def run(*arguments: str) -> int:
    with pytest.raises(SystemExit) as left:
        main(arguments)
    return int(left.value.code or 0)


def test_every_open_format_is_written_where_its_path_says(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    code = run(
        "sheet", "G major in thirds, one octave", "D major, one octave", "-i", "alto sax", "--out", str(tmp_path),
        "--format", "musicxml,midi,wav,json", "--drone", "fifth", "--pitch", "442", "--count-in", "2",
        "--click", "dropout",
    )  # fmt: skip
    out = capsys.readouterr().out.split()
    assert code == 0
    assert [Path(p).suffix for p in out] == [".musicxml", ".mid", ".wav", ".json"]
    starts = {p.suffix: p.read_bytes()[:5] for p in map(Path, out)}
    riff = b"RIFF" + starts[".wav"][4:]
    assert starts == {".musicxml": b"<?xml", ".mid": b"MThd\x00", ".wav": riff, ".json": b'{\n "s'}
    assert all(Path(p).parent == tmp_path for p in out)


def test_one_midi_file_for_each_exercise(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    phrase = "all sharp keys, major, one octave"
    assert run("sheet", phrase, "-f", "midi", "--midi-each", "-o", str(tmp_path), "-q") == 0
    names = [Path(p).name for p in capsys.readouterr().out.split()]
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
def test_a_bad_value_is_one_clear_line_and_exit_2(
    option: str, value: str, says: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = ["sheet", "G major", "-o", str(tmp_path)]
    if option != "--format":
        arguments += ["-f", "midi"]
    assert run(*arguments, option, value) == 2
    said = capsys.readouterr()
    assert said.out == ""
    lines = [line for line in said.err.splitlines() if "written for" not in line]
    assert len(lines) == 1
    assert says in lines[0]
    assert not list(tmp_path.iterdir())


def test_a_page_loads_none_of_the_open_formats(tmp_path: Path) -> None:
    code = (
        "import sys\n"
        "from generator.cli import main\n"
        "try: main(['sheet', 'G major', '-i', 'flute', '-f', 'ly,json', '-o', sys.argv[1]])\n"
        "except SystemExit as left: assert not left.code, left.code\n"
        "print(*sorted(sys.modules), sep='\\n', file=sys.stderr)\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path)], capture_output=True, text=True, check=True, timeout=60
    )
    loaded = set(done.stderr.split())
    assert "generator.publish.sheet" in loaded
    assert loaded.isdisjoint(HEAVY)
    assert loaded.isdisjoint(OPEN)
    assert len(done.stdout.split()) == 2
