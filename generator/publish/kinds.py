"""Titles for exercises of one kind in several keys."""

from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.exercise.figure import Figure
from generator.exercise.request import Request, RowSet
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE
from generator.pages.sheet import kind_title
from generator.phrase.write import keyless
from generator.theory.form import Form


def title_of_kind(form: Form | RowSet[Form] | Routine, figure: Figure | None) -> str:
    """What exercises of a form in a figure are called together.

    >>> names = shared_catalogue()
    >>> forms, figures = names.forms.find, names.figures.find
    >>> title_of_kind(forms("major"), None), title_of_kind(forms("chromatic"), figures("long tones outward"))
    ('Major scales', 'Long tones outward')
    """
    if figure is None:
        return kind_title(form.name, "")
    said = keyless(Request(form, figure=figure, span=figure.span or FULL_RANGE))
    return said[0].upper() + said[1:]


def title_of_names(form: str, figure: str) -> str:
    """The same from the names that exercises carry; a figure of somebody's own is called by its degrees."""
    names = shared_catalogue()
    row, played = names.forms.index.get(fold(form)), names.figures.index.get(fold(figure))
    if row is None or played is None:
        return kind_title(form, figure)
    return title_of_kind(row, None if played == names.straight else played)
