"""``scalewright list``: every name the phrase and the options understand."""

import json
from collections.abc import Sequence
from typing import Annotated, Any

import typer  # noqa: TID251

from generator.catalogue.names import nearest
from generator.catalogue.rows import KeyList
from generator.catalogue.tables import Catalogue, Table, shared_catalogue
from generator.cli.messages import put_out
from generator.documents.required_list import WARNING, RequiredList
from generator.errors import UnknownNameError, shown
from generator.exercise.instrument import Instrument
from generator.practice.required_sheet import every_list

KINDS = (
    "instruments", "forms", "figures", "spans", "rhythms", "articulations", "sets", "routines", "key lists", "lists",
)  # fmt: skip


def list_names(
    words: Annotated[
        list[str],
        typer.Argument(metavar="KIND", help=f"{', '.join(KINDS)}."),
    ],
    as_json: Annotated[bool, typer.Option("--json", help="As JSON, with every alias.")] = False,
) -> None:
    """List the names of one kind."""
    kind = " ".join(" ".join(words).replace("-", " ").casefold().split())
    if kind not in KINDS:
        near = nearest(kind, KINDS, most=1)
        hint = f"; nearest: {near[0]}" if near else ""
        raise UnknownNameError(
            f"unknown list {shown(kind)}; it can be {', '.join(KINDS)}{hint}", nearest=near
        )
    rows = _rows(kind, shared_catalogue())
    if as_json:
        put_out(json.dumps(rows, ensure_ascii=False, indent=1))
        return
    width = max(len(r["name"]) for r in rows)
    for row in rows:
        put_out(f"{row['name']:<{width}}  {row['about']}".rstrip())


def _rows(kind: str, names: Catalogue) -> list[dict[str, Any]]:
    if kind == "instruments":
        return [_instrument(row) for row in names.instruments.rows]
    if kind == "sets":
        return [
            {
                "name": row.name,
                "aliases": list(row.aliases),
                "about": ", ".join(member.name for member in row.members),
                "kind": row.kind,
            }
            for row in names.sets.rows
        ]
    if kind == "key lists":
        return [_key_list(row) for row in names.key_lists.rows]
    if kind == "lists":
        return [_required(row) for row in every_list()]
    tables: dict[str, Table[Any]] = {
        "forms": names.forms,
        "figures": names.figures,
        "spans": names.spans,
        "rhythms": names.rhythms,
        "articulations": names.articulations,
        "routines": names.routines,
    }
    return [
        {
            "name": row.name,
            "aliases": list(row.aliases),
            "about": f"also: {_joined(row.aliases)}" if row.aliases else "",
        }
        for row in tables[kind].rows
    ]


def _joined(aliases: Sequence[str]) -> str:
    """Names side by side; some have a comma inside."""
    return ("; " if any("," in name for name in aliases) else ", ").join(aliases)


def _key_list(row: KeyList) -> dict[str, Any]:
    keys = [key.words for key in row.keys]
    return {
        "name": row.name,
        "aliases": list(row.aliases),
        "about": f"{'concert ' if row.concert else ''}{', '.join(keys)}",
        "keys": keys,
        "concert": row.concert,
        "source": row.source,
    }


def _required(row: RequiredList) -> dict[str, Any]:
    return {
        "name": row.name,
        "aliases": [],
        "about": f"{row.title} ({row.year})",
        "title": row.title,
        "source": row.source,
        "year": row.year,
        "instruments": list(row.instruments),
        "items": [item.phrase for item in row.items],
        "note": row.note,
        "warning": WARNING,
    }


def _instrument(row: Instrument) -> dict[str, Any]:
    levels = {name: {"low": c.low.name, "high": c.high.name, "source": c.source} for name, c in row.levels}
    standard = row.level("standard")
    if row.unpitched:
        return {
            "name": row.name,
            "aliases": list(row.aliases),
            "about": "rhythm on one line",
            "family": row.family,
        }
    sounds = "as written" if not row.sounds.semitones else f"sounds {row.sounds.name}"
    return {
        "name": row.name,
        "aliases": list(row.aliases),
        "about": f"{standard.low.name} to {standard.high.name} written, {sounds}, {'/'.join(row.clefs)} clef",
        "family": row.family,
        "sounds": row.sounds.name,
        "clefs": list(row.clefs),
        "levels": levels,
        "note": row.note,
    }
