"""Chorales for a section, checked by music21's voice-leading tools, which know nothing of this program."""

from itertools import combinations, pairwise
from pathlib import Path

import pytest
from music21 import chord, note, pitch, voiceLeading

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section, from_names
from generator.documents.section_file import read_section
from generator.errors import DoesNotFitError
from generator.exercise.voicing import Voice, voiced
from generator.files.resources import data_folder
from generator.section.choir import family_of, parted
from generator.section.rehearsal import Rehearsal, rehearse
from generator.section.rehearsal_plan import RehearsalPlan
from generator.theory.form import Ladder
from generator.theory.pitch import NoteName

KEYS = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
SECTIONS = {
    "four flutes": "4 flute",
    "two flutes and two alto flutes": "2 flute, 2 alto flute",
    "low brass": "2 trombone, bass trombone, euphonium, 2 tuba",
    "four clarinets": "4 clarinet",
    "saxophone quartet": "soprano saxophone, alto saxophone, tenor saxophone, baritone saxophone",
    "string orchestra": "4 violin, 2 viola, 2 cello, double bass",
    "brass quintet": "2 trumpet, horn, trombone, tuba",
    "brass band": (
        "soprano cornet, 4 cornet, flugelhorn, 3 tenor horn, 2 baritone horn in treble clef, "
        "euphonium in treble clef, 2 trombone in treble clef, bass trombone, E-flat bass in treble clef"
    ),
    "choir": "soprano voice, alto voice, tenor voice, bass voice",
}
# Degrees of I IV V I in a major key, by half steps above the tonic (any harmony primer).
TRIADS = ({0, 4, 7}, {5, 9, 0}, {7, 11, 2}, {0, 4, 7})


def section(names: str) -> Section:
    return parted(from_names(names, "standard", shared_catalogue().instruments))


def band() -> Section:
    file = data_folder("shared") / "examples" / "harbour-street.toml"
    return parted(read_section(Path(file), shared_catalogue().instruments))


def sung(rehearsal: Rehearsal, number: int) -> list[tuple[int, tuple[int, ...]]]:
    """Family and sounding line of every part that plays all of a chorale."""
    found = []
    for part in rehearsal.parts:
        if part.unpitched:
            continue
        up = part.player.instrument.sounds.semitones
        exercise = part.exercises[number]
        line = tuple(n.pitch.height + up for b in exercise.bars for n in b.notes if n.pitch)
        if len(line) == len(TRIADS):
            found.append((family_of(part.player), line))
    return found


def at(height: int) -> note.Note:
    return note.Note(pitch.Pitch(midi=height))


def doubled(one: tuple[int, ...], other: tuple[int, ...]) -> bool:
    apart = {a - b for a, b in zip(one, other, strict=True)}
    return len(apart) == 1 and apart.pop() % 12 == 0


def held_to_the_rules(lines: list[tuple[int, ...]]) -> None:
    """Every pair of different voices, chord by chord, from the highest to the lowest."""
    voices = sorted(set(lines), reverse=True)
    for upper, lower in combinations(voices, 2):
        if doubled(upper, lower):
            continue
        for (a, b), (c, d) in zip(pairwise(upper), pairwise(lower), strict=True):
            four = voiceLeading.VoiceLeadingQuartet(at(a), at(b), at(c), at(d))
            assert not four.parallelFifth(), (upper, lower)
            assert not four.parallelOctave(), (upper, lower)
            assert not four.parallelUnison(), (upper, lower)
            assert not four.voiceCrossing(), (upper, lower)


@pytest.mark.parametrize("who", [*SECTIONS, "whole band"])
def test_no_fifths_or_octaves_and_nothing_crosses_in_any_key(who: str) -> None:
    plays = band() if who == "whole band" else section(SECTIONS[who])
    rehearsal = rehearse(plays, RehearsalPlan(tuple(f"concert {key} tuning chorale" for key in KEYS)))
    for number, key in enumerate(KEYS):
        heard = sung(rehearsal, number)
        lines = [line for _, line in heard]
        # Four real voices at least, five or six in a band.
        assert len({tuple(h % 12 for h in line) for line in lines}) >= min(4, len(lines)), (who, key)
        held_to_the_rules(lines)
        tonic = pitch.Pitch(key.replace("b", "-")).pitchClass
        for place, triad in enumerate(TRIADS):
            sounds = chord.Chord(sorted({line[place] for line in lines}))
            assert {(p.pitchClass - tonic) % 12 for p in sounds.pitches} == triad, (who, key)
            # The root lies lowest.
            assert sounds.bass().pitchClass == (tonic + (0, 5, 7, 0)[place]) % 12
        for line in lines:
            # The leading note rises to the tonic.
            if (line[2] - tonic) % 12 == 11:
                assert line[3] == line[2] + 1


