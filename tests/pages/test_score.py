"""The score as it is laid out: brackets, names, sizes, and lines that break alike."""

from collections.abc import Callable

import pytest

from generator.documents.section import Section
from generator.pages.paper import MM_PER_POINT
from generator.pages.score import Score, lay_out_score, split_name
from generator.pages.sheet import Words
from generator.publish.staff_names import staves
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan


def laid(rehearsal: Rehearsal, paper: str = "letter", *, concert: bool = False) -> Score:
    parts = staves(rehearsal.parts, concert=concert)
    return lay_out_score(parts, rehearsal.headings, Words("Title", "Score"), paper)  # type: ignore[arg-type]


def test_every_staff_breaks_at_the_same_bars(band: Section) -> None:
    score = laid(
        rehearse(
            band,
            RehearsalPlan(
                ("concert F major in groups of four", "concert E-flat major, 6/8 and 4/4, beat = beat")
            ),
        )
    )
    for item in score.items:
        shapes = {
            tuple(tuple((sum(n.length for n in p.notes), p.closes) for p in line) for line in lines)
            for lines in item.lines
        }
        assert len(shapes) == 1
        for exercise, lines in zip(item.exercises, item.lines, strict=True):
            printed = [n for line in lines for piece in line for n in piece.notes]
            assert printed == [n for bar in exercise.bars for n in bar.notes]


def test_brackets_join_woodwind_brass_and_percussion(band: Section) -> None:
    found = laid(rehearse(band, RehearsalPlan(("concert F major",)))).staves
    choirs: dict[int, list[str]] = {}
    for staff in found:
        choirs.setdefault(staff.choir, []).append(staff.instrument)
    woodwind, brass, percussion = (choirs[n] for n in sorted(choirs))
    assert (woodwind[0], woodwind[-1]) == ("piccolo", "baritone saxophone")
    assert (brass[0], brass[-1]) == ("trumpet in B-flat", "tuba")
    assert percussion == ["glockenspiel", "snare drum"]


def test_names_are_those_of_the_instruments_or_of_their_chairs(band: Section) -> None:
    names = {s.name: s.short for s in laid(rehearse(band, RehearsalPlan(("concert F major",)))).staves}
    # Two flute chairs read one page; third clarinets and second trumpets have pages of their own.
    assert names["1st, 2nd Flute"] == "Fl. 1, 2"
    assert names["1st, 2nd Clarinet"] == "Cl. 1, 2"
    assert names["3rd Clarinet"] == "Cl. 3"
    assert names["2nd Trumpet"] == "Tpt. 2"
    assert names["Mallets"] == "Mallets"
    assert len(set(names.values())) == len(names)


@pytest.mark.parametrize(
    ("name", "lines"),
    [
        ("Flute", ("Flute",)),
        ("Baritone Saxophone in E-flat", ("Baritone Saxophone", "in E-flat")),
        ("Alto Saxophone in E-flat, first notes", ("Alto Saxophone", "in E-flat, first notes")),
        ("Oberschlagwerkverwaltung", ("Oberschlagwerkverwaltung",)),
    ],
)
def test_long_names_stand_in_two_lines_and_in_stays_with_its_pitch(name: str, lines: tuple[str, ...]) -> None:
    assert split_name(name) == lines


def test_the_indent_holds_the_longest_name(band: Section) -> None:
    score = laid(rehearse(band, RehearsalPlan(("concert F major",))))
    # A letter of the roman face at the staff is about half its size wide: 11 pt at 20 pt staff (LilyPond's default).
    letter = 11 / 20 * score.paper.staff * 0.5 * MM_PER_POINT
    longest = max(len(line) for staff in score.staves for line in split_name(staff.name))
    assert score.indent > longest * letter
    assert score.indent < 60
    assert score.short_indent < score.indent


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_few_staves_are_large_and_many_still_fit_a_page(
    pages: Callable[..., Rehearsal], band: Section, paper: str
) -> None:
    small = laid(pages("flute, clarinet, tuba", "concert F major in thirds"), paper)
    large = laid(rehearse(band, RehearsalPlan(("concert F major in thirds",))), paper)
    assert small.paper.staff == 15
    assert 9 <= large.paper.staff <= 15
    assert not large.small


def test_a_score_at_concert_pitch_has_one_signature_and_sounding_notes(band: Section) -> None:
    rehearsal = rehearse(band, RehearsalPlan(("concert B major in thirds",)))
    for part in rehearsal.parts:
        if part.unpitched:
            continue
        read, heard = part.exercises[0], part.heard[0]
        assert (heard.signature, heard.key) == (5, "B")
        up = part.player.instrument.sounds.semitones
        # Instruments that differ by whole octaves are left as written (common practice).
        up = up if up % 12 else 0
        assert [p.height + up for p in read.pitches] == [p.height for p in heard.pitches]
        assert all(p.alter != -1 for p in heard.pitches)
    by_name = {p.player.instrument.name: p.heard[0].clef for p in rehearsal.parts}
    assert by_name["bass clarinet"] == by_name["baritone saxophone"] == "bass"
    assert by_name["clarinet in B-flat"] == "treble"
