"""A log as a file, out and in: for other programs, another computer, or a folder that several computers keep in step.

Read into an empty log, what was written gives the same log; read into any log, it adds what is missing. Nothing is
taken from a file with a single bad row.
"""

import datetime as dt
import shutil
import stat
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.errors import BadFileError, OutputError, RequestError
from generator.files.atomic import place
from generator.files.drafts import scratch
from generator.files.resources import why
from generator.practice_log.entry import EMPTY_SUM, Entry, summed
from generator.practice_log.facts import PLAYER
from generator.practice_log.joining import Saved
from generator.practice_log.log import PracticeLog
from generator.practice_log.written import End, Format, as_csv, as_json_lines, read_csv, read_json_lines

MOST_SHOWN = 20
MOST_READ = 500  # mistakes, after which nothing more is read
LARGEST = 64 << 20  # bytes


@dataclass(frozen=True, slots=True)
class OtherLog:
    """What a file holds.

    Attributes:
        path: of the file.
        entries: its entries, each with the line it stands in.
        logs: the names of the logs they come from; none where an earlier program wrote the file.
        whole: it says itself that nothing is missing.
        player: whose they are, or "".
    """

    path: Path
    entries: tuple[tuple[int, Entry], ...]
    logs: tuple[str, ...]
    whole: bool
    player: str = ""


def export_log(log: PracticeLog, path: Path, form: Format) -> int:
    """Write every entry to a file, in place of an earlier export of which every entry is in the log still.

    Returns:
        How many entries were written.

    Raises:
        OutputError: the file is there and is something else, or it cannot be written.
    """
    entries = log.as_saved()
    write = as_csv if form is Format.CSV else as_json_lines
    text = write(entries, log.facts.ids(), log.facts.get(PLAYER) or "")
    earlier = path.exists() and _is_earlier(path, {one.seal for one in entries})
    if path.exists() and not earlier:
        raise OutputError(
            f'"{path}" is there already and is no earlier export of this log; give another name.'
        )
    place(text.encode(), path, overwrite=earlier)
    return len(entries)


def _is_earlier(path: Path, seals: set[str]) -> bool:
    try:
        other = read_log(path, Format(path.suffix.casefold().removeprefix(".")))
    except (RequestError, OutputError, ValueError):
        return False
    return other.whole and all(one.seal in seals for _, one in other.entries)


def read_log(path: Path, form: Format, check: Callable[[Entry], None] = lambda _entry: None) -> OtherLog:
    """Read what another log wrote.

    Args:
        path: of the file.
        form: how it is written.
        check: raises a RequestError for an entry that nobody could make use of.

    Raises:
        BadFileError: naming file, line and reason of each bad row, or that the file is not whole.
        OutputError: the file cannot be read.
    """
    data = _bytes_of(path)
    if b"\0" in data[:4] or data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadFileError(f"{path}: the file is not UTF-8 text")
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadFileError(f"{path}: the file is not UTF-8 text") from error
    good: list[tuple[int, Entry]] = []
    bad: list[tuple[int, str]] = []
    end: End | None = None
    for number, one in read_csv(text) if form is Format.CSV else read_json_lines(text):
        if isinstance(one, End) and end is None:
            end = one
            continue
        reason = _reason(one, check, ended=end is not None)
        if isinstance(one, Entry) and reason is None:
            good.append((number, one))
        elif reason:
            bad.append((number, reason))
        if len(bad) > MOST_READ:
            break
    if bad:
        raise BadFileError(_told(path, bad))
    _refuse_a_part(path, text, form, [one for _, one in good], end)
    if end is None:
        return OtherLog(path, tuple(good), (), whole=False)
    return OtherLog(path, tuple(good), end.logs, whole=True, player=end.player)


def _reason(one: Entry | End | str, check: Callable[[Entry], None], *, ended: bool) -> str | None:
    """What is wrong with a line, if anything."""
    if ended:
        return "there is more after the last line, which tells how many entries there are"
    if isinstance(one, Entry):
        try:
            check(one)
        except RequestError as error:
            return str(error)
        return None
    return str(one)


