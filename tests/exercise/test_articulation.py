"""Articulations as they were printed, on the notes of a run."""

import itertools
from collections.abc import Callable

import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation, parse_strokes
from generator.exercise.records import Exercise, Note
from generator.phrase import expand
from generator.theory.duration import Metre

Make = Callable[..., Exercise]
Attacks = Callable[[Exercise], list[Note]]
ARTICULATIONS = shared_catalogue().articulations
SIGNS = {None: ".", "start": "(", "stop": ")", "inside": "_", "stop start": ")("}


def strokes(notes: list[Note]) -> list[str]:
    return [SIGNS[n.slur] for n in notes]


# Source: Kopprasch, 60 Studies op. 6 (1832/33), variants as printed (Mutopia edition): study, variant, rhythm, name,
# strokes of one group.
PRINTED = [
    (6, 1, "sixteenths", "staccato", ". . . ."),
    (6, 2, "sixteenths", "slur two tongue two", "( ) . ."),
    (6, 3, "sixteenths", "tongue two slur two", ". . ( )"),
    (6, 4, "sixteenths", "slurred pairs", "( ) ( )"),
    (6, 5, "sixteenths", "slur three tongue one", "( _ ) ."),
    (6, 6, "sixteenths", "tongue one slur three", ". ( _ )"),
    (8, 1, "sixteenths", "slur 2 tongue 2", "( ) . ."),
    (8, 2, "sixteenths", "tongue 2 slur 2", ". . ( )"),
    (10, 1, "eighths", "tongue two slur two", ". . ( )"),
    (10, 2, "eighths", "tongue one slur two tongue one", ". ( ) ."),
    (10, 4, "eighths", "slur three tongue one", "( _ ) ."),
    (10, 5, "eighths", "slurred pairs", "( )"),
    (12, 1, "sixteenths", "tongue two slur two", ". . ( )"),
    (12, 2, "sixteenths", "slur three tongue one", "( _ ) ."),
    (12, 3, "sixteenths", "tongue one slur three", ". ( _ )"),
    (14, 1, "triplets", "slur two tongue one", "( ) ."),
]


