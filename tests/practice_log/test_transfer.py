"""Export and import."""

import csv
import datetime as dt
import io
import json
import os
import re
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import BadFileError, OutputError
from generator.files.text import guarded_cell, unguarded_cell
from generator.practice_log import Entry, Format, Kind, PracticeLog, Saved, utc_text
from generator.practice_log.transfer import export_log, read_log, take_in
from generator.practice_log.written import End, as_csv, as_json_lines, read_csv, read_json_lines

EXAMPLES = settings(
    max_examples=int(os.environ.get("SCALEWRIGHT_EXAMPLES", "25")),
    deadline=None,
    database=None,
    derandomize="SCALEWRIGHT_EXAMPLES" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
)
STAMP = "2027-03-05T17:04:09.123456+00:00"
DAY = dt.date(2027, 3, 5)


def import_log(log, path, form):
    return take_in(log, read_log(path, form), DAY)


texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), min_size=1, max_size=12)
maybe = st.none() | texts


@st.composite
def entries(draw):
    """A log as it could be: every field with anything in it, some entries taken back."""
    made = []
    for number in range(draw(st.integers(0, 8))):
        plays = [one.uid for one in made if one.kind is not Kind.VOID]
        gone = {one.takes_back for one in made}
        standing = [uid for uid in plays if uid not in gone]
        kind = draw(st.sampled_from(list(Kind)))
        if kind is Kind.VOID and not standing:
            kind = Kind.SHEET
        made.append(
            Entry(
                uid=f"{number} {draw(texts)}",
                kind=kind,
                day=draw(st.dates()),
                recorded_at=utc_text(draw(st.datetimes(timezones=st.just(dt.UTC)))),
                item=draw(texts),
                minutes=draw(st.integers(1, 600)),
                rating=draw(st.integers(1, 4)),
                tempo=draw(st.none() | st.integers(1, 1000)),
                goal=draw(st.none() | st.integers(1, 1000)),
                takes_back=draw(st.sampled_from(standing)) if kind is Kind.VOID else None,
                data=draw(st.none() | st.builds(json.dumps, st.lists(st.integers() | texts, max_size=3))),
                instrument=draw(maybe),
                sheet=draw(maybe),
                phrase=draw(maybe),
            )
        )
    return made


@pytest.mark.parametrize("form", list(Format))
@EXAMPLES
@given(made=entries())
def test_a_log_written_out_and_read_into_an_empty_one_is_the_same_log(tmp_path_factory, form, made):
    folder = tmp_path_factory.mktemp("round")
    with PracticeLog.open(folder / "one.sqlite") as one, PracticeLog.open(folder / "two.sqlite") as two:
        one.append(made)
        export_log(one, folder / "log", form)
        assert import_log(two, folder / "log", form) == Saved(len(made), 0)
        assert two.as_saved() == one.as_saved()
        assert {entry.uid for entry in one.as_saved()} == {entry.uid for entry in made}
        assert two.events() == one.events()
        assert two.facts.get("sum") == one.facts.get("sum")
        assert import_log(one, folder / "log", form) == Saved(0, len(made))


@EXAMPLES
@given(made=entries())
def test_other_programs_read_the_same_rows(made):
    # The csv and json modules of the standard library, used as any other program would.
    rows = list(csv.DictReader(io.StringIO(as_csv(made), newline="")))
    *plain, last = rows
    assert [unguarded_cell(row["uid"]) for row in plain] == [one.uid for one in made]
    assert [unguarded_cell(row["item"]) for row in plain] == [one.item for one in made]
    assert (last["kind"], last["minutes"]) == ("end", str(len(made)))
    *lines, last = [json.loads(line) for line in as_json_lines(made).split("\n") if line]
    assert [line["uid"] for line in lines] == [one.uid for one in made]
    assert [line.get("data") for line in lines] == [one.data for one in made]
    assert (last["kind"], last["entries"]) == ("end", len(made))


def test_two_logs_are_merged_by_uid(tmp_path, play):
    with PracticeLog.open(tmp_path / "one.sqlite") as one, PracticeLog.open(tmp_path / "two.sqlite") as two:
        one.append([play("a"), play("b")])
        one.take_back("b", uid="v", day=DAY, recorded_at=STAMP)
        two.append([play("c"), play("b")])
        export_log(one, tmp_path / "log.csv", Format.CSV)
        assert import_log(two, tmp_path / "log.csv", Format.CSV) == Saved(2, 1)
        assert [entry.uid for entry in two.as_saved()] == ["a", "b", "c", "v"]
        assert [entry.uid for entry in two.entries()] == ["a", "c"]


HEAD = "uid,kind,day,recorded_at,item,rating,takes_back\n"


