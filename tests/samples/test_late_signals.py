"""What counts as a fault at the end of a command that got a signal."""

import signal

import pytest

from tests.benchmarks.late_signals import fault
from tests.fixtures.command import Said

STOPPED = ["scalewright: stopped"]


@pytest.mark.parametrize(
    ("said", "number", "words"),
    [
        (Said(0, ["out/x.json"], []), signal.SIGINT, ""),
        (Said(130, [], STOPPED), signal.SIGINT, ""),
        (Said(130, ["out/x.json"], STOPPED), signal.SIGINT, ""),
        (Said(143, [], STOPPED), signal.SIGINT, "exit code 143 after SIGINT: scalewright: stopped"),
        (Said(1, ["out/x.json"], ["Traceback"]), signal.SIGTERM, "exit code 1 after SIGTERM: Traceback"),
        (Said(0, [], []), signal.SIGTERM, "exit code 0 and 0 paths"),
        (Said(0, ["out/x.json"], ["Exception ignored in"]), signal.SIGTERM, "Exception ignored in"),
    ],
)
def test_done_or_stopped_and_nothing_else(said, number, words):
    assert fault(said, number).strip() == words
