"""Three planted faults, and one that is none: the command tells them apart. The rest is for the command itself."""

from collections import Counter
from dataclasses import replace

import pytest

from tests.mutants import run
from tests.mutants.run import Mutant, mutants, stale

SAMPLE = ("order of sharps", "seven sharps refused", "minor keys at the place of their major")
FAULTS = {one.name: one for one in mutants()}


def test_a_hundred_faults_in_six_rooms_each_with_its_own_name() -> None:
    assert len(FAULTS) == len(mutants()) >= 100
    assert Counter(one.room for one in FAULTS.values()).keys() == run.ROOMS.keys()
    for one in FAULTS.values():
        assert one.text != one.becomes
        assert one.notice


def test_three_are_caught_by_a_test_that_passes_without_them(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setitem(run.ROOMS, "theory", ("tests/theory/test_keys.py",))
    words = [word for name in SAMPLE for word in ("--only", name)]
    assert run.main([*words, "--quick", "--jobs", "2"]) == 0
    lines = capsys.readouterr().out.splitlines()
    for line, name in zip(lines, SAMPLE, strict=False):
        assert f"{name}: caught by tests/theory/test_keys.py::" in line
    assert "3 of 3 caught" in lines[-1]


def test_what_is_no_fault_survives(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    harmless = replace(FAULTS[SAMPLE[0]], name="none", text='"""Key signatures', becomes='"""The signatures')
    monkeypatch.setitem(run.ROOMS, "theory", ("tests/theory/test_keys.py::test_order_of_sharps_and_flats",))
    monkeypatch.setattr(run, "mutants", lambda: [harmless])
    assert run.main(["--quick"]) == 1
    assert "0 of 1 caught" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("text", "becomes", "reason"),
    [
        ("no such words", "", "stands 0 times"),
        ("fifths", "", r"stands \d\d times"),
        ("_SHARP_STEPS = (3, 0, 4, 1, 5, 2, 6)", "_SHARP_STEPS = (3,", "is no Python any more"),
    ],
)
def test_a_row_that_the_program_has_left_behind_is_refused(
    text: str, becomes: str, reason: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    old: Mutant = replace(FAULTS[SAMPLE[0]], text=text, becomes=becomes)
    (said,) = stale([old])
    with pytest.raises(ValueError, match=reason):
        raise ValueError(said)
    monkeypatch.setattr(run, "mutants", lambda: [old])
    assert run.main([]) == 2
    assert said in capsys.readouterr().err
