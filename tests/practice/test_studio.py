"""A studio: everyone's sheets at once, one table back, and a log for each."""

import csv
import datetime as dt
import re
from dataclasses import replace

import openpyxl
import pytest
from pypdf import PdfReader

from generator.documents.played_table import PlayedRow, read_table, table_as_csv, table_as_workbook
from generator.errors import BadFileError, RequestError
from generator.practice.said_cells import day_said, exercises_said, felt_said, number_said, same_code
from generator.practice.studio import log_path, pupil_week
from generator.practice.studio_noting import note_table
from generator.practice.today import DayRequest
from generator.practice_log import Kind, PracticeLog
from generator.publish.studio import first_pages
from tests.fixtures.command import run_here
from tests.fixtures.studio_weeks import StudioWeeks

STUDIO = """\
title = "Harbour Street studio"
minutes = 15
[[pupil]]
name = "Ada Quill"
instrument = "clarinet"
level = "first notes"
[[pupil]]
name = "Bo Fenn"
instrument = "alto saxophone"
keep = ["all keys, major, one octave", "chromatic on G"]
week = ["E-flat major in thirds, one octave"]
[[pupil]]
name = "Zoë Märl"
instrument = "violin"
days = 4
[[pupil]]
name = "Ed Rusk"
instrument = "trombone"
low = "E2"
high = "F4"
minutes = 20
[[pupil]]
name = "Di Marl"
instrument = "flute"
plan = "di.toml"
"""
PLAN = 'player = "Class"\nminutes = 10\nphrases = 2\n[[keep]]\nphrase = "all keys, major, one octave"\n'


@pytest.fixture
def weeks(tmp_path):
    (tmp_path / "studio.toml").write_text(STUDIO, "utf-8")
    (tmp_path / "di.toml").write_text(PLAN, "utf-8")
    return StudioWeeks(tmp_path)


@pytest.fixture
def studio(weeks):
    return weeks.studio


def test_three_weeks_of_five_pupils_keep_every_promise(weeks):
    weeks.live(3)
    assert [said.code for said in weeks.said] == [0] * 6
    assert "not noted" not in "".join(said.words for said in weeks.said)
    assert all("noted," not in said.words for said in weeks.said[1::2])  # the second time nothing is new
    for pupil in weeks.studio.pupils:
        kept = weeks.kept(pupil)
        assert kept.late == ()
        assert kept.days > 5
        assert kept.counted > kept.days / 2
    # The shortest promise was put to the test: more practice days were counted than it has.
    assert any(weeks.kept(one).counted > weeks.kept(one).first for one in weeks.studio.pupils)


def test_each_pupil_has_a_log_that_can_be_handed_over(weeks, tmp_path):
    weeks.live(1)
    told = weeks.type("played", "--studio", "studio.toml", "--pupil", "zoe", "--export", "zoe.jsonl")
    assert told.code == 0
    own = {"SCALEWRIGHT_HOME": tmp_path / "at-home"}
    run_here("played", "--import", "zoe.jsonl", "--mine", folder=tmp_path, setting=own).succeeds()
    with PracticeLog.open(tmp_path / "at-home" / "log.sqlite") as log:
        plays = log.entries(kinds=(Kind.PLAY,))
        codes = {entry.sheet for entry in log.entries(kinds=(Kind.SHEET,))}
    assert plays
    assert len(codes) == 4
    # At home she plays on; the teacher takes her log back, once and again.
    run_here("played", "1", "--sheet", min(codes), folder=tmp_path, setting=own, now=weeks.now).succeeds()
    run_here("played", "--export", "back.jsonl", folder=tmp_path, setting=own).succeeds()
    for _ in range(2):
        weeks.type(
            "played", "--studio", "studio.toml", "--pupil", "Zoë Märl", "--merge", "back.jsonl"
        ).succeeds()
    with PracticeLog.open(log_path(weeks.root, weeks.studio.find("Zoë"))) as log:
        assert len(log.entries(kinds=(Kind.PLAY,))) == len(plays) + 1
    folders = sorted(path.name for path in (tmp_path / "home" / "pupils").iterdir())
    assert folders == sorted(one.folder for one in weeks.studio.pupils)


