"""Required lists: each published row against what its source says, own lists, and mock draws.

The tables below repeat the sources, not our files: boards' and districts' pages as read in 2026 (see `source` of each).
"""

import itertools
import random
from pathlib import Path

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.required_file import read_list
from generator.documents.required_list import WARNING, find_list, lists_folder
from generator.errors import BadFileError, RequestError
from generator.exercise.request import row_name
from generator.phrase import expand
from generator.practice.required_sheet import every_list, required_sheet

HERE = Path()
LISTS = {one.name: one for one in every_list()}
M, HM, MM, NM = "major", "harmonic minor", "melodic minor", "natural minor"
MA, NA = "major arpeggio", "minor arpeggio"

# list, instrument, form, written keys in the order of the source, span, beats a minute.
ROWS = [
    # ABRSM flute, consultation draft, "proposals: May 2015".
    ("abrsm-draft-flute-1", "flute", M, "F G", "one octave", None),
    ("abrsm-draft-flute-1", "flute", MA, "F G", "one octave", None),
    ("abrsm-draft-flute-1", "flute", HM, "E", "one octave", None),
    ("abrsm-draft-flute-2", "flute", HM, "A", "one octave", None),
    ("abrsm-draft-flute-2", "flute", M, "F G", "a twelfth", None),
    ("abrsm-draft-flute-2", "flute", HM, "E", "a twelfth", None),
    ("abrsm-draft-flute-3", "flute", M, "G Bb", "a twelfth", None),
    ("abrsm-draft-flute-3", "flute", HM, "E G", "a twelfth", None),
    ("abrsm-draft-flute-3", "flute", M, "D F", "two octaves", None),
    ("abrsm-draft-flute-3", "flute", HM, "D", "two octaves", None),
    ("abrsm-draft-flute-3", "flute", "chromatic", "G", "one octave", None),
    ("abrsm-draft-flute-4", "flute", M, "A Bb", "a twelfth", None),
    ("abrsm-draft-flute-4", "flute", HM, "A B", "a twelfth", None),
    ("abrsm-draft-flute-4", "flute", M, "C Eb G", "two octaves", None),
    ("abrsm-draft-flute-4", "flute", HM, "C G", "two octaves", None),
    ("abrsm-draft-flute-4", "flute", "chromatic", "D", "two octaves", None),
    ("abrsm-draft-flute-4", "flute", "dominant seventh", "G", "two octaves", None),
    # City of Reykjavik, learning objectives: keys, forms, M.M. and note values of each level.
    ("reykjavik-saxophone-2", "alto saxophone", M, "G F D", None, 96),
    ("reykjavik-saxophone-2", "alto saxophone", NM, "E D", None, 96),
    ("reykjavik-trumpet-2", "trumpet", M, "C G Bb", "one octave", 80),
    ("reykjavik-trumpet-2", "trumpet", NM, "A D", "one octave", 80),
    ("reykjavik-horn-2", "horn", M, "Bb C G", "one octave", 100),
    ("reykjavik-horn-2", "horn", NM, "A G", "one octave", 100),
    ("reykjavik-trombone-2", "trombone", M, "Bb Ab C", "one octave", 100),
    ("reykjavik-trombone-2", "trombone", NM, "G C", "one octave", 100),
    ("reykjavik-trombone-3", "trombone", M, "Bb Ab C Eb", None, 56),
    ("reykjavik-trombone-3", "trombone", MM, "G C D F", None, 56),
    ("reykjavik-tuba-2", "tuba", M, "Eb Db Bb", "one octave", 100),
    ("reykjavik-tuba-2", "tuba", NM, "C D", "one octave", 100),
    # New Zealand Music Examinations Board, performance grades: at least 72 or 80, four notes a beat.
    ("nzmeb-trombone-7", "trombone", MM, "E A Bb B", None, 72),
    ("nzmeb-trombone-7", "trombone", "whole-tone", "E A Bb B", None, 72),
    ("nzmeb-trombone-8", "trombone", HM, "Bb C E", None, 80),
    ("nzmeb-trombone-8", "trombone", "dominant seventh", "Bb C E", None, 80),
    ("nzmeb-saxophone-8", "tenor saxophone", HM, "Bb E G", None, 80),
    ("nzmeb-saxophone-8", "tenor saxophone", "diminished seventh", "B Bb C", None, 80),
    ("nzmeb-saxophone-8", "tenor saxophone", "whole-tone", "C C#", None, 80),
    ("nzmeb-trumpet-preliminary", "trumpet", M, "C", "a fifth", 60),
    ("nzmeb-trumpet-preliminary", "trumpet", HM, "A", "one octave", 60),
    ("nzmeb-trumpet-preliminary", "trumpet", NA, "A", "one octave", 60),
    # RSL alto saxophone grade 1: crotchet = 50.
    ("rockschool-alto-saxophone-1", "alto saxophone", M, "G", "one octave", 50),
    ("rockschool-alto-saxophone-1", "alto saxophone", "dorian", "G", "one octave", 50),
    ("rockschool-alto-saxophone-1", "alto saxophone", "minor pentatonic", "G", "one octave", 50),
    ("leinster-clarinet-1", "clarinet", M, "G F", "one octave", None),
    ("leinster-clarinet-1", "clarinet", HM, "A", "one octave", None),
    ("hong-kong-trumpet-e2", "trumpet", M, "Bb D", "one octave", None),
    ("hong-kong-trumpet-e2", "trumpet", MM, "A D", "one octave", None),
    # Auditions. Florida Bandmasters Association: concert G C F Bb Eb Ab Db, at least 120; chromatic at least 144.
    ("florida-middle-school", "flute", M, "G C F Bb Eb Ab Db", None, 120),
    ("florida-middle-school", "flute", MA, "G C F Bb Eb Ab Db", None, 120),
    ("florida-high-school", "flute", M, "G C F Bb Eb Ab Db Gb B E A D", None, 120),
    ("florida-chromatic", "flute", "chromatic", "C", "three octaves", 144),
    ("florida-chromatic", "trumpet", "chromatic", "G", "two octaves", 144),
    ("florida-chromatic", "horn", "chromatic", "F", "two octaves", 144),
    ("florida-chromatic", "bass clarinet", "chromatic", "E", "two octaves", 144),
    # Orange County, New York: the chromatic spans of the junior list.
    ("orange-county-junior", "baritone saxophone", "chromatic", "D", "two octaves", None),
    ("orange-county-junior", "horn", "chromatic", "C", "one octave", None),
    # Maryland: one major from nine, crotchet = 72 in semiquavers.
    ("maryland-district", "flute", M, "C F G D A E Bb Eb Ab", None, 72),
    # Illinois: concert C F Bb Eb Ab Db G and a chromatic on concert G, quavers at 120.
    ("illinois-state", "flute", M, "C F Bb Eb Ab Db G", None, 120),
    ("illinois-state", "flute", "chromatic", "G", None, 120),
    # Maine, District 3: concert Eb Ab Db C F at 120.
    ("maine-district-3", "flute", M, "Eb Ab Db C F", None, 120),
    # Western Massachusetts: 100, trombone and tuba 72; juniors 84 and 60.
    ("massachusetts-western-senior", "clarinet", "chromatic", "C", None, 100),
    ("massachusetts-western-senior", "trombone", "chromatic", "C", None, 72),
    ("massachusetts-western-junior", "tuba", "chromatic", "C", None, 60),
    ("massachusetts-western-junior", "oboe", "chromatic", "C", None, 84),
]  # fmt: skip

