"""One passage for every chair: the same drill, bar for bar, in each chair's key, clef and notes."""

from fractions import Fraction
from random import Random

import pytest
from music21 import converter, stream

from generator.api.handouts import handout, prepared
from generator.api.playing_tests import playing_test
from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section, from_names
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.records import Exercise
from generator.files.resources import data_folder
from generator.passage.kept import KeptPassage, from_text
from generator.publish.handout import HandoutOrder, score_as_musicxml
from generator.section.drill_places import octaves_of, read_interval
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from generator.theory.interval import Interval
from tests.passage.passages import random_passage

SIX = "flute, clarinet, horn, trombone, tuba, snare drum"


def chorale() -> KeptPassage:
    text = (data_folder("shared") / "examples" / "harbour-chorale.abc").read_text()
    return from_text(text, "chorale")


def seated(names: str, level: str = "standard") -> Section:
    return from_names(names, level, shared_catalogue().instruments)


def drilled(kept: KeptPassage, section: Section, words: str = "", **plan: object) -> Rehearsal:
    phrase = f"drill {kept.name}{words and ', '}{words}"
    return rehearse(section, RehearsalPlan((phrase,), kept=(kept,), **plan))  # type: ignore[arg-type]


def heard(part: stream.Part) -> list[list[tuple[Fraction, int]]]:
    """Bar by bar, when a note begins and its sounding pitch class, as music21 reads it."""
    sounding = part.toSoundingPitch()
    return [
        [
            (Fraction(n.offset), n.pitch.pitchClass if hasattr(n, "pitch") else 0)
            for n in bar.recurse().notes
            if not n.duration.isGrace
        ]
        for bar in sounding.getElementsByClass(stream.Measure)
    ]


def rhythm(bars: list[list[tuple[Fraction, int]]]) -> list[list[Fraction]]:
    return [[place for place, _ in bar] for bar in bars]


# The independent reader is music21 9: it takes each part back by the transposition that the file says.
def test_every_part_of_the_band_transposed_back_is_the_passage_that_was_given(band: Section) -> None:
    kept = chorale()
    rehearsal = drilled(kept, band)
    score = converter.parse(score_as_musicxml("", rehearsal), format="musicxml")
    parts = {part.partName: heard(part) for part in score.parts}
    assert len(parts) == len(rehearsal.parts) == 20
    first = next(iter(parts.values()))
    drum = parts.pop("Snare Drum")
    assert rhythm(drum) == rhythm(first)
    for name, bars in parts.items():
        assert bars == first, name
    given = [note.pitch.height % 12 for note in kept.passage.attacks if note.pitch]
    assert [pitch for bar in first[:4] for _, pitch in bar] == given


@pytest.mark.parametrize("seed", range(12))
def test_any_passage_sounds_alike_in_every_chair_and_lies_in_its_notes(seed: int) -> None:
    chance = Random(seed)
    passage = random_passage(chance, rests=bool(seed % 2))
    kept = KeptPassage("it", passage, concert=True)
    rehearsal = drilled(
        kept, seated(SIX), ", ".join(chance.sample(["passage", "chunks", "skeleton", "all keys"], 3))
    )
    first = rehearsal.parts[0]
    for part in rehearsal.parts[1:-1]:
        up = part.player.instrument.sounds.semitones
        for mine, other in zip(part.exercises, first.exercises, strict=True):
            _alike(mine, other, up)
    for part in rehearsal.parts[:-1]:
        assert all(part.player.compass.holds(p) for e in part.exercises for p in e.pitches)


def _alike(mine: Exercise, other: Exercise, up: int) -> None:
    assert [bar.label for bar in mine.bars] == [bar.label for bar in other.bars]
    assert [bar.length for bar in mine.bars] == [bar.length for bar in other.bars]
    for bar, like in zip(mine.bars, other.bars, strict=True):
        pairs = zip(_places(bar.notes), _places(like.notes), strict=False)
        if len(_places(bar.notes)) == len(_places(like.notes)):  # nobody rests in part
            assert all(a == b and (p + up - q) % 12 == 0 for (a, p), (b, q) in pairs)


def _places(notes: tuple[object, ...]) -> list[tuple[Fraction, int]]:
    place, found = Fraction(0), []
    for note in notes:
        if note.pitch is not None:  # type: ignore[attr-defined]
            found.append((place, note.pitch.height))  # type: ignore[attr-defined]
        place += note.length  # type: ignore[attr-defined]
    return found


def test_cells_and_keys_are_the_same_for_everyone_though_some_change_octave() -> None:
    # One bar that is heard twice an octave apart, and equal for a chair that has one octave alone.
    kept = from_text("T:run\n%%scalewright-pitch concert\nM:4/4\nL:1/16\nK:C\ncdec defd CDEC DEFD | c16 |\n")
    rehearsal = drilled(kept, seated("flute, cornet", "first notes"), "passage, chunks, all keys")
    labels = [[bar.label for bar in part.exercises[1].bars] for part in rehearsal.parts]
    assert labels[0] == labels[1]
    assert len(labels[0]) == 4
    keys = [[bar.label for bar in part.exercises[2].bars if bar.label] for part in rehearsal.parts]
    assert keys[0] == keys[1]
    assert len(keys[0]) == 12


