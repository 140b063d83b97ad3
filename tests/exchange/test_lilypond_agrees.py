"""LilyPond as an outside judge: what it plays, and which accidentals and beams it prints for the same exercises."""

import io
import random
import re
import subprocess  # LilyPond with a spy in the text
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import mido
import pytest

from generator.catalogue.players import player_named
from generator.catalogue.tables import shared_catalogue
from generator.engraving import lilypond
from generator.engraving.escape import Ly
from generator.engraving.include import house_style
from generator.engraving.music import transposition
from generator.engraving.render import render
from generator.errors import LilyPondMissingError, RequestError
from generator.exchange.notation import Accidentals, beam_groups
from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.sheet import Words, lay_out
from generator.phrase import expand
from generator.theory.interval import UNISON

pytestmark = pytest.mark.lilypond
COUNT = 60
# Every instrument once or twice, so that each transposition is heard.
PLAYERS = (
    "piccolo", "flute", "alto flute", "bassoon", "contrabassoon", "clarinet in E-flat", "clarinet in B-flat",
    "clarinet in A", "bass clarinet", "contrabass clarinet", "alto saxophone", "tenor saxophone", "baritone saxophone",
    "horn in F", "trumpet in B-flat", "trombone", "tuba", "double bass", "viola", "cello",
)  # fmt: skip
KEYS = ("C", "D-flat", "D", "E-flat", "E", "F", "F-sharp", "G", "A-flat", "A", "B-flat", "B")

Chosen = list[tuple[Instrument, Exercise]]


@pytest.fixture(scope="module")
def chosen() -> Chosen:
    """Sixty exercises: every rhythm at least once, on all instruments in turn."""
    names = shared_catalogue()
    chance = random.Random(4)
    found: Chosen = []
    rhythms = [r.name for r in names.rhythms.rows]
    forms = [f for f in names.forms.rows if not f.chord]
    metres = ["", "", "in 2/4", "in 3/4", "in 6/4", "in 2/2"]
    for number in range(COUNT * 5):
        player = player_named(PLAYERS[len(found) % len(PLAYERS)])
        form = forms[number % len(forms)]
        key = chance.choice(KEYS)
        parts = [f"{form.name} on {key}" if form.signature is None else f"{key} {form.name}"]
        parts[0] += chance.choice(("", " in thirds", " in groups of three", " in alternating fourths"))
        parts += ["one octave", rhythms[number % len(rhythms)]]
        parts += [w for w in (chance.choice(metres),) if w and number >= len(rhythms)]
        try:
            found += [(player.instrument, e) for e in expand.exercises([", ".join(parts)], player).exercises]
        except RequestError:
            continue
        if len(found) >= COUNT:
            break
    return found


def page(chosen: Chosen) -> str:
    """One page text for all, each exercise with the transposition of its instrument."""
    sheet = lay_out([e for _, e in chosen], Words("", ""), Paper.of("a4", "normal"))
    mark = transposition(UNISON)
    text = render(sheet, data_folder("templates"), sounds=mark)
    pieces = text.split(f"{mark} ")
    assert len(pieces) == len(chosen) + 1
    marks: Iterator[Ly] = (transposition(i.sounds) for i, _ in chosen)
    return pieces[0] + "".join(f"{m} {piece}" for m, piece in zip(marks, pieces[1:], strict=True))


def begun(exercise: Exercise) -> list[tuple[Fraction, Any]]:
    """Place and note of each note that is not tied over."""
    found: list[tuple[Fraction, Any]] = []
    place, tied = Fraction(0), False
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not tied:
                found.append((place, note))
            tied = note.tie
            place += note.length
    return found


SPY = r"""
#(define ((spy-beam number) grob)
   (let ((stems (ly:grob-array->list (ly:grob-object grob 'stems))))
     (format (current-error-port) "beam ~a~{ ~a~}\n" number (map (lambda (s) (ly:moment-main (grob::when s))) stems))))
#(define ((spy-sign number) grob)
   (ly:accidental-interface::remove-tied grob)
   (if (grob::is-live? grob)
       (format (current-error-port) "sign ~a ~a\n" number (ly:moment-main (grob::when grob)))))
"""


@dataclass
class Engraved:
    """What one run of LilyPond gave, by exercise.

    Attributes:
        signs: where it prints an accidental.
        beams: the notes under each beam.
        sounds: MIDI files.
    """

    signs: dict[int, set[Fraction]]
    beams: dict[int, set[tuple[Fraction, ...]]]
    sounds: list[bytes]


