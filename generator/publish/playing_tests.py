"""A playing test on paper: a sheet for each candidate, score sheets, what the marks mean, the mark book."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section
from generator.engraving.bind import Leaf, bind
from generator.engraving.parallel import Job, Progress, engrave_all
from generator.engraving.render_score import PartPage, includes, render_parts, render_tables
from generator.engraving.two_up import bind_two_up
from generator.errors import RequestError
from generator.exercise.records import Exercise
from generator.files.atomic import place_in
from generator.files.resources import data_folder, is_there
from generator.files.text import slug
from generator.pages.beside import lay_out_part
from generator.pages.cautions import caution
from generator.pages.paper import Paper
from generator.pages.reader import USUAL_READER
from generator.pages.rubric import OCTAVE_POINTS, SLIP_COUNTS, rubric, score_sheets, secret_list, wide
from generator.pages.sheet import SheetLayout, Words, without_breaks
from generator.pages.tables import TablePage
from generator.publish.codes import sheet_code
from generator.publish.fingering import help_code, helped
from generator.publish.handout import HandoutOrder
from generator.publish.handout_parts import BUNDLE, half_of
from generator.publish.handout_words import file_stem
from generator.publish.mark_book import mark_book, secret_table, who_is_who
from generator.publish.press import engraved_of
from generator.section.audition import Audition, CandidatePage, TestedPlayer
from generator.theory.pitch import NoteName

MARKS, SECRET = "marks.csv", "who-is-who"


@dataclass(frozen=True, slots=True)
class PrintedTest:
    """What was written.

    Attributes:
        paths: everything bound together, marks, score sheets, the list of numbers, candidates' sheets, mark book.
        warnings: lines for the person.
        kept: a mark book that was there already and was left alone, or None.
    """

    paths: tuple[Path, ...]
    warnings: tuple[str, ...]
    kept: Path | None = None


@dataclass(frozen=True, slots=True)
class _CandidateSheet:
    """A sheet on its way to paper."""

    stem: str
    bookmark: str
    sheet: SheetLayout
    blanks: str
    copies: int

    def printed(self, *, loose: bool = False) -> PartPage:
        return PartPage(self.stem, without_breaks(self.sheet) if loose else self.sheet, self.blanks)


def print_test(
    order: HandoutOrder,
    section: Section,
    audition: Audition,
    seed: int | None = None,
    progress: Progress = lambda _done, _all: None,
) -> PrintedTest:
    """Lay out, engrave, bind and place a playing test; a mark book that is there already is left alone.

    Args:
        order: how to print.
        section: who is tested.
        audition: the test.
        seed: how numbers were dealt.
        progress: told how many documents of how many are done.

    Raises:
        RequestError: the pages cannot be laid out, or a format is asked for that a test has not.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    formats = engraved_of(order.formats)
    if set(order.formats) - set(formats):
        raise RequestError(
            "a playing test is printed as pdf, png or svg; the music of a sheet is made by: sheet, handout"
        )
    title = order.title or section.test.title or "Playing test"
    sheets, told = _sheets(order, section, audition, title)
    code = _code(order, audition, title, seed)
    tables = _tables(section, audition, title, f"Test {code}", seed)
    shared = includes(data_folder("templates"))
    jobs = _jobs(order, audition, sheets, tables)
    files, warnings = engrave_all(jobs, shared, formats, progress, order.cache)
    stems = [*(page.output for page in tables), *(sheet.stem for sheet in sheets)]
    found = {
        name: files[name]
        for stem in stems
        for name in sorted(files)
        if name.rpartition(".")[0].startswith(stem)
    }
    if "pdf" in formats:
        found = {"everything.pdf": _bound(found, sheets, order, title), **found}
    found[MARKS] = mark_book(audition)
    if audition.numbered:
        found[f"{SECRET}.csv"] = secret_table(audition)
    folder = order.out / f"{slug(title, 48)}-{code.lower()}"
    kept = folder / MARKS if is_there(folder / MARKS) else None
    if kept:
        del found[MARKS]
    paths = place_in(folder, found)
    return PrintedTest(paths, (*warnings, *told), kept)


