"""A tuning page becomes files."""

from collections.abc import Mapping, Sequence

from generator.catalogue.tables import shared_catalogue
from generator.engraving import lilypond
from generator.engraving.include import ENGRAVED
from generator.engraving.render_tuning import render_tuning, tuning_style
from generator.errors import RequestError
from generator.exercise.build import Player
from generator.exercise.tuning import Reading
from generator.files.atomic import place_all
from generator.files.resources import data_folder
from generator.files.text import slug
from generator.pages.cautions import caution
from generator.pages.tuning import lay_out_tuning, tuning_words
from generator.publish.codes import sheet_code
from generator.publish.sheet import Printed, SheetOrder


def print_tuning(
    order: SheetOrder, player: Player, readings: Mapping[int, Sequence[Reading]], whose: str
) -> Printed:
    """Print a tuning page.

    Args:
        order: how to print; of the formats only pdf, png and svg.
        player: for whom.
        readings: what was noted last time, by the height of the written note.
        whose: the player's name, or "".

    Raises:
        RequestError: another format is asked for, or the instrument's pitch is not in the player's hands.
        MachineError: LilyPond or the disk failed; nothing half-written is left.
    """
    other = [name for name in order.formats if name not in ENGRAVED]
    if other:
        raise RequestError(f"a tuning page is a picture: {', '.join(ENGRAVED)}, not {other[0]}")
    told = caution((), player, shared_catalogue().cautions.rows, also=("long", "drone"))
    page = lay_out_tuning(player, readings, tuning_words(player, whose, order.date, told), order.paper)
    templates = data_folder("templates")
    files = {lilypond.MAIN: render_tuning(page, templates), **tuning_style(templates)}
    result = lilypond.engrave(files, formats=order.formats)
    code = sheet_code(
        [player.instrument.name, player.compass.words, order.paper, page.rows, whose, order.date]
    )
    stem = f"tuning-{slug(player.instrument.name, 32)}-{code.lower()}"
    named = {name.replace("sheet", stem, 1): data for name, data in result.files.items()}
    paths = place_all({order.out / name: data for name, data in named.items()})
    return Printed(paths, code, result.warnings)
