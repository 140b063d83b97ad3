"""A warm-up for a section, in the usual order: breath, long tones, slurs, scale, articulation, soft to loud.

Order: breathing, long tones, slow to fast, slurred to short, medium to loud and soft, unison to harmony (agreed between
five directors in The Instrumentalist, October 2009, and other printed warm-ups).
"""

from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from functools import partial

from generator.catalogue.tables import shared_catalogue
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.instrument import UNPITCHED
from generator.exercise.records import Exercise
from generator.section.ensemble import Seat
from generator.section.stacked import entrances, stacked, tuning
from generator.section.turns import RehearsalPlan, Turn, at_concert_pitch, in_clef, recipes, turn
from generator.theory.pitch import NoteName

SHORTEST, LONGEST = 4, 60


@dataclass(frozen=True, slots=True)
class _Step:
    """One step.

    Attributes:
        name: over it.
        phrase: without its key.
        share: of the time.
        words: what to mind.
        by_wind: the same where it depends on how the reader's instrument is sounded.
    """

    name: str
    phrase: str
    share: int
    words: str
    by_wind: Mapping[str, str] = field(default_factory=dict)

    def words_for(self, wind: str) -> str:
        return self.by_wind.get(wind, self.words)


_BREATHE = "Without the instrument, in for 4 counts and out for 8, four times; rest"
_STEPS = (
    _Step(
        "Breath and long tones", "major, a fifth, whole notes", 5,
        f"{_BREATHE}. Then a breath for each note",
        {
            "string": f"{_BREATHE}. Then a bow for each note",
            **dict.fromkeys(("mallet", UNPITCHED), f"{_BREATHE}. Then a roll for each note"),
            **dict.fromkeys(("plucked", "keyboard", "harp"), f"{_BREATHE}. Then each note until it has died away"),
        },
    ),
    _Step(
        "Slurs", "major in thirds, a fifth, half notes, slurred pairs", 3, "Move fingers or slide, not the sound",
        {
            "string": "Change strings and fingers, not the speed of the bow",
            "voice": "One vowel, no push on the second note",
            "keyboard": "Let each note go when the next one sounds",
            **dict.fromkeys(("plucked", "harp"), "Let each note ring into the next"),
            **dict.fromkeys(("mallet", UNPITCHED), "Equal heights, both hands alike"),
        },
    ),
    _Step("Scale", "major, one octave, quarters", 3, "Slowly enough that nobody slips"),
    _Step(
        "Articulation", "major, one octave, eighths, slur two tongue two", 3, "Light tongue, the air goes on",
        {
            "string": "Short strokes near the middle of the bow, a loose arm",
            "voice": "Light consonants, the air goes on",
            "keyboard": "Fingers close to the keys, a loose wrist",
            **dict.fromkeys(("plucked", "harp"), "Fingers close to the strings, by turns"),
            **dict.fromkeys(("mallet", UNPITCHED), "Loose wrists, equal heights"),
        },
    ),
    _Step("Soft to loud", "major, one octave, half notes, crescendo up, diminuendo down", 2, "Keep the pitch"),
)  # fmt: skip
_TUNING_SHARE = 2
_STACKED = _Step(
    "Stacked entrances", "major, one octave, whole notes", 2,
    "Low voices begin, then middle, then high; hold the last chord and tune it",
)  # fmt: skip


