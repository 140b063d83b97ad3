"""Matching names as people write them, and any text at all in place of a phrase."""

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from generator.catalogue.names import fold, nearest, words_of
from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError, UnknownNameError
from generator.phrase.read import parse
from generator.phrase.write import canonical

NAMES = shared_catalogue()
VOCABULARY = sorted(
    {
        word
        for table in (NAMES.forms, NAMES.figures, NAMES.spans, NAMES.rhythms, NAMES.articulations)
        for row in table.rows
        for word in (row.name, *row.aliases)
    }
)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Slur 2, Tongue 2", "slur-two tongue-two"),
        ("E♭ Clarinet", "eb clarinet"),
        ("F♯", "f#"),
        ("half\u2013whole", "half whole"),
        ("cor  anglais", "Cor-Anglais"),
        ("C & D", "c and d"),
        ("oboe d\u2019amore", "OBOE D\u2019AMORE"),
    ],
)
def test_names_that_are_the_same(one: str, other: str) -> None:
    assert fold(one) == fold(other)


@pytest.mark.parametrize(("one", "other"), [("F#", "F"), ("Eb", "E"), ("thirds", "third"), ("C", "C#")])
def test_names_that_are_not_the_same(one: str, other: str) -> None:
    assert fold(one) != fold(other)


def test_words_know_their_places() -> None:
    text = "  E♭ major, in 3rds"
    for word in words_of(text):
        assert text[word.place - 1 :].startswith(word.text)
    assert [w.after_comma for w in words_of(text)] == [False, False, True, False]


@pytest.mark.parametrize(
    ("typed", "names", "best"),
    [
        ("majr", ["minor", "major"], "major"),
        ("minor", ["major", "harmonic minor", "melodic minor"], "harmonic minor"),
        ("slur 2 tong 2", ["slur two tongue two", "staccato"], "slur two tongue two"),
    ],
)
def test_nearest_names(typed: str, names: list[str], best: str) -> None:
    assert nearest(typed, names)[0] == best
    assert nearest("zzzz", names) == ()


WORDS = st.sampled_from(
    [
        *VOCABULARY,
        *(
            "G",
            "E-flat",
            "F#",
            "b",
            "a",
            "all keys",
            "concert",
            "written",
            "in",
            "on",
            "and",
            ",",
            "from the",
            "every",
        ),
        *(
            "quarter =",
            "80",
            "6/8",
            "/",
            "up",
            "down",
            "to",
            "by",
            "²",
            "٣",
            "=",
            "♩",
            "the",
            "scale",
            "999999",
        ),
    ]
)


@settings(max_examples=200)
@given(st.lists(WORDS, max_size=8).map(" ".join) | st.text(max_size=40))
@example("G major in ²/4")
@example("G major, quarter = ²")
@example("G major ²")
@example("G major in")
@example("all")
@example("a")
@example("a G")
@example("from")
@example("concert")
@example("in ٣/4 G major")
def test_whatever_is_written_is_read_or_refused_in_one_line(text: str) -> None:
    try:
        request = parse(text, NAMES)
    except RequestError as error:
        refusal = error
    else:
        assert parse(canonical(request), NAMES) == request
        return
    assert "\n" not in str(refusal) or "\n" in text
    if isinstance(refusal, UnknownNameError):
        assert refusal.position is not None
        assert 1 <= refusal.position <= len(text) + 1