def test_a_week_phrase_is_on_every_sheet_and_sheets_are_as_many_as_asked(weeks):
    bo, zoe = weeks.studio.find("Bo"), weeks.studio.find("Zoë")
    week = weeks.sheets(bo)
    assert len(week.pages) == 6
    for page in week.pages:
        assert any("E-flat major in thirds" in row.phrase for row in page.sheet.rows)
    assert len(weeks.sheets(zoe).pages) == 4
    assert [page.sheet.code for page in weeks.sheets(bo).pages] == list(week.codes)  # printed again


def test_a_plan_for_a_class_serves_each_pupil_under_their_own_name(weeks):
    week = weeks.sheets(weeks.studio.find("Di"))
    assert (week.session.plan.player, week.session.plan.minutes) == ("Di Marl", 15)
    assert week.session.home.log.parent.name == "di-marl-flute"


def test_codes_differ_between_pupils(weeks, studio):
    taken: tuple[str, ...] = ()
    for pupil in studio.pupils:
        request = DayRequest(weeks.day, weeks.day, weeks.now(), taken=taken)
        taken += pupil_week(weeks.root, pupil, request, 6).codes
    assert len(set(taken)) == len(taken) == 28


def _rows(weeks, *rows):
    made = {one.label: weeks.sheets(one) for one in weeks.studio.pupils}
    weeks.day += dt.timedelta(days=7)
    told = [replace_code(row, made) if isinstance(row, PlayedRow) else row for row in rows]
    return made, note_table(weeks.root, weeks.studio, told, weeks.day, "2027-01-10T19:00:00Z", "back.csv")


def replace_code(row, made):
    week = made.get(row.pupil)
    return replace(row, sheet=week.codes[int(row.sheet)]) if week and row.sheet.isdigit() else row


def test_bad_rows_are_told_with_their_numbers_and_the_others_noted(weeks):
    made, done = _rows(
        weeks,
        PlayedRow(2, "Ada Quill", "0", "all"),
        PlayedRow(3, "Ada Quill", "1", "99"),
        PlayedRow(4, "Ada Quill", "1", "04-Jan"),
        PlayedRow(5, "Nobody", "ABCD", "all"),
        PlayedRow(6, "Bo Fenn", "ZZZZ", "all"),
        PlayedRow(7, "Bo Fenn", "0", "1 2", felt="9"),
        PlayedRow(8, "Bo Fenn", "0", "1 2", tempo="fast"),
        PlayedRow(9, "Bo Fenn", "0", "1 2", day="2027-02-30"),
        PlayedRow(10, "Bo Fenn", "0", "1 2", day="2027-01-20"),
        PlayedRow(11, "Bo Fenn", "0", "", minutes="20"),
        PlayedRow(12, "Bo Fenn", "0", "1 2", day="2026-01-05"),
        PlayedRow(13, "Bo Fenn", "0", "1 2", felt="secure", tempo="72.0"),
        PlayedRow(14, "Zoë Märl", "0", ""),
    )
    assert [bad.line for bad in done.bad] == [3, 4, 5, 6, 7, 8, 9, 10, 11, 12]
    for bad, word in zip(
        done.bad,
        ["99", "date", "Nobody", "ZZZZ", "felt", "tempo", "2027-02-30", "ahead", "which exercises", "year"],
        strict=True,
    ):
        assert word in bad.words
    ada, bo = done.pupils
    assert (ada.new, bo.new, done.blank) == (len(made["Ada Quill"].pages[0].sheet.rows), 2, 1)
    with PracticeLog.open(log_path(weeks.root, weeks.studio.find("Bo"))) as log:
        plays = log.entries(kinds=(Kind.PLAY,))
    assert [(entry.tempo, entry.rating, entry.day) for entry in plays] == [(72, 4, dt.date(2027, 1, 4))] * 2


