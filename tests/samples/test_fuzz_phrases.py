"""Phrases and other short texts: read and built, or refused in readable lines, in little time."""

from hypothesis import given
from hypothesis import strategies as st

from tests.exhaustive.fuzzing.drawn import ODD, PIECES, examples, requests_said, sentences
from tests.exhaustive.fuzzing.sound import SMALL, seeds
from tests.exhaustive.fuzzing.targets import phrase, small_words, tempo


def test_the_valid_phrases_are_read_and_built() -> None:
    assert all(phrase(seed[1:].decode()) for seed in seeds("phrase"))


@examples(250)
@given(sentences())
def test_any_sentence(text: str) -> None:
    phrase(text)


@examples(250)
@given(requests_said())
def test_a_sentence_that_nearly_means_something(text: str) -> None:
    phrase(text)


@examples(60)
@given(st.lists(st.sampled_from((*SMALL, *ODD)), min_size=1, max_size=4), st.integers(1, 10_000))
def test_the_same_words_again_and_again(words: list[str], length: int) -> None:
    text = " ".join(words) + " "
    phrase((text * (length // len(text) + 1))[:length])


@examples(60)
@given(st.text(max_size=300) | st.text(st.characters(codec=None, categories=("Mn", "Cf", "Cs", "Cc", "Nd"))))
def test_any_text_at_all(text: str) -> None:
    phrase(text)


@examples(120)
@given(PIECES | st.lists(PIECES, max_size=4).map(",".join) | st.text(max_size=80))
def test_notes_levels_formats_and_instruments(text: str) -> None:
    small_words(text)


@examples(80)
@given(
    st.lists(
        st.sampled_from(("80", "to", "by", "-", "400", "401", "0", "4", ",", "up", *ODD)), max_size=5
    ).map(" ".join)
)
def test_tempi(text: str) -> None:
    tempo(text)
