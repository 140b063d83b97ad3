"""Percussion without a definite pitch, as instruments that read rhythm on one line."""

import tomllib
from pathlib import Path

from generator.catalogue.tables import LEVELS, Table
from generator.errors import BadFileError, OutputError
from generator.exercise.instrument import Compass, Instrument
from generator.theory.interval import UNISON
from generator.theory.pitch import Pitch

UNPITCHED = "unpitched"
PERCUSSION_CLEF = "percussion"
# The line of a one-line staff: LilyPond's percussion clef has middle C there.
LINE = Pitch.parse("C4")


def all_instruments(pitched: Table[Instrument], folder: Path) -> Table[Instrument]:
    """Pitched instruments and those of percussion.toml, in score order.

    Raises:
        BadFileError: a row has mistakes.
        OutputError: the file is missing.
    """
    path = folder / "percussion.toml"
    try:
        rows = tomllib.loads(path.read_text("utf-8")).get("percussion", [])
    except OSError as error:
        raise OutputError(f"cannot read {path}: {error.strerror}") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        raise BadFileError(f"{path.name}: {error}") from None
    compass = Compass(LINE, LINE, "one line")
    try:
        found = [
            Instrument(
                name=row["name"],
                label=row["label"],
                short=row["short"],
                family="percussion",
                wind=UNPITCHED,
                order=int(row["order"]),
                sounds=UNISON,
                clefs=(PERCUSSION_CLEF,),
                ottava=False,
                levels=tuple((level, compass) for level in LEVELS),
                aliases=tuple(row["aliases"]),
            )
            for row in rows
        ]
    except (KeyError, TypeError, ValueError) as error:
        raise BadFileError(
            f"{path.name}: a row needs name, label, short, aliases and order ({error})"
        ) from None
    return Table("instrument", tuple(sorted((*pitched.rows, *found), key=lambda i: i.order)))
