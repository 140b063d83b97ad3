"""Options that several commands share, and what their values mean."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer  # noqa: TID251

from generator.cli.messages import remark
from generator.errors import RequestError, shown

if TYPE_CHECKING:  # what an option means is loaded where it is asked, for one command starts LilyPond before
    from generator.engraving.cache import Cache
    from generator.pages.sheet import Show
    from generator.publish.fingering import HandHelp

Instrument = Annotated[
    str | None, typer.Option("--instrument", "-i", help="What you play, like 'alto saxophone'.")
]
Level = Annotated[str, typer.Option("--level", "-l", help="first notes, standard or extended.")]
Low = Annotated[str | None, typer.Option("--low", help="Your own lowest written note, like B3.")]
High = Annotated[str | None, typer.Option("--high", help="Your own highest written note, like F#6.")]
Out = Annotated[Path, typer.Option("--out", "-o", help="Folder for the files.")]
Format = Annotated[
    str,
    typer.Option("--format", "-f", help="pdf, png, svg, ly, musicxml, midi, wav, json; several with commas."),
]
PaperSize = Annotated[str, typer.Option("--paper", help="letter or a4.")]
Print = Annotated[str, typer.Option("--print", help="small, normal or large print.")]
Staff = Annotated[
    float | None,
    typer.Option("--staff", help="Height of the staff in points, 12 to 60, in place of --print."),
]
Landscape = Annotated[
    bool | None, typer.Option("--landscape/--portrait", help="The paper on its long side, or upright.")
]
ShowMode = Annotated[str, typer.Option("--show", help="notes, outline (to play from memory) or both.")]
Fingerings = Annotated[
    bool,
    typer.Option(
        "--fingerings", help="Help for the hand: valves, positions, fingers, where there is a chart."
    ),
]
Hints = Annotated[
    Path | None, typer.Option("--hints", help="Your own hints at notes, a TOML file; see the README.")
]
Title = Annotated[str, typer.Option("--title", help="A title of your own.")]
Note = Annotated[str, typer.Option("--note", help="One line under the title.")]
Click = Annotated[
    str,
    typer.Option(
        "--click", help="In midi and wav: every beat, backbeat, dropout (4 bars on, 2 off) or none."
    ),
]
Drone = Annotated[
    str, typer.Option("--drone", help="In midi and wav: none, tonic, fifth, third (pure) or equal-third.")
]
Pitch = Annotated[int, typer.Option("--pitch", help="In midi and wav: the A in Hz, 438 to 446.")]
CountIn = Annotated[int, typer.Option("--count-in", help="In midi and wav: bars counted first, 0, 1 or 2.")]
MidiEach = Annotated[
    bool, typer.Option("--midi-each", help="One midi or wav file for each exercise instead of one in all.")
]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help="Say nothing but errors.")]

RequiredListName = Annotated[
    str | None,
    typer.Option("--list", help="A required list by name (see: list lists), or a file of your own."),
]
Draw = Annotated[int, typer.Option("--draw", min=0, help="Draw so many exercises of the list.")]
Seed = Annotated[int | None, typer.Option("--seed", help="The same seed draws the same again.")]

NoCache = Annotated[
    bool, typer.Option("--no-cache", help="Engrave anew; neither use nor keep finished pages.")
]

DEFAULT_INSTRUMENT = "flute"
DEFAULT_OUT = Path("out")

# Options of the commands about daily practice: left out, the plan decides.
HomeFolder = Annotated[
    Path | None,
    typer.Option(
        "--home",
        envvar="SCALEWRIGHT_HOME",
        show_envvar=True,
        help="Folder for plan and practice log, instead of your user folders.",
    ),
]
PlanFile = Annotated[
    Path | None,
    typer.Option("--plan", help="Your plan; else plan.toml here, else the one in your user folder."),
]
StudioFile = Annotated[
    Path | None, typer.Option("--studio", help="A teacher's pupils: studio.toml, or a roster.")
]
PupilName = Annotated[str | None, typer.Option("--pupil", help="With --studio: one of the pupils.")]
Day = Annotated[str | None, typer.Option("--date", help="A day like 2027-02-06, or yesterday.")]
Together = Annotated[
    Path | None,
    typer.Option("--section", "-s", help="For a band or class, its section file: a plan and log of its own."),
]
Minutes = Annotated[
    int | None, typer.Option("--minutes", "-m", min=1, max=600, help="Minutes, rest included.")
]
PlanLevel = Annotated[str | None, typer.Option("--level", "-l", help="first notes, standard or extended.")]
PlanPaper = Annotated[str | None, typer.Option("--paper", help="letter or a4.")]
PlanPrint = Annotated[str | None, typer.Option("--print", help="small, normal or large print.")]
PlanShow = Annotated[str | None, typer.Option("--show", help="notes, outline (to play from memory) or both.")]


def show_named(word: str) -> "Show":
    """What ``--show`` asks for.

    Raises:
        RequestError: no such word.
    """
    from generator.pages.sheet import SHOWS  # noqa: PLC0415

    found = next((show for show in SHOWS if show == word), None)
    if found is None:
        raise RequestError(f"unknown --show {shown(word)}; it can be {', '.join(SHOWS)}")
    return found


def hand_help(hints: Path | None, *, fingerings: bool) -> "HandHelp | None":
    """What ``--fingerings`` and ``--hints`` ask for; None where neither is there.

    Raises:
        BadFileError: the hints have mistakes.
    """
    from generator.publish.fingering import HandHelp  # noqa: PLC0415

    if hints is None:
        return HandHelp() if fingerings else None
    # Loaded for those alone who have hints.
    from generator.catalogue.tables import shared_catalogue  # noqa: PLC0415
    from generator.documents.hints_file import read_hints  # noqa: PLC0415

    return HandHelp(charts=fingerings, hints=read_hints(hints, shared_catalogue()))


def cache(home: Path | None, *, off: bool) -> "Cache":
    """Where finished pages are kept; nowhere with ``--no-cache``, and where others could change them."""
    from generator.engraving.cache import Cache  # noqa: PLC0415

    found = Cache.nothing() if off else Cache.at(home)
    if trouble := found.trouble():
        remark(trouble)
        return Cache.nothing()
    return found
