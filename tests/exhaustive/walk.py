"""Walks every instrument, level, form, figure, span and key, builds what differs, and checks all of it.

    python tests/exhaustive/walk.py [--processes 2] [--instruments "flute, tuba"] [--sample N] [--seed S]

What may be shared, and why. A line depends on an instrument only through its compass (clef and transposition are
chosen afterwards and move no note), and instruments with the same two limits are walked once and counted for each.
Within a compass, laying a figure out asks one question, "does this degree, in its rising or falling spelling, lie in
range?", and a form's pitches rise with its degrees; so the answer is two ranges of degrees. Two cases whose ranges
agree, counted from the home note, give the same degrees whatever the key. For a plain span only the room beside home
and top counts, up to the farthest note of the figure. Each different case is built in full; one in ``RECHECK`` of the
shared ones is built as well and compared with the one it was taken for. Checked for each case built: every bar full,
every note in the compass, every group whole; for each ladder: letters, double accidentals, signatures.

Without ``--sample`` the walk is complete. With it, N cases are drawn and each is built for itself.
"""

import argparse
import itertools
import re
import sys
import time
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from random import Random

ROOT = Path(__file__).parents[2]
if str(ROOT) not in sys.path:
    sys.path.insert(0, str(ROOT))

from generator.catalogue.tables import shared_catalogue  # noqa: E402
from generator.errors import DoesNotFitError  # noqa: E402
from generator.exercise.build import Player, build  # noqa: E402
from generator.exercise.figure import Figure  # noqa: E402
from generator.exercise.fit import FitRequest, Fitted, fit  # noqa: E402
from generator.exercise.records import Exercise, Note  # noqa: E402
from generator.exercise.request import Request  # noqa: E402
from generator.exercise.span import Span  # noqa: E402
from generator.phrase import expand  # noqa: E402
from generator.theory.form import Form, Ladder, Way  # noqa: E402
from generator.theory.key import both_names, usual_name  # noqa: E402

RECHECK = 400
WAYS: tuple[Way, Way] = ("up", "down")
HIGHEST_OCTAVE = 9
REASONS = {
    r"does not fit between|over .* does not fit": "no tonic from which the span or a smaller one fits",
    r"tonic does not lie|first note does not lie": "the tonic is out of range",
    r"not one (whole group|leap|note|tetrachord)": "not one whole group fits",
    r"closing notes": "the closing notes are out of range",
    r"need more than": "the interval is as wide as the form's octave",
    r"has no note": "the form has no such note",
    r"cannot resolve": "no room for the resolution",
    r"pedals of a harp|a harp has no": "the pedals of a harp do not allow it",
    r"scale of seven notes|no such chords|find no way between": "the form or the compass has no such halves or chords",
    r"timpani do not hold": "quick notes need a drum each",
}


@dataclass
class Tally:
    """What a walk found."""

    built: int = 0
    narrower: int = 0
    refused: Counter[str] = field(default_factory=Counter)
    really_built: int = 0
    notes: int = 0
    rechecked: int = 0
    faults: list[str] = field(default_factory=list)

    def add(self, other: "Tally") -> None:
        """Take in another tally."""
        for name in ("built", "narrower", "really_built", "notes", "rechecked"):
            setattr(self, name, getattr(self, name) + getattr(other, name))
        self.refused.update(other.refused)
        self.faults += other.faults


@dataclass(frozen=True)
class Outcome:
    """What became of a case: the span that fitted and its degrees from home, or the reason why nothing did."""

    span: str = ""
    line: tuple[tuple[Way, tuple[int, ...]], ...] = ()
    reason: str = ""


@dataclass
class Scale:
    """A form on a tonic with the heights of its degrees, for quick questions."""

    form: Form
    ladder: Ladder
    heights: dict[Way, list[int]]

    @classmethod
    def of(cls, form: Form, pitch_class: int) -> "Scale":
        """The scale on the usual name of a pitch class."""
        ladder = Ladder(form, usual_name(pitch_class, form.signature))
        # From an octave below degree 0, the lowest notes of a tuba included.
        degrees = range(-form.size, HIGHEST_OCTAVE * form.size)
        return cls(form, ladder, {way: [ladder.pitch(d, way).height for d in degrees] for way in WAYS})

    def height(self, degree: int) -> int:
        """How high a degree lies, rising."""
        return self.heights["up"][degree + self.form.size]

    def degrees(self, low: int, high: int, way: Way) -> tuple[int, int]:
        """First degree in range and the one after the last."""
        heights = self.heights[way]
        return bisect_left(heights, low) - self.form.size, bisect_right(heights, high) - self.form.size


