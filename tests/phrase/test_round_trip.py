"""Each request has one phrase, and reading the phrase gives the request back."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from generator.catalogue.names import fold
from generator.catalogue.tables import shared_catalogue
from generator.exercise.records import Tempo
from generator.exercise.request import EVERY, IN_TURN, KEY_SETS, Request, first_form, row_name
from generator.exercise.span import FULL_RANGE, REGISTERS
from generator.phrase.own_figure import own_figure
from generator.phrase.read import parse
from generator.phrase.vocabulary import UNIT_NAMES
from generator.phrase.write import canonical
from generator.theory.pitch import NoteName

NAMES = shared_catalogue()
FORMS = [*NAMES.forms.rows, *(s for s in NAMES.sets.rows if s.kind == "form")]
RHYTHMS = [*NAMES.rhythms.rows, *(s for s in NAMES.sets.rows if s.kind == "rhythm"), EVERY, IN_TURN]
ARTICULATION_SETS = [*(s for s in NAMES.sets.rows if s.kind == "articulation"), EVERY, IN_TURN]
METRES = ["", "4/4", "3/4", "2/4", "6/8", "12/8", "5/4", "7/8", "2/2"]
keys = st.lists(
    st.builds(NoteName, st.integers(0, 6), st.integers(-1, 1)), min_size=1, max_size=4, unique=True
).map(tuple)

own_figures = st.lists(
    st.tuples(st.integers(1, 16), st.sampled_from([-1, 0, 0, 0, 1])), min_size=3, max_size=9
).map(lambda degrees: own_figure(degrees, NAMES))
LEVELS = ["pp", "p", "mp", "mf", "f", "ff"]
two_levels = st.lists(st.sampled_from(LEVELS), min_size=2, max_size=2, unique=True)
dynamics = st.sampled_from(["", *LEVELS, "echo"]) | st.builds(
    lambda pair, back: " to ".join(pair) + back, two_levels, st.sampled_from(["", " and back"])
)


@st.composite
def requests(draw: st.DrawFn) -> Request:
    """Any request a phrase can hold."""
    form = draw(st.sampled_from(FORMS))
    figure = draw(
        st.sampled_from([None, *(row for row in NAMES.figures.rows if row != NAMES.straight)]) | own_figures
    )
    if figure is not None and figure.chord and not first_form(form).chord:
        figure = None  # a broken chord is read as that of an arpeggio
    if figure is not None and figure.kind == "held":
        form = figure.form
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
    down = draw(st.sampled_from([None, *NAMES.articulations.rows]))
    one = st.sampled_from([None, *NAMES.articulations.rows])
    return Request(
        form,
        **where,
        concert=draw(st.booleans()),
        figure=figure,
        span=draw(st.sampled_from(NAMES.spans.rows)),
        direction=draw(st.sampled_from(["up and down", "up", "down", "down first"])),
        degree=draw(st.just(EVERY) | st.integers(0, first_form(form).size - 1)),  # type: ignore[arg-type]
        register=draw(st.sampled_from(REGISTERS)),
        inside=draw(st.booleans()),
        rhythm=draw(st.sampled_from([None, *RHYTHMS])),
        metre=draw(st.sampled_from(METRES)),
        articulation=draw(one if down else one | st.sampled_from(ARTICULATION_SETS)),
        articulation_down=down,
        clef=draw(st.sampled_from(["", "", "tenor", "bass", "alto", "treble"])),
        dynamic=draw(dynamics),
        times=draw(st.integers(1, 4)),
        bar_times=draw(st.integers(1, 2)),
        tempo=tempo,
        goal=goal,
        step=draw(st.none() | st.integers(1, 50)) if goal else None,
        climb=draw(st.booleans()) if goal else False,
    )


@settings(max_examples=250)
@given(requests())
def test_reading_the_phrase_of_a_request_gives_the_request_back(request: Request) -> None:
    phrase = canonical(request)
    assert parse(phrase, NAMES) == request
    assert canonical(parse(phrase, NAMES)) == phrase


@settings(max_examples=100)
@given(requests(), st.randoms())
def test_case_hyphens_commas_and_the_order_of_clauses_do_not_matter(request: Request, chance: Any) -> None:
    # Halves of an articulation keep their order; a metre stays with its "in"; a capital F is a key, a small one forte.
    loud = {"dynamic": ""} if request.dynamic == "f" else {}
    plain = replace(request, articulation_down=None, concert=False, **loud)
    head, *clauses = _clauses(canonical(plain), plain)
    chance.shuffle(clauses)
    phrase = ", ".join([head, *clauses]).upper().replace("-", " ")
    assert parse(phrase, NAMES) == plain


def _clauses(phrase: str, request: Request) -> list[str]:
    """The head and each clause of a canonical phrase; names of several parts stay whole."""
    bare = canonical(
        replace(
            request,
            names="usual",
            span=(request.figure and request.figure.span) or FULL_RANGE,
            direction="up and down",
            degree=0,
            register="lowest octave",
            inside=False,
            rhythm=None,
            metre="",
            articulation=None,
            clef="",
            dynamic="",
            times=1,
            bar_times=1,
            tempo=None,
            goal=None,
            step=None,
            climb=False,
        )
    )
    rest = phrase.removeprefix(bare).removeprefix(", ")
    clauses: list[str] = []
    names = {row_name(row) for row in (request.rhythm, request.articulation)}
    whole = sorted({name for name in names if "," in name}, key=len, reverse=True)
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
        # A chord "on" a note has it for its root, so a dominant seventh on C is no longer the one in the key of C.
        where = "in C" if form.name == "dominant seventh" else "on C"
        assert parse(f"{form.name} {where}", NAMES).form is form
        assert parse(f"C {form.name}", NAMES).keys == (NoteName(0),)
    for figure in NAMES.figures.rows:
        if figure != NAMES.straight:
            assert parse(f"C major in {figure.name}", NAMES).figure is figure
    for span in NAMES.spans.rows:
        assert parse(f"C major, {span.name}", NAMES).span is span
    for rhythm in RHYTHMS[:-2]:
        assert parse(f"C major, {rhythm.name}", NAMES).rhythm is rhythm
    for articulation in [*NAMES.articulations.rows, *ARTICULATION_SETS[:-2]]:
        assert parse(f"C major, {articulation.name}", NAMES).articulation is articulation
    for routine in NAMES.routines.rows:
        assert parse(routine.name, NAMES).form is routine
    for keys in NAMES.key_lists.rows:
        assert parse(f"{keys.name}, major in thirds", NAMES).keys == keys.keys


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
                assert (found or NAMES.straight) == row, alias
    # Right after a note a chord symbol means the chord on it: G dom 7 is no dominant seventh in G.
    symbols = {fold(symbol) for form in NAMES.forms.rows for symbol in form.symbols}
    for form in NAMES.forms.rows:
        for alias in form.aliases:
            # A note before a dominant seventh is its root, unless the chord is said to belong to the key.
            if fold(alias) not in symbols and form.name != "dominant seventh":
                assert parse(f"G-flat {alias}", NAMES).form is form
            where = "in G-flat" if form.name == "dominant seventh" else "on G-flat"
            assert parse(f"{alias} {where}", NAMES).form is form


def test_a_figure_whose_name_has_a_comma_leaves_the_articulation_after_it_whole() -> None:
    catalogue = shared_catalogue()
    begins = {
        fold(alias.partition(",")[2])[0]
        for row in catalogue.figures.rows
        for alias in row.aliases
        if "," in alias
    }
    worn = [row for row in catalogue.articulations.rows if fold(row.name)[0] in begins]
    assert worn
    for figure in catalogue.figures.rows:
        for articulation in worn:
            said = f"G major in {figure.name}, {articulation.name}"
            request = parse(said, catalogue)
            assert request.articulation == articulation, said
            assert parse(canonical(request), catalogue) == request, said
