"""The program as a person starts it: a command, its exit code, what it says, and what it leaves behind."""

import os
import shutil
import subprocess
import sys
import textwrap
from collections.abc import Callable, Mapping
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from sqlite3 import connect

import pytest

from generator.engraving.lilypond import find
from generator.errors import LilyPondMissingError

if sys.platform == "win32":
    pytest.skip("these faults are set up with POSIX tools", allow_module_level=True)


@dataclass(frozen=True)
class Ended:
    """A command that is over."""

    code: int
    out: str
    err: str

    def fails(self, code: int, *words: str) -> str:
        """The one line a failed command says, which holds these words."""
        assert self.code == code, self
        assert "Traceback" not in self.err, self.err
        lines = self.err.splitlines()
        assert len(lines) == 1, self.err
        assert lines[0].startswith("scalewright: ")
        for word in words:
            assert word in lines[0], (word, lines[0])
        assert self.out == ""
        return lines[0]

    def succeeds(self) -> list[str]:
        """The files a good command names."""
        assert self.code == 0, self
        assert "Traceback" not in self.err
        return self.out.splitlines()


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
        }
        if "FONTCONFIG_FILE" in os.environ:
            self.environment["FONTCONFIG_FILE"] = os.environ["FONTCONFIG_FILE"]

    def words(self, *words: str | bytes, prelude: str = "") -> list[str | bytes]:
        """The command as a list; `prelude` is Python to run first."""
        if not prelude:
            return [sys.executable, "-m", "generator", *words]
        return [sys.executable, "-c", f"{prelude}\nfrom generator.cli import main\nmain()", *words]

    def run(
        self,
        *words: str | bytes,
        before: tuple[str, ...] = (),
        prelude: str = "",
        setting: Mapping[str, str | Path] | None = None,
        without: tuple[str, ...] = (),
        **streams: object,
    ) -> Ended:
        """Run a command to its end.

        Args:
            words: of the command, without the program's name.
            before: a command that runs ours in other surroundings.
            prelude: Python to run first.
            setting: environment variables.
            without: environment variables that are not set.
            streams: stdin, stdout, stderr, where they are not nothing and caught.
        """
        environment = {**self.environment, **{name: str(value) for name, value in (setting or {}).items()}}
        ended = subprocess.run(
            [*before, *self.words(*words, prelude=prelude)],
            cwd=self.here,
            env={name: value for name, value in environment.items() if name not in without},
            timeout=60,
            check=False,
            **{
                "stdin": subprocess.DEVNULL,
                "stdout": subprocess.PIPE,
                "stderr": subprocess.PIPE,
                **streams,
            },  # type: ignore[call-overload]
        )
        return Ended(
            ended.returncode,
            (ended.stdout or b"").decode("utf-8", "surrogateescape"),
            (ended.stderr or b"").decode("utf-8", "replace"),
        )

    def shell(self, script: str, **setting: str | Path) -> Ended:
        """Run a line of bash in which `scalewright` is the program."""
        ended = subprocess.run(
            ["bash", "-c", f'scalewright() {{ "$PYTHON" -m generator "$@"; }}; {script}'],
            cwd=self.here,
            env={**self.environment, "PYTHON": sys.executable, **{k: str(v) for k, v in setting.items()}},
            stdin=subprocess.DEVNULL,
            capture_output=True,
            timeout=60,
            check=False,
        )
        return Ended(ended.returncode, ended.stdout.decode(), ended.stderr.decode())

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