def _refuse_a_part(path: Path, text: str, form: Format, entries: Sequence[Entry], end: End | None) -> None:
    """Refuse a file in which lines are missing. Earlier programs wrote neither seals nor a last line.

    Raises:
        BadFileError: they are.
    """
    if end is None:
        first = text.lstrip("\ufeff").partition("\n")[0]
        mark = "seal" if form is Format.CSV else '"seal"'
        if mark in first:
            raise BadFileError(
                f"{path}: the file is cut off: its last line, which tells how many entries there are, is missing; "
                "export it again"
            )
        if not entries:
            raise BadFileError(f"{path}: there is no entry in it")
        return
    if end.entries != len(entries):
        raise BadFileError(
            f"{path}: {end.entries} entries were written and {len(entries)} are there; export it again"
        )
    if end.total != summed(EMPTY_SUM, (one.seal for one in entries)):
        raise BadFileError(f"{path}: the entries are not those that were written; export it again")


def _bytes_of(path: Path) -> bytes:
    """The content of a file of a size that a log may have.

    Raises:
        BadFileError: it is larger, or no file that could be read to its end.
        OutputError: it cannot be read.
    """
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            kind = "a folder" if stat.S_ISDIR(status.st_mode) else "a pipe or device"
            raise BadFileError(f"{path}: this is {kind}, not a file with a log in it")
        if status.st_size > LARGEST:
            raise BadFileError(
                f"{path} is larger than {LARGEST >> 20} MB, which is more than a lifetime's log; is it the right file?"
            )
        with path.open("rb") as file:
            return file.read(LARGEST + 1)
    except OSError as error:
        raise OutputError(f'"{path}" could not be read: {why(error)}.') from error


def read_log_file(path: Path) -> OtherLog:
    """Read a log file of this program, such as a copy from another computer; the file itself is not touched.

    Raises:
        BadFileError: it is too large or no file.
        OutputError: it cannot be read, is damaged or no log.
    """
    data = _bytes_of(path)
    try:
        with scratch() as folder:
            copy = folder / path.name
            copy.write_bytes(data)
            beside = path.with_name(f"{path.name}-wal")
            if beside.is_file():
                shutil.copyfile(beside, copy.with_name(beside.name))
            with PracticeLog.open(copy) as other:
                entries = tuple(enumerate(other.as_saved(), start=1))
                player = other.facts.get(PLAYER) or ""
                return OtherLog(path, entries, other.facts.ids(), whole=True, player=player)
    except OSError as error:
        raise OutputError(f'"{path}" could not be read: {why(error)}.') from error
    except OutputError as error:
        raise OutputError(str(error).replace(str(folder), str(path.parent))) from error


def take_in(log: PracticeLog, other: OtherLog, day: dt.date) -> Saved:
    """Add the entries of another log that this one does not have yet.

    Args:
        log: to add to.
        other: what was read.
        day: today.

    Raises:
        BadFileError: naming line and reason of each entry that cannot be kept; nothing was added.
        OutputError: the log cannot be written.
    """
    saved = log.merge([one for _, one in other.entries], other.logs, other.path.name, day)
    if saved.problems:
        raise BadFileError(
            _told(other.path, [(other.entries[number][0], reason) for number, reason in saved.problems])
        )
    return saved


def is_of_another(log: PracticeLog, other: OtherLog) -> bool:
    """Whether nothing tells that another log is of the same player, or something that it is not.

    Logs are of one player if they were brought together before, or have an entry in common down to its moment, and do
    not name two; and an empty log may become anybody's.
    """
    own = log.facts.get(PLAYER) or ""
    if own and other.player and own.casefold() != other.player.casefold():
        return True
    seals = {one.seal for one in log.as_saved()}
    if not seals or not other.entries or set(log.facts.ids()) & set(other.logs):
        return False
    return not any(one.seal in seals for _, one in other.entries)


def _told(path: Path, bad: Sequence[tuple[int, str]]) -> str:
    lines = [f"{path}, line {number}: {reason}" for number, reason in bad[:MOST_SHOWN]]
    least = "at least " if len(bad) > MOST_READ else ""
    more = [f"{path}: {least}{len(bad) - MOST_SHOWN} more mistakes"] if len(bad) > MOST_SHOWN else []
    return "\n".join([*lines, *more])
