"""How much of the machine a LilyPond may use."""

import contextlib
import sys

if sys.platform == "linux":
    import resource

MEMORY_LIMIT = 2 << 30  # bytes of address space; a two-page sheet takes about 250 MB
FILE_LIMIT = 50 << 20  # bytes


def limit(pid: int, timeout: float) -> None:
    """Limit a process just started. Elsewhere than on Linux only the wall clock does that.

    Args:
        pid: of the process.
        timeout: seconds of wall clock it will be given.

    Not the number of processes: LilyPond's font library needs a thread. Set from outside, because code
    between fork and exec is unsafe where several threads engrave at once.
    """
    if sys.platform == "linux":
        for what, value in (
            (resource.RLIMIT_CPU, int(timeout) + 5),
            (resource.RLIMIT_FSIZE, FILE_LIMIT),
            (resource.RLIMIT_AS, MEMORY_LIMIT),
        ):
            with contextlib.suppress(OSError, ValueError):  # it is already over, or stricter limits hold
                _, hard = resource.prlimit(pid, what)
                soft = value if hard == resource.RLIM_INFINITY else min(value, hard)
                resource.prlimit(pid, what, (soft, hard))
