"""A figure of a player's own, typed as degrees: ``1 3 5 3 4 2 7, 1``.

Degrees count the notes of the form from 1 at the root. ``7,`` (or ``low 7``) is the seventh note an octave lower,
``1'`` (or ``high 1``) the first an octave higher; 8, 9 and so on go on upwards. The cell moves step by step like that
of any figure of the catalogue, and falls as its mirror.
"""

from collections.abc import Sequence

from generator.catalogue.names import words_of
from generator.catalogue.tables import Catalogue
from generator.errors import RequestError, shown
from generator.exercise.figure import OCTAVE_SIGN, Figure

HIGHEST_DEGREE = 16
FEWEST_DEGREES, MOST_DEGREES = 3, 32
_RHYTHMS = ((4, "sixteenths"), (3, "triplets"), (5, "quintuplets"))
Degree = tuple[int, int]
"""A degree from 1, and octaves it is moved: -1, 0 or 1."""


def own_figure(degrees: Sequence[Degree], catalogue: Catalogue) -> Figure:
    """A figure from degrees; it is named by them.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> figure = own_figure([(1, 0), (3, 0), (7, -1), (1, 0)], shared_catalogue())
    >>> figure.name, figure.sized(7)[0]
    ('1 3 low 7 1', ((0, 2, -1, 0),))
    """
    if not FEWEST_DEGREES <= len(degrees) <= MOST_DEGREES:
        raise RequestError(
            f"a figure of your own has {FEWEST_DEGREES} to {MOST_DEGREES} degrees, not {len(degrees)}"
        )
    words = {-1: "low ", 0: "", 1: "high "}
    signs = {-1: f"-{OCTAVE_SIGN}+", 1: f"{OCTAVE_SIGN}+"}
    rhythm = next((name for size, name in _RHYTHMS if len(degrees) % size == 0), "sixteenths")
    return Figure(
        name=" ".join(f"{words[octave]}{degree}" for degree, octave in degrees),
        cells=(
            tuple(f"{signs[octave]}{degree - 1}" if octave else degree - 1 for degree, octave in degrees),
        ),
        rhythm=catalogue.rhythms.find(rhythm),
        form=catalogue.forms.find("major"),
    )


def figure_of_degrees(text: str, catalogue: Catalogue) -> Figure:
    """A figure from its degrees as a text.

    Raises:
        RequestError: something in it is no degree.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> figure_of_degrees("1 3 5 3 4 2 7, 1", shared_catalogue()).name
    '1 3 5 3 4 2 low 7 1'
    """
    words = words_of(text)
    found: list[Degree] = []
    octave = 0
    apart = len(words) > 2 and all("," in word.gap for word in words[1:])
    for place, word in enumerate(words):
        if word.key in ("low", "high") and not octave:
            octave = -1 if word.key == "low" else 1
            continue
        if not is_degree(word.text):
            raise RequestError(
                f"{shown(word.text, 40)} is no degree; write a figure like 1 3 5 3 4 2 7, 1, with numbers from 1 to "
                f"{HIGHEST_DEGREE}"
            )
        after = words[place + 1].gap if place + 1 < len(words) else text[word.end :]
        found.append((int(word.text), octave or mark(after, apart=apart)))
        octave = 0
    return own_figure(found, catalogue)


def is_degree(text: str) -> bool:
    """Whether a word is the number of a degree.

    >>> is_degree("7"), is_degree("80"), is_degree("seven")
    (True, False, False)
    """
    return text.isascii() and text.isdecimal() and len(text) < 3 and 1 <= int(text) <= HIGHEST_DEGREE


def mark(after: str, *, apart: bool) -> int:
    """The octave that a mark after a degree says: a comma one lower, an apostrophe one higher.

    Args:
        after: what stands between the degree and the next word.
        apart: commas only part the degrees, since one stands after each.

    >>> mark(", ", apart=False), mark("' ", apart=False), mark(" ", apart=False)
    (-1, 1, 0)
    """
    if after[:1] == "," and not apart:
        return -1
    return 1 if after[:1] in ("'", "\u2019") else 0
