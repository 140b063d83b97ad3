"""The log as files, as a player types it: laptop and tablet, a damaged log, somebody else's."""

import datetime as dt
import json

import pytest

from generator.files.shared_place import kept_in_step, on_a_server
from generator.practice_log import Kind, PracticeLog


@pytest.fixture
def laptop(desk):
    desk.today()
    return desk


@pytest.fixture
def tablet(laptop, tmp_path_factory):
    """The same player's other computer, where the same sheet was printed."""
    other = type(laptop)(tmp_path_factory.mktemp("tablet"))
    other.hour = 20
    other.today()
    return other


def export(desk, name="log.jsonl"):
    assert desk.type("played", "--export", name).code == 0
    return str(desk.folder / name)


def ratings(desk):
    return {entry.uid.split()[2]: entry.rating for entry in desk.plays()}


def test_the_same_sheet_printed_and_noted_on_both_is_no_clash(laptop, tablet):
    assert laptop.sheet().code == tablet.sheet().code
    laptop.type("played", "1", "2", "--felt", "2")
    tablet.type("played", "2", "3", "--felt", "4")
    refused = laptop.type("played", "--merge", export(tablet))
    assert (refused.code, len(refused.err)) == (2, 1)
    assert "--mine" in refused.words
    said = laptop.type("played", "--merge", export(tablet), "--mine")
    assert "noted differently" in said.words
    assert "felt 4; not felt 2" in said.words
    assert tablet.type("played", "--merge", export(laptop)).code == 0  # known from now on
    assert ratings(laptop) == ratings(tablet) == {"1": 2, "2": 4, "3": 4}
    assert laptop.log() == tablet.log()


def test_a_merge_is_an_action_with_a_copy_and_can_be_taken_back(laptop, tablet):
    laptop.type("played", "1", "--felt", "2")
    tablet.type("played", "all")
    before = laptop.log()
    said = laptop.type("played", "--import", export(tablet), "--mine")
    copy = next(word for word in said.words.split() if "before-import" in word)
    with PracticeLog.open(laptop.folder / copy) as log:
        assert log.as_saved() == before
    undone = laptop.type("played", "--undo")
    assert "imported from log.jsonl" in undone.words
    assert laptop.log() == before
    assert "number 1" in laptop.type("played", "--undo").words  # and before that this computer's own
    assert laptop.type("played", "--undo").code == 2


def test_undo_after_a_merge_and_a_note_takes_the_note(laptop, tablet):
    tablet.type("played", "all")
    laptop.type("played", "--merge", export(tablet), "--mine")
    laptop.type("played", "1", "--felt", "1")
    laptop.type("played", "--undo")
    assert ratings(laptop)["1"] == 3
    assert "number 1" in laptop.type("played", "--undo").words  # what had been brought back by hand
    assert "something noted since takes back a part of it" in laptop.type("played", "--undo").words


def test_several_files_and_log_files_at_once(laptop, tablet, tmp_path_factory):
    laptop.type("played", "1")
    tablet.type("played", "2")
    third = type(laptop)(tmp_path_factory.mktemp("band room"))
    third.today()
    third.type("played", "3")
    said = laptop.type(
        "played", "--merge", export(tablet, "log.csv"), str(third.home / "log.sqlite"), "--mine"
    )
    assert said.code == 0, said
    assert set(ratings(laptop)) == {"1", "2", "3"}
    assert [one.uid for one in third.plays()] == [e.uid for e in laptop.plays() if e.uid.split()[2] == "3"]


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        (("--import", "log.csv", "--undo"), "are two actions"),
        (("--merge", "log.csv", "--undo"), "are two actions"),
        (("--undo", "--repair"), "are two actions"),
        (("--merge",), "needs the files"),
        (("--undo", "1"), "notes nothing played"),
        (("--import", "log.csv", "--felt", "2"), "notes nothing played"),
        (("1", "--mine"), "--mine belongs to"),
        (("--merge", "log.txt"), "must end in .csv or .jsonl"),
        (("--merge", "/dev/null.sqlite"), "there is no such file"),
    ],
)
def test_two_things_at_once_and_other_slips_are_refused_and_nothing_changes(laptop, words, reason):
    export(laptop, "log.csv")
    before = laptop.log()
    said = laptop.type("played", *words)
    assert said.code in (2, 3)
    assert len(said.err) == 1
    assert reason in said.words
    assert laptop.log() == before


def test_another_players_log_is_refused_unless_told(laptop, tablet):
    for desk, name in ((laptop, "Ada"), (tablet, "Ben")):
        desk.type("played", "all")
        with PracticeLog.open(desk.home / "log.sqlite") as log:
            log.note_fact("player", name)
    said = laptop.type("played", "--import", export(tablet))
    assert "Ben's" in said.words
    assert "this one is Ada's" in said.words
    assert said.code == 2


def test_a_damaged_log_is_told_mended_and_goes_on(laptop):
    laptop.type("played", "all", "--felt", "4")
    before = laptop.log()
    path = laptop.home / "log.sqlite"
    damaged = path.read_bytes().replace(b'"floor":true', b'"floor":trux', 1)
    assert damaged != path.read_bytes()
    path.write_bytes(damaged)
    for words in (["played", "1"], ["played", "--undo"], ["today", "--format", "json"], ["progress"]):
        said = laptop.type(*words)
        assert said.code == 3, said
        assert "is damaged: " in said.words
        assert "played --repair" in said.words
    assert path.read_bytes() == damaged
    said = laptop.type("played", "--repair")
    assert said.code == 0
    assert "from copies" in said.words
    aside = next(word for word in said.words.split() if "damaged-2027-01-04" in word)
    assert (laptop.folder / aside).read_bytes() == damaged
    # The day's copy was laid aside when the sheet was made, so nothing at all is missing.
    assert laptop.log() == before
    assert "the log is sound" in laptop.type("played", "--repair").words