def row(uid="u1", kind="play", day="2027-03-05", stamp=STAMP, item="G", rating="3", back=""):
    return f"{uid},{kind},{day},{stamp},{item},{rating},{back}\n"


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("", 1, "the file is empty"),
        ("uid,kind,day\n", 1, "the heading lacks recorded_at"),
        ("uid,kind,day,recorded_at,raiting\n", 1, 'did you mean "rating"?'),
        ("uid,uid,kind,day,recorded_at\n", 1, "has uid twice"),
        (HEAD + row() + "u2,play\n", 3, "2 cells where the heading has 7"),
        (HEAD + row(day="2027-02-29"), 2, 'day is "2027-02-29"'),
        (HEAD + row(day="20270305"), 2, 'day is "20270305"'),
        (HEAD + row(day=""), 2, "day is missing"),
        (HEAD + row(kind="plays"), 2, 'did you mean "play"?'),
        (HEAD + row(rating="good"), 2, 'rating is "good"; a whole number is needed'),
        (HEAD + row(rating="٣"), 2, "a whole number is needed"),
        (HEAD + row(rating="5"), 2, "1 to 4 is allowed"),
        (HEAD + row(rating="99999999999999999999"), 2, "a whole number is needed"),
        (HEAD + row(item=""), 2, "play needs item"),
        (HEAD + row(stamp="noon"), 2, "recorded_at is"),
        (HEAD + row() + row("v", "void", back="u9", item="", rating=""), 3, 'no entry "u9"'),
        (HEAD + row() + '"u2,play', 3, "this is not CSV"),
        (HEAD + '"u\n1",play,2027-03-05,' + STAMP + ",G,3,\n" + row(rating="0"), 4, "rating is 0"),
    ],
)
def test_a_bad_row_is_named_and_nothing_is_imported(log, tmp_path, text, line, reason):
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8", newline="")
    with pytest.raises(BadFileError) as caught:
        import_log(log, path, Format.CSV)
    assert f"{path}, line {line}: " in str(caught.value)
    assert reason in str(caught.value)
    assert log.as_saved() == []


@pytest.mark.parametrize(
    ("text", "line", "reason"),
    [
        ("{", 1, "not a line of JSON"),
        ("[1]", 1, "a JSON object is needed"),
        ('\n\n{"uid": 3}', 3, "uid is 3; a text is needed"),
        ('{"uid": "a", "minutes": true}', 1, "minutes is True; a whole number is needed"),
        ('{"uid": "a", "minutes": 2.0}', 1, "minutes is 2.0; a whole number is needed"),
        ('{"uid": "a", "itme": "G"}', 1, 'did you mean "item"?'),
        ('{"uid": "a"}', 1, "kind, day, recorded_at is missing"),
    ],
)
def test_a_bad_line_of_json_is_named(log, tmp_path, text, line, reason):
    path = tmp_path / "log.jsonl"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(BadFileError) as caught:
        import_log(log, path, Format.JSON_LINES)
    assert f"{path}, line {line}: " in str(caught.value)
    assert reason in str(caught.value)
    assert log.as_saved() == []


def test_every_bad_row_is_named_up_to_twenty(log, tmp_path):
    path = tmp_path / "log.csv"
    path.write_text(HEAD + "".join(row(f"u{one}", rating="9") for one in range(25)), encoding="utf-8")
    with pytest.raises(BadFileError) as caught:
        import_log(log, path, Format.CSV)
    lines = str(caught.value).split("\n")
    assert len(lines) == 21
    assert lines[-1].endswith("5 more mistakes")


def test_a_file_saved_by_a_spreadsheet_is_read(log, tmp_path):
    # Spreadsheet programs put a byte order mark in front and end lines with \r\n (common practice, no source).
    path = tmp_path / "log.csv"
    path.write_bytes(b"\xef\xbb\xbf" + (HEAD + row()).replace("\n", "\r\n").encode())
    assert import_log(log, path, Format.CSV) == Saved(1, 0)
    assert log.as_saved()[0].item == "G"


@pytest.mark.parametrize("separator", [";", "\t"])
def test_a_file_saved_with_another_separator_is_read(log, tmp_path, play, separator):
    # Where a comma is the decimal sign, spreadsheet programs separate with semicolons (common practice, no source).
    made = [play("u1", item="=1+1; -2", phrase='"quoted"; =3'), play("u2")]
    rows = list(csv.reader(io.StringIO(as_csv(made, ["a"]), newline="")))
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=separator).writerows(rows)
    (tmp_path / "log.csv").write_text("\ufeff" + text.getvalue(), "utf-8", newline="")
    assert import_log(log, tmp_path / "log.csv", Format.CSV) == Saved(2, 0)
    assert log.as_saved() == made


def test_a_file_that_is_not_text_or_not_there(log, tmp_path):
    (tmp_path / "log.csv").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(BadFileError, match="not UTF-8"):
        import_log(log, tmp_path / "log.csv", Format.CSV)
    with pytest.raises(OutputError, match="could not be read"):
        import_log(log, tmp_path / "nothing.csv", Format.CSV)


