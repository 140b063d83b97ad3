"""The rows of a plan become the entries of a list: spelled out, measured, and what falls on one line joined."""

from dataclasses import dataclass, field, replace
from typing import NamedTuple, Protocol

from generator.catalogue.tables import shared_catalogue
from generator.documents.plan import KeyNames
from generator.documents.plan_row import Dressing, Keep, undressed
from generator.errors import DoesNotFitError
from generator.exercise.build import Player, written_tonic
from generator.exercise.request import Request, first_form
from generator.exercise.routine import Routine
from generator.exercise.span import Span
from generator.exercise.tempo import beat_value
from generator.phrase import expand
from generator.phrase.vocabulary import UNIT_NAMES
from generator.phrase.write import canonical
from generator.practice.asking import Asking, line_of
from generator.practice.duration_estimate import DurationEstimate, estimate
from generator.practice.repertoire import KeptExercise, Shared
from generator.practice.within import within
from generator.theory.form import Form
from generator.theory.key import both_names, circle_place, usual_name
from generator.theory.pitch import NoteName, Pitch

_CLASSES = 12
# Chosen so that the kinds of exercise players keep most often begin in different keys: scales stand at the front of the
# catalogue of forms, chords from 24 on.
_DOZEN_STEP, _FIGURE_STEP = 4, 2
_FIRST = 3  # so that a new list begins with C major
_WARM_FIRST = -9  # what warms up is begun before everything else, whatever its row


@dataclass(frozen=True, slots=True)
class Wanted:
    """A row to be spelled out.

    Attributes:
        keep: the row.
        names: which names of a key with two are read, where the row leaves it open.
        until: last day on the list, or "".
        complete: complete octaves only.
        low: lowest written note that a list allows, or None.
        high: highest, or None.
        listed: name of the dated list that asks, or "".
        line: line of the file.
    """

    keep: Keep
    names: KeyNames = "usual"
    until: str = ""
    complete: bool = False
    low: Pitch | None = None
    high: Pitch | None = None
    listed: str = ""
    line: int = 0


class Ensemble(Protocol):
    """Those who play a list together."""

    @property
    def mark(self) -> str:
        """Changes when what they can play does."""

    def span_of(self, request: Request) -> Span:
        """How far all go with one exercise.

        Raises:
            DoesNotFitError: they cannot play it together.
        """


class Spelled(NamedTuple):
    """One exercise of a row as the list knows it.

    Attributes:
        name: canonical phrase of its line.
        written: its request, under the usual name of its written key.
        measured: its minutes and its weight.
        tonics: the names its key is read under, in turn.
        key: place on the circle of fifths, or None.
        catalogue: its place among exercises that have waited equally long.
    """

    name: str
    written: Request
    measured: DurationEstimate
    tonics: tuple[str, ...]
    key: int | None
    catalogue: int


class Unfit(NamedTuple):
    """What the instrument or level cannot carry, with the reason."""

    phrase: str
    reason: str


