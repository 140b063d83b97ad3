"""A sheet: exercises laid out, engraved and placed as files.

LilyPond needs a quarter of a second before it looks at the music. `press_for` starts it while the exercises are still
being chosen and built; whoever prints hands it down. Nothing here reads the clock or prints to the terminal.
"""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.engraving import lilypond
from generator.engraving.cache import Cache, CachedPage, page_key
from generator.engraving.include import ENGRAVED, house_style
from generator.engraving.lilypond import Press
from generator.engraving.render import render
from generator.engraving.result import EngravingOrder
from generator.errors import RequestError, shown
from generator.exchange.formats import FORMATS as OPEN_FORMATS
from generator.exchange.formats import Music, line_starts, open_files
from generator.exchange.playback import Playback
from generator.exercise.build import Player
from generator.exercise.caution import When
from generator.exercise.records import Exercise
from generator.files.atomic import place_in
from generator.files.resources import data_folder
from generator.files.text import slug
from generator.pages.cautions import caution
from generator.pages.paper import Paper
from generator.pages.sheet import SheetLayout, Show, Words, lay_out, shared_head, without_breaks
from generator.publish.codes import sheet_code
from generator.publish.fingering import HandHelp, help_code, helped
from generator.publish.kinds import title_of_names
from generator.publish.press import engraved_of, press_for

FORMATS = (*ENGRAVED, "ly", *OPEN_FORMATS)
_UNPAGED = frozenset({"midi", "wav", "json"})
# LilyPond's time and memory grow with a sheet; more than this belongs into a book. Of sound it is an hour and 300 MB.
MOST = 240
INSTEAD_OF_A_SHEET = f"a sheet or a sound file holds {MOST}; --book binds them as a book"
MIXED = "Scales and technique"


@dataclass(frozen=True, kw_only=True)
class SheetOrder:
    """How a sheet is to be printed.

    Attributes:
        out: folder for the files.
        formats: some of pdf, png, svg, ly, musicxml, midi, wav, json.
        paper: paper and print size.
        show: notes, outline or both.
        title: own title, or "" for one made from the request.
        subtitle: under the title.
        note: a teacher's or player's own line.
        date: printed as it is.
        playback: how MIDI and sound files are to sound.
        code: sheet code, or "" for one made from the content.
        footer: words after the code, or "" for the usual ones.
        strip: days to tick, in short.
        cache: where finished pages are kept.
        help: help for the hand at the notes, or None.
    """

    out: Path = Path("out")
    formats: tuple[str, ...] = ("pdf",)
    paper: Paper = field(default_factory=lambda: Paper.of("letter", "normal"))
    show: Show = "notes"
    title: str = ""
    subtitle: str = ""
    note: str = ""
    date: str = ""
    playback: Playback = field(default_factory=Playback)
    code: str = ""
    footer: str = ""
    strip: tuple[str, ...] = ()
    cache: Cache = field(default_factory=Cache.nothing)
    help: HandHelp | None = None


@dataclass(frozen=True, slots=True)
class Printed:
    """What was printed.

    Attributes:
        paths: files written, in order.
        code: sheet code, as in the footer.
        warnings: lines for the person.
    """

    paths: tuple[Path, ...]
    code: str
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MadeSheet:
    """A finished sheet that lies nowhere yet: content by file name, its code, and lines for the person."""

    files: Mapping[str, bytes]
    code: str
    warnings: tuple[str, ...] = ()


def parse_formats(text: str, known: Sequence[str] = FORMATS) -> tuple[str, ...]:
    """``pdf,png`` as names.

    Raises:
        RequestError: an unknown format.

    >>> parse_formats("PDF, json")
    ('pdf', 'json')
    """
    wanted = tuple(dict.fromkeys(w.strip().casefold() for w in text.split(",") if w.strip()))
    unknown = [w for w in wanted if w not in known]
    if unknown or not wanted:
        raise RequestError(
            f"unknown format {shown((unknown or [text])[0])}; the formats are {', '.join(known)}"
        )
    return wanted


def most_of(formats: Sequence[str]) -> int | None:
    """How many exercises a sheet of these formats holds; None for as many as can be built."""
    return MOST if engraved_of(formats) or "wav" in formats else None


