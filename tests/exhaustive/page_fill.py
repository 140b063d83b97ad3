"""How full printed pages are: sheets, days, handouts and books of many instruments, papers and print sizes.

    python tests/exhaustive/page_fill.py [--pages 200] [--seed 1] [--out FOLDER]

Every page is looked at as a picture: how much of its height is empty between the last music and the footer, and the
largest empty stripe between two exercises. A page that is not the last of its document or chapter may be empty by
12 % at its foot, and no page may have a hole of three centimetres. With --out, contact sheets of all pages are kept, to
be looked at. Needs pdftoppm (poppler).
"""

import argparse
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image
from pypdf import PdfReader

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

ROOT = Path(__file__).parents[2]
EMPTIEST, WIDEST_HOLE = 0.12, 30.0
DPI, MM = 60, 25.4
FOOTER, MARGIN = 7.0, 11.0  # millimetres: of the footer's line, and of the margin below it
INSTRUMENTS = (
    "flute", "oboe", "clarinet", "bass clarinet", "alto saxophone", "tenor saxophone", "bassoon", "horn", "trumpet",
    "trombone", "euphonium", "tuba", "violin", "viola", "cello", "marimba", "piccolo", "double bass", "soprano voice",
    "snare drum",
)  # fmt: skip
KEYS = ("C", "G", "D", "A", "E", "B", "F", "B-flat", "E-flat", "A-flat", "D-flat", "F-sharp")
FORMS = (
    "major",
    "harmonic minor",
    "melodic minor",
    "major arpeggio",
    "dominant seventh",
    "dorian",
    "chromatic",
)
FIGURES = ("", "", " in thirds", " in fourths", " in triads", " in groups of four", " in sixths")
SPANS = ("", ", one octave", ", two octaves", ", a twelfth")
DRESS = (
    "",
    "",
    ", slur two tongue two",
    ", all slurred",
    ", staccato",
    ", triplets",
    ", eighths",
    ", siciliano",
)
SETS = (
    "all keys, {form}", "all flat keys, {form}", "{key} major, usual articulations", "long tones on G",
    "all sharp keys, {form} in thirds", "{key} major, every rhythm", "whole-tone on C, every articulation",
)  # fmt: skip
ROWS = (
    "flute, clarinet, alto saxophone, trumpet",
    "horn, trombone, tuba, snare drum",
    "violin, viola, cello",
)


@dataclass(frozen=True)
class Page:
    """One page as it was seen.

    Attributes:
        name: command and page.
        picture: of it.
        foot: share of its height that is empty above the footer.
        hole: the largest empty stripe in millimetres.
        last: the last of its document or chapter.
    """

    name: str
    picture: Path
    foot: float
    hole: float
    last: bool

    @property
    def bad(self) -> bool:
        """Whether paper is wasted on it."""
        return self.hole >= WIDEST_HOLE or (self.foot > EMPTIEST and not self.last)


def seen(picture: Path, dpi: float = DPI) -> tuple[float, float]:
    """Empty share at the foot, and the largest hole above it in millimetres, of a picture of a page."""
    dark = (np.asarray(Image.open(picture).convert("L")) < 160).any(axis=1)
    height = len(dark) * MM / dpi
    rows = np.nonzero(dark)[0] * MM / dpi
    footer = [row for row in rows if row > height - MARGIN - FOOTER]
    body = [row for row in rows if row <= height - MARGIN - FOOTER]
    if not body:
        return 1.0, 0.0
    end = min(footer) if footer else height - MARGIN
    return (end - body[-1]) / height, float(max(np.diff(body), default=0.0))


def commands(chance: random.Random) -> Iterator[list[str]]:
    """Commands without end."""
    while True:
        paper = [
            "--paper",
            chance.choice(("letter", "a4")),
            "--print",
            chance.choice(("small", "normal", "normal", "large")),
        ]
        instrument = ["-i", chance.choice(INSTRUMENTS)]
        kind = chance.choice(("sheet", "sheet", "sheet", "today", "handout", "book"))
        if kind == "today":
            day = f"2027-01-{chance.randint(1, 28):02d}"
            yield [
                "today",
                "--minutes",
                str(chance.choice((15, 20, 30, 45, 60))),
                "--date",
                day,
                *instrument,
                *paper,
            ]
        elif kind == "handout":
            yield ["handout", *phrases(chance, 4), "--instruments", chance.choice(ROWS), "--no-score", *paper]
        elif kind == "book":
            yield [
                "sheet",
                *phrases(chance, 2),
                chance.choice(SETS[:2]).format(form="major"),
                "--book",
                *instrument,
                *paper,
            ]
        else:
            show = chance.choice(("notes", "notes", "notes", "outline"))
            some = phrases(chance, chance.randint(4, 14))
            yield ["sheet", *some, "--show", show, *instrument, *paper]


