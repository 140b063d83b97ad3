"""The program as a person starts it: a command, its exit code, what it says, and what it leaves behind."""

import os
import shutil
import subprocess
import sys
import textwrap
from collections.abc import Callable, Mapping
from contextlib import closing
from pathlib import Path
from sqlite3 import connect
from typing import Any

import pytest

from generator.engraving.lilypond import find
from generator.errors import LilyPondMissingError
from tests.fixtures.command import Said, ended, program, run_apart, run_here, start

if sys.platform == "win32":
    pytest.skip("these faults are set up with POSIX tools", allow_module_level=True)


class Person:
    """Someone with folders of their own who starts commands in `here`."""

    SHEET = ("sheet", "G major", "-i", "flute")
    OPEN = (*SHEET, "-f", "json")  # without LilyPond
    TODAY = ("today", "-i", "flute", "-f", "json", "--date", "2027-02-06")
    PLAYED = ("played", "2-4", "--date", "2027-02-06")
    HANDOUT = ("handout", "concert G major", "--instruments", "flute, tuba")

    def __init__(self, root: Path) -> None:
        self.root = root
        self.here, self.home, self.temporary = root / "here", root / "home", root / "temporary"
        self.cache = root / "cache"
        for folder in (self.here, self.home, self.temporary, self.cache, root / "user"):
            folder.mkdir()
        self.environment = {
            "PATH": os.environ["PATH"],
            "HOME": str(root / "user"),
            "TMPDIR": str(self.temporary),
            "SCALEWRIGHT_HOME": str(self.home),
            "SCALEWRIGHT_CACHE": str(self.cache),
            "LANG": "C.UTF-8",
            # Under a limit Python writes its compiled modules cut short, and the next process cannot load them.
            "PYTHONDONTWRITEBYTECODE": "1",
        }
        if "FONTCONFIG_FILE" in os.environ:
            self.environment["FONTCONFIG_FILE"] = os.environ["FONTCONFIG_FILE"]

    def run(
        self,
        *words: str | bytes | Path,
        setting: Mapping[str, str | Path] | None = None,
        without: tuple[str, ...] = (),
        **more: Any,
    ) -> Said:
        """Run a command to its end.

        Args:
            words: of the command, without the program's name.
            setting: environment variables.
            without: environment variables that are not set.
            more: before, prelude and streams, as for `run_apart`.
        """
        around = {name: value for name, value in self.environment.items() if name not in without}
        return run_apart(*words, folder=self.here, environment=around, setting=setting, **more)

    def type(self, *words: str) -> Said:
        """Run a command in this process: where nothing but its words and files matters."""
        return run_here(*words, folder=self.here, setting=self.environment)

    def start(
        self, *words: str, setting: Mapping[str, str | Path] | None = None, **more: Any
    ) -> subprocess.Popen[bytes]:
        """Start a command and do not wait for it."""
        return start(program(*words), self.here, setting, self.environment, **more)

    def shell(self, script: str, before: tuple[str, ...] = (), **setting: str | Path) -> Said:
        """Run some bash in which `scalewright` is the program."""
        words = ["bash", "-c", f'scalewright() {{ "$PYTHON" -m generator "$@"; }}; {script}']
        around = {"PYTHON": sys.executable, **setting}
        return ended(start([*before, *words], self.here, around, self.environment))

    def is_clean(self, *expected: str, kept: bool = False) -> bool:
        """Whether nothing is left but these files (from `here`), and what a failed page may keep."""
        drafts = list(self.root.rglob("*.part"))
        temporary = [p.name for p in self.temporary.iterdir()]
        failed = [name for name in temporary if name.startswith("scalewright-failed-")]
        files = sorted(str(p.relative_to(self.here)) for p in self.here.rglob("*") if not p.is_dir())
        assert drafts == []
        assert temporary == failed
        assert bool(failed) == kept  # of several runs at once, each keeps its own
        assert files == sorted(expected)
        return True

    def entries(self) -> dict[str, int]:
        """How many entries of each kind the log holds; the file must be sound."""
        with closing(connect(self.home / "log.sqlite")) as log:
            assert log.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
            return dict(log.execute("SELECT kind, count(*) FROM event GROUP BY kind"))


@pytest.fixture(autouse=True)
def _lilypond_where_it_is_needed(request: pytest.FixtureRequest) -> None:
    if request.node.get_closest_marker("lilypond"):
        try:
            find()
        except LilyPondMissingError as problem:
            pytest.skip(str(problem))


@pytest.fixture
def person(tmp_path: Path) -> Person:
    return Person(tmp_path)


@pytest.fixture(scope="session")
def practised(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A home in which a sheet was printed and its first exercise played."""
    someone = Person(tmp_path_factory.mktemp("practised"))
    someone.run(*someone.TODAY).succeeds()
    someone.run("played", "1", "--date", "2027-02-06").succeeds()
    return someone.home


@pytest.fixture
def player(person: Person, practised: Path) -> Person:
    """A person with that home."""
    shutil.copytree(practised, person.home, dirs_exist_ok=True)
    return person


@pytest.fixture
def fake(tmp_path: Path) -> Callable[[str], dict[str, Path]]:
    """The setting for a LilyPond that does what some Python lines say."""

    def make(body: str, version: str = "2.24.3") -> dict[str, Path]:
        path = tmp_path / "lilypond"
        path.write_text(
            f"#!{sys.executable} -SE\nimport os, sys, time, signal, shutil\n"
            f"if '--version' in sys.argv: sys.exit(print('GNU LilyPond {version}'))\n{textwrap.dedent(body)}\n"
        )
        path.chmod(0o755)
        return {"SCALEWRIGHT_LILYPOND": path}

    return make


def _works(*words: str) -> bool:
    try:
        return subprocess.run(words, capture_output=True, timeout=20, check=False).returncode == 0
    except OSError:
        return False


@pytest.fixture(scope="session")
def plain_user() -> tuple[str, ...]:
    """What makes a command run as a user whom permissions bind, which they do not for root."""
    if os.geteuid() != 0:
        return ()
    way = ("unshare", "-U", "--map-user=1234", "--map-group=1234")
    if not _works(*way, "true"):
        pytest.skip("root, and `unshare -U` does not work here")
    return way


@pytest.fixture
def disk(tmp_path: Path) -> Callable[..., tuple[str, ...]]:
    """What makes a command see a disk of its own (size=64k, or ro) at a folder.

    What the command leaves on it is listed in the file `left` of the test's folder.
    """
    probe = tmp_path / "probe"
    probe.mkdir()
    if not _works("unshare", "-rm", "mount", "-t", "tmpfs", "none", str(probe)):
        pytest.skip("disks cannot be mounted here, not even in a namespace of one's own")

    def make(folder: Path, options: str, *, room: int | None = None) -> tuple[str, ...]:
        """`room` is how many bytes are left on it; by default all."""
        folder.mkdir(exist_ok=True)
        size = int(options.removeprefix("size=").rstrip("k")) * 1024 if room is not None else 0
        then = f'head -c {size - room} /dev/zero > "$0/fill" 2> /dev/null' if room is not None else "true"
        script = (
            f'mount -t tmpfs -o "{options}" none "$0" && {{ {then} || true; }} && '
            f'{{ "$@"; code=$?; (cd "$0"; find . -mindepth 1 ! -path ./fill) > "{tmp_path}/left"; exit $code; }}'
        )
        return ("unshare", "-rm", "bash", "-c", script, str(folder))

    return make
