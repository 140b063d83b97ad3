"""The programs that run at one time, so that all of them can be stopped at once."""

import contextlib
import os
import signal
import sys
from threading import Lock
from typing import Protocol

from generator.errors import MachineError


class StoppedError(MachineError):
    """The page was given up; nobody wants it any more."""


class Process(Protocol):
    """As much of a running program as is needed here."""

    pid: int

    def poll(self) -> int | None:
        """Exit code, or None while it runs."""

    def kill(self) -> None:
        """End it."""


class ProcessGroup:
    """Programs that engrave for one purpose. May be used by several threads."""

    def __init__(self) -> None:
        self._running: dict[int, Process] = {}
        self._lock = Lock()
        self._halted = False

    def join(self, process: Process) -> None:
        """Count a program in.

        Raises:
            StoppedError: everything was stopped already; the program is ended.
        """
        with self._lock:
            if not self._halted:
                self._running[process.pid] = process
                return
        end(process)
        raise StoppedError("stopped")

    def leave(self, process: Process) -> None:
        """Count a program out that is over."""
        with self._lock:
            self._running.pop(process.pid, None)

    def halt(self) -> None:
        """Stop all of them, and whoever would join later."""
        with self._lock:
            self._halted = True
            for process in self._running.values():
                end(process)

    def check(self) -> None:
        """See whether work goes on.

        Raises:
            StoppedError: everything was stopped.
        """
        if self._halted:
            raise StoppedError("stopped")


def end(process: Process) -> None:
    """End a program and all it started, if it still runs."""
    if process.poll() is None:
        if sys.platform == "win32":
            process.kill()
        else:
            with contextlib.suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)
