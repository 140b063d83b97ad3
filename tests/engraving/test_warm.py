"""A LilyPond that stays gives what a new one would; what a text or a kill does to one picture stays with it."""

import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from generator import exercises, player
from generator.engraving import lilypond
from generator.engraving.include import house_style
from generator.engraving.parallel import Job, engrave_all
from generator.engraving.process_group import StoppedError
from generator.engraving.program import Program
from generator.engraving.render import render_clips
from generator.engraving.render_screen import HEAD, SAMPLE, includes, render_screen
from generator.engraving.result import EngravingOrder
from generator.engraving.warm import WarmPress
from generator.errors import EngravingError, MachineError
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.screen import Screen, lay_out_on
from generator.pages.sheet import Words, lay_out

TEMPLATES = data_folder("templates")
ORDER = EngravingOrder(("svg",))
PHRASES = (
    "G major",
    "F-sharp harmonic minor, slur two tongue two",
    "C major in thirds, 7/8",
    "long tones on G",
    "A major, pp to ff and back",
    "chromatic on C, triplets",
)
ENDLESS = "#(let loop () (loop))\n"
HUNGRY = "#(let loop ((held '())) (loop (cons (make-vector 1000000 0) held)))\n"
pytestmark = [
    pytest.mark.lilypond,
    pytest.mark.usefixtures("temporary"),
    pytest.mark.skipif(sys.platform == "win32", reason="processes are counted in /proc"),
]


@pytest.fixture
def press(real: Program) -> Iterator[WarmPress]:
    with WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER) as found:
        yield found


def text_of(phrase: str, width: int = 390) -> str:
    exercise = exercises(phrase, player=player("alto saxophone"))[0]
    return render_screen(lay_out_on(Screen(width, 430), exercise), TEMPLATES)


def plain(data: bytes) -> bytes:
    """A picture without the numbers that Cairo counts its surfaces by."""
    return re.sub(rb"surface\d+", b"surface", data)


def cold(text: str) -> dict[str, bytes]:
    made = lilypond.engrave({lilypond.MAIN: text, **includes(TEMPLATES)}, formats=("svg",))
    return {name: plain(data) for name, data in made.files.items()}


def warm(press: WarmPress, text: str) -> dict[str, bytes]:
    return {name: plain(data) for name, data in press.engrave(text).files.items()}


def children(number: int) -> list[int]:
    """The processes a process started and has not waited for."""
    return [int(one) for one in Path(f"/proc/{number}/task/{number}/children").read_text().split()]


def is_running(number: int) -> bool:
    try:
        state = Path(f"/proc/{number}/stat").read_text().rpartition(")")[2].split()[0]
    except FileNotFoundError:
        return False
    return state not in "ZX"


def are_gone(*numbers: int) -> bool:
    deadline = time.monotonic() + 5
    while any(map(is_running, numbers)) and time.monotonic() < deadline:
        time.sleep(0.02)
    return not any(map(is_running, numbers))


@pytest.mark.parametrize("doubles", [True, False])
def test_each_picture_is_that_of_a_new_lilypond(real: Program, doubles: bool) -> None:
    texts = [text_of(phrase, width) for phrase in PHRASES for width in (330, 820)]
    with WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER, doubles=doubles) as press:
        made = [warm(press, text) for text in texts]
        number = press.pid
    assert number
    assert are_gone(number)
    assert made == [cold(text) for text in texts]
    assert all(list(one) == (["sheet.svg"] if len(one) == 1 else sorted(one)) for one in made)


@pytest.mark.parametrize("doubles", [True, False])
def test_a_bad_text_is_refused_with_lilyponds_own_words_and_the_next_is_made(
    real: Program, doubles: bool
) -> None:
    good = text_of("G major")
    with WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER, doubles=doubles) as press:
        before = warm(press, good)
        for bad, why in (
            (good.replace(r"\clef", r"\clof"), "unknown escaped string"),
            (good.replace("treble", "trouble"), "unknown clef"),
            (good.replace(" | ", " c'2 | "), "barcheck failed"),
        ):
            assert bad != good
            with pytest.raises(EngravingError, match=why) as caught:
                press.engrave(bad)
            assert "sheet.ly:" in str(caught.value) or why == "unknown clef"
            assert warm(press, good) == before


def test_an_endless_text_and_a_hungry_one_end_alone(press: WarmPress) -> None:
    good = text_of("G major")
    before, number = warm(press, good), press.pid
    assert number
    with pytest.raises(EngravingError, match=r"not done after 0\.5 seconds"):
        press.engrave(HEAD + ENDLESS, seconds=0.5)
    assert children(number) == []
    assert warm(press, good) == before
    with pytest.raises(EngravingError):
        press.engrave(HEAD + HUNGRY)
    assert warm(press, good) == before
    assert press.pid == number


def test_a_double_that_is_killed_does_not_harm_the_next(press: WarmPress) -> None:
    good = text_of("G major")
    before, number = warm(press, good), press.pid
    assert number

    def kill() -> None:
        while not (found := children(number)):
            time.sleep(0.005)
        os.kill(found[0], signal.SIGKILL)

    killer = threading.Thread(target=kill)
    killer.start()
    with pytest.raises(EngravingError, match="killed from outside"):
        press.engrave(HEAD + ENDLESS)
    killer.join()
    assert (warm(press, good), press.pid) == (before, number)


