"""Reading a phrase takes work in proportion to its length, whatever stands in it.

No time is measured here: what is counted is how often a place is looked at. tests/benchmarks/phrase_speed.py measures.
"""

import contextlib

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.phrase.read import LONGEST_PHRASE, parse_all
from generator.phrase.vocabulary import Vocabulary

NAMES = shared_catalogue()
# Places at which names were looked up, for each word; what is offered in place of one adds a fixed number of phrases.
FOR_EACH_WORD, BESIDES = 40, 4000
HOSTILE = [
    "a ", "the ", "and ", "C and ", "C major, ", "from low ", "in 1 ", "1 2 ", "up to ", "at at ", "harmonic ",
    "major ",
    "slur ", "slurred in groups of ", "G majr and ", "C major arpeggio and ", "relative minors of ", "p to ", "low ",
    "dotted eighth and ", "starting on the 11th ", "all the twelve ", "two sharps and ", "zzz ", "q = ", "6/8 ",
    "thirds and ",
    "C/", "C7, ", "tongued up ", "1,2,", "sixteenth and ", "both names ", "then ", "its ", "f to ", "twice ",
]  # fmt: skip


class Counting(Vocabulary):
    """Counts how often names are looked for."""

    looked = 0

    def longest(self, words, at):
        Counting.looked += 1
        return super().longest(words, at)


@pytest.fixture
def counting(monkeypatch: pytest.MonkeyPatch) -> type[Counting]:
    vocabulary = Counting(NAMES)
    monkeypatch.setattr("generator.phrase.cursor.vocabulary_of", lambda _names: vocabulary)
    Counting.looked = 0
    return Counting


@pytest.mark.parametrize("part", HOSTILE)
@pytest.mark.parametrize("head", ["", "C major, "])
def test_the_work_grows_with_the_words_and_not_with_their_square(
    part: str, head: str, counting: type[Counting]
) -> None:
    text = (head + part * LONGEST_PHRASE)[:LONGEST_PHRASE]
    with contextlib.suppress(RequestError):
        parse_all(text, NAMES)
    assert counting.looked <= FOR_EACH_WORD * len(text.split()) + BESIDES
