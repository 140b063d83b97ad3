"""A notated line is kept as a pattern and filled with pitches; that must change nothing."""

from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.catalogue.tables import shared_catalogue
from generator.exercise import notate as dressing
from generator.exercise.articulation import Articulation
from generator.exercise.build import per_beat
from generator.exercise.notate import LineTone, Notation, notated
from generator.exercise.pour import into_bars
from generator.theory.pitch import Pitch

NAMES = shared_catalogue()
PLAIN = Articulation("")
# Neighbours that sound the same are spelt alike or not: F-sharp after F-sharp, G-flat after F-sharp.
PITCHES = [Pitch.parse(p) for p in ("C4", "D4", "F#4", "Gb4", "G4", "A#5", "Bb5", "C6")]


@st.composite
def lines(draw: st.DrawFn) -> tuple[list[LineTone], Notation]:
    turns = sorted(draw(st.lists(st.integers(1, 39), max_size=3, unique=True)))
    pitches = draw(st.lists(st.sampled_from(PITCHES), min_size=2, max_size=40))
    tones: list[LineTone] = []
    for index, pitch in enumerate(pitches):
        up = sum(t <= index for t in turns) % 2 == 0
        tones.append(LineTone(pitch, "up" if up else "down", index in turns))
    rhythm = draw(st.sampled_from(NAMES.rhythms.rows))
    rows = [r for r in NAMES.articulations.rows if (not r.bar or (per_beat(rhythm) and not rhythm.then))]
    up_row = draw(st.sampled_from([PLAIN, *rows]))
    down_row = draw(st.sampled_from([up_row, PLAIN, *rows]))
    breath = draw(st.sampled_from([Fraction(0), Fraction(2), Fraction(5, 2)]))
    return tones, Notation(rhythm, up_row, down_row, draw(st.sampled_from([(), ("da", "ga")])), breath)


@settings(max_examples=250)
@given(lines())
def test_filling_a_pattern_gives_the_same_as_dressing_the_notes(
    case: tuple[list[LineTone], Notation],
) -> None:
    tones, dress = case
    straight = into_bars(dressing._worn(tones, dress), dress.rhythm)
    assert notated(tones, dress) == straight
    # From the kept pattern, an octave higher: the same but for the pitches.
    moved = [LineTone(Pitch(t.pitch.step, t.pitch.alter, t.pitch.octave + 1), t.half, t.turn) for t in tones]
    assert notated(moved, dress) == into_bars(dressing._worn(moved, dress), dress.rhythm)
