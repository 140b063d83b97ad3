"""Rosters as they come from spreadsheets: fourteen messy ones of one band, doubts, levels, limits."""

import datetime as dt
import io
from collections.abc import Callable
from pathlib import Path

import openpyxl
import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.new_section import section_text
from generator.documents.roster import read_roster
from generator.documents.section import Answer, Section
from generator.documents.section_file import read_section
from generator.errors import BadFileError

# Who plays what in all of them (invented names), and what each is called in them.
BAND = [
    ("Odile Marsh", "flute", "1st Flute"), ("Odile Marsh", "piccolo", "Picc"), ("Jón Björk", "oboe", "Ob."),
    ("Ada Quill", "clarinet in B-flat", "Cl. 1"), ("Ivo Tern", "clarinet in B-flat", "Cl. 2"),
    ("Una Vole", "bass clarinet", "B. Cl."), ("Sam Holm", "alto saxophone", "Alto Sax"),
    ("Pia Lark", "baritone saxophone", "Bari Sax"), ("Max Dune", "trumpet in B-flat", "Tpt I"),
    ("Lea Moor", "trumpet in B-flat", "Tpt II"), ("Tom Ebb", "horn in F", "F Horn"),
    ("Eve Crane", "trombone", "Tbn 3"), ("Nils Sand", "euphonium in treble clef", "Euph. T.C."),
    ("Rose Gale", "tuba", "Tuba"), ("Finn Reed", "snare drum", "Snare"),
]  # fmt: skip
LINES = [
    (name, "1st Flute/Picc" if said == "1st Flute" else said) for name, _, said in BAND if said != "Picc"
]


def _table(separator: str, heading: str, row: Callable[[str, str], list[str]]) -> str:
    lines = [separator.join(row(*line)) for line in LINES]
    return "\r\n".join(([heading] if heading else []) + lines) + "\r\n"


def _split_name(name: str, said: str) -> list[str]:
    first, last = name.split(" ")
    return [last, first, said]


def _workbook(rows: list[list[object]], *before: list[object]) -> bytes:
    book = openpyxl.Workbook()
    book.active.title = "Notes"
    book.active.append(["Bring pencils"])
    sheet = book.create_sheet("Band 2026")
    for row in (*before, *rows):
        sheet.append(row)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


def _in_order(said: str) -> str:
    """Ordinals instead of other numbers."""
    words = {"Cl. 1": "1st Clarinet", "Cl. 2": "2nd Clarinet", "Tpt I": "First Trumpet", "Tbn 3": "3rd Tbn."}
    return words.get(said, said)


def _parted(said: str) -> list[str]:
    """The instrument, and the number of its part."""
    words = {
        "Cl. 1": ["Clarinet", "1"],
        "Cl. 2": ["Clarinet", "2nd"],
        "Tpt I": ["Trumpet", "I"],
        "Tbn 3": ["Trombone", "3"],
    }
    return words.get(said, [said, ""])


PLAIN = "Name,Instrument"
ROSTERS: dict[str, tuple[str, bytes]] = {
    "UTF-8 with its mark": ("a.csv", b"\xef\xbb\xbf" + _table(",", PLAIN, lambda n, s: [n, s]).encode()),
    "UTF-16 with tabs": ("b.txt", _table("\t", "Student\tInst.", lambda n, s: [n, s]).encode("utf-16")),
    "UTF-16 without its mark": ("b.csv", _table("\t", "Player\tinstr", lambda n, s: [n, s]).encode("utf-16-le")),
    "cp1252 with semicolons": ("c.csv", _table(";", "Name;Instrument", lambda n, s: [n, s]).encode("cp1252")),
    "title, first and last name, other columns": (
        "d.csv",
        (
            "Harbour Street Community Band,,,,\r\n,,,,\r\n"
            + _table(
                ",",
                "Last Name,First Name,Part,Locker,E-mail",
                lambda n, s: [*_split_name(n, s), "12", f"{n.split()[1].lower()}@harbour.invalid"],
            )
        ).encode(),
    ),
    "ordinals, names in quotes": (
        "e.csv",
        _table(",", "Instrument,Name,Copies", lambda n, s: [_in_order(s), f'"{n}"', "1"]).encode(),
    ),
    "no heading at all": ("f.csv", _table(",", "", lambda n, s: [n, s]).encode()),
    "numbers in front, blank lines, an open quotation mark": (
        "g.csv",
        _table(",", "#,Name,Instrument,Comment", lambda n, s: ["7", n, s, '"loud' if n == "Tom Ebb" else ""])
        .replace("\r\n", "\r\n\r\n")
        .encode(),
    ),
    "a workbook of two sheets with a title": (
        "h.xlsx",
        _workbook(
            [[i, *_split_name(n, s), 3.0] for i, (n, s) in enumerate(LINES, 1)],
            ["Harbour Street Community Band"], [], ["No.", "Surname", "First name", "Instrument", "Locker"],
        ),
    ),
    "surname and first name in one cell, capitals, old line ends": (
        "j.csv",
        _table(";", "NAME;INSTRUMENT;PAID", lambda n, s: [f'"{n.split()[1]}, {n.split()[0]}"', s.upper(), "yes"])
        .replace("\r\n", "\r")
        .encode(),
    ),
    "part in a column of its own, a last line that counts": (
        "k.csv",
        b"".join(
            one.encode()
            for one in (
                _table(",", "Student Name,Instrument,Part", lambda n, s: [n, *_parted(s)]),
                "Total: 14 players,,\r\n",
            )
        ),
    ),
    "the instrument first, a date and a telephone number": (
        "l.xlsx",
        _workbook(
            [[s, n, dt.date(2011, 3, 4), 5550100] for n, s in LINES],
            ["Instrument played", "Full name", "Born", "Phone"],
        ),
    ),
    "no-break spaces and typed quotation marks": (
        "m.csv",
        _table(
            "\t", "Name\tInstrument", lambda n, s: [f"\u201c{n}\u201d", f"\u00a0{s.replace(' ', chr(160))} "]
        ).encode(),
    ),
    "a workbook that calls itself CSV": ("i.csv", _workbook([list(line) for line in LINES], ["Name", "Plays"])),
}  # fmt: skip


