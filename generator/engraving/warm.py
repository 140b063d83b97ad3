"""A LilyPond that stays: it has read the house style and loaded its fonts, and engraves one picture after the other.

Started anew for each picture LilyPond takes half a second, nearly all of it for getting ready. `templates/press.ily`
makes it wait for folders instead: it doubles itself, the double engraves the text that lies in the folder and ends,
and the next text finds everything as it was. A double has bounds of its own for time and memory and is ended from
here if it takes longer, so neither an endless text nor a double that dies does anything to the next one.

Where a process cannot be doubled (Windows) the same process engraves all the texts, each of which is one book that
holds its own settings; it is started anew now and then, and whenever it does not answer.
"""

import contextlib
import os
import queue
import signal
import subprocess  # noqa: TID251  # for the type of a running program
import sys
import threading
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from types import TracebackType
from typing import Self

from generator.engraving import lilypond
from generator.engraving import result as verdict
from generator.engraving.limits import collects
from generator.engraving.process_group import StoppedError, end
from generator.engraving.program import Program
from generator.engraving.result import EngravingOrder, Result
from generator.engraving.scratch_folder import LOG, scratch_folder, write
from generator.errors import EngravingError
from generator.files.resources import data_folder, own_text

PRESS = "press.ily"
WARM_UP = "warm.ly"
SECONDS = 8.0  # of wall clock for a picture, which takes a twentieth of one
READY = 30.0  # seconds until it must have begun to wait
LONGEST = 64 << 10  # characters of a text; what is longer is no picture, and is engraved by itself
UNDOUBLED = 300  # pictures of one process that cannot double itself
_HOUSE = '\\include "house.ily"\n'


