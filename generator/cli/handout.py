"""``scalewright handout``: the same exercises for a whole section, each part in its own key, clef and range."""

from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

from generator.cli import options
from generator.cli.asked import Asked
from generator.cli.messages import hush

_FORMATS = "pdf, png, svg, ly, musicxml, midi, wav, json; several with commas."


def handout(
    phrases: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="PHRASE...", help="Like 'concert B-flat major in thirds' or 'usual band keys, major'."
        ),
    ] = None,
    section: Annotated[Path | None, typer.Option("--section", "-s", help="The chairs, a TOML file.")] = None,
    instruments: Annotated[
        str, typer.Option("--instruments", help="Chairs in one line, like 'flute, 2 clarinet, tuba'.")
    ] = "",
    roster: Annotated[
        Path | None, typer.Option("--roster", help="A CSV file: name, instrument, level; a part for each.")
    ] = None,
    level: options.Level = "standard",
    levels: Annotated[
        str, typer.Option("--levels", help="The page at several levels, same bars: 'first notes, standard'.")
    ] = "",
    own_range: Annotated[
        bool, typer.Option("--own-range/--together", help="Each plays their own range; bars do not line up.")
    ] = False,
    exact: Annotated[bool, typer.Option("--exact", help="Refuse a span that does not fit everyone.")] = False,
    keys: Annotated[
        str, typer.Option("--keys", help="Written keys: fewest signs, sharps or flats.")
    ] = "fewest",
    warm_up: Annotated[
        int, typer.Option("--warm-up", metavar="MINUTES", help="Begin with a warm-up of so many minutes.")
    ] = 0,
    test: Annotated[
        bool, typer.Option("--test", help="A playing test: numbers instead of names, a score sheet, marks.")
    ] = False,
    score: Annotated[bool, typer.Option("--score/--no-score", help="A score, transposed.")] = True,
    concert_score: Annotated[
        bool, typer.Option("--concert-score", help="The score at concert pitch.")
    ] = False,
    two_sided: Annotated[
        bool, typer.Option("--two-sided", help="Every copy begins on a sheet of its own.")
    ] = False,
    export: Annotated[
        Path | None, typer.Option("--export", help="Write who got what to this CSV file.")
    ] = None,
    out: options.Out = Path("out"),
    format_: Annotated[str, typer.Option("--format", "-f", help=_FORMATS)] = "pdf",
    paper: options.PaperSize = "letter",
    print_: options.Print = "normal",
    title: options.Title = "",
    note: options.Note = "",
    no_cache: options.NoCache = False,
    quiet: options.Quiet = False,
) -> None:
    """Print a part for every chair, a score, a cover, and everything bound together."""
    # Imported here, so that the other commands do not wait for it.
    from generator.cli.handing_out import run  # noqa: PLC0415

    hush(quiet)
    asked = Asked(
        tuple(phrases or ()), section, instruments, roster, level, levels, own_range, exact, keys, warm_up, test,
        score, concert_score, two_sided, export, out, format_, paper, print_, title, note, no_cache, quiet,
    )  # fmt: skip
    run(asked)
