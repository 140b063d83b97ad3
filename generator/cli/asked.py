"""The options of ``scalewright handout``, gathered."""

from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Asked:
    """The options of one call, as they were typed.

    Attributes:
        phrases: what to play.
        section: file of chairs.
        instruments: chairs in one line.
        roster: file of players.
        level: for chairs that name none.
        levels: the page at several levels, with commas.
        own_range: not together.
        exact: refuse a narrower span.
        keys: fewest, sharps or flats.
        warm_up: minutes, 0 for none.
        test: a playing test.
        score: whether there is one.
        concert_score: at concert pitch.
        two_sided: every copy on a sheet of its own.
        export: CSV file to write.
        out: folder.
        formats: with commas.
        paper: name.
        size: print size.
        title: own title.
        note: own line.
        no_cache: engrave anew.
        quiet: say nothing but errors.
    """

    phrases: tuple[str, ...]
    section: Path | None
    instruments: str
    roster: Path | None
    level: str
    levels: str
    own_range: bool
    exact: bool
    keys: str
    warm_up: int
    test: bool
    score: bool
    concert_score: bool
    two_sided: bool
    export: Path | None
    out: Path
    formats: str
    paper: str
    size: str
    title: str
    note: str
    no_cache: bool
    quiet: bool