def _read(tmp_path: Path, name: str, data: bytes, *answers: Answer) -> Section:
    path = tmp_path / name
    path.write_bytes(data)
    return read_roster(path, answers=answers)


def _who(section: Section) -> list[tuple[str, str]]:
    return sorted((c.person, c.player.instrument.name) for c in section.chairs)


@pytest.mark.parametrize("make", ROSTERS)
def test_messy_rosters_give_the_same_band(tmp_path: Path, make: str) -> None:
    section = _read(tmp_path, *ROSTERS[make])
    assert section.doubts == ()
    assert _who(section) == sorted((person, name) for person, name, _ in BAND)
    orders = [chair.player.instrument.order for chair in section.chairs]
    assert orders == sorted(orders)


def test_chairs_are_called_as_the_roster_calls_them_and_sit_by_their_numbers(tmp_path: Path) -> None:
    section = _read(tmp_path, *ROSTERS["cp1252 with semicolons"])
    assert {(c.person, c.name) for c in section.chairs} == {(person, said) for person, _, said in BAND}
    text = "Instrument,Chair,Name\nclarinet,3,Cy\nclarinet,1,Al\nclarinet,2nd,Bo\n2nd Clarinet,,Di\n"
    names = [(c.name, c.person) for c in _read(tmp_path, "x.csv", text.encode()).chairs]
    assert names == [
        ("Clarinet 1", "Al"),
        ("Clarinet 2nd", "Bo"),
        ("2nd Clarinet", "Di"),
        ("Clarinet 3", "Cy"),
    ]


def test_what_is_not_used_is_said(tmp_path: Path) -> None:
    section = _read(tmp_path, *ROSTERS["title, first and last name, other columns"])
    assert section.title == "Harbour Street Community Band"
    assert section.remarks == ("not used: the columns 'Locker', 'E-mail'",)
    of_two = _read(tmp_path, *ROSTERS["a workbook of two sheets with a title"])
    assert "read from the sheet 'Band 2026'" in of_two.remarks
    assert "no line of headings" in _read(tmp_path, *ROSTERS["no heading at all"]).remarks[0]


def test_bad_lines_stop_no_others(tmp_path: Path) -> None:
    text = (
        "Name,Instrument,Level,Copies,Low,High\nAda Quill,flute,hopeless,1,,\nBo Fenn,,,,,\nCy Holt,kazoo,,,,\n"
        "Di Marl,oboe,,many,,\nEd Rusk,tuba,,,H9,\nFay Tull,Sax,,,,\nGus Wold,clarinet,,,E3,Bb4\n,,,,,\n"
        "Ida,Clarinett,,,,\nJo,cello,,,C5,C2\n"
    )
    section = _read(tmp_path, "x.csv", text.encode())
    assert _who(section) == [
        ("Ada Quill", "flute"), ("Di Marl", "oboe"), ("Gus Wold", "clarinet in B-flat"), ("Ida", "clarinet in B-flat"),
    ]  # fmt: skip
    assert [(d.line, d.field) for d in section.doubts] == [
        (2, "level"), (3, "instrument"), (4, "instrument"), (5, "copies"), (6, "low"), (7, "instrument"), (11, "low"),
    ]  # fmt: skip
    assert section.doubts[1].words == "line 3 (Bo Fenn): there is no instrument"
    assert section.doubts[5].words.startswith(
        "line 7 (Fay Tull): instrument: 'Sax' may be several instruments; likely: alto saxophone, tenor"
    )
    assert "line 10: 'Clarinett' is read as clarinet in B-flat" in section.remarks
    limits = next(c.player.compass for c in section.chairs if c.person == "Gus Wold")
    assert limits.words == "E 3 to B-flat 4"