def warm_up(seats: Sequence[Seat], key: NoteName, minutes: int, plan: RehearsalPlan) -> tuple[Turn, ...]:
    """The turns of a warm-up.

    Args:
        seats: who plays.
        key: concert key.
        minutes: for all of it; each step says its share.
        plan: how keys are chosen.

    Raises:
        RequestError: too short or too long.
        DoesNotFitError: not one step fits this section.
    """
    if not SHORTEST <= minutes <= LONGEST:
        raise RequestError(f"a warm-up takes {SHORTEST} to {LONGEST} minutes, not {minutes}")
    together = replace(plan, own_range=False, exact=False)
    steps: list[tuple[int, Callable[[float], Turn]]] = []
    for step in _STEPS:
        with suppress(DoesNotFitError):
            steps.append((step.share, partial(_named, _one(key, step.phrase, seats, together), step)))
    if not steps:
        raise DoesNotFitError(
            f"no step of the warm-up fits this section in concert {key.words}; ask for another key"
        )
    steps.insert(1, (_TUNING_SHARE, partial(_tuning, seats)))
    with suppress(DoesNotFitError):
        made = _one(key, _STACKED.phrase, seats, together)
        steps.append((_STACKED.share, partial(_stacked, made, seats)))
    minutes_of = shared_out(minutes, [share for share, _ in steps])
    return tuple(make(its) for (_, make), its in zip(steps, minutes_of, strict=True))


def shared_out(minutes: int, shares: Sequence[int]) -> list[float]:
    """Minutes by share, to half a minute, so that they add up.

    >>> shared_out(10, [5, 2, 3])
    [5.0, 2.0, 3.0]
    """
    halves = 2 * minutes
    exact = [halves * share / sum(shares) for share in shares]
    found = [int(e) for e in exact]
    for index in sorted(range(len(exact)), key=lambda i: found[i] - exact[i])[: halves - sum(found)]:
        found[index] += 1
    return [half / 2 for half in found]


def _one(key: NoteName, phrase: str, seats: Sequence[Seat], plan: RehearsalPlan) -> Turn:
    return turn(next(recipes(f"{key.words} {phrase}", seats, exact=False)), seats, plan)


def _named(made: Turn, step: _Step, minutes: float) -> Turn:
    def told(wind: str) -> str:
        return f"{_minutes(minutes)}. {step.words_for(wind)}."

    def named(exercise: Exercise) -> Exercise:
        wind = shared_catalogue().instruments.find(exercise.instrument).wind
        return replace(exercise, head=f"{step.name}: {exercise.head}", details="", reason=told(wind))

    key = made.heading.split(",")[0]
    return Turn(
        f"{step.name}: {key[0].lower()}{key[1:]}",
        tuple(map(named, made.read)),
        tuple(map(named, made.heard)),
        warm_up=True,
        drums=named(made.drums) if made.drums else None,
        drum_reason=told(UNPITCHED),
    )


def _minutes(minutes: float) -> str:
    whole, half = int(minutes), minutes % 1 > 0
    text = f"{whole or ''}{'½' if half else ''}" or "0"
    return f"{text} {'minute' if minutes <= 1 else 'minutes'}"


def _tuning(seats: Sequence[Seat], minutes: float) -> Turn:
    """Two notes for each family, which play when they are called, from the lowest family up."""
    table = shared_catalogue().tuning
    usual = table["low brass"]
    words = f"{_minutes(minutes)}. Family by family, from the lowest up; listen before you move."

    def made(seat: Seat, *, heard: bool) -> Exercise:
        instrument = seat.player.instrument
        sounding = heard and instrument.transposes
        player = at_concert_pitch(seat.player) if sounding else seat.player
        exercise = replace(tuning(player, table.get(instrument.family, usual), "Tuning"), reason=words)
        return in_clef(exercise, instrument) if sounding else exercise

    return Turn(
        "Tuning", tuple(made(s, heard=False) for s in seats), tuple(made(s, heard=True) for s in seats)
    )


def _stacked(made: Turn, seats: Sequence[Seat], minutes: float) -> Turn:
    """The scale with stacked entrances, from the lowest third of the section up."""
    groups = entrances(seats)
    made = _named(made, _STACKED, minutes)
    return replace(
        made,
        read=tuple(stacked(e, g) for e, g in zip(made.read, groups, strict=True)),
        heard=tuple(stacked(e, g) for e, g in zip(made.heard, groups, strict=True)),
    )