def test_every_part_stays_in_its_compass_and_lines_up() -> None:
    phrases = tuple(f"concert {key} {name}" for key in KEYS for name in ("tuning chorale", "balance chorale"))
    rehearsal = rehearse(band(), RehearsalPlan(phrases))
    for number in range(len(phrases)):
        assert len({len(part.exercises[number].bars) for part in rehearsal.parts}) == 1
        for part in rehearsal.parts:
            if not part.unpitched:
                assert all(part.player.compass.holds(p) for p in part.exercises[number].pitches)
                assert all(bar.filled == bar.metre.length for bar in part.exercises[number].bars)


def test_woodwinds_and_brass_of_a_band_each_sound_whole_chords() -> None:
    rehearsal = rehearse(band(), RehearsalPlan(tuple(f"concert {key} tuning chorale" for key in KEYS)))
    for number, key in enumerate(KEYS):
        tonic = pitch.Pitch(key.replace("b", "-")).pitchClass
        families: dict[int, list[tuple[int, ...]]] = {}
        for family, line in sung(rehearsal, number):
            families.setdefault(family, []).append(line)
        whole = [lines for lines in families.values() if len(lines) > 4]
        assert len(whole) == 2
        for lines in whole:
            for place, triad in enumerate(TRIADS):
                assert {(line[place] - tonic) % 12 for line in lines} == triad, key
    assert "woodwinds, brass" in rehearsal.parts[0].exercises[0].reason


def test_each_note_says_what_it_is_in_its_chord() -> None:
    # A just major third is 13.7 cents below the tempered one, a just fifth 2.0 above (5:4 and 3:2).
    rehearsal = rehearse(section("4 clarinet"), RehearsalPlan(("concert B-flat tuning chorale",)))
    for part in rehearsal.parts:
        for bar, triad in zip(
            part.exercises[0].bars, ((10, 2, 5), (3, 7, 10), (5, 9, 0), (10, 2, 5)), strict=True
        ):
            (only,) = bar.notes
            assert only.pitch
            member = triad.index((only.pitch.height - 2) % 12)
            assert only.text == ("root", "third, 14 low", "fifth, 2 high")[member]
    assert rehearsal.parts[0].exercises[0].bars[-1].notes[0].marks == ("fermata",)


def test_a_balance_chorale_is_built_from_the_lowest_voice_up() -> None:
    rehearsal = rehearse(section(SECTIONS["brass quintet"]), RehearsalPlan(("concert F balance chorale",)))
    entrances = []
    for part in rehearsal.parts:
        bar = part.exercises[0].bars[0]
        silent = sum(n.length for n in bar.notes if n.pitch is None)
        first = next(n for n in bar.notes if n.pitch)
        entrances.append((first.pitch.height + part.player.instrument.sounds.semitones, silent * 4))
    # Lowest first, a beat apart.
    order = [beat for _, beat in sorted(entrances)]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2, 3}


def test_a_canon_sounds_thirds_and_sixths_and_ends_on_a_third() -> None:
    rehearsal = rehearse(
        section("2 trumpet, horn, trombone, tuba"), RehearsalPlan(("concert E-flat scale in canon",))
    )
    moments: list[set[int]] = []
    for part in rehearsal.parts:
        up, at_ = part.player.instrument.sounds.semitones, 0
        for bar in part.exercises[0].bars:
            for one in bar.notes:
                for _ in range(int(one.length * 2)):
                    moments += [set()] if len(moments) <= at_ else []
                    if one.pitch:
                        moments[at_].add((one.pitch.height + up) % 12)
                    at_ += 1
    assert all(len(heard) == 1 for heard in moments[:2])
    for heard in moments[2:]:
        apart = {(a - b) % 12 for a, b in combinations(sorted(heard), 2)}
        assert apart <= {3, 4, 8, 9}, heard
    assert moments[-1] == {3, 7}


def test_a_form_without_such_chords_is_refused_and_so_is_a_written_key() -> None:
    plays = section("4 clarinet")
    with pytest.raises(DoesNotFitError, match="ask for major or harmonic minor"):
        rehearse(plays, RehearsalPlan(("concert C locrian tuning chorale",)))
    with pytest.raises(DoesNotFitError, match="name its concert key"):
        rehearse(plays, RehearsalPlan(("written C tuning chorale",)))


@pytest.mark.parametrize("voices", [2, 3, 4, 5, 6])
@pytest.mark.parametrize("form", ["major", "harmonic minor"])
def test_two_to_six_voices_keep_the_rules(voices: int, form: str) -> None:
    row = shared_catalogue().forms.find(form)
    middles = [72 - 26 * v / (voices - 1) for v in range(voices)]
    for key in KEYS:
        ladder = Ladder(row, row.readable_tonic(NoteName.parse(key)))
        where = [Voice(round(m) - 10, round(m) + 10, m) for m in middles]
        lines = voiced([(0, 2, 4), (3, 5, 7), (4, 6, 8), (0, 2, 4)], ladder, where)
        held_to_the_rules([tuple(ladder.pitch(d).height for d in line) for line in lines])
