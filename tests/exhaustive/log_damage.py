"""Damages copies of a log in every way a disk can, and looks whether anything goes by without a word.

    python tests/exhaustive/log_damage.py [--logs 1000] [--seed 1]

A log of a player with merged, taken-back and differing entries is damaged: some bytes changed, bits flipped, a stretch
blanked or filled, the end cut off, two pages swapped, a page put in place of another, a page as it was on an earlier
day, the same anywhere in the first page. Then it is opened. Either every entry is what was saved, or the program says
in one line that the log is damaged. `repair` must then give back every entry that a plain scan of the table can reach
and whose seal is right, say what is missing, and leave the damaged file as it was, byte for byte.

Exits with 1 if a change went by in silence, anything else than a plain error came up, or a repair lost something.
"""

import argparse
import contextlib
import datetime as dt
import random
import shutil
import sqlite3
import sys
import tempfile
from collections import Counter
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from generator.errors import OutputError
from generator.practice_log import Entry, PracticeLog
from generator.practice_log.entry import FIELDS, seal_of
from generator.practice_log.repair import repair
from tests.exhaustive.log_merging import START, Computer, sheet_of

PAGE = 4096
DAY = dt.date(2027, 3, 1)


def make(path: Path, seed: int) -> bytes:
    """A log of some weeks, twice merged; what the file was half way."""
    random_ = random.Random(seed)
    other = Computer(random_)
    one = Computer(random_)
    one.log.close()
    one.log = PracticeLog.open(path)
    half = b""
    for day in range(40):
        for computer in (one, other):
            computer.log.append([sheet_of(START + dt.timedelta(days=day)).entry(computer.moment(START))])
            for _ in range(3):
                computer.act(START + dt.timedelta(days=day))
        if day in (20, 30):
            one.take(other.give())
        if day == 25:
            one.log.close()
            half = path.read_bytes()
            one.log = PracticeLog.open(path)
    one.log.close()
    other.log.close()
    return half


def bytes_changed(data: bytearray, random_: random.Random, _: bytes) -> None:
    for _number in range(random_.randint(1, 20)):
        data[random_.randrange(len(data))] = random_.randrange(256)


def bits_flipped(data: bytearray, random_: random.Random, _: bytes) -> None:
    for _number in range(random_.randint(1, 3)):
        data[random_.randrange(len(data))] ^= 1 << random_.randrange(8)


def head_changed(data: bytearray, random_: random.Random, _: bytes) -> None:
    for _number in range(random_.randint(1, 8)):
        data[random_.randrange(200)] = random_.randrange(256)


def letters_changed(data: bytearray, random_: random.Random, _: bytes) -> None:
    """The damage that is hardest to see: one letter or digit for another."""
    places = [place for place, byte in enumerate(data) if chr(byte).isalnum() and place > PAGE]
    for place in random_.sample(places, random_.randint(1, 5)):
        data[place] = data[place] ^ 1


def stretch_filled(data: bytearray, random_: random.Random, _: bytes) -> None:
    start, length = random_.randrange(len(data)), random_.choice((16, 512, PAGE))
    data[start : start + length] = bytes([random_.choice((0, 255))]) * len(data[start : start + length])


def cut_off(data: bytearray, random_: random.Random, _: bytes) -> None:
    del data[random_.randrange(len(data)) :]


