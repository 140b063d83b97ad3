"""The second lock: a finished page text with anything unknown in it is refused."""

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.engraving.escape import ly_string, syllable_string
from generator.engraving.inspect_text import check
from generator.errors import EngravingError

ALLOWED = frozenset(
    {r"\version", r"\include", r"\header", r"\score", r"\new", r"\key", r"\major", r"\time"}
) | {
    *(r"\break", r"\book", r"\bookOutputName", r"\addlyrics", r"\markup", r"\<", r"\!"),
}

PAGE = r"""
\version "2.24.0"
#(set-default-paper-size "a4")
#(set-global-staff-size 18.5)
\include "house.ily"
% a comment may say #(anything) or \whatever
\header { title = "No. 7: \"B\\#\" #(quit) \\quit $x %{" tagline = ##f }
\score {
  \new Staff { \key g \major \time 4/4
    c'16\< d' e' f'  g'4-. a'4-^ b'4\! |  % bar 1
    \break
  }
  \addlyrics { "tu" "ku" }
  \header { number = #12 ragged = ##t shift = #-1.5 }
}
\book { \bookOutputName "b-flat-major-2" \score { c'4 } }
"""


def test_a_usual_page_passes() -> None:
    check(PAGE, ALLOWED)
    check(PAGE.replace("\n", "\r\n"), ALLOWED)
    check("", frozenset())


def test_words_may_be_listed_with_or_without_their_backslash() -> None:
    check(r"\score { c\< }", frozenset({r"\score", r"\<"}))
    check(r"\score { c\< }", frozenset({"score", "<"}))
    with pytest.raises(EngravingError, match=r"line 1 .*\\score"):
        check(r"\score { c }", frozenset({"scor", "core", "scores"}))


@pytest.mark.parametrize(
    "bad",
    [
        "#(quit)",
        "$(quit)",
        "#@(list)",
        "$x",
        "#x",
        "#'symbol",
        "##tf",
        "##f(quit)",
        "#18(quit)",
        "#1/2",
        '#(set-default-paper-size "a4landscape")',
        '#(set-default-paper-size "a4" (quit))',
        "#(set-global-staff-size (quit))",
        '#"a string"',
        "#{ c #}",
        r"\quit",
        r"\scores",
        r"\score-x",
        r"\>",
        "\\\\",
        r"\1",
        r'\"score" { c }',
        r'\include "/etc/passwd"',
        r'\include "../house.ily"',
        "\\include \\filename",
        r'\bookOutputName "../../x"',
        r"\bookOutputName name",
        "%{ hidden #(quit) %}",
        "%}",
        "c4%# a comment that is none inside a lyric word",
        "tu\u00a0% #(quit)",
        '"an open string',
        '"closed" and "open \\"',
        '"a NUL \0 in a string"',
        "a NUL \0",
        "a bell \a",
        "\ufeff",
        "\ud800",
        "% a comment\r#(quit)",
    ],
)
def test_one_unknown_thing_is_refused_and_named_with_its_line(bad: str) -> None:
    with pytest.raises(EngravingError, match=r"^line 16 of the page text holds .* no page of ours uses$"):
        check(PAGE.replace("c'4 }", bad + " }"), ALLOWED)


def test_words_that_move_files_cannot_even_be_allowed() -> None:
    with pytest.raises(EngravingError, match="bookOutputSuffix"):
        check(r'\bookOutputSuffix "x"', frozenset({"bookOutputSuffix"}))


@given(st.text(st.characters(exclude_categories=()), max_size=300))
def test_every_properly_quoted_text_passes(text: str) -> None:
    check(f"\\header {{ title = {ly_string(text)} }} \\addlyrics {{ {syllable_string(text)} }}\n", ALLOWED)


TRICKS = (
    '"',
    "\\",
    "#",
    "$",
    "(",
    ")",
    "%",
    "{",
    "}",
    "\n",
    "\r",
    " ",
    "quit",
    "score",
    "\\quit",
    "#(quit)",
    "a",
)


@given(st.lists(st.sampled_from(TRICKS), max_size=12).map("".join))
def test_no_quoting_trick_hides_a_call_from_a_plain_reader(text: str) -> None:
    """Read character by character, with LilyPond's rules for strings and line comments and nothing else."""
    page = f'x = "{text}"\n'
    outside, i = [], 0
    while i < len(page):
        if page[i] == '"':
            i += 1
            while i < len(page) and page[i] != '"':
                i += 2 if page[i] == "\\" else 1
        elif page[i] == "%" and page[i + 1 : i + 2] != "{":
            while i < len(page) and page[i] not in "\r\n":
                i += 1
        else:
            outside.append(page[i])
        i += 1
    rest = "".join(outside)
    if re.search(r"[#$]|\\(?!score\b)", rest):
        with pytest.raises(EngravingError):
            check(page, ALLOWED)
