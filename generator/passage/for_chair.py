"""A passage in concert pitch as a player of any instrument reads it: transposed by letter and put into their octave."""

from dataclasses import replace

from generator.errors import DoesNotFitError
from generator.exercise.build import Player
from generator.passage.all_keys import signature_after, transposed
from generator.passage.kept import KeptPassage
from generator.theory.interval import Interval
from generator.theory.key import MOST_SIGNS

_FARTHEST = 5  # octaves


def written_for(kept: KeptPassage, player: Player) -> KeptPassage:
    r"""The passage in a player's written pitch, in the nearest octave inside their notes, the lower one first.

    Args:
        kept: in concert pitch.
        player: for whom.

    Raises:
        DoesNotFitError: in no octave does it lie inside their notes, or they read no pitches.

    >>> from generator.catalogue.players import player_named
    >>> from generator.passage.kept import from_text
    >>> kept = from_text("T:chorale\n%%scalewright-pitch concert\nM:2/4\nL:1/8\nK:Bb\nBcde |\n")
    >>> print(*[note.pitch for note in written_for(kept, player_named("alto saxophone")).passage.attacks])
    G5 A5 B5 C6
    """
    instrument = player.instrument
    if instrument.unpitched:
        raise DoesNotFitError(f"{kept.name} has pitches, and the {instrument.name} reads rhythm alone")
    up = -instrument.sounds
    signature = kept.passage.bars[0].signature
    # F-sharp is read as G-flat and the like where the signature would need more than seven signs.
    while abs(signature_after(signature, up)) > MOST_SIGNS:
        up = Interval(up.steps + (1 if signature_after(signature, up) > 0 else -1), up.semitones)
    pitches = [note.pitch for note in kept.passage.attacks if note.pitch is not None]
    pitches += [kept.passage.landing] if kept.passage.landing is not None else []
    for octave in sorted(range(-_FARTHEST, _FARTHEST + 1), key=lambda k: (abs(k), k)):
        moved = Interval(up.steps + 7 * octave, up.semitones + 12 * octave)
        if all(player.compass.holds(moved.above(pitch)) for pitch in pitches):
            return replace(
                kept, passage=transposed(kept.passage, moved), instrument=instrument.name, concert=False
            )
    raise DoesNotFitError(
        f"{kept.name} fits the {instrument.name} in no octave: it spans more than {player.compass.words}"
    )
