"""Phrases as players, teachers and jazz players type them, with what they stand for (tests/data/said.toml)."""

import tomllib
from pathlib import Path

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, PhraseError, RequestError
from generator.phrase.expand import orders
from generator.phrase.read import parse_all
from generator.phrase.write import canonical

NAMES = shared_catalogue()
SAID = tomllib.loads((Path(__file__).parents[1] / "data" / "said.toml").read_text("utf-8"))
UNDERSTOOD = [
    (said, [meant] if isinstance(meant, str) else meant)
    for rows in SAID.values()
    for said, meant in rows.items()
    if not isinstance(meant, dict)
]
REFUSED = [
    (said, meant["offers"])
    for rows in SAID.values()
    for said, meant in rows.items()
    if isinstance(meant, dict)
]


def asked(phrase: str) -> list[str]:
    return [canonical(request) for request in parse_all(phrase, NAMES)]


def test_there_are_more_than_four_hundred() -> None:
    assert len(UNDERSTOOD) + len(REFUSED) > 400
    assert len(SAID) >= 8


@pytest.mark.parametrize(("said", "meant"), UNDERSTOOD, ids=[said for said, _ in UNDERSTOOD])
def test_a_phrase_asks_for_what_was_meant(said: str, meant: list[str]) -> None:
    assert asked(said) == meant
    # What a phrase is written as means the same again.
    assert [one for phrase in meant for one in asked(phrase)] == meant


@pytest.mark.parametrize(("said", "offer"), REFUSED, ids=[said for said, _ in REFUSED])
def test_a_refusal_offers_what_was_meant_and_nothing_that_fails(said: str, offer: str) -> None:
    with pytest.raises(PhraseError) as caught:
        parse_all(said, NAMES)
    error = caught.value
    assert 1 <= len(error.suggestions) <= 3
    assert offer in ["; ".join(asked(phrase)) for phrase in error.suggestions]
    assert all(phrase in str(error) for phrase in error.suggestions)
    assert 1 <= error.span[0] <= error.span[1] <= len(said)
    assert "\n" not in str(error)
    for phrase in error.suggestions:
        assert built(phrase), phrase


def built(phrase: str) -> bool:
    """Whether somebody can play it."""
    winds = ("clarinet in B-flat", "trumpet in B-flat", "tenor saxophone", "flute")
    for name in (*winds, "violin", "marimba", "classical guitar"):
        try:
            return all(order.make().bars for order in orders(phrase, player_named(name)))
        except DoesNotFitError:
            continue
    return False


@pytest.mark.parametrize("said", [said for said, _ in UNDERSTOOD])
def test_what_is_understood_can_be_played(said: str) -> None:
    assert built(said)


def test_the_phrase_of_a_refusal_is_data() -> None:
    with pytest.raises(PhraseError) as caught:
        parse_all("G majr in thirds", NAMES)
    error = caught.value
    assert (error.text, error.span) == ("G majr in thirds", (3, 6))
    assert error.text[error.span[0] - 1 : error.span[1]] == "majr"
    assert "form" in error.expected
    assert error.suggestions[0] == "G major in thirds"
    assert isinstance(error, RequestError)
