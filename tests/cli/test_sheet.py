"""The commands sheet and list as a person types them."""

import json
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from generator.cli.listing import KINDS
from tests.fixtures.command import run_apart, run_here


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.lilypond
def test_a_sheet_is_printed_and_its_path_is_all_that_is_on_standard_output() -> None:
    said = run_here("sheet", "G major in thirds", "-i", "alto sax", "--format", "pdf,png,svg,ly,json")
    paths = [Path(line) for line in said.succeeds()]
    assert said.err == []
    assert [p.suffix for p in paths] == [".pdf", ".png", ".svg", ".ly", ".json"]
    assert all(p.stat().st_size > 500 for p in paths)
    assert paths[0].read_bytes().startswith(b"%PDF-")


def test_same_request_same_name_and_another_request_another() -> None:
    first = run_here("sheet", "G major", "-i", "oboe", "-f", "json").succeeds()
    assert run_here("sheet", "G major", "-i", "oboe", "-f", "json").succeeds() == first
    assert run_here("sheet", "G major", "-i", "oboe", "-f", "json", "--high", "C6").succeeds() != first


def test_ones_own_syllables_make_another_sheet_and_another_name() -> None:
    words = ["sheet", "C major, double tongue", "-i", "flute", "-f", "json"]
    usual = run_here(*words).succeeds()
    own = run_here(*words, "--syllables", "ta ka").succeeds()
    assert own != usual
    data = json.loads(Path(*own).read_text("utf-8"))
    heard = [n["syllable"] for n in data["exercises"][0]["bars"][0]["notes"]]
    assert heard[:4] == ["ta", "ka", "ta", "ka"]


def test_the_json_contract() -> None:
    words = ("sheet", "G harmonic minor in thirds, quarter = 84", "-i", "alto saxophone", "-f", "json")
    data = json.loads(Path(*run_here(*words).succeeds()).read_text("utf-8"))
    assert set(data) == {"schema", "title", "exercises"}
    assert data["schema"] == 1
    (exercise,) = data["exercises"]
    assert list(exercise) == [
        "number",
        "phrase",
        "instrument",
        "level",
        "key",
        "form",
        "figure",
        "span",
        "asked_span",
        "time",
        "tempo",
        "signature",
        "bars",
    ]
    assert exercise["tempo"] == {"unit": "1/4", "bpm": 84}
    assert (exercise["key"], exercise["form"], exercise["figure"], exercise["signature"]) == (
        "G",
        "harmonic minor",
        "thirds",
        -2,
    )
    note = exercise["bars"][0]["notes"][0]
    assert list(note) == [
        "written",
        "sounding",
        "midi",
        "duration",
        "tuplet",
        "slur",
        "marks",
        "syllable",
        "tie",
    ]
    # Alto saxophone: written G4 sounds B-flat 3, a major sixth lower (Integrated Musicianship: Theory).
    assert (note["written"], note["sounding"], note["midi"], note["duration"]) == ("G4", "Bb3", 58, "1/16")
    for bar in exercise["bars"]:
        upper, lower = bar["time"].split("/")
        assert sum(Fraction(n["duration"]) for n in bar["notes"]) == Fraction(int(upper), int(lower))


@pytest.mark.parametrize(
    ("words", "parts"),
    [
        (["sheet", "G majr"], ["'majr' (character 3", "nearest: major"]),
        (["sheet", "G major hands together"], ["'hands together' (character 9", "try: G major"]),
        (
            ["sheet", "G major", "-i", "alto saxofone"],
            ["unknown instrument 'alto saxofone'", "alto saxophone"],
        ),
        (["sheet", "G major", "--level", "expert"], ["first notes, standard, extended"]),
        (["sheet", "G major", "--low", "H3"], ["'H3' is no pitch"]),
        (["sheet", "G major", "--low", "C9"], ["lies above the highest"]),
        (["sheet", "G major", "--high", "C9"], ["more than an octave beyond"]),
        (["sheet", "G major", "--paper", "a5"], ["letter or a4"]),
        (["sheet", "G major", "--print", "tiny"], ["small, normal, large"]),
        (["sheet", "G major", "--show", "half"], ["notes, outline, both"]),
        (["sheet", "G major", "--format", "doc"], ["unknown format 'doc'"]),
        (["sheet", "G major, three octaves", "--exact", "-i", "tuba"], ["three octaves", "does not fit"]),
        (["sheet", "C major, triple tongue, eighths", "-i", "tuba"], ["divide by 3", "try triplets"]),
        (["sheet", "whole-tone on C in sevenths"], ["need more than 6 notes"]),
        (["sheet", "C major arpeggio, a sixth"], ["has no note a sixth above"]),
        (["sheet"], ["say what to print", "--list"]),
        (["sheet", "G major", "--formt", "pdf"], ["No such option: --formt"]),
        (["list", "figurs"], ["unknown list 'figurs'", "nearest: figures"]),
        (["shet", "G major"], ["No such command 'shet'"]),
    ],
)
def test_wrong_words_get_one_clear_line_and_leave_nothing(
    tmp_path: Path, words: list[str], parts: list[str]
) -> None:
    said = run_here(*words)
    told = [line for line in said.err if not line.startswith("no --instrument")]
    replace(said, err=told).fails(2, *parts)
    assert list(tmp_path.iterdir()) == []