@pytest.mark.parametrize(("study", "variant", "rhythm", "name", "group"), PRINTED)
def test_groups_as_printed(
    study: int, variant: int, rhythm: str, name: str, group: str, make: Make, attacks: Attacks
) -> None:
    assert (study, variant) != (0, 0)
    line = "in groups of three, one octave" if rhythm == "triplets" else "two octaves"
    notes = attacks(make(f"C major {line}, {rhythm}, {name}".replace("major two", "major, two")))[:24]
    cell = group.split()
    assert strokes(notes) == cell * (24 // len(cell))


@pytest.mark.parametrize(("study", "rhythm"), [(12, "sixteenths"), (10, "eighths")])
def test_off_beat_pairs_cross_beat_and_barline(study: int, rhythm: str, make: Make, attacks: Attacks) -> None:
    # Source: Kopprasch op. 6 no. 12, variant 4 and no. 10, variant 3: . (2 3)(4 1')(2' 3') over beat and barline.
    assert study in (10, 12)
    exercise = make(f"C major, two octaves, {rhythm}, off-beat pairs")
    notes = attacks(exercise)
    assert strokes(notes) == ["."] + ["(", ")"] * 14
    for before, after in itertools.pairwise(exercise.bars):
        assert before.notes[-1].slur == "start"
        assert after.notes[0].slur == "stop"


def test_triplets_restart_on_each_beat(make: Make) -> None:
    # Source: Kopprasch op. 6 no. 14: every triplet is slur two, tongue one.
    exercise = make("C major in groups of three, one octave, slur two tongue one")
    for bar in exercise.bars[:2]:
        groups = [list(bar.notes[k : k + 3]) for k in range(0, len(bar.notes), 3)]
        assert all(strokes(g) == ["(", ")", "."] and g[0].tuplet_start and g[2].tuplet_stop for g in groups)


def test_tongued_notes_of_a_mixed_cell_are_dotted_and_the_last_note_is_not(
    make: Make, attacks: Attacks
) -> None:
    # Source: Kopprasch prints dots over the tongued notes of his mixed variants.
    notes = attacks(make("C major, two octaves, slur two tongue two"))
    assert [n.marks for n in notes[:4]] == [(), (), ("staccato",), ("staccato",)]
    assert notes[-1].marks == ()


def test_all_slurred_is_one_slur_each_way_sharing_the_top(make: Make, attacks: Attacks) -> None:
    # Source: common practice, no source.
    notes = attacks(make("C major, one octave, all slurred"))
    assert strokes(notes) == ["(", *"______", ")(", *"______", ")"]


def test_tongued_up_slurred_down(make: Make, attacks: Attacks) -> None:
    # Source: Florida Bandmasters: "tongued up, slurred down".
    notes = attacks(make("C major, one octave, tongued up, slurred down"))
    assert strokes(notes) == [*".......", "(", *"______", ")"]


def every_phrase() -> list[str]:
    lines = [
        "C major in long tones along the scale, eight counts",
        "C major in octave leaps, one octave",
        "C major in thirds, one octave, inside",
        "C major, two octaves",
    ]
    rhythms = ["sixteenths", "triplets", "quarter and eighth in six-eight", "dotted rhythm", "whole notes"]
    rhythms.append("four counts and a rest")
    return lines[:1] + [f"{line}, {rhythm}" for line in lines[1:] for rhythm in rhythms]


READERS = {("string",): "violin", ("unpitched",): "marimba", ("plucked",): "classical guitar"}


@pytest.mark.parametrize("row", ARTICULATIONS.rows, ids=lambda r: r.name)
def test_slurs_are_well_formed_and_never_cover_a_repeated_pitch(row: Articulation, make: Make) -> None:
    built = 0
    for phrase in every_phrase():
        try:
            # A bowing on a violin, a sticking on a marimba: whoever reads the row.
            exercise = make(f"{phrase}, {row.name}", instrument=READERS.get(row.winds[-1:], "alto saxophone"))
        except DoesNotFitError:
            continue
        built += 1
        open_slur = False
        before: Note | None = None
        for note in (n for bar in exercise.bars for n in bar.notes):
            assert note.pitch is not None or note.slur is None
            assert open_slur == (note.slur in ("stop", "inside", "stop start"))
            if open_slur and before is not None and not before.tie:
                assert before.pitch is not None
                assert note.pitch is not None
                assert before.pitch.height != note.pitch.height
            open_slur = note.slur in ("start", "inside", "stop start")
            before = note
        assert not open_slur
    assert built


@pytest.mark.parametrize(
    ("name", "rhythm", "times", "cycle", "share"),
    [
        # Source: T K T K; T T K T T K (a trumpet method; Betts 2009); T K T (Betts; flute). Half of the notes are T in
        # double, two thirds in triple tonguing (worked out from the syllables).
        ("double tongue", "sixteenths", 2, ["tu", "ku"], (1, 2)),
        ("double tongue", "eighths", 2, ["tu", "ku"], (1, 2)),
        ("double tongue", "sextuplets", 2, ["tu", "ku"], (1, 2)),
        ("triple tongue", "triplets", 3, ["tu", "tu", "ku"], (2, 3)),
        ("triple tongue", "sextuplets", 3, ["tu", "tu", "ku"], (2, 3)),
        ("triple tongue, tu ku tu", "triplets", 3, ["tu", "ku", "tu"], (2, 3)),
        ("double tongue, one on each", "sixteenths", 1, ["tu", "ku"], (1, 2)),
        ("triple tongue, one on each", "triplets", 1, ["tu", "tu", "ku"], (2, 3)),
    ],
)
def test_double_and_triple_tonguing(
    name: str, rhythm: str, times: int, cycle: list[str], share: tuple[int, int], make: Make, attacks: Attacks
) -> None:
    # One on each: a line in groups of three, whose triplets come out even.
    line = (
        "C major in groups of three, one octave"
        if name == "triple tongue, one on each"
        else "C major, two octaves"
    )
    exercise = make(f"{line}, {rhythm}, {name}", "Bb3", "F6")
    notes = attacks(exercise)
    words = [n.syllable for n in notes]
    assert words[:-1] == [cycle[k % len(cycle)] for k in range(len(words) - 1)]
    assert words[-1] == "tu"
    whole = len(words) - 1 - (len(words) - 1) % len(cycle)
    assert words[:whole].count("tu") * share[1] == whole * share[0]
    # Source: NZMEB trombone grades 7 and 8: two equal notes on each note, a triplet on each note.
    pitches = [n.pitch for n in notes]
    assert len(notes) == (42 if name == "triple tongue, one on each" else 28 * times) + 1
    assert all(len(set(pitches[k : k + times])) == 1 for k in range(0, len(notes) - 1, times))
    # A beat never begins on K.
    place = exercise.bars[0].metre.length * 0
    for bar in exercise.bars:
        for note in bar.notes:
            if note.syllable and place % bar.metre.length in Metre.parse("4/4").beat_starts:
                assert note.syllable == "tu"
            place += note.length


@pytest.mark.parametrize("span", ["a fifth", "a sixth", "one octave"])
def test_no_beat_begins_with_the_back_of_the_tongue_where_only_one_half_is_tongued(
    span: str, make: Make
) -> None:
    # The falling half of a fifth begins off the beat; a beat begins on T all the same (common practice, no source).
    exercise = make(f"C major, {span}, sixteenths, all slurred up, double tongue, one on each down")
    words = []
    for bar in exercise.bars:
        place = bar.metre.length * 0
        for note in bar.notes:
            if note.syllable:
                words.append(note.syllable)
                assert note.syllable == "tu" or place not in bar.metre.beat_starts
            place += note.length
    assert "ku" in words


@pytest.mark.parametrize("name", ["staccato", "legato-tongued"])
def test_the_long_last_note_is_neither_short_nor_tenuto(name: str, make: Make, attacks: Attacks) -> None:
    # A dot or line asks for a short or pressed note within a run, not at its end (common practice, no source).
    notes = attacks(make(f"C major, one octave, {name}"))
    assert all(n.marks for n in notes[:-1])
    assert notes[-1].marks == ()


@pytest.mark.parametrize(
    ("phrase", "instrument", "reason"),
    [
        ("C major, triple tongue, sixteenths", "trumpet in B-flat", "divide by 3.*4 to a beat.*try triplets"),
        ("C major, double tongue, triplets", "trumpet in B-flat", "divide by 2.*3 to a beat.*try sixteenths"),
        ("C major, double tongue, dotted rhythm", "trumpet in B-flat", "unequal notes"),
        (
            "C major, double tongue",
            "classical guitar",
            "for flutes, reeds and brass, not for guitars; ask for each note plucked",
        ),
        ("C major, triple tongue", "marimba", "not for mallets; ask for alternating sticking"),
        ("C major, triple tongue", "violin", "not for bowed strings; ask for separate bows"),
        ("C major, accent on the third, triplets", "flute", "divide by 4"),
        ("C major, slur two tongue one, sixteenths", "flute", "divide by 3"),
    ],
)
def test_articulations_that_make_no_sense_are_refused(
    phrase: str, instrument: str, reason: str, make: Make
) -> None:
    with pytest.raises(DoesNotFitError, match=reason):
        make(phrase, instrument=instrument)


def test_every_articulation_leaves_out_what_does_not_suit() -> None:
    def found(phrase: str, instrument: str) -> list[str]:
        who = player_named(instrument)
        return [e.phrase.split(", ", 2)[2] for e in expand.exercises([phrase], who).exercises]

    on_trumpet = found("C major, one octave, every articulation", "trumpet in B-flat")
    on_violin = found("C major, one octave, every articulation", "violin")
    assert set(on_trumpet) - set(on_violin) == {"double tongue", "double tongue, one on each"}
    assert "slur two tongue one" not in on_trumpet
    # Source: the exam boards' core (NZMEB): all tongued, all slurred, slur two tongue two, slurred pairs.
    assert {"all tongued", "all slurred", "slur two tongue two", "slurred pairs"} <= set(on_trumpet)
    assert len(on_trumpet) == len(set(on_trumpet))


@pytest.mark.parametrize("text", ["( x )", "(( )", "'", "..", "(. )"])
def test_cells_that_cannot_be_read(text: str) -> None:
    with pytest.raises(Exception, match="articulation cell"):
        parse_strokes(text)


@pytest.mark.parametrize(
    ("clauses", "signs"),
    [
        # A hairpin leads from one dynamic to the other, and what it leads to stands at its end; where the line turns
        # the second begins at that dynamic (common practice, no source).
        ("crescendo up, diminuendo down", {"C4": ["p <", "p"], "C5": ["f >"]}),
        ("diminuendo up, crescendo down", {"C4": ["f >", "f"], "C5": ["p <"]}),
        ("down first, crescendo up, diminuendo down", {"C5": ["f >", "f"], "C4": ["p <"]}),
        ("up, crescendo up, diminuendo down", {"C4": ["p <"], "C5": ["f"]}),
        ("down, crescendo up, diminuendo down", {"C5": ["f >"], "C4": ["p"]}),
    ],
)
def test_hairpins_say_where_they_begin_and_where_they_lead(clauses, signs, make) -> None:
    found: dict[str, list[str]] = {}
    for bar in make(f"C major, one octave, {clauses}").bars:
        for note in bar.notes:
            if note.dynamic:
                found.setdefault(note.pitch.name, []).append(" ".join(note.dynamic))
    assert found == signs