def test_two_rows_about_one_exercise_are_one_entry_and_noting_twice_changes_nothing(weeks):
    rows = [
        PlayedRow(2, "Bo Fenn", "0", "all"),
        PlayedRow(3, "Bo Fenn", "0", "1", tempo="66"),
        PlayedRow(4, "Bo Fenn", "0", "1", tempo="72", felt="2"),
    ]
    made, first = _rows(weeks, *rows)
    rows = [replace_code(row, made) for row in rows]
    path = log_path(weeks.root, weeks.studio.find("Bo"))
    with PracticeLog.open(path) as log:
        before = log.as_saved()
        (one,) = [entry for entry in log.entries(kinds=(Kind.PLAY,)) if entry.tempo]
    assert (one.tempo, one.rating) == (72, 2)
    again = note_table(weeks.root, weeks.studio, rows, weeks.day, "2027-01-10T20:00:00Z", "back.csv")
    assert (again.pupils[0].new, again.pupils[0].changed, again.pupils[0].same) == (0, 0, first.pupils[0].new)
    with PracticeLog.open(path) as log:
        assert log.as_saved() == before


def test_a_whole_table_is_taken_back_in_one_go(weeks):
    weeks.live(1)
    counts = weeks.said[0].words
    undone = weeks.type("played", "--studio", "studio.toml", "--undo")
    assert undone.code == 0
    for pupil in weeks.studio.pupils:
        if log_path(weeks.root, pupil).exists():
            with PracticeLog.open(log_path(weeks.root, pupil)) as log:
                assert log.entries(kinds=(Kind.PLAY,)) == []
        assert (pupil.label in undone.words) == (pupil.label in counts)
    weeks.type("played", "--studio", "studio.toml", "--undo").fails(2, "no table")


def test_a_row_without_a_pupil_is_known_by_its_code(weeks):
    made = {one.label: weeks.sheets(one) for one in weeks.studio.pupils}
    code = made["Ed Rusk"].codes[1]
    weeks.day += dt.timedelta(days=7)
    rows = [PlayedRow(2, "", code.lower(), "1"), PlayedRow(3, "Ed Rusk", "", "2", day="2027-01-05")]
    done = note_table(weeks.root, weeks.studio, rows, weeks.day, "2027-01-10T19:00:00Z", "t")
    assert [(one.label, one.new, one.days) for one in done.pupils] == [("Ed Rusk", 2, 1)]
    said = weeks.type("played", "3", "--studio", "studio.toml", "--sheet", code, "--date", "2027-01-05")
    assert (said.code, code in said.words) == (0, True)


def test_one_damaged_log_keeps_nobody_else_from_being_noted(weeks):
    made = {one.label: weeks.sheets(one) for one in weeks.studio.pupils}
    weeks.day += dt.timedelta(days=7)
    log_path(weeks.root, weeks.studio.find("Ada")).write_bytes(
        b"no database at all, and long enough to be one" * 99
    )
    rows = [PlayedRow(n, label, week.codes[0], "all") for n, (label, week) in enumerate(made.items(), 2)]
    done = note_table(weeks.root, weeks.studio, rows, weeks.day, "2027-01-10T19:00:00Z", "t")
    assert [bad.line for bad in done.bad] == [2]
    assert len(done.pupils) == 4
    told = weeks.type("progress", "--studio", "studio.toml")
    assert (told.code, "left out: Ada Quill" in told.words) == (0, True)
    assert "Bo Fenn" in "\n".join(told.out)


# Ways in which spreadsheets write a day of March 2027; the sheet is of Monday the 1st. (ISO 8601, and the date formats
# of English, American and German locales in the Unicode CLDR: d/M/y, M/d/yy, dd.MM.yy, d MMM.)
@pytest.mark.parametrize(
    "cell",
    [
        "2027-03-02",
        "2027-03-02 00:00:00",
        "02/03/2027",
        "3/2/2027",
        "3/2/27",
        "02.03.27",
        "2 March 2027",
        "2-Mar-27",
        "2-Mar",
        "2. Mar",
    ],
)
def test_days_as_spreadsheets_write_them(cell):
    assert day_said(cell, dt.date(2027, 3, 1)) == dt.date(2027, 3, 2)


