"""A concert key is read as the same key whichever command writes it out."""

from collections.abc import Callable

import pytest

from generator import exercises, player
from generator.catalogue.tables import shared_catalogue
from generator.documents.plan_row import keep_of
from generator.phrase.read import parse
from generator.practice.gathering import Gathering, Wanted
from generator.section.rehearsal import Rehearsal

FORMS = ("major", "harmonic minor", "dorian", "altered", "half-diminished seventh", "whole-tone")
KEYS = ("C", "Db", "D", "Eb", "E", "F", "F#", "Gb", "G", "Ab", "A", "Bb", "B", "Cb", "C#")
INSTRUMENTS = (
    "flute",
    "clarinet in B-flat",
    "alto saxophone",
    "horn in F",
    "clarinet in A",
    "alto flute",
    "tuba",
)


@pytest.mark.parametrize("instrument", INSTRUMENTS)
def test_sheet_plan_and_handout_write_a_concert_key_alike(
    instrument: str, pages: Callable[..., Rehearsal]
) -> None:
    who = player(instrument)
    for form in FORMS:
        for key in KEYS:
            phrase = f"concert {key} {form}, a fifth, quarters"
            (printed,) = exercises(phrase, player=who)
            (part,) = pages(instrument, phrase).parts
            assert part.exercises[0].key == printed.key, phrase
            assert part.exercises[0].concert_heading == printed.concert_heading, phrase
            gathered = Gathering(who)
            gathered.add(Wanted(keep_of(parse(phrase, shared_catalogue()), phrase, 1)))
            (entry,) = gathered.entries.values()
            assert entry.tonics == printed.key, phrase


@pytest.mark.parametrize(
    ("phrase", "key"),
    [
        # Table 6.1 of the Idiot's Guide, chapter 18: clarinets read D-flat for concert B, five flats for seven sharps.
        ("concert B major", "Db"),
        ("concert B major, sharp names", "C#"),
        ("concert E major", "F#"),
        ("concert E major, flat names", "Gb"),
    ],
)
def test_a_clarinet_reads_the_fewest_signs_unless_names_are_asked_for(phrase: str, key: str) -> None:
    (printed,) = exercises(phrase, player=player("clarinet in B-flat"))
    assert printed.key == key


@pytest.mark.parametrize(
    ("phrase", "instrument", "concert"),
    [
        # As players call notes to one another; common practice, no source.
        ("B-flat blues", "alto saxophone", "D-flat"),
        ("F blues", "alto saxophone", "A-flat"),
        ("C whole-tone", "alto saxophone", "E-flat"),
        ("A-flat major", "alto saxophone", "B"),
        ("E-flat major", "alto saxophone", "G-flat"),
        ("C-sharp harmonic minor", "clarinet in B-flat", "B"),
        ("B-flat harmonic minor", "alto saxophone", "C-sharp"),
        ("concert B-flat half-diminished seventh", "alto saxophone", "B-flat"),
        ("concert D-flat dorian", "alto saxophone", "D-flat"),
        ("concert D-flat altered", "alto saxophone", "D-flat"),
    ],
)
def test_the_concert_note_is_called_as_players_call_it(phrase: str, instrument: str, concert: str) -> None:
    (printed,) = exercises(phrase, player=player(instrument))
    assert printed.concert_heading == f"concert {concert}"


def test_a_drone_is_called_as_the_page_calls_its_key() -> None:
    (printed,) = exercises("C-sharp major in long tones along the scale", player=player("flute"))
    assert (printed.key, printed.drone) == ("C#", "C-sharp")
