"""Mixed levels together: beginners fold or rest while the others play on, bars agree, and who is the reason is said."""

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import Table
from generator.documents.section import Chair, Section, at_levels, from_names
from generator.errors import DoesNotFitError
from generator.exercise.instrument import Instrument
from generator.exercise.records import Bar, Exercise, Note
from generator.pages.alike import broken_alike
from generator.pages.lines import break_lines
from generator.pages.tables import TablePage
from generator.publish.handout_words import Wording, cover
from generator.section.rehearsal import ChairPart, Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.resting import silenced
from generator.theory.duration import Metre, Value
from generator.theory.pitch import Pitch

STANDARD = (
    "piccolo, flute, oboe, bassoon, clarinet, bass clarinet, alto saxophone, tenor saxophone, "
    "trumpet, horn, trombone, tuba"
)
BEGINNERS = "flute, oboe, bassoon, clarinet, alto saxophone, tenor saxophone, trumpet, horn, trombone, euphonium, tuba"
KEYS = ("B-flat", "E-flat", "F", "A-flat")
Moments = dict[Fraction, int | None]


@pytest.fixture(scope="module")
def mixed(instruments: Table[Instrument]) -> Section:
    """A band with eleven beginners."""
    able, new = (
        from_names(names, level, instruments)
        for names, level in ((STANDARD, "standard"), (BEGINNERS, "first notes"))
    )
    return Section("Harbour Street", (*able.chairs, *new.chairs))


def _sounding(part: ChairPart, number: int) -> Moments:
    """Where each note begins, and the pitch class it sounds; by arithmetic of our own."""
    sounds, at, found = part.player.instrument.sounds.semitones, Fraction(0), {}
    for bar in part.exercises[number].bars:
        for note in bar.notes:
            found[at] = None if note.pitch is None else (note.pitch.height + sounds) % 12
            at += Fraction(note.value.length)
    return found


@pytest.mark.parametrize("together", ["fold", "leave out", "narrow"])
@pytest.mark.parametrize("span", [", one octave", "", ", a twelfth"])
def test_eleven_beginners_share_every_bar_with_the_band(mixed: Section, together: str, span: str) -> None:
    plan = RehearsalPlan(tuple(f"concert {key} major{span}" for key in KEYS), together=together)
    rehearsal = rehearse(mixed, plan)
    for number in range(len(KEYS)):
        model = _sounding(rehearsal.parts[1], number)
        for part in rehearsal.parts:
            exercise = part.exercises[number]
            assert all(part.player.compass.holds(p) for p in exercise.pitches)
            assert [bar.filled for bar in exercise.bars] == [
                bar.filled for bar in rehearsal.parts[1].exercises[number].bars
            ]
            for at, heard in _sounding(part, number).items():
                assert heard is None or heard == model[at]
            if part.player.level == "standard" or together == "narrow":
                assert None not in _sounding(part, number).values()


def test_beginners_narrow_nobody_over_an_octave_and_play_in_every_bar(mixed: Section) -> None:
    rehearsal = rehearse(
        mixed, RehearsalPlan(tuple(f"concert {key} major, one octave, quarters" for key in KEYS))
    )
    for number in range(len(KEYS)):
        for part in rehearsal.parts:
            exercise = part.exercises[number]
            assert exercise.span == "one octave"
            assert all(any(note.pitch for note in bar.notes) for bar in exercise.bars)
            if any("changes octave" in note for note in exercise.notes):
                heights = [p.height for p in exercise.pitches]
                assert sum(abs(b - a) > 2 for a, b in pairwise(heights)) <= 2


def test_a_fold_that_fits_the_turn_is_placed_there(instruments: Table[Instrument]) -> None:
    # An oboe of first notes ends at A5: the top B-flat alone comes an octave lower, and no scale breaks in the middle.
    section = Section(
        "",
        (
            *from_names("flute", "standard", instruments).chairs,
            *from_names("oboe", "first notes", instruments).chairs,
        ),
    )
    line = rehearse(section, RehearsalPlan(("concert B-flat major, one octave",))).parts[1].exercises[0]
    assert " ".join(p.name for p in line.pitches) == "Bb4 C5 D5 Eb5 F5 G5 A5 Bb4 A5 G5 F5 Eb5 D5 C5 Bb4"


def test_who_is_the_reason_is_said_with_the_choices(mixed: Section) -> None:
    (turn,) = rehearse(mixed, RehearsalPlan(("concert B-flat major, one octave",))).turns
    (told,) = turn.told
    assert told.startswith("changing octave: Oboe (first notes, D 4 to A 5), ")
    assert told.endswith("--together narrow gives everyone a fifth, 'leave out' has them rest")
    narrowed = RehearsalPlan(("concert B-flat major, one octave",), together="narrow")
    (told,) = rehearse(mixed, narrowed).turns[0].told
    # A sixth on F would be D 5 for a first year's horn, which ends at C 5.
    assert told == (
        "one octave will not fit everyone; a fifth will, because of Horn in F (first notes, G 3 to C 5); "
        "--together fold lets them change octave"
    )


def test_exact_refuses_a_narrowed_span_whether_or_not_one_was_named(mixed: Section) -> None:
    for phrase in ("concert B-flat major", "concert B-flat major, one octave"):
        with pytest.raises(DoesNotFitError, match="cannot be played by all together"):
            rehearse(mixed, RehearsalPlan((phrase,), exact=True))