def chairs(wanted: Sequence[str]) -> dict[tuple[int, int], list[Player]]:
    """Players by the limits of their compass."""
    found: dict[tuple[int, int], list[Player]] = {}
    names = shared_catalogue()
    rows = [names.instruments.find(name) for name in wanted] if wanted else names.pitched
    for instrument in rows:
        for level, compass in instrument.levels:
            limits = (compass.low.height, compass.high.height)
            found.setdefault(limits, []).append(Player(instrument, level, compass))
    return found


def walk_figures(figures: Sequence[str], wanted: Sequence[str], seed: int) -> Tally:
    """Walk some figures over everything else."""
    names = shared_catalogue()
    tally = Tally()
    by_limits = chairs(wanted)
    scales = [Scale.of(form, pitch_class) for form in names.forms.rows for pitch_class in range(12)]
    chance = Random(seed)
    for name in figures:
        figure = names.figures.find(name)
        known: dict[object, Outcome] = {}
        for scale in scales:
            for players in by_limits.values():
                for span in names.spans.rows:
                    case = Case(scale, figure, span, players[0])
                    _count(tally, case, known, len(players), chance)
    return tally


@dataclass(frozen=True)
class Case:
    """One exercise to be built."""

    scale: Scale
    figure: Figure
    span: Span
    player: Player

    @property
    def words(self) -> str:
        """The case in words, for a fault."""
        tonic = self.scale.ladder.tonic.name
        return (
            f"{tonic} {self.scale.form.name} in {self.figure.name}, {self.span.name}, "
            f"{self.player.instrument.name} {self.player.level}"
        )

    def marks(self) -> Iterator[object]:
        """What the outcome depends on: one key for each span that may be tried, in the order of trying."""
        form, compass = self.scale.form, self.player.compass
        if _too_wide(self.figure, form.size):
            yield ("too wide", form.size)
            return
        widths = _widths(form.name, self.span.name)
        if not widths and not self.span.full:
            yield ("no such note", form.name, self.span.name)
            return
        low, high = compass.low.height, compass.high.height
        ranges = [self.scale.degrees(low, high, way) for way in WAYS]
        first = max(r[0] for r in ranges)
        last = min(r[1] for r in ranges) - 1
        head = (form.size, form.name if form.resolves.steps else "", form.differs)
        if self.figure.kind == "outward":
            yield from self._outward(ranges)
            return
        if self.span.full:
            home = -(-first // form.size) * form.size
            yield (*head, "full", tuple((a - home, b - home) for a, b in ranges), self._resolution(home))
            return
        reach = _reach(self.figure, form.size)
        home = -(-first // form.size) * form.size
        for index, width in enumerate(widths):
            if home + width > last:
                continue
            room = tuple((min(home - a, reach), min(b - 1 - home - width, reach)) for a, b in ranges)
            yield (*head, widths[index:], room, self._resolution(home))

    def _outward(self, ranges: Sequence[tuple[int, int]]) -> Iterator[object]:
        """Long tones go out from the home note nearest to the middle, a little low."""
        form, compass = self.scale.form, self.player.compass
        homes = range(-(-ranges[0][0] // form.size) * form.size, ranges[0][1], form.size)
        if not homes:
            return
        centre = compass.low.height + compass.high.height - 6
        home = min(homes, key=lambda d: abs(2 * self.scale.height(d) - centre))
        width = next(iter(_widths(form.name, self.span.name)), "full")
        yield (form.size, "outward", width, tuple((a - home, b - home) for a, b in ranges))

    def _resolution(self, home: int) -> tuple[bool, bool] | None:
        up = self.scale.form.resolves.semitones
        if not up:
            return None
        compass, height = self.player.compass, self.scale.height(home)
        return (height + up <= compass.high.height, height + up - 12 >= compass.low.height)


@cache
def _too_wide(figure: Figure, size: int) -> bool:
    try:
        figure.sized(size)
    except DoesNotFitError:
        return True
    return False


@cache
def _widths(form: str, span: str) -> tuple[int, ...]:
    """Degrees of the spans that may be tried for a form, from the one asked for to the narrowest, each once."""
    names = shared_catalogue()
    row = names.forms.find(form)
    asked = names.spans.find(span).degrees(row)
    if asked is None:
        return ()
    narrower = [s for s in names.spans.rows if not s.named]
    widths = [asked, *(d for s in narrower if (d := s.degrees(row)) is not None and d < asked)]
    return tuple(dict.fromkeys(widths))


@cache
def _reach(figure: Figure, size: int) -> int:
    """The farthest note of a figure from the degree its group starts on, and a little more for its close."""
    cells = (*figure.cells, *figure.down_cells)
    offsets = [abs(offset) if isinstance(offset, int) else size for cell in cells for offset in cell]
    return 2 * max(offsets) + 2


def _count(tally: Tally, case: Case, known: dict[object, Outcome], times: int, chance: Random) -> None:
    outcome: Outcome | None = None
    shared = False
    for key in case.marks():
        outcome = known.get(key)
        if outcome is None:
            outcome = known[key] = _built(tally, case)
            break
        if not outcome.reason:
            shared = True
            break
    if outcome is None:
        # No span has a home: refused without looking at the figure, but by the real code now and then.
        outcome = known.setdefault((case.scale.form.name, case.span.name, "nowhere"), _built(tally, case))
        shared = True
    if shared and chance.randrange(RECHECK) == 0:
        tally.rechecked += 1
        again = _built(tally, case)
        if (again.line, bool(again.reason)) != (outcome.line, bool(outcome.reason)):
            tally.faults.append(f"{case.words}: not the line it was taken for")
    if outcome.reason:
        tally.refused[outcome.reason] += times
    else:
        tally.built += times
        tally.narrower += times * (outcome.span != case.span.name)


def _built(tally: Tally, case: Case) -> Outcome:
    """Build a case in full and check it."""
    figure = None if case.figure == shared_catalogue().straight else case.figure
    request = Request(case.scale.form, keys=(case.scale.ladder.tonic,), figure=figure, span=case.span)
    (recipe,) = expand.recipes(request, case.player)
    wish = FitRequest(case.scale.ladder, case.figure, case.span, inside=case.figure.chord)
    try:
        exercise = build(recipe, case.player)
        fitted = fit(wish, case.player.compass, shared_catalogue().spans.rows)
    except DoesNotFitError as error:
        return Outcome(reason=_reason(str(error)))
    tally.really_built += 1
    tally.notes += len(exercise.pitches)
    tally.faults += [f"{case.words}: {fault}" for fault in check(exercise, fitted, case)]
    home = fitted.extent.home
    line = tuple((g.way, tuple(d - home for d in g.degrees)) for g in fitted.groups)
    return Outcome(fitted.span.name, line)


def _reason(message: str) -> str:
    return next((name for pattern, name in REASONS.items() if re.search(pattern, message)), message)


def check(exercise: Exercise, fitted: Fitted, case: Case) -> Iterator[str]:
    """What is wrong with an exercise."""
    compass, ladder = case.player.compass, case.scale.ladder
    low, high = compass.low.height, compass.high.height
    if not all(low <= p.height <= high for p in exercise.pitches):
        yield "a note out of the compass"
    if not all(bar.filled == bar.metre.length for bar in exercise.bars):
        yield "a bar is not full"
    if abs(exercise.signature) > 7:
        yield "more than seven signs"
    groups = fitted.groups
    # By height, for a tonic may be read by its other name; spelling is looked at ladder by ladder.
    line = [ladder.pitch(d, g.way).height for g in groups for d in g.degrees]
    begun = [note.pitch.height for note in _begun(exercise) if note.pitch is not None]
    # A voice of a chorale lies where the other voices leave it room.
    own = case.figure.kind == "chords"
    if not own and (
        begun[: len(line)] != line or len(begun) - len(line) != bool(case.scale.form.resolves.steps)
    ):
        yield "not the notes of its groups"
    if case.figure.kind == "moving":
        cells = case.figure.sized(ladder.size)
        shapes = {tuple(o - cell[0] for o in cell) for way in cells for cell in way}
        # A line with no group above its tonic starts on it all the same.
        first = case.span.full and groups[0].degrees == (fitted.extent.home,)
        if any(tuple(d - g.degrees[0] for d in g.degrees) not in shapes for g in groups[first:-1]):
            yield "a group is not whole"
    if own:
        return
    heights = [[ladder.pitch(d, g.way).height for d in g.degrees] for g in groups]
    if any(a == b for a, b in itertools.pairwise(heights)):
        yield "a group comes twice in a row"
    if len(begun) > 1 and case.figure.kind != "outward" and begun[-1] == begun[-2]:
        yield "the last note is struck twice"


def _begun(exercise: Exercise) -> Iterator[Note]:
    held = False
    for bar in exercise.bars:
        for note in bar.notes:
            if note.pitch is not None and not held:
                yield note
            held = note.tie


def check_ladders() -> tuple[int, list[str]]:
    """Spelling of every form on every readable tonic: how many there are, and what is wrong."""
    faults: list[str] = []
    count = 0
    for form in shared_catalogue().forms.rows:
        for pitch_class in range(12):
            for tonic in both_names(pitch_class, form.signature):
                count += 1
                faults += [
                    f"{tonic.name} {form.name}: {fault}" for fault in _spelling(form, Ladder(form, tonic))
                ]
    return count, faults


def _spelling(form: Form, ladder: Ladder) -> Iterator[str]:
    if abs(form.signature_on(ladder.tonic)) > 7:
        yield "more than seven signs"
    for way in WAYS:
        notes = [ladder.pitch(d, way) for d in range(form.size + 1)]
        if any(b.height <= a.height for a, b in itertools.pairwise(notes)):
            yield f"does not rise ({way})"
        if form.size == 7 and [n.step for n in notes[:7]] != [(notes[0].step + k) % 7 for k in range(7)]:
            yield f"a letter is used twice ({way})"
        if form.distinct < 12 and any(abs(n.alter) > 1 for n in notes):
            yield f"a double accidental in a symmetric form ({way})"


def sample(count: int, wanted: Sequence[str], seed: int) -> Tally:
    """Draw cases and build each for itself."""
    names = shared_catalogue()
    chance = Random(seed)
    players = [p for group in chairs(wanted).values() for p in group]
    tally = Tally()
    for _ in range(count):
        scale = Scale.of(chance.choice(names.forms.rows), chance.randrange(12))
        case = Case(
            scale, chance.choice(names.figures.rows), chance.choice(names.spans.rows), chance.choice(players)
        )
        outcome = _built(tally, case)
        if outcome.reason:
            tally.refused[outcome.reason] += 1
        else:
            tally.built += 1
            tally.narrower += outcome.span != case.span.name
    return tally


def report(tally: Tally, ladders: int, seconds: float) -> str:
    """The tally in words."""
    refused = sum(tally.refused.values())
    lines = [
        f"{tally.built + refused} cases: {tally.built} fit ({tally.narrower} with a narrower span), {refused} refused",
        *(f"  {count:>10}  {reason}" for reason, count in tally.refused.most_common()),
        f"{tally.really_built} different exercises built in full, {tally.notes} notes",
        f"{tally.rechecked} shared ones rechecked",
        f"{ladders} ladders checked for spelling",
        f"{seconds:.0f} s, {len(tally.faults)} faults",
    ]
    return "\n".join([*lines, *tally.faults[:50]])


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the walk; 0 when nothing is wrong."""
    parser = argparse.ArgumentParser(description="Build every exercise there is and check it.")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--instruments", default="", help="names with commas between; all if left out")
    parser.add_argument("--sample", type=int, default=0, help="draw so many cases instead of walking all")
    parser.add_argument("--seed", type=int, default=1)
    options = parser.parse_args(arguments)
    wanted = [name.strip() for name in options.instruments.split(",") if name.strip()]
    began = time.monotonic()
    ladders, faults = check_ladders()
    if options.sample:
        tally = sample(options.sample, wanted, options.seed)
    else:
        tally = Tally()
        figures = shared_catalogue().figures.names()
        # Small tasks, so that no process waits long for the last one.
        with ProcessPoolExecutor(options.processes) as pool:
            tasks = [pool.submit(walk_figures, [name], wanted, options.seed) for name in figures]
            for task in tasks:
                tally.add(task.result())
    tally.faults = faults + tally.faults
    print(report(tally, ladders, time.monotonic() - began))
    return 1 if tally.faults else 0


if __name__ == "__main__":
    sys.exit(main())
