"""Two players in one home, and one who plays two instruments."""

import pytest

from generator.practice_log import PracticeLog

ROW = '[[keep]]\nphrase = "G major"\n[[keep]]\nphrase = "D major"\n'


def plan(desk, name, head=""):
    path = desk.folder / f"{name}.toml"
    path.write_text(f'instrument = "clarinet"\n{head}{ROW}', "utf-8")
    return ("--plan", str(path))


@pytest.fixture
def two(desk):
    """Ada and Ben, both with a clarinet and a plan of their own."""
    return desk, plan(desk, "ada", 'player = "Ada"\n'), plan(desk, "ben", 'player = "Ben"\n')


def test_two_players_of_one_instrument_never_share_a_history(two):
    desk, ada, ben = two
    codes = {}
    for name, words in (("Ada", ada), ("Ben", ben)):
        said = desk.today(*words)
        assert said.code == 0
        codes[name] = next(
            word for line in said.err for word in line.split() if word.endswith(":") and len(word) == 5
        )
    assert "say whose with --player" in desk.type("played", "all").words
    assert desk.type("played", "all", "--player", "ada").code == 0
    logs = {}
    for name in ("log", "log-ben"):
        with PracticeLog.open(desk.home / f"{name}.sqlite") as log:
            logs[name] = (log.facts.get("player"), len([e for e in log.entries() if e.kind == "play"]))
    assert logs["log"][0] == "Ada"
    assert logs["log"][1] > 0
    assert logs["log-ben"] == ("Ben", 0)
    desk.sleep()
    assert "New: " in desk.today(*ben).words


def test_a_sheet_code_tells_whose_log_is_meant(two):
    desk, ada, ben = two
    desk.today(*ada)
    desk.sleep()
    desk.today(*ben)
    with PracticeLog.open(desk.home / "log-ben.sqlite") as log:
        code = log.last(kind="sheet").sheet
    assert f"sheet {code}" in desk.type("played", "1", "--sheet", code).words


def test_the_plan_that_lies_here_tells_whose_log_is_meant(two):
    desk, ada, ben = two
    desk.today(*ada)
    desk.today(*ben)
    (desk.folder / "ben.toml").rename(desk.folder / "plan.toml")
    desk.type("played", "1")
    with PracticeLog.open(desk.home / "log-ben.sqlite") as log:
        assert [e.kind for e in log.entries()].count("play") == 1


def test_a_name_that_nobody_has(two):
    desk, ada, ben = two
    desk.today(*ada)
    desk.today(*ben)
    said = desk.type("played", "1", "--player", "Adda")
    assert (said.code, len(said.err)) == (2, 1)
    assert "these do: Ada, Ben" in said.words
    assert 'did you mean "Ada"?' in said.words


def test_two_plans_without_a_name_share_a_log_but_not_without_a_word(desk):
    one, other = plan(desk, "one"), plan(desk, "other")
    assert "player" not in desk.today(*one).words
    assert "until now this log was kept from" in desk.today(*other).words
    assert "until now" not in desk.today(*other).words


def test_a_log_kept_before_the_plan_had_a_name_stays_the_players(desk):
    desk.today(*plan(desk, "plan"))
    desk.type("played", "all")
    count = len(desk.plays())
    desk.today(*plan(desk, "plan", 'player = "Ada"\n'))
    desk.type("played", "all")
    assert not (desk.home / "log-ada.sqlite").exists()
    assert len(desk.plays()) >= count
    assert "noted in Ada's log" in desk.today(*plan(desk, "plan")).words


def test_the_instrument_played_last_is_remembered_and_two_stay_apart(desk):
    desk.today("-i", "alto saxophone")
    desk.type("played", "all")
    desk.sleep()
    said = desk.today()
    assert "for alto saxophone" in said.words
    assert "alto saxophone" in desk.type("progress").words
    assert "written for alto saxophone" in desk.type("sheet", "G major", "--format", "json").words
    desk.today("-i", "clarinet")
    assert "for clarinet" in desk.today().words
    sheets = {entry.instrument for entry in desk.log() if entry.kind == "sheet"}
    assert sheets == {"alto saxophone", "clarinet in B-flat"}


def test_a_page_of_ones_own_choice_is_noted_like_any_other(desk):
    path = plan(desk, "plan")
    desk.today(*path)
    said = desk.type(
        "sheet", "G major, two octaves, eighths, quarter = 80", "A major", "-i", "clarinet", "-f", "json"
    )
    code = said.out[0].rsplit("-", 1)[1].removesuffix(".json").upper()
    noted = desk.type("played", "all", "--sheet", code, "--felt", "4")
    assert f"noted: sheet {code}, number 1-2" in noted.words
    (first, second) = desk.plays()
    assert (first.item, second.item) == ("clarinet in B-flat: G major", "clarinet in B-flat: A major")
    assert first.phrase == "G major, two octaves, eighths, quarter = 80"
    desk.sleep()
    # The line of the plan has been played; and the page is nobody's sheet of the day.
    (line,) = [line for line in desk.today(*path).err if "G major" in line and ": New" not in line]
    assert "Last played 1 day ago" in line
    assert f"sheet {code}" not in desk.type("played", "1").words


def test_a_page_is_printed_also_where_no_log_can_be(desk):
    (desk.folder / "file").touch()
    said = desk.type("sheet", "G major", "-i", "flute", "-f", "json", "--home", "file")
    assert (said.code, len(said.out)) == (0, 1)
    assert "cannot be noted by its code" in said.words
