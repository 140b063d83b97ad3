"""Cautions: due where the work is high, low, loud, long or fast, over partials or against a drone, and only there."""

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.exercise.caution import WHENS
from generator.pages.cautions import caution
from generator.phrase import expand

ROWS = shared_catalogue().cautions.rows
HIGHEST = "a fifth, from the top octave"


def told(instrument: str, *phrases: str, level: str = "standard", high: str | None = None) -> str:
    who = player_named(instrument, level, high=high)
    return caution(expand.exercises(phrases, who).exercises, who, ROWS)


# What is due for whom: BAPAM, "Ten top health tips" (rest, never in pain), NIOSH (hearing), brass teachers' custom
# (rest as long as you play), Phillips and Mace 2008 (brass loudest in practice rooms).
@pytest.mark.parametrize(
    ("instrument", "phrase", "level", "words"),
    [
        ("alto saxophone", "G major", "standard", ""),
        ("alto saxophone", "G major", "extended", "High work: short turns"),
        ("trumpet", "C major", "extended", "rest as long as you play"),
        ("trumpet", f"F major, {HIGHEST}", "standard", "High work: rest as long as you play"),
        ("trumpet", "G major, a fifth", "standard", ""),
        ("trumpet", "lip slurs", "standard", "lurs over the partials: rest as long as you play"),
        ("alto saxophone", "overtones", "standard", "vertones: short turns"),
        ("piccolo", "C major", "extended", "loud at the ear"),
        ("flute", f"E major, {HIGHEST}", "standard", "loud at the ear"),
        ("flute", "G major, quarter = 160", "standard", "Fast work: rest often"),
        ("violin", "G major, quarter = 160", "standard", "Fast work: rest often"),
        ("violin", "G major", "standard", ""),
        ("violin", f"A major, {HIGHEST}", "standard", "High positions"),
        ("cello", f"C major, {HIGHEST}", "standard", "High positions"),
        ("trombone", "long tones on F", "standard", "Long tones: rest often"),
        ("soprano voice", f"C major, {HIGHEST}", "standard", "High singing: short turns"),
        ("bass voice", "F major, a fifth", "standard", "Low singing"),
        ("soprano voice", "long tones on A", "standard", "turn hoarse"),
        ("trumpet", "C major, marcato", "standard", "protect your hearing"),
        ("xylophone", "C major, accented", "standard", "protect your hearing"),
        ("xylophone", "C major", "standard", ""),
        ("snare drum", "C major", "standard", "protect your hearing"),
        ("practice pad", "C major", "standard", ""),
        ("flute", "D major in intervals over a drone", "standard", "one ear only"),
    ],
)
def test_a_caution_stands_where_it_is_due_and_only_there(
    instrument: str, phrase: str, level: str, words: str
) -> None:
    text = told(instrument, phrase, level=level)
    assert words in text
    assert bool(text) == bool(words)
    if text:
        # They defer to a teacher or clinician (BAPAM).
        assert text.endswith("and ask a teacher or clinician.")


def test_it_is_the_players_own_notes_that_count() -> None:
    line = "C major, a fifth, from the top octave"
    assert told("alto saxophone", line) == ""
    assert "High work" in told("alto saxophone", line, high="G5")
    # Who has hardly an octave has no top third to speak of.
    assert told("alto saxophone", "C major, a fifth", high="G4") == ""


def test_more_than_one_is_told_when_more_than_one_is_due_and_each_advice_once() -> None:
    text = told("trumpet", "lip slurs", f"F major, {HIGHEST}", "long tones on G", "C major, marcato")
    assert text.count("rest as long as you play") == 1
    assert text.startswith("High work, slurs over the partials and loud work: rest as long as you play")
    assert "Long tones: rest often" in text
    assert "Loud playing: protect your hearing" in text
    assert text.count("teacher or clinician") == 1


def test_a_drone_in_the_sound_file_counts_as_one_on_the_page() -> None:
    who = player_named("oboe")
    (made,) = expand.exercises(["G major"], who).exercises
    assert caution([made], who, ROWS) == ""
    assert "With a drone: keep it soft" in caution([made], who, ROWS, also=("drone",))


def test_every_row_can_come_due_and_is_no_diagnosis() -> None:
    assert {row.when for row in ROWS} == set(WHENS)
    for row in ROWS:
        text = f"{row.work} {row.advice} {row.stop}".casefold()
        assert not [word for word in ("injury", "syndrome", "disease", "diagnos", "cure") if word in text]
    (source,) = {row.stop for row in ROWS if row.stop}
    assert source == "it hurts or you turn hoarse"
