"""Rendering: notes as LilyPond text, templates that fail closed, words that stay words."""

import re
from pathlib import Path

import pytest
from jinja2 import UndefinedError

from generator.catalogue.players import player_named
from generator.engraving import music, render
from generator.engraving.escape import Ly
from generator.engraving.include import house_style
from generator.engraving.lilypond import engrave
from generator.exercise.records import Exercise, Note
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.sheet import Words, lay_out
from generator.phrase import expand
from generator.publish.sheet import standalone
from generator.theory.duration import Value
from generator.theory.interval import Interval
from generator.theory.pitch import Pitch

TEMPLATES = data_folder("templates")


def made(phrase: str, instrument: str = "flute") -> tuple[Exercise, ...]:
    return expand.exercises([phrase], player_named(instrument)).exercises


def text_of(phrase: str, words: Words | None = None, instrument: str = "flute") -> str:
    sheet = lay_out(made(phrase, instrument), words or Words("T", "I"), Paper.of("letter", "normal"))
    return render.render(sheet, TEMPLATES)


@pytest.mark.parametrize(
    ("pitch", "text"),
    # LilyPond Notation Reference, "Note names in other languages" (english) and "Absolute octave entry".
    [("C4", "c'"), ("C3", "c"), ("Bb2", "bf,"), ("F##5", "fss''"), ("Ebb6", "eff'''"), ("C1", "c,,")],
)
def test_pitches_are_english_with_absolute_octaves(pitch: str, text: str) -> None:
    assert music.pitch_text(Pitch.parse(pitch)) == text


@pytest.mark.parametrize(
    ("sounds", "text"),
    # LilyPond Notation Reference, "Instrument transpositions": clarinet in B-flat is \transposition bf.
    [("-M2", "bf"), ("-M6", "ef"), ("-P5", "f"), ("+P8", "c''"), ("-M9", "bf,"), ("+m3", "ef'")],
)
def test_transposition_names_what_middle_c_sounds(sounds: str, text: str) -> None:
    assert music.transposition(Interval.parse(sounds)) == rf"\transposition {text}"


def test_each_line_ends_in_a_break_and_the_last_in_the_closing_bar() -> None:
    text = text_of("C major in thirds, two octaves, eighths")
    bars = [line.strip() for line in text.splitlines() if re.match(r"\s+[a-g][fs]?'", line)]
    assert bars[-1].endswith(r"\fin")
    assert any(line.endswith(r"| \break") for line in bars)


def test_a_rest_that_fills_its_bar_stands_in_its_middle() -> None:
    # LilyPond Notation Reference, "Full measure rests": R is centred in its bar, r stands at its beginning.
    text = text_of("long tones on G")
    assert "R1*1/1" in text
    assert not re.search(r"(?<![A-Za-z\\])r1\b", text)


def test_a_persons_words_come_out_as_one_string() -> None:
    words = Words('He said "boo" \\ #(system "x")', "I", remark="100 % $five {sic}\n\\include")
    text = text_of("C major", words)
    assert 'title = "He said \\"boo\\" \\\\ #(system \\"x\\")"' in text
    assert 'remark = "100 % $five {sic} \\\\include"' in text


def test_a_template_that_prints_plain_text_fails(tmp_path: Path) -> None:
    for name in ("sheet.ly.j2", "exercise.ly.j2"):
        (tmp_path / name).write_text((TEMPLATES / name).read_text())
    (tmp_path / "sheet.ly.j2").write_text("title = [[ raw ]]\n")
    environment = render._environment(tmp_path)
    template = environment.get_template("sheet.ly.j2")
    with pytest.raises(TypeError, match="only Ly and int"):
        template.render(raw="anything")
    assert template.render(raw=Ly('"quoted"')) == 'title = "quoted"\n'
    with pytest.raises(UndefinedError):
        template.render()


def test_signs_in_headings_are_signs() -> None:
    text = text_of("B-flat major", instrument="alto saxophone")
    assert 'heading = "B♭ major"' in text
    assert 'concert = "(concert D♭)"' in text


def test_every_syllable_has_its_note() -> None:
    notes = [
        Note(Pitch.parse("C4"), Value(16), syllable="tu"),
        Note(None, Value(16)),
        Note(Pitch.parse("D4"), Value(16)),
    ]
    assert music.syllable_texts(notes) == '"tu" ""'
    assert music.syllable_texts(notes[1:]) is None


def test_marks_over_changing_metres_last_as_long_as_their_bars() -> None:
    text = text_of("C major, 6/8 and 4/4")
    assert '\\sameUnit "8" "8"' in text
    assert "s1*3/4 s1*1/1 \\sameUnit" in text.replace("\n", " ")


@pytest.mark.lilypond
def test_the_page_text_engraves_on_its_own() -> None:
    text = standalone(text_of("E-flat major, all slurred"), house_style(TEMPLATES))
    assert "\\include" not in text.replace('\\include "house.ily"', "")
    result = engrave({"sheet.ly": text})
    assert not result.warnings
    assert result.files["sheet.pdf"].startswith(b"%PDF-")


@pytest.mark.lilypond
def test_every_kind_of_page_engraves_without_a_complaint() -> None:
    phrases = [
        "G major, siciliano",
        "F major, swing",
        "C major, 3+3+2",
        "D major, 6/8 and 4/4, beat = beat",
        "long tones on G",
        "overtones",
        "A major, double tongue",
        "C major, triple tongue, a twelfth",
        "E major, crescendo up, diminuendo down",
        "B-flat major, portato, septuplets",
        "chromatic on C, off-beat pairs",
        "G major, all slurred, quintuplets",
        "A-flat major, a fifth, pulses",
        "C major in octaves",
        "D-flat melodic minor in triads",
        "E major, 5/8 and 7/8",
    ]
    who = player_named("alto saxophone")
    built = expand.exercises(phrases, who)
    sheet = lay_out(built.exercises, Words("All kinds", who.instrument.label), Paper.of("a4", "normal"))
    result = engrave({"sheet.ly": render.render(sheet, TEMPLATES), **house_style(TEMPLATES)})
    assert not result.warnings
