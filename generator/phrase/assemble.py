"""A request put together from the parts a phrase named."""

from typing import Any

from generator.catalogue.tables import Catalogue
from generator.errors import RequestError
from generator.exercise.articulation import Articulation
from generator.exercise.figure import Figure
from generator.exercise.records import Tempo
from generator.exercise.request import EVERY, ORDINALS, Request, RowSet, first_form
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE
from generator.exercise.tempo import beat_value
from generator.theory.duration import Metre, Value
from generator.theory.form import Form
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
    _formed(said, keys, found)
    if isinstance(found["form"], Routine):
        return _routine(keys, found)
    form = first_form(found["form"])
    key_set = found.get("key set")
    if not keys and key_set is None:
        if form.distinct in (1, 12):
            raise RequestError(f"{said} names no key; write one, like {found['form'].name} on C, or all keys")
        key_set = "all keys"
    figure = found.get("figure", catalogue.straight)
    tempo = found.get("tempo")
    if isinstance(tempo, int):
        tempo = Tempo(_beat(found, figure, catalogue), tempo)
    return Request(
        form=found["form"],
        keys=keys,
        key_set=key_set,
        concert=found.get("concert", False),
        names=found.get("names", "usual"),
        figure=None if figure == catalogue.straight else figure,
        span=found.get("span") or figure.span or FULL_RANGE,
        direction=found.get("direction", "up and down"),
        degree=_degree(found, form),
        register=found.get("register", "lowest octave"),
        inside=found.get("inside", False),
        rhythm=found.get("rhythm"),
        metre=found.get("metre", ""),
        articulation=found.get("articulation"),
        articulation_down=found.get("articulation_down"),
        clef=found.get("clef", ""),
        dynamic=found.get("dynamic", ""),
        times=found.get("times", 1),
        bar_times=found.get("bar_times", 1),
        tempo=tempo,
        goal=found.get("goal"),
        step=found.get("step"),
        climb=_climb(found),
    )


def _formed(said: str, keys: tuple[NoteName, ...], found: dict[str, Any]) -> None:
    """A form where none was named; a figure alone, as in "octave leaps on G-sharp", means its own."""
    if "form" not in found and "figure" in found:
        found["form"] = found["figure"].form
    if "form" not in found:
        key = keys[0].words if keys else "G"
        raise RequestError(
            f"{said} names no form; after the key say which, like {key} major or {key} harmonic minor"
        )


def _beat(found: dict[str, Any], figure: Figure, catalogue: Catalogue) -> Value:
    """What a tempo counts where no note value is named: the beat of the metre that will be printed."""
    if found.get("metre"):
        return beat_value(Metre.parse(found["metre"]))
    rhythm = found.get("rhythm")
    if isinstance(rhythm, RowSet):
        rhythm = rhythm.members[0]
    for worn in (found.get("articulation"), found.get("articulation_down")):
        if rhythm is None and isinstance(worn, Articulation):
            rhythm = worn.rhythm
    row = rhythm if isinstance(rhythm, Rhythm) else figure.rhythm or catalogue.rhythms.find("sixteenths")
    return beat_value(row.metre)


def _routine(keys: tuple[NoteName, ...], found: dict[str, Any]) -> Request:
    """A pattern over the partials: it has no key, and takes nothing but a tempo."""
    extra = sorted(set(found) - {"form", "tempo", "goal", "step", "climb"})
    routine = found["form"]
    if keys or extra:
        what = "key" if keys or extra[0] == "key set" else extra[0].replace("_", " ")
        raise RequestError(
            f"{routine.name} go through every fingering or position and take no {what}, only a tempo"
        )
    tempo = found.get("tempo")
    if isinstance(tempo, int):
        tempo = Tempo(beat_value(routine.rhythm.metre), tempo)
    return Request(
        routine,
        tempo=tempo,
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


def _degree(found: dict[str, Any], form: Form) -> Any:  # noqa: ANN401
    degree = found.get("degree", 0)
    if "nth" in found and not degree:
        # "From the fifth" of a chord is its fifth, of a scale its fifth note.
        nth: int = found["nth"]
        steps = [interval.steps for interval in form.up]
        degree = steps.index(nth) if form.chord and nth in steps else nth
    if degree != EVERY and degree >= form.size:
        raise RequestError(
            f"{found['form'].name} has {form.size} degrees; there is no {ORDINALS[degree]} degree to start from"
        )
    return degree