def test_limits_of_a_chair_survive_every_option(instruments: Table[Instrument]) -> None:
    # A second clarinet below the break: nothing over B-flat 4 is hers at any level (nemusicpub.com, grade 1.5).
    able = from_names("clarinet, trumpet", "standard", instruments)
    below = Chair("2nd Clarinet", player_named("clarinet", low="E3", high="Bb4"))
    section = replace(able, chairs=(*able.chairs, below))
    levels = ("first notes", "standard", "extended")
    for plan in (
        RehearsalPlan(("concert B-flat major",)),
        RehearsalPlan(("concert B-flat major",), together="leave out"),
        RehearsalPlan(("concert B-flat major",), together="narrow"),
        RehearsalPlan(("concert B-flat major",), own_range=True),
        RehearsalPlan(("concert B-flat major, one octave",), levels=levels),
    ):
        rehearsal = rehearse(at_levels(section, plan.levels) if plan.levels else section, plan)
        hers = [p for p in rehearsal.parts if any(c.name.startswith("2nd") for c in p.chairs)]
        assert hers
        for part in hers:
            pitches = [p.height for p in part.exercises[0].pitches]
            assert pitches
            assert Pitch.parse("E3").height <= min(pitches)
            assert max(pitches) <= Pitch.parse("Bb4").height


@pytest.mark.parametrize(
    ("together", "verb", "sentence"),
    [
        ("fold", "changes octave", "Where the line leaves your notes it changes octave"),
        ("leave out", "rests in part", "Where the line leaves your notes you rest"),
    ],
)
def test_the_cover_and_the_part_mark_who_plays_otherwise(
    mixed: Section, together: str, verb: str, sentence: str
) -> None:
    phrases = ("concert B-flat major, one octave", "concert F major, one octave")
    rehearsal: Rehearsal = rehearse(mixed, RehearsalPlan(phrases, together=together))
    page: TablePage = cover(rehearsal, Wording("t", "", "", "ABCD"))
    rows = [" ".join(row) for block in page.blocks for row in block.rows]
    # B-flat 5 lies beyond an oboe's first notes (D 4 to A 5), F 5 does not.
    assert any(f"Oboe, first notes; {verb} (1)" in row for row in rows)
    hers = next(p for p in rehearsal.parts if p.chairs[0].name == "Oboe" and p.player.level == "first notes")
    assert [exercise.notes for exercise in hers.exercises] == [(sentence,), ()]


def test_slurs_are_cut_at_rests_and_rests_gathered_to_beats(mixed: Section) -> None:
    plan = RehearsalPlan(("concert B-flat major, two octaves, slurred",), together="leave out")
    for part in rehearse(mixed, plan).parts:
        for exercise in (part.exercises[0], part.heard[0]):
            open_ = False
            for note in (note for bar in exercise.bars for note in bar.notes):
                if note.pitch is None:
                    assert not open_
                    assert (note.slur, note.marks, note.dynamic, note.beam) == (None, (), (), None)
                elif note.slur in ("stop", "stop start"):
                    assert open_
                    open_ = note.slur == "stop start"
                elif note.slur == "start":
                    assert not open_
                    open_ = True
            assert not open_


def test_whole_beats_and_bars_of_rests_are_one_rest(exercise_of: Callable[..., Exercise]) -> None:
    line = exercise_of([Note(Pitch.parse("C4"), Value(16))] * 16)
    assert [str(n.value) for n in silenced(line, [True] * 16).bars[0].notes] == ["1"]
    some = silenced(line, [n < 6 for n in range(16)]).bars[0].notes
    assert [(str(n.value), n.pitch is None) for n in some[:5]] == [
        ("4", True), ("16", True), ("16", True), ("16", False), ("16", False),
    ]  # fmt: skip


@pytest.fixture
def exercise_of(mixed: Section) -> Callable[..., Exercise]:
    def of(notes: list[Note]) -> Exercise:
        made = rehearse(mixed, RehearsalPlan(("concert B-flat major",))).parts[0].exercises[0]
        return replace(made, bars=(Bar(Metre.parse("4/4"), tuple(notes)),), clefs=("treble",))

    return of


def test_a_score_breaks_at_the_same_moments_where_some_rest(mixed: Section) -> None:
    rehearsal = rehearse(
        mixed, RehearsalPlan(("concert F major in thirds, two octaves",), together="leave out")
    )
    for pick in (lambda part: part.exercises[0], lambda part: part.heard[0]):
        model = break_lines(pick(rehearsal.parts[0]).bars, 1, 80.0, whole=True).lines
        ends = {
            tuple(
                sum(note.length for piece in line for note in piece.notes)
                for line in broken_alike(pick(part), model)
            )
            for part in rehearsal.parts
        }
        assert len(ends) == 1


def test_notes_that_are_left_out_choose_no_clef(mixed: Section) -> None:
    rehearsal = rehearse(
        mixed, RehearsalPlan(("concert F major in thirds, two octaves",), together="leave out")
    )
    horn = next(
        p for p in rehearsal.parts if p.chairs[0].name == "Horn in F" and p.player.level == "first notes"
    )
    assert set(horn.exercises[0].clefs) == {"treble"}
    assert not any(note.clef for bar in horn.exercises[0].bars for note in bar.notes)


def test_a_chair_with_none_of_the_notes_rests_throughout_and_stops_nobody(
    instruments: Table[Instrument],
) -> None:
    able = from_names("flute, trumpet", "standard", instruments)
    one = Chair("Solo", player_named("clarinet", low="F#4", high="F#4"))
    rehearsal = rehearse(replace(able, chairs=(*able.chairs, one)), RehearsalPlan(("concert B-flat major",)))
    solo = next(p for p in rehearsal.parts if p.chairs[0].name == "Solo")
    assert [str(n.value) for bar in solo.exercises[0].bars for n in bar.notes] == ["1"] * len(
        solo.exercises[0].bars
    )
