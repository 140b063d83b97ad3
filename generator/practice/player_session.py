"""A player's plan, instrument and list, ready for use; every mistake of a plan is told at once."""

from dataclasses import dataclass, field, replace
from hashlib import sha256
from pathlib import Path

from generator.catalogue.players import level_named, player_named
from generator.catalogue.tables import shared_catalogue
from generator.documents.marked_file import HEAD, MarkedFile
from generator.documents.plan import Dress, ListRow, Plan
from generator.documents.plan_file import read_plan
from generator.documents.plan_row import Keep, keep_of
from generator.documents.required_file import read_list
from generator.documents.required_list import RequiredList, find_list, lists_folder
from generator.documents.starter import starter_file
from generator.errors import DoesNotFitError, OutputError, RequestError
from generator.exercise.build import Player
from generator.exercise.request import Request
from generator.exercise.routine import Routine
from generator.files.home import Home
from generator.files.resources import data_folder
from generator.practice.repertoire import Columns, DatedNames, Gathering, Repertoire, Wanted
from generator.practice.repertoire_cache import recall, remember
from generator.practice.whose_log import home_of, instrument_played_last


@dataclass(frozen=True, slots=True)
class PlayerOptions:
    """What the command line says about the player.

    Attributes:
        plan: a plan file.
        instrument: instead of the plan's.
        level: instead of the plan's.
        low: own lowest written note, instead of the plan's.
        high: own highest written note.
        fallback: instrument where neither says one.
    """

    plan: Path | None = None
    instrument: str | None = None
    level: str | None = None
    low: str | None = None
    high: str | None = None
    fallback: str = "flute"


@dataclass(frozen=True, slots=True)
class PlayerSession:
    """Everything of one player.

    Attributes:
        home: where the log is.
        path: the plan file, or None for the starter plan.
        plan: what it says.
        player: the player.
        repertoire: the list that is kept alive.
        guessed: the instrument was named by nobody.
        asked: what the command line said.
        here: the folder it was said in.
    """

    home: Home
    path: Path | None
    plan: Plan
    player: Player
    repertoire: Repertoire
    guessed: bool = False
    asked: PlayerOptions = field(default_factory=PlayerOptions)
    here: Path = Path()


def open_session(home: Home, asked: PlayerOptions, here: Path, stage: int | None = None) -> PlayerSession:
    """Read the plan and spell it out for the player.

    Args:
        home: where plan and log are kept.
        asked: what the command line says.
        here: the current folder.
        stage: only the rows up to this one; None for all.

    Raises:
        BadFileError: the plan has mistakes, all of them, one a line.
        RequestError: the command line asks for what cannot be.
        OutputError: the plan cannot be read.
    """
    path = home.plan_file(asked.plan, here)
    source = path or starter_file(level_named(asked.level or "standard"))
    plan, head = read_plan(source, shared_catalogue(), rows=False)
    home = home_of(home, plan.player)
    if not (asked.instrument or plan.instrument) and (last := instrument_played_last(home)):
        asked = replace(asked, fallback=last)
    player = _player(plan, head, asked)
    guessed = not (asked.instrument or plan.instrument)
    key = _key(source, plan, player)
    whose = f"{source} {player.instrument.name}" + (f" {stage}" if stage else "")
    place = home.cache / f"list-{sha256(whose.encode()).hexdigest()[:12]}.json"
    repertoire = recall(place, key)
    if repertoire is None:
        whole, file = read_plan(source, shared_catalogue())
        _player(whole, file, asked)  # for its mistakes
        strict = path is not None and player.instrument.name == plan.instrument
        repertoire = _spell_out(_for(whole, player, stage), file, player, strict=strict)
        stages = tuple(sorted({keep.stage for keep in whole.keeps if _concerns(keep, player)}))
        repertoire = replace(repertoire, stages=stages)
        file.refuse()
        remember(place, key, repertoire)
    head.refuse()
    return PlayerSession(home, path, plan, player, repertoire, guessed, asked, here)


def at_stage(session: PlayerSession, stage: int) -> PlayerSession:
    """The same with the rows up to a stage alone."""
    return open_session(session.home, session.asked, session.here, stage)


def _concerns(row: Keep | Dress, player: Player) -> bool:
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


