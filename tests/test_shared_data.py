"""The data files: every row loads, keeps its number, has a source, and mistakes are refused by file, row and reason."""

import shutil
import tomllib
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from generator.catalogue.names import fold
from generator.catalogue.tables import load
from generator.errors import BadFileError, OutputError
from generator.files.resources import data_folder

SHARED = data_folder("shared")
FILES = sorted(path.name for path in SHARED.glob("*.toml"))
TABLES: dict[str, dict[str, Any]] = {
    name: tomllib.loads((SHARED / name).read_text("utf-8")) for name in FILES
}
NUMBERS: dict[str, dict[str, int]] = tomllib.loads(
    (Path(__file__).parent / "data" / "catalogue_numbers.toml").read_text("utf-8")
)
FILE_OF = {
    "form": "forms.toml",
    "figure": "figures.toml",
    "rhythm": "rhythms.toml",
    "articulation": "articulations.toml",
    "routine": "partials.toml",
}


def rows_of(kind: str) -> list[dict[str, Any]]:
    rows: list[dict[str, Any]] = TABLES[FILE_OF[kind]][kind]
    return rows


def test_everything_loads_and_nothing_is_lost() -> None:
    names = load(SHARED)
    assert len(names.pitched) == len(TABLES["instruments.toml"]["instrument"]) >= 80
    for kind, table in (
        ("form", names.forms),
        ("figure", names.figures),
        ("rhythm", names.rhythms),
        ("articulation", names.articulations),
    ):
        assert table.names() == tuple(row["name"] for row in rows_of(kind))
        assert [row.catalogue for row in table.rows] == [row["number"] for row in rows_of(kind)]


@pytest.mark.parametrize("kind", sorted(FILE_OF))
def test_numbers_are_unique_and_never_change(kind: str) -> None:
    ours = {row["name"]: row["number"] for row in rows_of(kind)}
    assert all(count == 1 for count in Counter(ours.values()).values())
    assert all(number > 0 for number in ours.values())
    # A row may go, its number stays taken; a new row is written into tests/data/catalogue_numbers.toml as well.
    kept = NUMBERS[kind]
    assert {name: number for name, number in ours.items() if kept.get(name) != number} == {}
    assert len(set(kept.values())) == len(kept)


@pytest.mark.parametrize("file", FILES)
def test_every_row_has_a_source_where_its_file_gives_sources(file: str) -> None:
    for kind, rows in TABLES[file].items():
        assert isinstance(rows, list)
        if any("source" in row for row in rows):
            assert [row.get("name", kind) for row in rows if not str(row.get("source", "")).strip()] == []


@pytest.mark.parametrize("file", FILES)
def test_the_header_explains_every_field(file: str) -> None:
    text = (SHARED / file).read_text("utf-8")
    header = text[: text.index("\n[[")]
    fields = {field for rows in TABLES[file].values() for row in rows for field in row}
    assert [f for f in sorted(fields - {"name", "aliases"}) if f not in header] == []


def test_no_name_stands_for_two_rows_of_one_kind() -> None:
    for file, tables in TABLES.items():
        for kind, rows in tables.items():
            owners: dict[tuple[str, ...], str] = {}
            for row in rows:
                for name in (row.get("name", ""), *row.get("aliases", ())):
                    if name:
                        assert owners.setdefault(fold(name), row["name"]) == row["name"], (
                            f"{file} {kind}: {name}"
                        )


def test_names_of_a_phrase_do_not_mean_two_things() -> None:
    # A figure, a span, a rhythm and an articulation are told apart by their names alone; forms stand elsewhere.
    owners: dict[tuple[str, ...], str] = {}
    for file in ("figures.toml", "spans.toml", "rhythms.toml", "articulations.toml"):
        for rows in TABLES[file].values():
            for row in rows:
                for name in (row["name"], *row.get("aliases", ())):
                    owner = f"{file} {row['name']}"
                    assert owners.setdefault(fold(name), owner) == owner, name


def test_no_address_of_a_site_stands_in_the_data() -> None:
    for file in FILES:
        assert "://" not in (SHARED / file).read_text("utf-8")


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SHARED, tmp_path / "shared"))


