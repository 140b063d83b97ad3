"""Export and import."""

import csv
import datetime as dt
import io
import json
import os

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from generator.errors import BadFileError, OutputError
from generator.practice_log import Entry, Format, Kind, PracticeLog, Saved, export_log, import_log, utc_text
from generator.practice_log.transfer import as_csv, as_json_lines, read_csv, read_json_lines

EXAMPLES = settings(
    max_examples=int(os.environ.get("SCALEWRIGHT_EXAMPLES", "25")),
    deadline=None,
    database=None,
    derandomize="SCALEWRIGHT_EXAMPLES" not in os.environ,
    suppress_health_check=[HealthCheck.too_slow],
)
STAMP = "2027-03-05T17:04:09.123456+00:00"
DAY = dt.date(2027, 3, 5)

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
        assert two.as_saved() == one.as_saved() == made
        assert two.events() == one.events()
        assert import_log(one, folder / "log", form) == Saved(0, len(made))


@EXAMPLES
@given(made=entries())
def test_other_programs_read_the_same_rows(made):
    # The csv and json modules of the standard library, used as any other program would.
    rows = list(csv.DictReader(io.StringIO(as_csv(made), newline="")))
    assert [(row["uid"], row["item"]) for row in rows] == [(one.uid, one.item) for one in made]
    lines = [json.loads(line) for line in as_json_lines(made).split("\n") if line]
    assert [line["uid"] for line in lines] == [one.uid for one in made]
    assert [line.get("data") for line in lines] == [one.data for one in made]


def test_two_logs_are_merged_by_uid(tmp_path, play):
    with PracticeLog.open(tmp_path / "one.sqlite") as one, PracticeLog.open(tmp_path / "two.sqlite") as two:
        one.append([play("a"), play("b")])
        one.take_back("b", uid="v", day=DAY, recorded_at=STAMP)
        two.append([play("c"), play("b")])
        export_log(one, tmp_path / "log.csv", Format.CSV)
        assert import_log(two, tmp_path / "log.csv", Format.CSV) == Saved(2, 1)
        assert [entry.uid for entry in two.as_saved()] == ["c", "b", "a", "v"]
        assert [entry.uid for entry in two.entries()] == ["c", "a"]


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
        (HEAD + row() + row(rating="2"), 3, "in the log with another rating"),
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
    with pytest.raises(OutputError, match="could not be written"):
        export_log(log, tmp_path / "no" / "log.csv", Format.CSV)


@pytest.mark.parametrize("read", [read_csv, read_json_lines])
@EXAMPLES
@given(text=st.text(max_size=80))
def test_any_text_at_all_is_read_or_refused_and_never_breaks(read, text):
    for _, one in read(text):
        assert isinstance(one, Entry | str)
