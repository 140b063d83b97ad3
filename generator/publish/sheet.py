"""Printing a sheet: from exercises to files. One of the use cases, kept apart from building for its length.

Nothing here reads the clock or prints to the terminal; paths, dates and words come in.
"""

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field, replace
from pathlib import Path

from generator.engraving import early, lilypond
from generator.engraving.cache import Cache, CachedPage, page_key
from generator.engraving.include import ENGRAVED, HOUSE, house
from generator.engraving.render import render
from generator.errors import RequestError, shown
from generator.exchange.formats import Music, line_starts, open_files
from generator.exchange.json_contract import as_json
from generator.exchange.playback import Playback
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.files.atomic import place_all
from generator.files.resources import data_folder
from generator.files.text import slug
from generator.pages.cautions import caution
from generator.pages.paper import Paper
from generator.pages.sheet import Sheet, Show, Words, kind_title, lay_out, shared_head, without_breaks

FORMATS = ("pdf", "png", "svg", "ly", "musicxml", "midi", "wav", "json")
_UNPAGED = frozenset({"midi", "wav", "json"})
# LilyPond's time and memory grow with a book; more than this belongs into several.
MOST = 240
MIXED = "Scales and technique"
# Letters and digits that cannot be taken for one another on paper.
_CODE = "23456789ABCDEFGHJKLMNPQRSTUVWXYZ"


@dataclass(frozen=True)
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
        cache: where finished pages are kept.
    """

    out: Path
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
    cache: Cache = field(default_factory=Cache.nothing)


@dataclass(frozen=True, slots=True)
class Printed:
    """What was printed.

    Attributes:
        files: content by path, as written, in order.
        code: sheet code, as in the footer.
        warnings: lines for the person.
    """

    files: Mapping[Path, bytes]
    code: str
    warnings: tuple[str, ...] = ()

    @property
    def paths(self) -> tuple[Path, ...]:
        """Files written, in order."""
        return tuple(self.files)


def parse_formats(text: str) -> tuple[str, ...]:
    """``pdf,png`` as names.

    Raises:
        RequestError: an unknown format.
    """
    wanted = tuple(dict.fromkeys(w.strip().casefold() for w in text.split(",") if w.strip()))
    unknown = [w for w in wanted if w not in FORMATS]
    if unknown or not wanted:
        raise RequestError(
            f"unknown format {shown((unknown or [text])[0])}; the formats are {', '.join(FORMATS)}"
        )
    return wanted


def sheet_code(parts: Sequence[object]) -> str:
    """A short code for a sheet, the same for the same content: a person can say it and the log can find it."""
    digest = hashlib.sha256("\x1f".join(map(str, parts)).encode()).digest()
    return "".join(_CODE[b % 32] for b in digest[:4])


@dataclass(frozen=True, slots=True)
class PrintContent:
    """What is to be printed.

    Attributes:
        player: for whom.
        exercises: in order.
        order: how, where paper or words were known only now; its formats and folder count for nothing.
    """

    player: Player
    exercises: tuple[Exercise, ...]
    order: SheetOrder | None = None


def print_sheet(order: SheetOrder, build: Callable[[], PrintContent]) -> Printed:
    """Build, lay out, engrave and place a sheet.

    LilyPond starts, if it has not yet, while the names are still being read and the exercises built; a request that
    turns out wrong stops it.

    Args:
        order: how to print.
        build: makes the content; may raise RequestError.

    Raises:
        RequestError: from ``build``.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    engraved = tuple(f for f in order.formats if f in ENGRAVED)
    templates = data_folder("templates")
    with early.claim(engraved) if engraved else nullcontext(None) as process:
        content = build()
        player, exercises = content.player, content.exercises
        if engraved and len(exercises) > MOST:
            raise RequestError(
                f"these are {len(exercises)} exercises and a sheet holds {MOST}; --book binds them as a book"
            )
        order = replace(content.order or order, formats=order.formats, out=order.out)
        title = order.title or default_title(exercises)
        parts = [e.phrase for e in exercises] + syllables(exercises)
        code = order.code or sheet_code(
            [*parts, player.instrument.name, player.compass.words, order.paper, order.show, title, order.note]
        )
        sheet, text = None, ""
        # The data formats need no page, and laying it out takes longer than all the rest of theirs.
        if not _UNPAGED.issuperset(order.formats):
            sheet = lay_out(exercises, _words(order, player, exercises, title, code), order.paper, order.show)
            text = render(sheet, templates)
        stem = f"{slug(title, 48)}-{slug(player.instrument.name, 32)}-{code.lower()}"
        warnings: list[str] = []
        files: dict[str, bytes] = {}
        if process is not None and sheet is not None:
            page, text = _engraved(process, sheet, text, engraved, order.cache)
            files |= {name.replace("sheet", stem, 1): data for name, data in page.files.items()}
            warnings += page.warnings
    if "ly" in order.formats:
        files[f"{stem}.ly"] = standalone(text, templates).encode()
    music = Music(title, player.instrument, exercises, line_starts(sheet) if sheet else ())
    files |= open_files(stem, music, order.formats, order.playback)
    if "json" in order.formats:
        files[f"{stem}.json"] = as_json(
            title, exercises, [player.instrument.sounds] * len(exercises)
        ).encode()
    placed = {order.out / name: data for name, data in files.items()}
    place_all(placed)
    return Printed(placed, code, tuple(warnings))


