"""One entry of the practice log, and what an entry may hold."""

import datetime as dt
import json
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import StrEnum
from hashlib import sha256
from typing import NoReturn

from generator.errors import RequestError, clipped, shown

LONGEST_TEXT = 100_000
SEAL_LENGTH = 24  # hexadecimal digits
LIMITS = {"minutes": (1, 600), "rating": (1, 4), "tempo": (1, 1000), "goal": (1, 1000)}


class Kind(StrEnum):
    """What an entry says."""

    ITEM_IN = "item_in"
    ITEM_OUT = "item_out"
    PLAY = "play"
    VOID = "void"
    BUDGET = "budget"
    TARGET = "target"
    SHEET = "sheet"


NEEDED = {
    Kind.PLAY: ("item", "rating"),
    Kind.ITEM_IN: ("item", "minutes"),
    Kind.ITEM_OUT: ("item",),
    Kind.VOID: ("takes_back",),
}


@dataclass(frozen=True, slots=True)
class Entry:
    """One entry. It names other entries by uid and seal only, so it means the same in any log.

    Args:
        uid: made by whoever writes it from what the entry is about, so two computers may give two entries one uid.
        kind: what it says.
        day: the player's own calendar date, which is what the rotation reads.
        recorded_at: the moment of saving as `utc_text` writes it; information only.
        item: the exercise; needed for plays and changes of the list.
        minutes: minutes played, or the length of an item that comes on the list.
        rating: how it felt: 1 lost, 2 shaky, 3 steady, 4 secure.
        tempo: tempo reached, quarters a minute or whatever unit `goal` has.
        goal: goal tempo at that time.
        takes_back: uid of the entry that a void takes back.
        data: JSON text for whatever else belongs to a sheet, a budget or a required list.
        instrument: the instrument a play belongs to; None counts for every instrument.
        sheet: code of the printed sheet.
        phrase: the request as it was printed.
        version: seal of the very entry that a void takes back, for there may be others with its uid.
    """

    uid: str
    kind: Kind
    day: dt.date
    recorded_at: str
    item: str | None = None
    minutes: int | None = None
    rating: int | None = None
    tempo: int | None = None
    goal: int | None = None
    takes_back: str | None = None
    data: str | None = None
    instrument: str | None = None
    sheet: str | None = None
    phrase: str | None = None
    version: str | None = None

    @property
    def values(self) -> tuple[str | int | None, ...]:
        """What the entry holds, in the order of its fields, the date as text."""
        return (
            self.uid,
            self.kind,
            self.day.isoformat(),
            self.recorded_at,
            self.item,
            self.minutes,
            self.rating,
            self.tempo,
            self.goal,
            self.takes_back,
            self.data,
            self.instrument,
            self.sheet,
            self.phrase,
            self.version,
        )

    @property
    def seal(self) -> str:
        """A digest of all that the entry holds: another seal, another entry."""
        return seal_of(*self.values)


FIELDS = tuple(Entry.__dataclass_fields__)


def seal_of(*values: object) -> str:
    """The digest of some values: the first 24 hexadecimal digits of SHA-256 over them as a JSON array in UTF-8.

    The array has no spaces and no escapes but those JSON demands; what is not there is null.
    """
    text = json.dumps(values, ensure_ascii=False, separators=(",", ":"), default=repr)
    return sha256(text.encode(errors="replace")).hexdigest()[:SEAL_LENGTH]


def summed(total: str, seals: Iterable[str]) -> str:
    """The exclusive or of a sum and some seals: the same for the same entries in whatever order they came."""
    number = int(total, 16)
    for seal in seals:
        number ^= int(seal, 16)
    return f"{number:0{SEAL_LENGTH}x}"


EMPTY_SUM = "0" * SEAL_LENGTH


def utc_text(moment: dt.datetime) -> str:
    """A moment as text, in UTC: "2027-03-05T17:04:09.123456+00:00".

    Raises:
        RequestError: the moment carries no time zone.
    """
    if moment.tzinfo is None:
        raise RequestError("The time of saving has no time zone; a time with its zone is needed.")
    return moment.astimezone(dt.UTC).isoformat(timespec="microseconds")


def problems_of(entry: Entry) -> list[str]:
    """Everything that keeps an entry out of the log; empty if it is sound."""
    return [*_texts(entry), *_numbers(entry), *_needs(entry), *_recorded(entry), *_json(entry)]


def _texts(entry: Entry) -> Iterator[str]:
    for name in (
        "uid",
        "recorded_at",
        "item",
        "takes_back",
        "data",
        "instrument",
        "sheet",
        "phrase",
        "version",
    ):
        text = getattr(entry, name)
        if text is None:
            continue
        if not text:
            yield f"{name} is empty; leave it out or give a text"
        elif len(text) > LONGEST_TEXT:
            yield f"{name} has {len(text)} characters; at most {LONGEST_TEXT} are kept"
        elif "\0" in text or any("\ud800" <= letter <= "\udfff" for letter in text):
            yield f"{name} holds a character that cannot be stored"


def _numbers(entry: Entry) -> Iterator[str]:
    for name, (low, high) in LIMITS.items():
        number = getattr(entry, name)
        if number is not None and not low <= number <= high:
            yield f"{name} is {shown(number)}; {low} to {high} is allowed"


def _needs(entry: Entry) -> Iterator[str]:
    for name in NEEDED.get(entry.kind, ()):
        if getattr(entry, name) is None:
            yield f"{entry.kind} needs {name}"
    if entry.kind is not Kind.VOID and entry.takes_back is not None:
        yield f"{entry.kind} takes nothing back; only void has takes_back"
    if entry.kind is not Kind.VOID and entry.version is not None:
        yield f"{entry.kind} takes nothing back; only void has version"


def _recorded(entry: Entry) -> Iterator[str]:
    try:
        moment = dt.datetime.fromisoformat(entry.recorded_at)
    except ValueError:
        yield f'recorded_at is "{clipped(entry.recorded_at)}"; a time such as 2027-03-05T17:04:09+00:00 is needed'
        return
    if moment.utcoffset() != dt.timedelta(0):
        yield f'recorded_at is "{clipped(entry.recorded_at)}"; a time in UTC (ending in +00:00) is needed'


def _json(entry: Entry) -> Iterator[str]:
    if not entry.data:
        return
    try:
        json.loads(entry.data, parse_constant=_refuse)
    except (ValueError, RecursionError):
        yield "data is not JSON"


def _refuse(constant: str) -> NoReturn:
    raise ValueError(constant)
