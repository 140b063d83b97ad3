"""Workbooks of strangers: each is refused in one line, quickly, in little memory, or read."""

import io
import resource
import sys
import time
import zipfile
from pathlib import Path

import openpyxl
import pytest

from generator.documents.roster import read_roster
from generator.errors import BadFileError

SHEET = "xl/worksheets/sheet1.xml"
MAIN = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def _sound(rows: list[list[object]]) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(row)
    data = io.BytesIO()
    book.save(data)
    return data.getvalue()


GOOD = _sound([["Name", "Instrument"], ["Ada", "flute"], ["Bo", "tuba"]])


def _with(part: str, content: bytes) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(GOOD)) as old, zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name != part:
                new.writestr(name, old.read(name))
        new.writestr(part, content)
    return data.getvalue()


def _rows(count: int, cell: str = "") -> bytes:
    rows = "".join(f'<row r="{n}">{cell}</row>' for n in range(1, count + 1))
    return f"<worksheet {MAIN}><sheetData>{rows}</sheetData></worksheet>".encode()


def _lied(size: int) -> bytes:
    """A part that unpacks to far more than its entry says."""
    data = bytearray(_with(SHEET, b" " * 150_000_000))
    with zipfile.ZipFile(io.BytesIO(bytes(data))) as packed:
        real = packed.getinfo(SHEET).file_size
    return bytes(data).replace(real.to_bytes(4, "little"), size.to_bytes(4, "little"))


ENTITIES = (
    '<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a "ha">'
    + "".join(f'<!ENTITY {chr(98 + n)} "{f"&{chr(97 + n)};" * 10}">' for n in range(9))
    + f"]><worksheet {MAIN}><sheetData><row r='1'><c r='A1' t='str'><v>&j;</v></c></row></sheetData></worksheet>"
)
HOSTILE = {
    "a bomb": lambda: _with(SHEET, b" " * 60_000_000),
    "a bomb beside": lambda: _with("xl/sharedStrings.xml", b" " * 60_000_000),
    "a bomb that lies": lambda: _lied(1000),
    "entities": lambda: _with(SHEET, ENTITIES.encode()),
    "entities in UTF-16": lambda: _with(SHEET, ENTITIES.encode("utf-16")),
    "entities beside": lambda: _with("xl/styles.xml", ENTITIES.encode()),
    "a million rows": lambda: _with(SHEET, _rows(1_000_000)),
    "a hundred thousand rows": lambda: _with(SHEET, _rows(100_000)),
    "formulas": lambda: _sound([["Name", "Instrument"], ["Ada", '=CONCATENATE("fl","ute")'], ["Bo", "=1/0"]]),
    "cut short": lambda: GOOD[: len(GOOD) // 2],
    "no archive": lambda: b"PK\3\4" + b"flute" * 999,
    "a text": lambda: b"name,instrument\nAda,flute\n",
    "an archive of something else": lambda: _only("hello.txt"),
    "an old workbook": lambda: b"\xd0\xcf\x11\xe0" + bytes(5000),
    "a sheet of rubbish": lambda: _with(SHEET, b"<worksheet><sheetData><row><c>"),
    "a very wide row": lambda: _with(SHEET, _rows(1, "<c/>" * 900_000)),
    "a great many styles": lambda: _with(
        "xl/styles.xml", f"<styleSheet {MAIN}><cellXfs>{'<xf/>' * 390_000}".encode()
    ),
    "nearly too many cells": lambda: _with(SHEET, _rows(1, "<c/>" * 49_000)),
    "many parts": lambda: _parts(500),
}


def _only(name: str) -> bytes:
    data = io.BytesIO()
    with zipfile.ZipFile(data, "w") as packed:
        packed.writestr(name, b"hello")
    return data.getvalue()


def _parts(count: int) -> bytes:
    data = io.BytesIO(GOOD)
    with zipfile.ZipFile(data, "a") as packed:
        for n in range(count):
            packed.writestr(f"xl/worksheets/more{n}.xml", b"<worksheet/>")
    return data.getvalue()


@pytest.mark.parametrize("kind", HOSTILE)
def test_a_hostile_workbook_is_refused_quickly_in_little_memory(tmp_path: Path, kind: str) -> None:
    path = tmp_path / "roster.xlsx"
    path.write_bytes(HOSTILE[kind]())
    before, began = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, time.process_time()
    with pytest.raises(BadFileError, match=r"^roster\.xlsx") as refusal:
        read_roster(path)
    assert time.process_time() - began < 2
    if sys.platform == "linux":
        assert resource.getrusage(resource.RUSAGE_SELF).ru_maxrss - before < 100_000  # kilobytes
    assert all(line.startswith("roster.xlsx") for line in str(refusal.value).splitlines())


def test_results_of_formulas_count_and_a_missing_one_is_said(tmp_path: Path) -> None:
    path = tmp_path / "roster.xlsx"
    cells = [("Name", "Instrument"), ("Ada", "flute"), ("Bo", "tuba")]
    rows = "".join(
        f'<row r="{n}"><c r="A{n}" t="str"><f>A1</f><v>{a}</v></c><c r="B{n}" t="str"><v>{b}</v></c></row>'
        for n, (a, b) in enumerate(cells, 1)
    )
    path.write_bytes(_with(SHEET, f"<worksheet {MAIN}><sheetData>{rows}</sheetData></worksheet>".encode()))
    section = read_roster(path)
    assert [(c.person, c.name) for c in section.chairs] == [("Ada", "Flute"), ("Bo", "Tuba")]
    assert section.remarks == ()
    path.write_bytes(_sound([["Name", "Instrument"], ["Ada", "flute"], ["=A2", "tuba"]]))
    assert "a formula without its result" in read_roster(path).remarks[0]


def test_a_wide_and_long_but_honest_sheet_is_read(tmp_path: Path) -> None:
    path = tmp_path / "roster.xlsx"
    rows = [["Name", "Instrument", *(f"Week {n}" for n in range(36))]]
    rows += [[f"Player {n}", "2nd Clarinet", *["x"] * 36] for n in range(200)]
    path.write_bytes(_sound([*rows, *[[]] * 700]))
    began = time.process_time()
    assert len(read_roster(path).chairs) == 200
    assert time.process_time() - began < 2


def test_an_honest_workbook_of_a_great_many_styles_is_read_in_time(tmp_path: Path) -> None:
    path = tmp_path / "roster.xlsx"
    path.write_bytes(
        _with(
            "xl/styles.xml", f"<styleSheet {MAIN}><cellXfs>{'<xf/>' * 15_000}</cellXfs></styleSheet>".encode()
        )
    )
    began = time.process_time()
    assert len(read_roster(path).chairs) == 2
    assert time.process_time() - began < 2
