"""Every number that drills are held to, in one table.

    python tests/exhaustive/drills.py                     all rows
    python tests/exhaustive/drills.py abc files --most 50    some rows, fewer of each

abc       tunes of the public-domain collections that music21's package carries, against abc2midi (Debian's abcmidi)
files     MusicXML files of the packages music21 and partitura, against partitura as the second reader
random    passages with ties, tuplets, rests and pickups: nothing lost, bars full, every key inside the range
hostile   files made to harm: refused within two seconds and 150 MB, and nothing written
speed     a drill of a kept passage against LilyPond alone on its page
"""

import argparse
import contextlib
import importlib.util
import os
import re
import resource
import subprocess
import sys
import tempfile
import time
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
sys.path.insert(0, str(ROOT))

import mido  # noqa: E402

from generator.catalogue.players import player_named  # noqa: E402
from generator.errors import GeneratorError  # noqa: E402
from generator.exercise.instrument import Compass  # noqa: E402
from generator.passage.abc_reader import read_abc  # noqa: E402
from generator.passage.chunks import segments  # noqa: E402
from generator.passage.drill import drilled  # noqa: E402
from generator.passage.kept import KeptPassage, from_text, text_of  # noqa: E402
from generator.passage.request import DrillRequest  # noqa: E402
from generator.passage.source import read_file  # noqa: E402
from generator.theory.pitch import Pitch  # noqa: E402
from tests.passage.passages import random_passage  # noqa: E402
from tests.passage.test_files import HOSTILE, bomb  # noqa: E402

Row = tuple[str, str, str, bool]
COLLECTIONS = ("airdsAirs", "oneills1850", "ryansMammoth", "nottingham-dataset", "miscFolk")


def package(name: str) -> Path:
    found = importlib.util.find_spec(name)
    assert found is not None
    assert found.origin is not None
    return Path(found.origin).parent


# ---- ABC against abc2midi -------------------------------------------------------------------------------


def tunes() -> Iterator[tuple[str, str]]:
    corpus = package("music21") / "corpus"
    for name in COLLECTIONS:
        for path in sorted((corpus / name).rglob("*.abc")):
            text = path.read_text("utf-8", "replace")
            for number, tune in enumerate(re.split(r"(?m)^(?=X:)", text)):
                if "K:" in tune and "=20" not in tune:  # a few were spoilt by mail on their way
                    yield f"{path.name}:{number}", tune


def plain(tune: str) -> str | None:
    """What both readers should hear alike: without repeats to play twice, ornaments, chords and words."""
    head, _, body = tune.partition("K:")
    key, _, music = body.partition("\n")
    music = "\n".join(
        line for line in music.splitlines() if line.strip() and not re.match(r"[A-JN-Zmrsw]:|%", line)
    )
    music = re.sub(r'"[^"]*"|![^!]*!|\{[^}]*\}|%.*', "", music)
    if re.search(r"\[[^A-Za-z|]|\[[A-Ga-g^_=]|&|\[V:|\|\s*[12]|\[[12]|^V:", music):
        return None
    music = re.sub(r"[~.]|[H-Wh-w](?!:)", "", music).replace("::", "|").replace("|:", "|").replace(":|", "|")
    fields = [line for line in head.splitlines() if re.match(r"[XML]:", line)]
    return "\n".join(["%abc-2.1", *fields, f"K:{key}", music]) + "\n"


def heard_by_abc2midi(text: str, folder: Path) -> list[tuple[Fraction, int]]:
    source, target = folder / "t.abc", folder / "t.mid"
    target.unlink(missing_ok=True)
    source.write_text(text, "utf-8")
    subprocess.run(["abc2midi", source, "-o", target], capture_output=True, check=False, timeout=20)
    file = mido.MidiFile(target)
    found = []
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on" and message.velocity and message.channel != 9:
                found.append((Fraction(now, 4 * file.ticks_per_beat), message.note))
    return sorted(found)


def heard_by_us(text: str) -> list[tuple[Fraction, int]]:
    place, found, tied = Fraction(0), [], None
    for bar in read_abc(text).bars:
        for note in bar.notes:
            if note.pitch is not None and note.pitch != tied:
                found.append((place, note.pitch.height))
            tied = note.pitch if note.tie else None
            place += note.value.length
    return found


