"""A request put together from the parts a phrase named."""

from typing import Any

from generator.catalogue.tables import Catalogue
from generator.errors import RequestError
from generator.exercise.request import EVERY, Request, first_form
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE
from generator.phrase.vocabulary import ORDINALS
from generator.theory.pitch import NoteName


def request_of(said: str, keys: tuple[NoteName, ...], found: dict[str, Any], catalogue: Catalogue) -> Request:
    """Put a request together from what a phrase named.

    Args:
        said: the phrase as messages quote it.
        keys: tonics, in order.
        found: what was named, by kind.
        catalogue: the names.

    Raises:
        RequestError: no key or no form was named, or something that the form does not take.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> request = request_of("G major", (NoteName.parse("G"),), {"form": names.forms.find("major")}, names)
    >>> request.span.name, request.direction
    ('full range', 'up and down')
    """
    if "form" not in found and "figure" in found:
        # "octave leaps on G-sharp": a figure alone means its own form.
        found["form"] = found["figure"].form
    if "form" not in found:
        key = keys[0].words if keys else "G"
        raise RequestError(
            f"{said} names no form; after the key say which, like {key} major or {key} harmonic minor"
        )
    if isinstance(found["form"], Routine):
        return _routine(keys, found)
    form = first_form(found["form"])
    key_set = found.get("key set")
    if not keys and key_set is None:
        if form.distinct in (1, 12):
            raise RequestError(f"{said} names no key; write one, like {found['form'].name} on C, or all keys")
        key_set = "all keys"
    figure = found.get("figure", catalogue.straight)
    return Request(
        form=found["form"],
        keys=keys,
        key_set=key_set,
        concert=found.get("concert", False),
        names=found.get("names", "usual"),
        figure=None if figure == catalogue.straight else figure,
        span=found.get("span") or figure.span or FULL_RANGE,
        direction=found.get("direction", "up and down"),
        degree=_degree(found, form.size),
        register=found.get("register", "lowest octave"),
        inside=found.get("inside", False),
        rhythm=found.get("rhythm"),
        metre=found.get("metre", ""),
        articulation=found.get("articulation"),
        articulation_down=found.get("articulation_down"),
        tempo=found.get("tempo"),
        goal=found.get("goal"),
        step=found.get("step"),
        climb=_climb(found),
    )


def _routine(keys: tuple[NoteName, ...], found: dict[str, Any]) -> Request:
    """A pattern over the partials: it has no key, and takes nothing but a tempo."""
    extra = sorted(set(found) - {"form", "form first", "tempo", "goal", "step", "climb"})
    if keys or extra:
        what = keys[0].words if keys else f"a {extra[0]}"
        raise RequestError(
            f"{found['form'].name} go through every fingering and take no {what}, only a tempo"
        )
    return Request(
        found["form"],
        tempo=found.get("tempo"),
        goal=found.get("goal"),
        step=found.get("step"),
        climb=_climb(found),
    )


def _climb(found: dict[str, Any]) -> bool:
    if found.get("climb") and not found.get("goal"):
        raise RequestError(
            "two up one down is a way through a row of tempi; write one, like quarter = 60 to 108"
        )
    return bool(found.get("climb"))


def _degree(found: dict[str, Any], size: int) -> Any:  # noqa: ANN401
    degree = found.get("degree", 0)
    if degree != EVERY and degree >= size:
        raise RequestError(
            f"{found['form'].name} has {size} degrees; there is no {ORDINALS[degree]} degree to start from"
        )
    return degree
