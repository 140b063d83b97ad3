"""What was typed after ``scalewright drill``."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class AskedDrill:
    """What was typed, by the names of the options."""

    passage: str | None
    bars: str
    part: str
    notes: str
    key: str
    goal: int | None
    hard: str
    only: str
    instrument: str | None
    level: str
    low: str | None
    high: str | None
    out: Path
    formats: str
    paper: str
    print_size: str
    title: str
    note: str
    home: Path | None
    no_cache: bool
