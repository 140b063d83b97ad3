"""Handing out: the pages of a section as files. The use case that puts a rehearsal on paper.

Parts are engraved several to a run of LilyPond, two runs at a time. Nothing is written before everything is there.
"""

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path

from generator.documents.section import Chair
from generator.engraving.bind import page_count
from generator.engraving.cache import Cache
from generator.engraving.parallel import Job, Progress, engrave_all
from generator.engraving.process_group import ProcessGroup
from generator.engraving.render_score import includes, render_parts, render_tables
from generator.exchange.formats import Music, line_starts, open_files
from generator.exchange.musicxml import XmlPart, as_musicxml
from generator.exchange.playback import Playback
from generator.files.atomic import place, place_in
from generator.files.resources import data_folder
from generator.files.text import guarded_cell, slug
from generator.pages.paper import Paper
from generator.pages.reader import USUAL_READER
from generator.publish.codes import sheet_code
from generator.publish.day_words import DayWords
from generator.publish.fingering import HandHelp, help_code, helped
from generator.publish.handout_parts import PartOnPaper, bound, doubled, lay_out_parts, part_jobs
from generator.publish.handout_scores import ScoreKinds, Scores, lay_out_scores, score_jobs
from generator.publish.handout_words import Wording, cover, cutting_words, title_of
from generator.publish.press import engraved_of
from generator.publish.sheet import standalone
from generator.publish.staff_names import staves
from generator.section.rehearsal import Rehearsal


@dataclass(frozen=True, kw_only=True)
class HandoutOrder:
    """How a handout is to be printed.

    Attributes:
        out: folder in which the handout's own folder is made.
        formats: as for a sheet.
        paper: paper and print size of the parts.
        title: own title, or "" for one made from the requests.
        band: name of the band, class or section.
        note: a teacher's own line.
        band_note: the band's own.
        score: whether there is a score.
        kinds: which scores; by default the one that suits the number of chairs.
        two_sided: every copy begins on a sheet of its own.
        two_up: parts on half sheets, two to a page, to be cut.
        cache: where finished pages are kept.
        help: help for the hand in the parts, or None.
        day: what a day's sheet of a section says, in place of title and code of a handout, or None.
    """

    out: Path = Path("out")
    formats: tuple[str, ...] = ("pdf",)
    paper: Paper = field(default_factory=lambda: Paper.of("letter", "normal"))
    title: str = ""
    band: str = ""
    note: str = ""
    band_note: str = ""
    score: bool = True
    kinds: ScoreKinds = field(default_factory=ScoreKinds)
    two_sided: bool = False
    two_up: bool = False
    cache: Cache = field(default_factory=Cache.nothing)
    help: HandHelp | None = None
    day: DayWords | None = None


@dataclass(frozen=True, slots=True)
class Given:
    """Who got what.

    Attributes:
        chair: the chair.
        keys: written keys, in order of the exercises.
        file: its part, or "" when no PDF was made.
        pages: of one copy.
    """

    chair: Chair
    keys: tuple[str, ...]
    file: str
    pages: int


@dataclass(frozen=True, slots=True)
class HandedOut:
    """What was written.

    Attributes:
        paths: files in order: everything bound together, cover, score, parts.
        given: who got what, in score order.
        warnings: lines for the person.
        code: as in the footers.
        rehearsal: what was put on paper.
    """

    paths: tuple[Path, ...]
    given: tuple[Given, ...]
    warnings: tuple[str, ...]
    code: str
    rehearsal: Rehearsal


@dataclass(frozen=True, slots=True)
class MadeHandout:
    """A finished handout that lies nowhere yet.

    Attributes:
        name: of the folder it belongs in.
        files: content by file name, in order.
        given: who got what, in score order.
        warnings: lines for the person.
        code: as in the footers.
    """

    name: str
    files: Mapping[str, bytes]
    given: tuple[Given, ...]
    warnings: tuple[str, ...]
    code: str


