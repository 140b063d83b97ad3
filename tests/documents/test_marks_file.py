"""Filled mark books of different makes, read and added up."""

import csv
import io
from collections.abc import Callable, Sequence
from fractions import Fraction
from pathlib import Path
from statistics import mean

import openpyxl
import pytest

from generator.documents.marks_file import read_marks, read_names
from generator.errors import BadFileError
from generator.section.marks import MarksAdded, added_up
from tests.fixtures.command import run_here

Table = Sequence[Sequence[object]]
HEAD = ("Name", "Chair", "Instrument", "1. Concert F major (4)", "2. Concert F major arpeggio (1)", "Tone (4)",
        "Own points", "Comment")  # fmt: skip
BAND: Table = (
    HEAD,
    ("Ada Quill", "1st Flute", "Flute", 4, 1, 4, "", ""),
    ("Ben Marsh", "2nd Flute", "Flute", 3, 1, 4, "", "late"),
    ("Cleo Pond", "1st Clarinet", "Clarinet", 2, 1, 3, "1 gives 2", ""),
    ("Dov Reed", "2nd Clarinet", "Clarinet", "", "", "", "", ""),
    ("Esme Vale", "Snare Drum", "Snare Drum", "-", "-", 3, "", ""),
    ("Finn Wick", "Tuba", "Tuba", 3, 1, 4, "", ""),
)


def as_csv(rows: Table, encoding: str, separator: str) -> bytes:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator).writerows(rows)
    return text.getvalue().encode(encoding)


def as_xlsx(rows: Table) -> bytes:
    book = openpyxl.Workbook()
    for row in rows:
        book.active.append(list(row))
    found = io.BytesIO()
    book.save(found)
    return found.getvalue()


def standing(tmp_path: Path, data: bytes, name: str = "marks.csv") -> MarksAdded:
    path = tmp_path / name
    path.write_bytes(data)
    return added_up(read_marks(path))


MAKES: dict[str, Callable[[Table], bytes]] = {
    "a.csv": lambda rows: as_csv(rows, "utf-8-sig", ","),
    "b.csv": lambda rows: as_csv(rows, "cp1252", ";"),
    "c.csv": lambda rows: as_csv(rows, "utf-16", "\t"),
    "d.csv": lambda rows: as_csv([("Harbour Street, autumn", *[""] * 7), *rows], "utf-8", ","),
    "e.xlsx": as_xlsx,
}


@pytest.mark.parametrize("name", MAKES)
def test_a_book_of_any_make_adds_up(name: str, tmp_path: Path) -> None:
    found = standing(tmp_path, MAKES[name](BAND), name)
    assert not found.faults
    by_name = {one.marked.line.name: one for one in found.placed}
    assert [(one.marked.total, one.marked.out_of) for one in found.placed] == [
        (9, 9), (8, 9), (6, 7), (0, 9), (3, 4), (8, 9),
    ]  # fmt: skip
    # 9/9, then 8/9 twice, 6/7, 3/4: equal shares have equal places, and the next place is skipped.
    assert {name: one.place for name, one in by_name.items()} == {
        "Ada Quill": 1, "Ben Marsh": 2, "Finn Wick": 2, "Cleo Pond": 4, "Esme Vale": 5, "Dov Reed": 0,
    }  # fmt: skip
    assert {name for name, one in by_name.items() if one.tied} == {"Ben Marsh", "Finn Wick"}
    assert [one.marked.line.name for one in found.of("absent")] == ["Dov Reed"]
    assert (by_name["Ben Marsh"].seat, by_name["Cleo Pond"].seat) == (2, 1)
    # Means against the standard library's own, of those who were marked.
    assert [m.mean for m in found.means] == [
        Fraction(mean([4, 3, 2, 3])),
        1,
        Fraction(mean([4, 4, 3, 3, 4])).limit_denominator(10),
    ]
    assert [m.count for m in found.means] == [4, 4, 5]


