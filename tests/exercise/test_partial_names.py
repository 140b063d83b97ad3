"""What the notes of partials are called: a lowered tube has the name that players give its note."""

import pytest

from generator import exercises, player


@pytest.mark.parametrize(
    ("routine", "instrument", "names"),
    [
        # A saxophone's low notes are B-flat, B and C; slide position 5 and valves 2-3 lower E-flat to B, which no
        # player calls C-flat (common practice, no source).
        ("overtones", "alto saxophone", "B3 B4 F#5 B5"),
        ("overtones", "baritone saxophone", "B3 B4 F#5 B5"),
        ("neighbouring partials", "alto trombone", "B2 F#3"),
        ("neighbouring partials", "E-flat tuba", "B1 F#2"),
    ],
)
def test_low_b_is_no_c_flat(routine: str, instrument: str, names: str) -> None:
    (made,) = exercises(routine, player=player(instrument))
    said = [pitch.name for pitch in made.pitches]
    assert set(names.split()) <= set(said)
    assert not any(name.startswith(("Cb", "Fb", "E#", "B#")) for name in said)
