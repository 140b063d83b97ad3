"""Streams, environment and installation are not as usual: the work is done all the same, or one line says why not."""

import shutil
import stat
from pathlib import Path

import pytest

import generator
from generator.files.resources import data_folder

UNSET = ("HOME", "TMPDIR", "SCALEWRIGHT_CACHE", "SCALEWRIGHT_HOME", "LANG", "PATH")
JSON = "sheet 'G major' -i flute -f json"


@pytest.mark.lilypond
def test_an_empty_environment(person):
    (path,) = person.run(*person.SHEET, "--no-cache", without=UNSET).succeeds()
    assert (person.here / path).read_bytes().startswith(b"%PDF-")
    assert person.is_clean(path)


@pytest.mark.parametrize("command", ["OPEN", "TODAY"])
def test_a_user_without_a_home(person, command):
    # As in a container whose user is in no list: there is nobody to ask for a home.
    prelude = "import pwd\ndef unknown(number): raise KeyError(number)\npwd.getpwuid = unknown"
    ended = person.run(*getattr(person, command), prelude=prelude, without=UNSET)
    ended.fails(3, "this user has no home folder; set HOME, or name a folder with --home or SCALEWRIGHT_HOME")
    assert person.is_clean()
    named = person.run(*getattr(person, command), prelude=prelude, without=UNSET[:2])
    assert person.is_clean(*named.succeeds())


def test_a_home_that_cannot_be_made(person):
    without = ("SCALEWRIGHT_HOME", "SCALEWRIGHT_CACHE")
    ended = person.run(*person.TODAY, setting={"HOME": "/proc/none"}, without=without)
    ended.fails(3, "/proc/none", "there is no such file or folder")
    person.run(*person.OPEN, setting={"HOME": "/proc/none"}, without=without).succeeds()


@pytest.mark.parametrize("cache", ["/proc/none", "file"])
def test_a_cache_that_cannot_be_kept_is_done_without(person, cache):
    (person.root / "file").write_text("precious")
    place = person.root / "file" if cache == "file" else cache
    (path,) = person.run(*person.OPEN, setting={"SCALEWRIGHT_CACHE": place}).succeeds()
    assert person.is_clean(path)
    assert (person.root / "file").read_text() == "precious"


@pytest.mark.parametrize(
    "words",
    [JSON, "sheet --help", "list instruments --json"],
)
def test_output_on_a_full_disk(person, words):
    ended = person.shell(f"scalewright {words} > /dev/full")
    ended.fails(3, "standard output cannot be written: the disk is full")
    assert list(person.temporary.iterdir()) == []


@pytest.mark.parametrize(("words", "reader"), [(JSON, "head -c 0"), ("list instruments --json", "head -c 1")])
def test_a_reader_that_goes_away(person, words, reader):
    ended = person.shell(f"scalewright {words} | {reader} > /dev/null; exit ${{PIPESTATUS[0]}}")
    assert (ended.code, ended.err) == (0, [])


@pytest.mark.parametrize("closed", [">&-", "2>&-", "<&-", ">&- 2>&- <&-"])
def test_closed_streams(person, closed):
    ended = person.shell(f"scalewright today -i flute -f json -o out {closed}")
    assert ended.code == 0
    assert "Traceback" not in ended.words
    assert person.entries()["sheet"] == 1
    (path,) = (person.here / "out").iterdir()
    assert person.is_clean(f"out/{path.name}")


@pytest.mark.parametrize("stream", ["2>&-", "2> /dev/full"])
def test_an_error_that_nobody_can_hear_keeps_its_exit_code(person, stream):
    ended = person.shell(f"scalewright sheet nonsense {stream}")
    assert (ended.code, ended.out, ended.err) == (2, [], [])


def test_words_on_a_full_disk_do_not_stop_the_work(person):
    (path,) = person.shell("scalewright today -i flute -f json 2> /dev/full").succeeds()
    assert person.is_clean(path)


@pytest.mark.parametrize("words", ["played", "plan new"])
def test_a_question_without_anybody_to_answer_it(player, words):
    for stdin in ("<&-", "< /dev/null"):
        ended = player.shell(f"scalewright {words} {stdin}")
        line = ended.fails(2)
        assert "nothing is noted" in line or "say what you play" in line


@pytest.fixture
def installation(tmp_path: Path) -> Path:
    """A copy of the program as it is installed."""
    site = tmp_path / "site"
    source = Path(generator.__file__).parent
    shutil.copytree(source, site / "generator", ignore=shutil.ignore_patterns("__pycache__", "_data"))
    for name in ("templates", "shared"):
        shutil.copytree(
            data_folder(name), site / "generator/_data" / name, ignore=shutil.ignore_patterns("pictures")
        )
    return site


def where(site):
    return {"PYTHONPATH": site, "PYTHONDONTWRITEBYTECODE": "1"}


def test_an_installation_that_is_read_only(person, installation, plain_user):
    for path in [installation, *installation.rglob("*")]:
        path.chmod(path.stat().st_mode & ~(stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH))
    setting = {"PYTHONPATH": installation}
    (path,) = person.run(*person.TODAY, setting=setting, before=plain_user).succeeds()
    assert person.is_clean(path)
    assert not list(installation.rglob("__pycache__"))


@pytest.mark.parametrize("name", ["templates", "shared"])
def test_an_installation_without_its_data(person, installation, name, fake):
    shutil.rmtree(installation / "generator/_data" / name)
    ended = person.run(*person.SHEET, setting={**where(installation), **fake("time.sleep(60)")})
    ended.fails(3, f"the data folder '{name}' is missing from this installation; install scalewright again")
    assert person.is_clean()


@pytest.mark.parametrize("name", ["templates/house.ily", "templates/sheet.ly.j2", "shared/forms.toml"])
def test_an_installation_without_one_of_its_files(person, installation, name, fake):
    (installation / "generator/_data" / name).unlink()
    person.run(*person.SHEET, setting={**where(installation), **fake("time.sleep(60)")}).fails(
        3, Path(name).name
    )
    assert person.is_clean()


@pytest.mark.parametrize("how", ["gone", "cut off"])
def test_an_installation_without_one_of_its_modules(person, installation, how, fake):
    module = installation / "generator/exercise/build.py"
    if how == "gone":
        module.unlink()
    else:
        module.write_bytes(module.read_bytes() + b"\nbroken = (")
    ended = person.run(*person.SHEET, setting={**where(installation), **fake("time.sleep(60)")})
    ended.fails(3, "the program cannot be loaded (", "build", "); install scalewright again")
    assert person.is_clean()


def test_a_library_that_is_missing(person):
    prelude = "import sys; sys.modules['matplotlib'] = None"
    person.run(*person.TODAY).succeeds()
    person.run("played", "1").succeeds()
    ended = person.run("progress", "-i", "flute", "-f", "pdf", prelude=prelude)
    ended.fails(3, "the program cannot be loaded (", "matplotlib", "; install scalewright again")
    assert [path.name for path in person.here.iterdir()] == ["out"]