def print_sheet(
    order: SheetOrder, player: Player, exercises: tuple[Exercise, ...], press: Press | None = None
) -> Printed:
    """Make a sheet and put its files in place: all of them or none.

    Args:
        order: how to print.
        player: for whom.
        exercises: in order.
        press: a LilyPond started with the same formats (`press_for`); without it one is started now.

    Raises:
        RequestError: more exercises than a sheet holds.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    made = make_sheet(order, player, exercises, press)
    return Printed(place_in(order.out, made.files), made.code, made.warnings)


def make_sheet(
    order: SheetOrder, player: Player, exercises: tuple[Exercise, ...], press: Press | None = None
) -> MadeSheet:
    """Lay a sheet out, engrave it, and make its files in the other formats; see `print_sheet`.

    Raises:
        RequestError: more exercises than a sheet holds.
        MachineError: LilyPond failed.
    """
    engraved = engraved_of(order.formats)
    if len(exercises) > (most_of(order.formats) or len(exercises)):
        raise RequestError(f"these are {len(exercises)} exercises; {INSTEAD_OF_A_SHEET}")
    exercises, bare = helped(exercises, player.instrument, order.help)
    title = order.title or default_title(exercises)
    code = order.code or _code(order, player, exercises, title)
    stem = f"{slug(title, 48)}-{slug(player.instrument.name, 32)}-{code.lower()}"
    templates = data_folder("templates")
    sheet, text = None, ""
    page = _EngravedPage({})
    # The data formats need no page, and laying it out takes longer than all the rest of theirs.
    if not _UNPAGED.issuperset(order.formats):
        words = _words(order, player, exercises, title, code)
        sheet = lay_out(exercises, words, order.paper, order.show, closer=True)
        text = render(sheet, templates)
        if engraved:
            with press_for(engraved, press) as ready:
                page, text = _engraved(ready, sheet, text, engraved, order.cache)
    files = {name.replace("sheet", stem, 1): data for name, data in page.files.items()}
    if "ly" in order.formats:
        files[f"{stem}.ly"] = standalone(text, house_style(templates)).encode()
    music = Music(title, player.instrument, exercises, line_starts(sheet) if sheet else ())
    files |= open_files(stem, music, order.formats, order.playback)
    return MadeSheet(files, code, (*page.warnings, *bare))


def laid_out(
    order: SheetOrder, player: Player, exercises: tuple[Exercise, ...]
) -> tuple[SheetLayout, tuple[str, ...]]:
    """A sheet on its pages, for whoever engraves many of them together, and lines for the person.

    Args:
        order: how to print.
        player: for whom.
        exercises: in order.
    """
    in_hand, bare = helped(exercises, player.instrument, order.help)
    title = order.title or default_title(in_hand)
    code = order.code or _code(order, player, in_hand, title)
    words = _words(order, player, in_hand, title, code)
    return lay_out(in_hand, words, order.paper, order.show, closer=True), bare


@dataclass(frozen=True, slots=True)
class _EngravedPage:
    """Engraved files by name, and lines for the person."""

    files: Mapping[str, bytes]
    warnings: tuple[str, ...] = ()


def _engraved(
    press: Press | None, sheet: SheetLayout, text: str, formats: tuple[str, ...], cache: Cache
) -> tuple[_EngravedPage, str]:
    """The sheet engraved, and the text it was engraved from; what is kept already is not engraved again."""
    assert press is not None  # noqa: S101  # for the type checker: these formats need one
    templates = data_folder("templates")
    shared = house_style(templates)
    order = EngravingOrder(formats)
    key = page_key(press.program, {lilypond.MAIN: text, **shared}, order)
    kept = cache.get(key, order) if key else None
    if kept is not None:
        press.cancel()
        loosened = render(without_breaks(sheet), templates) if kept.loose else text
        return _EngravedPage(kept.files), loosened
    if "png" in formats and sheet.paper.reader.tint != "none":
        # Through Cairo, LilyPond 2.24 puts the red and the blue of a PNG in each other's place.
        press.cancel()
        plain = replace(press.program, cairo=False)
        result = lilypond.engrave({lilypond.MAIN: text, **shared}, formats=formats, program=plain)
    else:
        result = press.finish(text)
    loose = result.overfull or _pages(result.files) > sheet.pages
    if loose:
        text = render(without_breaks(sheet), templates)
        result = lilypond.engrave({lilypond.MAIN: text, **shared}, formats=formats, program=result.program)
    if key and not result.warnings:  # a page with a fault is tried again: the missing font may come
        cache.put(key, CachedPage(result.files, loose))
    return _EngravedPage(result.files, result.warnings), text


def _code(order: SheetOrder, player: Player, exercises: Sequence[Exercise], title: str) -> str:
    parts = [e.phrase for e in exercises] + syllables(exercises)
    whose = (player.instrument.name, player.compass.words)
    return sheet_code([*parts, *whose, order.paper, order.show, title, order.note, *help_code(order.help)])


def syllables(exercises: Sequence[Exercise]) -> list[str]:
    """Every syllable on the page once: phrases do not tell a player's own from the usual ones."""
    return list(dict.fromkeys(n.syllable for e in exercises for b in e.bars for n in b.notes if n.syllable))


def _pages(files: Mapping[str, bytes]) -> int:
    """Pages of an engraved sheet; 0 where the PDF keeps its page objects packed."""
    pngs = sum(name.endswith(".png") for name in files)
    return max([pngs, *(len(re.findall(rb"/Type\s*/Page(?![A-Za-z])", data)) for data in files.values())])


def default_title(exercises: Sequence[Exercise]) -> str:
    """A title for a sheet: its one request, or what its requests share."""
    if any(e.recipe for e in exercises):
        # A drill is called by its phrase; its headings are those of its recipes.
        return exercises[0].phrase[:1].upper() + exercises[0].phrase[1:] if len(exercises) == 1 else MIXED
    if len({e.heading for e in exercises}) == 1:
        # The heading below says the rest.
        return exercises[0].head
    if head := shared_head(exercises):
        return head
    kinds = {(e.form, e.figure) for e in exercises}
    if len(kinds) == 1:
        ((form, figure),) = kinds
        return title_of_names(form, figure)
    return MIXED


def standalone(text: str, includes: Mapping[str, str]) -> str:
    """A page text with what it includes inside, so that the file engraves on its own."""
    for name, content in includes.items():
        text = text.replace(f'\\include "{name}"\n', content.replace('\\version "2.24.0"\n', ""))
    return text


def _words(order: SheetOrder, player: Player, exercises: Sequence[Exercise], title: str, code: str) -> Words:
    cautions = shared_catalogue().cautions.rows
    along: tuple[When, ...] = () if order.playback.drone == "none" else ("drone",)
    told = caution(exercises, player, cautions, also=along)
    remark = " ".join(w for w in (order.note, told) if w)
    return Words(
        title=title,
        instrument=player.instrument.label,
        subtitle=order.subtitle,
        date=order.date,
        remark=remark,
        footer=f"Sheet {code} · {order.footer or 'tick a tempo when it is clean three times in a row'}",
        strip=order.strip,
    )
