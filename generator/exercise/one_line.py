"""Percussion without a definite pitch: its staff, and which of its parts an instrument has.

A drummer's part has the bars of everybody's exercise, and in them what the instrument is for: the rhythm of the line
in the hands of a snare drum, beats on a bass drum, time on a set of drums.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from generator.exercise import beats, drum_set, snare
from generator.exercise.articulation import UNSAID
from generator.exercise.clef import DRUM_SET as FIVE_LINES
from generator.exercise.clef import ONE_LINE
from generator.exercise.instrument import UNPITCHED, Instrument
from generator.exercise.records import Bar, Exercise

if TYPE_CHECKING:
    from generator.exercise.build import Player

DRUM_SET = "drum set"
_PARTS: Mapping[str, Callable[[Exercise, str], tuple[Bar, ...]]] = {
    "bass drum": beats.bass_drum,
    "cymbals": beats.cymbals,
    "triangle": beats.triangle,
    "tambourine": beats.tambourine,
    "wood block": beats.wood_block,
}


def about(instrument: Instrument) -> str:
    """What the part of an instrument holds, for a list.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> about(shared_catalogue().instruments.find("bass drum"))
    'beats under the line, on one line'
    """
    if instrument.name == DRUM_SET:
        return "time in style and metre, on five lines"
    if instrument.name in _PARTS:
        return "beats under the line, on one line"
    return "rhythm of the line with sticking and rolls, on one line"


def words_of(instrument: Instrument) -> str:
    """Whose words a heading uses: those of drums for whoever has the line, and none for beats and time.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> find = shared_catalogue().instruments.find
    >>> words_of(find("snare drum")), words_of(find("drum set"))
    ('unpitched', '')
    """
    return UNSAID if instrument.name in (*_PARTS, DRUM_SET) else UNPITCHED


def on_one_line(exercise: Exercise, player: "Player", heading: str, *, rhythm: bool = False) -> Exercise:
    """The part of a player whose instrument has no pitch, in the bars of an exercise.

    Args:
        exercise: as built for drums: their strokes in place of slurs.
        player: who reads the part.
        heading: what the others play, in small print beside the heading.
        rhythm: the rhythm of the line, whatever the instrument, as where a passage is drilled.

    >>> from generator import exercises, player
    >>> drum = exercises("C major, one octave, quarters", player=player("snare drum"))[0]
    >>> drum.head, drum.clef, len(drum.bars), {pitch.name for pitch in drum.pitches}
    ('Rhythm', 'percussion', 4, {'C4'})
    >>> drums = exercises("C major, one octave, quarters", player=player("drum set"))[0]
    >>> drums.head, drums.clef, len(drums.bars)
    ('Rock, straight eighths', 'drum set', 4)
    """
    name = player.instrument.name
    if name == DRUM_SET and not rhythm:
        return _part(exercise, player, heading, drum_set.style(exercise), drum_set.time(exercise), FIVE_LINES)
    beaten = None if rhythm else _PARTS.get(name)
    made = beaten(exercise, player.level) if beaten else snare.strokes(exercise, player.level, whole=rhythm)
    return _part(exercise, player, heading, "Beats" if beaten else "Rhythm", made, ONE_LINE)


def _part(
    exercise: Exercise, player: "Player", heading: str, head: str, bars: Sequence[Bar], clef: str
) -> Exercise:
    return replace(
        exercise,
        head=head,
        details="",
        concert_heading=heading,
        instrument=player.instrument.name,
        level=player.level,
        key="",
        signature=0,
        clefs=(clef,) * len(bars),
        bars=tuple(bars),
        notes=(),
        ottava=False,
        drone="",
        digits="",
        left=None,
    )