# list, rhythm, articulation up, articulation down, from memory, source's year.
MANNERS = [
    ("florida-middle-school", "quarter and six eighths", "all tongued", "all slurred", True, "2015"),
    ("florida-chromatic", "eighths", "all tongued", "all slurred", True, "2015"),
    ("illinois-state", "eighths", "", "", True, "2005"),
    ("maine-district-3", "", "all tongued", "", True, "read 2026"),
    ("massachusetts-western-senior", "triplets", "all slurred", "", False, "read 2026"),
    ("orange-county-senior", "quarter and six eighths", "", "", True, "read 2026"),
    ("maryland-district", "", "", "", True, "2014-15"),  # semiquavers are what a scale is printed in anyway
    ("reykjavik-trombone-3", "eighths", "", "", False, "read 2026"),
    ("reykjavik-tuba-2", "quarters", "", "", False, "read 2026"),
    ("nzmeb-trumpet-preliminary", "quarters", "all tongued", "", False, "read 2026"),
    ("hong-kong-trumpet-e2", "quarters", "", "", True, "2011-12"),
]


def items(name, instrument, form):
    found = LISTS[name].items_for(shared_catalogue().instruments.find(instrument))
    return [item for item in found if item.request.form.name == form and not item.request.figure]


@pytest.mark.parametrize(("name", "instrument", "form", "keys", "span", "tempo"), ROWS)
def test_a_published_row(name, instrument, form, keys, span, tempo):
    rows = items(name, instrument, form)
    asked = [r for r in rows if span is None or r.request.span.name == span]
    tongued_double = [
        r
        for r in asked
        if "tongue" in row_name(r.request.articulation) and row_name(r.request.articulation) != "all tongued"
    ]
    asked = [r for r in asked if r not in tongued_double]
    assert " ".join(key.name for r in asked for key in r.request.keys) == keys
    who = shared_catalogue().instruments.find(instrument)
    assert {r.tempo(who.name) for r in asked} == {tempo}