@pytest.mark.parametrize("cell", ["Monday", "2027-13-01", "31/2/2027", "soon", "2027", "99999999999"])
def test_what_is_no_day_is_refused(cell):
    with pytest.raises(RequestError, match="2027-03-01"):
        day_said(cell, dt.date(2027, 3, 1))


def test_exercises_as_people_write_them(weeks):
    sheet = weeks.sheets(weeks.studio.find("Bo")).pages[0].sheet
    last = len(sheet.rows)
    for cell, found in {
        "all": range(1, last + 1),
        "X": range(1, last + 1),
        "✓": range(1, last + 1),
        "1 to 3": (1, 2, 3),
        "1–3": (1, 2, 3),
        "1 - 3": (1, 2, 3),
        "1,3": (1, 3),
        "1; 3": (1, 3),
        "3.0": (3,),
    }.items():
        assert exercises_said(cell, sheet)[0] == tuple(found), cell
    for cell in ("0", "2-1", "99", "scales", "2027-01-04", "4-Jan", "1/4/2027"):
        with pytest.raises(RequestError):
            exercises_said(cell, sheet)


def test_numbers_and_feelings():
    assert [number_said(cell, "tempo", 20, 400) for cell in ("", "84", "84.0", "84 bpm")] == [
        None,
        84,
        84,
        84,
    ]
    assert [felt_said(cell) for cell in ("", "1", "Steady", "4.0")] == [None, 1, 3, 4]
    for cell in ("-5", "19", "401", "1e3", "eighty"):
        with pytest.raises(RequestError):
            number_said(cell, "tempo", 20, 400)


def test_a_code_that_a_spreadsheet_took_for_a_number_is_still_that_code():
    # What is shown in a spreadsheet for the number 2E34, 22E4, 2345: the same value as a double (IEEE 754).
    assert all(
        same_code(cell, code) for cell, code in (("2E+34", "2E34"), ("2.20E+05", "22E4"), ("220000", "22E4"))
    )
    assert not same_code("2E+35", "2E34")
    assert not same_code("inf", "2E34")


@pytest.mark.parametrize("form", ["csv", "xlsx", "cp1252", "tabs"])
def test_the_table_comes_back_as_it_was_written(tmp_path, form):
    rows = [
        ("Zoë Märl", "2E34", "", "2027-01-04", "", "", ""),
        ("=HYPERLINK(1)", "7KQ2", "1-4", "", "84", "3", "20"),
    ]
    path = tmp_path / ("back.xlsx" if form == "xlsx" else "back.csv")
    path.write_bytes(table_as_workbook(rows) if form == "xlsx" else table_as_csv(rows))
    if form in ("cp1252", "tabs"):
        text = table_as_csv(rows).decode("utf-8-sig")
        sign = {"cp1252": ";", "tabs": "\t"}[form]
        lines = [sign.join(row) for row in csv.reader(text.splitlines())]
        path.write_bytes("\r\n".join(lines).encode("cp1252" if form == "cp1252" else "utf-16"))
    first, second = read_table(path)
    assert (first.pupil, first.sheet, first.day, first.blank) == ("Zoë Märl", "2E34", "2027-01-04", True)
    assert (second.pupil, second.exercises, second.tempo) == ("=HYPERLINK(1)", "1-4", "84")


def test_a_workbook_holds_no_formula_and_keeps_its_cells_as_text(tmp_path):
    path = tmp_path / "back.xlsx"
    path.write_bytes(table_as_workbook([("=1+1", "2E34", "", "2027-01-04", "", "", "")]))
    sheet = openpyxl.load_workbook(path).active
    assert {cell.data_type for row in sheet.iter_rows() for cell in row if cell.value} == {"s"}
    assert {cell.number_format for row in sheet.iter_rows() for cell in row} == {"@"}