def test_a_narrower_span_is_said() -> None:
    words = ("sheet", "G major, three octaves", "-i", "alto sax", "-f", "json")
    assert "Three octaves will not fit here" in run_here(*words).words
    assert run_here(*words, "-q").err == []


def test_without_an_instrument_it_says_what_it_took() -> None:
    assert "written for flute" in run_here("sheet", "G major", "-f", "json", "--home", "h").words


@pytest.mark.parametrize("kind", [k for k in KINDS if k != "lists"])
def test_every_listed_name_is_understood(kind: str) -> None:
    rows = json.loads("\n".join(run_here("list", kind, "--json").succeeds()))
    assert len(rows) >= 3
    for row in rows:
        words = {
            "instruments": ["sheet", "F major, quarters", "-i", row["name"]],
            "forms": ["sheet", f"all keys, {row['name']}", "-i", "flute"],
            "figures": ["sheet", f"F major in {row['name']}", "-i", "flute"],
            "spans": ["sheet", f"F major, {row['name']}", "-i", "flute"],
            "rhythms": ["sheet", f"F major, {row['name']}", "-i", "flute"],
            "articulations": ["sheet", f"F major, {row['name']}", "-i", "flute"],
            "sets": [
                "sheet",
                f"F {row['name']}" if row.get("kind") == "form" else f"F major, {row['name']}",
                "-i",
                "flute",
            ],
            "routines": [
                "sheet",
                row["name"],
                "-i",
                {
                    "overtones": "alto saxophone",
                    "mouthpiece alone": "alto saxophone",
                    "mouthpiece and barrel": "clarinet",
                }.get(row["name"], "trombone"),
            ],
        }.get(kind)
        if words is None:
            continue
        said = run_here(*words, "-f", "json", "-q")
        # Refused only with a reason: a swell needs long notes, triplet tonguing its triplets, a bowing a bow.
        refused = said.code == 2 and any(word in said.words for word in ("need", "try", "ask for"))
        assert said.code == 0 or refused, (row["name"], said)
        assert (said.out != []) == (said.code == 0)


def test_the_list_for_people_names_every_row() -> None:
    out = "\n".join(run_here("list", "instruments").succeeds())
    assert "alto saxophone" in out
    assert "Bb3 to F6 written, sounds -M6" in out


def test_help_needs_no_data_and_no_lilypond(tmp_path: Path) -> None:
    said = run_apart("--help", setting={"SCALEWRIGHT_LILYPOND": "/nowhere"})
    assert any("sheet" in line for line in said.succeeds())


def test_a_missing_lilypond_is_exit_code_three(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    setting = {"SCALEWRIGHT_LILYPOND": tmp_path / "nowhere"}
    run_here("sheet", "G major", "-i", "oboe", setting=setting).fails(3, "SCALEWRIGHT_LILYPOND")


def test_more_exercises_than_a_sheet_holds_belong_into_a_book() -> None:
    words = ("sheet", "all keys, major, every articulation", "-i", "flute")
    run_here(*words).fails(2, "--book binds them")
    (path,) = run_here(*words, "-f", "json").succeeds()  # data knows no pages
    assert len(json.loads(Path(path).read_text("utf-8"))["exercises"]) > 240


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--book", "-f", "svg"), "a book is one PDF; leave out --format"),
        (("--book", "--crop"), "a book is one PDF; leave out --crop"),
        (("--crop", "-f", "midi"), "--crop makes pictures: pdf, png, svg, not midi"),
    ],
)
def test_books_and_pictures_refuse_what_they_are_not(words: tuple[str, ...], says: str) -> None:
    assert run_here("sheet", "G major", "-i", "flute", *words).fails(2) == f"scalewright: {says}"


@pytest.mark.lilypond
def test_a_list_is_bound_as_a_book() -> None:
    said = run_here("sheet", "--list", "nzmeb-trombone-8", "-i", "trombone", "--book")
    assert len(said.succeeds()) == 1
    assert "exercises on" in said.words
