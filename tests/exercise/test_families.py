"""Nobody is told to do what their instrument has no word for: a page speaks to the family that reads it."""

import pytest

from generator.catalogue.tables import Catalogue
from generator.exercise.articulation import SEVERAL, TONGUED
from generator.phrase import expand
from generator.phrase.read import parse
from generator.phrase.write import canonical
from tests.exercise.conftest import MakeOne

# One of each way of sounding that is not tongued (common practice).
HANDS = ["violin", "double bass", "classical guitar", "xylophone", "marimba", "alto voice", "bass voice"]


def told(text: str) -> bool:
    return "tongu" in text.casefold()


# Source: Australian Music Examinations Board, strings, notes on bowings: "detached or separate bows", "notes to a
# bow", "slurred staccato" for several short notes in one bow.
@pytest.mark.parametrize(("asked", "said"), [
    ("all tongued", "separate bows"), ("slurs of four", "four notes to a bow"), ("slurred pairs", "two notes to a bow"),
    ("portato", "slurred staccato, four to a bow"), ("all slurred", "all slurred"), ("staccato", "staccato"),
])  # fmt: skip
def test_a_string_player_reads_the_terms_of_the_bow(make: MakeOne, asked: str, said: str) -> None:
    made = make(f"D major, two octaves, {asked}", instrument="violin")
    assert made.heading == f"D major, two octaves, {said}"
    assert made.phrase == f"D major, two octaves, {asked}"


@pytest.mark.parametrize("instrument", HANDS)
def test_every_articulation_speaks_to_the_family_and_keeps_one_phrase(
    names: Catalogue, instrument: str
) -> None:
    player = names.instruments.find(instrument)
    for row in names.articulations.rows:
        if row.winds and player.wind not in row.winds:
            continue
        for phrase in (f"C major, eight counts, {row.name}", f"C major, {row.name}"):
            try:
                made = expand.exercises([phrase], _player(instrument)).exercises[0]
            except expand.DoesNotFitError:
                continue
            assert not told(made.heading), made.heading
            assert canonical(parse(made.phrase, names)) == made.phrase


def _player(name: str) -> expand.Player:
    return expand.player_named(name)


def test_what_a_page_says_can_be_typed_and_means_the_same(names: Catalogue) -> None:
    seen = 0
    for row in names.articulations.rows:
        for wind, words in row.said:
            assert not told(words)
            assert wind not in TONGUED
            if words:
                seen += 1
                assert parse(f"C major, {words}", names).articulation == row
                assert row.words_for(wind) == words
    assert seen > 80


def test_each_way_of_sounding_has_its_word_where_the_name_is_the_wind_players(names: Catalogue) -> None:
    others = {i.wind for i in names.instruments.rows} - TONGUED
    for row in names.articulations.rows:
        if told(row.name):
            assert not [wind for wind in others if told(row.words_for(wind))], row.name
            assert row.words_for("reed") == row.name
        if told(row.name) and not row.winds:
            assert not told(row.words_for(SEVERAL)), row.name


def test_up_and_down_are_ways_of_the_bow_and_not_of_the_line(make: MakeOne, names: Catalogue) -> None:
    made = make("G major, tongued up, slurred down", instrument="viola")
    assert made.heading == "G major, separate bows rising, all slurred falling"
    assert parse(made.heading, names) == parse(made.phrase, names)
    flute = make("G major, tongued up, slurred down")
    assert flute.heading == "G major, all tongued up, all slurred down"


def test_a_drummers_heading_says_nothing_of_the_tongue(make: MakeOne) -> None:
    made = make("C major, one octave, slur two tongue two", instrument="snare drum")
    assert (made.head, made.concert_heading) == (
        "Rhythm", "C major, one octave, single paradiddles, the double first",
    )  # fmt: skip
    twice = make("C major, one octave, double tongue", instrument="snare drum")
    assert twice.concert_heading == "C major, one octave, two strokes on each note"
