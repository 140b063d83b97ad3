"""Options of the commands about daily practice: left out, the plan decides."""

from pathlib import Path
from typing import Annotated

import typer  # noqa: TID251

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
Day = Annotated[str | None, typer.Option("--date", help="A day like 2027-02-06, or yesterday.")]
Minutes = Annotated[
    int | None, typer.Option("--minutes", "-m", min=1, max=600, help="Minutes, rest included.")
]
Level = Annotated[str | None, typer.Option("--level", "-l", help="first notes, standard or extended.")]
PaperSize = Annotated[str | None, typer.Option("--paper", help="letter or a4.")]
Print = Annotated[str | None, typer.Option("--print", help="small, normal or large print.")]
ShowMode = Annotated[str | None, typer.Option("--show", help="notes, outline (to play from memory) or both.")]
