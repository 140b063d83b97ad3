"""What stands behind the stand page, in figures: the warm LilyPond, the server, what a hostile world does to them.

    python tests/benchmarks/stand_back.py [--phrases 180] [--identical 200] [--hostile 1000] [--json FILE]

Figures of time mean something on an idle machine with two processors only; the load is printed with them. Processor
time of a picture is that of the doubles the waiting LilyPond started and waited for (`/proc`, so Linux alone).
`rows` gives the table, for whoever prints it beside others (`stand_numbers.py`). Leaves with exit code 1 where a goal
is missed.
"""

import argparse
import gzip
import http.client
import itertools
import json
import os
import random
import re
import signal
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Any

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))

from generator import exercises, player
from generator.engraving import lilypond
from generator.engraving.render_screen import HEAD, SAMPLE, includes, render_screen
from generator.engraving.result import EngravingOrder
from generator.engraving.warm import WarmPress
from generator.errors import GeneratorError
from generator.files.resources import data_folder
from generator.pages.screen import Screen, lay_out_on
from generator.stand.server import PAGE
from tests.benchmarks.measure import ROOT, Row, head, table

WIDTHS = (390, 820, 1366)
INSTRUMENTS = ("flute", "clarinet", "alto saxophone", "horn", "trombone", "tuba", "violin", "cello")
FORMS = ("major", "harmonic minor", "melodic minor", "major arpeggio", "dominant seventh", "dorian")
KEYS = ("C", "G", "D", "A", "E", "B", "F", "B-flat", "E-flat", "A-flat", "D-flat", "F-sharp")
EXTRAS = (
    "",
    " in thirds",
    ", all slurred",
    ", triplets",
    ", slur two tongue two",
    ", 6/8",
    ", p to f and back",
    ", swing",
)
ENDLESS = "#(let loop () (loop))\n"
BROKEN = "\\book { \\score { \\new Staff { c'4 \\nothing"
TEMPLATES = data_folder("templates")


def requests(number: int, seed: int = 7) -> Iterator[tuple[str, str]]:
    """Instruments and phrases, the same ones each time."""
    chance = random.Random(seed)
    for _ in range(number):
        key, form, extra = chance.choice(KEYS), chance.choice(FORMS), chance.choice(EXTRAS)
        yield chance.choice(INSTRUMENTS), f"{key} {form}{extra}"


def text_of(instrument: str, phrase: str, width: int) -> str:
    """The page text of a request."""
    exercise = exercises(phrase, player=player(instrument))[0]
    return render_screen(lay_out_on(Screen(width, 460), exercise), TEMPLATES)


def warm_press() -> WarmPress:
    """A LilyPond that waits."""
    return WarmPress(lilypond.find(), includes(TEMPLATES), HEAD, SAMPLE, EngravingOrder(("svg",)))


def processor_time(number: int) -> float:
    """Seconds of a process and of its children that it waited for."""
    fields = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()
    return sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")


def resident(number: int) -> float:
    """MB of a process in memory."""
    return int(Path(f"/proc/{number}/statm").read_text().split()[1]) * os.sysconf("SC_PAGE_SIZE") / 1e6


def share(values: Sequence[float], part: float) -> float:
    """A quantile."""
    return sorted(values)[min(len(values) - 1, int(len(values) * part))]


def pictures(number: int) -> list[Row]:
    """Processor time of a picture, and wall clock."""
    texts = [text_of(*one, 390) for one in requests(number)]
    with warm_press() as press:
        begun = time.perf_counter()
        press.warm_up()
        press.engrave(texts[0])
        ready = time.perf_counter() - begun
        assert press.pid
        before = processor_time(press.pid)
        walls = []
        for text in texts:
            begun = time.perf_counter()
            press.engrave(text)
            walls.append(1000 * (time.perf_counter() - begun))
        used = 1000 * (processor_time(press.pid) - before) / len(texts)
        memory = resident(press.pid)
    return [
        Row("back", "ready, with a first picture", (1000 * ready,), unit="ms"),
        Row("back", f"processor time a picture, {number} phrases", (used,), unit="ms", limit=45),
        Row("back", "a picture, median", (share(walls, 0.5),), unit="ms"),
        Row("back", "a picture, 95 of 100", (share(walls, 0.95),), unit="ms"),
        Row("back", "memory of the waiting LilyPond", (memory,), unit="MB", limit=130),
    ]


