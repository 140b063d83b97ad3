"""Reads a studio from studio.toml, or from a roster.

    title = "Harbour Street studio"
    minutes = 20                # a day, for whoever has no other
    [[pupil]]
    name = "Ada Quill"
    instrument = "clarinet"
    level = "first notes"       # or low = "E3", high = "Bb4"
    days = 4                    # sheets a week
    plan = "ada.toml"           # beside this file; or the rows themselves:
    keep = ["keys up to three flats, major", "chromatic on G"]
    week = ["E-flat major in thirds"]       # on top of it, every day
    reader = { staff = 26 }     # as in a plan

A pupil with mistakes is left out, with all of them and their lines, and stops nobody else.
"""

from collections.abc import Callable, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

from generator.catalogue.players import OWN_RANGE, player_named
from generator.catalogue.tables import Catalogue, shared_catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile, Place
from generator.documents.plan_file import MOST_MINUTES, read_head_of
from generator.documents.plan_row import Keep, keep_of
from generator.documents.reader import Values, read_head, read_row
from generator.documents.reader_page import reader
from generator.documents.roster import ROSTERS, read_roster
from generator.documents.section import Chair, Section
from generator.documents.studio import MOST_PUPILS, Pupil, RefusedPupil, Studio, told_apart_pupils
from generator.errors import BadFileError, OutputError, RequestError, clipped, shown
from generator.files.text import clean, slug
from generator.phrase.ways import USUAL

MOST_SHEETS = 14
LONGEST_NAME = 80
EVERY_DAY = 1
_PHRASES = '["G major, one octave", "chromatic on G"]'


def _phrases(raw: Any, names: Catalogue) -> tuple[tuple[str, Any], ...]:  # noqa: ANN401
    """Phrases, each as written and as what it asks for."""
    listed = [raw] if isinstance(raw, str) else raw
    if not isinstance(listed, list) or not all(isinstance(one, str) and one.strip() for one in listed):
        raise RequestError(f"phrases in quotes are needed, like {_PHRASES}")
    read, found, reasons = fields.phrase_in(USUAL), [], []
    for one in listed:
        try:
            found.append(read(one, names))
        except RequestError as error:
            reasons.append(str(error))
    if reasons:
        raise RequestError("\n".join(reasons))
    return tuple(found)


def _folder(said: str, _names: Catalogue) -> str:
    if slug(said, 80) != said:
        raise RequestError(f"{shown(said)} is no plain name of a folder; write one like {slug(said, 80)}")
    return said


HEAD_FIELDS = (
    Field("title", fields.text, ""),
    Field("note", fields.text, ""),
    Field("minutes", fields.whole(1, MOST_MINUTES)),
    Field("days", fields.whole(1, MOST_SHEETS)),
    Field("plan", fields.text, ""),
)
PUPIL_FIELDS = (
    Field("name", fields.text, needed='a pupil needs one, like name = "Ada Quill"'),
    Field("instrument", fields.instrument_name, ""),
    Field("level", fields.level, ""),
    Field("low", fields.pitch_name, ""),
    Field("high", fields.pitch_name, ""),
    Field("minutes", fields.whole(1, MOST_MINUTES)),
    Field("days", fields.whole(1, MOST_SHEETS)),
    Field("plan", fields.text, ""),
    Field("keep", _phrases, ()),
    Field("week", _phrases, ()),
    Field("reader", reader),
    Field("folder", fields.of_text(_folder), ""),
)


def read_studio(path: Path) -> Studio:
    """Read a studio.

    Args:
        path: studio.toml, or a roster (.csv, .xlsx).

    Raises:
        BadFileError: it is no file of this kind, its head has mistakes, or not one pupil can be read.
        OutputError: it cannot be read.
    """
    if path.suffix.casefold() in ROSTERS:
        return _of_roster(read_roster(path))
    file, names = MarkedFile.read(path), shared_catalogue()
    head = read_head(file, HEAD_FIELDS, ("pupil",), names)
    rows = file.tables("pupil", most=MOST_PUPILS, needed="it has no [[pupil]]; write one for each")
    file.refuse()
    pupils: list[Pupil] = []
    refused: list[RefusedPupil] = []
    for place, row in rows:
        own = file.apart()
        try:
            values = read_row(own, place, row, PUPIL_FIELDS, names)
            pupil = _pupil(own, place, row, values, head)
            own.refuse()
            pupils.append(pupil)
        except (BadFileError, OutputError) as error:
            said = row.get("name")
            refused.append(RefusedPupil(" ".join(said.split()) if isinstance(said, str) else "", str(error)))
    return _checked(path.name, Studio(head["title"], tuple(pupils), head["note"], tuple(refused)))


