"""The scores of a handout: which there are, and how each is engraved.

A full score has a staff for every part. From thirteen chairs on it takes a page for every exercise or two, in staves
that are hard to read, so that a condensed score takes its place: two staves at concert pitch, and a table of keys.
"""

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

from generator.engraving.parallel import Job
from generator.engraving.render_condensed import render_condensed
from generator.engraving.render_score import render_score
from generator.files.resources import data_folder
from generator.pages.condensed import CondensedScore, lay_out_condensed
from generator.pages.paper import PaperName
from generator.pages.score import LARGEST, Score, lay_out_score
from generator.publish.handout_words import Wording, score_words
from generator.publish.staff_names import part_names, short_name, staves
from generator.section.condensed import condensed, sound_together
from generator.section.rehearsal import ChairPart, Rehearsal

# Between the numbers of chairs, so that the comma is left to part instruments.
_NUMBERS = re.compile(r"(?<=\d), (?=\d)")
# More chairs than this have a condensed score, unless a full one is asked for.
MOST_CHAIRS = 12


@dataclass(frozen=True, slots=True)
class ScoreKinds:
    """Which scores are printed.

    Attributes:
        full: a staff for every part.
        condensed: two staves at concert pitch.
        concert: the full score at concert pitch.
    """

    full: bool = False
    condensed: bool = False
    concert: bool = False

    def for_chairs(self, rehearsal: Rehearsal) -> "ScoreKinds":
        """The kinds that were asked for, or else the one that suits the number of chairs."""
        if self.full or self.condensed or self.concert:
            return ScoreKinds(self.full or self.concert, self.condensed, self.concert)
        many = sum(len(part.chairs) for part in rehearsal.parts) > MOST_CHAIRS
        short = many and sound_together(rehearsal)
        return ScoreKinds(full=not short, condensed=short)


@dataclass(frozen=True, slots=True)
class Scores:
    """The scores of a handout, laid out.

    Attributes:
        full: or None.
        condensed: or None.
        smaller: the full score once more in smaller staves, where it did not fit.
    """

    full: Score | None = None
    condensed: CondensedScore | None = None
    smaller: Score | None = None

    @property
    def warnings(self) -> tuple[str, ...]:
        """What is to be said about them."""
        if self.full is None or not self.full.small:
            return ()
        size = f"{len(self.full.staves)} staves need a staff of {self.full.paper.staff:g} points"
        hint = "print it on larger paper" if self.condensed else "print it on larger paper, or --condensed"
        return (f"the score is hard to read at this size ({size}); {hint}",)


def lay_out_scores(rehearsal: Rehearsal, kinds: ScoreKinds, wording: Wording, paper: PaperName) -> Scores:
    """Lay the scores out.

    Args:
        rehearsal: parts that line up.
        kinds: those asked for.
        wording: what all pages say.
        paper: letter or a4.
    """
    kinds = kinds.for_chairs(rehearsal)

    def full(largest: float) -> Score:
        words = score_words(wording, "Score at concert pitch" if kinds.concert else "Full score (transposed)")
        return lay_out_score(
            staves(rehearsal.parts, concert=kinds.concert), rehearsal.headings, words, paper, largest
        )

    short = None
    if kinds.condensed:
        words = score_words(wording, "Condensed score (concert pitch)")
        turns = condensed(rehearsal, partial(_listed, rehearsal.parts))
        short = lay_out_condensed(turns, _reads(rehearsal.parts), words, paper)
    return Scores(full(LARGEST) if kinds.full else None, short, full(LARGEST - 2) if kinds.full else None)


def score_jobs(scores: Scores) -> list[Job]:
    """The runs of LilyPond for the scores."""
    templates = data_folder("templates")
    jobs: list[Job] = []
    if scores.full and scores.smaller:
        smaller = partial(render_score, scores.smaller, templates)
        jobs.append(Job(partial(render_score, scores.full, templates), ("score",), smaller))
    if scores.condensed:
        jobs.append(Job(partial(render_condensed, scores.condensed, templates), ("condensed-score",)))
    return jobs


def _listed(parts: Sequence[ChairPart], places: Sequence[int]) -> str:
    """Some parts by their short names; an instrument alone where all of its parts are among them."""
    whole = Counter(part.player.instrument.name for part in parts)
    here = Counter(parts[place].player.instrument.name for place in places)
    found: list[str] = []
    for place in places:
        instrument = parts[place].player.instrument
        own, short = _NUMBERS.sub("/", short_name(parts[place].chairs)), instrument.short
        together = whole[instrument.name] > 1 and whole[instrument.name] == here[instrument.name]
        if own.startswith(short):
            own = short if together else own
            # "T.Sx." is never parted at the end of a line.
            own = own.replace(short, short.replace(". ", "."))
        found.append(own)
    return ", ".join(dict.fromkeys(found))


def _reads(parts: Sequence[ChairPart]) -> list[tuple[str, ...]]:
    """For each part its name, then what it reads in each exercise: ``G · G4``."""
    rows: list[tuple[str, ...]] = []
    for part, name in zip(parts, part_names(parts), strict=True):
        cells = []
        for number, exercise in enumerate(part.exercises):
            first = next(iter(exercise.pitches), None)
            key = part.keys[number]
            if part.unpitched or first is None:
                cells.append("rhythm")
            else:
                cells.append(" · ".join(w for w in (key, f"{first.note.words}{first.octave}") if w))
        rows.append((name, *cells))
    return rows
