"""Each request has one phrase, and reading the phrase gives the request back."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.catalogue.tables import shared_catalogue
from generator.exercise.records import Tempo
from generator.exercise.request import EVERY, IN_TURN, KEY_SETS, Request
from generator.exercise.span import REGISTERS
from generator.phrase.read import parse
from generator.phrase.vocabulary import UNIT_NAMES
from generator.phrase.write import canonical
from generator.theory.pitch import NoteName

NAMES = shared_catalogue()
FORMS = [*NAMES.forms.names(), *(s.name for s in NAMES.sets.rows if s.kind == "form")]
RHYTHMS = [*NAMES.rhythms.names(), *(s.name for s in NAMES.sets.rows if s.kind == "rhythm"), EVERY, IN_TURN]
ARTICULATION_SETS = [*(s.name for s in NAMES.sets.rows if s.kind == "articulation"), EVERY, IN_TURN]
METRES = ["", "4/4", "3/4", "2/4", "6/8", "12/8", "5/4", "7/8", "2/2"]
keys = st.lists(
    st.builds(NoteName, st.integers(0, 6), st.integers(-1, 1)), min_size=1, max_size=4, unique=True
).map(tuple)


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """Any request a phrase can hold."""
    form_name = draw(st.sampled_from(FORMS))
    form = NAMES.form_of(form_name)
    figure = draw(st.sampled_from(["", *(n for n in NAMES.figures.names() if n != form.default_figure)]))
    where: dict[str, Any] = (
        {"keys": draw(keys)}
        if draw(st.booleans())
        else {
            "key_set": draw(st.sampled_from(KEY_SETS)),
            "names": draw(st.sampled_from(["usual", "sharps", "flats", "both"])),
        }
    )
    tempo = draw(
        st.none() | st.builds(Tempo, st.sampled_from(list(UNIT_NAMES.values())), st.integers(20, 400))
    )
    goal = draw(st.none() | st.integers(tempo.bpm, 400)) if tempo else None
    down = draw(st.sampled_from(["", *NAMES.articulations.names()]))
    one = st.sampled_from(["", *NAMES.articulations.names()])
    return Request(
        form_name,
        **where,
        concert=draw(st.booleans()),
        figure=figure,
        span=draw(st.sampled_from(NAMES.spans.names())),
        direction=draw(st.sampled_from(["up and down", "up", "down", "down first"])),
        degree=draw(st.just(EVERY) | st.integers(0, form.size - 1)),  # type: ignore[arg-type]
        register=draw(st.sampled_from(REGISTERS)),
        inside=draw(st.booleans()),
        rhythm=draw(st.sampled_from(["", *RHYTHMS])),
        metre=draw(st.sampled_from(METRES)),
        articulation=draw(one if down else one | st.sampled_from(ARTICULATION_SETS)),
        articulation_down=down,
        tempo=tempo,
        goal=goal,
        step=draw(st.none() | st.integers(1, 50)) if goal else None,
    )


@settings(max_examples=250)
@given(requests())
def test_reading_the_phrase_of_a_request_gives_the_request_back(request: Request) -> None:
    phrase = canonical(request, NAMES)
    assert parse(phrase, NAMES) == request
    assert canonical(parse(phrase, NAMES), NAMES) == phrase


@settings(max_examples=100)
@given(requests(), st.randoms())
def test_case_hyphens_commas_and_the_order_of_clauses_do_not_matter(request: Request, chance: Any) -> None:
    # Halves of an articulation keep their order; a metre stays with its "in".
    plain = replace(request, articulation_down="", concert=False)
    head, *clauses = _clauses(canonical(plain, NAMES), plain)
    chance.shuffle(clauses)
    phrase = ", ".join([head, *clauses]).upper().replace("-", " ")
    assert parse(phrase, NAMES) == plain


def _clauses(phrase: str, request: Request) -> list[str]:
    """The head and each clause of a canonical phrase; names of several parts stay whole."""
    bare = canonical(
        replace(
            request,
            names="usual",
            span=NAMES.figures.find(request.figure or NAMES.form_of(request.form).default_figure).span
            or "full range",
            direction="up and down",
            degree=0,
            register="lowest octave",
            inside=False,
            rhythm="",
            metre="",
            articulation="",
            tempo=None,
            goal=None,
            step=None,
        ),
        NAMES,
    )
    rest = phrase.removeprefix(bare).removeprefix(", ")
    clauses: list[str] = []
    whole = sorted({n for n in (request.rhythm, request.articulation) if "," in n}, key=len, reverse=True)
    for number, name in enumerate(whole):
        rest = rest.replace(name, f"<{number}>")
    for part in rest.split(", ") if rest else []:
        clause = part
        for number, name in enumerate(whole):
            clause = clause.replace(f"<{number}>", name)
        clauses.append(clause)
    return [bare, *clauses]


def test_every_row_can_be_named_in_a_phrase() -> None:
    for form in FORMS:
        assert parse(f"{form} on C", NAMES).form == form
        assert parse(f"C {form}", NAMES).keys == (NoteName(0),)
    for figure in NAMES.figures.names():
        if figure != "straight":
            assert parse(f"C major in {figure}", NAMES).figure == figure
    for span in NAMES.spans.names():
        assert parse(f"C major, {span}", NAMES).span == span
    for rhythm in RHYTHMS[:-2]:
        assert parse(f"C major, {rhythm}", NAMES).rhythm == rhythm
    for articulation in [*NAMES.articulations.names(), *ARTICULATION_SETS[:-2]]:
        assert parse(f"C major, {articulation}", NAMES).articulation == articulation
    for routine in NAMES.routines.names():
        assert parse(routine, NAMES).form == routine


def test_every_alias_means_its_row() -> None:
    tables: dict[str, Sequence[Any]] = {
        "figure": NAMES.figures.rows,
        "rhythm": NAMES.rhythms.rows,
        "articulation": NAMES.articulations.rows,
        "span": NAMES.spans.rows,
    }
    for field, rows in tables.items():
        for row in rows:
            for alias in row.aliases:
                found = getattr(parse(f"C major, {alias}", NAMES), field)
                assert (found or "straight") == row.name, alias
    for form in NAMES.forms.rows:
        for alias in form.aliases:
            assert parse(f"G-flat {alias}", NAMES).form == form.name
            assert parse(f"{alias} on G-flat", NAMES).form == form.name