@pytest.fixture(scope="module")
def engraved(chosen: Chosen, tmp_path_factory: pytest.TempPathFactory) -> Engraved:
    """All exercises in one run, with a word on standard error for each accidental and beam that is set."""
    try:
        program = lilypond.find()
    except LilyPondMissingError as problem:
        pytest.skip(str(problem))
    folder = tmp_path_factory.mktemp("lilypond")
    head, *rest = page(chosen).split("\\layout {")
    pieces = [
        f"\\layout {{ \\context {{ \\Score \\override Beam.after-line-breaking = #(spy-beam {n})"
        f" \\override Accidental.after-line-breaking = #(spy-sign {n}) }}{piece}"
        for n, piece in enumerate(rest)
    ]
    text = head.replace('\\include "house.ily"', f'\\include "house.ily"{SPY}') + "".join(pieces)
    for name, content in {"sheet.ly": text, **house_style(data_folder("templates"))}.items():
        (folder / name).write_text(content)
    run = subprocess.run(
        [program.path, "-dbackend=cairo", "--loglevel=ERROR", "sheet.ly"],
        cwd=folder, capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    found = Engraved(defaultdict(set), defaultdict(set), [])
    for line in run.stderr.splitlines():
        kind, *numbers = line.split()
        if kind == "sign":
            found.signs[int(numbers[0])].add(Fraction(numbers[1]))
        elif kind == "beam":
            found.beams[int(numbers[0])].add(tuple(map(Fraction, numbers[1:])))
    # sheet.midi, sheet-1.midi, sheet-2.midi ...
    for path in sorted(folder.glob("*.midi"), key=lambda p: int(p.stem.partition("-")[2] or 0)):
        found.sounds.append(path.read_bytes())
    return found


def test_lilypond_plays_exactly_the_promised_pitches(chosen: Chosen, engraved: Engraved) -> None:
    assert len(chosen) >= 50
    assert len({i.sounds for i, _ in chosen}) >= 12
    assert len(engraved.sounds) == len(chosen)
    for data, (instrument, exercise) in zip(engraved.sounds, chosen, strict=True):
        # LilyPond writes the key that is heard even where no key has so many signs, which mido refuses to read.
        plain = re.sub(rb"\xff\x59\x02..", b"\xff\x59\x02\x00\x00", data, flags=re.DOTALL)
        file = mido.MidiFile(file=io.BytesIO(plain))
        heard: list[tuple[Fraction, int]] = []
        for track in file.tracks:
            now = 0
            for message in track:
                now += message.time
                if message.type == "note_on" and message.velocity:
                    heard.append((Fraction(now, file.ticks_per_beat * 4), message.note))
        heard.sort()
        wanted = [(p, instrument.sounds.above(n.pitch).height) for p, n in begun(exercise)]
        assert [height for _, height in heard] == [height for _, height in wanted], exercise.phrase
        # LilyPond's 384 ticks a quarter are too coarse for fives and sevens; half a tick is a 3072nd.
        offs = [abs(a - b) for (a, _), (b, _) in zip(heard, wanted, strict=True)]
        assert max(offs) <= Fraction(1, 1536), exercise.phrase


def our_signs(exercise: Exercise) -> set[Fraction]:
    signs = Accidentals(exercise.signature)
    shown: set[Fraction] = set()
    place, tied = Fraction(0), False
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not tied and signs.shows(note.pitch):
                shown.add(place)
            tied = note.tie
            place += note.length
        signs.next_bar()
    return shown


def our_beams(exercise: Exercise) -> set[tuple[Fraction, ...]]:
    found: set[tuple[Fraction, ...]] = set()
    start = Fraction(0)
    for bar in exercise.bars:
        places = [start]
        for note in bar.notes:
            places.append(places[-1] + note.length)
        found |= {tuple(places[i] for i in group) for group in beam_groups(bar)}
        start = places[-1]
    return found


def test_lilypond_prints_the_accidentals_and_beams_that_we_export(chosen: Chosen, engraved: Engraved) -> None:
    assert sum(map(len, engraved.signs.values())) > 200
    assert sum(map(len, engraved.beams.values())) > 300
    for number, (_, exercise) in enumerate(chosen):
        assert our_signs(exercise) == engraved.signs[number], exercise.phrase
        assert our_beams(exercise) == engraved.beams[number], exercise.phrase
