"""Reports over logs small enough to count on the fingers."""

import datetime as dt

import pytest

from generator.errors import RequestError
from generator.progress.overview import period_of
from generator.progress.report import Period, Report, monday

TODAY = "2027-03-05"  # a Friday


def cell(figures: Report, name: str):
    return next(one for one in figures.kept if one.name == name)


def test_two_instruments_are_kept_apart(player) -> None:
    player.note("2027-03-01", "C major", tempo=90, minutes=5)
    player.note("2027-03-04", "C major", instrument="clarinet in B-flat", tempo=50, minutes=30)
    alto = player.progress(TODAY).report()
    clarinet = player.progress(TODAY, "clarinet in B-flat").report()
    assert (cell(alto, "C major").days, cell(alto, "C major").tempo, alto.practised) == (4, 90, 1)
    assert (cell(clarinet, "C major").days, cell(clarinet, "C major").tempo) == (1, 50)
    assert sum(day.minutes or 0 for day in alto.days) == 5
    assert player.progress(TODAY).history.others == ("clarinet in B-flat",)


def test_a_play_of_no_instrument_in_particular_counts_for_each(player) -> None:
    player.note("2027-03-02", "C major", instrument=None)
    assert player.progress(TODAY).report().practised == 1
    assert player.progress(TODAY, "clarinet in B-flat").report().practised == 1


@pytest.mark.parametrize("when", ["2027-03-03", "2027-03-05", "2027-03-09"])
def test_what_was_taken_back_is_not_counted_whenever_that_was(player, when: str) -> None:
    player.note("2027-03-01", "C major", tempo=80, minutes=4)
    wrong = player.note("2027-03-03", "C major", tempo=160, minutes=90)
    player.take_back(when, wrong)
    figures = player.progress(TODAY).report()
    assert (cell(figures, "C major").days, cell(figures, "C major").tempo) == (4, 80)
    assert (figures.practised, sum(d.minutes or 0 for d in figures.days)) == (1, 4)


def test_plays_after_the_day_of_the_report_are_not_counted_and_those_of_the_day_are(player) -> None:
    player.note("2027-03-05", "C major", tempo=80)
    player.note("2027-03-06", "C major", tempo=100)
    figures = player.progress(TODAY).report()
    assert (cell(figures, "C major").days, cell(figures, "C major").tempo, figures.practised) == (0, 80, 1)
    # One practice day, the next one counted.
    assert cell(figures, "C major").waited == 1


def test_the_leap_day_is_a_day(player) -> None:
    player.note("2028-02-28", "C major", minutes=1)
    player.note("2028-02-29", "G major", minutes=2)
    progress = player.progress("2028-03-01")
    figures = progress.report(dt.date(2028, 2, 28))
    assert (cell(figures, "C major").days, cell(figures, "G major").days) == (2, 1)
    assert [(day.day.isoformat(), day.minutes) for day in figures.days] == [
        ("2028-02-28", 1), ("2028-02-29", 2), ("2028-03-01", None),
    ]  # fmt: skip
    assert len(figures.weeks) == 1  # 28 February 2028 is a Monday
    assert period_of(dt.date(2028, 2, 28), 1, dt.date(2028, 3, 20), None).until == dt.date(2028, 3, 5)


def test_an_exercise_that_left_the_list_counts_for_days_but_is_not_in_the_table(player) -> None:
    for day, tempo in (("2027-03-01", 60), ("2027-03-02", 64)):
        player.note(day, "D-flat major", tempo=tempo, goal=72, minutes=3)
    figures = player.progress(TODAY).report()
    assert figures.practised == 2
    assert all(one.never for one in figures.kept)
    (course,) = figures.courses
    assert (course.name, course.points[-1][1], course.goal) == ("D-flat major", 64, 72)


def test_an_id_that_is_no_phrase_is_a_kind_of_its_own(player) -> None:
    player.note("2027-03-01", "my old étude; bars 5-9", tempo=60)
    player.note("2027-03-02", "my old étude; bars 5-9", tempo=63)
    (course,) = player.progress(TODAY).report().courses
    assert course.name == "my old étude; bars 5-9"


def test_the_list_shows_the_names_the_player_reads(player) -> None:
    text = (player.home / "plan.toml").read_text("utf-8")
    rows = 'names = "sharps"\n' + text.replace("C, G and F major", "all keys, major")
    (player.home / "plan.toml").write_text(rows, "utf-8")
    player.note("2027-03-01", "G-flat major", tempo=60)  # the log's own name for the key
    figures = player.progress(TODAY).report()
    sixth = figures.columns[6]
    assert [name.name for name in sixth] == ["F#"]
    assert cell(figures, "F-sharp major").days == 4


def test_whole_tone_scales_stand_under_their_first_note_and_routines_under_no_key(player) -> None:
    plan = 'instrument = "trombone"\n' + "".join(
        f'[[keep]]\nphrase = "{phrase}"\n' for phrase in ("whole-tone on C and D-flat", "lip slurs")
    )
    (player.home / "plan.toml").write_text(plan, "utf-8")
    player.note("2027-03-01", "slurs over the partials", instrument="trombone")
    figures = player.progress(TODAY).report()
    (row,) = figures.rows
    assert row.kind == "whole-tone"
    assert [place for place, one in enumerate(row.cells) if one] == [0, 5]
    assert [(one.name, one.days) for one in figures.keyless] == [("slurs over the partials", 4)]


# The period


def test_without_words_the_last_eight_calendar_weeks() -> None:
    today = dt.date(2027, 3, 5)
    period = period_of(None, None, today, None)
    assert (period.since, period.until, period.since.weekday()) == (dt.date(2027, 1, 11), today, 0)
    assert len(period.days) == 7 * 7 + 5


def test_never_days_before_the_first_play() -> None:
    today, first = dt.date(2027, 3, 5), dt.date(2027, 3, 2)
    assert period_of(None, 8, today, first) == Period(first, today, today)
    assert period_of(dt.date(1900, 1, 1), None, today, first).since == first


def test_since_and_weeks_together_count_from_there() -> None:
    day, today = dt.date(2027, 1, 6), dt.date(2027, 3, 5)
    assert period_of(day, 2, today, None) == Period(day, dt.date(2027, 1, 19), today)
    assert period_of(day, 500, today, None).until == today


def test_a_period_that_begins_tomorrow_is_refused() -> None:
    with pytest.raises(RequestError, match="2027-03-06 is later than the day of the report, 2027-03-05"):
        period_of(dt.date(2027, 3, 6), None, dt.date(2027, 3, 5), None)


@pytest.mark.parametrize("day", [dt.date.min, dt.date.min + dt.timedelta(days=9), dt.date.max])
def test_the_ends_of_the_calendar(day: dt.date, player) -> None:
    assert period_of(None, 1040, day, None).until == day
    assert monday(day) <= day
    figures = player.progress(day).report()
    assert figures.practised == 0