@pytest.mark.parametrize(("name", "rhythm", "up", "down", "memory", "year"), MANNERS)
def test_how_a_list_is_to_be_played(name, rhythm, up, down, memory, year):
    first = LISTS[name].items[0]
    request = first.request
    worn = (request.rhythm, request.articulation, request.articulation_down)
    assert tuple(map(row_name, worn)) == (rhythm, up, down)
    assert first.memory == memory
    assert LISTS[name].year == year


def test_fifteen_majors_are_fifteen():
    # OCMEA senior: all fifteen major scales, the readable signatures from seven flats to seven sharps.
    made = required_sheet("orange-county-senior", player_named("flute"), HERE)
    built = expand.exercises(made.phrases, player_named("flute")).exercises
    assert sorted(exercise.signature for exercise in built) == list(range(-7, 8))
    assert {exercise.tempo.bpm for exercise in built} == {120}


def test_concert_keys_are_read_in_the_players_own():
    # Concert G C F B-flat ... is written E A D G C F B-flat for an alto saxophone (a major sixth above).
    made = required_sheet("florida-middle-school", player_named("alto saxophone"), HERE)
    built = expand.exercises(made.phrases, player_named("alto saxophone")).exercises
    assert [e.key for e in built if e.form == "major"] == ["E", "A", "D", "G", "C", "F", "Bb"]
    # In this order, each scale before its arpeggio.
    assert [e.form for e in built] == ["major", "major arpeggio"] * 7


def test_complete_octaves_only():
    # FBA: at least two octaves where possible, complete octaves only; a twelfth never.
    for name in ("flute", "alto saxophone", "trombone", "tuba"):
        who = player_named(name)
        made = required_sheet("florida-high-school", who, HERE)
        built = expand.exercises(made.phrases, who, exact=True).exercises
        assert {exercise.span for exercise in built} <= {"two octaves", "one octave"}
        assert len(built) == 24


def test_there_are_enough_and_each_has_source_year_and_warning():
    assert len(LISTS) >= 15
    assert all(one.source and one.year and one.items for one in LISTS.values())
    for one in LISTS.values():
        name = (one.instruments or one.items[0].instruments or ("flute",))[0]
        made = required_sheet(one.name, player_named(name), HERE)
        assert WARNING in made.note
        assert made.phrases
        assert made.refused == ()
        assert "://" not in (one.source + one.note)


# A teacher's own list


OWN = """\
title = "Harbour Street, first chairs"
source = "the band's own"
year = 2027
order = "as listed"
tempo = { others = 100, tuba = 72 }
memory = true

[[item]]
phrase = "concert B-flat major"
octaves = "one octave"
up = "all tongued"
down = "all slurred"

[[item]]
phrase = "concert E-flat major in thirds"
tempo = 60
"""

MISTAKES = [
    ('title = "Harbour Street, first chairs"\n', "", 1, "title: a text in quotes is needed"),
    ('source = "the band\'s own"\n', "", 1, "source: a text in quotes is needed"),
    ("year = 2027\n", "", 1, "year: a required list needs the year"),
    (
        'order = "as listed"',
        'order = "random"',
        4,
        "order: unknown 'random'; it can be any, as listed",
    ),
    ("others = 100", "others = 1000", 5, "tempo: 1000 is no whole number from 20 to 400"),
    ("tuba = 72", "tooba = 72", 5, "unknown instrument 'tooba'; nearest: tuba"),
    ("memory = true", 'memory = "yes"', 6, "memory: 'yes' is neither true nor false"),
    ("concert B-flat major", "concert H major", 9, "phrase: 'H'"),
    ('octaves = "one octave"', 'octaves = "nine octaves"', 10, "octaves: unknown span"),
    ('up = "all tongued"', 'up = "tounged"', 11, "up: unknown articulation 'tounged'"),
    ('up = "all tongued"', 'upp = "all tongued"', 11, "unknown field 'upp'; nearest: up"),
    ("tempo = 60", "tempo = 6", 16, "tempo: 6 is no whole number"),
    ("tempo = 60", 'unit = "quater"', 16, "unit: unknown 'quater'; nearest: quarter"),
    ("tempo = 60", 'instruments = ["kazoo"]', 16, "unknown instrument 'kazoo'"),
    ("tempo = 60", 'rhythm = "trippels"', 16, "rhythm: unknown rhythm 'trippels'; nearest: triplets"),
]


def own(tmp_path, text):
    path = tmp_path / "own.toml"
    path.write_text(text, "utf-8")
    return path


def test_an_own_list_has_tempi_by_instrument_and_by_item(tmp_path):
    path = own(tmp_path, OWN)
    for instrument, tempi in (("flute", [100, 60]), ("tuba", [72, 60])):
        made = required_sheet(str(path), player_named(instrument), HERE)
        built = expand.exercises(made.phrases, player_named(instrument)).exercises
        assert [e.tempo.bpm for e in built] == tempi
    assert made.title == "Harbour Street, first chairs"
    assert made.subtitle == "from memory · the band's own, 2027"
    assert "In this order." in made.note


