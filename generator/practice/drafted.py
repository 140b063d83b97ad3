"""A plan's text read as if it were the plan already: from beside it, because it may name files from there."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

from generator.errors import BadFileError, OutputError
from generator.files.drafts import Drafts, scratch
from generator.files.home import Home
from generator.files.resources import why
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session


@contextmanager
def drafted(text: str, home: Home, asked: PlayerOptions, target: Path, here: Path) -> Iterator[PlayerSession]:
    """The session of a player whose plan says this; nothing is left of the draft afterwards.

    Args:
        text: of the whole plan.
        home: where plan and log are kept.
        asked: what is said about the player besides.
        target: where the plan is, or will be.
        here: the current folder.

    Raises:
        BadFileError: the text has mistakes, one a line, told under the name of the plan.
        OutputError: the folder cannot be written.
    """
    try:
        with scratch() as cache, Drafts() as drafts:
            folder = target.parent if target.parent.is_dir() else cache
            draft = drafts.name_in(folder)
            draft.write_bytes(text.encode())
            try:
                session = open_session(replace(home, cache=cache), replace(asked, plan=draft), here)
                yield replace(session, path=target)
            except BadFileError as error:
                raise BadFileError(str(error).replace(draft.name, target.name)) from None
    except OSError as problem:
        raise OutputError(f"{target} cannot be changed: {why(problem)}") from problem
