"""How a command is stopped: by Ctrl-C, by a request to end, by its terminal being closed."""

import contextlib
import signal
import sys
from collections.abc import Callable, Iterator
from types import FrameType

_SIGNALS = tuple(
    getattr(signal, name)
    for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK")  # the last: Ctrl-Break of Windows
    if hasattr(signal, name)
)
_SOON = 0.01  # seconds


class Stopped(BaseException):
    """The person, or the system, wants the program to end now. No error, so that nobody but `main` catches it.

    Args:
        number: of the signal.
    """

    def __init__(self, number: int) -> None:
        super().__init__()
        self.exit_code = 128 + number


@contextlib.contextmanager
def stoppable(*, for_good: bool = False) -> Iterator[Callable[[], None]]:
    """Inside, Ctrl-C, a request to end and a closed terminal all raise Stopped, once; then we clear up in peace.

    Args:
        for_good: the program ends after the block, and shall not be disturbed in that either.

    Yields:
        What is called when the work is done: from then on nothing raises Stopped any more.
    """
    listener = _Listener(for_good=for_good)
    hook, sys.unraisablehook = sys.unraisablehook, listener.unheard
    try:
        listener.hear()
        yield listener.finish
    finally:
        if not listener.is_last:
            sys.unraisablehook = hook
            listener.give_back()


class _Listener:
    """Hears signals, one of them, until the work is done."""

    def __init__(self, *, for_good: bool) -> None:
        self._for_good = for_good
        self._stopped = 0
        self._done = False
        # One that is ignored already (nohup, a job in the background) stays so.
        handlers = {one: signal.getsignal(one) for one in _SIGNALS}
        self._before = {one: handler for one, handler in handlers.items() if handler != signal.SIG_IGN}

    @property
    def is_last(self) -> bool:
        """Whether the program ends now."""
        return bool(self._stopped) or (self._done and self._for_good)

    def hear(self) -> None:
        try:
            for one in self._before:
                signal.signal(one, self._stop)
        except ValueError:  # only the main thread of a program hears signals
            self._before = {}

    def give_back(self) -> None:
        for one, handler in self._before.items():
            signal.signal(one, handler)

    def finish(self) -> None:
        self._done = True
        if sys.platform != "win32":
            signal.setitimer(signal.ITIMER_REAL, 0)
        if self._for_good:
            self._ignore()

    def unheard(self, lost: "sys.UnraisableHookArgs") -> None:
        # Python drops what is raised while it clears an object away, as it does all the time while it imports.
        if not isinstance(lost.exc_value, Stopped):
            sys.__unraisablehook__(lost)
            return
        if self._done:
            return
        number, self._stopped = self._stopped, 0
        if sys.platform == "win32":  # there is no alarm: the person has to ask again
            self.hear()
        else:
            signal.signal(signal.SIGALRM, lambda _number, frame: self._stop(number, frame))
            signal.setitimer(signal.ITIMER_REAL, _SOON)

    def _stop(self, number: int, _frame: FrameType | None) -> None:
        if self._done or self._stopped:
            return
        self._stopped = number
        self._ignore()
        raise Stopped(number)

    def _ignore(self) -> None:
        for one in self._before:
            signal.signal(one, signal.SIG_IGN)
