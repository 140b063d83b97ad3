"""A person's words on one clean line, and as the stem of a file's name."""

import re
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.files.text import clean, slug
from tests.fixtures.hostile_text import ANYTHING, HOSTILE

# Unicode Standard Annex 9, "Directional Formatting Characters".
BIDIRECTIONAL_CONTROLS = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


@given(ANYTHING | HOSTILE, st.integers(1, 250))
def test_clean_text_is_one_short_composed_line_of_printable_characters(text: str, limit: int) -> None:
    line = clean(text, limit)
    assert len(line) <= limit
    assert line == clean(line, limit)
    assert unicodedata.is_normalized("NFC", line)
    assert line == line.strip()
    assert "  " not in line
    assert not [c for c in line if unicodedata.category(c) in {"Cc", "Cs", "Cn", "Co", "Zl", "Zp"}]
    assert not set(line) & {*BIDIRECTIONAL_CONTROLS, "\ufeff"}
    line.encode()


@pytest.mark.parametrize(
    ("typed", "kept"),
    [
        ("G major", "G major"),
        (" two\n lines\tand\u2028more\u00a0", "two lines and more"),
        ("e\u0301tude", "\u00e9tude"),
        ("e\u200b\u0301", "\u00e9"),
        ("\ufeffDvo\u0159\u00e1k\0", "Dvo\u0159\u00e1k"),
        ("abc\u202edef", "abcdef"),
        ("\u05e9\u05dc\u05d5\u05dd", "\u05e9\u05dc\u05d5\u05dd"),
        ("\U0001f469\u200d\U0001f3a4", "\U0001f469\u200d\U0001f3a4"),
        ('say "hi" \\ #(x)', 'say "hi" \\ #(x)'),
        ("", ""),
    ],
)
def test_letters_survive_and_only_the_invisible_is_dropped(typed: str, kept: str) -> None:
    assert clean(typed) == kept


def test_every_bidirectional_control_is_dropped_but_arabic_number_signs_are_not() -> None:
    for control in BIDIRECTIONAL_CONTROLS:
        assert clean(f"ab{control}cd") == "abcd"
    assert clean("\u0600\u0661") == "\u0600\u0661"


def test_a_long_text_ends_in_an_ellipsis_and_parts_no_letter_from_its_accent() -> None:
    assert clean("a" * 5000) == "a" * 199 + "\u2026"
    assert clean("a" * 200) == "a" * 200
    assert clean("ab x\u0323\u0307cd", limit=5) == "ab\u2026"


@pytest.mark.parametrize(
    ("text", "stem"),
    [
        ("B\u266d major in thirds", "b-flat-major-in-thirds"),
        ("F# minor, 2 octaves", "f-sharp-minor-2-octaves"),
        ("F\u266f", "f-sharp"),
        ("C##", "c-sharp-sharp"),
        ("No. #1", "no-1"),
        ("Dvo\u0159\u00e1k & Stra\u00dfe", "dvorak-strasse"),
        ("Player's own", "players-own"),
        ("../../etc/passwd", "etc-passwd"),
        ("-rf *", "rf"),
        ("CON", "x-con"),
        ("nul", "x-nul"),
        ("COM\u00b9", "x-com1"),
        ("\u6f22\u5b57", "sheet"),
        ("", "sheet"),
        ("   \0", "sheet"),
    ],
)
def test_file_name_stems(text: str, stem: str) -> None:
    assert slug(text) == stem


@given(ANYTHING | HOSTILE, st.integers(8, 80))
def test_every_stem_is_a_safe_name(text: str, limit: int) -> None:
    stem = slug(text, limit)
    assert re.fullmatch(r"[a-z0-9]([a-z0-9-]*[a-z0-9])?", stem)
    assert len(stem) <= limit
    # Device names: Microsoft, "Naming Files, Paths, and Namespaces".
    assert not re.fullmatch(r"con|prn|aux|nul|com\d|lpt\d", stem)
    assert slug(stem, limit) == stem
