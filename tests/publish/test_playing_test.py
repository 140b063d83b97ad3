"""A playing test on paper and as a mark book."""

import csv
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.fixtures.command import Said, run_here

ROSTER = """Name,Instrument,Level
Ada Quill,Flute,standard
=Ben Marsh,Trumpet,beginner
Cleo Pond,Snare Drum,
Dov Reed,Cello,standard
"""


def text_of(path: Path) -> str:
    return " ".join(page.extract_text() for page in PdfReader(path).pages)


def rows_of(path: Path) -> list[dict[str, str]]:
    data = path.read_bytes()
    # The byte order mark by which spreadsheets know UTF-8 (Unicode Standard, 23.8).
    assert data.startswith(b"\xef\xbb\xbf")
    return list(csv.DictReader(data.decode("utf-8-sig").splitlines()))


def printed(tmp_path: Path, *words: str) -> tuple[Path, Said]:
    roster = tmp_path / "roster.csv"
    roster.write_text(ROSTER, "utf-8")
    done = run_here(
        "handout", "concert B-flat major", "concert F major, quarter = 60 to 84", "--test", "--roster",
        str(roster), "-o", str(tmp_path / "out"), *words,
    )  # fmt: skip
    assert done.code == 0, done
    return Path(done.out[0]).parent, done


@pytest.mark.lilypond
def test_a_test_has_a_sheet_for_each_candidate_and_a_line_in_the_mark_book(tmp_path: Path) -> None:
    folder, done = printed(tmp_path)
    assert [Path(line).name for line in done.out] == [
        "everything.pdf", "rubric.pdf", "score-sheet.pdf", "01-ada-quill-flute.pdf", "02-ben-marsh-trumpet.pdf",
        "03-cleo-pond-snare-drum.pdf", "04-dov-reed-cello.pdf", "marks.csv",
    ]  # fmt: skip
    part = text_of(folder / "01-ada-quill-flute.pdf")
    assert "Ada Quill" in part
    # Neither boxes to tick nor a row of tempi, nor a code to note practice by: the last tempo alone.
    assert "84" in part
    assert "60" not in part
    assert "Handout" not in part
    assert "tick" not in part
    sheet = text_of(folder / "score-sheet.pdf")
    for name in ("Ada Quill", "Ben Marsh", "Cleo Pond", "Dov Reed", "Paradiddles"):
        assert name in sheet
    rows = rows_of(folder / "marks.csv")
    # In the order of the score sheets, where drums have a table of their own.
    assert [row["Chair"] for row in rows] == ["Flute", "Trumpet", "Cello", "Snare Drum"]
    # A name that a spreadsheet would take for a formula begins with an apostrophe.
    assert rows[1]["Name"] == "'=Ben Marsh"
    assert rows[0]["1. Concert B-flat major (4)"] == ""
    assert rows[3]["1. Concert B-flat major (4)"] == "-"
    marks = text_of(folder / "rubric.pdf")
    assert "Georgia Music Educators Association" in marks


@pytest.mark.lilypond
def test_with_numbers_nothing_but_the_list_apart_tells_who_it_is(tmp_path: Path) -> None:
    folder, done = printed(tmp_path, "--numbers", "--seed", "5")
    assert "drawn with --seed 5" in done.words
    names = ("Ada", "Quill", "Ben", "Marsh", "Cleo", "Pond", "Dov", "Reed")
    for path in folder.iterdir():
        text = path.read_text("utf-8-sig") if path.suffix == ".csv" else text_of(path)
        found = [name for name in names if name.casefold() in (text + path.name).casefold()]
        assert bool(found) == path.name.startswith("who-is-who"), (path.name, found)
    secret = {row["No."]: row["Name"] for row in rows_of(folder / "who-is-who.csv")}
    assert sorted(secret) == ["1", "2", "3", "4"]
    lines = {row["No."]: row["Instrument"] for row in rows_of(folder / "marks.csv")}
    number = next(n for n, name in secret.items() if name == "Ada Quill")
    assert lines[number] == "Flute"
    sheet = text_of(folder / f"candidate-{int(number):03d}.pdf")
    assert f"Candidate no. {number}" in sheet
    assert "Flute" in sheet


@pytest.mark.lilypond
def test_a_filled_mark_book_is_never_written_over(tmp_path: Path) -> None:
    folder, _ = printed(tmp_path)
    book = folder / "marks.csv"
    filled = book.read_bytes() + b"Eve,Flute,Flute,4\r\n"
    book.write_bytes(filled)
    again, done = printed(tmp_path)
    assert again == folder
    assert book.read_bytes() == filled
    assert "was left as it is" in done.words


@pytest.mark.lilypond
def test_candidates_sheets_share_pages_on_half_sheets(tmp_path: Path) -> None:
    folder, done = printed(tmp_path, "--two-up", "--numbers", "--seed", "1")
    pages = PdfReader(folder / "everything.pdf").pages
    # Rubric and score sheet upright, then four candidates two to a page across.
    assert [page.mediabox.width > page.mediabox.height for page in pages] == [False, False, True, True]
    assert "left pile" in done.words
    for number in range(1, 5):
        assert sum(f"Candidate no. {number}" in page.extract_text() for page in pages) == 1


@pytest.mark.lilypond
def test_a_required_list_can_be_tested(tmp_path: Path) -> None:
    done = run_here(
        "handout", "--test", "--list", "illinois-state", "--draw", "3", "--seed", "2", "--instruments",
        "flute, snare drum", "-o", str(tmp_path),
    )  # fmt: skip
    assert done.code == 0, done
    (row, drum) = rows_of(Path(done.out[-1]))
    assert (
        sum(cell == "" for name, cell in row.items() if name[0].isdigit() and "Percussion" not in name) == 3
    )
    assert drum["Sticking (4)"] == ""
    assert row["Sticking (4)"] == "-"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--test", "--instruments", "flute"], "say what is played"),
        (["C major", "--numbers", "--instruments", "flute"], "--numbers goes with --test"),
        (["C major", "--seed", "3", "--instruments", "flute"], "--seed with --draw or --numbers"),
        (["C major", "--test", "--warm-up", "9", "--instruments", "flute"], "each plays a test alone"),
        (["C major", "--test", "-f", "midi", "--instruments", "flute"], "printed as pdf, png or svg"),
        (["C major", "--test", "--instruments", ", ".join(["99 flute"] * 4)], "at most 300"),
    ],
)
def test_what_cannot_be_done_is_said_in_one_line(words: list[str], said: str, tmp_path: Path) -> None:
    run_here("handout", *words, "-o", str(tmp_path / "out")).fails(2, said)
    assert not (tmp_path / "out").exists()
