"""The plan on a page: what it keeps, what it promises, what a change would do to that. The file stays the truth."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from generator.api.desk import Desk
from generator.api.refusals import MovedError
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.documents.new_plan import Answers, plan_text
from generator.documents.own_file import own_text
from generator.documents.own_toml import toml_fields
from generator.documents.plan_edit import HEAD, PlanChange, changed, lines_of
from generator.documents.starter import rows_for, starter_file
from generator.errors import BadFileError
from generator.files.atomic import place
from generator.files.resources import own_text as built_in
from generator.practice.drafted import drafted
from generator.practice.plan_summary import PlanSummary, summarize, summary_lines
from generator.practice.player_session import PlayerSession
from generator.rotation.theme import Theme
from generator.rotation.words import count


@dataclass(frozen=True, slots=True)
class _Read:
    """A plan's text, read as the player's."""

    session: PlayerSession
    summary: PlanSummary

    @property
    def promise(self) -> str:
        """What it promises."""
        return f"everything comes round within {count(self.summary.sheet.settled, 'practice day')}"


def plan_view(desk: Desk) -> dict[str, Any]:
    """The plan as it is; without one, the one that the first change would write.

    Raises:
        BadFileError: the plan has mistakes, one a line.
        OutputError: it cannot be read.
    """
    path, text = _text(desk)
    return _view(desk, path, text, _read(desk, text, _target(desk)))


def change_plan(
    desk: Desk,
    changes: Sequence[PlanChange],
    *,
    whole: str | None = None,
    base: str | None = None,
    trying: bool = False,
) -> dict[str, Any]:
    """Change the plan, or look what a change would do.

    Args:
        desk: the desk.
        changes: in order.
        whole: the text of the whole plan instead.
        base: digest of the plan the change is meant for, or None for any.
        trying: nothing is written.

    Raises:
        MovedError: the plan was changed meanwhile.
        BadFileError: the plan would have mistakes, one a line; nothing is written.
        RequestError: there is no such row or field.
        OutputError: it cannot be written.
    """
    with desk.lock:
        path, text = _text(desk)
        if base is not None and base != _digest(text):
            raise MovedError("the plan was changed meanwhile; look at it again")
        target = _target(desk)
        before = _before(desk, text, target)
        new = whole if whole is not None else changed(text, changes)
        read = _read(desk, new, target)
        if not trying:
            place(new.encode(), target)
            path = target
    return {
        "plan": _view(desk, path, new, read),
        "promise": read.promise,
        "before": before,
        "warnings": _warnings(read),
        "saved": not trying,
    }


def _before(desk: Desk, text: str, target: Path) -> str:
    try:
        return _read(desk, text, target).promise
    except BadFileError:  # a plan with mistakes is being mended
        return ""


def _target(desk: Desk) -> Path:
    """Where the plan is, or will be."""
    return desk.home.plan_file(desk.asked.plan, desk.here) or desk.home.plan


def _text(desk: Desk) -> tuple[Path | None, str]:
    path = desk.home.plan_file(desk.asked.plan, desk.here)
    if path is not None:
        return path, own_text(path)
    player = desk.session().player
    level = player.level if player.level in LEVELS else "standard"
    rows = rows_for(built_in(starter_file(level)), player.instrument, shared_catalogue())
    return None, plan_text(Answers(instrument=player.instrument.name, level=player.level), rows)


def _read(desk: Desk, text: str, target: Path) -> _Read:
    """Read a text as if it were the plan."""
    with drafted(text, desk.home, desk.options(), target, desk.here) as session:
        return _Read(session, summarize(session, desk.today))


def _view(desk: Desk, path: Path | None, text: str, read: _Read) -> dict[str, Any]:
    fields = toml_fields(path.name if path else "plan.toml", text)
    summary = read.summary
    return {
        "path": str(path) if path else None,
        "target": str(_target(desk)),
        "text": text,
        "base": _digest(text),
        "fields": {name: _plain(fields.get(name)) for name in HEAD},
        **{
            shown: [
                {"number": number, "line": line, **{name: _plain(value) for name, value in row.items()}}
                for number, (line, row) in enumerate(
                    zip(lines_of(text, table), fields.get(table, []), strict=False)
                )
            ]
            for shown, table in (("keep", "keep"), ("lists", "list"), ("dress", "dress"), ("aims", "aim"))
        },
        "promise": read.promise,
        "days": summary.sheet.settled,
        "exercises": summary.exercises,
        "minutes_once": summary.minutes,
        "kinds": [{"kind": kind, "exercises": number, "minutes": m} for kind, number, m in summary.kinds],
        "offers": [{"days": days, "minutes": minutes} for days, minutes in summary.offers],
        "summary": list(summary_lines(summary, read.session)),
        "warnings": _warnings(read),
        "themes": [str(theme) for theme in Theme],
        "levels": list(LEVELS),
    }


def _warnings(read: _Read) -> list[str]:
    repertoire = read.session.repertoire
    told = [f"left out: {phrase}: {reason}" for phrase, reason in repertoire.unfit]
    told += [
        f"line {pair.line} and line {pair.earlier} ask for the same {count(pair.number, 'exercise')} "
        f"({pair.name}): what each asks comes in turn"
        for pair in repertoire.shared
    ]
    return [*told, *(note.text for note in read.summary.sheet.notes)]


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _plain(value: object) -> object:
    """A value of TOML as JSON has it."""
    if isinstance(value, list):
        return [_plain(one) for one in value]
    if value is None or isinstance(value, str | int | float | bool):
        return value
    return str(value)
