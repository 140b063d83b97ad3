"""Work that takes seconds: a sheet or a section's handout, made in the background, to be fetched file by file.

Nothing is placed on the disk; what was made stays in memory until newer work takes its place.
"""

import io
import threading
import zipfile
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace
from itertools import count
from typing import Any, Literal

from generator.api.desk import Desk
from generator.api.drill_view import DrillAsked, passage_asked
from generator.api.drills import drill_order
from generator.api.handouts import passages_of, prepared
from generator.api.preview import player_of
from generator.api.refusals import NotThereError
from generator.api.rosters import questions
from generator.api.section_view import SectionAsked, section_of
from generator.engraving.cache import Cache
from generator.engraving.process_group import ProcessGroup, StoppedError
from generator.errors import GeneratorError, RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.pages.paper import Paper
from generator.passage.drill import drilled
from generator.passage.request import DrillRequest
from generator.passage.store import Passages
from generator.phrase import expand
from generator.practice.player_ways import player_ways
from generator.publish.handout import HandoutOrder, make_handout
from generator.publish.press import press_for
from generator.publish.sheet import INSTEAD_OF_A_SHEET, MOST, SheetOrder, make_sheet
from generator.section.rehearsal_plan import RehearsalPlan

KEPT = 4
ALL, BOUND = "everything.zip", "everything.pdf"
State = Literal["working", "done", "failed", "stopped"]
Files = Mapping[str, bytes]


@dataclass(slots=True)
class StandJob:
    """Work under way, or done.

    Attributes:
        state: how it stands.
        done: documents done.
        of: documents in all.
        files: what was made, by name.
        warnings: lines for the person.
        error: why it failed.
        stop: ends what runs for it.
    """

    state: State = "working"
    done: int = 0
    of: int = 1
    files: Files = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
    error: str = ""
    stop: Callable[[], None] = lambda: None

    @property
    def is_working(self) -> bool:
        """Whether it is neither done nor given up."""
        return self.state == "working"

    def end(self, state: State, error: str = "") -> None:
        """Note how it ended; what was stopped stays so."""
        if self.is_working:
            self.state, self.error = state, error

    @property
    def view(self) -> dict[str, Any]:
        """The same as plain data; the whole in one file comes first."""
        rows = [
            {"name": name, "size": len(data), "kind": "all" if name == BOUND else name.rpartition(".")[2]}
            for name, data in self.files.items()
        ]
        if len(rows) > 1:
            rows.append({"name": ALL, "size": sum(map(len, self.files.values())), "kind": "zip"})
        return {
            "state": self.state,
            "done": self.done,
            "of": self.of,
            "files": rows,
            "warnings": list(self.warnings),
            "error": {"message": self.error} if self.error else None,
        }