@pytest.mark.parametrize(("old", "new", "line", "reason"), MISTAKES, ids=[m[3][:40] for m in MISTAKES])
def test_a_mistake_is_named_with_its_line(old, new, line, reason, tmp_path):
    assert old in OWN
    with pytest.raises(BadFileError) as caught:
        read_list(own(tmp_path, OWN.replace(old, new, 1)), shared_catalogue())
    assert any(f"own.toml, line {line}: " in row and reason in row for row in str(caught.value).splitlines())


def refusal(path):
    with pytest.raises(BadFileError) as caught:
        read_list(path, shared_catalogue())
    return str(caught.value).splitlines()


def test_what_stands_at_the_top_is_told_once_and_hides_no_item(tmp_path):
    bad = OWN.replace("memory = true", 'memory = "yes"') + '[[item]]\nphrase = "concert F major"\n' * 60
    lines = refusal(own(tmp_path, bad + '[[item]]\nphrase = "concert H major"\n'))
    assert [line.split(": ")[1] for line in lines] == ["memory", "phrase"]


def test_the_top_is_checked_even_where_every_item_says_it_itself(tmp_path):
    text = OWN.replace("tempo = { others = 100, tuba = 72 }", "tempo = 5").replace(
        'octaves = "one octave"', "tempo = 60"
    )
    assert refusal(own(tmp_path, text)) == ["own.toml, line 5: tempo: 5 is no whole number from 20 to 400"]


def test_every_wrong_name_of_a_field_is_told(tmp_path):
    text = OWN.replace("tempo = 60", 'articulations = ["tounged", "all slured", "all tongued"]')
    assert [line.split(";")[0].split("unknown ")[1] for line in refusal(own(tmp_path, text))] == [
        "articulation 'all slured'",
        "articulation 'tounged'",
    ]


def test_a_list_without_an_item_asks_for_nothing(tmp_path):
    head = OWN[: OWN.index("[[item]]")]
    for text in (head, f"{head}item = []\n"):
        assert "it asks for nothing; write an [[item]] with a phrase" in refusal(own(tmp_path, text))[0]


def test_a_list_is_found_by_its_name_however_it_is_written(tmp_path):
    folder = lists_folder()
    for name in ("florida-middle-school", "Florida middle school", "FLORIDA  Middle-School"):
        assert find_list(name, folder, tmp_path).stem == "florida-middle-school"
    with pytest.raises(RequestError, match="nearest: florida-middle-school"):
        find_list("florida-midle-school", folder, tmp_path)


def test_a_list_for_others_is_refused():
    with pytest.raises(RequestError, match="is for trombone, not for the flute"):
        required_sheet("nzmeb-trombone-8", player_named("flute"), HERE)


# Mock draws


def test_the_same_seed_draws_the_same_and_another_one_something_else():
    who = player_named("trombone")
    draws = [
        required_sheet("nzmeb-trombone-8", who, HERE, 6, random.Random(seed)).phrases for seed in (7, 7, 8, 9)
    ]
    assert draws[0] == draws[1]
    assert len({*draws}) == 3
    assert all(len(set(draw)) == 6 for draw in draws)


def test_a_draw_takes_every_exercise_of_the_list_in_time_and_one_of_its_articulations():
    who = player_named("trombone")
    asked = {"all tongued", "all slurred", "slur two tongue two", "slurred pairs"}  # NZMEB, grades 7 and 8
    seen, worn = set(), set()
    for seed in range(24):
        for phrase in required_sheet("nzmeb-trombone-8", who, HERE, 6, random.Random(seed)).phrases:
            seen.add(phrase.split(",")[0])
            worn |= {one for one in asked if one in phrase}
    whole = {phrase.split(",")[0] for phrase in required_sheet("nzmeb-trombone-8", who, HERE).phrases}
    assert seen == whole
    assert worn == asked


def test_a_list_whose_order_counts_keeps_it_in_a_draw():
    who = player_named("flute")
    whole = list(required_sheet("florida-high-school", who, HERE).phrases)
    for seed in range(5):
        drawn = [
            whole.index(p)
            for p in required_sheet("florida-high-school", who, HERE, 5, random.Random(seed)).phrases
        ]
        assert all(a < b for a, b in itertools.pairwise(drawn))


def test_no_more_can_be_drawn_than_there_is():
    with pytest.raises(RequestError, match="has 3 exercises; 4 cannot be drawn"):
        required_sheet(
            "rockschool-alto-saxophone-1", player_named("alto saxophone"), HERE, 4, random.Random(1)
        )