@pytest.mark.parametrize(
    ("file", "old", "new", "reason"),
    [
        (
            "forms.toml",
            'up = "P1 M2 M3 P4 P5 M6 M7"',
            'up = "P1 M2 M3 P4 P5 M6 X7"',
            r"row 1 \(major\): 'X7' is no interval",
        ),
        (
            "forms.toml",
            'up = "P1 M2 M3 P4 P5 M6 M7"',
            'upp = "P1"',
            r"row 1 \(major\): unknown field 'upp'; nearest: up",
        ),
        (
            "forms.toml",
            'down = "P1 M2 m3 P4 P5 m6 m7"',
            'down = "P1 M2"',
            r"row 4 \(melodic minor\): up and down need",
        ),
        ("forms.toml", "number = 1\n", "", r"row 1 \(major\): needs the field 'number'"),
        ("forms.toml", 'name = "major"\n', 'name = ""\n', r"row 1 .*: a row needs a name"),
        (
            "forms.toml",
            'aliases = ["major scale", "majors"]',
            "aliases = [3]",
            r"row 1 \(major\): aliases are a list of words",
        ),
        (
            "forms.toml",
            '"natural minor scale"',
            '"major scale"',
            "'major scale' names both 'major' and 'natural minor'",
        ),
        (
            "forms.toml",
            'spelling = "chromatic"',
            'spelling = "chromatik"',
            r"row 15 \(chromatic\): spelling.*chromatic",
        ),
        (
            "forms.toml",
            "number = 2\n",
            "number = 1\n",
            r"forms.toml: number 1 belongs to both 'major' and 'natural minor'",
        ),
        ("figures.toml", 'cells = ["0 2"]', 'cells = ["0 two"]', r"row 3 \(thirds\): .*two"),
        ("figures.toml", 'kind = "pedal"', 'kind = "peddle"', r"\(leaps from the tonic\): kind.*pedal"),
        (
            "figures.toml",
            'rhythm = "triplets"',
            'rhythm = "triplet"',
            r"\(triads\): unknown rhythm 'triplet'; nearest: .*triplet",
        ),
        ("rhythms.toml", 'cell = "8. 16"', 'cell = "8. 15"', r"\(dotted eighth and sixteenth\): '15'"),
        (
            "rhythms.toml",
            'cell = "8. 16"',
            'cell = "8."',
            r"\(dotted eighth and sixteenth\): .*neither divides nor fills",
        ),
        ("rhythms.toml", 'metre = "6/8"', 'metre = "6/7"', r"\(siciliano\): '6/7' is no metre"),
        (
            "articulations.toml",
            '''cell = "( ) .' .'"''',
            '''cell = "( ) .' ?"''',
            r"\(slur two tongue two\): '\?'",
        ),
        (
            "articulations.toml",
            'winds = ["flute", ',
            'winds = ["flutes", ',
            r"articulations.toml, row .*: winds is flute, reed.* not 'flutes'",
        ),
        (
            "articulations.toml",
            'rhythm = "triplets"',
            'rhythm = "tripletts"',
            r"row 18 \(slur two tongue one\): unknown rhythm 'tripletts'; nearest: triplets",
        ),
        (
            "spans.toml",
            'interval = "P22"',
            'interval = "M22"',
            r"row 2 \(three octaves\): 'M22' is no interval",
        ),
        ("instruments.toml", 'sounds = "+P8"', 'sounds = "+P9"', r"row 1 \(piccolo\): '\+P9' is no interval"),
        ("instruments.toml", 'low = "F4"', 'low = "H4"', r"row 1 \(piccolo\): 'H4' is no pitch"),
        (
            "instruments.toml",
            'low = "F4", high = "D6"',
            'low = "F4", high = "D4"',
            r"row 1 \(piccolo\): .*lies above",
        ),
        ("instruments.toml", 'wind = "flute"', 'wind = "wind"', r"row 1 \(piccolo\): wind.*flute"),
        ("instruments.toml", 'clefs = ["treble"]', 'clefs = ["trebel"]', r"row 1 \(piccolo\): clefs.*treble"),
        (
            "instruments.toml",
            'aliases = ["picc"',
            'aliases = ["flute"',
            "'flute' names both 'piccolo' and 'flute'",
        ),
    ],
)
def test_a_malformed_row_is_refused_with_file_row_and_reason(
    file: str, old: str, new: str, reason: str, copy: Path
) -> None:
    path = copy / file
    text = path.read_text("utf-8")
    assert old in text
    path.write_text(text.replace(old, new, 1), "utf-8")
    with pytest.raises(BadFileError, match=reason) as caught:
        load(copy)
    assert file.removesuffix(".toml") in str(caught.value)


def test_all_mistakes_of_a_file_are_named_at_once(copy: Path) -> None:
    path = copy / "forms.toml"
    text = path.read_text("utf-8").replace('"P1 M2 m3 P4 P5 m6 m7"', '"P1 M2 m3 P4 P5 m6 n7"')
    path.write_text(text, "utf-8")
    with pytest.raises(BadFileError) as caught:
        load(copy)
    assert len(str(caught.value).splitlines()) == text.count("n7")


def test_a_file_that_is_no_toml_or_missing(copy: Path) -> None:
    (copy / "forms.toml").write_text("[[form]\n", "utf-8")
    with pytest.raises(BadFileError, match=r"forms\.toml: .*line 1"):
        load(copy)
    (copy / "forms.toml").unlink()
    with pytest.raises(OutputError, match=r"cannot read .*forms\.toml"):
        load(copy)