def identical(number: int) -> list[Row]:
    """How many pictures are those of a new LilyPond, but for the numbers Cairo counts its surfaces by."""

    def plain(data: bytes) -> bytes:
        return re.sub(rb"surface\d+", b"", data)

    alike = whole = 0
    with warm_press() as press:
        for one, width in itertools.product(requests(number, 11), WIDTHS):
            text = text_of(*one, width)
            warm = press.engrave(text).files
            cold = lilypond.engrave({lilypond.MAIN: text, **includes(TEMPLATES)}, formats=("svg",)).files
            whole += 1
            alike += {n: plain(d) for n, d in warm.items()} == {n: plain(d) for n, d in cold.items()}
    return [
        Row(
            "back",
            f"identical to a cold run, of {whole}",
            (100 * alike / whole,),
            unit="%",
            limit=100,
            at_least=True,
        )
    ]


def hostile(number: int) -> list[Row]:
    """The next picture after doubles that were killed, endless texts and broken ones."""
    good = [text_of(*one, 390) for one in requests(20, 13)]
    chance = random.Random(17)
    after, failed, memory = [], 0, 0.0
    with warm_press() as press:
        press.engrave(good[0])
        for turn in range(number):
            assert press.pid
            if chance.random() < 0.15:
                _harm(press, chance.choice((ENDLESS, BROKEN, "killed", "killed")))
                begun = time.perf_counter()
                press.engrave(good[turn % len(good)])
                after.append(1000 * (time.perf_counter() - begun))
                continue
            try:
                press.engrave(good[turn % len(good)])
            except GeneratorError:
                failed += 1
            memory = max(memory, resident(press.pid))
    return [
        Row(
            "back",
            f"picture after harm, worst of {len(after)} in {number}",
            (max(after),),
            unit="ms",
            limit=150,
        ),
        Row("back", "picture after harm, median", (statistics.median(after),), unit="ms"),
        Row("back", "good pictures lost meanwhile", (float(failed),), unit="", limit=0),
        Row("back", "memory meanwhile, most", (memory,), unit="MB", limit=130),
    ]


def _harm(press: WarmPress, how: str) -> None:
    if how == "killed":
        killer = threading.Thread(target=_kill_a_double, args=(press.pid,))
        killer.start()
        with suppress(GeneratorError):
            press.engrave(HEAD + ENDLESS, seconds=5)
        killer.join()
        return
    try:
        press.engrave(HEAD + how, seconds=0.1 if how == ENDLESS else 5)
    except GeneratorError:
        return
    raise AssertionError(f"{how!r} went by in silence")


def _kill_a_double(number: int) -> None:
    path = Path(f"/proc/{number}/task/{number}/children")
    while not (found := path.read_text().split()):
        time.sleep(0.002)
    os.kill(int(found[0]), signal.SIGKILL)


@contextmanager
def standing(home: Path) -> Iterator[tuple["subprocess.Popen[str]", int, float]]:
    """The command as a process, its port, and the moment it was started."""
    begun = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, "-m", "generator", "stand", "-i", "alto saxophone", "--home", str(home), "--port", "0",
         "--no-open"],
        stdout=subprocess.PIPE, text=True, cwd=ROOT,
    )  # fmt: skip
    try:
        assert process.stdout
        yield process, int(process.stdout.readline().rsplit(":", 1)[1].strip(" /\n")), begun
    finally:
        process.send_signal(signal.SIGINT)
        process.wait(timeout=20)
        if process.stdout:
            process.stdout.close()


def asker(port: int) -> Callable[[str, str, Any], bytes]:
    """Asks over one connection, as a browser does."""
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=30)
    own = {"Origin": f"http://127.0.0.1:{port}", "Content-Type": "application/json"}

    def ask(method: str, path: str, body: Any = None) -> bytes:
        connection.request(
            method, path, None if body is None else json.dumps(body), own if method == "POST" else {}
        )
        answer = connection.getresponse()
        data = answer.read()
        assert answer.status == 200, data[:300]
        return data

    return ask


