"""A request written as its one phrase: the other half of the phrase, so that reading it gives the request back."""

from generator.exercise.request import EVERY, IN_TURN, ORDINALS, TIMES, Request, row_name
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE, OVER_THE_BREAK
from generator.phrase.vocabulary import UNIT_NAMES
from generator.theory.form import Form


def canonical(request: Request) -> str:
    """Write a request as its one phrase.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> from generator.phrase.read import parse
    >>> canonical(parse("thirds of the E flat major scale, 2 octaves, crotchet = 84", names))
    'E-flat major in thirds, two octaves, quarter = 84'
    """
    if isinstance(request.form, Routine):
        return ", ".join([request.form.name, *_tempo_clause(request)])
    keys = _joined([k.words for k in request.keys])
    figure = request.figure
    if figure and figure.form == request.form and figure.kind == "outward":
        return ", ".join([_outward(request, keys), *_clauses(request)])
    if not request.key_set and isinstance(request.form, Form) and request.form.said:
        head = request.form.said.format(keys=keys)
    elif request.key_set:
        head = f"{request.key_set}, {request.form.name}"
    elif isinstance(request.form, Form) and request.form.signature is None:
        head = f"{request.form.name} on {keys}"
    else:
        head = f"{keys} {request.form.name}"
    if request.concert:
        head = f"concert {head}"
    if figure:
        head += figure.said.format(figure=figure.name)
    return ", ".join([head, *_clauses(request)])


def _outward(request: Request, keys: str) -> str:
    """A figure that brings its form is named alone: "long tones outward from G"."""
    name = request.figure.name if request.figure else ""
    said = f"{request.key_set}, {name}" if request.key_set else f"{name} from {keys}"
    return f"concert {said}" if request.concert else said


def keyless(request: Request) -> str:
    """What exercises in several keys share: the phrase of a request without its key.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> names = shared_catalogue()
    >>> [keyless(parse(text, names)) for text in ("G major in thirds, one octave", "V7 of C", "whole-tone on C")]
    ['major in thirds, one octave', 'dominant seventh', 'whole-tone']
    """
    figure = request.figure
    if figure and figure.form == request.form and figure.kind == "outward":
        return ", ".join([figure.name, *_clauses(request)])
    added = figure.said.format(figure=figure.name) if figure else ""
    return ", ".join([f"{request.form.name}{added}", *_clauses(request)])


def _clauses(request: Request) -> list[str]:
    plain = Request(request.form)
    own_span = (request.figure and request.figure.span) or FULL_RANGE
    clauses: list[str] = []
    if request.names != "usual":
        clauses.append({"sharps": "sharp names", "flats": "flat names", "both": "both names"}[request.names])
    if request.span != own_span:
        clauses.append(request.span.name)
    if request.direction != plain.direction:
        clauses.append(request.direction)
    if request.degree == EVERY:
        clauses.append("from every degree")
    elif request.degree:
        clauses.append(f"from the {ORDINALS[int(request.degree)]} degree")
    if request.register == OVER_THE_BREAK:
        clauses.append(OVER_THE_BREAK)
    elif request.register != plain.register:
        clauses.append(f"from the {request.register}")
    if request.inside:
        clauses.append("inside the span")
    if request.clef:
        clauses.append(f"in {request.clef} clef")
    clauses += _dressing(request)
    return clauses + _tempo_clause(request)


def _tempo_clause(request: Request) -> list[str]:
    if request.tempo is None:
        return []
    unit = next(name for name, value in UNIT_NAMES.items() if value == request.tempo.unit)
    goal = f" to {request.goal}" if request.goal else ""
    step = f" by {request.step}" if request.goal and request.step else ""
    return [f"{unit} = {request.tempo.bpm}{goal}{step}", *(["two up one down"] if request.climb else [])]


def _dressing(request: Request) -> list[str]:
    clauses: list[str] = []
    if rhythm := row_name(request.rhythm):
        clauses.append({EVERY: "every rhythm", IN_TURN: "rhythms in turn"}.get(rhythm, rhythm))
    if request.metre:
        clauses.append(f"in {request.metre}")
    whole = {EVERY: "every articulation", IN_TURN: "articulations in turn"}
    up, down = row_name(request.articulation), row_name(request.articulation_down)
    if down:
        clauses += [f"{whole.get(up, up)} up"] if up else []
        clauses.append(f"{down} down")
    elif up:
        clauses.append(whole.get(up, up))
    return clauses + playing_clauses(request)


def playing_clauses(request: Request) -> list[str]:
    """The clauses that say how loud and how often.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> playing_clauses(parse("G major, softly, repeat each bar twice, three times", shared_catalogue()))
    ['p', 'each bar twice', 'three times']
    """
    bars = ["each bar twice"] if request.bar_times > 1 else []
    times = [TIMES[request.times]] if request.times > 1 else []
    return [*([request.dynamic] if request.dynamic else []), *bars, *times]


def _joined(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}" if names else ""