def hand_out(
    order: HandoutOrder, rehearsal: Rehearsal, progress: Progress = lambda _done, _all: None
) -> HandedOut:
    """Lay out, engrave, bind and place a handout.

    Args:
        order: how to print.
        rehearsal: the pages.
        progress: told how many documents of how many are done.

    Raises:
        RequestError: the pages cannot be laid out.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    made = make_handout(order, rehearsal, progress)
    paths = place_in(order.out / made.name, made.files)
    return HandedOut(paths, made.given, made.warnings, made.code, rehearsal)


def make_handout(
    order: HandoutOrder,
    rehearsal: Rehearsal,
    progress: Progress = lambda _done, _all: None,
    crew: ProcessGroup | None = None,
) -> MadeHandout:
    """Lay out, engrave and bind a handout.

    Args:
        order: how to print.
        rehearsal: the pages.
        progress: told how many documents of how many are done.
        crew: stops the work from outside.

    Raises:
        RequestError: the pages cannot be laid out.
        MachineError: LilyPond failed, or the work was stopped.
    """
    day = order.day
    title = order.title or (day.title if day else title_of(rehearsal))
    code = day.code if day else _code(order, rehearsal, title)
    cutting = cutting_words(two_sided=order.two_sided) if order.two_up else ""
    wording = Wording(title, order.band, order.note, code, order.band_note, day, cutting)
    scores = Scores()
    if order.score and rehearsal.together:
        scores = lay_out_scores(rehearsal, order.kinds, wording, order.paper.name)
    # The score goes without: whoever conducts fingers nothing.
    in_hand, bare = _helped(rehearsal, order.help)
    pages = lay_out_parts(in_hand, wording, order.paper, two_up=order.two_up)
    formats = engraved_of(order.formats)
    files: dict[str, bytes] = {}
    warnings: tuple[str, ...] = ()
    if formats:
        jobs = _jobs(order, rehearsal, wording, pages, scores)
        shared = includes(data_folder("templates"))
        found, warnings = engrave_all(jobs, shared, formats, progress, order.cache, crew)
        files = _in_order(found, pages)
        warnings += scores.warnings
    given = tuple(_given(page, files) for page in pages)
    if "pdf" in formats:
        packet = bound(files, pages, title, order.paper, two_sided=order.two_sided)
        files = {"everything.pdf": packet, **doubled(files, pages, order.paper)}
    files |= _open(order, rehearsal, pages, title)
    name = day.stem if day else f"{slug(title, 48)}-{wording.code.lower()}"
    return MadeHandout(name, files, given, (*warnings, *bare), wording.code)


def _helped(rehearsal: Rehearsal, wanted: HandHelp | None) -> tuple[Rehearsal, tuple[str, ...]]:
    """The parts with help for the hand, and lines about those that have none."""
    if wanted is None:
        return rehearsal, ()
    made = [(part, *helped(part.exercises, part.player.instrument, wanted)) for part in rehearsal.parts]
    parts = tuple(replace(part, exercises=exercises) for part, exercises, _ in made)
    return replace(rehearsal, parts=parts), tuple(dict.fromkeys(line for *_, lines in made for line in lines))


def _code(order: HandoutOrder, rehearsal: Rehearsal, title: str) -> str:
    chairs = [(c.name, c.person, c.copies, p.player.compass.words) for p in rehearsal.parts for c in p.chairs]
    readers = [(c.name, c.reader) for p in rehearsal.parts for c in p.chairs if c.reader != USUAL_READER]
    # Written keys and spans tell apart what the phrases do not say: sharps or flats, levels, own ranges.
    music = [(e.phrase, e.key, e.span) for p in rehearsal.parts for e in p.exercises]
    passages = [turn.rhythm.text for turn in rehearsal.turns if turn.rhythm and turn.rhythm.text]
    asked = ("condensed",) * order.kinds.condensed + ("full score",) * order.kinds.full
    asked += ("two-up",) * order.two_up
    # The third is left over, so that codes stay.
    kind = (order.score, order.kinds.concert, False, order.two_sided, *asked)
    return sheet_code(
        [
            title,
            order.paper,
            " ".join(w for w in (order.note, order.band_note) if w),
            order.band,
            kind,
            *chairs,
            *readers,
            *music,
            *passages,
            *help_code(order.help),
        ]
    )


def _jobs(
    order: HandoutOrder,
    rehearsal: Rehearsal,
    wording: Wording,
    pages: Sequence[PartOnPaper],
    scores: Scores,
) -> list[Job]:
    """The runs of LilyPond, the longest first."""
    templates = data_folder("templates")
    jobs = score_jobs(scores) + part_jobs(pages)
    tables = [cover(rehearsal, wording)]
    plain = Paper.of(order.paper.name, "small")
    jobs.append(Job(partial(render_tables, tables, plain, templates), tuple(t.output for t in tables)))
    return jobs


def _in_order(files: Mapping[str, bytes], pages: Sequence[PartOnPaper]) -> dict[str, bytes]:
    """Cover and score first, then the parts; the pages of a picture format stay together."""
    stems = ["cover", "condensed-score", "score", *(page.stem for page in pages)]
    return {name: files[name] for stem in stems for name in files if _belongs(name, stem)}


def _belongs(name: str, stem: str) -> bool:
    rest = name.removeprefix(stem)
    return rest != name and (rest[0] == "." or rest[1:].split(".")[0].isdigit())


def _given(page: PartOnPaper, files: Mapping[str, bytes]) -> Given:
    pdf = files.get(f"{page.stem}.pdf")
    pages = page_count(pdf) if pdf else page.sheet.pages
    return Given(page.chair, page.part.keys, f"{page.stem}.pdf" if pdf else "", pages)


def _open(
    order: HandoutOrder, rehearsal: Rehearsal, pages: Sequence[PartOnPaper], title: str
) -> dict[str, bytes]:
    """The parts in the open formats; a score too where one is asked for as MusicXML."""
    files: dict[str, bytes] = {}
    templates = data_folder("templates")
    for page in pages:
        instrument, exercises = page.part.player.instrument, page.part.exercises
        if "ly" in order.formats:
            text = render_parts([replace(page.printed(), output="")], page.sheet.paper, templates)
            files[f"{page.stem}.ly"] = standalone(text, includes(templates)).encode()
        music = Music(title, instrument, exercises, line_starts(page.sheet))
        files |= open_files(page.stem, music, order.formats, Playback())
    if "musicxml" in order.formats and order.score and rehearsal.together:
        files["score.musicxml"] = score_as_musicxml(title, rehearsal)
    return files


def score_as_musicxml(title: str, rehearsal: Rehearsal) -> bytes:
    """The score as MusicXML."""
    # Both hands of a piano are one part here.
    names = [staff for staff in staves(rehearsal.parts, concert=False) if staff.name]
    parts = [
        XmlPart(p.player.instrument, p.exercises, s.name) for p, s in zip(rehearsal.parts, names, strict=True)
    ]
    return as_musicxml(title, parts, [f"{n}. {h}" for n, h in enumerate(rehearsal.headings, 1)])


def export_given(given: Sequence[Given], target: Path) -> Path:
    """Write who got what as CSV: name, chair, instrument, level, written key, file, pages, copies.

    Raises:
        OutputError: the file cannot be written.
    """
    text = io.StringIO(newline="")
    table = csv.writer(text)
    table.writerow(("name", "chair", "instrument", "level", "written key", "file", "pages", "copies"))
    for one in given:
        player = one.chair.player
        keys = ", ".join(dict.fromkeys(k for k in one.keys if k))
        row = (one.chair.person, one.chair.name, player.instrument.name, player.level, keys, one.file)
        table.writerow((*(guarded_cell(cell) for cell in row), one.pages, one.chair.copies))
    return place(text.getvalue().encode("utf-8"), target)
