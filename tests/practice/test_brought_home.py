"""What a sheet in one file brings home: each thing once, and no slip of the finger."""

import datetime as dt
import itertools
import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from generator.errors import RequestError
from generator.files.home import Home
from generator.practice.brought_home import checked, note_home, read_home
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.sheet_record import SheetRecord
from generator.practice.today import DayRequest, todays_page
from generator.practice_log import Kind, PracticeLog, utc_text
from tests.fixtures.command import run_here

NOW = dt.datetime(2027, 3, 7, 18, 0, tzinfo=dt.UTC)
LINE = "QH9Q 20270307 1.3.84 2.4 5.2.60"


def signed(line: str) -> str:
    return f"{line} +{checked(line)}"


def sheet_in(home: Path) -> SheetRecord:
    session = open_session(Home.at(home), PlayerOptions(instrument="flute"), home)
    return todays_page(session, DayRequest(NOW.date(), NOW.date(), NOW)).sheet


def plays(home: Path) -> list[tuple[int, int | None, int | None]]:
    with PracticeLog.open(home / "log.sqlite") as log:
        return [(int(e.uid.split(" ")[2]), e.rating, e.tempo) for e in log.entries(kinds=(Kind.PLAY,))]


def test_a_line_is_read() -> None:
    home = read_home(f"  {signed(LINE).lower().replace(' ', '   ')} ")
    assert (home.code, home.day) == ("QH9Q", dt.date(2027, 3, 7))
    assert {n: (s.felt, s.tempo) for n, s in home.said.items()} == {1: (3, 84), 2: (4, None), 5: (2, 60)}


def test_any_one_wrong_sign_and_any_two_exchanged_are_noticed() -> None:
    line = signed(LINE)
    others = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789. "
    spoilt = {line[:n] + c + line[n + 1 :] for n, c in itertools.product(range(len(line) - 4), others)}
    spoilt |= {line[:n] + line[n + 1] + line[n] + line[n + 2 :] for n in range(len(line) - 5)}
    spoilt |= {line[:n] + line[n + 1 :] for n in range(len(line))}
    understood = []
    for one in spoilt - {line}:
        if " ".join(one.split()) == line:
            continue
        try:
            read_home(one)
        except RequestError:
            continue
        understood.append(one)
    assert len(spoilt) > 1000
    assert understood == []


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("", "no line"),
        ("QH9Q", "no line"),
        (signed("QH9Q 20270231 1.3"), "no day"),
        (signed("QH9Q 20270307 1.3.999"), "no tempo"),
        (signed("QH9Q 20270307 1.5"), "no line"),
        ("QH9Q 20270307 1.3 " * 500, "no line"),
    ],
)
def test_what_is_no_line_is_refused_in_one(line: str, why: str) -> None:
    with pytest.raises(RequestError, match=why) as caught:
        read_home(line)
    assert "\n" not in str(caught.value)


def test_a_line_is_noted_once_and_a_longer_one_adds_what_is_new(tmp_path: Path) -> None:
    sheet = sheet_in(tmp_path)
    first = read_home(signed(f"{sheet.code} 20270307 1.3.84 2.4"))
    longer = read_home(signed(f"{sheet.code} 20270307 1.3.84 2.4 3.1"))
    with PracticeLog.open(tmp_path / "log.sqlite") as log:
        assert note_home(log, sheet, first, utc_text(NOW)).new == (1, 2)
        assert note_home(log, sheet, first, utc_text(NOW)).same == (1, 2)
        noted = note_home(log, sheet, longer, utc_text(NOW))
    assert (noted.new, noted.same) == ((3,), (1, 2))
    assert plays(tmp_path) == [(1, 3, 84), (2, 4, None), (3, 1, None)]


def test_what_was_taken_back_stays_so_when_the_line_comes_again(tmp_path: Path) -> None:
    sheet = sheet_in(tmp_path)
    line = signed(f"{sheet.code} 20270307 1.3.84 2.4")
    assert run_here("played", "--from", line, "--home", str(tmp_path)).code == 0
    assert run_here("played", "--undo", "--home", str(tmp_path)).code == 0
    assert run_here("played", "--from", line, "--home", str(tmp_path)).code == 0
    assert plays(tmp_path) == []


def test_a_wrong_line_notes_nothing_and_says_so(tmp_path: Path) -> None:
    sheet = sheet_in(tmp_path)
    for line in (signed(f"{sheet.code} 20270307 99.3"), signed(LINE), "x"):
        done = run_here("played", "--from", line, "--home", str(tmp_path))
        done.fails(2)
    assert plays(tmp_path) == []


def test_the_page_signs_its_lines_in_the_same_way(tmp_path: Path) -> None:
    node = shutil.which("node")
    if node is None:
        pytest.skip("no node here to run the page's own function; the browser tests run it as well")
    text = (Path(__file__).parents[2] / "generator/stand/one/home.js").read_text("utf-8")
    function = re.search(r"const \w+ = \"2345.*?\n}\n", text, re.DOTALL)
    assert function
    script = f"{function[0]}\nprocess.stdout.write(JSON.stringify({json.dumps([LINE])}.map(check)))"
    said = subprocess.run([node, "-e", script], capture_output=True, text=True, check=True).stdout
    assert json.loads(said) == [checked(LINE)]
