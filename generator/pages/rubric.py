"""Pages for a playing test: score sheets for a class, what the marks mean, and who has which number.

Rows of the rubric (pitches, pulse, tone, articulation) and levels told by counts of slips recur in published rubrics:
none, one or two, three or four, more. Octave points follow the Georgia Music Educators Association.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from generator.pages.sheet import Words
from generator.pages.tables import Block, TablePage, parted

BEST = 4
_COUNTS = ("no slip", "1 or 2 slips", "3 or 4 slips", "more than 4 slips")
OCTAVE_POINTS = "Georgia Music Educators Association, all-state audition form, middle school"
"""Where octave points are from."""
SLIP_COUNTS = "rows and levels as published school rubrics have them"
# More columns than these share one, and more than those need the paper on its long side.
_MOST_COLUMNS, _MOST_UPRIGHT = 15, 6
# Lines below the heading: high enough to write on, few enough for the lower of both papers with a title.
_LINES, _LINES_LANDSCAPE = 31, 21
_LINE_HEIGHT, _MOST_LISTED, _READ_COLUMNS, _READ_LINES = 4.7, 540, 6, 40


@dataclass(frozen=True, slots=True)
class RubricRow:
    """A row of the rubric.

    Attributes:
        name: what is marked.
        slip: what counts as a slip.
        counts: how many slips each mark stands for, in words.
        marks: the marks, best first.
    """

    name: str
    slip: str
    counts: tuple[str, ...] = _COUNTS
    marks: tuple[int, ...] = (4, 3, 2, 1)

    @property
    def best(self) -> int:
        """The best mark."""
        return self.marks[0]


ROWS = (
    RubricRow("Pitches", "a wrong note, or the wrong accidental"),
    RubricRow("Pulse", "a stop, a hurried or dragged beat, a wrong note value"),
    RubricRow("Tone", "a note that cracks, chokes or is clearly out of tune"),
    RubricRow("Articulation", "a slur, a mark or the start of a note not as printed"),
)
DRUM_ROWS = (
    RubricRow("Rhythm", "a wrong note value, a stroke too many or too few"),
    ROWS[1],
    RubricRow("Sticking", "a hand other than the printed one"),
    RubricRow("Evenness", "a stroke that is clearly louder or softer than it should be"),
)
"""Percussion without a pitch is marked for what it has (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Column:
    """What is marked: a scale of the test, or a row of the rubric.

    Attributes:
        number: of a scale, as on the candidates' sheets; 0 for a row of the rubric.
        heading: in concert terms.
        best: most points anybody can have in it.
        row: of the rubric, or None.
    """

    number: int
    heading: str
    best: int
    row: RubricRow | None = None

    @property
    def title(self) -> str:
        """At the head of a table with room: ``1. Concert F major (4)``."""
        return f"{f'{self.number}. ' if self.number else ''}{self.heading} ({self.best})"

    @property
    def short(self) -> str:
        """At the head of a narrow column."""
        return f"{self.number or self.heading} ({self.best})"


@dataclass(frozen=True, slots=True)
class ScoreLine:
    """One candidate.

    Attributes:
        name: who it is, or a number; "" to be filled in.
        chair: what the chair is called; "" where a number stands for the name.
        instrument: name of the instrument.
        most: points they can have in each column; None where it is not asked of them.
    """

    name: str
    chair: str
    instrument: str
    most: tuple[int | None, ...]

    @property
    def seat(self) -> str:
        """Chair and instrument, each said once.

        >>> ScoreLine("", "2nd Clarinet", "Clarinet in B-flat", ()).seat
        '2nd Clarinet'
        >>> ScoreLine("", "Concertmaster", "Violin", ()).seat, ScoreLine("", "Alto Sax", "Alto Saxophone", ()).seat
        ('Concertmaster, Violin', 'Alto Sax')
        """
        if not self.chair:
            return self.instrument
        plain, chair = self.instrument.split(" in ")[0], self.chair.casefold()
        says = plain.casefold() in chair or chair in plain.casefold()
        return self.chair if says else f"{self.chair}, {plain}"

    @property
    def total(self) -> int:
        """The most they can have in all.

        >>> ScoreLine("Ada", "1st Flute", "flute", (4, None, 3)).total
        7
        """
        return sum(points or 0 for points in self.most)


@dataclass(frozen=True, slots=True)
class ScoreTable:
    """Candidates of whom the same is asked.

    Attributes:
        columns: what is marked, scales first.
        lines: the candidates, in order, with as many points as columns.
    """

    columns: tuple[Column, ...]
    lines: tuple[ScoreLine, ...]

    @property
    def total(self) -> int:
        """The most anybody can have."""
        return sum(column.best for column in self.columns)

    @property
    def narrow(self) -> "ScoreTable":
        """The same with one column for all scales, where there are more than fit side by side."""
        scales = [n for n, column in enumerate(self.columns) if column.number]
        if len(scales) <= _MOST_COLUMNS:
            return self
        rest = tuple(n for n in range(len(self.columns)) if n not in scales)
        best = sum(self.columns[n].best for n in scales)
        lines = tuple(
            ScoreLine(
                line.name,
                line.chair,
                line.instrument,
                (sum(line.most[n] or 0 for n in scales), *(line.most[n] for n in rest)),
            )
            for line in self.lines
        )
        return ScoreTable(
            (Column(0, f"Scales 1 to {len(scales)}", best), *(self.columns[n] for n in rest)), lines
        )


def wide(tables: Sequence[ScoreTable]) -> bool:
    """Whether the score sheets need the paper on its long side."""
    return any(sum(bool(c.number) for c in table.narrow.columns) > _MOST_UPRIGHT for table in tables)


def score_sheets(tables: Sequence[ScoreTable], title: str, footer: str, *, numbered: bool) -> TablePage:
    """A line for each candidate, a column for each scale and each row of the rubric; as many pages as it takes.

    Args:
        tables: candidates by what is asked of them.
        title: of the test.
        footer: at the foot of the pages.
        numbered: candidates have numbers in place of names.
    """
    lines = _LINES_LANDSCAPE if wide(tables) else _LINES
    blocks = [block for table in tables for block in _sheet(table.narrow, lines, numbered=numbered)]
    return TablePage(
        "score-sheet", Words(title, "Score sheet", footer=footer), tuple(blocks), "Judge 26|Date 14"
    )


def _sheet(table: ScoreTable, most: int, *, numbered: bool) -> Iterator[Block]:
    who = ("No.", "Instrument") if numbered else ("Name", "Chair")
    head = (*who, *(column.short for column in table.columns), f"Total ({table.total})")
    rows = [head]
    for line in table.lines:
        own = (_own(points, c.best) for points, c in zip(line.most, table.columns, strict=True))
        total = f"/{line.total}" if line.total != table.total else ""
        rows.append((line.name, line.seat, *own, total))
    marks = (9 if column.number else max(10, 2 + 17 * len(column.heading) // 10) for column in table.columns)
    widths = (*((7, 30) if numbered else (28, 26)), *marks, 10)
    listed = "; ".join(c.title.replace(". ", ": ", 1) for c in table.columns if c.number)
    fits = len(listed) < _MOST_LISTED
    told = f"{listed}." if fits else "What each number stands for is on the page of the marks."
    if any(
        points != c.best for line in table.lines for points, c in zip(line.most, table.columns, strict=True)
    ):
        told += (
            " /2: at most 2 points there, for want of notes; –: not asked. Totals are compared in per cent."
        )
    for part in parted(rows, most):
        yield Block(text=told, widths=widths, rows=part, least=_LINE_HEIGHT)


def _own(points: int | None, best: int) -> str:
    return "–" if points is None else "" if points == best else f"/{points}"


def rubric(
    tables: Sequence[ScoreTable],
    reads: Sequence[tuple[str, tuple[tuple[int, str], ...]]],
    title: str,
    footer: str,
    sources: Sequence[str],
) -> TablePage:
    """What the marks mean, to lie beside the score sheets.

    Args:
        tables: candidates by what is asked of them.
        reads: each instrument with the numbers it is asked, and what it reads there.
        title: of the test.
        footer: at the foot of the page.
        sources: where points and rows are from, a sentence each.
    """
    blocks: list[Block] = []
    for table in tables:
        rows = tuple(column.row for column in table.columns if column.row)
        for marks in dict.fromkeys(row.marks for row in rows):
            block = _marks(tuple(row for row in rows if row.marks == marks), first=not blocks)
            if block.rows not in [other.rows for other in blocks]:
                blocks.append(block)
    scales = dict.fromkeys(column for table in tables for column in table.columns if column.number)
    points = [("No.", "Scale", "Points"), *((str(s.number), s.heading, str(s.best)) for s in scales)]
    for number, part in enumerate(parted(points, _READ_LINES)):
        words = " ".join(sources)
        blocks.append(Block("" if number else "Points", "" if number else words, (6, 60, 12), part))
    fair = Block(
        heading="The same for everyone",
        text="Read the same words to each: when to begin, from memory or not, how fast. Name scales as the candidate "
        "reads them: the printed key is the written one. Each plays the complete octaves of their own notes.",
    )
    return TablePage(
        "rubric", Words(title, "What the marks mean", footer=footer), (*blocks, fair, *_as_read(reads))
    )


def _marks(rows: Sequence[RubricRow], *, first: bool) -> Block:
    """Rows that have the same marks."""
    marks = rows[0].marks
    same = [row for row in rows if len(row.counts) == len(marks)]
    return Block(
        heading="Marks" if first else "",
        text="Count slips over the whole test, and give one mark for each row." if first else "",
        widths=(13, 33, *(max(9, *(len(r.counts[n]) for r in same)) for n in range(len(marks)))),
        rows=(("", "A slip is", *map(str, marks)), *((row.name, row.slip, *row.counts) for row in same)),
        least=4.0,
    )


def _as_read(reads: Sequence[tuple[str, tuple[tuple[int, str], ...]]]) -> Iterator[Block]:
    """Keys as each instrument reads them, so many numbers side by side as are easy to follow."""
    numbers = sorted({number for _, keys in reads for number, _ in keys})
    for start in range(0, len(numbers), _READ_COLUMNS):
        some = numbers[start : start + _READ_COLUMNS]
        rows = [("Instrument", *map(str, some))]
        rows += [(name, *(dict(keys).get(number, "") for number in some)) for name, keys in reads]
        for number, part in enumerate(parted(rows, _READ_LINES)):
            yield Block(
                heading="" if start or number else "As each instrument reads it, with the points it can have",
                widths=(28, *(16 for _ in some)),
                rows=part,
            )


def secret_list(rows: Sequence[tuple[str, str, str, str]], title: str, told: str) -> TablePage:
    """Who has which number: a page apart, for whoever deals the numbers alone.

    Args:
        rows: number, name, chair and instrument.
        title: of the test.
        told: how they were dealt.
    """
    table = [("No.", "Name", "Chair", "Instrument"), *rows]
    blocks = [
        Block(text="" if n else told, widths=(7, 34, 30, 30), rows=part)
        for n, part in enumerate(parted(table, _READ_LINES + 4))
    ]
    return TablePage("who-is-who", Words(title, "Who is who", subtitle="Keep this page apart"), tuple(blocks))
