"""``scalewright section marks``: the marks of a playing test, read back from a spreadsheet and added up."""

from collections.abc import Iterator
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.api.marks import MarksResult, add_up
from generator.cli import options
from generator.cli.messages import Message, hush, put_out, tell
from generator.errors import RequestError, shown
from generator.publish.results import ResultsOrder, place
from generator.rotation.words import count
from generator.section.marks import per_cent

_KINDS = ("csv", "pdf")
_MOST_NAMED, _MOST_TIES = 8, 4


def marks(
    book: Annotated[
        Path, typer.Argument(metavar="MARKS", help="The filled mark book: .xlsx, or CSV in any encoding.")
    ],
    names: Annotated[
        Path | None,
        typer.Option("--names", help="The list of numbers, who-is-who.csv, where candidates had numbers."),
    ] = None,
    out: options.Out = Path("out"),
    format_: Annotated[
        str, typer.Option("--format", "-f", help="csv, pdf or both with a comma.")
    ] = "csv,pdf",
    paper: options.PaperSize = "letter",
    title: options.Title = "",
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Add up the marks of a playing test: totals, places, seats on each instrument, means, who was absent."""
    hush(quiet)
    formats = tuple(dict.fromkeys(word.strip().casefold() for word in format_.split(",") if word.strip()))
    wrong = [word for word in formats if word not in _KINDS]
    if wrong or not formats:
        raise RequestError(f"unknown --format {shown(wrong[0] if wrong else format_)}; it can be csv, pdf")
    order = ResultsOrder(title or "Playing test", paper, options.cache(None, off=no_cache))
    done = add_up(book, out, names=names, formats=formats, order=order)
    tell(_lines(book.name, done))
    for path in done.paths:
        put_out(path)


def _lines(name: str, done: MarksResult) -> Iterator[Message]:
    standing = done.standing
    book = standing.book
    for remark in book.remarks:
        yield Message(f"{name}: {remark}")
    for fault in standing.faults:
        yield Message(f"{name}, {fault.words}", loud=True)
    for number in done.unknown:
        yield Message(f"{name}: number {shown(number)} is not in the list of numbers", loud=True)
    open_ = standing.of("open")
    for one in open_:
        if one.marked.missing:
            missing = ", ".join(one.marked.missing)
            yield Message(
                f"{name}, line {one.marked.line.line} ({one.marked.line.who}): missing: {missing}", loud=True
            )
    best = standing.of("marked")
    absent = standing.of("absent")
    parts = [f"{len(best)} placed", *([f"{len(open_)} not yet"] if open_ else ()), f"{len(absent)} absent"]
    yield Message(", ".join(parts))
    if absent:
        yield Message(f"absent: {_some([one.marked.line.who for one in absent])}")
    ties = sorted({one.place for one in best if one.tied})
    for which in ties[:_MOST_TIES]:
        same = [one for one in best if one.place == which]
        share = per_cent(same[0].marked.share)
        yield Message(
            f"place {place(which, tied=True)} ({share} %): {_some([one.marked.line.who for one in same])}"
        )
    if ties[_MOST_TIES:]:
        yield Message(f"{count(len(ties) - _MOST_TIES, 'more tie')} in the table, marked =")
    for warning in done.warnings:
        yield Message(warning, loud=True)


def _some(names: list[str]) -> str:
    more = f" and {len(names) - _MOST_NAMED} more" if len(names) > _MOST_NAMED + 1 else ""
    return ", ".join(names[:_MOST_NAMED] if more else names) + more
