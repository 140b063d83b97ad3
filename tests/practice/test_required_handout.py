"""Required lists for a whole section."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from generator.documents.section import Section
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.records import Exercise
from generator.practice.required_handout import required_handout, required_scales
from generator.practice.required_sheet import required_sheet
from generator.section.rehearsal import ChairPart
from tests.fixtures.command import run_here

OWN = """
title = "Harbour Street, spring"
source = "Harbour Street Community Band"
year = 2027
phrases = 2
octaves = "one octave"
rhythm = "eighths"
"""


def keys(part: ChairPart) -> list[str]:
    return [exercise.key for exercise in part.exercises]


def heard(exercise: Exercise, part: ChairPart) -> list[int]:
    sounds = part.player.instrument.sounds.semitones
    return [(pitch.height + sounds) % 12 for pitch in exercise.pitches]


def test_concert_keys_of_a_list_are_written_for_each_instrument(seated: Callable[..., Section]) -> None:
    # Illinois asks for concert C, F, B-flat, E-flat, A-flat, D-flat, G and the chromatic scale on G (IHSA, 2005); an
    # alto saxophone reads a major sixth above, a horn a fifth above (Grove Music Online, "Transposing instruments").
    made = required_handout("illinois-state", seated("flute, alto saxophone, horn"), Path())
    flute, alto, horn = made.rehearsal.parts
    assert keys(flute) == ["C", "F", "Bb", "Eb", "Ab", "Db", "G", "G"]
    assert keys(alto)[:7] == ["A", "D", "G", "C", "F", "Bb", "E"]
    assert keys(horn)[:7] == ["G", "C", "F", "Bb", "Eb", "Ab", "D"]
    assert not made.rehearsal.together
    assert any("no score" in line for line in made.told)


def test_written_keys_of_a_list_are_the_same_for_everyone_and_the_chromatic_scale_is_each_instruments_own(
    seated: Callable[..., Section],
) -> None:
    # Orange County, New York, junior: chromatic scale of flute on G, clarinet on F, saxophones on D, horn on C.
    made = required_handout("orange-county-junior", seated("flute, clarinet, alto saxophone, horn"), Path())
    last = {part.player.instrument.name: keys(part)[-1] for part in made.rehearsal.parts}
    assert last == {"flute": "G", "clarinet in B-flat": "F", "alto saxophone": "D", "horn in F": "C"}
    assert len({tuple(keys(part)[:12]) for part in made.rehearsal.parts}) == 1


def test_each_chair_gets_what_a_sheet_of_its_own_would_ask(seated: Callable[..., Section]) -> None:
    made = required_handout("maryland-district", seated("flute, trumpet, tuba"), Path())
    for part in made.rehearsal.parts:
        alone = required_sheet("maryland-district", part.player, Path())
        assert [exercise.phrase for exercise in part.exercises] == list(alone.phrases)


def test_who_is_not_named_takes_the_sheet_of_a_like_instrument_or_is_left_out_by_name(
    seated: Callable[..., Section],
) -> None:
    # A euphonium in treble clef uses the trumpet's sheet: Maine Music Educators Association, District 3.
    made = required_handout(
        "hong-kong-trumpet-e2", seated("flute, trumpet, euphonium in treble clef, snare drum"), Path()
    )
    names = [part.player.instrument.name for part in made.rehearsal.parts]
    assert names == ["trumpet in B-flat", "euphonium in treble clef"]
    assert keys(made.rehearsal.parts[0]) == keys(made.rehearsal.parts[1])
    assert any("as for the trumpet" in line for line in made.told)
    assert made.told[0] == ("left out, because the list is for trumpet in B-flat alone: Flute, Snare Drum")
    with pytest.raises(DoesNotFitError, match="for trumpet in B-flat alone: Flute"):
        required_handout("hong-kong-trumpet-e2", seated("flute"), Path())


def draws(section: Section, seed: int, name: str = "illinois-state", count: int = 3) -> Sequence[ChairPart]:
    return required_handout(name, section, Path(), count, Random(seed)).rehearsal.parts


def test_a_draw_is_common_to_all_and_the_same_seed_draws_it_again(seated: Callable[..., Section]) -> None:
    section = seated("flute, alto saxophone, horn, tuba")
    seen = set()
    for seed in range(12):
        parts = draws(section, seed)
        assert [keys(p) for p in draws(section, seed)] == [keys(p) for p in parts]
        # Whatever the octaves, the tonics that sound are the same for all.
        assert len({tuple(heard(e, p)[0] for e in p.exercises) for p in parts}) == 1
        assert len(parts[0].exercises) == 3
        seen.add(tuple(keys(parts[0])))
    assert len(seen) > 6
    with pytest.raises(RequestError, match="has 8 exercises; 9 cannot be drawn"):
        draws(section, 1, count=9)


def test_a_draw_keeps_to_what_all_have_in_common(
    seated: Callable[..., Section], written: Callable[[str, str], Path]
) -> None:
    text = f"""{OWN}
