"""Levels that share bars, percussion, warm-ups, stacked entrances, tuning notes."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Chair, Section, at_levels
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.records import Bar
from generator.section.rehearsal import Rehearsal, rehearse, seats_of
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.stacked import entrances, tuning
from generator.section.warm_up import shared_out, warm_up
from generator.theory.pitch import NoteName

Moments = Callable[..., list[tuple[object, int | None]]]
LEVELS = ("first notes", "standard", "extended")


@pytest.mark.parametrize(
    "phrase",
    [
        "B-flat major, two octaves",
        "F major in thirds",
        "E-flat major in octaves",
        # Lines whose first notes are held and whose last beat broadens, by the shape that all share.
        "E-flat major, a twelfth, sixteenths",
        "A-flat major, two octaves, triplets",
        "F major in groups of three, two octaves, sixteenths",
    ],
)
def test_three_levels_share_bars_and_pitch_classes(
    seated: Callable[..., Section], moments: Moments, phrase: str
) -> None:
    section = at_levels(seated("flute, clarinet, alto saxophone, trumpet, trombone, tuba"), LEVELS)
    rehearsal = rehearse(section, RehearsalPlan((f"concert {phrase}",), levels=LEVELS))
    assert len(rehearsal.parts) == 18
    assert len({tuple((t, m and m % 12) for t, m in moments(part)) for part in rehearsal.parts}) == 1
    for part in rehearsal.parts:
        assert all(part.player.compass.holds(p) for p in part.exercises[0].pitches)
    # Beginners play fewer different notes, which is what the levels are for.
    reach = {part.player.level: len(set(part.exercises[0].pitches)) for part in rehearsal.parts[:3]}
    assert reach["first notes"] <= reach["standard"] <= reach["extended"]


def test_a_folded_line_changes_octave_once_each_way_and_says_so(seated: Callable[..., Section]) -> None:
    section = at_levels(seated("trumpet"), LEVELS)
    rehearsal = rehearse(section, RehearsalPlan(("concert E-flat major, a twelfth",), levels=LEVELS))
    beginner, _, able = (part.exercises[0] for part in rehearsal.parts)
    # Written F major over a twelfth; a first year's trumpet has G3 to D5 (Reykjavik, level 2), so not C6.
    assert able.pitches[0].name == beginner.pitches[0].name == "F4"
    assert able.pitches[-1].name == beginner.pitches[-1].name == "F4"
    assert max(able.pitches, key=lambda p: p.height).name == "C6"
    heights = [p.height for p in beginner.pitches]
    leaps = [b - a for a, b in pairwise(heights) if abs(b - a) > 2]
    assert len(leaps) == 2
    assert leaps[0] < 0 < leaps[1]
    assert "changes octave" in beginner.notes[-1]
    assert able.notes == ()


def test_who_lacks_notes_in_every_octave_rests_there(seated: Callable[..., Section]) -> None:
    wide = seated("trumpet").chairs[0]
    who = player_named("trumpet", low="C4", high="G4")
    section = Section("", (Chair("Trumpet", who), replace(wide, player=player_named("trumpet", "extended"))))
    plan = RehearsalPlan(("concert B-flat major, one octave, quarters",), levels=("extended",))
    narrow, wide = (part.exercises[0] for part in rehearse(section, plan).parts)
    notes = [[str(n.pitch or f"r{n.value}") for n in bar.notes] for bar in narrow.bars]
    assert notes == [
        ["C4", "D4", "E4", "F4"],
        ["G4", "r4", "r4", "r4"],
        ["r4", "r4", "G4", "F4"],
        ["E4", "D4", "C4"],
    ]
    assert [b.length for b in narrow.bars] == [b.length for b in wide.bars]
    assert narrow.notes[-1] == "Where the line leaves your notes you rest"


def begun(bar: Bar) -> list[Fraction]:
    """When notes begin in a bar, those that are tied to left out."""
    places, place, tied = [], Fraction(0), False
    for note in bar.notes:
        if note.pitch and not note.grace and not tied:
            places.append(place)
        tied = note.tie
        place += note.length
    return places


def test_a_snare_drum_has_the_rhythm_of_every_page(band: Section) -> None:
    rehearsal = rehearse(
        band, RehearsalPlan(("concert F major, slur two tongue two", "concert F major in triads"))
    )
    drum, flute = rehearsal.parts[-1], rehearsal.parts[1]
    assert drum.player.instrument.name == "snare drum"
    for own, other in zip(drum.exercises, flute.exercises, strict=True):
        # The same but for what is held, which is a roll into the stroke that ends it.
        assert [begun(b) for b in own.bars] == [begun(b) for b in other.bars]
        assert [b.filled for b in own.bars] == [b.filled for b in other.bars]
        assert set(own.clefs) == {"percussion"}
        assert len(set(own.pitches)) == 1
        assert all(n.slur is None and "breath" not in n.marks for b in own.bars for n in b.notes)


def test_drums_alone_have_a_page_too(pages: Callable[..., Rehearsal]) -> None:
    (drum,) = pages("snare drum", "concert C major in thirds").parts
    assert drum.exercises[0].head == "Rhythm"
    assert drum.keys == ("",)


def test_the_warm_up_keeps_the_usual_order_and_its_time(band: Section) -> None:
    # The Instrumentalist, October 2009, five directors: breath, long tones, slurs, scale, articulation, dynamics.
    seats = seats_of(band)
    plan = RehearsalPlan(())
    turns = warm_up(seats, NoteName.parse("Bb"), 12, plan)
    names = [t.heading.split(":")[0] for t in turns]
    assert names == [
        "Breath and long tones", "Tuning", "Slurs", "Scale", "Articulation", "Soft to loud", "Stacked entrances",
    ]  # fmt: skip
    words = [t.read[0].reason.split(" minute")[0] for t in turns]
    assert sum(float(w.replace("½", ".5")) for w in words) == 12
    rehearsal = rehearse(band, plan, turns)
    assert all(len({len(p.exercises[n].bars) for p in rehearsal.parts}) == 1 for n in range(len(turns)))


@pytest.mark.parametrize("minutes", [4, 5, 7, 10, 25, 60])
def test_minutes_add_up(minutes: int) -> None:
    found = shared_out(minutes, [5, 2, 3, 3, 3, 2, 2])
    assert sum(found) == minutes
    assert min(found) > 0


def test_a_warm_up_of_no_sensible_length_is_refused(band: Section) -> None:
    for minutes in (1, 61):
        with pytest.raises(RequestError, match="takes 4 to 60 minutes"):
            warm_up(seats_of(band), NoteName.parse("Bb"), minutes, RehearsalPlan(()))


def test_stacked_entrances_are_a_canon_that_ends_on_the_tonic_triad(band: Section, moments: Moments) -> None:
    seats = seats_of(band)
    turns = warm_up(seats, NoteName.parse("Bb"), 10, RehearsalPlan(()))
    rehearsal = rehearse(band, RehearsalPlan(()), turns)
    last = len(turns) - 1
    lines = {tuple(m and m % 12 for _, m in moments(p, last)) for p in rehearsal.parts if not p.unpitched}
    assert len(lines) == 3
    low, middle, high = sorted(lines, key=lambda line: sum(m is None for m in line))
    # A strict canon: the same notes two and four bars later, over a scale of fifteen bars.
    scale = low
    assert len(scale) == 15
    assert middle == (None, None, *scale[:-2])
    assert high == (None, None, None, None, *scale[:-4])
    # The tonic triad, B-flat, D, F: 10, 2, 5 semitones above C.
    assert (low[-1], middle[-1], high[-1]) == (10, 2, 5)
    major = [0, 2, 4, 5, 7, 9, 11]
    for bar in range(4, 15):
        degrees = {major.index((line[bar] - 10) % 12) for line in (low, middle, high)}
        apart = sorted((a - b) % 7 for a in degrees for b in degrees if a != b)
        # A triad is two thirds and a fifth, counted both ways round; where groups cross at the top, a third.
        assert apart == ([2, 5] if bar in (8, 9, 10) else [2, 2, 3, 4, 5, 5]), bar


def test_the_lowest_voices_begin(band: Section) -> None:
    seats = seats_of(band)
    group = dict(zip([s.player.instrument.name for s in seats], entrances(seats), strict=True))
    assert (group["tuba"], group["bassoon"], group["flute"], group["glockenspiel"]) == (0, 0, 2, 2)


def test_every_family_has_tuning_notes_that_sound_right(pages: Callable[..., Rehearsal]) -> None:
    table = shared_catalogue().tuning
    assert {i.family for i in shared_catalogue().pitched} <= set(table)
    rehearsal = pages("flute, clarinet, alto saxophone, horn, trombone, violin", "concert F major, a fifth")
    section_seats = [(p, table[p.player.instrument.family]) for p in rehearsal.parts]
    # Clarinet: concert B-flat and F are written C and G; horn: concert F and B-flat are written C and F.
    read = {
        p.player.instrument.name: [x.note.name for x in tuning(p.player, notes, "Tuning").pitches]
        for p, notes in section_seats
    }
    assert read["clarinet in B-flat"] == ["C", "G"]
    assert read["horn in F"] == ["C", "F"]
    assert read["alto saxophone"] == ["F#", "G"]
    assert read["violin"] == ["A", "D"]


def test_a_section_that_cannot_warm_up_in_a_key_says_so() -> None:
    narrow = Section("", (Chair("Flute", player_named("flute", low="C5", high="E5")),))
    with pytest.raises(DoesNotFitError, match="another key"):
        warm_up(seats_of(narrow), NoteName.parse("B"), 10, RehearsalPlan(()))