def abc(most: int) -> Row:
    read: Counter[str] = Counter()
    odd: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        every = list(tunes())
        Random(1).shuffle(every)
        for name, tune in every:
            text = plain(tune)
            if text is None or read.total() >= most:
                continue
            try:
                # abc2midi carries an accidental into all octaves, as the standard has it where nothing is said; we,
                # as printed music does, into its own. Said so, both mean the same.
                ours = heard_by_us("%%propagate-accidentals pitch\n" + text)
                theirs = heard_by_abc2midi(text, Path(folder))
            except GeneratorError as error:
                read["refused"] += 1
                odd.append(f"{name}: {error}")
                continue
            except (OSError, EOFError, ValueError, subprocess.TimeoutExpired):
                continue
            same = [h for _, h in ours] == [h for _, h in theirs] and all(
                abs(a - b) < Fraction(1, 200) for (a, _), (b, _) in zip(ours, theirs, strict=True)
            )
            read["same" if same else "differs"] += 1
            if not same:
                odd.append(f"{name}: {len(ours)} notes, abc2midi {len(theirs)}")
    for line in odd:
        print("   ", line)
    share = read["same"] / max(1, read.total())
    return (
        "ABC tunes as abc2midi plays them",
        ">= 98 %",
        f"{100 * share:.1f} % of {read.total()}",
        share >= 0.98,
    )


# ---- MusicXML against partitura ---------------------------------------------------------------------------


def scores() -> list[Path]:
    found = [
        path
        for name in ("music21", "partitura")
        for ending in ("*.mxl", "*.musicxml", "*.xml")
        for path in package(name).rglob(ending)
    ]
    return sorted(path for path in found if "META-INF" not in path.parts)


def second_reading(path: Path) -> dict[int, list[tuple[str, int, int | None]]]:
    """Bars of the first part by partitura: spelled notes by bar number."""
    import partitura

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        score = partitura.load_musicxml(str(path), ignore_invisible_objects=False)
    part = next(iter(score.parts))
    bars: dict[int, list[tuple[str, int, int | None]]] = {}
    numbers = {}
    for number, measure in enumerate(part.iter_all(partitura.score.Measure)):
        key = re.match(r"\d+", str(measure.name or measure.number))
        numbers[measure.start.t] = (int(key[0]) if key else number, measure.end.t)
    for start, (number, end) in numbers.items():
        notes = [
            (n.start.t, n.step, n.octave, n.alter)
            for n in part.iter_all(partitura.score.Note, start, end)
            if not isinstance(n, partitura.score.GraceNote)
        ]
        bars.setdefault(number, []).extend(
            (step, octave, alter or 0) for _, step, octave, alter in sorted(notes, key=lambda n: n[0])
        )
    return bars


def files(most: int) -> Row:
    read: Counter[str] = Counter()
    chosen = scores()
    Random(2).shuffle(chosen)
    for path in chosen[:most]:
        try:
            passage = read_file(path, "2-4", "1").passage
        except GeneratorError as error:
            read["refused"] += 1
            if "\n" in str(error):
                read["crashed"] += 1
            print(f"    {path.name}: {error}")
            continue
        except Exception as error:
            read["crashed"] += 1
            print(f"    CRASH {path.name}: {type(error).__name__}: {error}")
            continue
        try:
            theirs = second_reading(path)
        except Exception as error:
            read["second reader failed"] += 1
            print(f"    {path.name}: partitura: {type(error).__name__}")
            continue
        ours = [
            ("CDEFGAB"[note.pitch.step], note.pitch.octave, note.pitch.alter)
            for note in passage.notes
            for _ in note.values
            if note.pitch is not None
        ]
        # A note of two written values is one note here and there: compare what is begun.
        begun = [("CDEFGAB"[n.pitch.step], n.pitch.octave, n.pitch.alter) for n in passage.attacks if n.pitch]
        wanted = [note for number in (2, 3, 4) for note in theirs.get(number, [])]
        same = wanted in (ours, begun) or _joined(wanted) == _joined(begun)
        read["same" if same else "differs"] += 1
        if not same:
            print(f"    {path.name}: {len(begun)} notes here, {len(wanted)} by partitura")
    good = not read["crashed"]
    told = ", ".join(f"{number} {what}" for what, number in read.items())
    return "MusicXML files, bars 2 to 4", "no crash, differences explained", told, good


def _joined(notes: list[tuple[str, int, int]]) -> list[tuple[str, int, int]]:
    """Without what is repeated at once: ties are joined here and not there."""
    return [one for place, one in enumerate(notes) if not place or notes[place - 1] != one]


# ---- Random passages -----------------------------------------------------------------------------------


def random(most: int) -> Row:
    wide = Compass(Pitch.parse("C2"), Pitch.parse("C8"))
    player = replace(player_named("flute"), compass=wide)
    faults = 0
    for seed in range(most):
        whole = random_passage(Random(seed))
        spans = segments(whole)
        kept = KeptPassage("random", whole, instrument="flute")
        good = spans[0][0] == whole.attacks[0].onset and spans[-1][1] == whole.end
        good &= all(a[1] == b[0] for a, b in pairwise(spans))
        good &= from_text(text_of(kept)) == kept
        for exercise in drilled(kept, DrillRequest("random"), player).exercises:
            good &= all(bar.filled == bar.length for bar in exercise.bars)
            if exercise.recipe == "all keys":
                good &= all(abs(bar.signature or 0) <= 7 for bar in exercise.bars)
                good &= all(wide.holds(pitch) for pitch in exercise.pitches)
        if not good:
            faults += 1
            print(f"    seed {seed}")
    return f"{most} random passages", "nothing lost, bars full, in range", f"{faults} faults", not faults


