"""A signal when the work is done: the program ends as if nothing had been, or says that it was stopped."""

import fcntl
import os
import signal
import sys
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="copies processes")
ROOT = Path(__file__).parents[2]
STOPPED = {signal.SIGINT: 130, signal.SIGTERM: 143, signal.SIGHUP: 129}


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("sheet", "G major", "-i", "flute", "-f", "json"), 0),
        (("sheet", "nonsense"), 2),
    ],
    ids=["sheet", "a mistake"],
)
def test_a_signal_at_any_instant_after_the_work(person, words, code):
    told = person.root / "told"
    last = "_told" if code else "flush_output"
    prelude = f"import sys; sys.path.insert(0, {str(ROOT)!r})\nfrom tests.fixtures import instants\n"
    said = person.run(*words, prelude=f"{prelude}instants.every({last!r}, {str(told)!r})")
    assert said.code == code, said
    found = [line.split(maxsplit=2) for line in told.read_text("utf-8").splitlines()]
    assert len(found) > 25
    wrong = [
        (int(got), place) for number, got, place in found if int(got) not in {code, STOPPED[int(number)]}
    ]
    assert wrong == []
    assert {code, *STOPPED.values()} >= {int(got) for _, got, _ in found} > {code}
    errors = Path(f"{told}.err").read_text("utf-8")
    assert {line for line in errors.splitlines() if line != "scalewright: stopped"} <= set(said.err)


@pytest.mark.parametrize("number", STOPPED)
def test_a_reader_that_has_stalled_is_not_waited_for(person, number):
    if signal.getsignal(number) == signal.SIG_IGN:
        pytest.skip("these tests run where the signal is ignored, as under nohup, and so would the program")
    reading, writing = os.pipe()
    fcntl.fcntl(writing, fcntl.F_SETPIPE_SZ, 4096)
    program = person.start("list", "instruments", stdout=writing)
    os.close(writing)
    os.read(reading, 1)  # it has begun to write, and the rest is far more than the pipe holds
    time.sleep(0.2)
    program.send_signal(number)
    try:
        assert program.wait(20) == STOPPED[number]
    finally:
        os.close(reading)
        program.kill()
    assert program.communicate()[1].decode().splitlines() == ["scalewright: stopped"]
