"""A reader's own page: each thing that can be asked for changes the page, and nothing else does."""

from dataclasses import replace

import pytest

from generator.catalogue.players import player_named
from generator.engraving.manner import manner
from generator.engraving.render import render
from generator.errors import RequestError
from generator.exercise.records import Exercise
from generator.files.resources import data_folder
from generator.pages.octave import in_octaves, raised
from generator.pages.own_page import OwnPage
from generator.pages.paper import Paper, staff_of
from generator.pages.reader import TINTS, ReaderNeeds
from generator.pages.sheet import SheetLayout, Words, lay_out
from generator.phrase import expand

PHRASES = ("G major in thirds, two octaves", "F-sharp major, triplets", "long tones on G")


def laid(reader: ReaderNeeds, *phrases: str, instrument: str = "flute", size: str = "normal") -> SheetLayout:
    made = expand.exercises(phrases or PHRASES, player_named(instrument)).exercises
    return lay_out(made, Words("Sheet", instrument), Paper.of("letter", size, reader))


def notes(one: Exercise) -> list[str]:
    return [pitch.name for pitch in one.pitches]


def test_a_staff_of_ones_own_goes_before_the_print_size() -> None:
    assert Paper.of("a4", "small", ReaderNeeds(staff=30)).staff == 30
    assert Paper.of("a4", "small").staff == 16
    # Who asks for a print size on the day gets it, and who asks for a staff gets that.
    assert OwnPage().of(ReaderNeeds(staff=30), "small").staff is None
    assert OwnPage(staff=22).of(ReaderNeeds(staff=30), "small").staff == 22


def test_a_size_that_a_reader_asked_for_is_never_made_smaller() -> None:
    made = expand.exercises(["C major, usual articulations"], player_named("flute")).exercises
    paper = Paper.of("letter", "normal", ReaderNeeds(staff=19))
    assert lay_out(made, Words("", ""), paper, closer=True).paper.staff == 19


@pytest.mark.parametrize("points", [0.0, 11.9, 61.0, float("nan")])
def test_staves_that_nobody_can_print_are_refused(points: float) -> None:
    with pytest.raises(RequestError, match="12 to 60"):
        staff_of(points)


def test_paper_on_its_long_side_has_longer_lines_and_less_height() -> None:
    upright, lying = Paper.of("letter", "large"), Paper.of("letter", "large", ReaderNeeds(landscape=True))
    assert lying.line > upright.line
    assert lying.height < upright.height
    assert lying.width_and_height == upright.width_and_height[::-1]


def test_codes_of_usual_pages_do_not_change_with_what_readers_can_ask_for() -> None:
    assert str(Paper.of("letter", "normal")) == "Paper(name='letter', staff=18.0)"
    assert str(Paper.of("letter", "normal", ReaderNeeds(tint="cream"))) != str(Paper.of("letter", "normal"))


def test_no_line_has_more_bars_than_asked_for() -> None:
    for most in (1, 2, 3):
        for item in laid(ReaderNeeds(bars=most)).items:
            for line in item.layout.lines:
                assert sum(piece.closes for piece in line) <= most


def test_notes_further_apart_and_names_under_them_need_more_lines() -> None:
    usual, apart, named = (
        sum(len(item.layout.lines) for item in laid(reader).items)
        for reader in (ReaderNeeds(), ReaderNeeds(spacing=1.6), ReaderNeeds(names="under", spacing=1.3))
    )
    assert usual < apart
    assert usual < named


def test_music_is_the_same_whatever_a_reader_asks_for() -> None:
    asked = ReaderNeeds(
        26, landscape=True, lines=2, letters="plain", bars=1, spacing=1.5, names="under", tint="blue"
    )
    for plain, own in zip(laid(ReaderNeeds()).items, laid(asked).items, strict=True):
        printed = [n for line in own.layout.lines for piece in line for n in piece.notes]
        assert printed == [n for bar in plain.exercise.bars for n in bar.notes]


def test_names_are_those_of_the_written_notes_with_their_signs() -> None:
    text = render(laid(ReaderNeeds(names="under"), "F-sharp major, one octave"), data_folder("templates"))
    under = text[text.index(r"\addlyrics") :].split("\n")[0]
    assert under.count(r"\markup \music-text") == 15
    assert under.index('"F\u266f"') < under.index('"G\u266f"') < under.index('"A\u266f"') < under.index('"B"')


@pytest.mark.parametrize(
    ("reader", "words"),
    [
        (ReaderNeeds(), ""),
        (ReaderNeeds(lines=1.5), r"\thicker #1.50"),
        (ReaderNeeds(letters="plain"), r"\plainLetters"),
        (ReaderNeeds(spacing=1.2), "spacing-increment = #1.320"),
        (ReaderNeeds(names="in"), r"\namesInHeads"),
        (ReaderNeeds(tint="cream"), r"\tinted #0.992 #0.965 #0.890"),
    ],
)
def test_what_is_asked_for_reaches_the_page_and_thick_lines_never_unasked(
    reader: ReaderNeeds, words: str
) -> None:
    told = manner(Paper.of("letter", "normal", reader))
    assert words in told
    assert bool(words) == bool(told)


def test_tints_are_pale_enough_for_black_notes() -> None:
    # WCAG 2.2, 1.4.6 (enhanced contrast): 7 to 1 for words; relative luminance as defined there.
    def luminance(part: int) -> float:
        share = part / 255
        return share / 12.92 if share <= 0.04045 else ((share + 0.055) / 1.055) ** 2.4

    for red, green, blue in TINTS.values():
        light = 0.2126 * luminance(red) + 0.7152 * luminance(green) + 0.0722 * luminance(blue)
        assert (light + 0.05) / 0.05 > 7


def test_a_long_high_passage_of_a_large_flute_page_stands_under_8va() -> None:
    (item,) = laid(ReaderNeeds(), "C major in thirds", size="large").items
    marked = [n for line in item.layout.lines for piece in line for n in piece.octaves]
    assert len(marked) >= 6
    text = render(laid(ReaderNeeds(), "C major in thirds", size="large"), data_folder("templates"))
    assert text.count(r"\ottava #1") == text.count(r"\ottava #0") == 1
    # Elsewhere woodwinds read at pitch: usual print, other instruments, a phrase that only touches the height.
    (usual,) = laid(ReaderNeeds(), "C major in thirds").items
    (asked,) = laid(ReaderNeeds(ottava=True), "C major in thirds").items
    (oboe,) = laid(ReaderNeeds(ottava=True), "C major in thirds", instrument="oboe", size="large").items
    (low,) = laid(ReaderNeeds(ottava=True), "C major, one octave", size="large").items
    for one, some in ((usual, False), (asked, True), (oboe, False), (low, False)):
        assert any(piece.octaves for line in one.layout.lines for piece in line) is some


def test_eight_under_8va_stand_lower_and_sound_the_same() -> None:
    (item,) = laid(ReaderNeeds(), "C major in thirds", size="large").items
    plain = replace(
        item.layout,
        lines=tuple(tuple(replace(p, octaves=frozenset()) for p in line) for line in item.layout.lines),
    )
    assert in_octaves(plain, item.exercise).lines == item.layout.lines
    assert raised(plain.lines) == item.layout.lines
    assert max(p.above for p in item.profiles) < max(p.above for p in replace(item, layout=plain).profiles)
    assert notes(item.exercise) == notes(laid(ReaderNeeds(), "C major in thirds").items[0].exercise)
