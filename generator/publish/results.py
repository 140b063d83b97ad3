"""The results of a playing test: the mark book with totals and places as CSV, and a table to print."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import groupby

from generator.documents.marks_file import MarkLine
from generator.engraving.cache import Cache
from generator.engraving.parallel import Job, engrave_all
from generator.engraving.render_score import includes, render_tables
from generator.files.resources import data_folder
from generator.pages.paper import Paper
from generator.pages.sheet import Words
from generator.pages.tables import Block, TablePage, parted
from generator.publish.mark_book import as_table
from generator.section.marks import MarksAdded, Placed, number, per_cent

ADDED = ("Total", "Of", "Per cent", "Place", "Place on the instrument", "State")
_ROWS = 40
_PER_CENT_RULE = "Places go by per cent of what each could have; = means that others have the same."


@dataclass(frozen=True, slots=True)
class ResultsOrder:
    """How results are to be printed.

    Attributes:
        title: over the table.
        paper: letter or a4.
        cache: where finished pages are kept.
    """

    title: str = "Results"
    paper: str = "letter"
    cache: Cache = field(default_factory=Cache.nothing)


def results_table(standing: MarksAdded) -> bytes:
    """Every line of the book as it was, in its order, with totals and places behind."""
    book = standing.book
    kept = [n for n, title in enumerate(book.titles) if title not in ADDED]
    width = max((len(p.marked.line.cells) for p in standing.placed), default=0)
    kept += range(len(book.titles), width)
    titles = [book.titles[n] if n < len(book.titles) else "" for n in kept]
    names = not any(title.casefold() == "name" for title in titles) and any(
        p.marked.line.name for p in standing.placed
    )
    rows: list[Sequence[object]] = [(*(("Name", "Chair") if names else ()), *titles, *ADDED)]
    for one in standing.placed:
        line = one.marked.line
        cells = [line.cells[n] if n < len(line.cells) else "" for n in kept]
        who = (line.name, line.chair) if names else ()
        rows.append((*who, *map(_plain, cells), *_added(one)))
    return as_table(rows)


def _plain(cell: str) -> object:
    """A whole number as a number, so that spreadsheets can add."""
    return (
        int(cell) if cell.isascii() and cell.isdigit() and len(cell) < 5 and str(int(cell)) == cell else cell
    )


def _added(one: Placed) -> tuple[object, ...]:
    marked = one.marked
    if marked.state == "absent":
        return ("", number(marked.out_of), "", "", "", "absent")
    if marked.state == "open":
        missing = f"missing: {', '.join(marked.missing)}" if marked.missing else "a mark is wrong"
        return (number(marked.total), number(marked.out_of), "", "", "", missing)
    total, out_of, share = _numbers(one)
    return (total, out_of, share, place(one.place, tied=one.tied), place(one.seat, tied=one.seat_tied), "")


def _numbers(one: Placed) -> tuple[str, str, str]:
    marked = one.marked
    return number(marked.total), number(marked.out_of), per_cent(marked.share)


def place(which: int, *, tied: bool) -> str:
    """A place, with a sign where others share it.

    >>> place(2, tied=True), place(1, tied=False), place(0, tied=False)
    ('2=', '1', '')
    """
    return f"{which or ''}{'=' if tied else ''}"


def results_page(standing: MarksAdded, title: str) -> TablePage:
    """The table to print: places, seats by instrument, means, who was absent, what is still open."""
    blocks = [*_order(standing), *_seats(standing), *_means(standing), *_rest(standing)]
    count = len(standing.placed)
    words = Words(title, "Results", subtitle=f"{count} candidate{'' if count == 1 else 's'}")
    return TablePage("results", words, tuple(blocks), "Date 14")


def _who(line: MarkLine) -> str:
    return " ".join(
        w for w in (f"{line.number}." if line.number and line.name else line.number, line.name) if w
    )


def _order(standing: MarksAdded) -> Iterator[Block]:
    rows = [("Place", "Name", "Chair", "Instrument", "Total", "Of", "Per cent")]
    rows += [
        (place(p.place, tied=p.tied), _who(line), line.chair, line.instrument, *_numbers(p))
        for p in standing.of("marked")
        if (line := p.marked.line)
    ]
    for n, part in enumerate(parted(rows, _ROWS)):
        yield Block("" if n else "All", "" if n else _PER_CENT_RULE, (8, 32, 26, 24, 9, 8, 10), part)


def _seats(standing: MarksAdded) -> Iterator[Block]:
    """The order within each instrument, where there are two or more of one."""
    found = sorted(
        (p for p in standing.of("marked") if p.marked.line.instrument),
        key=lambda p: (p.marked.line.instrument.casefold(), p.seat),
    )
    rows = [("Instrument", "Seat", "Name", "Chair now", "Per cent")]
    for _, some in groupby(found, key=lambda p: p.marked.line.instrument.casefold()):
        same = list(some)
        if len(same) > 1:
            rows += [
                (p.marked.line.instrument, place(p.seat, tied=p.seat_tied), _who(p.marked.line),
                 p.marked.line.chair, per_cent(p.marked.share))
                for p in same
            ]  # fmt: skip
    if len(rows) > 1:
        for n, part in enumerate(parted(rows, _ROWS)):
            yield Block("" if n else "On each instrument", "", (26, 8, 34, 28, 10), part)


def _means(standing: MarksAdded) -> Iterator[Block]:
    rows = [("What was marked", "Mean", "Of", "Per cent", "Marked")]
    rows += [
        (m.column.heading, number(m.mean), number(m.column.best), per_cent(m.share), str(m.count))
        for m in standing.means
        if m.count
    ]
    if len(rows) > 1:
        for n, part in enumerate(parted(rows, _ROWS)):
            yield Block("" if n else "How it went", "", (50, 10, 8, 10, 10), part)


def _rest(standing: MarksAdded) -> Iterator[Block]:
    absent = [p.marked.line for p in standing.of("absent")]
    if absent:
        rows = [
            ("Absent", "Chair", "Instrument"),
            *((_who(one), one.chair, one.instrument) for one in absent),
        ]
        for part in parted(rows, _ROWS):
            yield Block(widths=(34, 30, 28), rows=part)
    wrong: dict[int, list[str]] = {}
    for fault in standing.faults:
        wrong.setdefault(fault.line, []).append(": ".join(w for w in (fault.column, fault.reason) if w))
    wanting = [("Not placed yet", "What is wanting")]
    for p in standing.of("open"):
        reasons = [f"missing: {', '.join(p.marked.missing)}"] if p.marked.missing else []
        reasons += wrong.get(p.marked.line.line, [])
        wanting.append((p.marked.line.who, "; ".join(reasons)[:110]))
    if len(wanting) > 1:
        for part in parted(wanting, _ROWS):
            yield Block(widths=(34, 66), rows=part)


def printed(standing: MarksAdded, order: ResultsOrder) -> tuple[bytes, tuple[str, ...]]:
    """The table as PDF, and lines for the person.

    Raises:
        MachineError: LilyPond failed.
    """
    templates = data_folder("templates")
    paper = Paper.of(order.paper, "small")
    page = results_page(standing, order.title)
    job = Job(partial(render_tables, [page], paper, templates), (page.output,))
    files, warnings = engrave_all([job], includes(templates), ("pdf",), lambda _done, _all: None, order.cache)
    return files[f"{page.output}.pdf"], warnings
