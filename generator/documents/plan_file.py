"""plan.toml: who plays, how long a day, and what is kept alive. Reading and checking.

    player = "Ada Quill"
    instrument = "alto saxophone"
    minutes = 20
    phrases = 2
    minor = "melodic"
    [figures]
    cascade = "1 3 5 3 4 2 7, 1"
    [[keep]]
    phrase = "all keys, harmonic minor in thirds"
    goal = 84
    articulations = "board articulations"
    [[list]]
    name = "florida-middle-school"
    date = 2027-02-06
    [[aim]]
    phrase = "E-flat major in thirds"
    tempo = 96
    by = 2027-02-12

Every mistake of a file is told at once, each with its line.
"""

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

from generator.catalogue.tables import Catalogue
from generator.documents import fields
from generator.documents.fields import Field
from generator.documents.marked_file import MarkedFile
from generator.documents.plan import DEFAULT_MINUTES, KEY_NAMES, AimRow, Dress, ListRow, Plan
from generator.documents.plan_row import Keep, keep_of
from generator.documents.reader import read_head, read_tables
from generator.documents.reader_page import TABLE, read_reader
from generator.errors import OutputError
from generator.files.resources import is_there
from generator.pages.paper import PAPERS, PRINT_SIZES
from generator.pages.sheet import SHOWS
from generator.phrase.read import FASTEST, SLOWEST
from generator.phrase.ways import MINORS, PHRASES, USUAL, Ways, words_of_file
from generator.rotation.theme import Theme

MOST_MINUTES, MOST_DAYS = 600, 9999
MOST_ROUNDS = MOST_STAGES = 99
_STROKES = '["all tongued", "all slurred"]'
HEAD_FIELDS = (
    Field("player", fields.text, ""),
    Field("instrument", fields.instrument_name, ""),
    Field("level", fields.level, ""),
    Field("low", fields.pitch_name, ""),
    Field("high", fields.pitch_name, ""),
    Field("minutes", fields.whole(1, MOST_MINUTES), DEFAULT_MINUTES),
    Field("share", fields.share, Fraction(1, 2)),
    Field("longest_wait", fields.whole(1, MOST_DAYS)),
    Field("names", fields.among(KEY_NAMES), "usual"),
    Field("together", fields.flag, False),
    Field("theme", fields.theme, Theme.DAY),
    Field("paper", fields.among(PAPERS), ""),
    Field("print", fields.among(PRINT_SIZES), ""),
    Field("show", fields.among(SHOWS), ""),
    Field("fingerings", fields.flag, False),
    Field("hints", fields.text, ""),
    Field("syllables", fields.words, ()),
    Field("phrases", fields.whole(1, PHRASES), 1),
    Field("minor", fields.among(MINORS), USUAL.minor),
    Field("figures", fields.own_figures, ()),
    Field("rounds", fields.whole(1, MOST_ROUNDS), 1),
)
DRESS_FIELDS = (
    Field(
        "articulations",
        fields.dressings("articulation", _STROKES),
        (),
        needed="a [[dress]] names them, like " + _STROKES,
    ),
    Field("only", fields.instruments, ()),
)
KEEP_FIELDS = (
    Field("phrase", fields.phrase, needed='a [[keep]] needs one, like phrase = "all keys, major"'),
    Field("every", fields.whole(1, MOST_DAYS)),
    Field("start", fields.whole(SLOWEST, FASTEST)),
    Field("goal", fields.whole(SLOWEST, FASTEST)),
    Field("articulations", fields.dressings("articulation", _STROKES)),
    Field("rhythms", fields.dressings("rhythm", '["eighths", "triplets"]')),
    Field("minutes", fields.whole(1, MOST_MINUTES)),
    Field("heavy", fields.flag),
    Field("climb", fields.flag),
    Field("only", fields.instruments, ()),
    Field("stage", fields.whole(1, MOST_STAGES), 1),
)
LIST_FIELDS = (
    Field("name", fields.text, needed="a [[list]] needs the name of a required list, or of a file with one"),
    Field("called", fields.text, ""),
    Field("date", fields.day),
)
AIM_FIELDS = (
    Field("phrase", fields.phrase, needed='an [[aim]] needs one, like phrase = "E-flat major in thirds"'),
    Field("tempo", fields.whole(SLOWEST, FASTEST)),
    Field("by", fields.day, needed="an [[aim]] needs its day, like by = 2027-02-12"),
    Field("only", fields.instruments, ()),
)


