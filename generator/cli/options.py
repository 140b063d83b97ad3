"""Options that several commands share."""

from pathlib import Path
from typing import Annotated, Any

import typer  # noqa: TID251

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
ShowMode = Annotated[str, typer.Option("--show", help="notes, outline (to play from memory) or both.")]
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

NoCache = Annotated[
    bool, typer.Option("--no-cache", help="Engrave anew; neither use nor keep finished pages.")
]

DEFAULT_INSTRUMENT = "flute"
DEFAULT: dict[str, Any] = {"out": Path("out")}
