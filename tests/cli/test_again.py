"""The same command again is answered with the same page, and only while nothing has changed."""

import os
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from generator.cli import again, main
from generator.engraving import lilypond
from generator.files.resources import data_folder


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


class Desk:
    """Runs commands and says whether the program itself had to be asked."""

    def __init__(self, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> None:
        self.capsys = capsys
        self.ran = 0
        module = sys.modules["generator.cli.main"]
        inner = module._run

        def counted(words: list[str]) -> object:
            self.ran += 1
            return inner(words)

        monkeypatch.setattr(module, "_run", counted)

    def __call__(self, *words: str) -> tuple[str, str, bool]:
        before = self.ran
        with pytest.raises(SystemExit) as left:
            main(words)
        assert not left.value.code
        out, err = self.capsys.readouterr()
        return out, err, self.ran > before


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Desk:
    return Desk(capsys, monkeypatch)


SHEET = ("sheet", "G major in thirds, three octaves", "-i", "oboe", "-f", "json,ly")


def test_the_same_words_print_the_same_files_and_say_the_same(command: Desk) -> None:
    out, err, ran = command(*SHEET)
    assert ran
    assert "Three octaves will not fit" in err  # it did not fit, and that is said again
    paths = [Path(line) for line in out.splitlines()]
    before = [path.read_bytes() for path in paths]
    for path in paths:
        path.unlink()
    assert command(*SHEET) == (out, err, False)
    assert [path.read_bytes() for path in paths] == before


def test_other_words_another_folder_or_no_cache_ask_the_program(command: Desk, tmp_path: Path) -> None:
    command(*SHEET)
    assert command(*SHEET, "--high", "C6")[2]
    assert command(*SHEET, "--no-cache")[2]
    assert not command(*SHEET)[2]
    (tmp_path / "elsewhere").mkdir()
    os.chdir(tmp_path / "elsewhere")
    assert command(*SHEET)[2]


def test_quiet_stays_quiet(command: Desk) -> None:
    first = command(*SHEET, "--quiet")
    assert first[1] == ""
    assert command(*SHEET, "-q")[1] == ""
    assert command(*SHEET, "--quiet")[1:] == ("", False)


def test_a_changed_program_is_asked_again(command: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    command(*SHEET)
    sources = again._sources
    monkeypatch.setattr(again, "_sources", lambda folder: [*sources(folder), ("new.py", 1, 1)])
    assert command(*SHEET)[2]


def test_a_draw_without_a_seed_is_drawn_anew(command: Desk) -> None:
    words = ("sheet", "--list", "nzmeb-trombone-8", "-i", "trombone", "--draw", "3", "-f", "json")
    command(*words)
    assert command(*words)[2]
    command(*words, "--seed", "7")
    assert not command(*words, "--seed", "7")[2]


def _old(path: Path) -> None:
    """As if written some time ago, which most files are."""
    before = time.time() - 60
    os.utime(path, (before, before))


def test_a_list_of_ones_own_that_changed_is_read_again(command: Desk, tmp_path: Path) -> None:
    mine = tmp_path / "mine.toml"
    source = data_folder("shared") / "lists" / "nzmeb-trombone-8.toml"
    mine.write_bytes(source.read_bytes())
    words = ("sheet", "--list", "mine.toml", "-i", "trombone", "-f", "json")
    _old(mine)
    command(*words)
    assert not command(*words)[2]
    mine.write_text(mine.read_text("utf-8") + "\n# a remark\n", "utf-8")
    assert command(*words)[2]


def test_a_file_that_changed_while_the_command_ran_is_not_trusted(command: Desk, tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text('minutes = 10\n[[keep]]\nphrase = "all keys, major"\n', "utf-8")
    words = ("today", "--home", "home", "-f", "json", "-i", "oboe")
    command(*words)
    assert command(*words)[2]
    _old(plan)
    command(*words)
    assert not command(*words)[2]


TODAY = ("today", "--home", "home", "-i", "oboe", "-f", "json")


def test_todays_sheet_again_says_that_it_is_printed_again(command: Desk) -> None:
    out, first, _ = command(*TODAY)
    second = command(*TODAY)
    third = command(*TODAY, "--no-cache")
    assert second == (out, third[1], False)
    assert "printed again" in second[1]
    assert "printed again" not in first


def test_todays_sheet_is_asked_for_anew_when_something_was_played_or_planned(
    command: Desk, tmp_path: Path
) -> None:
    command(*TODAY)
    assert not command(*TODAY)[2]
    command("played", "1", "--home", "home")
    assert command(*TODAY)[2]
    assert not command(*TODAY)[2]
    plan = tmp_path / "plan.toml"
    plan.write_text('minutes = 10\n[[keep]]\nphrase = "all keys, major"\n', "utf-8")
    _old(plan)
    assert command(*TODAY)[2]


def test_todays_sheet_is_not_tomorrows(command: Desk, monkeypatch: pytest.MonkeyPatch) -> None:
    assert command(*TODAY, "--date", "2027-02-06")[2]
    assert not command(*TODAY, "--date", "2027-02-06")[2]
    assert command(*TODAY, "--date", "2027-02-07")[2]


@pytest.mark.lilypond
def test_a_page_engraved_before_is_not_engraved_again(
    command: Desk, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    engraved: list[Path] = []
    finished = lilypond._finished

    def counted(process: Any, folder: Path, *rest: Any) -> str:
        log = finished(process, folder, *rest)
        engraved.append(folder)
        return log

    monkeypatch.setattr(lilypond, "_finished", counted)
    words = ("sheet", "G major", "-i", "oboe")
    (out,) = command(*words)[0].splitlines()
    page = Path(out).read_bytes()
    assert len(engraved) == 1
    # Another folder for the files: other words, the same page.
    other = command(*words, "--out", "other")
    assert other[2]
    assert Path(other[0].strip()).read_bytes() == page
    assert len(engraved) == 1
    command(*words, "--out", "anew", "--no-cache")
    assert len(engraved) == 2
