"""The list a plan keeps alive: what each exercise is called, in written keys, and how long and how heavy it is."""

import datetime as dt
import json
from itertools import pairwise

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_file import read_plan
from generator.files.home import Home
from generator.files.resources import data_folder
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.repertoire_cache import recall

DAY = dt.date(2027, 1, 4)


def opened(tmp_path, text, **asked):
    path = tmp_path / "plan.toml"
    path.write_text(text, "utf-8")
    return open_session(Home.at(tmp_path / "home"), PlayerOptions(plan=path, **asked), tmp_path)


def names(desk):
    return [item.id for item in desk.repertoire.items(DAY)]


def plan(*phrases, head='instrument = "alto saxophone"'):
    return "\n".join([head, *(f'[[keep]]\nphrase = "{phrase}"' for phrase in phrases)])


def test_an_exercise_is_called_by_instrument_and_bare_phrase_in_its_written_key(tmp_path):
    # Concert B-flat major is written G major for an instrument in E-flat (common practice; needs no source beyond
    # the transposition: a written C sounds E-flat).
    dressed = "concert B-flat major in thirds, two octaves, triplets, all slurred, quarter = 60 to 90"
    assert names(opened(tmp_path, plan(dressed))) == ["alto saxophone: G major in thirds"]


@pytest.mark.parametrize(
    "phrase",
    [
        "F-sharp major",
        "G-flat major",
        "G flat major, slur two tongue two",
        "concert A major",
        "f# major, quarter = 90",
    ],
)
def test_the_name_does_not_depend_on_spelling_or_dressing(phrase, tmp_path):
    assert names(opened(tmp_path, plan(phrase))) == ["alto saxophone: G-flat major"]


def test_all_keys_are_twelve_and_the_same_whichever_names_are_read(tmp_path):
    found = [
        names(
            opened(tmp_path, plan("all keys, harmonic minor", head=f'instrument = "flute"\nnames = "{how}"'))
        )
        for how in ("usual", "sharps", "flats", "alternate")
    ]
    assert len(set(found[0])) == 12
    assert all(set(one) == set(found[0]) for one in found)


def test_symmetric_forms_are_kept_as_often_as_they_differ(tmp_path):
    # Two whole-tone scales, three diminished sevenths (Integrated Musicianship: Theory).
    assert len(names(opened(tmp_path, plan("all keys, whole-tone")))) == 2
    assert len(names(opened(tmp_path, plan("all keys, diminished seventh")))) == 3


def test_rows_that_keep_the_same_exercise_are_one_and_wear_what_both_say(tmp_path):
    desk = opened(tmp_path, plan("G major, all slurred", "G major, staccato"))
    (entry,) = desk.repertoire.entries
    worn = [desk.repertoire.askings[number].dressing.articulations for number in entry.asked]
    assert worn == [(("all slurred", ""),), (("staccato", ""),)]
    ((line, earlier, name, number),) = desk.repertoire.shared
    assert (line, earlier, name, number) == (5, 3, "G major", 1)


def test_every_exercise_of_the_starter_plan_fits_every_wind_instrument(tmp_path):
    home = Home.at(tmp_path)
    for name in (
        "piccolo",
        "oboe",
        "clarinet",
        "bassoon",
        "alto saxophone",
        "horn",
        "trumpet",
        "trombone",
        "tuba",
    ):
        desk = open_session(home, PlayerOptions(instrument=name), tmp_path)
        # 9 kinds in twelve keys, two whole-tone scales, three diminished sevenths, one chromatic, one of long tones.
        routines = {"brass": 3}.get(desk.player.instrument.wind, 0) + 2 * (name == "alto saxophone")
        assert len(desk.repertoire.items(DAY)) == 9 * 12 + 2 + 3 + 1 + 1 + routines, name
        assert desk.repertoire.unfit == ()


def test_an_estimate_follows_the_stated_rule(tmp_path):
    # G major, one octave, in sixteenths: 15 notes in one bar of four quarters. At quarter = 60 that is 4 seconds;
    # six plays and half a minute are 54 seconds: 1 minute. At quarter = 20 it is 12 seconds: 102 seconds, 2 minutes.
    for start, minutes in ((60, 1), (20, 2)):
        text = plan("G major, one octave") + f"\nstart = {start}\n"
        assert [i.minutes for i in opened(tmp_path, text).repertoire.items(DAY)] == [minutes]
    # Long tones of twelve counts take longer than three minutes once: played once, and half a minute.
    long = opened(tmp_path, plan("C long tones along the scale, major, two octaves")).repertoire.items(DAY)
    assert long[0].minutes == round((29 * 12 + 30) / 60)


@pytest.mark.parametrize(
    ("rhythms", "minutes"),
    [
        # Two octaves and back are 29 notes: eight bars of quarters, 32 seconds at 60, or two bars of sixteenths, 8
        # seconds. Six plays of the first would be more than three minutes, so three; with half a minute to look, 4
        # minutes. Six of the second and half a minute: 78 seconds, 1 minute. The first that is named counts (our rule).
        ('"quarters"', 4),
        ('["quarters", "sixteenths"]', 4),
        ('["sixteenths", "quarters"]', 1),
        ('["sixteenths", "triplets", "quarters"]', 1),
    ],
)
def test_of_several_rhythms_the_first_is_measured(rhythms, minutes, tmp_path):
    text = plan("C major, two octaves", head='instrument = "flute"') + f"\nrhythms = {rhythms}\n"
    assert [item.minutes for item in opened(tmp_path, text).repertoire.items(DAY)] == [minutes]


