"""Marks read back: a filled mark book added up, as CSV and as a table to print."""

from dataclasses import dataclass
from pathlib import Path

from generator.documents.marks_file import named, read_marks, read_names
from generator.files.atomic import place_in
from generator.files.text import slug
from generator.publish.results import ResultsOrder, printed, results_table
from generator.section.marks import MarksAdded, added_up


@dataclass(frozen=True, slots=True)
class MarksResult:
    """What was found and written.

    Attributes:
        paths: the files.
        standing: the marks added up.
        unknown: numbers without a name in the list of numbers.
        warnings: lines for the person.
    """

    paths: tuple[Path, ...]
    standing: MarksAdded
    unknown: tuple[str, ...]
    warnings: tuple[str, ...]


def add_up(
    book: Path,
    out: Path,
    *,
    names: Path | None = None,
    formats: tuple[str, ...] = ("csv", "pdf"),
    order: ResultsOrder | None = None,
) -> MarksResult:
    """Add a filled mark book up.

    Args:
        book: the file: .xlsx, or CSV in any encoding.
        out: folder for the results.
        names: the list that says who has which number.
        formats: csv, pdf or both.
        order: how the table is printed.

    Raises:
        BadFileError: a file is no such table.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    marks = read_marks(book)
    unknown: tuple[str, ...] = ()
    if names:
        marks, unknown = named(marks, read_names(names))
    standing = added_up(marks)
    stem = f"{slug(book.stem, 48)}-results"
    files: dict[str, bytes] = {}
    warnings: tuple[str, ...] = ()
    if "csv" in formats:
        files[f"{stem}.csv"] = results_table(standing)
    if "pdf" in formats:
        files[f"{stem}.pdf"], warnings = printed(standing, order or ResultsOrder())
    return MarksResult(place_in(out, files), standing, unknown, warnings)