@dataclass
class Gathering:
    """Collects entries; what rows ask of the same line is kept side by side.

    Attributes:
        player: the player.
        spelled: rows that were spelled out for the player before; what is spelled out now is added.
        ensemble: those who play it together, where the player stands for several.
    """

    player: Player
    spelled: dict[object, list[Spelled | Unfit]] = field(default_factory=dict)
    entries: dict[str, KeptExercise] = field(default_factory=dict)
    askings: dict[Asking, int] = field(default_factory=dict)
    unfit: list[Unfit] = field(default_factory=list)
    shared: dict[tuple[int, int], Shared] = field(default_factory=dict)
    ensemble: Ensemble | None = None
    _lines: dict[str, int] = field(default_factory=dict)
    _rows: int = 0

    def add(self, row: Wanted) -> tuple[str, ...]:
        """Spell a row out.

        Returns:
            The names of its exercises, without those that do not fit (they are noted in ``unfit``).

        Raises:
            DoesNotFitError: nothing of the row fits, with the reason.
        """
        outcomes = self._spell_out(row)
        found = [self._put(one, row, place) for place, one in enumerate(outcomes) if isinstance(one, Spelled)]
        unfit = [one for one in outcomes if isinstance(one, Unfit)]
        if not found:
            raise DoesNotFitError(unfit[-1].reason)
        self.unfit += unfit
        self._rows += 1
        return tuple(dict.fromkeys(found))

    def aim(self, row: Wanted) -> tuple[tuple[str, ...], tuple[int, ...]]:
        """The exercises of what is to be ready by a day: those that are kept already, and others that join them.

        Args:
            row: what is aimed at; what it asks beyond its line takes its turn beside what rows ask.

        Returns:
            Their names, and the numbers of what it asks of them beyond the line.

        Raises:
            DoesNotFitError: nothing of it fits, with the reason.
        """
        outcomes = self._spell_out(row)
        found: list[str] = []
        asked: set[int] = set()
        for place, one in enumerate(outcomes):
            if not isinstance(one, Spelled):
                self.unfit.append(one)
                continue
            more = _asks_more(one, row)
            if more or one.name not in self.entries:
                self._put(one, row, place)
            if more:
                asked.add(self.askings[Asking.of(one.written, row.keep.dressing, row.until, row.listed)])
            found.append(one.name)
        if not found:
            raise DoesNotFitError(self.unfit[-1].reason)
        self._rows += 1
        return tuple(dict.fromkeys(found)), tuple(sorted(asked))

    def _spell_out(self, row: Wanted) -> list[Spelled | Unfit]:
        """Each exercise of a row; a row that was spelled out before, for another stage, is taken from there."""
        same = (row.keep.request, row.keep.dressing, row.names, row.complete, row.low, row.high)
        if same not in self.spelled:
            singles = expand.singles_for(row.keep.request, self.player)
            self.spelled[same] = [self._spelled(single, row) for single in singles]
        return self.spelled[same]

    def _spelled(self, single: Request, row: Wanted) -> Spelled | Unfit:
        try:
            written, measured, tonics = self._written(single, row)
        except DoesNotFitError as error:
            return Unfit(canonical(single), str(error))
        return Spelled(canonical(line_of(written)), written, measured, tonics, *_places(written))

    def _written(self, single: Request, row: Wanted) -> tuple[Request, DurationEstimate, tuple[str, ...]]:
        """The exercise under the usual name of its written key, its measures, and the names it is read under."""
        if isinstance(single.form, Routine):
            if self.ensemble is not None:
                self.ensemble.span_of(single)
            return single, estimate(single, row.keep.dressing, self.player), ()
        form = first_form(single.form)
        tonic = written_tonic(single, form, self.player.instrument)
        asked = row.keep.request
        # A key by name is read as named; of a concert key only the plan can say how it is read.
        open_names = row.names != "usual" if asked.concert else asked.key_set is not None
        spelled = _names_read(tonic, form, row.names) if open_names and asked.names == "usual" else (tonic,)
        written = replace(single, keys=(spelled[0],), concert=False, names="usual")
        measured, written = self._measured(written, row)
        usual = _usual(tonic, form)
        return replace(written, keys=(usual,)), measured, tuple(one.name for one in spelled)

    def _measured(self, written: Request, row: Wanted) -> tuple[DurationEstimate, Request]:
        if self.ensemble is not None:
            together = replace(written, span=self.ensemble.span_of(written))
            measured = estimate(together, row.keep.dressing, self.player)
            return replace(measured, heavy=False), written  # a band has high chairs and low ones
        written = within(written, row.low, row.high, self.player, complete=row.complete)
        if row.complete:
            try:
                return estimate(written, row.keep.dressing, self.player, exact=True), written
            except DoesNotFitError:
                written = replace(written, span=shared_catalogue().spans.find("one octave"))
        return estimate(written, row.keep.dressing, self.player), written

    def _put(self, one: Spelled, row: Wanted, place: int) -> str:
        """One exercise of a row; `place` is its place among them."""
        asking = Asking.of(one.written, row.keep.dressing, row.until, row.listed)
        number = self.askings.setdefault(asking, len(self.askings))
        measured, name = one.measured, one.name
        new = KeptExercise(
            name=name,
            minutes=asking.minutes or measured.minutes,
            key=one.key,
            catalogue=one.catalogue,
            asked=(number,),
            shifts=(place,),
            heavy=measured.heavy if asking.heavy is None else asking.heavy,
            tonics=" ".join(one.tonics),
            warm=measured.warm,
            rank=_WARM_FIRST if measured.warm else self._rows,
        )
        known = self.entries.get(name)
        self.entries[name] = _together(known, new) if known else new
        line = row.line or row.keep.line
        earlier = self._lines.setdefault(name, line)
        if known and number not in known.asked and earlier != line:
            pair = self.shared.get((line, earlier), Shared(line, earlier, name, 0))
            self.shared[line, earlier] = pair._replace(number=pair.number + 1)
        return name


def _asks_more(one: Spelled, row: Wanted) -> bool:
    """Whether more is asked than the line: a span, a rhythm, an articulation."""
    if isinstance(one.written.form, Routine):
        return False
    dressing = row.keep.dressing
    dressed = bool(dressing.rhythms or dressing.articulations or dressing.metre)
    return (
        dressed or undressed(one.written) != line_of(one.written) or not counts_beats(one.written, dressing)
    )


def counts_beats(request: Request, dressing: Dressing) -> bool:
    """Whether the tempi of a row count the beat of its metre, as those of an aim do."""
    if not dressing.unit or isinstance(request.form, Routine):
        return True
    recipe = expand.recipe(replace(request, rhythm=None, metre=dressing.metre))
    return UNIT_NAMES[dressing.unit] == beat_value(recipe.rhythm.metre)


def _together(known: KeptExercise, new: KeptExercise) -> KeptExercise:
    """One line that two rows keep."""
    tonics = tuple(dict.fromkeys((*known.tonics.split(), *new.tonics.split())))
    again = new.asked[0] in known.asked
    return known._replace(
        minutes=max(known.minutes, new.minutes),
        asked=known.asked if again else known.asked + new.asked,
        shifts=known.shifts if again else known.shifts + new.shifts,
        heavy=known.heavy or new.heavy,
        tonics=" ".join(tonics),
    )


def _names_read(tonic: NoteName, form: Form, names: KeyNames) -> tuple[NoteName, ...]:
    if names == "alternate":
        return both_names(tonic.pitch_class, form.signature)
    return (usual_name(tonic.pitch_class, form.signature, names),)


def _usual(tonic: NoteName, form: Form) -> NoteName:
    return usual_name(tonic.pitch_class, form.signature)


def _places(bare: Request) -> tuple[int | None, int]:
    """Place on the circle of fifths, and the place among exercises that have waited equally long.

    The places of each kind of exercise run through the keys, shifted from kind to kind, so that a new list is met
    in mixed kinds and mixed keys rather than one kind at a time. They depend on the exercise alone.
    """
    if isinstance(bare.form, Routine):
        return None, bare.form.catalogue % _CLASSES
    form, figure = first_form(bare.form), bare.figure or shared_catalogue().straight
    dozens = form.catalogue // _CLASSES
    shift = form.catalogue + _DOZEN_STEP * dozens + _FIGURE_STEP * figure.catalogue - _FIRST
    key = circle_place(bare.keys[0], form.signature)
    return key, (shift + 5 * key) % _CLASSES
