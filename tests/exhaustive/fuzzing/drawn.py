"""How often drawn tests run, and odd texts to draw: Unicode that looks like ours, cuts, doublings, misspellings.

SCALEWRIGHT_EXAMPLES=5000 in the environment runs every drawn test that often, on fresh examples.
"""

import os

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st

from tests.exhaustive.fuzzing.sound import vocabulary

_WANTED = int(os.environ.get("SCALEWRIGHT_EXAMPLES", "0"))
WORDS = vocabulary()
# Look-alikes and marks: full-width and dotless letters, joiners, directions, accidentals of every kind, digits of
# other scripts, a lone surrogate, NUL, terminal commands.
ODD = (
    "e\u0301", "\u0301", "\u0327\u0301", "\uff27", "\uff4d\uff41\uff4a\uff4f\uff52", "\u0131", "\u0130",
    "\u017f", "ß", "\u212a", "\u200d", "\u200c", "\u200f", "\u202e", "\ufeff", "♭", "♭♭", "♯", "♮", "𝄪", "𝄫",
    "\uff03", "²", "٣", "\u09ea", "½", "①", "\ud800", "\udcff", "\0", "\x1b[2J", "\x7f", "\u2028", "\x85", "\r",
    "\n", "\t", "\u00a0", "\u3000", "’", "“", "–", "_", "__", "\u00b4", "&", "/", "//", "=", "==", ".", ",",
    ",,", ";", ":", "(", ")", "%", "{}", "{0}", "%s", "\\", '"', "'", "🎷", "👩\u200d🎤", "1e999", "-1", "0",
    "00080", "9" * 30, "9" * 1500, "x" * 1200, "♭" * 500, "\u0300\u0316" * 300,
)  # fmt: skip


def examples(usual: int) -> settings:
    """Settings of a drawn test that usually runs so often."""
    return settings(
        max_examples=max(usual, _WANTED),
        deadline=None,  # the targets measure time themselves, without that of other programs
        derandomize=not _WANTED,
        suppress_health_check=[HealthCheck.too_slow],
    )


@st.composite
def misspelt(draw: st.DrawFn) -> str:
    """A word of the vocabulary that is cut, doubled, turned, capitalised or has something odd in it."""
    word = draw(st.sampled_from(WORDS))
    place = draw(st.integers(0, len(word)))
    match draw(st.integers(0, 7)):
        case 0:
            return word[:place]
        case 1:
            return word + word
        case 2:
            return word[:place] + word[place + 1 :]
        case 3:
            return word[::-1]
        case 4:
            return word.upper() if place % 2 else word.swapcase()
        case 5:
            return word[:place] + draw(st.sampled_from(ODD)) + word[place:]
        case 6:
            return " ".join([word] * draw(st.integers(2, 30)))
        case _:
            return word.replace(" ", draw(st.sampled_from(("-", ",", "_", "  ", ""))))


PIECES = (
    st.sampled_from(WORDS)
    | st.sampled_from(WORDS)
    | misspelt()
    | st.sampled_from(ODD)
    | st.integers(-5, 10**6).map(str)
    | st.text(max_size=8)
)
JOINTS = st.sampled_from((" ", " ", ", ", ",", " in ", " and ", " on ", ""))


@st.composite
def sentences(draw: st.DrawFn) -> str:
    """Pieces of a phrase in any order, more often than not after a key and a form."""
    head = draw(
        st.sampled_from(
            ("", "G major", "all keys, ", "whole-tone on C and D-flat", "concert B♭ ", "lip slurs")
        )
    )
    parts = draw(st.lists(st.tuples(JOINTS, PIECES), max_size=6))
    return head + "".join(joint + piece for joint, piece in parts)


@st.composite
def requests_said(draw: st.DrawFn) -> str:
    """A key, a form and clauses that all mean something, so that most are read."""
    key = draw(
        st.sampled_from(
            ("G", "E-flat and F#", "all keys,", "all flat keys,", "concert C", "a", "B♭", "usual band keys,")
        )
    )
    form = draw(st.sampled_from(WORDS))
    clauses = draw(st.lists(st.sampled_from(WORDS), max_size=3))
    return ", ".join([f"{key} {form}", *clauses])
