"""Which articulations make sense on a rhythm and an instrument, and what would do instead."""

from generator.errors import DoesNotFitError
from generator.exercise.articulation import UNSLURRED, Articulation

_GROUPS = {
    "flute": "flutes", "reed": "reeds", "brass": "brass", "string": "bowed strings", "plucked": "guitars",
    "mallet": "mallets", "unpitched": "drums", "harp": "harps", "voice": "voices", "keyboard": "keyboards",
}  # fmt: skip
_WORTH_ASKING = {
    "string": "separate bows, two notes to a bow or hooked bowing",
    "plucked": "each note plucked, or down and up strokes",
    "mallet": "alternating sticking, double strokes or paradiddles",
    "unpitched": "alternating sticking, double strokes or paradiddles",
    "harp": "each note plucked",
    "voice": "a syllable on each note, or on one vowel",
    "keyboard": "legato touch, or non legato",
}


def check_suits(row: Articulation, per_beat: int, rhythm: str, wind: str) -> None:
    """Refuse an articulation that makes no sense on a rhythm or an instrument.

    Args:
        row: the articulation.
        per_beat: equal notes the rhythm has on each beat, 0 when they are not equal.
        rhythm: its name, for the message.
        wind: how the instrument is sounded.

    Raises:
        DoesNotFitError: with the reason and what fits.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> try:
    ...     check_suits(shared_catalogue().articulations.find("double tongue"), 1, "quarters", "string")
    ... except DoesNotFitError as refused:
    ...     print(str(refused).partition("; ")[2])
    ask for separate bows, two notes to a bow or hooked bowing
    """
    if row.winds and wind not in row.winds:
        whom = _listed(tuple(_GROUPS[one] for one in row.winds))
        verb = "are" if row.name.partition(",")[0].endswith("s") else "is"
        raise DoesNotFitError(
            f"{row.name} {verb} for {whom}, not for {_GROUPS[wind]}; "
            f"ask for {_WORTH_ASKING.get(wind, 'all tongued, all slurred or another articulation')}"
        )
    if row.group and (not per_beat or per_beat % row.group):
        has = f"{per_beat} to a beat" if per_beat else "unequal notes"
        fits = f"try {row.rhythm.name}" if row.rhythm else "try sixteenths"
        raise DoesNotFitError(
            f"{row.name} needs beats that divide by {row.group}; {rhythm} has {has}: {fits}"
        )


def _listed(names: tuple[str, ...]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def suits(row: Articulation, per_beat: int, wind: str) -> bool:
    """Whether an articulation belongs on a page of "every articulation" in a rhythm.

    The cell must fill beats (half bars, where a beat holds two notes) or be meant to shift against them.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> slur_two_tongue_two = shared_catalogue().articulations.find("slur two tongue two")
    >>> suits(slur_two_tongue_two, 4, "reed"), suits(slur_two_tongue_two, 3, "reed")  # sixteenths, triplets
    (True, False)
    """
    if (row.winds and wind not in row.winds) or row.bar or row.each or row.close:
        return False
    if wind in UNSLURRED and row.slurs:
        return False
    if row.group and (not per_beat or per_beat % row.group):
        return False
    if row.runs:
        return True
    unit = {0: 1, 1: 4, 2: 4}.get(per_beat, per_beat)
    size = len(row.cell)
    return row.shifts or unit % size == 0 or (per_beat > 0 and size % unit == 0)
