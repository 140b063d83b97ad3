"""Everything that reads a stranger's text, each with what has to hold of it.

Each target takes raw text or bytes and says whether something sound came out; it raises `AssertionError` where a check
fails, and any other exception is a fault of the program as well. A refusal changes nothing.
"""

import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from pathlib import Path

from generator.catalogue.players import player_named
from generator.documents.plan import Plan
from generator.documents.plan_file import read_plan
from generator.documents.required_file import read_list
from generator.documents.required_list import RequiredList
from generator.documents.roster import read_roster
from generator.documents.section import Section, at_levels, from_names
from generator.documents.section_file import read_section
from generator.errors import DoesNotFitError
from generator.exercise.request import Request
from generator.phrase import expand
from generator.phrase.read import parse
from generator.phrase.write import canonical
from generator.practice_log import Format, PracticeLog
from generator.practice_log.transfer import read_log, take_in
from generator.practice_log.written import as_csv, as_json_lines, read_csv, read_json_lines
from generator.progress import overview as progress
from generator.publish import sheet as printing
from tests.exhaustive.fuzzing.checks import (
    BUILT,
    INSTRUMENTS,
    NAMES,
    check_built,
    check_plan,
    check_refusal,
    check_request,
    check_section,
    chosen,
    refused,
)
from tests.exhaustive.fuzzing.sound import KEPT, phrase_of

MOST_ADDED = 200


def phrase(text: str) -> bool:
    """A phrase, read and built for some instrument; whether it was read."""
    requests: list[Request] = []
    if refused(lambda: requests.append(parse(text, NAMES))):
        return False
    check_request(requests[0])
    who = chosen(text)
    check_built(expand.orders(text, who, exact=len(text) % 2 == 0, syllables=tuple(text.split()[:2])), who)
    return True


def small_words(text: str) -> None:
    """Everything short that a person types besides a phrase: notes, levels, formats, instruments, syllables."""
    half = len(text) // 2
    refused(lambda: player_named(text))
    refused(lambda: player_named("flute", text))
    refused(lambda: player_named("flute", low=text[:half] or None, high=text[half:] or None))
    refused(lambda: player_named("horn", low=text))
    refused(lambda: printing.parse_formats(text[:20]))
    refused(lambda: progress.parse_formats(text))
    refused(lambda: from_names("tuba", text, INSTRUMENTS))
    found: list[Section] = []
    if not refused(lambda: found.append(from_names(text, "standard", INSTRUMENTS))):
        check_section(found[0])
    refused(lambda: at_levels(from_names("flute, tuba", "standard", INSTRUMENTS), text.split(",")))


def tempo(text: str) -> bool:
    """What stands behind a quarter note as its tempo."""
    return phrase(f"G major, quarter = {text}")


def plan(data: bytes) -> bool:
    """A plan; whether it has no mistake."""
    found: list[Plan] = []

    def read(path: Path) -> None:
        head, file = read_plan(path, NAMES)
        file.refuse()
        found.append(head)

    with written(data, "plan.toml") as path:
        if refused(lambda: read(path)):
            return False
    check_plan(found[0])
    return True


def section(data: bytes) -> bool:
    """A section file."""
    return _chairs(data, "band.toml", lambda path: read_section(path, INSTRUMENTS))


def roster(data: bytes) -> bool:
    """A roster."""
    return _chairs(data, "class.csv", read_roster)


def _chairs(data: bytes, name: str, read: Callable[[Path], Section]) -> bool:
    found: list[Section] = []
    with written(data, name) as path:
        if refused(lambda: found.append(read(path))):
            return False
    check_section(found[0])
    return True


def required_list(data: bytes) -> bool:
    """A required list; its items are built for somebody who has to play them."""
    found: list[RequiredList] = []
    with written(data, "board.toml") as path:
        if refused(lambda: found.append(read_list(path, NAMES))):
            return False
    required = found[0]
    who = chosen(required.title)
    assert required.title
    try:
        items = required.items_for(who.instrument)
    except DoesNotFitError as error:
        check_refusal(error)
        return True
    for item in items[:BUILT]:
        check_request(item.request)
        wanted = canonical(item.request_for(who.instrument.name))
        check_built(expand.orders(wanted, who), who)
    return True


@contextmanager
def written(data: bytes, name: str) -> Iterator[Path]:
    """A file that holds the data."""
    path = _folder() / name
    path.write_bytes(data)
    yield path


@lru_cache(maxsize=1)
def _workshop() -> "tempfile.TemporaryDirectory[str]":
    # In memory where the system has such a place: the files are many and live for a moment.
    memory = Path("/dev/shm")  # noqa: S108
    return tempfile.TemporaryDirectory(prefix="scalewright-fuzz-", dir=memory if memory.is_dir() else None)


def _folder() -> Path:
    return Path(_workshop().name)


def close_workshop() -> None:
    """Put everything away."""
    for log in _log():
        log.close()
    _log().clear()
    _workshop().cleanup()
    _workshop.cache_clear()


@lru_cache(maxsize=1)
def _log() -> list[PracticeLog]:
    return []


def _fresh_log() -> PracticeLog:
    """A log that holds `KEPT`, and perhaps what was imported before."""
    logs = _log()
    if logs and len(logs[0].as_saved()) > MOST_ADDED:
        logs.pop().close()
        (_folder() / "practice.db").unlink()
    if not logs:
        logs.append(PracticeLog.open(_folder() / "practice.db"))
        logs[0].append(KEPT)
    return logs[0]


def log_import(data: bytes, form: Format) -> bool:
    """An import; a failing one leaves the log as it was, and what was imported can be exported and read again."""
    log = _fresh_log()
    before = log.as_saved()
    with written(data, f"log.{form}") as path:
        if refused(lambda: take_in(log, read_log(path, form), KEPT[0].day)):
            assert log.as_saved() == before
            return False
    after = log.as_saved()
    assert {one.seal for one in after} >= {one.seal for one in before}
    assert [one for _, one in read_csv(as_csv(after))][:-1] == after
    assert [one for _, one in read_json_lines(as_json_lines(after))][:-1] == after
    return True


def log_import_either(data: bytes) -> bool:
    """An import in the format that the first byte looks like."""
    return log_import(data, Format.JSON_LINES if data.lstrip()[:1] == b"{" else Format.CSV)


def phrase_bytes(data: bytes) -> bool:
    """The phrase that some bytes stand for."""
    text = phrase_of(data)
    if len(text) % 4 == 1 and len(text) < 200:  # the nearest names of so many kinds take long
        small_words(text)
    return phrase(text)


TARGETS: dict[str, Callable[[bytes], bool]] = {
    "phrase": phrase_bytes,
    "plan": plan,
    "section": section,
    "roster": roster,
    "required-list": required_list,
    "log-import": log_import_either,
}
