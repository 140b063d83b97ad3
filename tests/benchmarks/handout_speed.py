"""How long a handout of 40 parts and a score takes, against LilyPond alone on the same files.

    python tests/benchmarks/handout_speed.py [ROUNDS]

Prints seconds of wall clock and their ratios; on a shared machine only the ratios of one run mean anything. LilyPond
alone gets the very texts that the handout gave it: one run after the other, then two at a time.
"""

import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from generator.catalogue.tables import shared_catalogue
from generator.documents.section import Section, from_names
from generator.engraving import lilypond
from generator.engraving.result import Result
from generator.publish.handout import HandoutOrder, hand_out
from generator.section.rehearsal import rehearse
from generator.section.rehearsal_plan import RehearsalPlan

NAMES = (
    "piccolo, flute, oboe, bassoon, E-flat clarinet, clarinet, bass clarinet, alto saxophone, "
    "tenor saxophone, baritone saxophone, trumpet, cornet, horn, trombone, bass trombone, euphonium, "
    "euphonium TC, tuba, glockenspiel, snare drum"
)
PHRASES = (
    "concert B-flat major in thirds, quarter = 60 to 96",
    "concert E-flat major in fourths",
    "concert F major in triads",
    "concert A-flat major, slur two tongue two",
)
Run = tuple[Mapping[str, str], dict[str, object]]


def forty() -> Section:
    table = shared_catalogue().instruments
    section = from_names(f"{NAMES}, {NAMES}", "standard", table)
    assert len(section.chairs) == 40
    return section


def timed(action: Callable[[], object]) -> float:
    begin = time.perf_counter()
    action()
    return time.perf_counter() - begin


def handout(section: Section) -> None:
    with tempfile.TemporaryDirectory() as folder:
        done = hand_out(HandoutOrder(out=Path(folder)), rehearse(section, RehearsalPlan(PHRASES)))
        assert len(done.given) == 40


def recorded(section: Section) -> list[Run]:
    """The runs of LilyPond that the handout makes."""
    runs: list[Run] = []
    real = lilypond.engrave

    def recording(files: Mapping[str, str], **options: object) -> Result:
        runs.append((files, options))
        return real(files, **options)  # type: ignore[arg-type]

    lilypond.engrave = recording  # type: ignore[assignment]
    try:
        handout(section)
    finally:
        lilypond.engrave = real
    return runs


def alone(runs: list[Run], processes: int) -> None:
    with ThreadPoolExecutor(processes) as pool:
        for done in [pool.submit(lilypond.engrave, files, **options) for files, options in runs]:  # type: ignore[arg-type]
            done.result()


def main(rounds: int) -> None:
    section = forty()
    runs = recorded(section)
    kinds: dict[str, Callable[[], object]] = {
        "handout, 40 parts and a score": lambda: handout(section),
        "LilyPond alone, one process": lambda: alone(runs, 1),
        "LilyPond alone, two processes": lambda: alone(runs, 2),
    }
    times: dict[str, list[float]] = {kind: [] for kind in kinds}
    for _ in range(rounds):
        for kind, action in kinds.items():
            times[kind].append(timed(action))
    ours = times["handout, 40 parts and a score"]
    for kind, seconds in times.items():
        ratios = [a / b for a, b in zip(ours, seconds, strict=True)]
        ratio = statistics.median(ratios)
        sys.stdout.write(f"{kind:32} {statistics.median(seconds):6.2f} s   handout / this {ratio:5.2f}\n")
    building = timed(lambda: rehearse(section, RehearsalPlan(PHRASES)))
    sys.stdout.write(f"{'building alone':32} {building:6.2f} s\n")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
