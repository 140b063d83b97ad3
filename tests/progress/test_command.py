"""``scalewright progress`` as a person types it."""

import datetime as dt
from io import BytesIO, TextIOWrapper
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.fixtures.command import loaded_by

DAY = ["--date", "2027-03-05"]


def noted(player) -> None:
    player.note("2027-03-01", "C major", tempo=86, goal=100, minutes=12)
    player.note("2027-03-01", "A harmonic minor in thirds", rating=1)
    player.note("2027-03-04", "C major", tempo=92, goal=100)


def test_the_report_is_on_standard_output_and_nothing_is_written(player, tmp_path: Path) -> None:
    noted(player)
    said = player.type(*DAY)
    assert (said.code, said.err) == (0, [])
    assert said.out[:3] == [
        "Odile Marsh, alto saxophone, 5 March 2027",
        "5 exercises on the list: 2 played, 3 never; 1 due",
        "since 1 March 2027: practised on 2 of 5 days; 12 minutes noted, on 1 day",
    ]
    assert not (tmp_path / "out").exists()


def test_the_table_has_days_and_marks_under_the_written_keys(player) -> None:
    noted(player)
    lines = player.type(*DAY).out
    head = next(place for place, line in enumerate(lines) if line.startswith("Days since")) + 1
    table = {line[:24].rstrip(): line[24:] for line in lines[head : head + 3]}
    keys = table[""] + " "
    place = {key: keys.index(f" {key} ") + 1 for key in ("C", "F", "E", "A", "G")}
    major, minor = table["major"], table["harmonic minor in thirds"]
    assert major[place["C"]] == "1"
    assert (major[place["F"]], major[place["G"]]) == ("-", "-")
    assert minor[place["A"] : place["A"] + 2] == "4*"  # lost after a wait of one: wanted every day
    assert minor[place["E"]] == "-"
    assert set(major) <= set(" 1-")


def test_what_is_due_what_got_faster_and_the_weeks_are_told(player) -> None:
    noted(player)
    lines = player.type(*DAY).out
    assert "  A harmonic minor in thirds  4 days ago, 2 practice days; wanted every day" in lines
    assert "  C major  86 to 92, goal 100; 2 plays" in lines
    assert lines[-1].split() == ["1", "March", "2027", "12", ".", ".", "x", ".", "2/5", "12"]


def test_no_word_of_praise_or_blame(ninety) -> None:
    words = " ".join(ninety.type("--date", "2027-03-06").out).casefold()
    for word in (
        "great",
        "well done",
        "keep it up",
        "streak",
        "missed",
        "failed",
        "should",
        "must",
        "lazy",
        "!",
    ):
        assert word not in words


@pytest.mark.parametrize("more", [[], ["--format", "pdf"]])
def test_an_empty_log_gives_one_friendly_line_and_no_file(player, more: list[str], tmp_path: Path) -> None:
    said = player.type(*DAY, *more)
    assert (said.code, said.out) == (0, [])
    told = (
        "Nothing is noted for alto saxophone up to 5 March 2027. Print a sheet with: scalewright today; "
        "note it with: scalewright played all"
    )
    assert said.err == [told]
    assert not (player.home / "log.sqlite").exists()
    assert not (tmp_path / "out").exists()


def test_an_empty_log_names_the_instruments_that_have_plays(player) -> None:
    player.note("2027-03-01", "C major", instrument="clarinet in B-flat")
    assert "it has some for clarinet in B-flat: see --instrument" in player.type(*DAY).err[0]
    assert player.type(*DAY, "--quiet").err == []


def test_a_picture_puts_its_paths_alone_on_standard_output(player, tmp_path: Path) -> None:
    noted(player)
    said = player.type(*DAY, "--format", "pdf,svg", "--out", "drawn")
    assert (said.code, said.err) == (0, [])
    paths = [Path(line) for line in said.out]
    assert [path.suffix for path in paths] == [".pdf", ".svg", ".svg"]
    assert all(path.stat().st_size > 500 for path in paths)
    assert {path.parent for path in paths} == {Path("drawn")}
    assert sorted(p.name for p in Path("drawn").iterdir()) == sorted(path.name for path in paths)
    again = player.type(*DAY, "--format", "pdf,svg", "--out", "drawn")
    assert again.out == said.out
    player.note("2027-03-05", "G major")
    assert set(player.type(*DAY, "--format", "pdf", "--out", "drawn").out).isdisjoint(said.out)