def test_halves_with_a_point_or_a_comma_count(tmp_path: Path) -> None:
    rows = (HEAD, ("Ada", "", "Flute", "3,5", 1, "2.5", "", ""))
    (one,) = standing(tmp_path, as_csv(rows, "utf-8", ";")).placed
    assert one.marked.total == 7


def test_what_is_wrong_is_told_cell_by_cell_and_the_others_go_on(tmp_path: Path) -> None:
    rows = (
        HEAD,
        ("Ada Quill", "", "Flute", 5, 1, "good", "", ""),
        ("Ben Marsh", "", "Flute", -1, "", 4, "", ""),
        ("Cleo Pond", "", "Clarinet", 3, 1, 4, "1 gives 2", ""),
        ("Dov Reed", "", "Tuba", 4, 1, 4, "", ""),
        ("dov reed", "", "Tuba", 4, 1, 3, "", ""),
    )
    found = standing(tmp_path, as_csv(rows, "utf-8", ","))
    assert [fault.words for fault in found.faults] == [
        "line 2 (Ada Quill), 1. Concert F major: 5 is above the most points, 4",
        "line 2 (Ada Quill), Tone: 'good' is no mark; it can be 0 to 4, - where nothing was asked, or absent",
        "line 3 (Ben Marsh), 1. Concert F major: -1 is below 0",
        "line 4 (Cleo Pond), 1. Concert F major: 3 is above the most points, 2",
        "line 6 (dov reed): stands in line 5 already; both are counted",
    ]
    assert [one.marked.line.name for one in found.of("open")] == ["Ada Quill", "Ben Marsh", "Cleo Pond"]
    assert found.placed[1].marked.missing == ("2. Concert F major arpeggio",)
    assert [one.place for one in found.placed] == [0, 0, 0, 1, 2]


@pytest.mark.parametrize("word", ["absent", "Abs.", "ill"])
def test_who_was_absent_is_no_fault(word: str, tmp_path: Path) -> None:
    found = standing(tmp_path, as_csv((HEAD, ("Ada", "", "Flute", word, "", "", "", "")), "utf-8", ","))
    assert (found.faults, found.placed[0].marked.state) == ((), "absent")


def test_a_table_of_somebody_elses_will_do(tmp_path: Path) -> None:
    rows = (("Student", "House", "Scales (10)", "Reading (5)"), ("Ada", "Red", 8, 5), ("Ben", "Blue", 9, 4))
    path = tmp_path / "m.csv"
    path.write_bytes(as_csv(rows, "utf-8", ","))
    book = read_marks(path)
    assert book.ignored == ("House",)
    assert [(one.place, one.tied) for one in added_up(book).placed] == [(1, True), (1, True)]


def test_what_is_no_mark_book_is_refused_with_its_reason(tmp_path: Path) -> None:
    for rows, words in (((("Name", "Tone"), ("Ada", 3)), "no column of marks"), ((HEAD,), "no line below")):
        path = tmp_path / "m.csv"
        path.write_bytes(as_csv(rows, "utf-8", ","))
        with pytest.raises(BadFileError, match=words):
            read_marks(path)
    with pytest.raises(BadFileError, match=r"no columns No\. and Name"):
        read_names(path)


def test_results_keep_every_cell_and_no_name_is_a_formula(tmp_path: Path) -> None:
    rows = (
        HEAD,
        ('\'=HYPERLINK("x")', "'-2nd", "Flute", 4, 1, "'=1+1", "", "'@home"),
        ("Ben Märsh", "1st", "Flute", 3, 1, 4, "", "+1"),
    )
    path = tmp_path / "marks.csv"
    path.write_bytes(as_csv(rows, "utf-8-sig", ","))
    done = run_here("section", "marks", str(path), "-o", str(tmp_path / "out"), "-f", "csv")
    (result,) = [Path(line) for line in done.succeeds()]
    data = result.read_bytes()
    assert data.startswith(b"\xef\xbb\xbf")
    head, first, second = csv.reader(data.decode("utf-8-sig").splitlines())
    assert first[:8] == ['\'=HYPERLINK("x")', "'-2nd", "Flute", "4", "1", "'=1+1", "", "'@home"]
    assert second[:2] == ["Ben Märsh", "1st"]
    assert second[7] == "'+1"
    assert dict(zip(head, second, strict=True))["Per cent"] == "88.9"
    assert "line 2 (=HYPERLINK" in done.words
    # Adding up what came out again gives the same and adds no second set of columns.
    again = run_here("section", "marks", str(result), "-o", str(tmp_path / "out2"), "-f", "csv")
    (other,) = [Path(line) for line in again.succeeds()]
    assert other.read_bytes() == data


