"""A request put together from the parts a phrase named."""

from typing import Any

from generator.catalogue.tables import Catalogue
from generator.errors import RequestError
from generator.exercise.request import DEFAULT_SPAN, EVERY, Request
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
    """
    if "form" not in found and "figure" in found:
        # "octave leaps on G-sharp": a figure alone means its own form.
        found["form"] = catalogue.figures.find(found["figure"]).form
    if "form" not in found:
        key = keys[0].words if keys else "G"
        raise RequestError(
            f"{said} names no form; after the key say which, like {key} major or {key} harmonic minor"
        )
    if found["form"] in catalogue.routines.names():
        return _routine(keys, found)
    form = catalogue.form_of(found["form"])
    key_set = found.get("key set")
    if not keys and key_set is None:
        if form.distinct in (1, 12):
            raise RequestError(f"{said} names no key; write one, like {found['form']} on C, or all keys")
        key_set = "all keys"
    figure = found.get("figure", form.default_figure)
    return Request(
        form=found["form"],
        keys=keys,
        key_set=key_set,
        concert=found.get("concert", False),
        names=found.get("names", "usual"),
        figure="" if figure == form.default_figure else figure,
        span=found.get("span") or catalogue.figures.find(figure).span or DEFAULT_SPAN,
        direction=found.get("direction", "up and down"),
        degree=_degree(found, form.size),
        register=found.get("register", "lowest octave"),
        inside=found.get("inside", False),
        rhythm=found.get("rhythm", ""),
        metre=found.get("metre", ""),
        articulation=found.get("articulation", ""),
        articulation_down=found.get("articulation_down", ""),
        tempo=found.get("tempo"),
        goal=found.get("goal"),
        step=found.get("step"),
    )


def _routine(keys: tuple[NoteName, ...], found: dict[str, Any]) -> Request:
    """A pattern over the partials: it has no key, and takes nothing but a tempo."""
    extra = sorted(set(found) - {"form", "form first", "tempo", "goal", "step"})
    if keys or extra:
        what = keys[0].words if keys else f"a {extra[0]}"
        raise RequestError(f"{found['form']} go through every fingering and take no {what}, only a tempo")
    return Request(found["form"], tempo=found.get("tempo"), goal=found.get("goal"), step=found.get("step"))


def _degree(found: dict[str, Any], size: int) -> Any:  # noqa: ANN401
    degree = found.get("degree", 0)
    if degree != EVERY and degree >= size:
        raise RequestError(
            f"{found['form']} has {size} degrees; there is no {ORDINALS[degree]} degree to start from"
        )
    return degree
