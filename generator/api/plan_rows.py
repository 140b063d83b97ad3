"""A passage and the scales it is made of put into a plan in one word, each where it is not kept already."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.documents.new_plan import Answers, plan_text
from generator.documents.own_file import own_text
from generator.documents.plan_edit import PlanChange, changed
from generator.documents.plan_row import keep_of
from generator.documents.starter import rows_for, starter_file
from generator.errors import DoesNotFitError
from generator.files.home import Home
from generator.files.resources import own_text as built_in
from generator.passage.kept import KeptPassage
from generator.passage.named import WORD
from generator.passage.planned import as_request
from generator.phrase.read import parse_all
from generator.practice.drafted import drafted
from generator.practice.gathering import Gathering, Wanted
from generator.practice.growing_list import kept_of_passage
from generator.practice.player_session import PlayerOptions, PlayerSession, open_session


@dataclass(frozen=True, slots=True)
class PlanRows:
    """A plan with a passage and its scales, not written yet.

    Attributes:
        target: where it is, or will be.
        text: the whole file.
        new: there was no plan.
        added: phrases that were put into it.
        there: phrases that it keeps already.
        unfit: phrase and reason of what the player's instrument cannot carry.
    """

    target: Path
    text: str
    new: bool
    added: tuple[str, ...]
    there: tuple[str, ...]
    unfit: tuple[tuple[str, str], ...] = ()


def rows_for_passage(kept: KeptPassage, home: Home, asked: PlayerOptions, here: Path) -> PlanRows:
    """A plan with what keeps a passage and its scales alive; comments and order stay. Nothing is written.

    Args:
        kept: the passage.
        home: where the plan is kept.
        asked: plan and instrument of the command line.
        here: the current folder.

    Raises:
        BadFileError: the plan has mistakes, or would have some, one a line.
        OutputError: it cannot be read.
    """
    path = home.plan_file(asked.plan, here)
    session = open_session(home, asked, here)
    target = path or home.plan
    text = own_text(path) if path is not None else _new(session)
    only = _only(kept, session)
    drill = f"{WORD} {kept.name}"
    names = set(session.repertoire.columns.names)
    added, there, unfit = [], [], []
    if kept_of_passage(as_request(drill), names):
        there.append(drill)
    else:
        added.append(drill)
    for phrase in kept.scales:
        try:
            found = set(_lines(phrase, session))
        except DoesNotFitError as error:
            unfit.append((phrase, str(error)))
            continue
        (there if found <= names else added).append(phrase)
    changes = [PlanChange({"phrase": phrase, **only}, "keep") for phrase in added]
    whole = changed(text, changes)
    with drafted(whole, home, asked, target, here):  # refuses what cannot be read
        return PlanRows(target, whole, path is None, tuple(added), tuple(there), tuple(unfit))


def _new(session: PlayerSession) -> str:
    """The plan that ``plan new`` writes for this player."""
    player = session.player
    level = player.level if player.level in LEVELS else "standard"
    rows = rows_for(built_in(starter_file(level)), player.instrument, shared_catalogue())
    return plan_text(Answers(instrument=player.instrument.name, level=player.level), rows)


def _only(kept: KeptPassage, session: PlayerSession) -> dict[str, list[str]]:
    """For a plan of another instrument: whose part the passage is."""
    if kept.concert or not kept.instrument or session.plan.instrument in ("", kept.instrument):
        return {}
    return {"only": [kept.instrument]}


def _lines(phrase: str, session: PlayerSession) -> Iterator[str]:
    """The names under which a list keeps what a phrase asks for.

    Raises:
        DoesNotFitError: the player's instrument cannot carry it.
    """
    gathering = Gathering(session.player)
    for request in parse_all(phrase, shared_catalogue(), session.plan.ways):
        yield from gathering.add(Wanted(keep_of(request, phrase, 0), session.plan.names))