def read_plan(path: Path, catalogue: Catalogue, *, rows: bool = True) -> tuple[Plan, MarkedFile]:
    """Read a plan.

    Args:
        path: the file.
        catalogue: the names.
        rows: read the [[keep]] rows; without them only the head and the names of the lists are read.

    Returns:
        The plan without its bad rows, and the file with the mistakes found so far; whoever checks more of it
        adds to them, and `MarkedFile.refuse` tells them all.

    Raises:
        BadFileError: it is not UTF-8 or not TOML.
        OutputError: it cannot be read.
    """
    if is_there(path) and not path.is_file() and not path.is_dir():
        # It is read more than once, which a pipe does not allow.
        raise OutputError(f"cannot read {path}: it is no file; save it as one")
    file = MarkedFile.read(path)
    head = read_head(file, HEAD_FIELDS, ("keep", "list", "dress", "aim", TABLE), catalogue)
    if "keep" not in file.data and "list" not in file.data:
        file.fault_at(1, "it keeps nothing alive; write a [[keep]] with a phrase, like all keys, major")
    ways = Ways(head["minor"], dict(head["figures"]), words_of_file(head["phrases"]))
    keeps = tuple(_keeps(file, catalogue, ways)) if rows else ()
    dresses = tuple(
        Dress(tuple((name, "") for name in row["articulations"]), row["only"])
        for _, row in (read_tables(file, "dress", DRESS_FIELDS, catalogue) if rows else ())
    )
    lists = tuple(
        ListRow(name=row["name"], called=row["called"], day=row["date"], line=file.line(place, "name"))
        for place, row in read_tables(file, "list", LIST_FIELDS, catalogue)
        if row["name"]
    )
    aims = tuple(_aims(file, catalogue, ways))
    reader = read_reader(file, catalogue)
    return Plan(**head, reader=reader, keeps=keeps, lists=lists, dresses=dresses, aims=aims), file


def _aims(file: MarkedFile, catalogue: Catalogue, ways: Ways) -> Iterator[AimRow]:
    """What is to be ready by a day, none of it said twice; a tempo in the phrase is as good as one beside it."""
    seen: dict[object, int] = {}
    aim_fields = tuple(
        replace(field, kind=fields.phrase_in(ways)) if field.name == "phrase" else field
        for field in AIM_FIELDS
    )
    for place, row in read_tables(file, "aim", aim_fields, catalogue):
        if not row["phrase"] or not row["by"]:
            continue
        said, requests = row["phrase"]
        tempi = [one.goal or (one.tempo.bpm if one.tempo else None) for one in requests]
        line = file.line(place, "phrase")
        first = seen.setdefault((requests, row["only"]), line)
        if first != line:
            file.fault_at(line, f"aims at the same as line {first}; one of the two can go")
            continue
        tempo = row["tempo"] or next((one for one in tempi if one), None)
        yield AimRow(said, requests, tempo, row["by"], row["only"], line)


def _keeps(file: MarkedFile, catalogue: Catalogue, ways: Ways) -> Iterator[Keep]:
    """The rows, none of them said twice; a phrase that asks for several things is as many rows."""
    seen: dict[object, int] = {}
    keep_fields = tuple(
        replace(field, kind=fields.phrase_in(ways)) if field.name == "phrase" else field
        for field in KEEP_FIELDS
    )
    for place, row in read_tables(file, "keep", keep_fields, catalogue):
        start, goal = row["start"], row["goal"]
        if start and goal and start > goal:
            file.fault(place, "goal", f"goal: {goal} is slower than the start {start}")
        phrase = row.pop("phrase")
        if not phrase:
            continue
        said, requests = phrase
        row["articulations"] = tuple((name, "") for name in row["articulations"] or ())
        only, stage = row.pop("only"), row.pop("stage")
        for request in requests:
            keep = replace(keep_of(request, said, file.line(place, "phrase"), **row), only=only, stage=stage)
            first = seen.setdefault((keep.request, keep.dressing, keep.only), keep.line)
            if first != keep.line:
                file.fault_at(keep.line, f"says the same as line {first}; one of the two can go")
            yield keep


def read_head_of(path: Path, catalogue: Catalogue) -> Plan:
    """What a plan settles about phrases and pages, whatever else stands in it.

    Args:
        path: the plan.
        catalogue: the names.

    Raises:
        BadFileError: it is not UTF-8 or not TOML.
        OutputError: it cannot be read.
    """
    plan, _ = read_plan(path, catalogue, rows=False)
    return plan


def read_ways(path: Path, catalogue: Catalogue) -> Ways:
    """What a plan settles about phrases; see `read_head_of`."""
    return read_head_of(path, catalogue).ways