def test_what_cannot_be_mended_is_named(laptop):
    laptop.type("played", "1", "2", "--felt", "4")
    path = laptop.home / "log.sqlite"
    for copy in (laptop.home / "copies").iterdir():
        copy.unlink()
    content = path.read_bytes()
    path.write_bytes(content.replace(b"play " + laptop.sheet().code.encode() + b" 2 ", b"play XXXX 2 "))
    said = laptop.type("played", "--repair")
    assert "missing: entry" in said.words
    assert "2027-01-04" in said.words
    assert set(ratings(laptop)) == {"1"}


def test_a_sheet_from_elsewhere_without_rows_or_sense_does_not_spoil_the_day(laptop):
    export(laptop)
    lines = [json.loads(line) for line in (laptop.folder / "log.jsonl").read_text("utf-8").splitlines()[:-1]]
    sheet = next(line for line in lines if line["kind"] == "sheet")
    for rows, told in (([], "has no rows"), ([{"phrase": "Q major"}], "cannot be printed again")):
        data = json.loads(sheet["data"])
        data["rows"] = [{**data["rows"][0], **row} for row in rows]
        entry = {
            **sheet,
            "uid": f"sheet {told}",
            "data": json.dumps(data),
            "recorded_at": "2027-01-04T23:00:00+00:00",
        }
        del entry["seal"]
        (laptop.folder / "other.jsonl").write_text(json.dumps(entry) + "\n", "utf-8")
        other = type(laptop)(laptop.folder / told)
        other.folder.mkdir()
        said = other.type("played", "--import", str(laptop.folder / "other.jsonl"))
        if not rows:
            assert (said.code, told in said.words) == (2, True)
            continue
        assert said.code == 0
        printed = other.today()
        assert printed.code == 0
        assert told in printed.words
        assert len(other.exercises(printed)) > 3


def test_the_sheet_of_the_day_is_meant_then_the_one_printed_last(laptop):
    first = laptop.sheet().code
    laptop.today("--date", "tomorrow")
    assert f"sheet {first}" in laptop.type("played", "1").words
    laptop.today("--sheet-number", "2")
    second = laptop.sheet().code
    laptop.today()  # the first once more
    assert f"sheet {first}" in laptop.type("played", "2").words
    laptop.type("played", "3", "--sheet", second)
    laptop.sleep(2)
    said = laptop.type("played", "4")
    assert f"sheet {first}" in said.words  # nothing was printed for the day, so the one printed last
    assert f"played --undo, and again with --sheet {first} --date 2027-01-04" in said.words
    laptop.type("played", "--undo")
    laptop.type("played", "4", "--sheet", first, "--date", "2027-01-04")
    assert {(e.sheet, str(e.day)) for e in laptop.plays()} == {(first, "2027-01-04"), (second, "2027-01-04")}


def test_a_year_that_cannot_be_meant_is_asked_about(laptop):
    said = laptop.type("played", "1", "--date", "2062-11-26")
    assert (said.code, len(said.err)) == (2, 1)
    assert "is the year right?" in said.words
    assert laptop.plays() == []
    assert "days ahead of this computer's clock" in laptop.type("played", "1", "--date", "2027-02-01").words


def test_a_place_where_a_log_is_not_safe_is_warned_of_once_a_day(desk):
    (desk.folder / ".stfolder").mkdir()
    assert "kept in step with other computers" in desk.today().words
    assert "kept in step" not in desk.type("played", "1").words
    desk.sleep()
    assert "kept in step" in desk.type("played", "2", "--sheet", desk.sheet().code).words


def test_places_that_others_have_a_hand_in(tmp_path):
    here = tmp_path / "music" / "home"
    here.mkdir(parents=True)
    assert kept_in_step(here) is None
    (tmp_path / "music" / ".stfolder").mkdir()
    assert kept_in_step(here) == tmp_path / "music"
    # A line of /proc/self/mountinfo as the manual page proc(5) gives it.
    mounts = tmp_path / "mounts"
    mounts.write_text(
        "36 35 98:0 / / rw,noatime shared:1 - ext4 /dev/root rw\n"
        f"37 36 0:40 / {tmp_path}/music rw shared:2 - nfs4 server:/music rw\n"
    )
    assert on_a_server(here, mounts) == tmp_path / "music"
    assert on_a_server(tmp_path, mounts) is None
    assert on_a_server(here, tmp_path / "none") is None


def test_only_plays_of_the_own_computer_are_undone(laptop, tablet):
    laptop.type("played", "1")
    laptop.sleep()
    tablet.type("played", "2")
    laptop.type("played", "--merge", export(tablet), "--mine")
    laptop.type("played", "--undo")  # the merge
    laptop.type("played", "--merge", export(tablet), "--mine")
    with PracticeLog.open(laptop.home / "log.sqlite") as log:
        assert log.last(kind=Kind.PLAY, own=True).day == dt.date(2027, 1, 4)
