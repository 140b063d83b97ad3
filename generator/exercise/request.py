"""Requests: what a person asked for, before any instrument is known.

A request holds rows and choices, no music. One that names several keys, every degree or every articulation
expands into single requests, each of which makes one exercise.
"""

from dataclasses import dataclass, replace
from typing import Any, Generic, Literal, TypeVar

from generator.errors import DoesNotFitError
from generator.exercise.articulation import Articulation
from generator.exercise.figure import Direction, Figure
from generator.exercise.records import Tempo
from generator.exercise.rhythm import Rhythm
from generator.exercise.routine import Routine
from generator.exercise.span import FULL_RANGE, Register, Span
from generator.theory.form import Form
from generator.theory.interval import Interval
from generator.theory.key import Preference, both_names, usual_name
from generator.theory.pitch import NoteName

KeySet = Literal["all keys", "all sharp keys", "all flat keys", "all natural keys"]
KEY_SETS: tuple[KeySet, ...] = ("all keys", "all sharp keys", "all flat keys", "all natural keys")
Names = Literal["usual", "sharps", "flats", "both"]
Choice = Literal["every", "in turn"]
ORDINALS = (
    "first",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "eighth",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
)
"""Degrees from 0, as a phrase and a heading number them."""
TIMES = {2: "twice", 3: "three times", 4: "four times"}
"""How often the whole is played, as a phrase and a heading say it."""
EVERY: Literal["every"] = "every"
IN_TURN: Literal["in turn"] = "in turn"
Member = TypeVar("Member", Form, Rhythm, Articulation)


@dataclass(frozen=True, slots=True)
class RowSet(Generic[Member]):
    """A row of shared/sets.toml: several rows of one kind under one name.

    Attributes:
        name: the set.
        members: in order.
        moves: for forms, the interval from the named tonic to each member's own.
    """

    name: str
    members: tuple[Member, ...]
    moves: tuple[Interval, ...] = ()
    aliases: tuple[str, ...] = ()

    def __hash__(self) -> int:
        # Rows are keys of caches, and a row is known by its name.
        return hash(self.name)

    @property
    def kind(self) -> str:
        """What its members are: form, rhythm or articulation."""
        return type(self.members[0]).__name__.casefold()


@dataclass(frozen=True)
class Request:
    """Key, form, figure, span, rhythm, articulation, tempo: rows of the data and choices among them.

    Attributes:
        form: a form, a chain of forms, or a routine over the partials.
        keys: tonics named, in order; empty when ``key_set`` is used.
        key_set: a whole set of keys.
        concert: the keys are concert keys, to be written for each instrument.
        names: which of two readable names a key set uses.
        figure: None plays the form straight.
        span: the full range, which is taken when none is asked for, is the one that always fits.
        direction: which halves, and which first.
        degree: home degree, 0 = the tonic; "every" makes one exercise on each.
        register: where on the instrument.
        inside: no note beyond home and top.
        rhythm: a rhythm, a set of them, "every" one or the next one "in turn"; None for the figure's own.
        metre: time signature as text, or "" for the rhythm's own.
        articulation: an articulation, a set of them, "every" one that suits, or the next one "in turn" on each key;
            None for the figure's own.
        articulation_down: another one for the falling half.
        clef: ``tenor``, ``bass``, ``alto`` or ``treble`` for the whole line; "" for whichever reads best.
        dynamic: ``mf``, ``pp to ff``, ``pp to ff and back``, ``echo``, or "".
        times: how often the whole is played, with a repeat sign.
        bar_times: how often each bar is played before the next.
        tempo: metronome mark.
        goal: metronome mark worked towards, in beats per minute; a row of tempi leads there.
        step: beats per minute between two tempi of the row, instead of the traditional series.
        climb: the row goes two up and one down.
    """

    form: Form | RowSet[Form] | Routine
    keys: tuple[NoteName, ...] = ()
    key_set: KeySet | None = None
    concert: bool = False
    names: Names = "usual"
    figure: Figure | None = None
    span: Span = FULL_RANGE
    direction: Direction = "up and down"
    degree: int | Literal["every"] = 0
    register: Register = "lowest octave"
    inside: bool = False
    rhythm: Rhythm | RowSet[Rhythm] | Choice | None = None
    metre: str = ""
    articulation: Articulation | RowSet[Articulation] | Choice | None = None
    articulation_down: Articulation | None = None
    clef: str = ""
    dynamic: str = ""
    times: int = 1
    bar_times: int = 1
    tempo: Tempo | None = None
    goal: int | None = None
    step: int | None = None
    climb: bool = False

    @property
    def single(self) -> bool:
        """Whether it makes exactly one exercise, dressing aside."""
        return len(self.keys) == 1 and self.degree != EVERY


