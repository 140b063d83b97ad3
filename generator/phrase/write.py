"""A request written as its one phrase: the other half of the phrase, so that reading it gives the request back."""

from dataclasses import replace

from generator.catalogue.tables import Catalogue
from generator.exercise.request import DEFAULT_SPAN, EVERY, IN_TURN, Request
from generator.phrase.vocabulary import ORDINALS, UNIT_NAMES


def canonical(request: Request, catalogue: Catalogue) -> str:
    """Write a request as its one phrase."""
    if request.form in catalogue.routines.names():
        return ", ".join([request.form, *_tempo_clause(request)])
    form = catalogue.form_of(request.form)
    keys = _joined([k.words for k in request.keys])
    if request.key_set:
        head = f"{request.key_set}, {request.form}"
    elif form.signature is None:
        head = f"{request.form} on {keys}"
    else:
        head = f"{keys} {request.form}"
    if request.concert:
        head = f"concert {head}"
    if request.figure:
        head += f" in {request.figure}"
    own_span = catalogue.figures.find(request.figure or form.default_figure).span or DEFAULT_SPAN
    return ", ".join([head, *_clauses(request, own_span)])


def _clauses(request: Request, own_span: str) -> list[str]:
    plain = replace(Request(""), form=request.form)
    clauses: list[str] = []
    if request.names != "usual":
        clauses.append({"sharps": "sharp names", "flats": "flat names", "both": "both names"}[request.names])
    if request.span != own_span:
        clauses.append(request.span)
    if request.direction != plain.direction:
        clauses.append(request.direction)
    if request.degree == EVERY:
        clauses.append("from every degree")
    elif request.degree:
        clauses.append(f"from the {ORDINALS[int(request.degree)]} degree")
    if request.register != plain.register:
        clauses.append(f"from the {request.register}")
    if request.inside:
        clauses.append("inside the span")
    clauses += _dressing(request)
    return clauses + _tempo_clause(request)


def _tempo_clause(request: Request) -> list[str]:
    if request.tempo is None:
        return []
    unit = next(name for name, value in UNIT_NAMES.items() if value == request.tempo.unit)
    goal = f" to {request.goal}" if request.goal else ""
    step = f" by {request.step}" if request.goal and request.step else ""
    return [f"{unit} = {request.tempo.bpm}{goal}{step}"]


def _dressing(request: Request) -> list[str]:
    clauses: list[str] = []
    if request.rhythm:
        clauses.append(
            {EVERY: "every rhythm", IN_TURN: "rhythms in turn"}.get(request.rhythm, request.rhythm)
        )
    if request.metre:
        clauses.append(f"in {request.metre}")
    whole = {EVERY: "every articulation", IN_TURN: "articulations in turn"}
    up, down = request.articulation, request.articulation_down
    if down:
        clauses += [f"{whole.get(up, up)} up"] if up else []
        clauses.append(f"{down} down")
    elif up:
        clauses.append(whole.get(up, up))
    return clauses


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else ""
