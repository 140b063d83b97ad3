"""What pedals allow: the notes of a set of drums, and of a harp whose pedals set each letter once."""

from collections.abc import Sequence
from fractions import Fraction

from generator.errors import DoesNotFitError
from generator.exercise.instrument import Compass
from generator.exercise.notate import LineTone
from generator.theory.pitch import Pitch

HARP = "harp"
_FOLLOWS = Fraction(1, 4)
"""From this length on the pedals of the drums follow from note to note (common practice, no source)."""
_NUMBERS = {1: "one drum", 2: "two timpani", 3: "three timpani", 4: "four timpani", 5: "five timpani"}


def check_possible(tones: Sequence[LineTone], shortest: Fraction, wind: str, compass: Compass) -> None:
    """Refuse a line that the pedals of the instrument do not allow.

    Args:
        tones: the line.
        shortest: its shortest note, a fraction of a whole note.
        wind: how the instrument is sounded.
        compass: what the player has.

    Raises:
        DoesNotFitError: with the reason and what would do.

    >>> from generator.catalogue.players import player_named
    >>> from generator.errors import DoesNotFitError
    >>> player = player_named("timpani")
    >>> line = [LineTone(Pitch.parse(name), "up") for name in "D2 A2 D3 F#3".split()]
    >>> check_possible(line, Fraction(1, 16), player.instrument.wind, player.compass)
    """
    if wind == HARP:
        _check_letters(tones)
    if compass.drums and shortest < _FOLLOWS:
        _check_drums({tone.pitch.height: tone.pitch for tone in tones}, compass)


def _check_drums(notes: dict[int, Pitch], compass: Compass) -> None:
    """Each note needs a drum of its own, where there is no time to tune one."""
    taken: dict[int, int] = {}

    def place(height: int, tried: set[int]) -> bool:
        for number, (low, high) in enumerate(compass.drums):
            if number in tried or not low.height <= height <= high.height:
                continue
            tried.add(number)
            if number not in taken or place(taken[number], tried):
                taken[number] = height
                return True
        return False

    if not all(place(height, set()) for height in sorted(notes)):
        have = _NUMBERS.get(len(compass.drums), f"{len(compass.drums)} timpani")
        raise DoesNotFitError(
            f"{have} do not hold {len(notes)} notes from {notes[min(notes)].words} to {notes[max(notes)].words} "
            "in quick notes; ask for quarters, which the pedals can follow, or for fewer notes, like an arpeggio"
        )


def _check_letters(tones: Sequence[LineTone]) -> None:
    set_to: dict[int, Pitch] = {}
    half = tones[0].half if tones else "up"
    for tone in tones:
        if tone.half != half:
            half, set_to = tone.half, {}
        pitch = tone.pitch
        if abs(pitch.alter) > 1:
            raise DoesNotFitError(
                f"a harp has no {pitch.note.words}; ask for the key by its other name, or for another form"
            )
        before = set_to.setdefault(pitch.step, pitch)
        if before.alter != pitch.alter:
            raise DoesNotFitError(
                f"the pedals of a harp set each letter once, and this line has {before.note.words} and "
                f"{pitch.note.words}; ask for a form with one note of each letter, like a major scale"
            )