def test_what_is_no_table_is_refused_and_nothing_noted(weeks):
    weeks.live(1)
    (weeks.folder / "bad.csv").write_text("a,b\n1,2\n", "utf-8")
    weeks.type("played", "--studio", "studio.toml", "bad.csv").fails(2, "bad.csv", "exercises")
    weeks.type("played", "--studio", "studio.toml", "nowhere.csv").fails(3, "nowhere.csv")
    with pytest.raises(BadFileError):
        read_table(weeks.folder / "bad.csv")


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("today", "--pupil", "Ada"), "--studio"),
        (("today", "--two-sided"), "--studio"),
        (("today", "--studio", "studio.toml", "-i", "flute"), "--instrument"),
        (("today", "--studio", "studio.toml", "--silent"), "--silent"),
        (("today", "--studio", "studio.toml", "-f", "json"), "--format"),
        (("today", "--studio", "studio.toml", "--pupil", "Nobody"), "Nobody"),
        (("played", "all", "--studio", "studio.toml"), "--pupil"),
        (("played", "all", "--pupil", "Ada"), "--studio"),
        (("played", "all", "--studio", "studio.toml", "--player", "Ada"), "--pupil"),
        (("played", "all", "--studio", "studio.toml", "--sheet", "ABCD"), "ABCD"),
        (("progress", "--pupil", "Ada"), "--studio"),
        (("progress", "--studio", "studio.toml", "--record"), "--record"),
    ],
)
def test_what_cannot_be_done_is_one_clear_line(weeks, words, told):
    weeks.type(*words).fails(2, told)


def test_how_everyone_stands_is_told_and_one_pupil_as_alone(weeks):
    weeks.live(2)
    said = weeks.type("progress", "--studio", "studio.toml")
    assert said.code == 0
    for pupil in weeks.studio.pupils:
        (line,) = [one for one in said.out if one.startswith(f"{pupil.label}, ")]
        with PracticeLog.open(log_path(weeks.root, pupil)) as log:
            days = {entry.day for entry in log.entries(kinds=(Kind.PLAY,))}
        recent = [day for day in days if 0 <= (weeks.day - day).days < 7]
        assert f"{len(recent)} of 7 days" in line
        assert line.split("   ")[-2].split().count("x") == len(recent) or line.count(" x") == len(recent)
    alone = weeks.type("progress", "--studio", "studio.toml", "--pupil", "Ed")
    assert alone.out[0].startswith("Ed Rusk, trombone")


def test_the_cover_names_pages_as_they_lie(studio):
    assert first_pages([3, 2, 4], 1, two_sided=False) == [2, 5, 7]
    # Two-sided: the cover has a back, and nobody begins on the back of somebody else's page.
    assert first_pages([3, 2, 4], 1, two_sided=True) == [3, 7, 9]


@pytest.mark.lilypond
def test_everyone_is_bound_behind_a_cover_that_names_their_pages(weeks):
    text = STUDIO.replace('"trombone"', '"no such thing"').replace("minutes = 15", "minutes = 5")
    (weeks.folder / "studio.toml").write_text(text, "utf-8")
    words = ("today", "--studio", "studio.toml", "--days", "2", "--date", "2027-01-04", "--two-sided")
    said = weeks.type(*words)
    said.succeeds()
    assert "left out: Ed Rusk" in said.words
    names = [path.rsplit("/", 1)[1] for path in said.out]
    assert names[0] == "everyone.pdf"
    assert names[-2:] == ["back.csv", "back.xlsx"]
    folder = (weeks.folder / said.out[0]).parent
    book = PdfReader(folder / "everyone.pdf")
    pages = [page.extract_text() for page in book.pages]
    marks = {
        item.title: book.get_destination_page_number(item)
        for item in book.outline
        if not isinstance(item, list)
    }
    rows = read_table(folder / "back.csv")
    assert [row.pupil for row in rows] == [
        one for one in ("Ada Quill", "Bo Fenn", "Zoë Märl", "Di Marl") for _ in "12"
    ]
    for title, at in marks.items():
        name = title.split(",")[0]
        assert at % 2 == 0  # on the front of a sheet of paper
        if name == "Who plays what":
            continue
        assert name in pages[at]
        codes = [row.sheet for row in rows if row.pupil == name]
        own = PdfReader(folder / f"{weeks.studio.find(name).folder}.pdf")
        for page in pages[at : at + len(own.pages)]:
            assert any(f"Sheet {code} · {name}" in page for code in codes)
        assert all(code in pages[0] for code in codes)
        assert re.search(rf"(?m)^{at + 1}\s*{codes[1]}", pages[0])  # the text of a row runs backwards
        assert [one.extract_text() for one in own.pages] == pages[at : at + len(own.pages)]
    assert "no such thing" in pages[0]
    # A table that was begun is never written over.
    text = (folder / "back.csv").read_text("utf-8-sig").replace(f"{rows[0].sheet},,", f"{rows[0].sheet},all,")
    (folder / "back.csv").write_text(text, "utf-8")
    again = weeks.type(*words)
    again.succeeds()
    assert "left as it is" in again.words
    assert (folder / "back.csv").read_text("utf-8") == text
    assert not (folder / "back-2.csv").exists()  # it has every row already
    weeks.day += dt.timedelta(days=1)
    noted = weeks.type("played", "--studio", "studio.toml", str(folder / "back.csv"))
    assert (noted.code, "Ada Quill" in noted.words) == (0, True)


