"""A laid-out sheet as LilyPond text. The only module that fills templates.

Templates print nothing but `Ly` and whole numbers; a person's words pass `ly_string`. The finished text is
read once more by the second lock before it goes anywhere.
"""

from collections.abc import Mapping, Sequence
from functools import lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any

from generator.engraving import music
from generator.engraving.escape import Ly, finalize, ly_string
from generator.engraving.inspect_text import check
from generator.engraving.manner import INCREMENT, page_setup
from generator.errors import OutputError
from generator.files.loading import loading
from generator.pages.paper import MM_PER_POINT
from generator.pages.sheet import SheetItem, SheetLayout

# Between the words beside a line and its staff, in staff spaces.
BESIDE_GAP = 1.2

if TYPE_CHECKING:
    from jinja2 import Environment  # noqa: TID251


@lru_cache(maxsize=4)
@loading()
def _environment(folder: Path) -> "Environment":
    # Imported here, because by now LilyPond is starting up beside us and the time costs nothing.
    from jinja2 import Environment, FileSystemLoader, StrictUndefined  # noqa: PLC0415, TID251

    return Environment(
        loader=FileSystemLoader(folder),
        block_start_string="[%",
        block_end_string="%]",
        variable_start_string="[[",
        variable_end_string="]]",
        comment_start_string="[#",
        comment_end_string="#]",
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
        undefined=StrictUndefined,
        finalize=finalize,
        # The output is LilyPond, not HTML; `finalize` refuses whatever was not escaped for LilyPond.
        autoescape=False,  # noqa: S701
        auto_reload=False,
    )


def render(sheet: SheetLayout, folder: Path, *, sounds: Ly | None = None) -> str:
    """The text of a sheet.

    Args:
        sheet: laid out.
        folder: where the templates are.
        sounds: a transposition, when LilyPond is to write MIDI as well.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
    """
    return filled("sheet.ly.j2", page_context(sheet, sounds=sounds), folder)


def render_clips(sheet: SheetLayout, outputs: Sequence[str], folder: Path) -> str:
    """The text of a sheet whose exercises become pictures of their own: the music alone, without headings.

    Args:
        sheet: laid out.
        outputs: a stem for each exercise.
        folder: where the templates are.

    Raises:
        EngravingError: as `render`.
    """
    items = [
        {**_item(item, sheet, None), "output": ly_string(o)}
        for item, o in zip(sheet.items, outputs, strict=True)
    ]
    context = {**page_context(sheet), "items": items}
    return filled("clips.ly.j2", context, folder)


def filled(
    template: str, context: Mapping[str, Any], folder: Path, words: frozenset[str] = music.WORDS
) -> str:
    """A template with its fields filled in, read once more by the second lock.

    Args:
        template: file name.
        context: fields; nothing but `Ly` and whole numbers may be printed.
        folder: where the templates are.
        words: backslash words the text may hold.

    Raises:
        EngravingError: the second lock found something no page of ours uses.
        OutputError: this installation lacks the template.
    """
    try:
        text = _environment(folder).get_template(template).render(context)
    except OSError as problem:  # as the library says that a template is not there
        raise OutputError(
            f"{problem} is missing from this installation; install scalewright again"
        ) from problem
    check(text, words)
    return text


def page_context(sheet: SheetLayout, *, sounds: Ly | None = None) -> dict[str, Any]:
    """The fields of a sheet as its template reads them."""
    words = sheet.words
    return {
        **page_setup(sheet.paper),
        "title": ly_string(signs(words.title)),
        "subtitle": ly_string(signs(words.subtitle)),
        "instrument": ly_string(signs(words.instrument)),
        "date": ly_string(words.date),
        "remark": ly_string(words.remark, 400),
        "footer": ly_string(words.footer),
        "strip": ly_string("|".join(words.strip)),
        "ragged": Ly("##f" if sheet.stretched else "##t"),
        "count": Ly(f"page-count = #{sheet.pages}") if sheet.pages else Ly(""),
        "midi": sounds is not None,
        "rows": _rows(sheet, sounds),
    }


def _rows(sheet: SheetLayout, sounds: Ly | None) -> list[dict[str, Any]]:
    """What stands under one another: exercises, and rows of outlines side by side."""
    rows: list[dict[str, Any]] = []
    for item in sheet.items:
        told = _item(item, sheet, sounds)
        beside = item.outline and sheet.columns > 1
        row = rows[-1]["outlines"] if rows and beside and not item.new_page else []
        if 0 < len(row) < sheet.columns:
            row.append(told)
            rows[-1]["free"] = told["free"]
        else:
            rows.append({**told, "item": told, "outlines": [told] if beside else []})
    return rows