def test_an_export_never_writes_over_a_file(log, tmp_path):
    (tmp_path / "log.csv").write_text("precious")
    with pytest.raises(OutputError, match="is there already"):
        export_log(log, tmp_path / "log.csv", Format.CSV)
    assert (tmp_path / "log.csv").read_text() == "precious"
    (tmp_path / "file").touch()
    with pytest.raises(OutputError, match="cannot be written"):
        export_log(log, tmp_path / "file" / "log.csv", Format.CSV)


@pytest.mark.parametrize("form", list(Format))
def test_an_export_takes_the_place_of_an_earlier_one_of_the_same_log_only(log, tmp_path, play, form):
    path = tmp_path / f"log.{form}"
    log.append([play("u1")])
    export_log(log, path, form)
    log.append([play("u2")])
    assert export_log(log, path, form) == 2
    with PracticeLog.open(tmp_path / "other.sqlite") as other:
        with pytest.raises(OutputError, match="is no earlier export of this log"):
            export_log(other, path, form)
        assert import_log(other, path, form) == Saved(2, 0)


@pytest.mark.parametrize("form", list(Format))
def test_a_file_that_was_cut_off_is_noticed_wherever_it_was(log, tmp_path, play, form):
    log.append([play(f"u{number}", phrase="two\nlines") for number in range(3)])
    write = as_csv if form is Format.CSV else as_json_lines
    whole = write(log.as_saved(), log.facts.ids()).encode()
    ends = whole.rindex(b"end")
    path = tmp_path / f"log.{form}"
    with PracticeLog.open(tmp_path / "other.sqlite") as other:
        for length in range(1, ends):
            path.write_bytes(whole[:length])
            with pytest.raises(BadFileError):
                import_log(other, path, form)
        assert other.as_saved() == []
        path.write_bytes(whole)
        assert import_log(other, path, form) == Saved(3, 0)


@pytest.mark.parametrize("form", list(Format))
def test_a_file_with_a_line_less_or_a_line_changed_is_noticed(log, tmp_path, play, form):
    made = [play(f"u{number}") for number in range(4)]
    write = as_csv if form is Format.CSV else as_json_lines
    lines = write(made, ["a"]).splitlines(keepends=True)
    path = tmp_path / f"log.{form}"
    for told, changed in (
        ("4 entries were written and 3 are there", [*lines[:2], *lines[3:]]),
        ("this is not what was saved", [line.replace("G major", "D major") for line in lines]),
        ("there is more after the last line", [*lines, lines[1]]),
        ("entries are not those that were written", [*lines[:2], lines[2], lines[2], *lines[4:]]),
    ):
        path.write_text("".join(changed), "utf-8", newline="")
        with pytest.raises(BadFileError, match=told):
            import_log(log, path, form)
    assert log.as_saved() == []


def test_only_a_file_of_a_sensible_size_is_read(log, tmp_path):
    with (tmp_path / "log.csv").open("wb") as file:
        file.truncate((64 << 20) + 1)
    os.mkfifo(tmp_path / "pipe.csv")
    for name, told in (("log.csv", "larger than 64 MB"), ("pipe.csv", "a pipe or device"), (".", "a folder")):
        with pytest.raises(BadFileError, match=told):
            import_log(log, tmp_path / name, Format.CSV)
    with pytest.raises(BadFileError, match="a pipe or device"):
        import_log(log, Path("/dev/zero"), Format.CSV)


def test_a_file_of_an_earlier_program_is_read(log, tmp_path):
    # Without seals, versions and a last line; a void names its target by uid alone.
    path = tmp_path / "log.csv"
    path.write_text(HEAD + row() + row("u2") + row("v", "void", back="u1", item="", rating=""), "utf-8")
    assert import_log(log, path, Format.CSV) == Saved(3, 0)
    assert [entry.uid for entry in log.entries()] == ["u2"]


@pytest.mark.parametrize("text", ["=1", "+1", "-1", "@x", "\uff1d1", " =1", "\t=1", "a;=1", "a\n-1", "'=1"])
def test_what_a_spreadsheet_would_take_for_a_formula_is_guarded(text, play):
    # "CSV Injection", OWASP Foundation, from memory: = + - @ and their full-width forms, also after a separator.
    cell = next(csv.DictReader(io.StringIO(as_csv([play("u", item=text)]), newline="")))["item"]
    assert not re.search("(^|[;\t\r\n])\\s*[=+@\uff1d\uff0b\uff0d\uff20-]", cell)
    assert unguarded_cell(cell) == text


@EXAMPLES
@given(text=st.text(st.sampled_from("';=+-@\r \t\na\uff1d"), max_size=12))
def test_a_guarded_cell_gives_its_text_back(text):
    assert unguarded_cell(guarded_cell(text)) == text


@pytest.mark.parametrize("read", [read_csv, read_json_lines])
@EXAMPLES
@given(text=st.text(max_size=80))
def test_any_text_at_all_is_read_or_refused_and_never_breaks(read, text):
    for _, one in read(text):
        assert isinstance(one, Entry | End | str)
