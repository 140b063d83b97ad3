"""Several runs of LilyPond, two at a time.

Two processes of our own take little more than half the time of one; LilyPond's own `-djob-count` would hide the
messages in files.
"""

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, as_completed
from dataclasses import dataclass

from generator.engraving import lilypond
from generator.engraving.verdict import Result

AT_A_TIME = 2
TIMEOUT = 300.0
Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Job:
    """One run of LilyPond.

    Attributes:
        text: makes its text.
        outputs: the stems it delivers.
        looser: makes the text to use when the music did not fit its pages.
    """

    text: Callable[[], str]
    outputs: tuple[str, ...]
    looser: Callable[[], str] | None = None


def engrave_all(
    jobs: Sequence[Job], shared: Mapping[str, str], formats: tuple[str, ...], progress: Progress
) -> tuple[dict[str, bytes], tuple[str, ...]]:
    """Run every job; the first failure stops those that have not begun.

    Args:
        jobs: the longest first.
        shared: include files of all.
        formats: as for `lilypond.engrave`.
        progress: told how many outputs of how many are done.

    Returns:
        Content by file name, and warnings, each once.

    Raises:
        MachineError: as `lilypond.engrave`.
    """
    program = lilypond.find()
    total, done = sum(len(job.outputs) for job in jobs), 0
    files: dict[str, bytes] = {}
    warnings: list[str] = []

    def engraved(text: str, job: Job) -> Result:
        texts = {lilypond.MAIN: text, **shared}
        return lilypond.engrave(texts, formats=formats, program=program, outputs=job.outputs, timeout=TIMEOUT)

    def run(job: Job) -> Result:
        result = engraved(job.text(), job)
        return engraved(job.looser(), job) if result.overfull and job.looser else result

    progress(0, total)
    with ThreadPoolExecutor(AT_A_TIME) as pool:
        running = {pool.submit(run, job): job for job in jobs}
        try:
            for future in as_completed(running):
                result = future.result()
                files |= result.files
                warnings += result.warnings
                done += len(running[future].outputs)
                progress(done, total)
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    return files, tuple(dict.fromkeys(warnings))
