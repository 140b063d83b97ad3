"""``scalewright handout --test``: a playing test instead of parts."""

from collections.abc import Iterator, Sequence

from generator.api.playing_tests import playing_test
from generator.cli.chance import chance_of
from generator.cli.messages import Message, put_out, tell
from generator.cli.progress_bar import progress_bar
from generator.documents.section import Section
from generator.files.home import current_folder
from generator.publish.handout import HandoutOrder
from generator.publish.playing_tests import SECRET, PrintedTest
from generator.rotation.words import count
from generator.section.audition import Audition
from generator.theory.written_key import Keys


def hand_out_test(
    phrases: Sequence[str],
    section: Section,
    order: HandoutOrder,
    *,
    list_: str | None,
    draw: int,
    seed: int | None,
    numbers: bool,
    keys: Keys,
    quiet: bool,
) -> None:
    """Print a playing test, and say what has to be said about it."""
    drawn = chance_of(seed)[1] if draw or numbers else None
    if phrases and section.test.items:
        tell(
            [Message("the phrases of the command are tested, not the [[test_item]] rows of the section file")]
        )
    with progress_bar(quiet=quiet) as progress:
        done, made = playing_test(
            *phrases,
            section=section,
            order=order,
            keys=keys,
            listed=(list_, current_folder()) if list_ else None,
            draw=draw,
            seed=drawn,
            numbers=numbers,
            progress=progress,
        )
    tell(_lines(done, made, drawn))
    if order.two_up:
        tell(
            [
                Message(
                    "half sheets: cut the landscape pages in the middle, and lay the left pile on the right one"
                )
            ]
        )
    for path in done.paths:
        put_out(path)


def _lines(done: PrintedTest, made: Audition, drawn: int | None) -> Iterator[Message]:
    if drawn is not None:
        yield Message(f"drawn with --seed {drawn}")
    yield Message(count(len(made.lines), "candidate"))
    for line in made.told:
        yield Message(line, loud=line.startswith("left out"))
    if made.numbered:
        yield Message(f"who has which number stands in {SECRET} alone: keep it apart", loud=True)
    if done.kept:
        yield Message(f"{done.kept} is there already and was left as it is", loud=True)
    for warning in done.warnings:
        yield Message(warning, loud=True)
