"""How a book grows: the same mixture of exercises in books of several sizes, and LilyPond alone on the same pages.

A part of `everything.py`. All exercises span one octave, so that a book of any size has the same average exercise and
none is refused.
"""

import re
import shutil
import statistics
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from generator.engraving import lilypond
from tests.benchmarks.measure import Cost, Row, run
from tests.benchmarks.sheet_speed import alone, at_home, ours

INSTRUMENT = "flute"
SIZES = (12, 60, 120, 600, 1200)
SMALL = 60
CPU_LIMIT = 1.3
# The design asks for memory that stays flat; this is what counts as flat.
FLAT = 1.3
WALL_LIMIT = 0.6

_FIGURES = ("", " in thirds", " in fourths", " in triads", " in groups of four")
_FORMS = (
    "major", "natural minor", "harmonic minor", "melodic minor", "harmonic major",
    "dorian", "phrygian", "lydian", "mixolydian", "aeolian",
)  # fmt: skip
_DRESSINGS = ("all tongued", "slur two tongue two", "staccato", "all slurred", "slur three tongue one")
_KEYS = ("C, D, G-flat", "F, E, A-flat", "G, E-flat", "A, B-flat", "B, D-flat")
_RECORDER = """#!/bin/sh
if [ -f sheet.ly ]; then
  mkdir "{folder}/$$" && cp ./*.ly ./*.ily "{folder}/$$/" || exit 1
fi
exec "{program}" "$@"
"""


