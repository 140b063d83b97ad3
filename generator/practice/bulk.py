"""Making many records at once that all stay."""

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def many_records() -> Iterator[None]:
    """Python does not look for records nobody needs any more, which it does after every few hundred new ones.

    With a list of fifty thousand exercises that search takes a third of the time, and finds nothing.
    """
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()