def test_minutes_of_a_row_go_before_the_estimate(tmp_path):
    assert [
        i.minutes for i in opened(tmp_path, plan("G major") + "\nminutes = 7\n").repertoire.items(DAY)
    ] == [7]


def test_brass_exercises_in_the_top_octave_are_heavy_and_others_are_not(tmp_path):
    for instrument, phrase, heavy in (
        ("trumpet", "B-flat major, one octave, from the top octave", True),
        ("trumpet", "B-flat major, one octave", False),
        ("trumpet", "B-flat major", False),
        ("clarinet", "E major, one octave, from the top octave", True),
        ("clarinet", "B-flat major", False),
        ("violin", "B-flat major, one octave, from the top octave", False),
        ("trumpet", "slurs over the partials", False),
        ("trombone", "neighbouring partials", False),
        ("alto saxophone", "overtones", True),
    ):
        desk = opened(tmp_path, plan(phrase, head=f'instrument = "{instrument}"'))
        assert [item.heavy for item in desk.repertoire.items(DAY)] == [heavy], (instrument, phrase)
    said = opened(tmp_path, plan("G major", head='instrument = "clarinet"') + "\nheavy = true\n")
    assert [item.heavy for item in said.repertoire.items(DAY)] == [True]


def test_heavy_rows_never_stand_side_by_side_on_a_brass_sheet(desk):
    high = "".join(
        f'[[keep]]\nphrase = "{key} major, one octave, from the top octave"\nminutes = 2\n'
        for key in ("C", "B-flat", "B")
    )
    low = '[[keep]]\nphrase = "all keys, harmonic minor, one octave"\nminutes = 2\n'
    desk.plan(f'instrument = "trumpet"\nminutes = 24\n{high}{low}')
    for _ in range(6):
        desk.today()
        tops = ["top octave" in row.phrase for row in desk.sheet().rows]
        assert any(tops)
        assert not any(a and b for a, b in pairwise(tops))
        desk.type("played", "all")
        desk.sleep()


def test_what_does_not_fit_a_level_is_left_out_of_the_starter_plan(desk):
    said = desk.today("-i", "trombone", "--low", "B-flat2", "--high", "D3")
    assert said.code == 2  # B-flat2 is no pitch name
    said = desk.today("-i", "trombone", "--low", "Bb2", "--high", "F3")
    assert (said.code, len(said.out)) == (0, 1)
    assert "left out: " in said.words
    for exercise in desk.exercises(said):
        midi = [note["midi"] for bar in exercise["bars"] for note in bar["notes"] if note["midi"]]
        assert min(midi) >= 46
        assert max(midi) <= 53


def test_a_new_list_is_met_in_mixed_kinds_and_mixed_keys(desk):
    kinds = ("major", "harmonic minor", "major in thirds", "major arpeggio", "dominant seventh")
    desk.plan(
        'instrument = "flute"\n' + "".join(f'[[keep]]\nphrase = "all keys, {kind}"\n' for kind in kinds)
    )
    desk.today("-m", "30")
    first = [row.item for row in desk.sheet().rows[:6]]
    exercises = desk.exercises(desk.today("-m", "30"))
    assert len({(e["form"], e["figure"]) for e in exercises}) >= 4
    assert len({e["key"] for e in exercises}) >= 7
    assert len(set(first)) == 6


def test_a_remembered_list_is_the_same_list_and_a_changed_plan_is_spelled_out_anew(tmp_path):
    text = (
        plan("all keys, major in thirds", "whole-tone on C and D-flat")
        + "\narticulations = 'board articulations'\n"
    )
    text += '[[list]]\nname = "maine-district-3"\ndate = 2027-03-01\n'
    first = opened(tmp_path, text).repertoire
    (kept,) = (tmp_path / "home" / "cache").glob("list-*.json")
    key = json.loads(kept.read_bytes()[64:])["key"]
    assert recall(kept, key) == first
    assert recall(kept, f"{key}0") is None
    assert opened(tmp_path, text).repertoire == first
    assert (
        len(opened(tmp_path, text + plan("C dorian", head="")).repertoire.entries) == len(first.entries) + 1
    )
    kept.write_text("{", "utf-8")
    assert opened(tmp_path, text).repertoire == first


def test_the_head_of_a_plan_is_the_same_with_and_without_its_rows(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(plan("G major", head='instrument = "flute"\nminutes = 9\nshare = "2/3"'), "utf-8")
    whole, _ = read_plan(path, shared_catalogue())
    head, _ = read_plan(path, shared_catalogue(), rows=False)
    assert (head.minutes, head.share, head.keeps) == (whole.minutes, whole.share, ())


def test_a_home_folder_holds_everything(tmp_path):
    home = Home.at(tmp_path)
    assert {home.log.parent, home.plan.parent, home.cache.parent} == {tmp_path}
    usual = Home.at(None)
    checkout = data_folder("shared").parent
    assert all(checkout not in path.parents for path in (usual.log, usual.plan, usual.cache))