def _checked(name: str, studio: Studio) -> Studio:
    """The studio with its pupils told apart.

    Raises:
        BadFileError: there is none.
    """
    if not studio.pupils:
        reasons = [line for one in studio.refused for line in one.reason.splitlines()]
        raise BadFileError("\n".join(reasons[:20]) or f"{name}: it names no pupil")
    pupils, told = told_apart_pupils(studio.pupils)
    return replace(studio, pupils=pupils, remarks=(*studio.remarks, *(f"{name}, {line}" for line in told)))


def _pupil(file: MarkedFile, place: Place, raw: Mapping[str, Any], row: Values, head: Values) -> Pupil:
    named = row["plan"] or ("" if row["keep"] else head["plan"])
    plan = file.path.parent / Path(named).expanduser() if named else None
    instrument = row["instrument"]
    if row["plan"] and row["keep"]:
        file.fault(
            place,
            "keep",
            "keep: it stands in place of a plan; leave out one of the two (week adds to a plan)",
        )
    elif plan:
        own = _of_plan(file, place, plan)
        instrument = instrument or own
    if not instrument and "instrument" not in raw:
        file.fault(place, "instrument", 'instrument: a pupil needs one, like instrument = "alto saxophone"')
    elif instrument:
        _fits(file, place, row, instrument)
    if row["name"] and not clean(row["name"]):
        file.fault(place, "name", f"name: {shown(row['name'])} has no sign that can be printed")
    return Pupil(
        name=clean(row["name"] or "", LONGEST_NAME),
        instrument=instrument,
        level=row["level"],
        low=row["low"],
        high=row["high"],
        minutes=row["minutes"] or head["minutes"],
        days=row["days"] or head["days"],
        plan=plan,
        keep=_keeps(file, place, "keep", row["keep"]),
        week=tuple(
            replace(one, dressing=replace(one.dressing, every=EVERY_DAY))
            for one in _keeps(file, place, "week", row["week"])
        ),
        reader=row["reader"],
        folder=row["folder"],
        line=file.line(place),
    )


def _of_plan(file: MarkedFile, place: Place, plan: Path) -> str:
    try:
        return read_head_of(plan, shared_catalogue()).instrument
    except (BadFileError, OutputError) as error:
        file.fault(place, "plan", f"plan: {clipped(str(error), 200)}")
    return ""


def _fits(file: MarkedFile, place: Place, row: Values, instrument: str) -> None:
    """Whether the instrument can have the limits."""
    try:
        player_named(instrument, row["level"] or "standard", row["low"] or None, row["high"] or None)
    except RequestError as error:
        field = "low" if row["low"] else "high"
        file.fault(place, field, f"{field}: {error}")


def _keeps(file: MarkedFile, place: Place, field: str, said: tuple[tuple[str, Any], ...]) -> tuple[Keep, ...]:
    """The rows that phrases stand for, each once."""
    line = file.line(place, field)
    found = [keep_of(request, phrase, line) for phrase, requests in said for request in requests]
    seen: Callable[[Keep], object] = lambda keep: (keep.request, keep.dressing)  # noqa: E731
    return tuple({seen(keep): keep for keep in reversed(found)}.values())[::-1]


def _of_roster(section: Section) -> Studio:
    """The players of a roster as pupils with the starter plans."""
    refused = [RefusedPupil("", one.words) for one in section.doubts if one.field == "instrument"]
    told = [one.words for one in section.doubts if one.field != "instrument"]
    pupils = tuple(_of_chair(chair, number) for number, chair in enumerate(section.chairs, 1))
    studio = Studio(section.title, pupils, section.note, tuple(refused), (*section.remarks, *told))
    return _checked("the roster", studio)


def _of_chair(chair: Chair, number: int) -> Pupil:
    player = chair.player
    own = player.level == OWN_RANGE
    return Pupil(
        name=clean(chair.person or chair.name, LONGEST_NAME),
        instrument=player.instrument.name,
        level="" if own else player.level,
        low=player.compass.low.name if own else "",
        high=player.compass.high.name if own else "",
        line=number,
    )