def phrases(chance: random.Random, count: int) -> list[str]:
    """Phrases, of which the last may stand for many."""

    def one() -> str:
        return f"{chance.choice(KEYS)} {chance.choice(FORMS[:-1])}" + "".join(
            map(chance.choice, (FIGURES, SPANS, DRESS))
        )

    found = [one() for _ in range(count)]
    if chance.random() < 0.4:
        many = chance.choice(SETS).format(form=chance.choice(FORMS[:3]), key=chance.choice(KEYS))
        found = [many, *found[: count // 2]]
    return found


def pages_of(words: Sequence[str], folder: Path) -> list[Page]:
    """Print, and look at every page."""
    surroundings = {**os.environ, "SCALEWRIGHT_HOME": str(folder / "home"), "PYTHONPATH": str(ROOT)}
    done = subprocess.run(
        [sys.executable, "-m", "generator", *words, "--out", str(folder / "out"), "--no-cache", "-q"],
        capture_output=True,
        text=True,
        check=False,
        env=surroundings,
    )
    found: list[Page] = []
    if done.returncode == 2:  # nothing of it fits the instrument
        return found
    if done.returncode:
        raise RuntimeError(f"{words}: {done.stderr}")
    for path in map(Path, done.stdout.split("\n")[:-1]):
        if path.stem not in ("everything", "cover"):
            found += _document(" ".join(words), path, folder)
    return found


def _document(name: str, path: Path, folder: Path) -> list[Page]:
    stem = folder / f"{path.stem}-{len(list(folder.iterdir()))}"
    subprocess.run(["pdftoppm", "-r", str(DPI), "-gray", "-png", str(path), str(stem)], check=True)
    pictures = sorted(folder.glob(f"{stem.name}-*.png"))
    reader = PdfReader(path)
    opens = sorted(
        {reader.get_destination_page_number(mark) for mark in reader.outline if not isinstance(mark, list)}
    )
    first = opens[1] if opens else 0  # of a book; title and contents come before
    return [
        Page(f"{name} p. {n + 1}", picture, *seen(picture), n + 1 == len(pictures) or n + 1 in opens)
        for n, picture in enumerate(pictures)
        if n >= first
    ]


def contact_sheets(pages: Sequence[Page], out: Path) -> None:
    """All pages in rows of six, twenty-four to a picture."""
    out.mkdir(parents=True, exist_ok=True)
    for number, start in enumerate(range(0, len(pages), 24), 1):
        some = [
            Image.open(page.picture).convert("L").resize((340, 450)) for page in pages[start : start + 24]
        ]
        sheet = Image.new("L", (6 * 346, -(-len(some) // 6) * 456), 120)
        for place, picture in enumerate(some):
            sheet.paste(picture, (place % 6 * 346 + 3, place // 6 * 456 + 3))
        sheet.save(out / f"pages-{number:02d}.png")


def main() -> int:
    words = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    words.add_argument("--pages", type=int, default=200)
    words.add_argument("--seed", type=int, default=1)
    words.add_argument("--out", type=Path, help="a folder for contact sheets")
    asked = words.parse_args()
    if not shutil.which("pdftoppm"):
        sys.exit("pdftoppm is not there; install poppler-utils")
    pages: list[Page] = []
    with tempfile.TemporaryDirectory() as folder:
        for number, command in enumerate(commands(random.Random(asked.seed))):
            place = Path(folder) / str(number)
            place.mkdir()
            pages += pages_of(command, place)[:12]
            if len(pages) >= asked.pages:
                break
        del pages[asked.pages :]
        if asked.out:
            contact_sheets(pages, asked.out)
    for number, page in enumerate(pages, 1):
        mark = "!" if page.bad else " "
        last = "last" if page.last else ""
        sys.stdout.write(
            f"{mark}{number:4} foot {page.foot:5.1%} hole {page.hole:5.1f} mm {last:5}{page.name}\n"
        )
    empty = sum(page.foot > EMPTIEST and not page.last for page in pages)
    holes = sum(page.hole >= WIDEST_HOLE for page in pages)
    inner = [page for page in pages if not page.last]
    mean = sum(page.foot for page in inner) / max(1, len(inner))
    sys.stdout.write(
        f"{len(pages)} pages, {len(inner)} of them not the last: {empty} more than {EMPTIEST:.0%} empty, "
        f"{holes} with a hole of {WIDEST_HOLE / 10:g} cm; empty at the foot on average {mean:.1%}\n"
    )
    return 1 if empty or holes else 0


if __name__ == "__main__":
    sys.exit(main())