class WarmPress:
    """A waiting LilyPond for texts that begin alike. May be used by several threads; they wait for one another.

    Args:
        program: which LilyPond.
        shared: the include files that the texts begin with, by name.
        head: how each text begins: version, paper, staff size, and lines that include those files.
        sample: the music of a first page, which loads the fonts.
        order: what is delivered of each text.
        doubles: whether it may double itself; by default wherever the system lets it.
        bounds: seconds of computing and bytes of address space that a double may use; by default those of a picture.
    """

    def __init__(
        self,
        program: Program,
        shared: Mapping[str, str],
        head: str,
        sample: str,
        order: EngravingOrder,
        *,
        doubles: bool = sys.platform != "win32",
        bounds: tuple[int, int] | None = None,
    ) -> None:
        self._program, self._shared, self._head, self._sample = program, dict(shared), head, sample
        self._order, self._doubles, self._bounds = order, doubles, bounds
        self._lock = threading.Lock()
        self._stack = contextlib.ExitStack()
        self._process: subprocess.Popen[bytes] | None = None
        self._said: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self._made = 0
        self._closed = False

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, problem: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @property
    def pid(self) -> int | None:
        """Number of the process that waits, or None where none does."""
        return self._process.pid if self._process else None

    def takes(self, text: str) -> bool:
        """Whether a text begins as it should, and is short enough."""
        return text.startswith(self._head) and len(text) <= LONGEST

    def warm_up(self) -> None:
        """Get ready now; without it the first picture waits for that.

        Raises:
            MachineError: LilyPond does not start.
        """
        with self._lock:
            self._ready()

    def engrave(
        self, text: str, *, seconds: float = SECONDS, outputs: tuple[str, ...] | None = None
    ) -> Result:
        """The picture of a page text that was read by the second lock.

        Args:
            text: the whole page text, see `takes`.
            seconds: of wall clock it may take.
            outputs: the stems of its books, where they are others than the order says.

        Raises:
            EngravingError: LilyPond failed, took too long or wrote something unsound.
            LilyPondMissingError: it does not run.
            OutputError: the folder for temporary files cannot be written.
            StoppedError: it was closed meanwhile.
        """
        if not self.takes(text):
            raise EngravingError("this text does not begin as the waiting LilyPond expects, or is too long")
        # The head was read already; its lines stay, so that messages name the right ones.
        body = "\n" * self._head.count("\n") + text.removeprefix(self._head)
        if collects(text) and self._doubles:
            body = f"#(gc-enable) {body}"
        with self._lock, scratch_folder({lilypond.MAIN: body}) as folder, self._given_up_when_closed():
            (folder / LOG).touch()  # a double may die before it makes its own
            code = self._printed(folder, seconds)
            with (folder / LOG).open("rb") as file:
                log = verdict.readable(file.read(lilypond.LOG_LIMIT).decode(errors="replace"))
            if failure := verdict.failure(code, log):
                raise EngravingError(failure)
            order = replace(self._order, outputs=outputs or self._order.outputs)
            return verdict.result(folder, order, self._program, log)

    @contextlib.contextmanager
    def _given_up_when_closed(self) -> Iterator[None]:
        """What fails because the LilyPond was ended under it is no fault of the text, of which nothing is kept then."""
        try:
            yield
        except EngravingError:
            if self._closed:
                raise StoppedError("the waiting LilyPond was closed") from None
            raise

    def close(self) -> None:
        """End it and leave nothing behind; it starts no more."""
        self._closed = True
        process = self._process
        if process is not None:
            end(process)  # whoever holds the lock sees that it is gone
        with self._lock:
            self._stop()

    def _printed(self, folder: Path, seconds: float) -> int:
        """Hand a folder over; the exit code of the double."""
        fresh = self._ready()
        try:
            return self._handed(folder, seconds)
        except _GoneError:
            if fresh and not self._closed:
                raise EngravingError("the waiting LilyPond ended by itself") from None
        # It was killed while it waited: that is no fault of this text.
        self._stop()
        self._ready()
        try:
            return self._handed(folder, seconds)
        except _GoneError:
            self._stop()
            if self._closed:
                raise StoppedError("the waiting LilyPond was closed") from None
            raise EngravingError("the waiting LilyPond ended by itself") from None

    def _handed(self, folder: Path, seconds: float) -> int:
        process = self._process
        if process is None or process.stdin is None:
            raise _GoneError
        until = time.monotonic() + seconds
        try:
            process.stdin.write(os.fsencode(folder) + b"\n")
            process.stdin.flush()
        except OSError:
            raise _GoneError from None
        self._made += 1
        child = None
        while True:
            line = self._next_line(until)
            if line == "":
                return self._given_up(child, seconds)
            kind, _, number = line.partition(" ")
            if kind == "child":
                child = int(number)
            elif kind == "done":
                return int(number)

    def _given_up(self, child: int | None, seconds: float) -> int:
        """End a double, or all, that takes too long.

        Raises:
            EngravingError: always.
        """
        if child is None:
            self._stop()
        else:
            if sys.platform != "win32":  # there are no doubles there
                with contextlib.suppress(OSError):
                    os.kill(child, signal.SIGKILL)
            with contextlib.suppress(_GoneError):
                if self._next_line(time.monotonic() + 1.0) == "":
                    self._stop()
        raise EngravingError(f"LilyPond was not done after {seconds:g} seconds and was stopped")

    def _next_line(self, until: float) -> str:
        """The next thing it says, or "" if it says nothing in time.

        Raises:
            _GoneError: it has ended.
        """
        try:
            line = self._said.get(timeout=max(0.0, until - time.monotonic()))
        except queue.Empty:
            return ""
        if line is None:
            raise _GoneError
        return line

    def _ready(self) -> bool:
        """See to it that one waits; whether it was started now.

        Raises:
            LilyPondMissingError: it does not run.
            StoppedError: everything was closed.
        """
        if self._closed:
            raise StoppedError("the waiting LilyPond was closed")
        worn = not self._doubles and self._made >= UNDOUBLED
        if self._process is not None and self._process.poll() is None and not worn:
            return False
        self._stop()
        self._start()
        return True

    def _start(self) -> None:
        text = f'{self._head}\\include "{PRESS}"\n{self._sample}\n'
        text += "" if self._doubles else "#(set! press-forks #f)\n"
        if self._bounds:
            text += f"#(set! press-seconds {self._bounds[0]})\n#(set! press-bytes {self._bounds[1]})\n"
        text += '#(press-say "ready")\n#(press-turn)\n'
        templates = data_folder("templates")
        with contextlib.ExitStack() as stack:
            folder = stack.enter_context(scratch_folder({}))
            stack.enter_context(self._given_up_when_closed())
            write(folder, {**self._shared, PRESS: own_text(templates / PRESS), WARM_UP: text})
            options = self._order.passes(cairo=self._program.cairo)[0]
            process = lilypond.launch(
                stack, self._program, folder, (*options, WARM_UP), timeout=None, collecting=not self._doubles
            )
            said: queue.SimpleQueue[str | None] = queue.SimpleQueue()
            threading.Thread(target=_listen, args=(process, said), daemon=True).start()
            self._process, self._said, self._made = process, said, 0
            try:
                line = self._next_line(time.monotonic() + READY)
            except _GoneError:
                line = ""
            if line != "ready":
                self._process = None
                log = (folder / LOG).read_bytes()[: lilypond.LOG_LIMIT].decode(errors="replace")
                raise EngravingError(
                    verdict.failure(process.poll() or 1, log) or "LilyPond did not begin to wait"
                )
            self._stack = stack.pop_all()

    def _stop(self) -> None:
        self._process = None
        self._stack.close()
        self._stack = contextlib.ExitStack()


class _GoneError(Exception):
    """The process that waited is no more; never leaves this module."""


def _listen(process: "subprocess.Popen[bytes]", said: "queue.SimpleQueue[str | None]") -> None:
    """Hand on what the process says, line by line, then None."""
    with contextlib.suppress(OSError, ValueError):  # closed from the other side
        for line in process.stdout or ():
            said.put(line.decode(errors="replace").strip())
    said.put(None)