def test_who_has_not_all_notes_changes_octave_or_rests_or_is_named_in_a_refusal() -> None:
    text = "T:leap\n%%scalewright-pitch concert\nM:4/4\nL:1/4\nK:C\nCDEF | z4 | c'd'e'f' | c'4 |\n"
    kept, players = from_text(text), seated("flute, tuba", "first notes")
    (turn,) = drilled(kept, players, "passage").turns
    assert any("changing octave: Flute" in line and "and Tuba" in line for line in turn.told)
    low = drilled(kept, players, "passage", together="leave out")
    tuba = low.parts[1].exercises[0]
    assert len(tuba.pitches) < len(kept.passage.attacks)
    assert "you rest" in " ".join(tuba.notes)
    assert [bar.length for bar in tuba.bars] == [bar.length for bar in kept.passage.bars]
    for plan in ({"together": "narrow"}, {"exact": True}):
        with pytest.raises(DoesNotFitError, match=r"drill leap fits .*Tuba .* in no octave; .*'leave out'"):
            drilled(kept, players, "passage", **plan)


def test_keys_that_somebody_lacks_are_left_out_for_all_where_nobody_may_change_octave() -> None:
    kept = from_text("T:wide\n%%scalewright-pitch concert\nM:4/4\nL:1/4\nK:C\nDFAd | fac'a |\n")
    rehearsal = drilled(kept, seated("flute, alto saxophone"), "all keys", together="narrow")
    said = [part.exercises[0].notes for part in rehearsal.parts]
    labels = [[bar.label for bar in part.exercises[0].bars if bar.label] for part in rehearsal.parts]
    assert labels[0] == labels[1]
    assert len(labels[0]) < 12
    assert all("Left out: " in " ".join(lines) for lines in said)


def test_a_passage_kept_for_one_instrument_is_given_on_as_it_sounds_and_stays_as_it_is_for_its_own() -> None:
    text = (data_folder("shared") / "examples" / "harbour-gigue.abc").read_text()
    kept = from_text(text, "gigue")  # for the clarinet in B-flat
    flute, clarinet = drilled(kept, seated("flute, clarinet"), "passage").parts
    written = [note.pitch for note in kept.passage.attacks]
    assert list(clarinet.exercises[0].pitches) == written
    down = Interval.parse("-M2")  # a clarinet in B-flat sounds a major second lower
    heights = {
        p.height - down.above(q).height for p, q in zip(flute.exercises[0].pitches, written, strict=True) if q
    }
    assert len(heights) == 1
    assert heights.pop() % 12 == 0
    assert flute.exercises[0].signature == -3  # E-flat, from the clarinet's F


def test_drummers_read_the_rhythm_on_one_line_even_where_the_first_chair_rests() -> None:
    kept = chorale()
    section = seated("tuba, snare drum", "first notes")
    rehearsal = drilled(kept, section, "passage, articulations", together="leave out")
    drum = rehearsal.parts[-1]
    assert {e.clef for e in drum.exercises} == {"percussion"}
    assert len(drum.exercises[0].pitches) == len(kept.passage.attacks)
    assert not any(note.slur for e in drum.exercises for bar in e.bars for note in bar.notes)
    assert not any(bar.label for bar in drum.exercises[1].bars)


def test_a_score_at_concert_pitch_shows_the_passage_as_it_was_given() -> None:
    kept = chorale()
    rehearsal = drilled(kept, seated("alto saxophone, horn"), "passage")
    for part in rehearsal.parts:
        apart = {
            p.height - q.pitch.height
            for p, q in zip(part.heard[0].pitches, kept.passage.attacks, strict=True)
            if q.pitch
        }
        assert len(apart) == 1
        assert apart.pop() % 12 == 0
        assert part.heard[0].signature == kept.passage.bars[0].signature


def test_keys_stay_readable_for_every_transposition() -> None:
    for signature in range(-7, 8):
        for instrument in shared_catalogue().instruments.rows:
            up = read_interval(signature, instrument.sounds)
            assert abs(signature + 7 * up.semitones - 12 * up.steps) <= 7
            assert (up.semitones + instrument.sounds.semitones) % 12 == 0


def test_a_passage_moves_by_whole_octaves_alone() -> None:
    kept = chorale()
    flute = shared_catalogue().instruments.find("flute").level("standard")
    # F4 to F5 in C4 to C7: as it is, or one octave up.
    assert list(octaves_of(kept.passage, flute)) == [0, 1]


def test_a_drill_stands_beside_scales_with_a_warm_up_before_and_a_title_of_its_own() -> None:
    kept = chorale()
    plan = RehearsalPlan(("drill chorale, chunks, rhythms", "concert B-flat major"), kept=(kept,))
    _, rehearsal = prepared(seated(SIX), plan, HandoutOrder(), 12)
    drills = [turn.heading for turn in rehearsal.turns if turn.drill]
    assert drills == ["Chorale, bars 1\u20134: chunks: each stops on the first note of the next beat",
                      "Rhythms: go on like this to the end"]  # fmt: skip
    assert len(rehearsal.turns) > 3
    assert rehearsal.turns[-1].heading.startswith("Concert B-flat major")


def test_what_cannot_be_handed_out_is_refused_in_one_line() -> None:
    with pytest.raises(RequestError, match="no passages are kept here"):
        handout("drill chorale", section="flute, tuba")
    with pytest.raises(RequestError, match="without --test"):
        playing_test("drill chorale", section=seated(SIX), order=HandoutOrder())


def test_what_is_struck_slurs_nothing_and_plays_the_same_bars() -> None:
    # No slur over a few notes on mallets: Articulation.played_on, shared by every page.
    flute, bells = drilled(chorale(), seated("flute, glockenspiel")).parts
    assert any(note.slur for one in flute.exercises for bar in one.bars for note in bar.notes)
    assert not any(note.slur for one in bells.exercises for bar in one.bars for note in bar.notes)
    assert [len(one.bars) for one in flute.exercises] == [len(one.bars) for one in bells.exercises]
