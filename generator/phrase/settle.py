"""From the parts of a phrase to its requests: what a part leaves open it takes from the others, as a musician would.

A part without keys keeps those of the part before; a part without a form keeps its form; an arpeggio is that of the
scales before it. Clauses before the first part and after the last one belong to all; a clause inside belongs to its own
part.
"""

from collections.abc import Iterator, Sequence
from itertools import product
from typing import Any

from generator.catalogue.tables import Catalogue
from generator.errors import RequestError
from generator.exercise.request import Request, RowSet, first_form
from generator.exercise.routine import Routine
from generator.phrase.assemble import request_of
from generator.phrase.part import Part, Signs
from generator.phrase.usual import with_usual
from generator.phrase.ways import Ways, Words
from generator.theory.form import Form
from generator.theory.interval import UNISON, Interval
from generator.theory.pitch import NoteName

MOST = 200
"""Requests of one phrase."""
_CLAUSES = (
    "figure",
    "span",
    "direction",
    "degree",
    "nth",
    "register",
    "inside",
    "rhythm",
    "metre",
    "articulation",
    "articulation_down",
    "clef",
    "dynamic",
    "times",
    "bar_times",
    "tempo",
    "concert",
)
_ROOT, _KEY = ("on", "from", "root"), ("of", "in", "for", "through", "to")
_WITH_TEMPO = ("goal", "step", "climb")
_RELATIVE = {"minor": "-m3", "major": "m3", "parallel minor": "P1"}
_TRIADS = {
    ("M3", "P5"): "major arpeggio",
    ("m3", "P5"): "minor arpeggio",
    ("m3", "d5"): "diminished arpeggio",
    ("M3", "A5"): "augmented arpeggio",
}


def requests_of(said: str, parts: Sequence[Part], catalogue: Catalogue, ways: Ways) -> tuple[Request, ...]:
    """The requests of a phrase, in order.

    Args:
        said: the phrase as messages quote it.
        parts: as read.
        catalogue: the names.
        ways: what the plan settles.

    Raises:
        RequestError: a part names no key or no form, or what its form does not take.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.ways import USUAL
    >>> names = shared_catalogue()
    >>> first = Part([NoteName.parse("G")], {"form": names.forms.find("major")})
    >>> second = Part([NoteName.parse("D")], {"span": names.spans.find("two octaves")})
    >>> [(r.keys[0].name, r.form.name, r.span.name) for r in requests_of("", [first, second], names, USUAL)]
    [('G', 'major', 'two octaves'), ('D', 'major', 'two octaves')]
    """
    whole = list(_with_arpeggios(parts))
    _told_modes(whole, catalogue, ways)
    first = whole[0]
    if not first.has_keys and first.form_first and not first.every and len(whole) > 1:
        # "Major and minor arpeggios on C": what comes first waits for the key.
        later = next((part for part in whole[1:] if part.has_keys), first)
        first.keys, first.signs, first.key_after = list(later.keys), later.signs, later.key_after
        first.key_said = later.key_said
        first.found |= {kind: later.found[kind] for kind in ("key set", "names") if kind in later.found}
    for part, before in zip(whole, [None, *whole], strict=False):
        _filled(part, before, catalogue, ways.words)
    _shared(whole)
    found: list[Request] = []
    for part in whole:
        for alternative in _alternatives(part):
            on_chord = _on_its_chord(alternative, catalogue, ways.words)
            found += _requests(said, part, with_usual(on_chord, catalogue, ways), catalogue)
            if len(found) > MOST:
                raise RequestError(f"{said} asks for more than {MOST} things at once")
    return tuple(found)


def _with_arpeggios(parts: Sequence[Part]) -> Iterator[Part]:
    """With the arpeggios of "scales and arpeggios in ..." after all the scales."""
    yield from parts
    for part in parts:
        if part.with_arpeggio:
            yield Part(arpeggio_of=part)