def _code(order: HandoutOrder, audition: Audition, title: str, seed: int | None) -> str:
    music = [
        (p.player, e.exercise.phrase, e.exercise.span, e.points) for p in audition.pages for e in p.pieces
    ]
    who = [(c.chair.name, c.chair.person, c.copy, c.number) for p in audition.pages for c in p.candidates]
    plain = [(p.player.instrument.name, p.player.compass.words) for p in audition.pages]
    told = [(player.instrument.name, *rest) for player, *rest in music]
    return sheet_code(
        [title, order.paper, order.note, order.band, order.band_note, order.two_sided, order.two_up, seed,
         audition.columns, *plain, *told, *who, *help_code(order.help)]
    )  # fmt: skip


def _sheets(
    order: HandoutOrder, section: Section, audition: Audition, title: str
) -> tuple[list[_CandidateSheet], tuple[str, ...]]:
    """The candidates' sheets; candidates of one chair without names share one."""
    found: list[_CandidateSheet] = []
    told: list[str] = []
    usual = half_of(order.paper) if order.two_up else order.paper
    for one, page in audition.lines:
        if one.copy > 1 and not one.number:
            continue
        exercises = tuple(
            _plain(p.exercise, place, audition.columns[p.column].number)
            for place, p in enumerate(page.pieces, 1)
        )
        exercises, lines = helped(exercises, page.player.instrument, order.help)
        told += lines
        same = [c for c in page.candidates if c.chair == one.chair] if one.copy and not one.number else [one]
        words = _words(one, page, exercises, order, section, title)
        reader = one.chair.reader
        paper = usual if reader == USUAL_READER else order.paper.read_by(reader)
        sheet = lay_out_part(exercises, words, paper)
        blanks = "Date 14" if one.label else "Name 26|Date 14"
        who = (
            f"Candidate {one.number}"
            if one.number
            else ", ".join(w for w in (one.chair.name, one.label) if w)
        )
        found.append(_CandidateSheet(_stem(len(found) + 1, one), who, sheet, blanks, len(same)))
    return found, tuple(dict.fromkeys(told))


def _plain(exercise: Exercise, place: int, number: int) -> Exercise:
    """For a candidate: nothing to tick or to be told, and a number only where it is not its place on the page."""
    called = None if place == number else str(number)
    return replace(exercise, called=called, ticked=False, notes=(), reason="")


def _stem(place: int, one: TestedPlayer) -> str:
    """A number stands in for all that would tell who it is."""
    if one.number:
        return f"candidate-{one.number:03d}"
    return file_stem(place, one.chair)


def _words(
    one: TestedPlayer,
    page: CandidatePage,
    exercises: Sequence[Exercise],
    order: HandoutOrder,
    section: Section,
    title: str,
) -> Words:
    label = page.player.instrument.label
    # The chair would tell who it is.
    chair = label if one.number else one.chair.name
    more = "" if label.casefold() in chair.casefold() else label
    name = f"Candidate no. {one.number}" if one.number else one.chair.person
    level = page.player.level if page.player.level == "first notes" else ""
    warning = caution(exercises, page.player, shared_catalogue().cautions.rows)
    memory = "From memory." if section.test.memory else ""
    return Words(
        title=title,
        instrument=chair,
        subtitle=" · ".join(w for w in (name, more, level, order.band) if w),
        remark=" ".join(w for w in (memory, page.remark, order.note) if w),
        notices=tuple(line for line in (order.band_note, warning) if line),
        footer=" · ".join(w for w in (title, name or chair) if w),
    )


