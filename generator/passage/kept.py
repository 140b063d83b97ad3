"""A passage with its name, source, goal and hard spot; and the same as the text of its file."""

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from generator.errors import RequestError, shown
from generator.exercise.records import Tempo
from generator.exercise.tempo import beat_value
from generator.files.text import clean, slug
from generator.passage.abc_reader import AbcTune, read_abc
from generator.passage.abc_writer import AbcHead, as_abc
from generator.passage.brackets import bracketed
from generator.passage.records import Passage, ReadBar, cut_out
from generator.theory.duration import Value
from generator.theory.pitch import Pitch

SLOWEST, FASTEST = 20, 400
MOST_SCALES = 4
_SPOT = re.compile(r"(\d{1,5}[a-z]?)(?:\.(\d{1,2}))?")
_NAME = re.compile(r"[^\W_](?:[^,;:/\\]{0,58}[^\W_])?")


@dataclass(frozen=True, slots=True)
class KeptPassage:
    """A passage as a player keeps it.

    Attributes:
        name: how a phrase calls it.
        passage: the music, in written pitch, or in concert pitch where `concert` says so.
        source: where it is from, in the player's words, or "".
        goal: tempo worked towards, or None.
        hard: bar and beat of the hard spot, like "99.3", or "".
        instrument: what its pitches are written for, or "".
        concert: it is in concert pitch, for every chair of a section.
        scales: phrases whose lines hold its runs.
    """

    name: str
    passage: Passage
    source: str = ""
    goal: Tempo | None = None
    hard: str = ""
    instrument: str = ""
    concert: bool = False
    scales: tuple[str, ...] = ()

    @property
    def beat(self) -> Value:
        """The note value its tempi count."""
        return self.goal.unit if self.goal else beat_value(self.passage.bars[0].metre)

    @property
    def spot(self) -> Fraction:
        """Where the hard spot begins; without one the first beat."""
        return spot_of(self.passage, self.hard)


def checked_name(name: str) -> str:
    """A name for a passage, as one line.

    Raises:
        RequestError: it has no letters, is too long, or holds a comma or the like, which parts a phrase.

    >>> checked_name("  the  scherzo ")
    'the scherzo'
    """
    said = clean(name)
    if not _NAME.fullmatch(said) or slug(said) == "sheet" or len(said) > 60:
        raise RequestError(
            f"{shown(name)} is no name for a passage; use letters, digits and spaces, like scherzo"
        )
    return said


def goal_of(bpm: int | None, passage: Passage) -> Tempo | None:
    """A goal in beats of the passage.

    Raises:
        RequestError: no metronome goes so slow or fast.
    """
    if bpm is None:
        return None
    if not SLOWEST <= bpm <= FASTEST:
        raise RequestError(
            f"the goal {bpm} is no tempo to practise; {SLOWEST} to {FASTEST} beats a minute is"
        )
    return Tempo(beat_value(passage.bars[0].metre), bpm)


def spot_of(passage: Passage, said: str) -> Fraction:
    """Where the beat lies that is named by bar and beat, from the beginning of the passage.

    Raises:
        RequestError: there is no such beat.

    >>> from generator.passage.records import cut_out
    >>> passage = cut_out(read_abc("[K:C][M:2/4][L:1/8] cdef | gfed | c4").bars)
    >>> print(spot_of(passage, "2.2"), spot_of(passage, ""))
    3/4 0
    """
    beats = passage.beats()
    first = passage.attacks[0].onset
    if not said:
        return next((begin for begin, _ in beats if begin >= first), first)
    match = _SPOT.fullmatch(said.strip().casefold())
    if match is None:
        raise RequestError(f"the hard spot {shown(said)} is no bar and beat; write one like 99.3")
    bar = next((one for one in passage.bars if one.number.casefold() == match[1]), None)
    if bar is None:
        raise RequestError(f"the hard spot {said} is not in {passage.name}")
    number = int(match[2] or 1)
    if not 1 <= number <= len(bar.metre.beats):
        raise RequestError(f"bar {bar.number} has {len(bar.metre.beats)} beats; there is no beat {number}")
    place = bar.start + bar.metre.beat_starts[number - 1] - bar.shift
    if place < bar.start or place >= bar.end or not any(note.onset >= place for note in passage.attacks):
        raise RequestError(
            f"no note begins from beat {number} of bar {bar.number} on; choose an earlier spot"
        )
    return place


def spot_words(kept: KeptPassage) -> str:
    """``bar 99, beat 3``."""
    place = kept.spot
    bar = kept.passage.bar_at(place)
    inside = place - bar.start + bar.shift
    number = sum(start <= inside for start in bar.metre.beat_starts)
    return f"bar {bar.number}, beat {number}"


def text_of(kept: KeptPassage) -> str:
    """The text of a passage's file."""
    beat = kept.beat.length
    said = (
        ("hard", kept.hard),
        ("instrument", kept.instrument),
        ("pitch", "concert" if kept.concert else ""),
        ("scales", "; ".join(kept.scales)),
    )
    head = AbcHead(
        kept.name,
        kept.source,
        kept.goal.bpm if kept.goal else None,
        f"{beat.numerator}/{beat.denominator}",
        said,
    )
    return as_abc(kept.passage, head)


def from_text(text: str, name: str = "") -> KeptPassage:
    r"""A passage from the text of its file, which a person may have changed.

    Args:
        text: of the file.
        name: what it is called, where not as its title says.

    Raises:
        RequestError: as `read_abc` and `cut_out`.

    >>> kept = from_text("X:1\nT:run\nQ:1/4=90\nM:2/4\nL:1/16\nK:F\nfgab c'bag |\n")
    >>> kept.name, kept.goal.bpm, from_text(text_of(kept)) == kept
    ('run', 90, True)
    """
    tune = read_abc(text)
    passage = passage_of(tune)
    hard = tune.said("hard")
    spot_of(passage, hard)
    return KeptPassage(
        checked_name(name or tune.title or "passage"),
        passage,
        clean(tune.source),
        goal_of(tune.goal, passage),
        hard,
        tune.said("instrument"),
        tune.said("pitch") == "concert",
        tuple(one.strip() for one in tune.said("scales").split(";") if one.strip())[:MOST_SCALES],
    )


def passage_of(tune: AbcTune, first: str = "", last: str = "") -> Passage:
    """The music of a tune, with the bar numbers and the landing that a kept passage notes beside it.

    Args:
        tune: as read.
        first: number of the first bar that is wanted, or "".
        last: number of the last one, or "".

    Raises:
        RequestError: as `cut_out`.
    """
    numbered = _numbered(tune.bars, tune.said("bars").split())
    bars = tuple(replace(bar, notes=bracketed(bar.notes)) for bar in numbered)
    passage = cut_out(bars, first, last)
    landing = tune.said("landing")
    if landing and passage.landing is None and passage.bars[-1].number == bars[-1].number:
        return replace(passage, landing=Pitch.parse(landing))
    return passage


def _numbered(bars: tuple[ReadBar, ...], numbers: list[str]) -> tuple[ReadBar, ...]:
    """The bars under the numbers they have in print, if there are as many."""
    if len(numbers) != len(bars) or not all(re.fullmatch(r"[\w-]{1,8}", one) for one in numbers):
        return bars
    return tuple(replace(bar, number=number) for bar, number in zip(bars, numbers, strict=True))