def _told_modes(parts: Sequence[Part], catalogue: Catalogue, ways: Ways) -> None:
    """Which minor, which modes, which relative: settled as soon as the whole phrase is known."""
    for part in parts:
        if part.bare_minor and isinstance(part.form, Form):
            part.found["form"] = catalogue.forms.find(f"{ways.minor} minor")
        if part.relative == "major":
            part.found["form"] = catalogue.forms.find("major")
        elif part.relative and not (isinstance(part.form, Form | RowSet) and "minor" in part.form.name):
            part.found["form"] = catalogue.forms.find(f"{ways.minor} minor")
        if part.modes:
            form = part.plain_form
            name = "melodic minor" if form and form.name == "melodic minor both ways" else form and form.name
            part.found["form"] = catalogue.sets.find(f"{name or 'major'} modes")


def _filled(part: Part, before: Part | None, catalogue: Catalogue, words: Words) -> None:
    """Keys and form from the part before, where it says none itself."""
    source = part.arpeggio_of or part.relative_of or before
    own_keys = part.has_keys
    if source is not None and not own_keys:
        part.keys, part.signs = list(source.keys), source.signs
        for kind in ("key set", "names", "concert"):
            if kind in source.found:
                part.found.setdefault(kind, source.found[kind])
    if part.every and not part.has_keys:
        part.found["key set"] = "all keys"
    if part.relative:
        move = Interval.parse(_RELATIVE[part.relative])
        part.keys = [move.above_name(key) for key in part.keys]
    form = _form_of(part, source, catalogue)
    if isinstance(form, Form) and form.root != UNISON and own_keys and _names_root(part, words):
        form = _on_its_root(form, catalogue)
    if form is None:
        part.found.pop("form", None)
    else:
        part.found["form"] = form


def _form_of(part: Part, source: Part | None, catalogue: Catalogue) -> Any:  # noqa: ANN401
    """The form of a part: its own, its source's, or what goes without saying."""
    if part.arpeggio_of is not None:
        return triad_of(part.arpeggio_of.plain_form, catalogue)
    form = part.form
    if form is None and source is not None and not isinstance(source.form, Routine):
        figure = part.found.get("figure")
        # Long tones and the like bring a form of their own.
        form = source.form if figure is None or figure.form.name == "major" else None
    if form is None and "figure" not in part.found and _means_major(part):
        return catalogue.forms.find("major")
    return form


def _means_major(part: Part) -> bool:
    """Whether keys alone mean the major scale: named one by one ("concert B-flat, quarters"), or as scales."""
    return bool(part.keys) or (part.has_keys and bool(part.scale or part.found.get("concert")))


def _names_root(part: Part, words: Words) -> bool:
    """Whether the key beside a chord of another degree is its root: "dominant seventh on G", "G dominant seventh".

    What names a key by that word, as a set or list, by its signs or by a Roman numeral is a key all the same.
    """
    if words == "before":
        return False
    if part.form_first and part.key_after in _ROOT:
        return True
    a_key = part.key_said or part.roman or part.key_list or part.signs or "key set" in part.found
    if words == "logged" or a_key:
        return False
    return not (part.key_after in _KEY and (part.form_first or part.form_apart))


def triad_of(form: Form | None, catalogue: Catalogue) -> Form:
    """The arpeggio of a scale's tonic triad; that of a chord, or of nothing, is the major one.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> names = shared_catalogue()
    >>> triad_of(names.forms.find("dorian"), names).name
    'minor arpeggio'
    """
    if form is not None and form.chord:
        return form
    intervals = {i.name for i in form.up} if form else set()
    name = next((name for pair, name in _TRIADS.items() if intervals.issuperset(pair)), "major arpeggio")
    return catalogue.forms.find(name)


def _on_its_root(form: Form, catalogue: Catalogue) -> Form:
    """A chord that is said to be on a note has that note for its root, whatever key it belongs to."""
    if form.root == UNISON:
        return form
    same = (row for row in catalogue.forms.rows if row.up == form.up and row.root == UNISON and row.chord)
    return next(same, form)


