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
from generator.exercise.articulation import UNSAID
from generator.exercise.chords import without_chords
from generator.exercise.instrument import UNPITCHED
from generator.exercise.mallets import FAMILY as MALLETS
from generator.exercise.mallets import ROLLING, with_sticking
from generator.exercise.one_line import DRUM_SET
from generator.exercise.records import Exercise
from generator.section.concert_pitch import at_concert_pitch, in_clef
from generator.section.ensemble import Seat
from generator.section.percussion import TIMPANI, silent
from generator.section.rehearsal_plan import RehearsalPlan
from generator.section.stacked import entrances, stacked, tuning
from generator.section.turns import Turn, recipes, turn
from generator.theory.pitch import NoteName

SHORTEST, LONGEST = 4, 60


@dataclass(frozen=True, slots=True)
class _Step:
    """One step.

    Attributes:
        name: over it.
        phrase: without its key.
        share: of the time.
        words: what to mind, by how the reader's instrument is sounded; ``wind`` for whoever blows.
        names: another name over the part of some.
    """

    name: str
    phrase: str
    share: int
    words: Mapping[str, str]
    names: Mapping[str, str] = field(default_factory=dict)

    def words_for(self, instrument: str) -> str:
        return self.words[_reader(instrument)]

    def name_for(self, instrument: str) -> str:
        return self.names.get(_reader(instrument), self.name)


# Who is spoken to alike (common practice, no source).
_READERS = {
    "string": "string", "voice": "voice", "keyboard": "keyboard", "plucked": "plucked", "harp": "plucked",
    "mallet": "mallet", UNPITCHED: "drum",
}  # fmt: skip


def _reader(instrument: str) -> str:
    row = shared_catalogue().instruments.find(instrument)
    if row.family == MALLETS and row.name not in ROLLING:
        return "ringing"
    return _READERS.get(row.wind, "wind")


