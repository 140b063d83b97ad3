"""Lets the program see another system than the one it runs on: modules and functions are absent as they are there.

Only what our own modules import is changed, so Python and its libraries go on working. What a system has is read from
the stubs of the standard library; how it behaves is changed for the whole process: on Windows an open file cannot be
replaced or removed.

Put on before the first import of `generator`: `put_on("windows")`, or `-p tests.elsewhere.worn` with the name in
SCALEWRIGHT_TESTS_ELSEWHERE.
"""

import builtins
import errno
import importlib
import importlib.abc
import importlib.machinery
import importlib.util
import os
import stat
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from types import ModuleType
from typing import Any

WORN: list[str] = []
VARIABLE = "SCALEWRIGHT_TESTS_ELSEWHERE"
PLATFORMS = {"windows": "win32", "mac": "darwin"}
SEEN = ("os", "sys", "signal", "subprocess", "shutil", "time", "stat", "tempfile")
ABSENT = {
    "windows": {
        "resource",
        "fcntl",
        "pwd",
        "grp",
        "termios",
        "tty",
        "pty",
        "posix",
        "readline",
        "syslog",
        "curses",
    },
    "mac": {"spwd", "ossaudiodev"},
}
# Beside what stubs say: hard links are missing on some disks and systems, and these are no names of Windows's Python.
ALSO_MISSING = {
    "windows": {"os": {"link", "O_NOFOLLOW", "O_NONBLOCK", "O_DIRECTORY", "O_CLOEXEC"}},
    "mac": {},
}
GIVEN: dict[str, dict[str, dict[str, Any]]] = {
    "windows": {
        "sys": {"platform": "win32"},
        "os": {"supports_dir_fd": set(), "supports_fd": set(), "name": "nt"},
        # Both mean nothing to the system underneath, which takes none but 0.
        "subprocess": {"CREATE_NEW_PROCESS_GROUP": 0, "CREATE_NO_WINDOW": 0},
    },
    "mac": {"sys": {"platform": "darwin"}},
}


class Seen(ModuleType):
    """A module of the standard library as our own modules see it; whatever they set is set in the real one."""

    def __init__(self, real: ModuleType, hidden: frozenset[str], given: Mapping[str, Any]) -> None:
        super().__init__(real.__name__)
        vars(self).update(_real=real, _hidden=hidden, _given=given)

    def __getattr__(self, name: str) -> Any:
        inside = vars(self)
        if name in inside["_given"]:
            return inside["_given"][name]
        if name in inside["_hidden"]:
            raise AttributeError(f"module {self.__name__!r} has no attribute {name!r} there")
        return getattr(inside["_real"], name)

    def __setattr__(self, name: str, value: object) -> None:
        setattr(vars(self)["_real"], name, value)

    def __delattr__(self, name: str) -> None:
        delattr(vars(self)["_real"], name)


class _Loader(importlib.abc.Loader):
    """Runs a module of ours with another `import`."""

    def __init__(self, real: importlib.machinery.SourceFileLoader, imports: Mapping[str, Any]) -> None:
        self._real, self._imports = real, imports

    def __getattr__(self, name: str) -> Any:  # get_source and the like
        return getattr(self._real, name)

    def create_module(self, spec: importlib.machinery.ModuleSpec) -> ModuleType | None:
        return self._real.create_module(spec)

    def exec_module(self, module: ModuleType) -> None:
        vars(module)["__builtins__"] = self._imports
        exec(self._real.get_code(module.__name__), vars(module))  # noqa: S102  # as every loader does


class _Finder(importlib.abc.MetaPathFinder):
    def __init__(self, imports: Mapping[str, Any]) -> None:
        self._imports = imports

    def find_spec(
        self, name: str, path: Sequence[str] | None, target: ModuleType | None = None
    ) -> importlib.machinery.ModuleSpec | None:
        if name.partition(".")[0] != "generator":
            return None
        for finder in sys.meta_path:
            spec = None if finder is self else finder.find_spec(name, path, target)
            if spec is not None and spec.loader is not None:
                spec.loader = _Loader(spec.loader, self._imports)  # type: ignore[arg-type]
                return spec
        return None


def put_on(system: str) -> None:
    """Have every module of ours that is imported from now on see this system: windows or mac."""
    from tests.elsewhere import stubs

    if any(name.partition(".")[0] == "generator" for name in sys.modules):
        raise RuntimeError("the program was imported before it could be shown another system")
    WORN.append(system)
    seen = {}
    for name in SEEN:
        hidden = stubs.missing(name, PLATFORMS[system]) | ALSO_MISSING[system].get(name, set())
        seen[name] = Seen(importlib.import_module(name), frozenset(hidden), GIVEN[system].get(name, {}))

    def imported(
        name: str, scope: Any = None, inside: Any = None, wanted: Any = (), level: int = 0
    ) -> ModuleType:
        if level == 0 and name.partition(".")[0] in ABSENT[system]:
            raise ModuleNotFoundError(f"No module named {name!r} there", name=name)
        found = builtins.__import__(name, scope, inside, wanted, level)
        return seen.get(name, found) if level == 0 else found

    sys.meta_path.insert(0, _Finder({**vars(builtins), "__import__": imported}))
    if system == "windows":
        _hold_what_is_open()
        # The library under the command line knows a Windows console by this, and has been imported here already.
        importlib.import_module("typer")
        importlib.import_module("lilypond") if importlib.util.find_spec("lilypond") else None


def _hold_what_is_open() -> None:
    """Let nobody replace or remove a file that this process has open, as on Windows."""
    replace, rename, unlink = os.replace, os.rename, os.unlink

    def held(path: Any, folder: int | None) -> None:
        if isinstance(path, int):
            return
        try:
            status = os.stat(path, dir_fd=folder, follow_symlinks=False)
        except (OSError, ValueError):
            return
        if not stat.S_ISREG(status.st_mode):
            return
        for number in Path("/proc/self/fd").iterdir():
            try:
                other = number.stat()
            except OSError:
                continue
            if os.path.samestat(status, other):
                raise PermissionError(errno.EACCES, "Access is denied", str(path))

    def replaced(
        source: Any, target: Any, *, src_dir_fd: int | None = None, dst_dir_fd: int | None = None
    ) -> None:
        held(source, src_dir_fd)
        held(target, dst_dir_fd)
        replace(source, target, src_dir_fd=src_dir_fd, dst_dir_fd=dst_dir_fd)

    def renamed(
        source: Any, target: Any, *, src_dir_fd: int | None = None, dst_dir_fd: int | None = None
    ) -> None:
        held(source, src_dir_fd)
        held(target, dst_dir_fd)
        rename(source, target, src_dir_fd=src_dir_fd, dst_dir_fd=dst_dir_fd)

    def removed(path: Any, *, dir_fd: int | None = None) -> None:
        held(path, dir_fd)
        unlink(path, dir_fd=dir_fd)

    os.replace, os.rename, os.unlink, os.remove = replaced, renamed, removed, removed  # type: ignore[assignment]


if VARIABLE in os.environ:
    put_on(os.environ[VARIABLE])