def _shared(parts: Sequence[Part]) -> None:
    """Clauses before the first part go to those after it, clauses after the last one to those before it."""
    first, last = parts[0], parts[-1]
    late = {kind for kind in _CLAUSES if kind in last.found and kind not in last.early | last.own}
    early = {kind for kind in _CLAUSES if kind in first.found and kind in first.early}
    late = late if last is not first else set()
    for source, kinds, others in ((last, late, parts[:-1]), (first, early, parts[1:])):
        for part in others:
            for kind in kinds - set(part.found) - part.own:
                if isinstance(part.form, Routine) and kind != "tempo":
                    continue
                part.found[kind] = source.found[kind]
                if kind in source.lists:
                    part.lists[kind] = source.lists[kind]
                for more in _WITH_TEMPO if kind == "tempo" else ():
                    if more in source.found:
                        part.found[more] = source.found[more]


def _alternatives(part: Part) -> Iterator[dict[str, Any]]:
    """What a part settles, once for each combination of what it names several of."""
    kinds = list(part.lists)
    for values in product(*(part.lists[kind] for kind in kinds)):
        yield {**part.found, **dict(zip(kinds, values, strict=True))}


def _on_its_chord(found: dict[str, Any], catalogue: Catalogue, words: Words) -> dict[str, Any]:
    """A broken chord is played on the arpeggio of its scale, one note on none; before, "broken chords" were triads."""
    figure, form = found.get("figure"), found.get("form")
    if figure is not None and figure.kind == "held":
        return {**found, "form": figure.form}
    if figure is None or not figure.chord:
        return found
    if words == "before":
        return {**found, "figure": catalogue.figures.find("triads")}
    if isinstance(form, Form | RowSet) and not first_form(form).chord:
        return {**found, "form": triad_of(first_form(form), catalogue)}
    return found if form is not None else {**found, "form": triad_of(None, catalogue)}


def _requests(said: str, part: Part, found: dict[str, Any], catalogue: Catalogue) -> Iterator[Request]:
    keys = tuple(part.keys)
    if part.signs is not None and not keys:
        keys = keys_with(part.signs, part.plain_form or catalogue.forms.find("major"))
    if part.start is None:
        yield request_of(said, keys, found, catalogue)
        return
    groups: dict[int, list[NoteName]] = {}
    form = part.plain_form or catalogue.forms.find("major")
    for key in keys:
        groups.setdefault(_degree_of(part.start, key, form), []).append(key)
    if not keys:
        raise RequestError(
            f"{said} starts on {part.start.words} in every key; say from which degree, like from the third degree"
        )
    for degree, own in groups.items():
        yield request_of(said, tuple(own), {**found, "degree": degree}, catalogue)


def keys_with(signs: Signs, form: Form) -> tuple[NoteName, ...]:
    """The keys of a form that have so many signs, those with fewer first.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> major = shared_catalogue().forms.find("major")
    >>> print(*keys_with(Signs(2, up_to=True, sharps=True, flats=True), major))
    C G F D Bb
    """
    offset = form.signature or 0
    found: list[NoteName] = []
    for count in range(0 if signs.up_to else signs.count, signs.count + 1):
        sides = ([1] if signs.sharps else []) + ([-1] if signs.flats else [])
        found += [NoteName.from_fifths(side * count - offset) for side in (sides if count else [1])]
    return tuple(found)


def _degree_of(start: NoteName, key: NoteName, form: Form) -> int:
    """On which degree of the form on a key a note lies."""
    root = form.root.above_name(form.readable_tonic(key))
    notes = [interval.above_name(root) for interval in form.up]
    for degree, note in enumerate(notes):
        if note.pitch_class == start.pitch_class:
            return degree
    near = ", ".join(note.words for note in notes)
    raise StartError(f"{key.words} {form.name} has no {start.words} to start on; it has {near}", notes, start)


class StartError(RequestError):
    """A line is to start on a note that its form does not have.

    Attributes:
        degrees: degrees whose notes lie next to it.
    """

    def __init__(self, message: str, notes: Sequence[NoteName], start: NoteName) -> None:
        super().__init__(message)
        order = sorted(range(len(notes)), key=lambda d: (notes[d].step != start.step, d))
        self.degrees = order[:2]
