"""A sample of what `run.py` does at length: the program as it would find Windows or a Mac."""

import os
import shutil
import sys
from pathlib import Path

import pytest

from tests.elsewhere import stubs
from tests.elsewhere.run import ntfs
from tests.elsewhere.worn import PLATFORMS, VARIABLE
from tests.fixtures.command import run_apart, run_here

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="another system is worn over Linux")
SHEET = ("sheet", "all keys, major", "-i", "flute")
# A default that differs from system to system is never relied on (PEP 597).
NAMED_ENCODINGS = (
    "import warnings\nwarnings.filterwarnings('error', category=EncodingWarning, module=r'generator\\.')\n"
)


@pytest.fixture(params=PLATFORMS)
def worn(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> str:
    """The name of a system that programs started now will see."""
    # A folder of its own for what is of a moment: in the common one, others clear what nobody holds by a lock.
    (tmp_path / "moment").mkdir()
    monkeypatch.setenv("TMPDIR", str(tmp_path / "moment"))
    monkeypatch.setenv(VARIABLE, request.param)
    monkeypatch.setenv("PYTHONWARNDEFAULTENCODING", "1")
    monkeypatch.setenv("SCALEWRIGHT_HOME", str(tmp_path / "home"))
    if request.param == "windows":
        monkeypatch.setenv("PYTHONIOENCODING", "cp1252")
    return str(request.param)


def test_the_stubs_say_what_is_known_of_windows():
    # The Python documentation says of each of these whether it is there on Windows.
    missing = stubs.missing("os", "win32")
    assert {
        "fork",
        "getuid",
        "geteuid",
        "killpg",
        "mkfifo",
        "uname",
        "chown",
        "WNOHANG",
        "O_NOFOLLOW",
    } <= missing
    assert not missing & {
        "getpid",
        "replace",
        "link",
        "urandom",
        "fsync",
        "O_EXCL",
        "O_RDWR",
        "path",
        "environ",
    }
    assert {"SIGHUP", "SIGKILL", "SIGALRM", "setitimer", "pause"} <= stubs.missing("signal", "win32")
    assert not stubs.missing("signal", "win32") & {"SIGINT", "SIGTERM", "signal", "getsignal", "SIG_IGN"}
    assert "prlimit" in stubs.missing("resource", "darwin")
    assert not stubs.missing("os", "darwin") & {"fork", "getuid", "link", "O_NOFOLLOW"}


def test_the_program_sees_that_system(worn, tmp_path):
    prelude = (
        "from generator.engraving import limits, process_group\nfrom generator.files import own_folder\n"
        "print(limits.sys.platform, hasattr(limits, 'resource'), hasattr(own_folder.os, 'geteuid'),"
        " hasattr(process_group.signal, 'SIGKILL'), own_folder._BY_NUMBER)"
    )
    found = {"windows": "win32 False False False False", "mac": "darwin False True True True"}[worn]
    assert run_apart("--version", prelude=prelude, folder=tmp_path).succeeds() == [found, "scalewright 0.1.0"]


def test_a_day_of_a_player(worn, tmp_path):
    words = ("today", "-i", "flute", "-f", "json,musicxml")
    said = run_apart(*words, prelude=NAMED_ENCODINGS, folder=tmp_path)
    assert [Path(path).suffix for path in said.succeeds()] == [".musicxml", ".json"]
    for words in (("played", "1-3"), ("played", "4"), ("played", "--undo"), ("plan", "new", "-i", "flute")):
        run_apart(*words, prelude=NAMED_ENCODINGS, folder=tmp_path).succeeds()
    assert run_apart("progress", "-i", "flute", prelude=NAMED_ENCODINGS, folder=tmp_path).succeeds()
    assert run_apart("list", "instruments", prelude=NAMED_ENCODINGS, folder=tmp_path).succeeds()


@pytest.mark.lilypond
def test_a_page_is_engraved_and_kept(worn, tmp_path):
    said = run_apart(*SHEET, "-f", "pdf,png", prelude=NAMED_ENCODINGS, folder=tmp_path)
    first = {path: (tmp_path / path).read_bytes() for path in said.succeeds()}
    assert len(list(Path(os.environ["SCALEWRIGHT_CACHE"]).rglob("*.pages"))) == 1
    assert run_apart(*SHEET, "-f", "pdf,png", prelude=NAMED_ENCODINGS, folder=tmp_path).succeeds() == list(
        first
    )
    assert {path: (tmp_path / path).read_bytes() for path in first} == first
    assert said.err == []


@pytest.mark.lilypond
def test_a_handout_is_engraved_two_runs_at_a_time(worn, tmp_path):
    words = ("handout", "concert F major", "--instruments", "clarinet, alto saxophone, tuba")
    paths = run_apart(*words, prelude=NAMED_ENCODINGS, folder=tmp_path).succeeds()
    assert len(paths) == 6
    assert all((tmp_path / path).read_bytes().startswith(b"%PDF-") for path in paths)


def test_on_windows_a_page_that_a_viewer_holds_open_is_not_replaced_and_a_line_says_so(tmp_path, monkeypatch):
    monkeypatch.setenv(VARIABLE, "windows")
    (path,) = run_apart(*SHEET, "-f", "json", folder=tmp_path).succeeds()
    (tmp_path / path).write_bytes(b"old")
    said = run_apart(*SHEET, "-f", "json", folder=tmp_path, prelude=f"viewer = open({path!r}, 'rb')")
    said.fails(3, f"{path} cannot be written: there is no permission, or another program has the file open")
    assert (tmp_path / path).read_bytes() == b"old"
    assert [one.name for one in (tmp_path / "out").iterdir()] == [Path(path).name]


@pytest.mark.parametrize("encoding", ["cp1252", "ascii"])
def test_a_console_without_flat_signs(tmp_path, encoding):
    setting = {"PYTHONIOENCODING": encoding, "SCALEWRIGHT_HOME": tmp_path / "home"}
    line = run_apart("sheet", "B\u266d majr", "-i", "flute", folder=tmp_path, setting=setting).fails(2)
    assert "majr" in line
    assert "\\u266d" not in line
    said = run_apart(
        "sheet", "B\u266d major", "--title", "\u65e5 B\u266d", "-f", "json", folder=tmp_path, setting=setting
    )
    assert [Path(path).exists() or (tmp_path / path).exists() for path in said.succeeds()] == [True]
    for words in (
        ("--help",),
        ("sheet", "--help"),
        ("list", "lists"),
        ("plan", "show"),
        ("today", "-f", "json"),
    ):
        run_apart(*words, folder=tmp_path, setting=setting).succeeds()


def test_names_that_differ_in_case_alone_are_not_made(tmp_path):
    (tmp_path / "roster.csv").write_text("name,instrument\nANNA,tuba\nanna,tuba\nAnna,flute\n", "utf-8")
    words = ("handout", "concert F major", "--roster", "roster.csv", "-f", "json")
    paths = run_here(*words, "--title", "ONE", folder=tmp_path).succeeds()
    paths += run_here(*words, "--title", "one", folder=tmp_path).succeeds()
    assert len({path.casefold() for path in paths}) == len(paths) == 6


@pytest.mark.skipif(
    not (shutil.which("mkntfs") and shutil.which("lowntfs-3g") and os.geteuid() == 0),
    reason="needs root, mkntfs and lowntfs-3g",
)
def test_a_disk_of_windows_that_ignores_case(tmp_path):
    with ntfs() as disk:
        (path,) = run_here(*SHEET, "-f", "json", "-o", str(disk / "Out"), folder=tmp_path).succeeds()
        again = run_here(*SHEET, "-f", "json", "-o", str(disk / "oUT"), folder=tmp_path).succeeds()
        assert Path(path).samefile(again[0])
        assert len(list((disk / "out").iterdir())) == 1
        for name in ("con", "x.", "a:b"):
            run_here(*SHEET, "-f", "json", "-o", str(disk / name), folder=tmp_path).fails(
                3, "the name is not allowed on this disk"
            )
        home = str(disk / "home")
        run_here("today", "-f", "json", "--home", home, folder=tmp_path).succeeds()
        run_here("played", "1", "--home", home, folder=tmp_path).succeeds()
        assert run_here("progress", "--home", str(disk / "HOME"), folder=tmp_path).succeeds()
