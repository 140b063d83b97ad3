"""Everyone plays the same degrees at the same moment, in an octave of their own."""

import random
from collections.abc import Callable
from itertools import pairwise

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.errors import DoesNotFitError
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan

Moments = Callable[..., list[tuple[object, int | None]]]
KEYS = ["Bb", "Eb", "F", "Ab", "C", "G", "Db", "Gb", "B", "E"]
FIGURES = [
    "straight", "thirds", "fourths", "fifths", "sixths", "triads", "seventh chords", "groups of four",
    "interlocking", "turning figures",
]  # fmt: skip


def pitched(rehearsal: Rehearsal) -> list[ChairPart]:
    return [part for part in rehearsal.parts if not part.unpitched]


def sounding(part: ChairPart, number: int = 0) -> list[int]:
    up = part.player.instrument.sounds.semitones
    return [p.height + up for p in part.exercises[number].pitches]


@pytest.mark.parametrize("figure", FIGURES)
def test_a_whole_band_sounds_one_pitch_class_at_every_moment(
    band: Section, moments: Moments, figure: str
) -> None:
    assert sum(1 for _ in band.chairs) == 24
    phrases = tuple(f"concert {key} major in {figure}" for key in KEYS)
    rehearsal = rehearse(band, RehearsalPlan(phrases, together="narrow"))
    for number, key in enumerate(KEYS):
        heard = {
            tuple((place, None if midi is None else midi % 12) for place, midi in moments(part, number))
            for part in pitched(rehearsal)
        }
        assert len(heard) == 1, key
        assert len({len(part.exercises[number].bars) for part in rehearsal.parts}) == 1
        # Octaves apart from one another throughout, so that nobody turns where others go on.
        first = sounding(pitched(rehearsal)[0], number)
        for part in pitched(rehearsal):
            assert len({a - b for a, b in zip(first, sounding(part, number), strict=True)}) == 1


def test_nobody_is_given_a_note_they_do_not_have(band: Section) -> None:
    rehearsal = rehearse(band, RehearsalPlan(tuple(f"concert {key} melodic minor in triads" for key in KEYS)))
    for part in pitched(rehearsal):
        compass = part.player.compass
        assert all(compass.holds(p) for e in part.exercises for p in e.pitches)


@pytest.mark.parametrize(
    "phrase", ["whole-tone on C in thirds", "chromatic on C", "usual band keys, dominant seventh"]
)
def test_forms_without_a_signature_and_chords_line_up_as_well(
    band: Section, moments: Moments, phrase: str
) -> None:
    rehearsal = rehearse(band, RehearsalPlan((phrase,)))
    for number in range(len(rehearsal.turns)):
        heard = {tuple((t, m and m % 12) for t, m in moments(p, number)) for p in pitched(rehearsal)}
        assert len(heard) == 1


def test_the_widest_common_span_is_taken(pages: Callable[..., Rehearsal]) -> None:
    def span(names: str, key: str = "B-flat", level: str = "standard") -> str:
        return pages(names, f"concert {key} major", level=level).parts[0].exercises[0].span

    # Counted by hand from shared/instruments.toml: flute C4-C7 has B-flat 4 to B-flat 6; clarinet, written C, C4-C6.
    assert span("flute, clarinet") == "two octaves"
    # Tuba E1-B-flat 3: B-flat 1 to B-flat 3.
    assert span("flute, clarinet, tuba") == "two octaves"
    # Horn F3-A5, written F: F3 to F5. Alto saxophone B-flat 3-F6, written G: G4 to D6 at most.
    assert span("flute, clarinet, tuba, horn") == "two octaves"
    assert span("flute, clarinet, tuba, horn, alto saxophone") == "a twelfth"
    # A first year's horn, G3-C5, written F: not an octave, F4 to C5.
    assert span("flute, horn", level="first notes") == "a fifth"


