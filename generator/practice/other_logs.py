"""Bringing logs together, and what a damaged one still gives: the practice log as files."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from generator.errors import RequestError, shown
from generator.practice.sheet_record import check_sheet
from generator.practice_log import Entry, Format, PracticeLog, Saved
from generator.practice_log.copies import copy_before_import
from generator.practice_log.facts import PLAYER
from generator.practice_log.transfer import OtherLog, is_of_another, read_log, read_log_file, take_in

LOG_FILE = ".sqlite"
FORMATS = {".csv": Format.CSV, ".jsonl": Format.JSON_LINES}


@dataclass(frozen=True, slots=True)
class Brought:
    """What a file brought.

    Attributes:
        path: of the file.
        saved: what became of its entries.
        copy: a copy of the log from before, if anything was added.
        whole: the file says itself that nothing is missing; those of earlier programs do not.
    """

    path: Path
    saved: Saved
    copy: Path | None
    whole: bool


def form_of(path: Path) -> Format:
    """How a file is written, by the end of its name.

    Raises:
        RequestError: it ends in neither .csv nor .jsonl.
    """
    form = FORMATS.get(path.suffix.casefold())
    if form is None:
        raise RequestError(f"{shown(path.name)} must end in .csv or .jsonl, which says how it is written")
    return form


def bring_together(log: PracticeLog, paths: Sequence[Path], day: dt.date, *, mine: bool) -> list[Brought]:
    """Add to a log what other logs have: exports, or log files of other computers.

    All files are read and looked through before the first is taken in.

    Args:
        log: the log.
        paths: of the files.
        day: today.
        mine: the player says that they are of the same player.

    Raises:
        RequestError: a file has mistakes, or is, as far as can be told, another player's.
        OutputError: a file cannot be read, or the log cannot be written.
    """
    others = [_read(path) for path in paths]
    if not mine:
        for other in others:
            if is_of_another(log, other):
                raise RequestError(_whose(log, other))
    return [_taken_in(log, other, day) for other in others]


def _read(path: Path) -> OtherLog:
    if path.suffix.casefold() == LOG_FILE:
        return read_log_file(path)
    if path.suffix.casefold() not in FORMATS:
        raise RequestError(
            f"{shown(path.name)} must end in .csv or .jsonl, or be a log file that ends in .sqlite"
        )
    return read_log(path, form_of(path), check_sheet)


def _whose(log: PracticeLog, other: OtherLog) -> str:
    own = log.facts.get(PLAYER)
    theirs = f"{other.player}'s, with " if other.player else ""
    ours = f" (this one is {own}'s)" if own else ""
    return (
        f"{other.path} is another log, {theirs}{len(other.entries)} entries, and nothing tells that it is of the "
        f"same player{ours}; if it is, from another computer, say so once with --mine"
    )


def _taken_in(log: PracticeLog, other: OtherLog, day: dt.date) -> Brought:
    seals = {one.seal for one in log.as_saved()}
    new = [entry for _, entry in other.entries if entry.seal not in seals]
    copy = copy_before_import(log) if new and seals else None
    return Brought(other.path, take_in(log, other, day), copy, other.whole)


def told_difference(counts: Entry, other: Entry) -> str:
    """Which of two entries about one play counts, in a line."""
    return (
        f"noted differently: {counts.phrase or counts.item}, {counts.day}: what was saved last counts, "
        f"{_said(counts)}; not {_said(other)}"
    )


def _said(entry: Entry) -> str:
    parts = [f"felt {entry.rating}"]
    if entry.tempo:
        parts.append(f"at {entry.tempo}")
    if entry.minutes:
        parts.append(f"{entry.minutes} minutes")
    return ", ".join(parts)