def _tables(
    section: Section, audition: Audition, title: str, footer: str, seed: int | None
) -> list[TablePage]:
    tables = audition.tables
    pages = [
        rubric(tables, _reads(audition), title, footer, _sources(section, audition)),
        score_sheets(tables, title, footer, numbered=audition.numbered),
    ]
    if audition.numbered:
        told = f"Dealt with --seed {seed}: the same seed deals the same roster the same numbers again."
        pages.append(secret_list(who_is_who(audition), title, told))
    return pages


def _sources(section: Section, audition: Audition) -> list[str]:
    """Where points and rows are from."""
    own = f": {section.test.source}" if section.test.source else ""
    told = []
    if any(not item.points for item in section.test.items) or not section.test.items:
        told.append(
            "One point for each complete octave up without a stop, one for each down, one for an arpeggio: a scale "
            f"with its arpeggio gives 3 over one octave, 5 over two, 7 over three ({OCTAVE_POINTS}); less than an "
            "octave counts as one (our own convention)."
        )
    if any(item.points for item in section.test.items):
        told.append(f"Points that differ are the band's own{own}.")
    if any(page.remark for page in audition.pages):
        told.append(
            "Percussion: one point each for a first and a second half without a stop (our own convention)."
        )
    rows = f"the band's own{own}" if section.test.rows else SLIP_COUNTS
    return [*told, f"Marks: {rows}."]


def _reads(audition: Audition) -> list[tuple[str, tuple[tuple[int, str], ...]]]:
    """Each instrument and level with its written keys and points, by number; drums have no keys."""
    found: dict[tuple[str, tuple[tuple[int, str], ...]], None] = {}
    for page in audition.pages:
        if page.remark or page.player.instrument.unpitched:
            continue
        cells = {n + 1: "–" for n in page.asked if audition.columns[n].number}
        for piece in page.pieces:
            cells[piece.column + 1] = f"{NoteName.parse(piece.exercise.key).words} ({piece.points})"
        level = "" if page.player.level == "standard" else f", {page.player.level}"
        found[f"{page.player.instrument.label}{level}", tuple(cells.items())] = None
    return list(found)


def _jobs(
    order: HandoutOrder, audition: Audition, sheets: Sequence[_CandidateSheet], tables: Sequence[TablePage]
) -> list[Job]:
    templates = data_folder("templates")
    jobs: list[Job] = []
    for paper in dict.fromkeys(one.sheet.paper for one in sheets):
        alike = [one for one in sheets if one.sheet.paper == paper]
        count = -(-len(alike) // BUNDLE)
        for bundle in (alike[first::count] for first in range(count)):
            text = partial(_text, bundle, paper, templates)
            jobs.append(Job(text, tuple(one.stem for one in bundle), partial(text, loose=True)))
    upright = Paper.of(order.paper.name, "small")
    lying = Paper.of(order.paper.name, "small", replace(USUAL_READER, landscape=True))
    for page in tables:
        paper = lying if page.output == "score-sheet" and wide(audition.tables) else upright
        jobs.append(Job(partial(render_tables, [page], paper, templates), (page.output,)))
    return jobs


def _text(bundle: Sequence[_CandidateSheet], paper: Paper, templates: Path, *, loose: bool = False) -> str:
    return render_parts([one.printed(loose=loose) for one in bundle], paper, templates)


def _bound(
    files: dict[str, bytes], sheets: Sequence[_CandidateSheet], order: HandoutOrder, title: str
) -> bytes:
    """All that is handed out, and what the judges need; the list of numbers stays out."""
    leaves = [Leaf("What the marks mean", files["rubric.pdf"]), Leaf("Score sheet", files["score-sheet.pdf"])]
    own = [(one, Leaf(one.bookmark, files[f"{one.stem}.pdf"], one.copies)) for one in sheets]
    leaves += [leaf for one, leaf in own if not one.sheet.paper.half]
    halves = [leaf for one, leaf in own if one.sheet.paper.half]
    if not halves:
        return bind(title, leaves, two_sided=order.two_sided)
    height, width = order.paper.width_and_height
    return bind_two_up(title, leaves, halves, width, height, two_sided=order.two_sided)