def _item(item: SheetItem, sheet: SheetLayout, sounds: Ly | None) -> dict[str, Any]:
    exercise = item.exercise
    lines = item.layout.lines
    metre = lines[0][0].metre
    opening = music.opening(
        exercise.clef,
        exercise.signature,
        metre,
        ottava=exercise.ottava,
        feel="" if item.outline else exercise.feel,
    )
    beat = exercise.beat
    return {
        "new_page": item.new_page,
        "may_part": item.may_part,
        "free": Ly(f"{item.filler:.1f}") if item.filler else None,
        "section": ly_string(item.section),
        "number": ly_string(f"{item.number}." if item.number else ""),
        "heading": ly_string(signs(item.heading)),
        "concert": ly_string(f"({signs(item.concert)})" if item.concert else ""),
        "reason": ly_string(signs(item.reason), 400),
        "ticks": ly_string(item.ticks),
        "tally": ly_string("_" if item.tally else ""),
        "dip": Ly(f"{item.dip:.1f}"),
        "opening": Ly(f"{sounds} {opening}") if sounds else opening,
        "metre_hidden": not exercise.metre_shown,
        "keys_alone": any(piece.signature is not None for line in lines for piece in line),
        "beneath": [(ly_string(heading), ly_string(row, 600)) for heading, row in exercise.beneath],
        "lines": [music.outline_text(lines[0][0])]
        if item.outline
        else music.line_texts(lines, exercise.repeats, exercise.digits, item.page_starts),
        "marks": None if item.outline else music.mark_line(lines),
        "chords": None if item.outline else music.chord_line(lines),
        "long": exercise.long and not item.outline,
        "syllables": None
        if item.outline
        else music.syllable_texts(n for line in lines for p in line for n in p.notes),
        "fingers": None
        if item.outline or exercise.digits
        else music.finger_texts(n for line in lines for p in line for n in p.notes),
        "names": music.name_texts(n for line in lines for p in line for n in p.notes)
        if item.named and not item.outline
        else None,
        "left": _left(item),
        "beside": _beside(item, sheet),
        "width": _width(item, sheet),
        "tempo": Ly(f"{beat} = {exercise.tempo.bpm if exercise.tempo else 72}"),
    }


def _left(item: SheetItem) -> dict[str, Any] | None:
    """The staff of the left hand, where hands are together."""
    left, lines = item.exercise.left, item.left
    if left is None or not lines:
        return None
    opening = music.opening(left.clef, left.signature, lines[0][0].metre)
    return {"opening": opening, "lines": music.line_texts(lines, left.repeats, left.digits, item.page_starts)}


def _beside(item: SheetItem, sheet: SheetLayout) -> Ly | None:
    """What stands beside the line, where no heading stands over it: its room, then number, key and tempi."""
    if not item.beside:
        return None
    heading = f"{item.number}. {signs(item.heading)}" if item.number else signs(item.heading)
    concert = f"({signs(item.concert)})" if item.concert else ""
    return Ly(
        f"#{sheet.column - BESIDE_GAP:.2f} {ly_string(heading)} {ly_string(concert)} {ly_string(item.ticks)}"
    )


def _width(item: SheetItem, sheet: SheetLayout) -> Ly:
    space = sheet.paper.staff * MM_PER_POINT / 4
    if item.beside:
        indent, whole = sheet.column * space, (sheet.column + item.layout.length) * space
        return Ly(rf"indent = {indent:.2f}\mm line-width = {whole:.2f}\mm")
    if item.layout.short_end:
        increment = INCREMENT * sheet.paper.reader.spacing * item.layout.spread
        spacing = rf"\context {{ \Score \override SpacingSpanner.spacing-increment = #{increment:.3f} }}"
        return Ly(f"ragged-last = ##t {spacing}")
    if item.layout.length >= sheet.paper.line:
        return Ly("")
    return Ly(rf"line-width = {item.layout.length * space:.2f}\mm")


def signs(text: str) -> str:
    """``B-flat`` with its sign, as printed pages have it."""
    for letter in "ABCDEFG":
        text = text.replace(f"{letter}-flat", f"{letter}♭").replace(f"{letter}-sharp", f"{letter}♯")
    return text


__all__ = ["filled", "page_context", "render", "signs"]