@dataclass(frozen=True, slots=True)
class _EngravedPage:
    """Engraved files by name, and lines for the person."""

    files: Mapping[str, bytes]
    warnings: tuple[str, ...] = ()


def _engraved(
    process: lilypond.Starting, sheet: Sheet, text: str, formats: tuple[str, ...], cache: Cache
) -> tuple[_EngravedPage, str]:
    """The sheet engraved, and the text it was engraved from; what is kept already is not engraved again."""
    templates = data_folder("templates")
    shared = house(templates)
    key = page_key(process.program, {lilypond.MAIN: text, **shared}, formats)
    kept = cache.get(key) if key else None
    if kept is not None:
        process.cancel()
        return _EngravedPage(kept.files), render(without_breaks(sheet), templates) if kept.words[
            "loose"
        ] else text
    result = process.finish(text)
    loose = result.overfull or _pages(result.files) > sheet.pages
    if loose:
        text = render(without_breaks(sheet), templates)
        result = lilypond.engrave({lilypond.MAIN: text, **shared}, formats=formats, program=result.program)
    if key and not result.warnings:  # a page with a fault is tried again: the missing font may come
        cache.put(key, CachedPage(result.files, {"loose": loose}))
    return _EngravedPage(result.files, result.warnings), text


def syllables(exercises: Sequence[Exercise]) -> list[str]:
    """Every syllable on the page once: phrases do not tell a player's own from the usual ones."""
    return list(dict.fromkeys(n.syllable for e in exercises for b in e.bars for n in b.notes if n.syllable))


def _pages(files: Mapping[str, bytes]) -> int:
    """Pages of an engraved sheet; 0 where the PDF keeps its page objects packed."""
    pngs = sum(name.endswith(".png") for name in files)
    return max([pngs, *(len(re.findall(rb"/Type\s*/Page(?![A-Za-z])", data)) for data in files.values())])


def default_title(exercises: Sequence[Exercise]) -> str:
    """A title for a sheet: its one request, or what its requests share."""
    if len({e.heading for e in exercises}) == 1:
        # The heading below says the rest.
        return exercises[0].head
    if head := shared_head(exercises):
        return head
    kinds = {(e.form, e.figure) for e in exercises}
    if len(kinds) == 1:
        ((form, figure),) = kinds
        return kind_title(form, "" if figure == "straight" else figure)
    return MIXED


def standalone(text: str, templates: Path) -> str:
    """The page text with the house style inside, so that the file engraves on its own."""
    return text.replace(f'\\include "{HOUSE}"\n', house(templates)[HOUSE].replace('\\version "2.24.0"\n', ""))


def _words(order: SheetOrder, player: Player, exercises: Sequence[Exercise], title: str, code: str) -> Words:
    remark = " ".join(w for w in (order.note, caution(exercises, player.instrument)) if w)
    return Words(
        title=title,
        instrument=player.instrument.label,
        subtitle=order.subtitle,
        date=order.date,
        remark=remark,
        footer=f"Sheet {code} · {order.footer or 'tick a tempo when it is clean three times in a row'}",
    )
