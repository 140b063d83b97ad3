"""The list of a plan for a player, as a whole or up to a stage; what several stages share is read and measured once."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from hashlib import sha256
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.marked_file import MarkedFile
from generator.documents.plan import AimRow, Dress, ListRow, Plan
from generator.documents.plan_file import read_plan
from generator.documents.plan_row import Keep, keep_of
from generator.documents.required_file import read_list
from generator.documents.required_list import RequiredList, find_list, lists_folder
from generator.errors import DoesNotFitError, OutputError, RequestError
from generator.exercise.build import Player
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.files.resources import data_folder
from generator.passage.named import is_drill
from generator.phrase.write import canonical
from generator.practice.gathering import Ensemble, Gathering, Spelled, Unfit, Wanted
from generator.practice.repertoire import AimNames, Columns, DatedNames, Repertoire
from generator.practice.repertoire_cache import recall, remember

MOST_IN_AIM = 24
"""Exercises of one aim; more is no aim of a week."""


@dataclass(frozen=True, slots=True)
class OwnRows:
    """Rows of a list that its plan does not have.

    Attributes:
        instead: in place of those of the plan, if there are any.
        besides: before them.
    """

    instead: tuple[Keep, ...] = ()
    besides: tuple[Keep, ...] = ()

    def of(self, plan: Plan) -> Plan:
        """The plan with these rows."""
        if self.instead:
            plan = replace(plan, keeps=self.instead, lists=(), dresses=())
        return replace(plan, keeps=(*self.besides, *plan.keeps))


@dataclass(eq=False)
class GrowingList:
    """What a plan keeps alive for a player.

    Attributes:
        head: the plan's file, with the mistakes found so far in what stands before its rows.
        plan: what stands there.
        player: the player.
        cache: folder in which a list that was spelled out is remembered.
        strict: the plan was written for the player's instrument, so what does not fit is a mistake in it.
        ensemble: those who play it together, where it is kept for a section.
        own: rows that stand beside those of the plan, or in their place.
    """

    head: MarkedFile
    plan: Plan
    player: Player
    cache: Path
    strict: bool
    ensemble: Ensemble | None = None
    own: OwnRows | None = None
    _spelled: dict[object, list[Spelled | Unfit]] = field(default_factory=dict, repr=False)

    def up_to(self, stage: int | None) -> Repertoire:
        """The list with the rows up to a stage, remembered or spelled out; None for all of them.

        Raises:
            BadFileError: the plan has mistakes, all of them, one a line.
            OutputError: it cannot be read.
        """
        whose = f"{self.head.path} {self.player.instrument.name}" + (f" {stage}" if stage else "")
        whose += f" {self.ensemble.mark}" if self.ensemble else ""
        place = self.cache / f"list-{sha256(whose.encode()).hexdigest()[:12]}.json"
        known = recall(place, self._key)
        if known is not None:
            return known
        plan, file = self._rows
        stages = tuple(sorted({keep.stage for keep in plan.keeps if _concerns(keep, self.player)}))
        repertoire = replace(self._spell_out(_for(plan, self.player, stage)), stages=stages)
        file.refuse()
        remember(place, self._key, repertoire)
        return repertoire

    @cached_property
    def _rows(self) -> tuple[Plan, MarkedFile]:
        """The whole plan, with every mistake of its head."""
        plan, file = read_plan(self.head.path, shared_catalogue())
        file.faults_of(self.head)
        return (self.own.of(plan) if self.own else plan), file

    @cached_property
    def _key(self) -> str:
        """Changes when anything that the list comes from does."""
        source, player = self.head.path, self.player
        shared = data_folder("shared")
        digest = sha256()
        for path in (source, *_files_of_lists(source, self.plan)):
            digest.update(path.read_bytes())
        for path in sorted((*shared.glob("*.toml"), *shared.glob("lists/*.toml"))):
            stat = path.stat()
            digest.update(f"{path.name} {stat.st_size} {stat.st_mtime_ns}".encode())
        digest.update(f"{player.instrument.name} {player.compass.words} {self.plan.instrument}".encode())
        digest.update(self.ensemble.mark.encode() if self.ensemble else b"")
        if self.own:
            digest.update(repr(self.own).encode())
        return digest.hexdigest()

    def _spell_out(self, plan: Plan) -> Repertoire:
        """The list of a plan; what the instrument cannot carry is a mistake in a plan written for it."""
        gathering = Gathering(self.player, self._spelled, ensemble=self.ensemble)
        dated: list[DatedNames] = []
        for keep in plan.keeps:
            self._add(gathering, Wanted(keep, plan.names), keep.line)
        for row in plan.lists:
            names = self._listed(gathering, row)
            if row.day is not None and names:
                dated.append(DatedNames(_called(row), row.day, names))
        aims = tuple(self._aims(gathering, plan.aims))
        entries, askings = tuple(gathering.entries.values()), tuple(gathering.askings)
        aimed = (aims,) if aims else ()
        mark = sha256(repr((entries, askings, dated, *aimed)).encode()).hexdigest()[:16]
        return Repertoire(
            instrument=self.player.instrument.name,
            columns=Columns.of(entries),
            askings=askings,
            dated=tuple(dated),
            aims=aims,
            unfit=tuple(gathering.unfit),
            shared=tuple(gathering.shared.values()),
            mark=mark,
        )

    def _add(self, gathering: Gathering, row: Wanted, line: int) -> tuple[str, ...]:
        try:
            return gathering.add(row)
        except DoesNotFitError as error:
            if self.strict:
                self._rows[1].fault_at(line, f"{row.keep.phrase}: {error}")
            else:
                gathering.unfit.append(Unfit(row.keep.phrase, str(error)))
            return ()

    def _aims(self, gathering: Gathering, rows: Sequence[AimRow]) -> Iterator[AimNames]:
        """What is to be ready by a day, under the names of its exercises; what the list has not joins it."""
        for row in rows:
            if not _concerns(row, self.player):
                continue
            called = _aim_called(row)
            names: list[str] = []
            asked: tuple[int, ...] = ()
            for request in row.requests:
                keep = keep_of(request, row.phrase, row.line, goal=row.tempo)
                try:
                    own = kept_of_passage(request, gathering.entries)
                    if not own:
                        wanted = Wanted(keep, self.plan.names, listed=aim_name(called), line=row.line)
                        own, more = gathering.aim(wanted)
                        asked += more
                    names += own
                except DoesNotFitError as error:
                    if self.strict:
                        self._rows[1].fault_at(row.line, f"{row.phrase}: {error}")
                    else:
                        gathering.unfit.append(Unfit(row.phrase, str(error)))
            if len(names) > MOST_IN_AIM:
                self._rows[1].fault_at(
                    row.line,
                    f"{row.phrase}: these are {len(names)} exercises; an aim has at most {MOST_IN_AIM}",
                )
            elif names:
                yield AimNames(called, row.tempo, row.by, tuple(dict.fromkeys(names)), asked)

    def _listed(self, gathering: Gathering, row: ListRow) -> tuple[str, ...]:
        """The exercises of a required list, which stay on the list up to its date."""
        try:
            required = read_list(
                find_list(row.name, lists_folder(), self.head.path.parent), shared_catalogue()
            )
            wanted = keeps_of(required, gathering.player)
        except DoesNotFitError as error:
            if self.strict:
                self._rows[1].fault_at(row.line, f"name: {error}")
            else:
                gathering.unfit.append(Unfit(row.name, str(error)))
            return ()
        except (RequestError, OutputError) as error:
            for text in str(error).splitlines():
                self._rows[1].fault_at(row.line, f"name: {text}")
            return ()
        until = row.day.isoformat() if row.day else ""
        called = _called(row)
        names: list[str] = []
        for one in wanted:
            full = replace(one, names=self.plan.names, until=until, listed=called, line=row.line)
            names += self._add(gathering, full, row.line)
        return tuple(dict.fromkeys(names))


def _aim_called(row: AimRow) -> str:
    """What sentences call an aim: its phrase without the tempo, which they say besides."""
    if len(row.requests) > 1:
        return row.phrase
    return canonical(replace(row.requests[0], tempo=None, goal=None, step=None, climb=False))


def aim_name(phrase: str) -> str:
    """What marks what an aim asks beyond its line."""
    return f"aim: {phrase}"


def kept_of_passage(request: Request, kept: Iterable[str]) -> tuple[str, ...]:
    """The exercises of a list that drill the passage a request is about, whatever recipes they name."""
    if not isinstance(request.form, Routine) or not is_drill(request.form.name):
        return ()
    from generator.passage.request import parse_drill  # noqa: PLC0415  # few plans have a passage

    passage = parse_drill(request.form.name).name
    return tuple(name for name in kept if is_drill(name) and parse_drill(name).name == passage)


def _concerns(row: Keep | Dress | AimRow, player: Player) -> bool:
    return not row.only or player.instrument.name in row.only


def _for(plan: Plan, player: Player, stage: int | None) -> Plan:
    """The rows for an instrument up to a stage; those that name no articulation wear what the plan has for them."""
    dress = next((one for one in plan.dresses if _concerns(one, player)), None)
    keeps = [
        _dressed(keep, dress)
        for keep in plan.keeps
        if _concerns(keep, player) and (stage is None or keep.stage <= stage)
    ]
    return replace(plan, keeps=tuple(keeps))


def _dressed(keep: Keep, dress: Dress | None) -> Keep:
    figure = keep.request.figure
    own = keep.dressing.articulations or isinstance(keep.request.form, Routine)
    if dress is None or own or (figure and figure.articulation):
        return keep
    return replace(keep, dressing=replace(keep.dressing, articulations=dress.articulations))


def keeps_of(required: RequiredList, player: Player) -> list[Wanted]:
    """A required list as rows of a plan; the tempo it asks for is the goal.

    Raises:
        DoesNotFitError: the list is not for the instrument.
    """
    return [
        Wanted(
            _keep(item.request_for(player.instrument.name), item.phrase, item.articulations),
            complete=item.complete,
            low=item.low,
            high=item.high,
        )
        for item in required.items_for(player.instrument)
    ]


def _keep(request: Request, phrase: str, articulations: tuple[str, ...]) -> Keep:
    return keep_of(request, phrase, 0, articulations=tuple((name, "") for name in articulations))


def _called(row: ListRow) -> str:
    """What sentences call a list: as the plan says, or its name without folder and ending."""
    return row.called or Path(row.name).name.removesuffix(".toml").replace("-", " ").replace("_", " ")


def _files_of_lists(source: Path, plan: Plan) -> list[Path]:
    found = [source.parent / Path(row.name).expanduser() for row in plan.lists]
    return [path for path in found if path.is_file()]
