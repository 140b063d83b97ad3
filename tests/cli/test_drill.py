"""The commands drill, passage and list passages as a person types them."""

import json
from pathlib import Path
from typing import Any

import pytest

from generator.cli.completion import FILES, suggestions
from tests.fixtures.command import run_here

RUN = "[K:F][M:4/4][L:1/16](d'c')ba (ba)g^f (gabag=fed) | (cd)e=f (fg)ag (cba_b) (bagf) | g16"


@pytest.fixture(autouse=True)
def _in_an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("SCALEWRIGHT_HOME", str(tmp_path / "home"))


def keep(*more: str) -> None:
    words = (
        "passage",
        "keep",
        "gigue",
        "--notes",
        RUN,
        "--goal",
        "120",
        "--source",
        "back page, bars 1 and 2",
    )
    run_here(*words, "-i", "clarinet", *more).succeeds()


def data_of(*words: str) -> dict[str, Any]:
    (path,) = run_here(*words, "--format", "json").succeeds()
    found: dict[str, Any] = json.loads(Path(path).read_text("utf-8"))
    return found


def test_a_kept_passage_is_a_small_file_that_can_be_read() -> None:
    keep()
    text = Path("home/passages/gigue.abc").read_text("utf-8")
    assert "T:gigue" in text
    assert "S:back page, bars 1 and 2" in text
    assert "(d'c')ba" in text
    assert any("gigue" in line and "goal 120" in line for line in run_here("list", "passages").succeeds())
    told = json.loads("\n".join(run_here("list", "passages", "--json").succeeds()))
    assert told[0]["name"] == "gigue"
    run_here("passage", "drop", "gigue").succeeds()
    assert run_here("list", "passages").succeeds() == []


def test_the_json_says_recipe_label_and_metre_of_each_cell() -> None:
    found = data_of("drill", "--notes", RUN, "-i", "clarinet", "--only", "chunks")
    (exercise,) = found["exercises"]
    assert exercise["recipe"] == "chunks"
    assert [bar["label"] for bar in exercise["bars"]] == [*map(str, range(1, 9)), "9"][
        : len(exercise["bars"])
    ]
    assert {bar["time"] for bar in exercise["bars"][:8]} == {"2/4"}
    first = [(n["written"], n["duration"]) for n in exercise["bars"][0]["notes"]]
    assert first == [("D6", "1/16"), ("C6", "1/16"), ("Bb5", "1/16"), ("A5", "1/16"), ("Bb5", "1/4")]


def test_every_recipe_comes_in_the_order_of_a_lesson() -> None:
    keep()
    found = data_of("drill", "gigue", "-i", "clarinet")
    assert [one["recipe"] for one in found["exercises"]] == [
        "passage", "chunks", "add a note", "rhythms", "articulations", "skeleton", "all keys",
    ]  # fmt: skip


def test_who_kept_a_passage_plays_it() -> None:
    keep()
    assert {one["instrument"] for one in data_of("drill", "gigue")["exercises"]} == {"clarinet in B-flat"}
    assert {one["instrument"] for one in data_of("drill", "gigue", "-i", "flute")["exercises"]} == {"flute"}


