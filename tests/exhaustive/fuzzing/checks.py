"""What has to hold whatever a stranger writes.

Either something sound comes out, or an error of ours that blames what was written (exit code 2), in short readable
lines and in little time.
"""

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import lru_cache
from itertools import islice
from zlib import crc32

from generator.catalogue.players import player_named
from generator.catalogue.rows import LEVELS
from generator.catalogue.tables import shared_catalogue
from generator.documents.plan import Plan
from generator.documents.plan_file import MOST_DAYS, MOST_MINUTES
from generator.documents.section import Section
from generator.documents.section_file import MOST_COPIES
from generator.errors import DoesNotFitError, RequestError
from generator.exercise.build import Player
from generator.exercise.records import Exercise
from generator.exercise.request import Request
from generator.phrase import expand
from generator.phrase.read import parse
from generator.phrase.write import canonical
from generator.theory.pitch import Pitch

NAMES = shared_catalogue()
INSTRUMENTS = NAMES.instruments
LONGEST_LINE = 400  # characters a person reads without scrolling
MOST_LINES = 60
SECONDS = 2.0  # of this process alone; on an idle machine nothing takes a third of that
BUILT = 3  # exercises built of each phrase


@contextmanager
def short() -> Iterator[None]:
    """Fails where something takes long; the time spent on building music is not counted here."""
    begun = time.process_time()
    yield
    spent = time.process_time() - begun
    assert spent < SECONDS, f"{spent:.1f} s"


def check_refusal(error: RequestError) -> None:
    """A refusal is short lines of printable text."""
    assert error.exit_code == 2
    lines = str(error).split("\n")
    assert len(lines) <= MOST_LINES, f"{len(lines)} lines"
    for line in lines:
        assert line.isprintable(), ascii(line)
        assert len(line) <= LONGEST_LINE, f"{len(line)} characters: {line}"
        assert len(line.split()) >= 3, line
        assert "Traceback" not in line
        assert "argument" not in line, line


def refused(action: Callable[[], object]) -> bool:
    """Do something in little time; whether it was refused."""
    try:
        with short():
            action()
    except RequestError as error:
        check_refusal(error)
        return True
    return False


@lru_cache(maxsize=1)
def players() -> tuple[Player, ...]:
    """One of each instrument and level, small ranges of their own among them."""
    found = [player_named(i.name, level) for i in NAMES.instruments.rows for level in LEVELS]
    return (
        *found,
        player_named("clarinet", low="E3", high="G3"),
        player_named("tuba", low="C3", high="C3"),
    )


def chosen(text: str) -> Player:
    """Some player, the same for the same text."""
    return players()[crc32(text.encode("utf-8", "surrogatepass")) % len(players())]


def check_exercise(exercise: Exercise, who: Player) -> None:
    """Bars are full and notes within the compass."""
    assert exercise.bars
    assert len(exercise.clefs) == len(exercise.bars)
    for bar in exercise.bars:
        assert bar.filled == bar.metre.length
    # A drum set is a staff of its own, and not the one line that stands for its notes.
    assert who.instrument.unpitched or all(map(who.compass.holds, exercise.pitches)), exercise.phrase


def check_request(request: Request) -> None:
    """Its phrase gives it back."""
    said = canonical(request)
    assert parse(said, NAMES) == request, said
    assert canonical(parse(said, NAMES)) == said


def check_built(orders: Iterator[expand.Ordered], who: Player) -> None:
    """What is asked for can be built, or is refused with a reason."""
    try:
        for one in islice(orders, BUILT):
            try:
                made = one.make()
            except DoesNotFitError as error:
                check_refusal(error)
            else:
                check_exercise(made, who)
    except RequestError as error:
        check_refusal(error)


def check_plan(plan: Plan) -> None:
    """Every field is what the program may rely on."""
    assert 1 <= plan.minutes <= MOST_MINUTES
    assert 0 < plan.share <= 1
    assert plan.longest_wait is None or 1 <= plan.longest_wait <= MOST_DAYS
    assert plan.level in ("", *LEVELS)
    for keep in plan.keeps:
        check_request(keep.request)
        worn = keep.dressing
        for name, _ in worn.articulations:
            assert name == "every" or name in NAMES.articulations.names(), name
    for note in filter(None, (plan.low, plan.high)):
        assert Pitch.parse(note).name == note
    instrument = plan.instrument or "flute"
    refused(lambda: player_named(instrument, plan.level or "standard", plan.low or None, plan.high or None))


def check_section(section: Section) -> None:
    """Chairs in score order, each with notes to play."""
    assert section.chairs
    orders = [chair.player.instrument.order for chair in section.chairs]
    assert orders == sorted(orders)
    for chair in section.chairs:
        assert chair.name
        assert 1 <= chair.copies <= MOST_COPIES
        assert chair.player.compass.low.height <= chair.player.compass.high.height
