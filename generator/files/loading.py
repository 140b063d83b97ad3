"""What of an installation cannot be loaded, in one line."""

from collections.abc import Iterator
from contextlib import contextmanager

from generator.errors import MachineError


@contextmanager
def loading() -> Iterator[None]:
    """Around an import, or a function that imports a library when it is first needed.

    A module that is not there, is cut off, or whose compiled part does not fit this machine is a broken installation. A
    name that a module does not have is a mistake in the program, and stays one.

    Raises:
        MachineError: naming what cannot be loaded.
    """
    try:
        yield
    except (ModuleNotFoundError, SyntaxError) as problem:
        raise _broken(problem) from problem
    except ImportError as problem:
        if not (problem.path or "").endswith((".so", ".pyd", ".dylib")):
            raise
        raise _broken(problem) from problem


def _broken(problem: Exception) -> MachineError:
    reason = " ".join(str(problem).split())[:200]
    return MachineError(f"the program cannot be loaded ({reason}); install scalewright again")
