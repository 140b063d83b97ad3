"""``scalewright list``: every name the phrase and the options understand."""

import json
from collections.abc import Iterator, Sequence
from functools import lru_cache
from pathlib import Path
from typing import Annotated, Any

import typer  # noqa: TID251

from generator.catalogue.explained import Explained, explained
from generator.catalogue.names import nearest
from generator.catalogue.tables import Catalogue, shared_catalogue
from generator.cli import options
from generator.cli.messages import put_out, remark
from generator.documents.required_list import WARNING, RequiredList
from generator.errors import UnknownNameError, shown
from generator.exercise.instrument import Instrument
from generator.files.home import Home
from generator.passage.kept import KeptPassage
from generator.passage.store import Passages
from generator.practice.required_sheet import every_list

KINDS = (
    "instruments", "forms", "figures", "spans", "rhythms", "articulations", "sets", "routines", "key lists", "clauses",
    "lists",
)  # fmt: skip
PASSAGES = "passages"

_FEW = 6  # other names that are told


def list_names(
    words: Annotated[
        list[str],
        typer.Argument(metavar="KIND", help=f"{', '.join((*KINDS, PASSAGES))}."),
    ],
    as_json: Annotated[bool, typer.Option("--json", help="As JSON, with every alias.")] = False,
    home: options.HomeFolder = None,
) -> None:
    """List the names of one kind."""
    kind = " ".join(" ".join(words).replace("-", " ").casefold().split())
    if kind == PASSAGES:
        _list_passages(home, as_json=as_json)
        return
    if kind not in KINDS:
        near = nearest(kind, (*KINDS, PASSAGES), most=1)
        hint = f"; nearest: {near[0]}" if near else ""
        raise UnknownNameError(
            f"unknown list {shown(kind)}; it can be {', '.join((*KINDS, PASSAGES))}{hint}", nearest=near
        )
    names = shared_catalogue()
    rows = _required() if kind == "lists" else explained(kind, names)
    if as_json:
        put_out(json.dumps([_as_data(row, kind, names) for row in rows], ensure_ascii=False, indent=1))
        return
    for line in _lines(rows):
        put_out(line)


def _list_passages(home: Path | None, *, as_json: bool) -> None:
    """The passages a player keeps, each with where it is from and how it is asked for."""
    kept = Passages(Home.at(home).passages).all()
    if as_json:
        put_out(json.dumps([_passage_data(one) for one in kept], ensure_ascii=False, indent=1))
        return
    if not kept:
        remark("no passage is kept; keep one with: scalewright passage keep NAME FILE --bars 10-14")
        return
    width = max(len(one.name) for one in kept)
    for one in kept:
        goal = f"goal {one.goal.bpm}" if one.goal else ""
        about = ", ".join(w for w in (one.source, one.passage.name, one.instrument, goal) if w)
        put_out(f"  {one.name:<{width}}  {about}")
        put_out(f"  {'':<{width}}  like: drill {one.name}, chunks")


def _passage_data(one: KeptPassage) -> dict[str, Any]:
    return {
        "name": one.name,
        "source": one.source,
        "bars": [bar.number for bar in one.passage.bars],
        "instrument": one.instrument,
        "concert": one.concert,
        "goal": one.goal.bpm if one.goal else None,
        "hard": one.hard or None,
        "notes": len(one.passage.attacks),
        "example": f"drill {one.name}, chunks",
    }


def _lines(rows: Sequence[Explained]) -> Iterator[str]:
    """Names under their headings, what each means, and how it is asked for; other names below."""
    width = max(len(row.name) for row in rows)
    for number, group in enumerate(dict.fromkeys(row.group for row in rows)):
        if number:
            yield ""
        yield f"{group[:1].upper()}{group[1:]}"
        for row in rows:
            if row.group == group:
                yield f"  {row.name:<{width}}  {row.about}".rstrip()
                yield f"  {'':<{width}}  like: {row.example}"
                if row.aliases:
                    more = f" and {len(row.aliases) - _FEW} more" if len(row.aliases) > _FEW else ""
                    yield f"  {'':<{width}}  also: {', '.join(row.aliases[:_FEW])}{more}"


def _as_data(row: Explained, kind: str, names: Catalogue) -> dict[str, Any]:
    more: dict[str, Any] = {}
    if kind == "instruments":
        more = _instrument(names.instruments.find(row.name))
    elif kind == "sets":
        more = {"kind": names.sets.find(row.name).kind}
    elif kind == "key lists":
        found = names.key_lists.find(row.name)
        more = {"keys": [key.words for key in found.keys], "concert": found.concert, "source": found.source}
    elif kind == "lists":
        more = _list_data(row.name)
    told = {"name": row.name, "aliases": list(row.aliases), "about": row.about}
    return {**told, "group": row.group, "example": row.example, **more}


@lru_cache(maxsize=1)
def _lists() -> tuple[RequiredList, ...]:
    return tuple(every_list())


def _required() -> tuple[Explained, ...]:
    return tuple(
        Explained(
            row.name,
            ", ".join(row.instruments) or "any instrument",
            f"{row.title} ({row.year})",
            f"--list {row.name}",
        )
        for row in _lists()
    )


def _list_data(name: str) -> dict[str, Any]:
    row = next(row for row in _lists() if row.name == name)
    return {
        "title": row.title,
        "source": row.source,
        "year": row.year,
        "instruments": list(row.instruments),
        "items": [item.phrase for item in row.items],
        "note": row.note,
        "warning": WARNING,
    }


def _instrument(row: Instrument) -> dict[str, Any]:
    if row.unpitched:
        return {"family": row.family}
    levels = {name: {"low": c.low.name, "high": c.high.name, "source": c.source} for name, c in row.levels}
    return {
        "family": row.family,
        "sounds": row.sounds.name,
        "clefs": list(row.clefs),
        "levels": levels,
        "note": row.note,
    }