def test_one_that_was_killed_while_it_waited_is_started_anew(press: WarmPress) -> None:
    good = text_of("G major")
    before, number = warm(press, good), press.pid
    assert number
    os.kill(number, signal.SIGKILL)
    assert are_gone(number)
    assert warm(press, good) == before
    assert press.pid != number


def test_without_doubles_an_endless_text_costs_the_process_and_no_more(real: Program) -> None:
    good = text_of("G major")
    with WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER, doubles=False) as press:
        before, number = warm(press, good), press.pid
        with pytest.raises(EngravingError, match="not done"):
            press.engrave(HEAD + ENDLESS, seconds=0.5)
        assert number
        assert are_gone(number)
        assert warm(press, good) == before


def test_nothing_is_left_behind(real: Program, temporary: Path) -> None:
    with WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER) as press:
        press.engrave(text_of("G major"))
        number = press.pid
        assert number
        with pytest.raises(EngravingError):
            press.engrave(HEAD + ENDLESS, seconds=0.2)
    assert are_gone(number)
    # What is kept of a text that failed, and says so.
    assert [path.name[:18] for path in temporary.iterdir()] == ["scalewright-failed"]
    with pytest.raises(MachineError, match="closed"):
        press.engrave(text_of("G major"))


def test_it_ends_when_whoever_started_it_is_killed(temporary: Path) -> None:
    code = (
        "import time\nfrom generator.publish.screen import ScreenPress\n"
        "press = ScreenPress()\npress.warm_up()\nprint(press.pid, flush=True)\ntime.sleep(60)\n"
    )
    environment = {**os.environ, "TMPDIR": str(temporary)}
    with subprocess.Popen([sys.executable, "-c", code], stdout=subprocess.PIPE, env=environment) as started:
        assert started.stdout
        number = int(started.stdout.readline())
        assert is_running(number)
        started.kill()
    assert are_gone(number)


def test_another_text_than_it_waits_for_is_refused(press: WarmPress) -> None:
    other = text_of("G major").replace("letter", "a4")
    assert not press.takes(other)
    with pytest.raises(EngravingError, match="does not begin"):
        press.engrave(other)


def test_several_threads_may_ask_at_once(press: WarmPress) -> None:
    texts = [text_of(phrase) for phrase in PHRASES[:3]] * 3
    made: dict[int, dict[str, bytes]] = {}
    threads = [
        threading.Thread(target=lambda n=n, t=text: made.update({n: warm(press, t)}))  # type: ignore[misc]
        for n, text in enumerate(texts)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert [made[n] for n in range(3)] * 3 == [made[n] for n in range(9)]


def clips(count: int) -> list[Job]:
    """Runs of pictures as cropped ones are ordered."""
    found = exercises("C, G, D, A, E and B major", player=player("flute"))
    jobs = []
    for n in range(count):
        sheet = lay_out(found[2 * n : 2 * n + 2], Words("", ""), Paper.of("letter", "normal"))
        stems = (f"run{n}a", f"run{n}b")
        jobs.append(Job(partial(render_clips, sheet, stems, TEMPLATES), stems, crop=True))
    return jobs


def test_runs_that_begin_alike_give_the_same_from_one_that_stays(real: Program, temporary: Path) -> None:
    shared = house_style(TEMPLATES)
    made = [
        engrave_all(clips(3), shared, ("svg", "png"), lambda _done, _all: None, alike=alike)
        for alike in (True, False)
    ]
    assert made[0][1] == made[1][1] == ()
    assert len(made[0][0]) == 12
    assert {n: plain(d) for n, d in made[0][0].items()} == {n: plain(d) for n, d in made[1][0].items()}
    assert list(temporary.iterdir()) == []


def test_a_run_that_fails_ends_those_that_stay(real: Program, temporary: Path) -> None:
    jobs = clips(3)
    text = jobs[1].text
    jobs[1] = replace(jobs[1], text=lambda: text().replace("treble", "trouble"))
    with pytest.raises(EngravingError, match="unknown clef"):
        engrave_all(jobs, house_style(TEMPLATES), ("svg",), lambda _done, _all: None, alike=True)
    assert [path.name[:18] for path in temporary.iterdir()] == ["scalewright-failed"]
    assert are_gone(*below(os.getpid()))


@pytest.mark.parametrize("waits", [True, False], ids=["in the middle of a page", "while it gets ready"])
def test_what_is_closed_under_a_page_keeps_nothing_of_it(real: Program, temporary: Path, waits: bool) -> None:
    press = WarmPress(real, includes(TEMPLATES), HEAD, SAMPLE, ORDER)
    if waits:
        press.warm_up()
    failed: list[BaseException] = []

    def ask() -> None:
        try:
            press.engrave(text_of("G major") + ENDLESS)
        except MachineError as error:
            failed.append(error)

    asking = threading.Thread(target=ask)
    asking.start()
    time.sleep(0.15)
    press.close()
    asking.join()
    assert [type(error) for error in failed] == [StoppedError]
    assert list(temporary.iterdir()) == []


def below(number: int) -> list[int]:
    """The LilyPonds a process started."""
    return [one for one in children(number) if "lilypond" in Path(f"/proc/{one}/cmdline").read_text()]
