"""Valid examples of everything a person may write, and the words a phrase is made of."""

import datetime as dt
from functools import lru_cache
from pathlib import Path

from generator.documents.required_file import read_list
from generator.files.resources import data_folder
from generator.practice_log import Entry, Kind
from generator.practice_log.transfer import as_csv, as_json_lines
from tests.exhaustive.fuzzing.checks import NAMES

KEPT = (
    Entry("one", Kind.ITEM_IN, dt.date(2027, 1, 4), "2027-01-04T17:00:00+00:00", item="G major", minutes=2),
    Entry(
        "two",
        Kind.PLAY,
        dt.date(2027, 1, 5),
        "2027-01-05T17:04:09+00:00",
        item="G major",
        rating=3,
        tempo=80,
        goal=96,
        instrument="alto saxophone",
        phrase='G major, quarter = 80, "swung"',
        data='{"fell": [1, 2]}',
    ),
    Entry("three", Kind.VOID, dt.date(2027, 1, 6), "2027-01-06T00:00:00+00:00", takes_back="two"),
    Entry("four", Kind.SHEET, dt.date(2027, 1, 6), "2027-01-06T00:00:00+00:00", sheet="ABCD", data="[]"),
)

OWN_SECTION = b"""title = "Harbour Street Low Brass"
note = "Bring a pencil"
[[chair]]
name = "2nd Trombone"
instrument = "trombone"
level = "first notes"
low = "E2"
high = "Bb4"
copies = 2
player = "Ada Quill"
[[chair]]
instrument = "snare drum"
"""
ROSTERS = (
    b'name,instrument,level,chair\nAda Quill,alto saxophone,extended,1st Alto\n"Rook, Tamsin",tuba,,\n',
    b"\xef\xbb\xbfStudent;Instrument\r\nOdile Marsh;flute\r\n;snare drum\r\n",
    b"Player\tInstrument\tPart\nAda\tE-flat clarinet\tE-flat\n",
)

SMALL = (
    "G", "E-flat", "F#", "b", "a", "C##", "B♭", "A 𝄪", "c double sharp", "all keys", "all fifteen keys", "all flats",
    "concert", "written", "concert pitch", "in", "on", "of", "and", ",", "from the third degree", "from every degree",
    "every articulation", "articulations in turn", "every rhythm", "rhythms in turn", "up", "down", "up and down",
    "down first", "tongued up, slurred down", "quarter =", "dotted half = 60 to 80 by 4", "quarter = 80", "80", "to",
    "by", "6/8", "in 7/8", "13/8", "/", "=", "²", "٣", "♩", "the", "scale", "scales", "with sharps", "both names",
    "top octave", "inside", "every", "all", "each", "twelve", "15", "double", "flat", "usual band keys", "&",
)  # fmt: skip


@lru_cache(maxsize=1)
def vocabulary() -> tuple[str, ...]:
    """Every name a phrase may hold, and the small words between them."""
    tables = (
        NAMES.forms,
        NAMES.figures,
        NAMES.spans,
        NAMES.rhythms,
        NAMES.articulations,
        NAMES.sets,
        NAMES.routines,
    )
    names = {name for table in tables for row in table.rows for name in (row.name, *row.aliases)}
    return (*sorted(names), *SMALL)


def phrase_of(data: bytes) -> str:
    """A phrase from raw bytes: the text itself, or names of the vocabulary by number with raw text between."""
    if not data or data[0] % 2 == 0:
        return data[1:].decode("utf-8", "surrogateescape")
    words = vocabulary()
    return " ".join(
        words[int.from_bytes(data[k : k + 2], "big") % len(words)] for k in range(1, len(data), 2)
    )


def seeds(target: str) -> list[bytes]:
    """Valid examples for a target."""
    shared = data_folder("shared")
    if target == "phrase":
        asked = [
            "G major in thirds, two octaves, quarter = 60 to 108 by 4",
            "concert B-flat and E-flat major, all slurred",
        ]
        kept = [one.phrase for path in _lists() for one in read_list(path, NAMES).items]
        return [b"\x00" + text.encode() for text in (*asked, *kept)]
    if target == "plan":
        return [(shared / name).read_bytes() for name in ("plans/standard.toml", "examples/demo-plan.toml")]
    if target == "section":
        return [(shared / "examples" / "harbour-street.toml").read_bytes(), OWN_SECTION]
    if target == "roster":
        return list(ROSTERS)
    if target == "required-list":
        return [path.read_bytes() for path in _lists()]
    return [as_csv(KEPT).encode(), as_json_lines(KEPT).encode(), as_csv(KEPT[:1]).encode()]


def _lists() -> list[Path]:
    return sorted((data_folder("shared") / "lists").glob("*.toml"))