def mixture(size: int) -> list[str]:
    """Phrases for a book of so many exercises.

    Every sixty are one form in five figures and all keys, each figure with a dressing; every form comes once before
    one comes again, and then with its dressings dealt out otherwise. Twelve are the first sixty with a key each.

    Args:
        size: 12, or a multiple of 60.

    Raises:
        ValueError: another size.
    """
    if size == 12:
        return [_phrase(keys, 0, figure) for figure, keys in enumerate(_KEYS)]
    if size <= 0 or size % SMALL:
        raise ValueError(f"{size} exercises cannot be mixed; take 12 or a multiple of {SMALL}")
    return [_phrase("all keys", number, figure) for number in range(size // SMALL) for figure in range(5)]


def _phrase(keys: str, number: int, figure: int) -> str:
    dressing = _DRESSINGS[(figure + number // len(_FORMS)) % len(_DRESSINGS)]
    return f"{keys}, {_FORMS[number % len(_FORMS)]}{_FIGURES[figure]}, one octave, {dressing}"


class Books:
    """Books of several sizes, each measured as often as there are rounds, and no more often."""

    def __init__(self, rounds: int) -> None:
        self._rounds = rounds
        self._costs: dict[int, tuple[Cost, ...]] = {}
        self._alone: dict[int, tuple[Cost, ...]] = {}

    def measure(self, sizes: Iterable[int], besides: Iterable[int] = ()) -> None:
        """Measure sizes by turns.

        Args:
            sizes: exercises; those that are known already are left out.
            besides: sizes of which LilyPond alone is to engrave the pages as well, in the same turns.
        """
        new = sorted({*sizes} - {*self._costs})
        beside = sorted({*besides} - {*self._alone})
        costs: dict[int, list[Cost]] = {size: [] for size in new}
        others: dict[int, list[Cost]] = {size: [] for size in beside}
        with tempfile.TemporaryDirectory() as name:
            folder = Path(name)
            texts = {size: volumes(size, folder / f"text-{size}") for size in beside}
            for _ in range(self._rounds):
                for size in new:
                    costs[size].append(bound(size, folder))
                for size in beside:
                    others[size].append(run(alone(*texts[size]), folder / f"text-{size}", watch=True))
        self._costs |= {size: tuple(found) for size, found in costs.items()}
        self._alone |= {size: tuple(found) for size, found in others.items()}

    def rows(self, size: int) -> list[Row]:
        """A big book against one of sixty, and against LilyPond alone on its pages.

        Args:
            size: exercises.
        """
        self.measure((SMALL, size), (size,))
        big, small, other = self._costs[size], self._costs[SMALL], self._alone[size]
        against, one = f"{size} exercises / {SMALL}", f"{size} exercises / LilyPond alone"
        judged = size == 600

        def row(
            what: str,
            mine: Sequence[float],
            its: Sequence[float],
            unit: str,
            limit: float | None = None,
            note: str = "",
        ) -> Row:
            return Row("book", what, tuple(mine), tuple(its), unit, limit if judged else None, note=note)

        return [
            row(
                f"processor time an exercise, {against}",
                [1000 * cost.cpu / size for cost in big],
                [1000 * cost.cpu / SMALL for cost in small],
                "ms",
                CPU_LIMIT,
            ),
            row(f"largest process, {against}", [c.peak for c in big], [c.peak for c in small], "MB", FLAT),
            row(
                f"all processes, {against}",
                [c.together for c in big],
                [c.together for c in small],
                "MB",
                note=f"no limit: only in books of more than {SMALL} two full volumes are engraved at a time",
            ),
            row(f"wall, {one}", [c.wall for c in big], [c.wall for c in other], "s", WALL_LIMIT),
            row(f"processor time, {one}", [c.cpu for c in big], [c.cpu for c in other], "s"),
            row(f"largest process, {one}", [c.peak for c in big], [c.peak for c in other], "MB"),
        ]

    def growth(self, sizes: Sequence[int]) -> dict[int, tuple[Cost, ...]]:
        """What books of several sizes cost.

        Args:
            sizes: exercises.
        """
        self.measure((SMALL, *sizes))
        return {size: self._costs[size] for size in sorted({SMALL, *sizes})}


def growth_lines(costs: Mapping[int, Sequence[Cost]]) -> list[str]:
    """A table of medians, one line a size."""
    lines = [
        f"{'growth of a book':18}{'wall':>10}{'processor an exercise':>26}{'largest process':>20}{'all processes':>17}"
    ]
    small = statistics.median(cost.cpu for cost in costs[SMALL]) / SMALL
    for size, found in costs.items():
        wall, cpu, peak, together = (
            statistics.median(column)
            for column in zip(*((c.wall, c.cpu / size, c.peak, c.together) for c in found), strict=True)
        )
        lines.append(
            f"{size:6} exercises  {wall:8.1f} s{1000 * cpu:15.0f} ms ({cpu / small:4.2f} x)"
            f"{peak:17.0f} MB{together:14.0f} MB"
        )
    return lines


def command(size: int) -> list[str]:
    """The words that bind a book of so many exercises."""
    return ["sheet", *mixture(size), "--book", "--no-cache", "-i", INSTRUMENT, "-q"]


def bound(size: int, folder: Path) -> Cost:
    """Bind a book, once."""
    return run(ours(*command(size)), folder, at_home(folder / "home"), watch=True)


def volumes(size: int, folder: Path) -> list[str]:
    """Everything that LilyPond engraves for a book, as files that it can engrave alone.

    Args:
        size: exercises.
        folder: for the files; made.

    Returns:
        Names of the files, in order.
    """
    runs = folder / "runs"
    runs.mkdir(parents=True)
    recorder = folder / "recorder"
    recorder.write_text(_RECORDER.format(folder=runs, program=lilypond.find().path), "utf-8")
    recorder.chmod(0o755)
    run(ours(*command(size)), folder, {**at_home(folder / "home"), "SCALEWRIGHT_LILYPOND": str(recorder)})
    last: dict[str, Path] = {}
    for text in sorted(runs.glob("*/sheet.ly"), key=lambda path: path.stat().st_mtime_ns):
        # Pages that were too full are engraved twice; the last ones count.
        (output,) = re.findall(r'\\bookOutputName "([^"]+)"', text.read_text("utf-8"))
        last[output] = text
        for include in text.parent.glob("*.ily"):
            shutil.copy(include, folder)
    for output, text in last.items():
        shutil.copy(text, folder / f"{output}-text.ly")
    return [f"{output}-text.ly" for output in last]