[[item]]
phrase = "concert B-flat, E-flat and F major"
[[item]]
phrase = "concert C major"
instruments = ["flute"]
"""
    path = str(written("own.toml", text))
    section = seated("flute, tuba")
    for seed in range(8):
        for part in draws(section, seed, path, 3):
            assert sorted(keys(part)) == ["Bb", "Eb", "F"]
    with pytest.raises(RequestError, match="3 exercises that all these instruments have; 4 cannot"):
        draws(section, 1, path, 4)


def test_nobody_stops_a_draw_or_a_list_for_the_want_of_notes(seated: Callable[..., Section]) -> None:
    # Timpani cannot tune eight notes while eighths run on; the others go on without them.
    section = seated("flute, tuba, harp, timpani")
    whole = required_handout("illinois-state", section, Path())
    by_name = {part.player.instrument.name: part for part in whole.rehearsal.parts}
    assert len(by_name["flute"].exercises) == 8
    assert any(line.startswith("left out for Timpani: ") for line in whole.told)
    # Whoever lacks something keeps the numbers of the others for the rest.
    harp = by_name["harp"]
    assert len(harp.exercises) == 7
    assert keys(harp) == keys(by_name["flute"])[:7]
    for seed in range(6):
        drawn = required_handout("illinois-state", section, Path(), 3, Random(seed))
        assert [
            len(p.exercises) for p in drawn.rehearsal.parts if p.player.instrument.name in ("flute", "tuba")
        ] == [3, 3]


def test_there_is_a_score_where_all_sound_the_same_in_the_same_bars(
    seated: Callable[..., Section], written: Callable[[str, str], Path]
) -> None:
    path = written("own.toml", f'{OWN}[[item]]\nphrase = "concert B-flat and E-flat major"\n')
    made = required_handout(str(path), seated("flute, alto saxophone, horn, tuba, snare drum"), Path())
    assert made.rehearsal.together
    *pitched, drum = made.rehearsal.parts
    for number in range(2):
        assert len({tuple(heard(part.exercises[number], part)) for part in pitched}) == 1
        assert len({len(part.exercises[number].bars) for part in made.rehearsal.parts}) == 1
    assert drum.unpitched
    # Heard at concert pitch the tonic is the list's own.
    assert all([e.key for e in part.heard] == ["Bb", "Eb"] for part in pitched)


def test_a_drum_that_plays_alone_has_each_rhythm_once(seated: Callable[..., Section]) -> None:
    made = required_handout("illinois-state", seated("flute, alto saxophone, snare drum"), Path())
    drum = made.rehearsal.parts[-1]
    assert drum.unpitched
    assert len({e.bars for e in drum.exercises}) == len(drum.exercises) < 8


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["C major", "--list", "illinois-state"], "a required list says itself"),
        (["--list", "illinois-stat"], "nearest: illinois-state"),
        (["C major", "--draw", "2"], "--draw goes with --list"),
    ],
)
def test_what_does_not_go_together_is_said_in_one_line(words: list[str], said: str, tmp_path: Path) -> None:
    done = run_here("handout", *words, "--instruments", "flute", "-o", str(tmp_path / "out"))
    done.fails(2, said)
    assert not (tmp_path / "out").exists()


@pytest.mark.lilypond
def test_a_list_is_handed_out_with_cover_and_parts(tmp_path: Path) -> None:
    done = run_here(
        "handout", "--list", "illinois-state", "--draw", "2", "--seed", "5", "--instruments", "flute, tuba",
        "-o", str(tmp_path),
    )  # fmt: skip
    assert done.code == 0
    assert [Path(line).name for line in done.out] == [
        "everything.pdf", "cover.pdf", "01-flute.pdf", "02-tuba.pdf",
    ]  # fmt: skip
    assert "drawn with --seed 5" in done.words


def test_in_a_test_of_a_list_a_column_is_the_same_exercise_for_everyone(
    seated: Callable[..., Section],
) -> None:
    section = seated("trombone, euphonium")
    beginners = seated("trombone", "first notes")
    both = replace(section, chairs=(*section.chairs, *beginners.chairs))
    _, _, scales, told = required_scales("nzmeb-trombone-7", both, Path(), 0, Random(1))
    assert any(line.startswith("left out for Trombone: ") for line in told)
    counts = [len(scale.pieces) for scale in scales]
    assert min(counts) == 2
    assert max(counts) == 3
    for scale in scales:
        assert len({(exercise.form, exercise.key) for _, exercise, _ in scale.pieces}) == 1
        assert "its own" not in scale.heading