def test_a_drill_stands_on_a_sheet_beside_scales_and_its_numbers_can_be_noted() -> None:
    keep()
    found = data_of("sheet", "drill gigue, chunks, rhythms", "F major", "-i", "clarinet")
    assert [one.get("recipe", "") for one in found["exercises"]] == ["chunks", "rhythms", ""]
    (path,) = run_here("drill", "gigue", "-i", "clarinet", "--format", "json").succeeds()
    code = Path(path).stem.rpartition("-")[2].upper()
    said = run_here("played", "3", "--sheet", code, "--tempo", "96")
    assert said.code == 0, said
    assert "7" in run_here("played", "8", "--sheet", code).fails(2, "numbers 1 to 7")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["drill", "gygue"], "no passage called gygue; nearest: gigue"),
        (["drill", "gigue, chinks"], "nearest: chunks"),
        (["drill", "gigue", "--bars", "1-2"], "belong to a file"),
        (["drill", "part.mxl"], "there is no file part.mxl"),
        (["drill", "part.docx"], "no passage called part.docx"),
        (["drill"], "say which music"),
        (["drill", "--notes", "[K:C] [ce]g"], "bar 1 has a chord"),
        (["drill", "--notes", "[K:C] cd ef", "--hard", "9.1"], "hard spot 9.1 is not in"),
        (["passage", "keep", "a, b", "--notes", "cdef"], "is no name for a passage"),
        (["sheet", "drill nothing"], "no passage called nothing"),
        (["sheet", "drill gigue", "--book"], "a book is made of scales"),
        (["handout", "drill gygue", "--instruments", "flute"], "no passage called gygue; nearest: gigue"),
        (["handout", "drill gigue", "--instruments", "flute, tuba", "--test"], "without --test"),
        (["sheet", "drill"], "drill which passage"),
    ],
)
def test_what_cannot_be_is_told_in_one_line(words: list[str], told: str) -> None:
    keep()
    run_here(*words).fails(2, told)
    assert not Path("out").exists()


def test_tab_offers_passages_and_recipes() -> None:
    keep()
    assert suggestions(["scalewright", "drill", "gi"], 2) == ["gigue"]
    assert suggestions(["scalewright", "drill", "gigue, ch"], 2) == ["gigue, chunks"]
    assert suggestions(["scalewright", "sheet", '"drill gi'], 2) == ["drill gigue"]
    assert suggestions(["scalewright", "drill", "x"], 2) == [FILES]
    assert suggestions(["scalewright", "handout", '"drill gi'], 2) == ["drill gigue"]


def test_a_passage_is_handed_out_to_a_section_beside_a_scale() -> None:
    keep()
    words = (
        "handout",
        "drill gigue, chunks",
        "concert F major",
        "--instruments",
        "flute, clarinet, snare drum",
    )
    paths = run_here(*words, "--format", "json").succeeds()
    assert [Path(path).stem for path in paths] == ["01-flute", "02-clarinet-in-b-flat", "03-snare-drum"]
    exercises = [json.loads(Path(path).read_text("utf-8"))["exercises"] for path in paths]
    labels = [[bar["label"] for bar in found[0]["bars"]] for found in exercises]
    assert labels[0] == labels[1] == labels[2] == [str(number) for number in range(1, 9)]
    assert [found[1]["key"] for found in exercises[:2]] == ["F", "G"]


def test_the_other_formats_hold_the_same_notes() -> None:
    from music21 import converter

    keep()
    paths = run_here("drill", "gigue, chunks", "-i", "clarinet", "--format", "musicxml,midi,json").succeeds()
    by_ending = {Path(path).suffix: Path(path) for path in paths}
    data = json.loads(by_ending[".json"].read_text("utf-8"))
    written = [n["written"] for bar in data["exercises"][0]["bars"] for n in bar["notes"]]
    score: Any = converter.parse(by_ending[".musicxml"], forceSource=True)
    read = [n.pitch.nameWithOctave.replace("-", "b") for n in score.recurse().notes]
    assert read == written
    assert by_ending[".mid"].stat().st_size > 100


@pytest.mark.lilypond
@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_sheet_of_a_hard_place_takes_two_pages(paper: str) -> None:
    from pypdf import PdfReader

    (path,) = run_here(
        "drill", "--notes", RUN, "-i", "clarinet", "--goal", "120", "--paper", paper
    ).succeeds()
    pages = PdfReader(path).pages
    assert len(pages) == 2
    text = pages[0].extract_text()
    assert "Chunks" in text
    assert "Join" in text
    assert "All" not in text.split("Chunks")[0]


@pytest.mark.lilypond
def test_each_way_to_drill_a_passage_is_a_picture_of_its_own() -> None:
    keep()
    paths = run_here(
        "sheet", "drill gigue, chunks, rhythms", "--crop", "-i", "clarinet", "-f", "svg"
    ).succeeds()
    assert [Path(path).name.split("-")[0] for path in paths] == ["chunks", "rhythms"]


