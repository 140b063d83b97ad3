"""Typed lines. What a sign means is the ABC standard 2.1 (abcnotation.com/wiki/abc:standard:v2.1), by section."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.errors import RequestError
from generator.passage.abc_reader import read_abc
from generator.passage.records import ReadNote


def notes(text: str) -> list[ReadNote]:
    return [note for bar in read_abc(text).bars for note in bar.notes]


def said(text: str) -> str:
    return " ".join(f"{note.pitch or 'z'}:{note.value.length}" for note in notes(text))


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("[K:C][L:1/8] C, c c'", "C3:1/8 C5:1/8 C6:1/8"),  # 4.1
        ("[K:C][L:1/8] ^c _c =c ^^c __c", "C#5:1/8 Cb5:1/8 C5:1/8 C##5:1/8 Cbb5:1/8"),  # 4.2
        ("[K:C][L:1/8] c2 c/ c// c3/2 c/4", "C5:1/4 C5:1/16 C5:1/32 C5:3/16 C5:1/32"),  # 4.3
        ("[K:C][L:1/8] c>d e<f g>>a", "C5:3/16 D5:1/16 E5:1/16 F5:3/16 G5:7/32 A5:1/32"),  # 4.4
        ("[K:C][L:1/8] F>(G A)", "F4:3/16 G4:1/16 A4:1/8"),  # 4.4, a slur between the notes changes nothing
        ("[K:C][L:1/8] z2 z c", "z:1/4 z:1/8 C5:1/8"),  # 4.5
        ("[K:C][L:1/8] (3cde f", "C5:1/12 D5:1/12 E5:1/12 F5:1/8"),  # 4.13
        ("[K:C][M:6/8][L:1/8] (2cd (4cdef", "C5:3/16 D5:3/16 C5:3/32 D5:3/32 E5:3/32 F5:3/32"),  # 4.13
        ("[K:C][L:1/8] (3:2:2 c2 d e", "C5:1/6 D5:1/12 E5:1/8"),  # 4.13
        ("[K:G bass octave=-2][L:1/8] f g", "F#3:1/8 G3:1/8"),  # 4.6
        ("[K:D exp ^c][L:1/8] f c", "F5:1/8 C#5:1/8"),  # 3.1.14
        ("[K:Ador][L:1/8] f", "F#5:1/8"),  # 3.1.14: the signature of G major
        ("[M:2/4][K:C] cd", "C5:1/16 D5:1/16"),  # 3.1.7: under 0.75 the unit is a sixteenth
        ("[M:6/8][K:C] cd", "C5:1/8 D5:1/8"),
    ],
)
def test_a_line_is_read_as_the_standard_says(text: str, expected: str) -> None:
    assert said(text) == expected


def test_an_accidental_holds_in_its_own_octave_to_the_end_of_the_bar() -> None:
    # As printed music has it (common practice); the standard's own default is all octaves in some programs.
    assert said("[K:C][L:1/4] ^c c C | c") == "C#5:1/4 C#5:1/4 C4:1/4 C5:1/4"
    assert said("[I:propagate-accidentals not][K:C][L:1/4] ^c c") == "C#5:1/4 C5:1/4"
    assert said("[I:propagate-accidentals pitch][K:C][L:1/4] ^c C") == "C#5:1/4 C#4:1/4"


def test_a_tie_carries_an_accidental_over_the_barline() -> None:
    assert said("[K:C][L:1/4] ^c-|c d|c") == "C#5:1/4 C#5:1/4 D5:1/4 C5:1/4"


def test_slurs_grace_notes_and_decorations_come_along() -> None:
    found = notes("[K:C][L:1/8] (c{de}d .e) !accent!f Tg")
    assert [(n.opens, n.closes) for n in found] == [(1, 0), (0, 0), (0, 1), (0, 0), (0, 0)]
    assert [pitch.name for pitch, _ in found[1].graces] == ["D5", "E5"]
    assert [n.marks for n in found] == [(), (), ("staccato",), ("accent",), ("trill",)]


def test_a_pickup_is_bar_nought() -> None:
    assert [bar.number for bar in read_abc("[K:C][M:3/4][L:1/4] c | cde | fga").bars] == ["0", "1", "2"]


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("[K:C][L:1/4] cdef | [ce]g", "bar 2 has a chord"),
        ("[K:C][L:1/4] cdef | $h", "bar 2 holds"),
        ("[K:C][L:1/4] (13cdef", r"bar 1 has a tuplet of 13; .*like \(13:8"),
        ("[K:H] c", "bar 1 has the key"),
        ("[M:99999/4][K:C] c", "bar 1 has the metre"),
        ("[K:C]", "there are no notes"),
        ("[K:C] c99999", "bar 1 has the length"),
        ("c" * 70_000, "the notes are 70000 characters"),
    ],
)
def test_what_is_no_music_is_refused_with_its_bar(text: str, message: str) -> None:
    with pytest.raises(RequestError, match=message):
        read_abc(text)


def test_an_ending_is_trouble_of_its_bar_only() -> None:
    bars = read_abc("[K:C][L:1/4] cdef |1 gabc' :|2 c4 |]").bars
    assert [bool(bar.trouble) for bar in bars] == [False, True, True]


@given(st.text(alphabet="abcdefgABCDEFGz^_=,'|[]()<>{}:123456789/-!~.KML \n", max_size=60))
def test_whatever_is_typed_is_read_or_refused(text: str) -> None:
    try:
        bars = read_abc(text).bars
    except RequestError:
        return
    assert bars


@pytest.mark.parametrize(
    "text",
    [
        "X:1\nV:1\nV:2\nK:C\nL:1/4\n[V:1] cdef|\n[V:2] [CE]DEF|\n[V:1] gabc'|\n",
        "K:C\nL:1/4\nV:S\ncdef|\nV:A\nK:G\n!odd\nV:S\ngabc'|\n",
        "K:C\nL:1/4\ncdef|gabc'|\nV:2\n[CE]4|\n",
    ],
)
def test_of_several_voices_the_first_is_read(text: str) -> None:
    # Section 7: voices are told apart by V, line by line or within a line, and may take turns.
    assert said(text) == "C5:1/4 D5:1/4 E5:1/4 F5:1/4 G5:1/4 A5:1/4 B5:1/4 C6:1/4"
