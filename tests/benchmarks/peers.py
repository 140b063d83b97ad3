"""The same twelve exercises through general notation libraries. A part of `everything.py`.

Each library runs as a whole process, with an interpreter that may be another than ours, and gets the notes of our own
sheet from a file. It is measured against the command of ours that writes the same kind of file, by turns. None of them
builds, fits or lays out an exercise; what each does of the job stands below its row.
"""

import os
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from tests.benchmarks.measure import Row, run, said
from tests.benchmarks.sheet_speed import SHEET, alone, at_home, ours

PART = "peers"
_WORK = Path(__file__).with_name("peer_work.py")


@dataclass(frozen=True, slots=True)
class Peer:
    """A library and a way through it.

    Attributes:
        package: on the package index, and to import.
        way: as `peer_work.py` calls it.
        makes: the kind of file, as our `--format` calls it.
        source: the kind of file it gets.
        does: how much of the job.
    """

    package: str
    way: str
    makes: str
    source: str
    does: str


PEERS = (
    Peer(
        "music21", "music21-pdf", "pdf", "json",
        "streams of the same notes, its own LilyPond text; leaves out slurs, marks, headings and page breaks",
    ),
    Peer(
        "abjad", "abjad-pdf", "pdf", "json",
        "the same notes with slurs, ties and marks, a score each; no headings, ticks, footer or page breaks",
    ),
    Peer(
        "music21", "music21-musicxml", "musicxml", "json",
        "streams of the same notes, no page; without titles, headings and line breaks",
    ),
    Peer(
        "verovio", "verovio-svg", "svg", "musicxml",
        "draws the MusicXML that we wrote: notes are neither built nor fitted, headings are its own",
    ),
)  # fmt: skip


def rows(rounds: int, python: str) -> list[Row]:
    """LilyPond alone, then every library; one that is not there says so.

    Args:
        rounds: how often.
        python: the interpreter that has the libraries.
    """
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        run(
            ours(*SHEET, "-f", "ly,json,musicxml", "--no-cache", "--out", "source"),
            folder,
            at_home(folder / "home"),
        )
        sources = {path.suffix[1:]: path for path in (folder / "source").iterdir()}
        return [
            _lilypond(rounds, folder, sources["ly"]),
            *(_row(peer, rounds, python, folder, sources[peer.source]) for peer in PEERS),
        ]


def _lilypond(rounds: int, folder: Path, text: Path) -> Row:
    pairs = [(_ours("pdf", folder), run(alone(str(text)), folder).wall) for _ in range(rounds)]
    mine, its = zip(*pairs, strict=True)
    does = "the text that we wrote, headings and all: nothing is built, fitted or laid out"
    return Row(PART, "LilyPond alone to pdf", mine, its, note=does)


def _row(peer: Peer, rounds: int, python: str, folder: Path, source: Path) -> Row:
    what = f"{peer.package} to {peer.makes}"
    environ = _environ(folder)
    try:
        said(
            [python, "-c", f"import importlib.util as u, sys; sys.exit(not u.find_spec({peer.package!r}))"],
            folder,
        )
    except RuntimeError:
        return Row(PART, what, note=f"not installed: pip install {peer.package}")
    except OSError as problem:
        return Row(PART, what, note=f"does not run: {python}: {problem.strerror}")
    command = [python, str(_WORK), peer.way, str(source), str(folder / peer.way)]
    try:
        count = said(command, folder, environ).split()[-1]
    except RuntimeError as problem:
        return Row(PART, what, note=f"does not run: {problem}; tried with peer_work.py {peer.way}")
    pairs = [(_ours(peer.makes, folder), run(command, folder, environ).wall) for _ in range(rounds)]
    mine, its = zip(*pairs, strict=True)
    return Row(PART, what, mine, its, note=f"{peer.does} ({count} notes)")


def _ours(makes: str, folder: Path) -> float:
    """Seconds for our way to the same kind of file."""
    return run(ours(*SHEET, "-f", makes, "--no-cache"), folder, at_home(folder / "home")).wall


def _environ(folder: Path) -> Mapping[str, str]:
    """Our LilyPond first on the path, and a home of their own for libraries that leave settings behind."""
    home = folder / "library-home"
    home.mkdir(exist_ok=True)
    # The fonts LilyPond knows are kept below the real home; without them it would read every font again.
    kept = os.environ.get("XDG_CACHE_HOME") or str(Path.home() / ".cache")
    path = f"{Path(alone()[0]).parent}{os.pathsep}{os.environ.get('PATH', '')}"
    return {"HOME": str(home), "XDG_CACHE_HOME": kept, "PATH": path}