_DRUM, _BEGINNER = "snare drum", "first notes"
_WITH_NOTES = ("wind", "voice", "string", "keyboard", "plucked", "mallet", "ringing")
_STEPS = (
    _Step(
        "Breath and long tones", "major, a fifth, whole notes", 5,
        {
            "wind": "Without the instrument, in for 4 counts and out for 8, four times; rest. "
            "Then a breath for each note",
            "voice": "In for 4 counts and out for 8 on an s, four times; rest. Then a breath for each note",
            "string": "Open strings, 8 counts to a bow, four times; rest. Then a bow for each note, even to its end",
            "keyboard": "Shoulders low, arms loose, for four slow bars. Then hold each note to its end and listen",
            "plucked": "Tune, and loosen the hands, for four slow bars. Then let each note ring to its end",
            "mallet": "Tap quarters on a pad, hand to hand, for four slow bars. Then an even, soft roll on each note",
            "ringing": "Tap quarters on a pad, hand to hand, for four slow bars. Then one loose stroke to a note",
            "drum": "Tap quarters and count aloud for four slow bars. Then keep time; an even roll on each long note",
            DRUM_SET: "Tap quarters and count aloud for four slow bars. Then soft time, brushes or low sticks",
            _BEGINNER: "Tap quarters and count aloud for four slow bars. Then keep time, every stroke alike",
        },
        {
            "string": "Long bows", "keyboard": "Long tones", "plucked": "Long tones", "ringing": "Long tones",
            "mallet": "Rolls", "drum": "Rolls and time",
        },
    ),
    _Step(
        "Slurs", "major in thirds, a fifth, half notes, slurred pairs", 3,
        {
            "wind": "Move fingers or slide, not the sound",
            "string": "Change strings and fingers, not the speed of the bow",
            "voice": "One vowel, no push on the second note",
            "keyboard": "Let each note go when the next one sounds",
            "plucked": "Let each note ring into the next",
            "mallet": "Rolls without a gap from bar to bar",
            "ringing": "Let each note ring into the next",
            "drum": "Keep the pulse under the long notes; rolls without a gap, strokes of equal height",
            DRUM_SET: "Soft time under the long notes, every bar the same",
            _BEGINNER: "Keep the pulse under the long notes, strokes of equal height",
        },
        {"keyboard": "Legato", "plucked": "Ringing", "ringing": "Ringing", "mallet": "Rolls", "drum": "Rolls and time"},
    ),
    _Step(
        "Scale", "major, one octave, quarters", 3,
        {
            **dict.fromkeys(_WITH_NOTES, "Slowly enough that nobody slips"),
            "drum": "Slow and steady: the others lean on your time",
        },
        {"drum": "Time"},
    ),
    _Step(
        "Articulation", "major, one octave, eighths, slur two tongue two", 3,
        {
            "wind": "Light tongue, the air goes on",
            "string": "Short strokes near the middle of the bow, a loose arm",
            "voice": "Light consonants, the air goes on",
            "keyboard": "Fingers close to the keys, a loose wrist",
            "plucked": "Fingers close to the strings, by turns",
            **dict.fromkeys(("mallet", "ringing"), "Loose wrists, equal heights"),
            "drum": "Loose wrists, equal heights",
            DRUM_SET: "Loose wrists; the others fit their eighths to the hi-hat",
        },
        {"mallet": "Hand to hand", "ringing": "Hand to hand", "drum": "Strokes and accents"},
    ),
    _Step(
        "Soft to loud", "major, one octave, half notes, crescendo up, diminuendo down", 2,
        {
            **dict.fromkeys(("wind", "voice"), "Keep the pitch"),
            "string": "More bow for louder, nearer to the bridge; keep the pitch",
            "keyboard": "Weight of the arm, not speed of the wrist",
            "plucked": "Further into the strings for louder, never harder from the wrist",
            "mallet": "Higher strokes for louder, the same speed of the roll",
            "ringing": "Higher strokes for louder, lower for softer",
            "drum": "Higher strokes for louder, lower for softer; the tempo stays",
        },
    ),
)  # fmt: skip
_TUNING_SHARE = 2
_TUNING = "Family by family, from the lowest up; listen before you move"
_TIMPANI_TUNE = "Set your drums with the others, as softly as you can hear them"
# Who has no tuning slide, peg or reed to move.
_TUNING_FOR = {
    "string": "Family by family, from the lowest up; listen, then turn",
    "voice": "Family by family, from the lowest up; listen, then hum your note",
    "keyboard": "Give each family its note when it is called, and hold it",
    "plucked": "Family by family, from the lowest up; listen, then turn",
    "mallet": "Give the notes with the others, a soft roll",
    "ringing": "Give the notes with the others, and let them ring",
    "drum": "Rest and listen; look to snares, heads and stands",
}
_LOW_FIRST = "Low voices begin, then middle, then high"
_STACKED = _Step(
    "Stacked entrances", "major, one octave, whole notes", 2,
    {
        **dict.fromkeys(("wind", "voice", "string"), f"{_LOW_FIRST}; hold the last chord and tune it"),
        "keyboard": f"{_LOW_FIRST}; hold the last chord and listen to it",
        "plucked": f"{_LOW_FIRST}; let the last chord ring",
        "ringing": f"{_LOW_FIRST}; let the last chord ring",
        "mallet": f"{_LOW_FIRST}; a roll on each note, and on the last until the director ends it",
        "drum": "A soft roll under the others from bar to bar; the last one ends with the director",
        _BEGINNER: "Soft strokes under the others; watch for the end",
        DRUM_SET: "Soft time under the others; let the last stroke ring until the director ends it",
    },
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
    def told(words: str) -> str:
        return f"{_minutes(minutes)}. {words}."

    def named(exercise: Exercise) -> Exercise:
        head = f"{step.name_for(exercise.instrument)}: {exercise.head}"
        return replace(exercise, head=head, details="", reason=told(step.words_for(exercise.instrument)))

    key = made.heading.split(",")[0]
    key = f"{key[0].lower()}{key[1:]}"
    names = {step.name_for(one.instrument) for one in made.read}
    drums = f"{step.name_for(_DRUM)}: {key}"
    return replace(
        made,
        heading=f"{names.pop() if len(names) == 1 else step.name}: {key}",
        read=tuple(map(named, made.read)),
        heard=tuple(map(named, made.heard)),
        warm_up=True,
        drum_headings=((UNSAID, drums), (UNPITCHED, drums)),
        drum_reason=told(step.words_for(_DRUM)),
        drum_reasons=tuple(
            (who, told(step.words[who])) for who in (DRUM_SET, _BEGINNER) if who in step.words
        ),
        told=(),
    )


def _minutes(minutes: float) -> str:
    whole, half = int(minutes), minutes % 1 > 0
    text = f"{whole or ''}{'½' if half else ''}" or "0"
    return f"{text} {'minute' if minutes <= 1 else 'minutes'}"


def _tuning(seats: Sequence[Seat], minutes: float) -> Turn:
    """Two notes for each family, which play when they are called, from the lowest family up."""
    table = shared_catalogue().tuning
    usual = table["low brass"]

    def told(instrument: str) -> str:
        return f"{_minutes(minutes)}. {_TUNING_FOR.get(_reader(instrument), _TUNING)}."

    def made(seat: Seat, *, heard: bool) -> Exercise:
        instrument = seat.player.instrument
        sounding = heard and instrument.transposes
        player = at_concert_pitch(seat.player) if sounding else seat.player
        notes = tuning(player, table.get(instrument.family, usual), "Tuning")
        notes = with_sticking(notes) if instrument.family == MALLETS else notes
        exercise = replace(notes, reason=told(instrument.name))
        return in_clef(exercise, instrument) if sounding else exercise

    read = tuple(made(s, heard=False) for s in seats)
    return Turn(
        "Tuning",
        read,
        tuple(made(s, heard=True) for s in seats),
        drums=silent(read[0]),
        drum_reason=told(_DRUM),
        drum_reasons=((TIMPANI, f"{_minutes(minutes)}. {_TIMPANI_TUNE}."),),
    )


def _stacked(made: Turn, seats: Sequence[Seat], minutes: float) -> Turn:
    """The scale with stacked entrances, from the lowest third of the section up; percussion rolls under it."""
    groups = entrances(seats)
    made = _named(made, _STACKED, minutes)
    return replace(
        made,
        read=tuple(without_chords(stacked(e, g)) for e, g in zip(made.read, groups, strict=True)),
        heard=tuple(without_chords(stacked(e, g)) for e, g in zip(made.heard, groups, strict=True)),
        drums=stacked(made.drums, 0) if made.drums else None,
        chords=(),
    )