# ---- Hostile files ---------------------------------------------------------------------------------------


def hostile(_most: int) -> Row:
    slowest, largest, wrong = 0.0, 0, 0
    for name in HOSTILE:
        with tempfile.TemporaryDirectory() as folder:
            home = Path(folder)
            path = bomb(home, name)
            before = {one.name for one in home.iterdir()}
            # A fresh measure for each: the largest of all children ever started only grows.
            probe = (
                "import resource, subprocess, sys, time; t = time.perf_counter();"
                "r = subprocess.run(sys.argv[1:], capture_output=True, text=True);"
                "m = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss;"
                "print(r.returncode, time.perf_counter() - t, m, r.stderr.strip().replace(chr(10), '//'))"
            )
            words = [sys.executable, "-m", "generator", "drill", str(path), "--bars", "1-4", "--part", "1", "-i",
                     "flute", "-f", "json"]  # fmt: skip
            done = subprocess.run(
                [sys.executable, "-c", probe, *words], cwd=home, text=True, capture_output=True, check=False,
                env={**os.environ, "SCALEWRIGHT_HOME": str(home / "home"), "PYTHONPATH": str(ROOT)},
            )  # fmt: skip
            code, seconds, kilobytes, said = done.stdout.split(" ", 3)
            left = {one.name for one in home.iterdir()} - before
            good = code == "2" and "//" not in said and not left
            slowest, largest = max(slowest, float(seconds)), max(largest, int(kilobytes) // 1024)
            wrong += not good
            megabytes = int(kilobytes) // 1024
            print(f"    {name:14} exit {code} {float(seconds):4.2f} s {megabytes:4} MB  {said.strip()[:90]}")
    good = not wrong and slowest <= 2 and largest <= 150
    told = f"{wrong} of {len(HOSTILE)} wrong, slowest {slowest:.2f} s, largest {largest} MB"
    return "hostile files", "exit 2, <= 2 s, <= 150 MB, nothing written", told, good


# ---- Speed -------------------------------------------------------------------------------------------------


def speed(_most: int) -> Row:
    from generator.engraving import lilypond

    with tempfile.TemporaryDirectory() as folder:
        home = {**os.environ, "SCALEWRIGHT_HOME": folder, "PYTHONPATH": str(ROOT)}
        gigue = ROOT / "shared" / "examples" / "harbour-gigue.abc"
        base = [sys.executable, "-m", "generator"]

        def run(*words: str) -> list[str]:
            done = subprocess.run(
                [*base, *words], cwd=folder, env=home, text=True, capture_output=True, check=True
            )
            return done.stdout.split()

        run("passage", "keep", "gigue", str(gigue), "-i", "clarinet")
        (text,) = run("drill", "gigue", "-i", "clarinet", "-f", "ly")
        program = lilypond.find()
        backend = ["-dbackend=cairo"] if program.cairo else []
        alone, ours = [], []
        for _ in range(5):
            begun = time.perf_counter()
            subprocess.run(
                [str(program.path), *backend, "-dno-point-and-click", "-o", "alone", text],
                cwd=folder, env={**os.environ, "GC_DONT_GC": "1"}, capture_output=True, check=True,
            )  # fmt: skip
            alone.append(time.perf_counter() - begun)
            begun = time.perf_counter()
            run("drill", "gigue", "-i", "clarinet", "--no-cache")
            ours.append(time.perf_counter() - begun)
    ratio = sorted(ours)[2] / sorted(alone)[2]
    return (
        "a kept drill against LilyPond alone",
        "<= 1.25",
        f"{ratio:.2f} ({sorted(ours)[2]:.2f} s)",
        ratio <= 1.25,
    )


ROWS: dict[str, tuple[Callable[[int], Row], int]] = {
    "abc": (abc, 500), "files": (files, 1000), "random": (random, 10_000), "hostile": (hostile, 0), "speed": (speed, 0),
}  # fmt: skip


def main() -> None:
    words = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    words.add_argument("rows", nargs="*", choices=[*ROWS, []], help="some of the rows; all without")
    words.add_argument("--most", type=int, help="of each kind")
    asked = words.parse_args()
    with contextlib.suppress(ValueError, OSError):
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    table = []
    for name in asked.rows or ROWS:
        work, usual = ROWS[name]
        table.append(work(asked.most or usual))
    print()
    for what, goal, found, good in table:
        print(f"{'ok  ' if good else 'MISS'} {what:40} goal {goal:45} found {found}")
    sys.exit(not all(good for *_, good in table))


if __name__ == "__main__":
    main()