def test_an_outline_to_play_from_memory_is_of_scales_alone() -> None:
    from generator.api.drills import recipes_of_phrase
    from generator.catalogue.players import player_named
    from generator.pages.paper import Paper
    from generator.pages.sheet import Words, lay_out
    from generator.passage.store import Passages
    from generator.phrase.expand import exercises

    keep()
    clarinet = player_named("clarinet")
    scales = exercises(["F major", "G major"], clarinet).exercises
    drill = recipes_of_phrase("drill gigue, chunks", clarinet, Passages(Path("home/passages")))
    paper = Paper.of("letter", "normal")
    sheet = lay_out((*drill, *scales), Words("", ""), paper, "outline")
    assert [(item.number, item.outline) for item in sheet.items] == [("2", True), ("3", True), ("1", False)]
    alone = lay_out(drill, Words("", ""), paper, "both")
    assert [item.outline for item in alone.items] == [False]


def test_a_passage_brings_its_scales_into_a_new_plan_and_nothing_twice() -> None:
    words = ("passage", "keep", "gigue", "--notes", RUN, "-i", "clarinet", "--with-scales")
    said = run_here(*words)
    assert said.code == 0
    assert [Path(one).name for one in said.out] == ["gigue.abc", "plan.toml"]
    assert any("there was no plan" in line for line in said.err)
    plan = Path("home/plan.toml")
    text = plan.read_text("utf-8")
    assert 'instrument = "clarinet in B-flat"' in text
    added = next(line for line in said.err if line.startswith("put into plan.toml: drill gigue; "))
    scales = added.removeprefix("put into plan.toml: drill gigue; ").split("; ")
    assert all(f'phrase = "{one}"' in text for one in scales)
    run_here("plan", "check").succeeds()
    again = run_here(*words)
    assert [Path(one).name for one in again.out] == ["gigue.abc"]
    assert any(line.startswith("in plan.toml already: drill gigue") for line in again.err)
    assert plan.read_text("utf-8") == text


def test_what_a_plan_keeps_in_other_words_is_not_added_and_its_comments_stay() -> None:
    mine = (
        '# my own plan\nminutes = 15  # no more\nphrases = 2\n\n[[keep]]\nphrase = "all keys, major"  # all\n'
    )
    Path("mine.toml").write_text(mine, "utf-8")
    line = "[K:E][M:4/4][L:1/16] efga bc'd'e' d'c'ba gfed | e16"
    words = ("passage", "keep", "run", "--notes", line, "-i", "flute", "--with-scales", "--plan", "mine.toml")
    said = run_here(*words)
    assert said.code == 0
    assert "in mine.toml already: E major" in said.err
    text = Path("mine.toml").read_text("utf-8")
    assert text.startswith(mine)
    assert text[len(mine) :] == '\n[[keep]]\nphrase = "drill run"\n'


def test_a_plan_with_mistakes_takes_nothing_and_no_passage_is_kept() -> None:
    Path("bad.toml").write_text('[[keep]]\nphrase = "all keys, mayor"\n', "utf-8")
    words = ("passage", "keep", "run", "--notes", RUN, "-i", "flute", "--with-scales", "--plan", "bad.toml")
    run_here(*words).fails(2, "bad.toml")
    assert not Path("home/passages").exists()


def test_a_passage_for_another_instrument_than_the_plans_is_kept_for_it_alone() -> None:
    Path("alto.toml").write_text('instrument = "alto saxophone"\n[[keep]]\nphrase = "C major"\n', "utf-8")
    words = ("passage", "keep", "run", "--notes", RUN, "-i", "flute", "--with-scales", "--plan", "alto.toml")
    run_here(*words).succeeds()
    assert 'phrase = "drill run"\nonly = ["flute"]' in Path("alto.toml").read_text("utf-8")