def served(phrases: int = 80) -> list[Row]:
    """The server from outside: first music, previews as they are typed, taps."""
    found: list[Row] = []
    with tempfile.TemporaryDirectory() as folder:
        home = Path(folder)
        firsts = []
        for _ in range(3):
            with standing(home) as (_, port, begun):
                first = json.loads(asker(port)("GET", "/api/picture?number=1&w=390&h=430"))
                assert first["pictures"]
                firsts.append(time.perf_counter() - begun)
        found.append(Row("server", "command to the first music", tuple(firsts), unit="s", limit=1.2))
        with standing(home) as (_, port, _begun):
            ask = asker(port)
            begun = time.perf_counter()
            sheet = ask("GET", "/api/today?w=390&h=430")
            found.append(
                Row("server", "the whole sheet, first time", (time.perf_counter() - begun,), unit="s")
            )
            found.append(
                Row("server", "the whole sheet, packed", (len(gzip.compress(sheet)) / 1000,), unit="kB")
            )
            for name, (w, h) in {"phone": (390, 430), "laptop": (1366, 460)}.items():
                walls = []
                for instrument, phrase in requests(phrases, 19 + w):
                    begun = time.perf_counter()
                    ask("POST", "/api/preview", {"phrase": phrase, "instrument": instrument, "w": w, "h": h})
                    walls.append(1000 * (time.perf_counter() - begun))
                found += [
                    Row(
                        "server",
                        f"phrase to picture, {name}, median",
                        (share(walls, 0.5),),
                        unit="ms",
                        limit=80,
                    ),
                    Row(
                        "server",
                        f"phrase to picture, {name}, 95 of 100",
                        (share(walls, 0.95),),
                        unit="ms",
                        limit=150,
                    ),
                ]
            code = json.loads(ask("POST", "/api/start-today", {}))["sheet"]
            taps = []
            for n in range(20):
                tap = {
                    "sheet": code,
                    "number": 1 + n % 3,
                    "felt": "steady",
                    "tempo": 60 + n,
                    "uid": f"tap-{n:08}",
                }
                begun = time.perf_counter()
                ask("POST", "/api/played", tap)
                taps.append(1000 * (time.perf_counter() - begun))
            found.append(Row("server", "a tap to noted, worst of 20", (max(taps),), unit="ms", limit=100))
    return found


def sizes() -> list[Row]:
    """What travels: the page's own files, and the sheet in one file."""
    own = [path for path in PAGE.iterdir() if path.suffix in (".js", ".css")]
    packed = len(gzip.compress(b"".join(path.read_bytes() for path in sorted(own)))) / 1000
    files = []
    with tempfile.TemporaryDirectory() as folder:
        for instrument in ("flute", "alto saxophone", "tuba", "violin"):
            home = Path(folder) / instrument
            subprocess.run(
                [sys.executable, "-m", "generator", "today", "-i", instrument, "--home", home, "-o", home,
                 "--format", "html", "-q"],
                check=True, cwd=ROOT, stdout=subprocess.DEVNULL,
            )  # fmt: skip
            files += [path.stat().st_size / 1000 for path in home.glob("*.html")]
    return [
        Row("sizes", "JS and CSS, packed", (packed,), unit="kB", limit=25),
        Row("sizes", "one-file sheet, largest of 4 instruments", (max(files),), unit="kB", limit=400),
    ]


def rows(phrases: int = 180, alike: int = 200, harmed: int = 1000) -> list[Row]:
    """The whole table."""
    return [*pictures(phrases), *identical(alike), *hostile(harmed), *served(), *sizes()]


def main() -> None:
    """Measure, print, and say whether the goals are met."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--phrases", type=int, default=180)
    parser.add_argument("--identical", type=int, default=200)
    parser.add_argument("--hostile", type=int, default=1000)
    parser.add_argument("--json", type=Path)
    asked = parser.parse_args()
    print(head())
    found = rows(asked.phrases, asked.identical, asked.hostile)
    print("\n".join(table(found)))
    print(head())
    if asked.json:
        asked.json.write_text(json.dumps([row.as_data() for row in found], indent=1))
    sys.exit(any(row.verdict == "MISSED" for row in found))


if __name__ == "__main__":
    main()
