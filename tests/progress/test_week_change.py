"""What changed in seven days: small logs by hand, with the answers worked out by hand beside them."""

import datetime as dt

from generator.progress.report import Cell, Play
from generator.progress.week_change import week_change, week_lines

TODAY = dt.date(2027, 3, 14)


def play(day: int, name: str, tempo: int | None = None, rating: int | None = 3) -> Play:
    """A play so many days before the report."""
    return Play(TODAY - dt.timedelta(days=day), name, name, name, tempo=tempo, rating=rating)


def cell(name: str, waited: int = 1, gap: int = 7, goal: int | None = None) -> Cell:
    return Cell(name, name, waited, waited, gap, None, goal)


def test_seven_days_end_with_the_day_of_the_report() -> None:
    plays = [play(day, "C") for day in (20, 13, 8, 7, 6, 3, 3, 0)]
    found = week_change(plays, [], TODAY)
    # Today and the six days before it: 6, 3 and 0. The seven before those: 13, 8 and 7.
    assert (found.practised, found.earlier) == (3, 3)
    assert week_change(plays[4:], [], TODAY).earlier is None


def test_what_is_new_faster_slower_and_shakier() -> None:
    plays = [
        play(20, "C", 60), play(9, "C", 72), play(2, "C", 84),  # faster: the last before, 72, to the last now
        play(9, "G", 80), play(3, "G", 90), play(1, "G", 76),  # slower in the end, whatever came between
        play(9, "D", 60, 4), play(1, "D", 60, 2),  # as fast, but shaky
        play(9, "A", None, 2), play(1, "A", None, 1),  # shaky before, lost now
        play(9, "E", None, 4), play(1, "E", None, 3),  # fine is no slip
        play(2, "B", 50),  # new
        play(12, "F", 100),  # not played in these days: neither
    ]  # fmt: skip
    found = week_change(sorted(plays, key=lambda one: one.day), [], TODAY)
    assert [(one.name, one.before, one.now) for one in found.faster] == [("C", 72, 84)]
    assert [(one.name, one.before, one.now) for one in found.slower] == [("G", 80, 76)]
    assert [(one.name, one.before, one.now) for one in found.shakier] == [("A", 2, 1), ("D", 4, 2)]
    assert found.new == ("B",)


def test_one_thing_is_proposed_the_worst_slip_first() -> None:
    slipped = [play(9, "G", 80), play(9, "D", 60, 4), play(1, "G", 76), play(1, "D", 66, 2)]
    # Shaky at 66, fine at 60: back to 60.
    assert week_change(slipped, [cell("C", 40)], TODAY).proposal.startswith(
        "Take D first on the next day, at 60,"
    )
    both = [*slipped, play(9, "A", 90), play(1, "A", 70, 1)]
    assert week_change(both, [], TODAY).proposal.startswith("Take A first on the next day, at 70,")


def test_else_what_has_waited_twice_as_long_as_wanted_then_a_goal_reached_three_times() -> None:
    steady = [play(9, "C", 108), play(5, "C", 108), play(1, "C", 112)]
    kept = [cell("C", goal=108), cell("G", 13), cell("D", 20)]
    assert week_change(steady, kept, TODAY).proposal == "Play D first: it has waited 20 practice days."
    # 112 follows 108 on a mechanical metronome (traditional series).
    assert "goal = 112" in week_change(steady, kept[:2], TODAY).proposal
    assert week_change(steady[1:], kept[:1], TODAY).proposal.startswith("Go on like this")


def test_after_a_week_without_a_day_it_begins_small() -> None:
    found = week_change([play(9, "C", 60)], [cell("C", 30)], TODAY)
    assert found.practised == 0
    assert "scalewright today -m 10" in found.proposal


def test_a_long_week_is_told_in_a_few_lines() -> None:
    names = [f"number {n}" for n in range(40)]
    plays = [play(9, name, 60) for name in names] + [play(1, name, 72) for name in names]
    lines = list(week_lines(week_change(plays, [], TODAY)))
    assert len(lines) <= 6
    assert any(line.endswith("and 37 more") for line in lines)
    assert all(len(line) < 200 for line in lines)


def test_the_report_begins_with_it_and_each_exercise_has_its_picture(player) -> None:
    for day, tempo in (("2027-03-01", 60), ("2027-03-09", 66), ("2027-03-12", 63)):
        player.note(day, "C major", tempo=tempo)
    player.note("2027-03-12", "G major", tempo=90)
    lines = player.type("--date", "2027-03-14").out
    start = lines.index("The last seven days")
    assert start < 6
    assert "  slower: C major 66 to 63" not in lines  # 60 was the last before these days: it rose
    assert "  faster: C major 60 to 63" in lines
    said = player.type("--tempi", "--date", "2027-03-14", "-f", "png")
    assert (said.code, len(said.out)) == (0, 1)
    assert said.out[0].startswith("out/tempi-")
    assert player.type("--tempi", "--record").code == 2


def test_without_a_tempo_there_is_nothing_to_picture(player) -> None:
    player.note("2027-03-12", "G major")
    said = player.type("--tempi", "--date", "2027-03-14")
    assert said.code == 2
    assert "no tempo is noted" in said.words