def _player(plan: Plan, file: MarkedFile, asked: PlayerOptions) -> Player:
    """The player by command line and plan; another instrument takes nothing of the plan's level and range."""
    name = asked.instrument or plan.instrument or asked.fallback
    own = shared_catalogue().instruments.find(name).name == (plan.instrument or asked.fallback)
    level = asked.level or (plan.level if own else "") or "standard"
    if asked.low or asked.high or asked.level or not own:
        # A level asked for today wins over the plan's own range.
        return player_named(name, level, asked.low, asked.high)
    try:
        return player_named(name, level, plan.low or None, plan.high or None)
    except RequestError as error:
        field = "low" if plan.low else "high"
        file.fault(HEAD, field, f"{field}: {error}")
        return player_named(name, level)


def _spell_out(plan: Plan, file: MarkedFile, player: Player, *, strict: bool) -> Repertoire:
    """The list of a plan; what the instrument cannot carry is a mistake in a plan written for it."""
    gathering = Gathering(player)
    dated: list[DatedNames] = []
    for keep in plan.keeps:
        _add(gathering, Wanted(keep, plan.names), file, keep.line, strict=strict)
    for row in plan.lists:
        names = _listed(gathering, plan, row, file, strict=strict)
        if row.day is not None and names:
            dated.append(DatedNames(_called(row), row.day, names))
    entries, askings = tuple(gathering.entries.values()), tuple(gathering.askings)
    mark = sha256(repr((entries, askings, dated)).encode()).hexdigest()[:16]
    return Repertoire(
        instrument=player.instrument.name,
        columns=Columns.of(entries),
        askings=askings,
        dated=tuple(dated),
        unfit=tuple(gathering.unfit),
        shared=tuple(gathering.shared.values()),
        mark=mark,
    )


def _add(gathering: Gathering, row: Wanted, file: MarkedFile, line: int, *, strict: bool) -> tuple[str, ...]:
    try:
        return gathering.add(row)
    except DoesNotFitError as error:
        if strict:
            file.fault_at(line, f"{row.keep.phrase}: {error}")
        else:
            gathering.unfit.append((row.keep.phrase, str(error)))
        return ()


def _listed(
    gathering: Gathering, plan: Plan, row: ListRow, file: MarkedFile, *, strict: bool
) -> tuple[str, ...]:
    """The exercises of a required list, which stay on the list up to its date."""
    try:
        required = read_list(find_list(row.name, lists_folder(), file.path.parent), shared_catalogue())
        wanted = keeps_of(required, gathering.player)
    except DoesNotFitError as error:
        if strict:
            file.fault_at(row.line, f"name: {error}")
        else:
            gathering.unfit.append((row.name, str(error)))
        return ()
    except (RequestError, OutputError) as error:
        for text in str(error).splitlines():
            file.fault_at(row.line, f"name: {text}")
        return ()
    until = row.day.isoformat() if row.day else ""
    called = _called(row)
    names: list[str] = []
    for one in wanted:
        full = replace(one, names=plan.names, until=until, listed=called, line=row.line)
        names += _add(gathering, full, file, row.line, strict=strict)
    return tuple(dict.fromkeys(names))


def keeps_of(required: RequiredList, player: Player) -> list[Wanted]:
    """A required list as rows of a plan; the tempo it asks for is the goal.

    Raises:
        DoesNotFitError: the list is not for the instrument.
    """
    return [
        Wanted(
            _keep(item.request_for(player.instrument.name), item.phrase, item.articulations),
            complete=item.complete,
        )
        for item in required.items_for(player.instrument)
    ]


def _keep(request: Request, phrase: str, articulations: tuple[str, ...]) -> Keep:
    return keep_of(request, phrase, 0, articulations=tuple((name, "") for name in articulations))


def _called(row: ListRow) -> str:
    """What sentences call a list: as the plan says, or its name without folder and ending."""
    return row.called or Path(row.name).name.removesuffix(".toml").replace("-", " ").replace("_", " ")


def _key(source: Path, plan: Plan, player: Player) -> str:
    """Changes when anything that the list comes from does."""
    shared = data_folder("shared")
    digest = sha256()
    for path in (source, *_files_of_lists(source, plan)):
        digest.update(path.read_bytes())
    for path in sorted((*shared.glob("*.toml"), *shared.glob("lists/*.toml"))):
        stat = path.stat()
        digest.update(f"{path.name} {stat.st_size} {stat.st_mtime_ns}".encode())
    digest.update(f"{player.instrument.name} {player.compass.words} {plan.instrument}".encode())
    return digest.hexdigest()


def _files_of_lists(source: Path, plan: Plan) -> list[Path]:
    found = [source.parent / Path(row.name).expanduser() for row in plan.lists]
    return [path for path in found if path.is_file()]