def test_the_record_of_the_last_seven_days(player) -> None:
    noted(player)
    said = player.type(*DAY, "--record")
    assert (said.code, said.err) == (0, [])
    (path,) = said.out
    (page,) = PdfReader(path).pages
    text = page.extract_text()
    for words in (
        "Odile Marsh", "Alto Saxophone", "Saturday 27 February 2027 to Friday 5 March 2027", "Signature",
        "Major: C\xa086", "Harmonic minor in thirds: A", "Major: C\xa092", "Practised on 2 of 7 days.", "12",
    ):  # fmt: skip
        assert words in text, words


def test_a_record_of_an_empty_log_is_a_page_to_write_on(player) -> None:
    said = player.type(*DAY, "--record", "--since", "2027-03-01")
    assert said.code == 0
    assert len(said.err) == 1
    assert "Monday 1 March 2027 to Sunday 7 March 2027" in PdfReader(said.out[0]).pages[0].extract_text()


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--format", "jpg"], "unknown format 'jpg'; progress is drawn as pdf, png, svg"),
        (["--format", ","], "unknown format ','"),
        (["--since", "2027-02-29"], "'2027-02-29' is no day of the calendar"),
        (["--since", "2027-03-06"], "later than the day of the report"),
        (["--record", "--weeks", "2"], "a record has seven days"),
        (["--weeks", "0"], "0"),
        (["--paper", "a5"], "unknown paper 'a5'"),
        (["--instrument", "kazoo"], "kazoo"),
    ],
)
def test_what_cannot_be_is_refused_in_one_line(player, words: list[str], told: str) -> None:
    noted(player)
    said = player.type(*DAY, *words)
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert told in said.err[0]


def test_the_names_of_a_player_do_no_harm(player) -> None:
    plan = (player.home / "plan.toml").read_text("utf-8")
    (player.home / "plan.toml").write_text(
        plan.replace("Odile Marsh", r"$x^2_{\\frac$ 山田 \u202e../../😀 #{`"), "utf-8"
    )
    noted(player)
    said = player.type(*DAY, "--format", "png", "--record")
    assert said.code == 0
    assert [line for line in said.err if "some letters of the name" in line]
    (path,) = map(Path, said.out)
    assert path.parent == Path("out")
    assert path.name.isascii()


def test_a_terminal_that_knows_few_letters(player) -> None:
    plan = (player.home / "plan.toml").read_text("utf-8")
    (player.home / "plan.toml").write_text(plan.replace("Odile", "Zoë"), "utf-8")
    noted(player)
    narrow = TextIOWrapper(BytesIO(), encoding="ascii", write_through=True)
    player.type(*DAY, stdout=narrow).succeeds()
    narrow.seek(0)
    assert narrow.readline().startswith("Zo\\xeb Marsh, alto")


@pytest.mark.parametrize(
    "words",
    [
        ("sheet", "G major", "-i", "oboe", "-f", "json,midi"),
        ("today", "-i", "oboe", "-f", "json", "--quiet", "--home", "home"),
        ("progress", "--help"),
    ],
    ids=lambda words: words[0],
)
def test_no_other_command_loads_the_drawing_library(tmp_path: Path, words: tuple[str, ...]) -> None:
    watched = {"matplotlib", "numpy", "PIL", "generator.progress.overview"}
    assert loaded_by(*words, folder=tmp_path).isdisjoint(watched)


def test_a_report_in_words_loads_no_drawing_library(player, tmp_path: Path) -> None:
    noted(player)
    loaded = loaded_by("progress", *DAY, "--home", str(player.home), folder=tmp_path)
    assert "generator.progress.overview" in loaded
    assert "matplotlib" not in loaded


def test_a_day_is_told_as_the_player_s_own(player) -> None:
    noted(player)
    assert player.type("--date", "2027-03-04").out[0].endswith(", 4 March 2027")
    assert dt.date.fromisoformat("2027-03-04").strftime("%-d %B %Y") == "4 March 2027"