def first_form(form: Form | RowSet[Form] | Routine) -> Form:
    """The form itself, or the first of a chain.

    Raises:
        TypeError: a routine has no form; whoever asks has to look first.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> first_form(shared_catalogue().sets.find("parallel chain")).name
    'major'
    """
    if isinstance(form, Routine):
        raise TypeError(form.name)
    return form if isinstance(form, Form) else form.members[0]


def row_name(row: Form | Rhythm | Articulation | RowSet[Any] | Choice | None) -> str:
    """What a part of a request is called: a row by its name, a choice by its word, nothing by "".

    >>> row_name(EVERY), row_name(None)
    ('every', '')
    """
    if row is None or isinstance(row, str):
        return row or ""
    return row.name


def expand_keys(request: Request, form: Form) -> tuple[Request, ...]:
    """One request for each key and degree, in order; key sets go round the circle of fourths.

    Circle of fourths: the usual drill order C F B-flat ... (common practice). Symmetric forms name each
    collection once.

    Args:
        request: any request.
        form: its form.

    Raises:
        DoesNotFitError: none of the form's collections has its name in the key set.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> from generator.phrase.read import parse
    >>> request = parse("all sharp keys major", shared_catalogue())
    >>> print(*[one.keys[0] for one in expand_keys(request, shared_catalogue().forms.find("major"))])
    B E A D G
    """
    wanted = request.key_set or "all keys"
    tonics = request.keys or key_set(form, wanted, request.names)
    if not tonics:
        raise DoesNotFitError(f"none of {wanted} is a name of {form.name}; ask for all keys")
    degrees = range(form.size) if request.degree == EVERY else (int(request.degree),)
    # Of a concert key it is the reader's name that is chosen.
    names: Names = request.names if request.concert and request.names in ("sharps", "flats") else "usual"
    return tuple(
        replace(request, keys=(tonic,), key_set=None, names=names, degree=degree)
        for tonic in tonics
        for degree in degrees
    )


def key_set(form: Form, name: KeySet, names: Names) -> tuple[NoteName, ...]:
    """The tonics of a key set for a form.

    Args:
        form: decides the signature and how many distinct collections there are.
        name: the set.
        names: which readable name to take; "both" prints a key under each of its names.

    >>> from generator.catalogue.tables import shared_catalogue
    >>> print(*key_set(shared_catalogue().forms.find("major"), "all flat keys", "usual"))
    F Bb Eb Ab Db Gb
    >>> print(*key_set(shared_catalogue().forms.find("whole-tone"), "all keys", "usual"))
    C C#
    """
    offset = form.signature
    start = 0 if offset is None else -offset
    tonics: list[NoteName] = []
    for place in range(form.distinct):
        # A symmetric form repeats within the octave: its collections start on neighbouring half steps.
        pitch_class = (
            place if form.distinct < 12 else (NoteName.from_fifths(start).pitch_class + 5 * place) % 12
        )
        if names == "both":
            tonics += both_names(pitch_class, offset)
        else:
            preference: Preference = names
            tonics.append(usual_name(pitch_class, offset, preference))
    return tuple(t for t in tonics if _in_set(t, offset, name))


def _in_set(tonic: NoteName, offset: int | None, name: KeySet) -> bool:
    if name == "all keys":
        return True
    if offset is None:
        side = tonic.alter
    else:
        signs = tonic.fifths + offset
        side = (signs > 0) - (signs < 0)
    return {"all sharp keys": side > 0, "all flat keys": side < 0, "all natural keys": tonic.alter == 0}[name]