def test_groups_over_the_top_are_kept_only_when_everyone_has_them(pages: Callable[..., Rehearsal]) -> None:
    def pairs(names: str) -> int:
        exercise = (
            pages(names, "concert C major in thirds, one octave, eighths, inside the span")
            .parts[0]
            .exercises[0]
        )
        inside = len(exercise.pitches)
        exercise = pages(names, "concert C major in thirds, one octave, eighths").parts[0].exercises[0]
        return len(exercise.pitches) - inside

    # Clarinet and flute have the note above and the note below; tubular bells, C4 to F5, no B3.
    assert pairs("flute, clarinet") > 0
    both = pages("flute, tubular bells", "concert C major in thirds, one octave, eighths").parts
    assert min(sounding(both[1])) == 60
    assert [h - 12 for h in sounding(both[0])] == sounding(both[1]) or sounding(both[0]) == sounding(both[1])


def test_sounding_order_follows_the_registers(band: Section) -> None:
    rehearsal = rehearse(band, RehearsalPlan(tuple(f"concert {key} major" for key in KEYS)))
    # Common practice, no source: from the highest to the lowest voice of a band.
    order = [
        "glockenspiel", "piccolo", "flute", "clarinet in B-flat", "alto saxophone", "horn in F", "trombone", "tuba",
    ]  # fmt: skip
    lowest = {p.player.instrument.name: p for p in pitched(rehearsal)}
    for number in range(len(KEYS)):
        heights = [min(sounding(lowest[name], number)) for name in order]
        assert heights == sorted(heights, reverse=True), KEYS[number]


def test_a_teacher_would_choose_these_octaves(band: Section) -> None:
    # The usual first concert B-flat scale, as printed in band methods (common practice, no source).
    rehearsal = rehearse(band, RehearsalPlan(("concert B-flat major, one octave",)))
    first = {p.player.instrument.name: p.exercises[0].pitches[0].name for p in rehearsal.parts}
    expected = {
        "flute": "Bb4", "clarinet in B-flat": "C4", "alto saxophone": "G4", "tenor saxophone": "C5",
        "trumpet in B-flat": "C4", "horn in F": "F4", "trombone": "Bb2", "tuba": "Bb1", "euphonium": "Bb2",
        "baritone saxophone": "G4",
    }  # fmt: skip
    assert {name: first[name] for name in expected} == expected


@pytest.mark.parametrize("level", ["first notes", "standard", "extended"])
def test_clef_variants_of_one_instrument_sound_in_one_octave(
    pages: Callable[..., Rehearsal], level: str
) -> None:
    for one, other in (
        ("euphonium", "euphonium in treble clef"), ("trombone", "trombone in treble clef"),
        ("baritone horn", "baritone horn in treble clef"), ("tuba", "B-flat bass in treble clef"),
        ("bass clarinet", "bass clarinet in bass clef"),
    ):  # fmt: skip
        # A first year has no G-flat, B or E on every instrument.
        for key in KEYS[:5] if level == "first notes" else KEYS:
            parts = pages(f"{one}, {other}", f"concert {key} major, one octave", level=level).parts
            assert sounding(parts[0]) == sounding(parts[1]), f"{one} {key}"


def test_chairs_of_one_instrument_at_one_level_share_a_page(band: Section) -> None:
    parts = rehearse(band, RehearsalPlan(("concert F major",))).parts
    clarinets = [p for p in parts if p.player.instrument.name == "clarinet in B-flat"]
    assert [[c.name for c in p.chairs] for p in clarinets] == [
        ["1st Clarinet", "2nd Clarinet"],
        ["3rd Clarinet"],
    ]


def test_parts_stand_in_score_order(pages: Callable[..., Rehearsal]) -> None:
    # Concert band order (common practice): woodwind, saxophones, brass from trumpets down, percussion, strings.
    names = "tuba, violin, snare drum, flute, horn, alto saxophone, trumpet, clarinet, oboe, glockenspiel, trombone"
    parts = pages(names, "concert C major, a fifth").parts
    assert [p.player.instrument.name for p in parts] == [
        "flute", "oboe", "clarinet in B-flat", "alto saxophone", "trumpet in B-flat", "horn in F", "trombone", "tuba",
        "glockenspiel", "snare drum", "violin",
    ]  # fmt: skip


