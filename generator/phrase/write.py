"""A request written as its one phrase: the other half of the phrase, so that reading it gives the request back."""

from generator.exercise.figure import BROKEN, Figure
from generator.exercise.request import EVERY, IN_TURN, ORDINALS, TIMES, Request, RowSet, row_name
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
    if figure and _names_itself(request):
        # A figure that brings its form is named alone: "long tones outward from G".
        head = (
            f"{request.key_set}, {figure.name}"
            if request.key_set
            else figure.said.format(figure=figure.name, keys=keys)
        )
    else:
        head = f"{_formed(request, keys)}"
    if request.concert:
        head = f"concert {head}"
    return ", ".join([head, *_clauses(request)])


def _names_itself(request: Request) -> bool:
    """Whether the figure says what is played without its form."""
    figure = request.figure
    return figure is not None and "{keys}" in figure.said and figure.form == request.form


def _formed(request: Request, keys: str) -> str:
    """Key, form and figure."""
    form = request.form
    if not request.key_set and isinstance(form, Form) and form.said:
        head = form.said.format(keys=keys)
    elif request.key_set:
        head = f"{request.key_set}, {_plainly(form)}"
    elif isinstance(form, Form) and form.signature is None:
        head = f"{form.name} on {keys}"
    else:
        head = f"{keys} {form.name}"
    return with_figure(head, form.name, request.figure)


def with_figure(head: str, form: str, figure: Figure | None) -> str:
    """What names a form, with its figure; a broken chord takes the place of the arpeggio.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> figures = shared_catalogue().figures
    >>> with_figure("G major", "major", figures.find("thirds"))
    'G major in thirds'
    >>> with_figure("G major arpeggio", "major arpeggio", figures.find("broken chord"))
    'G major broken chord'
    """
    if figure is None:
        return head
    if figure.chord and form in BROKEN:
        return f"{head.removesuffix('arpeggio')}{figure.name}"
    return head + (" in {figure}" if "{keys}" in figure.said else figure.said).format(figure=figure.name)


def keyless(request: Request) -> str:
    """What exercises in several keys share: the phrase of a request without its key.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> names = shared_catalogue()
    >>> [keyless(parse(text, names)) for text in ("G major in thirds, one octave", "V7 of C", "whole-tone on C")]
    ['major in thirds, one octave', 'dominant seventh', 'whole-tone']
    """
    figure = request.figure
    if figure and _names_itself(request):
        return ", ".join([figure.name, *_clauses(request)])
    return ", ".join([with_figure(_plainly(request.form), request.form.name, figure), *_clauses(request)])


def _plainly(form: Form | RowSet[Form] | Routine) -> str:
    """A form without a key, as a phrase says it where that cannot mean another one: "half-whole octatonic"."""
    said = form.said.partition(" on ")[0] if isinstance(form, Form) else ""
    return said if said and said in form.aliases else form.name


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
