"""Several runs of LilyPond, two at a time.

Two processes of our own take little more than half the time of one; LilyPond's own `-djob-count` would hide the
messages in files.
"""

import re
import sys
import threading
from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import Future, ThreadPoolExecutor, as_completed
from dataclasses import dataclass

from generator.engraving import lilypond
from generator.engraving.bind import can_be_bound
from generator.engraving.cache import Cache, CachedPage, page_key
from generator.engraving.limits import MEMORY_LIMIT
from generator.engraving.process_group import ProcessGroup
from generator.engraving.program import Program
from generator.engraving.result import EngravingOrder, Result
from generator.engraving.warm import WarmPress

AT_A_TIME = 2
TIMEOUT = 300.0
_HEAD = re.compile(r'.*?\n\\include "house\.ily"\n', re.DOTALL)
_SAMPLE = r"""\book {
  \bookOutputName "sample"
  \score { \new Staff { \time 4/4 c''16-.( d'') e''8~ e''4-> f''2 \fin } }
}"""
_BOUNDS = (int(TIMEOUT), MEMORY_LIMIT)
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Job:
    """One run of LilyPond.

    Attributes:
        text: makes its text.
        outputs: the stems it delivers.
        looser: makes the text to use when the music did not fit its pages.
        weight: what it counts for in the progress; by default its outputs.
        crop: cut each piece down to its ink.
        resolution: dots an inch, for PNG.
    """

    text: Callable[[], str]
    outputs: tuple[str, ...]
    looser: Callable[[], str] | None = None
    weight: int = 0
    crop: bool = False
    resolution: int = 110

    @property
    def size(self) -> int:
        """What it counts for in the progress."""
        return self.weight or len(self.outputs)


@dataclass(frozen=True, slots=True)
class _Bench:
    """What all runs share."""

    shared: Mapping[str, str]
    formats: tuple[str, ...]
    program: Program
    cache: Cache
    crew: ProcessGroup
    presses: "_Presses | None" = None

    def run(self, job: Job) -> tuple[Mapping[str, bytes], tuple[str, ...]]:
        """Files by name, and warnings."""
        text = job.text()
        order = EngravingOrder(self.formats, job.outputs, job.resolution, job.crop)
        key = page_key(self.program, {lilypond.MAIN: text, **self.shared}, order)
        kept = self.cache.get(key, order) if key else None
        if kept is not None and (job.crop or can_be_bound(kept.files)):
            return kept.files, ()
        result = self._engraved(text, job)
        if result.overfull and job.looser:
            result = self._engraved(job.looser(), job)
        if key and not result.warnings:
            self.cache.put(key, CachedPage(result.files))
        return result.files, result.warnings

    def _engraved(self, text: str, job: Job) -> Result:
        if self.presses is not None:
            order = EngravingOrder(self.formats, job.outputs, job.resolution, job.crop)
            made = self.presses.engraved(text, order)
            if made is not None:
                return made
        return lilypond.engrave(
            {lilypond.MAIN: text, **self.shared},
            formats=self.formats,
            program=self.program,
            outputs=job.outputs,
            timeout=TIMEOUT,
            crop=job.crop,
            resolution=job.resolution,
            crew=self.crew,
        )


class _Presses:
    """A LilyPond that stays for each of the threads, for texts that all begin alike."""

    def __init__(self, program: Program, shared: Mapping[str, str]) -> None:
        self._program, self._shared = program, shared
        self._own = threading.local()
        self._all: list[WarmPress] = []

    def engraved(self, text: str, order: EngravingOrder) -> Result | None:
        """A text engraved; None where that is left to a LilyPond of its own."""
        press: WarmPress | None = getattr(self._own, "press", None)
        if press is None:
            found = _HEAD.match(text)
            if found is None or len(order.passes(cairo=self._program.cairo)) > 1:
                return None
            press = WarmPress(self._program, self._shared, found[0], _SAMPLE, order, bounds=_BOUNDS)
            self._own.press = press
            self._all.append(press)
        return press.engrave(text, seconds=TIMEOUT, outputs=order.outputs) if press.takes(text) else None

    def close(self) -> None:
        """End all of them."""
        for press in tuple(self._all):
            press.close()


def engrave_all(
    jobs: Iterable[Job],
    shared: Mapping[str, str],
    formats: tuple[str, ...],
    progress: Progress,
    cache: Cache | None = None,
    crew: ProcessGroup | None = None,
    *,
    alike: bool = False,
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Run every job; the first failure stops all the others.

    Args:
        jobs: the longest first. They may be made one after the other, while the first already run.
        shared: include files of all.
        formats: as for `lilypond.engrave`.
        progress: told how much of how much is done.
        cache: where finished pages are kept.
        crew: stops the work from outside.
        alike: the texts begin alike and ask for the same, so that a LilyPond may stay for the next.

    Returns:
        Content by file name, and warnings, each once.

    Raises:
        MachineError: as `lilypond.engrave`.
    """
    program = lilypond.find()
    presses = _Presses(program, shared) if alike and sys.platform != "win32" else None
    bench = _Bench(shared, formats, program, cache or Cache.nothing(), crew or ProcessGroup(), presses)
    total = done = 0
    files: dict[str, bytes] = {}
    warnings: list[str] = []
    running: dict[Future[tuple[Mapping[str, bytes], tuple[str, ...]]], int] = {}
    with ThreadPoolExecutor(AT_A_TIME) as pool:
        try:
            for job in jobs:
                running[pool.submit(bench.run, job)] = job.size
                total += job.size
            progress(0, total)
            for future in as_completed(running):
                found, told = future.result()
                files |= found
                warnings += told
                done += running[future]
                progress(done, total)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            bench.crew.halt()
            raise
        finally:
            if presses is not None:
                presses.close()
    return files, tuple(dict.fromkeys(warnings))