def cut_at_a_page(data: bytearray, random_: random.Random, _: bytes) -> None:
    del data[PAGE * random_.randrange(1, len(data) // PAGE) :]


def pages_swapped(data: bytearray, random_: random.Random, _: bytes) -> None:
    one, two = (PAGE * number for number in random_.sample(range(len(data) // PAGE), 2))
    data[one : one + PAGE], data[two : two + PAGE] = data[two : two + PAGE], data[one : one + PAGE]


def page_repeated(data: bytearray, random_: random.Random, _: bytes) -> None:
    one, two = (PAGE * number for number in random_.sample(range(len(data) // PAGE), 2))
    data[one : one + PAGE] = data[two : two + PAGE]


def page_of_earlier(data: bytearray, random_: random.Random, earlier: bytes) -> None:
    one = PAGE * random_.randrange(len(earlier) // PAGE)
    data[one : one + PAGE] = earlier[one : one + PAGE]


WAYS: tuple[Callable[[bytearray, random.Random, bytes], None], ...] = (
    bytes_changed,
    bytes_changed,
    bits_flipped,
    head_changed,
    letters_changed,
    letters_changed,
    stretch_filled,
    cut_off,
    cut_at_a_page,
    pages_swapped,
    page_repeated,
    page_of_earlier,
)


def scanned(path: Path) -> dict[str, tuple[object, ...]]:
    """Every entry of a file that SQLite can still reach straight through and whose seal is right."""
    found: dict[str, tuple[object, ...]] = {}
    with contextlib.suppress(sqlite3.Error, UnicodeError), contextlib.closing(sqlite3.connect(path)) as file:
        file.text_factory = lambda raw: raw.decode(errors="replace")
        for *values, seal in file.execute(f"SELECT {', '.join(FIELDS)}, seal FROM event NOT INDEXED"):  # noqa: S608
            if seal_of(*values) == seal:
                found[seal] = tuple(values)
    return found


def look(folder: Path, whole: list[Entry]) -> str:
    """What became of one damaged log.

    Raises:
        AssertionError: something went by in silence or was lost.
    """
    path = folder / "log.sqlite"
    damaged = path.read_bytes()
    shutil.copyfile(path, folder / "scan.sqlite")
    reached = scanned(folder / "scan.sqlite")
    try:
        with PracticeLog.open(path) as log:
            kept = log.as_saved()
            events = log.events()
    except OutputError as error:
        told = str(error)
    else:
        assert kept == whole, "another log, without a word"
        assert len(events) <= len(whole)
        return "nothing of the log was hit"
    assert "\n" not in told, told
    done = repair(path, DAY)
    assert done.aside is not None, "repair found nothing wrong with a log that was refused"
    assert done.aside.read_bytes() == damaged, "the damaged file was touched"
    with PracticeLog.open(path) as log:
        mended = {entry.seal for entry in log.as_saved()}
    seals = {entry.seal for entry in whole}
    assert mended <= seals, "an entry that never was"
    targets = mended
    idle = {
        seal for seal, values in reached.items() if values[FIELDS.index("version")] not in (None, *targets)
    }
    assert mended >= (set(reached) & seals) - idle, "an entry that can be read was left behind"
    assert mended == seals or done.lost, "something is missing without a word"
    return "mended whole" if mended == seals else "mended in part"


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    parser.add_argument("--logs", type=int, default=1000)
    parser.add_argument("--seed", type=int, default=1)
    asked = parser.parse_args()
    outcomes: Counter[str] = Counter()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        (folder / "whole").mkdir()
        earlier = make(folder / "whole" / "log.sqlite", asked.seed)
        data = (folder / "whole" / "log.sqlite").read_bytes()
        with PracticeLog.open(folder / "whole" / "log.sqlite") as log:
            whole = log.as_saved()
        note = (folder / "whole" / "log.sqlite.sound").read_bytes()
        for number in range(asked.seed, asked.seed + asked.logs):
            random_ = random.Random(number)
            way = random_.choice(WAYS)
            changed = bytearray(data)
            way(changed, random_, earlier)
            place = folder / str(number)
            place.mkdir()
            (place / "log.sqlite").write_bytes(changed)
            (place / "log.sqlite.sound").write_bytes(note)
            try:
                outcomes[look(place, whole)] += 1
            except Exception as error:  # whatever it is, it is a finding
                sys.exit(f"log {number}, {way.__name__}: {type(error).__name__}: {error}")
            shutil.rmtree(place)
    print(f"{asked.logs} damaged logs of {len(whole)} entries: 0 silent changes, 0 tracebacks")
    for outcome, count in outcomes.most_common():
        print(f"  {count:5} {outcome}")


if __name__ == "__main__":
    main()