def test_twenty_pupils_stand_on_one_page(weeks, tmp_path):
    rows = "".join(
        f'[[pupil]]\nname = "Pupil {n}"\ninstrument = "{("flute", "tuba")[n % 2]}"\n' for n in range(20)
    )
    (tmp_path / "studio.toml").write_text(f'title = "Large"\n{rows}[[pupil]]\nname = "Bad"\n', "utf-8")
    said = weeks.type("progress", "--studio", "studio.toml", "--format", "pdf", "--paper", "a4")
    (path,) = said.succeeds()
    assert "left out: Bad" in said.words
    (page,) = PdfReader(tmp_path / path).pages
    assert float(page.mediabox.width) == pytest.approx(210 / 25.4 * 72, abs=1)
    text = "\n".join(weeks.type("progress", "--studio", "studio.toml").out)
    assert all(f"Pupil {n}, " in text for n in range(20))


def test_a_workbook_comes_back_with_the_kinds_of_cells_a_spreadsheet_makes(weeks):
    made = {one.label: weeks.sheets(one) for one in weeks.studio.pupils}
    weeks.day += dt.timedelta(days=7)
    book = openpyxl.Workbook()
    sheet = book.active
    sheet.append(["Week of 4 January"])
    sheet.append(["Name", "Code", "Exercises (all, or 1 2 5)", "Date", "Tempo", "Felt", "Minutes", "Remark"])
    bo, zoe = made["Bo Fenn"].codes, made["Zoë Märl"].codes
    sheet.append(["Bo Fenn", bo[0], True, dt.datetime(2027, 1, 4), 72, 3, 20.0, "good"])  # noqa: DTZ001
    sheet.append(["Bo Fenn", bo[1], False, dt.date(2027, 1, 5), None, None, None, None])
    sheet.append(["Bo Fenn", bo[2], 2, dt.date(2027, 1, 6), "84", "secure", None, None])
    sheet.append(["Zoë Märl", zoe[0], "no", dt.date(2027, 1, 4), None, 3, None, "ill"])
    sheet.append(["Zoë Märl", zoe[1], dt.datetime(2027, 1, 4), dt.date(2027, 1, 5), None, None, None, None])  # noqa: DTZ001
    book.save(weeks.folder / "lessons.xlsx")
    said = weeks.type("played", "--studio", "studio.toml", "lessons.xlsx")
    assert said.code == 2
    assert "row 7 (Zoë Märl): '2027-01-04 00:00:00' in the column of exercises is a date" in said.words
    assert "lessons.xlsx: 2 rows without anything played" in said.words
    with PracticeLog.open(log_path(weeks.root, weeks.studio.find("Bo"))) as log:
        plays = log.entries(kinds=(Kind.PLAY,))
    first = made["Bo Fenn"].pages[0].sheet
    assert [entry.day.day for entry in plays] == [4] * len(first.rows) + [6]
    assert sum(entry.minutes or 0 for entry in plays) == 20
    assert (plays[-1].tempo, plays[-1].rating) == (84, 4)
