"""The top of the command: exit codes, an error nobody foresaw, and where it arose."""

from pathlib import Path

import pytest

from tests.fixtures.command import run_apart, run_here

FAULT = (
    "import generator.publish.sheet as page\n"
    "def fail(*_, **__): raise OverflowError('too far')\n"
    "page.lay_out = fail"
)


def test_an_error_nobody_foresaw_is_one_line_and_exit_code_one(tmp_path: Path) -> None:
    words = ("sheet", "F major", "-i", "tuba", "-f", "ly")
    line = run_apart(*words, prelude=FAULT, folder=tmp_path).fails(
        1, "OverflowError: too far", "SCALEWRIGHT_DEBUG=1"
    )
    assert "install" not in line
    assert not list(tmp_path.iterdir())


def test_the_switch_shows_where_any_error_arose(tmp_path: Path) -> None:
    setting = {"SCALEWRIGHT_DEBUG": "1"}
    foreseen = run_apart("sheet", "F mayor", "-i", "tuba", setting=setting, folder=tmp_path)
    assert foreseen.code == 2
    assert "Traceback" in foreseen.words
    assert foreseen.err[-1].startswith("scalewright: ")
    other = run_apart(
        "sheet", "F major", "-i", "tuba", "-f", "ly", prelude=FAULT, setting=setting, folder=tmp_path
    )
    assert (other.code, "lay_out" in other.words or "fail" in other.words) == (1, True)


def test_a_name_that_a_module_lacks_is_a_mistake_of_the_program_and_no_broken_installation(
    tmp_path: Path,
) -> None:
    prelude = "import generator.exercise.build as module\ndel module.build"
    said = run_apart("sheet", "F major", "-i", "tuba", "-f", "json", prelude=prelude, folder=tmp_path)
    said.fails(1, "ImportError")


@pytest.mark.lilypond
def test_the_same_command_again_engraves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    words = ("sheet", "F major, one octave", "-i", "tuba", "-q")
    (first,) = run_here(*words).succeeds()
    before = Path(first).read_bytes()
    Path(first).unlink()
    from generator.engraving.lilypond import Press

    def refuse(*_: object, **__: object) -> None:
        raise AssertionError("engraved twice")

    monkeypatch.setattr(Press, "finish", refuse)
    assert run_here(*words).succeeds() == [first]
    assert Path(first).read_bytes() == before