def test_numbers_get_their_names_from_the_list_apart(tmp_path: Path) -> None:
    head = ("No.", "Instrument", "1. Concert F major (4)")
    (tmp_path / "marks.csv").write_bytes(
        as_csv((head, (2, "Flute", 4), (1, "Tuba", 3), (9, "Tuba", 1)), "utf-8", ",")
    )
    secret = (
        ("No.", "Name", "Chair", "Instrument"),
        (1, "'=Ada", "Tuba", "Tuba"),
        (2, "Ben", "1st Flute", "Flute"),
    )
    (tmp_path / "who.csv").write_bytes(as_csv(secret, "utf-8-sig", ","))
    done = run_here(
        "section", "marks", str(tmp_path / "marks.csv"), "--names", str(tmp_path / "who.csv"), "-o",
        str(tmp_path / "out"), "-f", "csv",
    )  # fmt: skip
    rows = list(csv.reader(Path(done.succeeds()[0]).read_text("utf-8-sig").splitlines()))
    assert [row[:3] for row in rows] == [
        ["Name", "Chair", "No."], ["Ben", "1st Flute", "2"], ["'=Ada", "Tuba", "1"], ["", "", "9"],
    ]  # fmt: skip
    assert "number '9' is not in the list of numbers" in done.words


@pytest.mark.lilypond
def test_the_results_are_printed(tmp_path: Path) -> None:
    from pypdf import PdfReader

    path = tmp_path / "marks.csv"
    path.write_bytes(as_csv(BAND, "utf-8", ","))
    done = run_here("section", "marks", str(path), "-o", str(tmp_path), "--paper", "a4")
    names = [Path(line).name for line in done.succeeds()]
    assert names == ["marks-results.csv", "marks-results.pdf"]
    text = " ".join(page.extract_text() for page in PdfReader(tmp_path / names[1]).pages)
    for word in ("Ada Quill", "2=", "88.9", "Dov Reed", "Absent"):
        assert word in text
    assert "place 2= (88.9 %): Ben Marsh, Finn Wick" in done.words


NAMES = "2 flute, oboe, horn, snare drum"


@pytest.mark.lilypond
@pytest.mark.parametrize(
    "phrases", [("concert F major", "concert E-flat major"), ("all keys, major", "all keys, major arpeggio")]
)
def test_a_printed_test_is_filled_in_and_read_back(phrases: Sequence[str], tmp_path: Path) -> None:
    done = run_here("handout", *phrases, "--test", "--instruments", NAMES, "-o", str(tmp_path))
    book = Path(done.out[-1])
    rows = list(csv.reader(book.read_text("utf-8-sig").splitlines()))
    own = rows[0].index("Own points")
    for row in rows[1:]:
        most = dict(part.split(" gives ") for part in row[own].split("; ") if part)
        for n, title in enumerate(rows[0]):
            if title.endswith(")") and row[n] != "-":
                name = title.partition(".")[0] if title[0].isdigit() else title[: title.rindex(" (")]
                row[n] = most.get(name, title[title.rindex("(") + 1 : -1])
    book.write_bytes(as_csv(rows, "utf-8-sig", ","))
    found = added_up(read_marks(book))
    assert not found.faults
    # Whoever has everything has a hundred per cent, however many notes the instrument has.
    assert [one.marked.share for one in found.placed] == [1] * 5
    out_of = [int(row[rows[0].index("Out of")]) for row in rows[1:]]
    assert [one.marked.out_of for one in found.placed] == out_of
    assert len(set(out_of)) > 1