def test_answers_settle_every_line_that_says_the_same_and_are_kept(tmp_path: Path) -> None:
    text = "Name,Instrument,Low\nAda,Bass,\nBo,bass,\nCy,Director,\nDi,tuba,none\n"
    answers = (
        Answer("instrument", "Bass", "double bass"), Answer("instrument", "Director", "-"), Answer("low", "none", "-"),
    )  # fmt: skip
    open_ = _read(tmp_path, "x.csv", text.encode() + b"Ed,flute,\n")
    assert [d.line for d in open_.doubts] == [2, 3, 4, 5]
    section = _read(tmp_path, "x.csv", text.encode(), *answers)
    assert section.doubts == ()
    assert _who(section) == [("Ada", "double bass"), ("Bo", "double bass"), ("Di", "tuba")]
    kept = tmp_path / "section.toml"
    kept.write_text(section_text(section), "utf-8")
    assert read_section(kept, shared_catalogue().instruments).answers == answers


@pytest.mark.parametrize("make", ROSTERS)
def test_a_section_file_made_of_a_roster_reads_back_as_the_same(tmp_path: Path, make: str) -> None:
    section = _read(tmp_path, *ROSTERS[make])
    kept = tmp_path / "section.toml"
    kept.write_text(section_text(section), "utf-8")
    again = read_section(kept, shared_catalogue().instruments)
    assert (again.chairs, again.title) == (section.chairs, section.title)


# Common practice, no source: the table is stated in roster_level.py and in the README.
@pytest.mark.parametrize(
    ("heading", "cells", "levels"),
    [
        ("Level", ["Beginner", "Intermediate", "ADVANCED", "first_notes"], "first standard extended first"),
        ("Level", ["1", "2", "3", ""], "first standard extended standard"),
        ("Years", ["1", "2", "3", "9"], "first first standard standard"),
        ("Grade", ["1", "2", "3", "8"], "first first standard standard"),
        ("Grade", ["5", "6th", "Gr. 7", "12"], "first first standard standard"),
        ("Year", ["Year 7", "Yr 8", "9", "13"], "first standard standard standard"),
        ("Grade", ["Freshman", "7", "Senior", "6"], "standard standard standard first"),
    ],
)
def test_levels_in_words_and_numbers(tmp_path: Path, heading: str, cells: list[str], levels: str) -> None:
    text = f"Name,Instrument,{heading}\n" + "".join(f"P{n},flute,{cell}\n" for n, cell in enumerate(cells))
    section = _read(tmp_path, "x.csv", text.encode())
    found = {c.person: c.player.level.split()[0] for c in section.chairs}
    assert [found[f"P{n}"] for n in range(len(cells))] == levels.split()
    assert section.doubts == ()


def test_names_of_instruments_alone_head_the_lines_below(tmp_path: Path) -> None:
    text = "Name,Instrument\nClarinets:,\nAda,\nBo,Bass Clarinet\nTrumpets,\nCy,\n"
    section = _read(tmp_path, "x.csv", text.encode())
    assert _who(section) == [
        ("Ada", "clarinet in B-flat"),
        ("Bo", "bass clarinet"),
        ("Cy", "trumpet in B-flat"),
    ]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("", "it has no column of instruments"),
        ("name,instrument\n", "line 1: it names no player"),
        ("a,b\nc,d\n", "it has no column of instruments; call one Instrument"),
        ("name,instrument\nAda,kazoo\nBo\n", "line 2 .Ada.: instrument: 'kazoo' is no instrument"),
        ("name,instrument\n" + "A,flute\n" * 301, "more than 300 players"),
        ("\0\1\2\3binary", "no table of text"),
    ],
)
def test_a_file_without_one_player_is_refused(tmp_path: Path, text: str, reason: str) -> None:
    with pytest.raises(BadFileError, match=reason):
        _read(tmp_path, "x.csv", text.encode())
