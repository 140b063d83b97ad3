"""``list``: every name under a heading, with what it means and a phrase that works."""

import json

import pytest

from generator.catalogue.explained import explained
from generator.catalogue.tables import shared_catalogue
from generator.cli.listing import KINDS
from generator.phrase.read import parse_all
from tests.fixtures.command import run_here

NAMES = shared_catalogue()
PHRASES = [kind for kind in KINDS if kind not in ("instruments", "lists")]


@pytest.mark.parametrize("kind", PHRASES)
def test_every_name_has_a_heading_a_meaning_and_a_phrase_that_works(kind: str) -> None:
    for row in explained(kind, NAMES):
        assert row.group, row.name
        assert row.about, row.name
        assert parse_all(row.example, NAMES), row.example
        assert (
            row.name.casefold() in row.example.casefold()
            or row.example.endswith(row.name)
            or kind == "clauses"
        )


@pytest.mark.parametrize("kind", KINDS)
def test_a_list_shows_names_in_groups_and_tells_them_as_data(kind: str) -> None:
    lines = run_here("list", *kind.split()).succeeds()
    rows = json.loads("\n".join(run_here("list", *kind.split(), "--json").succeeds()))
    shown = [line.split("  ")[1].strip() for line in lines if line.startswith("  ") and line[2:3] != " "]
    assert sorted(shown) == sorted(row["name"] for row in rows)
    headings = [line for line in lines if line and not line.startswith(" ")]
    assert [h.casefold() for h in headings] == list(dict.fromkeys(row["group"].casefold() for row in rows))
    assert all(row["example"] and row["about"] for row in rows)


def test_what_a_figure_and_a_form_mean_is_told_by_degrees_and_notes() -> None:
    # By hand: broken thirds 13 24 35, the harmonic minor scale of C, slur two tongue two.
    told = {
        row.name: row.about
        for kind in ("figures", "forms", "articulations")
        for row in explained(kind, NAMES)
    }
    assert told["thirds"] == "1 3, 2 4, 3 5 ..."
    assert told["harmonic minor"] == "on C: C D Eb F G Ab B"
    assert told["slur two tongue two"] == "slur 2, staccato 2"
