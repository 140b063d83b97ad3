"""How much of the machine a LilyPond may use.

LilyPond spends a third of its time looking for memory to use again: Guile has a collection made each time one of
its tables is full, whether or not there is memory left. For a short text none of them pays. Measured with 2.24.3, with
collection and without: today's sheet of a new player 1.1 s and 77 MB, 0.7 s and 125 MB; 84 exercises 4.9 s and
193 MB, 3.5 s and 337 MB.
"""

import contextlib
import sys

if sys.platform == "linux":
    import resource

MEMORY_LIMIT = 2 << 30  # bytes of address space; twelve exercises take about 320 MB
FILE_LIMIT = 50 << 20  # bytes
UNCOLLECTED = 64 << 10  # characters of a page text, which without collection take about 400 MB


def collects(text: str) -> bool:
    """Whether a page text is so long that LilyPond must look for memory to use again."""
    return len(text) > UNCOLLECTED


def collection(*, on: bool) -> dict[str, str]:
    """What to add to LilyPond's environment to have it do so or not (bdwgc, doc/README.environment)."""
    return {} if on else {"GC_DONT_GC": "1"}


def limit(pid: int, timeout: float | None) -> None:
    """Limit a process just started. Elsewhere than on Linux only the wall clock does that.

    Args:
        pid: of the process.
        timeout: seconds of wall clock it will be given; None for one that stays as long as it is wanted.

    Not the number of processes: LilyPond's font library needs a thread. Set from outside, because code
    between fork and exec is unsafe where several threads engrave at once.
    """
    if sys.platform == "linux":
        limits = [(resource.RLIMIT_FSIZE, FILE_LIMIT), (resource.RLIMIT_AS, MEMORY_LIMIT)]
        if timeout is not None:
            limits.append((resource.RLIMIT_CPU, int(timeout) + 5))
        for what, value in limits:
            with contextlib.suppress(OSError, ValueError):  # it is already over, or stricter limits hold
                _, hard = resource.prlimit(pid, what)
                soft = value if hard == resource.RLIM_INFINITY else min(value, hard)
                resource.prlimit(pid, what, (soft, hard))
