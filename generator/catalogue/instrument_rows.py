"""A row of instruments.toml or percussion.toml as an instrument."""

from generator.catalogue.rows import LEVELS, WINDS, CheckedRow, Row
from generator.exercise.clef import DRUM_SET, MIDDLE, ONE_LINE
from generator.exercise.instrument import UNPITCHED, Compass, Instrument
from generator.exercise.strokes import LINE
from generator.theory.interval import UNISON, Interval
from generator.theory.pitch import Pitch


def instrument_row(row: CheckedRow) -> Instrument:
    """An instrument."""
    row.only(
        "label",
        "short",
        "family",
        "wind",
        "order",
        "sounds",
        "clefs",
        "ottava",
        "note",
        "levels",
        "break",
        "hands",
    )
    levels = tuple((name, _compass(data)) for name, key in LEVELS.items() for data in [row["levels"][key]])
    return Instrument(
        name=row["name"],
        label=row["label"],
        short=row["short"],
        family=row["family"],
        wind=row.among("wind", WINDS),
        order=int(row["order"]),
        sounds=Interval.parse(row["sounds"]),
        clefs=tuple(row.among("clefs", MIDDLE)),
        ottava=bool(row.get("ottava", False)),
        levels=levels,
        aliases=tuple(row.get("aliases", ())),
        note=row.get("note", ""),
        over_the_break=_break(row["break"]) if "break" in row else None,
        both_hands=bool(row.get("hands", False)),
    )


def _compass(data: Row) -> Compass:
    drums = tuple(
        (Pitch.parse(low), Pitch.parse(high)) for low, high in map(str.split, data.get("drums", ()))
    )
    return Compass(Pitch.parse(data["low"]), Pitch.parse(data["high"]), data["source"], drums)


def _break(text: str) -> Compass:
    low, high = (Pitch.parse(word) for word in text.split())
    return Compass(low, high, "over the break")


def percussion_row(row: CheckedRow) -> Instrument:
    """Percussion without a definite pitch: an instrument that reads rhythm."""
    row.only("label", "short", "order")
    compass = Compass(LINE, LINE, "one line")
    return Instrument(
        name=row["name"],
        label=row["label"],
        short=row["short"],
        family="percussion",
        wind=UNPITCHED,
        order=int(row["order"]),
        sounds=UNISON,
        clefs=(DRUM_SET if row["name"] == "drum set" else ONE_LINE,),
        ottava=False,
        levels=tuple((level, compass) for level in LEVELS),
        aliases=tuple(row.get("aliases", ())),
    )