def test_every_instrument_can_sit_with_every_other_or_is_told_why_not(
    pages: Callable[..., Rehearsal], moments: Moments
) -> None:
    rows = shared_catalogue().pitched
    pairs = [(a, b) for a in rows for b in rows if a.order < b.order]
    # Every instrument at least once, and a sample of the pairs.
    chosen = [*pairwise(rows), *random.Random(24).sample(pairs, 150)]
    refusals: list[str] = []
    for number, (one, other) in enumerate(chosen):
        key = KEYS[number % len(KEYS)]
        level = ("standard", "first notes", "extended")[number % 3]
        try:
            parts = pages(f"{one.name}, {other.name}", f"concert {key} major in thirds", level=level).parts
        except DoesNotFitError as error:
            refusals.append(str(error))
            continue
        if "timpani" in (one.name, other.name):
            # They have a part of their own under the line.
            assert len({len(part.exercises[0].bars) for part in parts}) == 1
            continue
        first, second = ([(t, m and m % 12) for t, m in moments(part)] for part in parts)
        assert first == second
    for words in ("not even a fifth can be played by all together", "has only", "--own-range"):
        assert all(words in refusal for refusal in refusals)
    assert 0 < len(refusals) < 40


def test_the_refusal_names_who_and_what_would_help(pages: Callable[..., Rehearsal]) -> None:
    with pytest.raises(DoesNotFitError) as refusal:
        pages("flute, tenor saxophone", "concert D-flat harmonic minor", level="first notes")
    assert str(refusal.value) == (
        "concert D-flat harmonic minor: not even a fifth can be played by all together: Tenor Saxophone in B-flat "
        "(first notes) has only E 4 to A 5; it would fit at the standard level, or let each play their own range "
        "(--own-range)"
    )


def test_exact_refuses_a_narrower_span(pages: Callable[..., Rehearsal]) -> None:
    with pytest.raises(DoesNotFitError, match="three octaves cannot be played by all together: Tuba"):
        pages("flute, tuba", "concert C major, three octaves", exact=True)
    assert (
        pages("flute, tuba", "concert C major, three octaves").parts[0].exercises[0].span != "three octaves"
    )


def test_own_range_lets_everyone_go_as_far_as_they_can(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages("flute, trumpet", "concert B-flat major", own_range=True)
    assert not rehearsal.together
    flute, trumpet = rehearsal.parts
    assert flute.exercises[0].span == trumpet.exercises[0].span == "full range"
    # Standard level: flute C4-C7; trumpet F#3-C6, written C major from G3 (GMEA).
    assert max(p.name for p in flute.exercises[0].pitches if p.octave == 7) == "C7"
    assert min(trumpet.exercises[0].pitches, key=lambda p: p.height).name == "G3"


def test_double_tonguing_is_left_to_those_who_can(pages: Callable[..., Rehearsal]) -> None:
    trumpet, violin = pages("trumpet, violin", "concert C major, double tongue").parts
    assert any(n.syllable for b in trumpet.exercises[0].bars for n in b.notes)
    assert not any(n.syllable for b in violin.exercises[0].bars for n in b.notes)
    assert len(trumpet.exercises[0].pitches) == len(violin.exercises[0].pitches)


def test_several_keys_that_do_not_all_fit_leave_out_the_others(pages: Callable[..., Rehearsal]) -> None:
    rehearsal = pages(
        "clarinet, tenor saxophone", "concert B-flat, D-flat major, one octave", level="first notes"
    )
    assert len(rehearsal.turns) + len(rehearsal.refused) == 2


def test_a_harp_rests_where_its_pedals_cannot_follow_and_stops_nobody(pages):
    # The pedals of a harp set each letter once (any orchestration book), so it has no chromatic scale.
    made = pages("flute, harp", "chromatic on concert B-flat, one octave", "concert B-flat major, one octave")
    harp = next(part for part in made.parts if part.player.instrument.name == "harp")
    assert made.refused == ()
    chromatic, major = harp.exercises
    assert all(note.pitch is None for bar in chromatic.bars for note in bar.notes)
    assert "The pedals cannot follow this line: you rest" in chromatic.notes
    assert any(note.pitch is not None for bar in major.bars for note in bar.notes)
    flute = next(part for part in made.parts if part is not harp)
    assert [bar.filled for bar in chromatic.bars] == [bar.filled for bar in flute.exercises[0].bars]