class StandJobs:
    """The work of one desk; one thing at a time, the others wait.

    Args:
        desk: whose.
        changed: told the id of work that went on.
    """

    def __init__(self, desk: Desk, changed: Callable[[str], None] = lambda _job: None) -> None:
        self._desk, self._changed = desk, changed
        self._jobs: OrderedDict[str, StandJob] = OrderedDict()
        self._turn = threading.Lock()
        self._numbers = count(1)
        self._closed = False

    def sheet(
        self, phrases: tuple[str, ...], order: SheetOrder, instrument: str | None, level: str | None
    ) -> str:
        """Begin a sheet; its id.

        Raises:
            RequestError: a phrase cannot be read, or it is more than a sheet holds.
        """
        player = player_of(self._desk, instrument, level)
        built = expand.exercises(
            phrases, player, most=MOST, instead=INSTEAD_OF_A_SHEET,
            ways=player_ways(self._desk.folder, self._desk.here),
        )  # fmt: skip

        return self._pages(order, player, built.exercises)

    def drill(self, asked: DrillAsked, order: SheetOrder) -> str:
        """Begin the page of every recipe for a passage; its id.

        Raises:
            RequestError: it cannot be drilled.
            OutputError: it cannot be read.
        """
        player, kept = passage_asked(self._desk, asked)
        request = DrillRequest(kept.name)
        made = drilled(kept, request, player, scales="; ".join(kept.scales))
        return self._pages(drill_order(order, kept, request, player), player, made.exercises)

    def _pages(self, order: SheetOrder, player: Player, exercises: tuple[Exercise, ...]) -> str:
        def work(job: StandJob) -> Files:
            with press_for(order.formats) as press:
                if press is not None:
                    job.stop = press.cancel
                made = make_sheet(order, player, exercises, press)
            job.warnings, job.done = made.warnings, 1
            return made.files

        return self._begin(work)

    def handout(self, asked: SectionAsked, plan: RehearsalPlan, order: HandoutOrder, warm_up: int = 0) -> str:
        """Begin a handout; its id.

        Raises:
            RequestError: the section or a phrase cannot be read, or nothing fits everyone.
            OutputError: the section cannot be read.
        """
        section = section_of(self._desk, asked)
        open_ = [doubt for doubts in questions(section) for doubt in doubts]
        if any(doubt.said for doubt in open_):  # nobody is to be left without a part in silence
            raise RequestError("\n".join(doubt.words for doubt in open_))
        plan = replace(plan, kept=passages_of(plan.phrases, Passages(self._desk.home.passages)))
        full, rehearsal = prepared(section, plan, order, warm_up)
        crew = ProcessGroup()

        def work(job: StandJob) -> Files:
            def progress(done: int, of: int) -> None:
                job.done, job.of = done, of
                self._changed(self._id_of(job))

            made = make_handout(full, rehearsal, progress, crew)
            job.warnings = (*(f"{doubt.words}, so there is no part" for doubt in open_), *made.warnings)
            return made.files

        return self._begin(work, crew.halt)

    def find(self, job: str) -> StandJob:
        """Work by its id.

        Raises:
            NotThereError: there is none, or none any more.
        """
        found = self._jobs.get(job)
        if found is None:
            raise NotThereError("there is no such work any more; begin it again")
        return found

    def file(self, job: str, name: str) -> bytes:
        """A file that was made, or all of them in one.

        Raises:
            NotThereError: there is none of that name.
        """
        files = self.find(job).files
        if name == ALL and files:
            return _zipped(files)
        if name not in files:
            raise NotThereError("there is no such file")
        return files[name]

    def stop(self, job: str) -> None:
        """Give work up."""
        found = self.find(job)
        if found.is_working:
            found.end("stopped")
            found.stop()

    def close(self) -> None:
        """Give everything up."""
        self._closed = True
        for job in tuple(self._jobs):
            self.stop(job)

    def _begin(self, work: Callable[[StandJob], Files], stop: Callable[[], None] = lambda: None) -> str:
        job, name = StandJob(stop=stop), f"work-{next(self._numbers)}"
        self._jobs[name] = job
        while len(self._jobs) > KEPT:
            oldest, gone = next(iter(self._jobs.items()))
            if gone.is_working:
                raise RequestError("so much is being made already; wait until it is done")
            del self._jobs[oldest]
        threading.Thread(target=self._run, args=(name, job, work), daemon=True).start()
        return name

    def _run(self, name: str, job: StandJob, work: Callable[[StandJob], Files]) -> None:
        with self._turn:
            if self._closed or not job.is_working:
                return
            try:
                job.files = work(job)
            except StoppedError:
                job.state = "stopped"
            except GeneratorError as error:
                job.error = str(error).splitlines()[0]
                job.state = "stopped" if job.state == "stopped" else "failed"
            except Exception as error:  # a thread has nobody above it
                job.error, job.state = f"this was not foreseen ({type(error).__name__})", "failed"
            else:
                if job.state == "working":
                    job.state = "done"
        self._changed(name)

    def _id_of(self, job: StandJob) -> str:
        return next((name for name, one in self._jobs.items() if one is job), "")


def sheet_order(desk: Desk, title: str, paper: str, size: str, formats: tuple[str, ...]) -> SheetOrder:
    """How a sheet from the page is printed.

    Raises:
        RequestError: no such paper or size.
    """
    return SheetOrder(formats=formats, paper=Paper.of(paper, size), title=title, cache=Cache.at(desk.folder))


def handout_order(desk: Desk, title: str, paper: str, size: str, *, score: bool) -> HandoutOrder:
    """How a handout from the page is printed.

    Raises:
        RequestError: no such paper or size.
    """
    return HandoutOrder(paper=Paper.of(paper, size), title=title, score=score, cache=Cache.at(desk.folder))


def _zipped(files: Files) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in files.items():
            archive.writestr(zipfile.ZipInfo(name), data, zipfile.ZIP_DEFLATED)
    return out.getvalue()
