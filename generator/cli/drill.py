"""``scalewright drill``: the sheet a teacher would write for a hard passage.

LilyPond is started before anything else is loaded: a drill is a short page, and half of its time would be loading.
"""

from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import options
from generator.cli.asked_drill import AskedDrill
from generator.cli.messages import hush
from generator.publish.press import engraved_of, press_for

Bars = Annotated[str, typer.Option("--bars", help="Bars of the file as printed, like 97-99.")]
Part = Annotated[str, typer.Option("--part", help="Part of a score, by name or number.")]
Notes = Annotated[
    str, typer.Option("--notes", help="A line of notes (ABC), like '[K:F][L:1/16] fgab c'\\''bag'.")
]
Key = Annotated[str, typer.Option("--key", help="Key of a MIDI file, like F or Dm.")]
Goal = Annotated[int | None, typer.Option("--goal", help="Beats a minute to work towards.")]
Hard = Annotated[str, typer.Option("--hard", help="The hard spot by bar and beat, like 99.3.")]
Source = Annotated[str, typer.Option("--source", help="Where it is from, in your words.")]
Concert = Annotated[
    bool, typer.Option("--concert", help="The notes are concert pitch, for every chair of a section.")
]


def drill_command(
    passage: Annotated[
        str | None,
        typer.Argument(
            metavar="[FILE | NAME]", help="A file of music, or a passage you keep, like 'scherzo, chunks'."
        ),
    ] = None,
    bars: Bars = "",
    part: Part = "",
    notes: Notes = "",
    key: Key = "",
    goal: Goal = None,
    hard: Hard = "",
    only: Annotated[
        str, typer.Option("--only", help="Some recipes, like 'chunks, all keys'; else all of them.")
    ] = "",
    instrument: options.Instrument = None,
    level: options.Level = "standard",
    low: options.Low = None,
    high: options.High = None,
    out: options.Out = Path("out"),
    format_: options.Format = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    title: options.Title = "",
    note: options.Note = "",
    home: options.HomeFolder = None,
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print drills for a passage of your own: chunks, joins, added notes, rhythms, articulations, all keys."""
    hush(quiet)
    asked = AskedDrill(
        passage, bars, part, notes, key, goal, hard, only, instrument, level, low, high, out, format_, paper, print_,
        title, note, home, no_cache,
    )  # fmt: skip
    with press_for(engraved_of([word.strip().casefold() for word in format_.split(",")])) as press:
        from generator.cli.drill_sheet import print_drill  # noqa: PLC0415  # while LilyPond gets ready

        print_drill(asked, press)
