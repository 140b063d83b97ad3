"""Headings as a musician would say them, every form in every figure; common practice, no source."""

import re

import pytest

from generator import exercises, player
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.request import Request
from generator.phrase.expand import build_single
from generator.practice.former_names import former, renamed
from generator.theory.pitch import NoteName

NAMES = shared_catalogue()
SAID = {
    "long tones outward from G": "Long tones outward from G",
    "G major in long tones outward": "Long tones outward from G, major scale",
    "G major in long tones along the scale": "G major in long tones",
    "G major in wheel pattern": "G major in turning figures",
    "G major in interlocking thirds": "G major in interlocking thirds",
    "G major with a dip": "G major with a dip below the tonic",
    "G major, intervals over a drone": "G major, intervals over a drone",
    "dominant seventh on G in thirds": "Dominant seventh on G in thirds (in C)",
    "V7 of C": "Dominant seventh of C (on G)",
    "half-whole octatonic on G": "Half-whole octatonic on G",
    "Hungarian minor on G": "G Hungarian minor",
    "G major, up, from the third degree": "G major, ascending, from the third degree",
}


@pytest.mark.parametrize(("phrase", "heading"), SAID.items())
def test_a_heading_reads_aloud(phrase: str, heading: str) -> None:
    (made,) = exercises(phrase, player=player("flute"))
    assert made.heading == heading


@pytest.mark.parametrize("form", NAMES.forms.rows, ids=lambda row: row.name)
def test_every_form_in_every_figure_is_one_plain_line(form: object) -> None:
    wide = player("clarinet in B-flat", level="extended")
    for figure in NAMES.figures.rows:
        try:
            made = build_single(Request(form, keys=(NoteName(4),), figure=figure), wide)  # type: ignore[arg-type]
        except DoesNotFitError:
            continue
        heading = made.heading
        assert heading[0].isupper()
        # Nothing twice, no cell left in braces, brackets at the end of what is named, and no words of the data.
        assert not re.search(r"[{}]|\b(\w+) \1\b|\) [a-z]|  |wheel|straight|degree \d| ,", heading), heading
        assert not re.search(r" on G.* on G\b| in [A-Z]\w+ on ", heading), heading


@pytest.mark.parametrize(
    ("before", "today"),
    [
        ("chromatic on B-flat in long tones outward, pp", "long tones outward from B-flat, pp"),
        ("G major in wheel pattern", "G major in turning figures"),
        (
            "octatonic, half-whole on F-sharp in interlocking",
            "half-whole octatonic on F-sharp in interlocking thirds",
        ),
        (
            "G major in straight with a dip, from the third degree",
            "G major with a dip, from the third degree",
        ),
        ("G major in intervals over a drone", "G major, intervals over a drone"),
    ],
)
def test_names_of_before_are_names_of_today(before: str, today: str) -> None:
    assert (renamed(before), former(today), renamed(today)) == (today, before, today)
