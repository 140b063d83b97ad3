"""Stopped by the person or the system: nothing is left and LilyPond does not go on."""

import signal
import sys
import time
from pathlib import Path

import pytest

from tests.fixtures.command import ended

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="looks in /proc")
CODES = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}
# Says that it runs, and never ends by itself.
HANGS = """
open(os.environ["TMPDIR"] + "/../../running", "a").write("x")
time.sleep(60)
"""


def started(person, words, setting, **more):
    program = person.start(*words, setting=setting, **more)
    deadline = time.monotonic() + 30
    while not (person.root / "running").exists():
        assert time.monotonic() < deadline, "LilyPond never came"
        time.sleep(0.01)
    return program


def others_in(folder):
    """Programs at work below a folder."""
    found = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            if (place / "cwd").readlink().is_relative_to(folder):
                found.append((place / "cmdline").read_bytes())
        except OSError:
            continue
    return found


def is_over(person, program, code):
    assert ended(program, 20).fails(code) == "scalewright: stopped"
    assert others_in(person.temporary) == []
    return person.is_clean()


@pytest.mark.parametrize(
    ("command", "number"),
    [*(("SHEET", number) for number in CODES), ("HANDOUT", signal.SIGINT), ("HANDOUT", signal.SIGTERM)],
)
def test_stopped_while_it_engraves(person, fake, command, number):
    if signal.getsignal(number) == signal.SIG_IGN:
        pytest.skip("these tests run where the signal is ignored, as under nohup, and so would the program")
    program = started(person, getattr(person, command), fake(HANGS))
    time.sleep(0.2)
    program.send_signal(number)
    assert is_over(person, program, CODES[number])


def test_stopped_while_it_is_still_being_read(person, fake):
    """LilyPond starts first; Python drops what a signal raises while an import is cleared away, so this is tried."""
    for number in (0, 1, 3, 5):
        (person.root / "running").unlink(missing_ok=True)
        program = started(person, person.SHEET, fake(HANGS))
        time.sleep(number * 0.04)
        program.send_signal(signal.SIGTERM)
        assert is_over(person, program, 143)


def test_an_impatient_person(person, fake):
    program = started(person, person.HANDOUT, fake(HANGS))
    for _ in range(5):
        program.send_signal(signal.SIGINT)
        time.sleep(0.01)
    assert is_over(person, program, 130)


def test_todays_sheet_is_not_lost_when_stopped(person, fake):
    words = (*person.TODAY[:3], *person.TODAY[-2:])
    program = started(person, words, fake(HANGS))
    while not (person.home / "log.sqlite").exists():
        time.sleep(0.01)
    time.sleep(0.5)
    program.send_signal(signal.SIGINT)
    assert is_over(person, program, 130)
    (path,) = person.run(*person.TODAY).succeeds()
    assert person.entries()["sheet"] == 1
    assert person.is_clean(path)


def test_in_the_background_an_interrupt_meant_for_others_is_not_heard(person, fake):
    body = f"{HANGS.replace('time.sleep(60)', 'time.sleep(0.5)')}\nopen('sheet.pdf', 'wb').write(b'%PDF-1.5 %%EOF')"
    # A shell starts what runs in the background with this signal ignored.
    program = started(
        person, person.SHEET, fake(body), preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN)
    )
    program.send_signal(signal.SIGINT)
    said = ended(program, 20)
    assert said.err == []
    assert person.is_clean(*said.succeeds())
