"""``scalewright section``: a section file from a roster, with questions where the roster leaves something open."""

import sys
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.api.rosters import answer_to, keep_section, kept_answers, questions, roster_section
from generator.cli import options
from generator.cli.messages import Message, hush, put_out, remark, say, tell
from generator.cli.section_marks import marks
from generator.documents.section import Answer, Doubt, Section
from generator.errors import RequestError, clipped, shown
from generator.files.resources import is_there
from generator.rotation.words import count

_MOST_NAMED = 3

section = typer.Typer(
    help="Who plays: a section file from a roster; the marks of a playing test.",
    add_completion=False,
    invoke_without_command=True,
    rich_markup_mode=None,
)


@section.callback()
def _alone(context: typer.Context) -> None:
    """Who plays: a section file from a roster; the marks of a playing test."""
    if context.invoked_subcommand is None:
        put_out(context.get_help())


section.command("marks")(marks)


@section.command("new")
def new(
    roster: Annotated[
        Path, typer.Argument(metavar="ROSTER", help="The spreadsheet: .xlsx, or CSV in any encoding.")
    ],
    out: Annotated[Path, typer.Option("--out", "-o", help="The section file to write.")] = Path(
        "section.toml"
    ),
    title: options.Title = "",
    level: options.Level = "standard",
    answers: Annotated[
        list[str] | None,
        typer.Option(
            "--answer", help="What a doubtful cell means, like 'Bass = double bass'; '-' leaves it out."
        ),
    ] = None,
    ask: Annotated[
        bool, typer.Option("--ask/--no-ask", help="Ask about doubtful cells on the terminal.")
    ] = True,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace a section file; its answers, its plan and its test are kept."),
    ] = False,
    quiet: options.Quiet = False,
) -> None:
    """Write a section file from a roster; what is doubtful is asked about once and kept."""
    hush(quiet)
    if is_there(out) and not force:
        raise RequestError(
            f"{out} is there already; --force replaces it and keeps its answers, its plan and its test"
        )
    known = list(kept_answers(out)) if force else []
    found = roster_section(roster, known, level)
    given = [_given(text, found) for text in answers or ()]
    if given:
        known = _with(known, given)
        found = roster_section(roster, known, level)
    tell(Message(f"{roster.name}: {line}") for line in found.remarks)
    if ask and found.doubts and sys.stdin.isatty():
        known = _with(known, _asked(found))
        found = roster_section(roster, known, level)
    tell(Message(f"{roster.name}, {doubt.words}", loud=True) for doubt in found.doubts)
    put_out(keep_section(replace(found, title=title or found.title), out))
    people = len({chair.person for chair in found.chairs if chair.person})
    remark(
        f"{count(len(found.chairs), 'part')} for {count(people, 'player')}; look it over, then print with:"
    )
    remark(f'  scalewright handout "concert B-flat major" --section {out}')
    if found.doubts:
        remark(f"still open: {count(len(found.doubts), 'cell')}; they stand in {out} as comments")


def _with(known: Sequence[Answer], more: Sequence[Answer]) -> list[Answer]:
    """Answers, the later of two about the same words."""
    return list({(a.field, a.said.casefold()): a for a in (*known, *more)}.values())


def _given(text: str, found: Section) -> Answer:
    """An answer from an option."""
    said, sign, means = (part.strip() for part in text.partition("="))
    if not (sign and said and means):
        raise RequestError(
            f"--answer {shown(text)}: write what the roster says = what it means, like 'Bass = tuba'"
        )
    doubt = next(
        (d for d in found.doubts if d.said.casefold() == said.casefold()), Doubt(0, "", "instrument", said)
    )
    return answer_to(doubt, means)


def _asked(found: Section) -> list[Answer]:
    """Ask about each doubtful cell; who ends the input leaves the rest open."""
    open_ = [doubts for doubts in questions(found) if doubts[0].said]
    if not open_:
        return []
    remark(
        f"{count(len(open_), 'cell')} in doubt: a number, a name, Enter for the first, - to leave the line out"
    )
    for line in _table(open_):
        remark(line)
    answers: list[Answer] = []
    try:
        for doubts in open_:
            answer = _one(doubts[0])
            if answer:
                answers.append(answer)
    except EOFError:
        remark("")
    return answers


def _table(open_: Sequence[Sequence[Doubt]]) -> Iterator[str]:
    """A line for each question: what is said, on which lines, and what it may mean."""
    rows = [(shown(d[0].said, 24), _where(d), _likely(d[0])) for d in open_]
    widths = [max(len(row[column]) for row in rows) for column in range(2)]
    for said, where, likely in rows:
        yield f"  {said:<{widths[0]}}  {where:<{widths[1]}}  {likely}".rstrip()


def _where(doubts: Sequence[Doubt]) -> str:
    told = ", ".join(f"{d.line} {clipped(d.person, 20)}".strip() for d in doubts[:_MOST_NAMED])
    more = f" and {len(doubts) - _MOST_NAMED} more" if doubts[_MOST_NAMED:] else ""
    return f"line{'s' if doubts[1:] else ''} {told}{more}"


def _likely(doubt: Doubt) -> str:
    return "  ".join(f"{n} {name}" for n, name in enumerate(doubt.likely, 1)) or doubt.reason


def _one(doubt: Doubt) -> Answer | None:
    """The answer to one question, or None to leave it open."""
    usual = doubt.likely[0] if doubt.likely else ""
    while True:
        end = f" [{usual}]" if usual else " [leave it open]"
        print(f"{shown(doubt.said)}, {doubt.field}{end}: ", end="", file=sys.stderr, flush=True)
        word = input().strip() or usual
        if not word:
            return None
        try:
            return answer_to(doubt, word)
        except RequestError as error:
            say(str(error))
