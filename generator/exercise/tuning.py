"""The notes of a tuning page: every half step of a player's own compass, and the drone each is held against."""

from collections.abc import Sequence
from dataclasses import dataclass

from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.clef import clefs_by_bar
from generator.theory.key import usual_name
from generator.theory.pitch import NoteName, Pitch

MOST_CENTS = 99
# Whose pitch is the maker's, not the player's.
_FIXED = {
    "mallet": "a maker tunes it",
    "keyboard": "a tuner tunes it",
    "unpitched": "it has no definite pitch",
}
# Usual names of the black keys: one sharp, one flat or the other as players know them best (common practice).
_NAMES = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "G#", "A", "Bb", "B")
_ROWS = {
    "voice": "vowel",
    "string": "string, finger",
    "plucked": "string, fret",
    "harp": "string",
    "mallet": "drum",
}
_SLIDES = frozenset({"trombones"})


@dataclass(frozen=True, slots=True)
class Reading:
    """How sharp or flat a note was.

    Attributes:
        written: the note as the player reads it.
        cents: above (+) or below (-) the drone, in hundredths of an equal-tempered half step.
        fingering: with what, or "".
    """

    written: Pitch
    cents: int
    fingering: str = ""

    @property
    def words(self) -> str:
        """The cents with their sign.

        >>> Reading(Pitch.parse("G4"), 12).words, Reading(Pitch.parse("G4"), 0).words
        ('+12', '0')
        """
        return f"{self.cents:+d}" if self.cents else "0"


def tuning_notes(player: Player) -> tuple[Pitch, ...]:
    """Every written half step of the compass, from the lowest.

    Raises:
        RequestError: the instrument's pitch is not in the player's hands.

    >>> from generator.catalogue.players import player_named
    >>> print(*tuning_notes(player_named("flute", low="C4", high="E4")))
    C4 C#4 D4 Eb4 E4
    """
    instrument = player.instrument
    # Drums whose compass is told drum by drum are tuned by whoever plays them.
    if instrument.wind in _FIXED and not player.compass.drums:
        raise RequestError(f"there is nothing to tune on the {instrument.name}: {_FIXED[instrument.wind]}")
    heights = range(player.compass.low.height, player.compass.high.height + 1)
    return tuple(pitch_at(height) for height in heights)


def pitch_at(height: int) -> Pitch:
    """The note of a height under its usual name.

    >>> print(pitch_at(61), pitch_at(70))
    C#4 Bb4
    """
    octave, place = divmod(height, 12)
    return Pitch.parse(f"{_NAMES[place]}{octave - 1}")


def drone_of(written: Pitch, player: Player) -> NoteName:
    """The concert note to set a drone to.

    >>> from generator.catalogue.players import player_named
    >>> drone_of(Pitch.parse("G4"), player_named("alto saxophone")).words
    'B-flat'
    """
    sounding = player.instrument.sounds.above(written)
    return usual_name(sounding.note.pitch_class, 0)


def clef_of(notes: Sequence[Pitch], player: Player) -> tuple[str, ...]:
    """The clef of each note.

    >>> from generator.catalogue.players import player_named
    >>> clef_of([Pitch.parse("C2"), Pitch.parse("D2")], player_named("tuba"))
    ('bass', 'bass')
    """
    return clefs_by_bar([[note] for note in notes], player.instrument.clefs)


def fingering_row(player: Player) -> str:
    """What a note is fingered with on this instrument.

    >>> from generator.catalogue.players import player_named
    >>> [fingering_row(player_named(name)) for name in ("flute", "trombone", "horn", "viola", "alto voice")]
    ['fingering', 'position', 'valves', 'string, finger', 'vowel']
    """
    instrument = player.instrument
    if instrument.wind == "brass":
        return "position" if instrument.family in _SLIDES else "valves"
    return _ROWS.get(instrument.wind, "fingering")
