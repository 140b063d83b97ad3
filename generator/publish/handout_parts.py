"""The parts of a handout on their way to paper: laid out, engraved several to a run, bound, or two to a sheet."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from generator.documents.section import Chair
from generator.engraving.bind import Leaf, bind
from generator.engraving.parallel import Job
from generator.engraving.render_score import PartPage, render_parts
from generator.engraving.two_up import bind_two_up, twice
from generator.errors import RequestError
from generator.files.resources import data_folder
from generator.pages.beside import lay_out_part
from generator.pages.paper import Paper
from generator.pages.reader import USUAL_READER
from generator.pages.sheet import FEW_PAGES, SheetLayout, without_breaks
from generator.publish.handout_words import Wording, file_stem, part_words
from generator.section.rehearsal import ChairPart, Rehearsal

# Parts in one run of LilyPond: enough to make its start cheap, few enough to show progress.
BUNDLE = 12
# Larger staves have no room for two bars on half a sheet.
_LARGEST_ON_HALF = 20.0
_WHOLE = {"cover": "Who plays what", "condensed-score": "Condensed score", "score": "Score"}


@dataclass(frozen=True, slots=True)
class PartOnPaper:
    """One chair's part.

    Attributes:
        chair: whose.
        part: what it plays.
        stem: of its file.
        sheet: laid out.
        blanks: what is to be filled in.
    """

    chair: Chair
    part: ChairPart
    stem: str
    sheet: SheetLayout
    blanks: str

    @property
    def half(self) -> bool:
        """Whether it stands on half sheets."""
        return self.sheet.paper.half

    @property
    def bookmark(self) -> str:
        """What it is called in the packet."""
        return f"{self.chair.name}, {self.chair.person}" if self.chair.person else self.chair.name

    def printed(self, *, loose: bool = False) -> PartPage:
        """What is engraved; loose leaves the page breaks to LilyPond."""
        sheet = without_breaks(self.sheet) if loose else self.sheet
        return PartPage(self.stem, sheet, self.blanks)


def lay_out_parts(
    rehearsal: Rehearsal, wording: Wording, paper: Paper, *, two_up: bool = False
) -> list[PartOnPaper]:
    """Every chair's part, in somewhat smaller staves where that spares pages.

    Args:
        rehearsal: who plays what.
        wording: what all pages say.
        paper: paper and print size.
        two_up: on half sheets; a reader's own stay whole.

    Raises:
        RequestError: half sheets cannot hold pages of this size.
    """
    whole = half_of(paper) if two_up else paper
    usual = _laid_out(rehearsal, wording, whole, paper)
    if paper.large or not 1 < max(one.sheet.pages for one in usual) <= FEW_PAGES:
        return usual
    sizes = whole.closer[-1:] if two_up else whole.closer
    offers = [usual, *(_laid_out(rehearsal, wording, size, paper) for size in sizes)]
    # All of them alike, so that they are engraved together; the largest staves that come out with the fewest pages.
    return min(offers, key=lambda parts: sum(one.sheet.pages for one in parts))


def half_of(paper: Paper) -> Paper:
    """Half a sheet of a paper.

    Raises:
        RequestError: half sheets cannot hold pages of this size.
    """
    if paper.staff > _LARGEST_ON_HALF or paper.reader.landscape:
        raise RequestError(
            f"half sheets stand upright and hold staves of up to {_LARGEST_ON_HALF:g} points; "
            "leave out --two-up, or large print and --landscape"
        )
    return replace(paper, half=True)


def _laid_out(rehearsal: Rehearsal, wording: Wording, usual: Paper, whole: Paper) -> list[PartOnPaper]:
    found: list[PartOnPaper] = []
    chairs = [(chair, part) for part in rehearsal.parts for chair in part.chairs]
    for number, (chair, part) in enumerate(chairs, 1):
        words, blanks = part_words(chair, part, wording)
        paper = usual if chair.reader == USUAL_READER else whole.read_by(chair.reader)
        sheet = lay_out_part(part.exercises, words, paper)
        found.append(PartOnPaper(chair, part, file_stem(number, chair), sheet, blanks))
    return found


def part_jobs(parts: Sequence[PartOnPaper]) -> list[Job]:
    """The runs of LilyPond for the parts; texts are made while others already run."""
    templates = data_folder("templates")
    jobs: list[Job] = []
    for paper in dict.fromkeys(one.sheet.paper for one in parts):
        alike = [one for one in parts if one.sheet.paper == paper]
        count = -(-len(alike) // BUNDLE)
        for bundle in (alike[first::count] for first in range(count)):
            text = partial(_text, bundle, paper, templates)
            jobs.append(Job(text, tuple(one.stem for one in bundle), partial(text, loose=True)))
    return jobs


def _text(bundle: Sequence[PartOnPaper], paper: Paper, templates: Path, *, loose: bool = False) -> str:
    return render_parts([one.printed(loose=loose) for one in bundle], paper, templates)


def bound(
    files: Mapping[str, bytes], parts: Sequence[PartOnPaper], title: str, paper: Paper, *, two_sided: bool
) -> bytes:
    """Everything to be printed, in the order it is handed out: cover, score, then each part with its copies.

    Half sheets come last, laid out to be cut and stacked.

    Args:
        files: finished PDFs by name.
        parts: in score order.
        title: of the packet.
        paper: the whole sheet.
        two_sided: every copy begins on a sheet of its own.
    """
    whole = [Leaf(name, files[f"{stem}.pdf"]) for stem, name in _WHOLE.items() if f"{stem}.pdf" in files]
    leaves = [(one, Leaf(one.bookmark, files[f"{one.stem}.pdf"], one.chair.copies)) for one in parts]
    whole += [leaf for one, leaf in leaves if not one.half]
    halves = [leaf for one, leaf in leaves if one.half]
    if not halves:
        return bind(title, whole, two_sided=two_sided)
    height, width = paper.width_and_height
    return bind_two_up(title, whole, halves, width, height, two_sided=two_sided)


def doubled(files: Mapping[str, bytes], parts: Sequence[PartOnPaper], paper: Paper) -> dict[str, bytes]:
    """The same files with each half sheet twice on a page, so that a part printed alone is cut into two copies."""
    height, width = paper.width_and_height
    halves = {f"{one.stem}.pdf" for one in parts if one.half}
    return {name: twice(data, width, height) if name in halves else data for name, data in files.items()}
