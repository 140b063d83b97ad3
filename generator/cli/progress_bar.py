"""How far the engraving has come, for whoever waits."""

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def progress_bar(*, quiet: bool) -> Iterator[Callable[[int, int], None]]:
    """A bar on standard error while LilyPond works; nothing where nobody is looking."""
    if quiet or not sys.stderr.isatty():
        yield lambda _done, _all: None
        return
    # Loaded only when it is shown.
    from rich.console import Console  # noqa: PLC0415
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn  # noqa: PLC0415

    columns = (TextColumn("engraving"), BarColumn(), MofNCompleteColumn())
    with Progress(*columns, console=Console(stderr=True), transient=True) as shown:
        task = shown.add_task("engraving", total=None)
        yield lambda done, all_: shown.update(task, completed=done, total=all_)
