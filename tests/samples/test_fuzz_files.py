"""Plans, sections, rosters and required lists: valid examples with values, lines and bytes changed."""

import re
from collections.abc import Iterator
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.exhaustive.fuzzing.drawn import examples
from tests.exhaustive.fuzzing.mutation import PIECES, STRANGE_VALUES, mutated
from tests.exhaustive.fuzzing.sound import OWN_SECTION, ROSTERS, seeds
from tests.exhaustive.fuzzing.targets import TARGETS

WHOLE_PLAN = b"""player = "Ada Quill"
instrument = "alto saxophone"
level = "standard"
low = "D4"
high = "F#6"
minutes = 20
share = "1/2"
longest_wait = 42
names = "usual"
together = false
paper = "a4"
print = "normal"
show = "notes"
syllables = "ta ka"
[[keep]]
phrase = "all keys, major in thirds"
every = 10
start = 60
goal = 108
articulations = ["all tongued", "slur two tongue two"]
rhythms = "triplets"
minutes = 3
heavy = true
[[list]]
name = "florida-middle-school"
called = "audition"
date = 2027-02-06
"""
WHOLE_LIST = b"""title = "Harbour Street trial"
source = "invented"
year = 2027
instruments = ["flute", "saxophones"]
order = "as listed"
note = "Bring a pencil."
unit = "quarter"
memory = true
[[item]]
phrase = "C, F and B-flat major"
octaves = "two octaves"
complete = true
rhythm = "sixteenths"
up = "all tongued"
down = "all slurred"
articulations = ["all tongued", "all slurred"]
tempo = { others = 100, flute = 72 }
unit = "half"
memory = false
instruments = "flute"
"""
FILES = {"plan": WHOLE_PLAN, "section": OWN_SECTION, "required-list": WHOLE_LIST}
NAMES = ("plan", "section", "roster", "required-list")


@pytest.mark.parametrize("name", NAMES)
def test_the_valid_examples_are_sound(name: str) -> None:
    assert all(TARGETS[name](data) for data in (*seeds(name), *([FILES[name]] if name in FILES else [])))


def field_lines(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Places and names of the fields of a file."""
    for number, line in enumerate(data.split(b"\n")):
        match = re.match(rb"(\w+) = ", line)
        if match:
            yield number, match[1]


@pytest.mark.parametrize(
    ("name", "number", "field"),
    [(name, number, field) for name, data in FILES.items() for number, field in field_lines(data)],
    ids=lambda value: value.decode() if isinstance(value, bytes) else str(value),
)
def test_a_field_with_every_strange_value(name: str, number: int, field: bytes) -> None:
    lines = FILES[name].split(b"\n")
    for value in STRANGE_VALUES:
        changed = [*lines]
        changed[number] = field + b" = " + value.encode()
        TARGETS[name](b"\n".join(changed))


@pytest.mark.parametrize("name", FILES)
def test_a_line_that_is_missing_doubled_or_there_ten_thousand_times(name: str) -> None:
    lines = FILES[name].split(b"\n")
    for number in range(len(lines)):
        for times in (0, 2, 10_000 if number % 4 == 0 else 3):
            TARGETS[name](
                b"\n".join([*lines[:number], *lines[number : number + 1] * times, *lines[number + 1 :]])
            )


@pytest.mark.parametrize("name", NAMES)
def test_every_byte_in_turn(name: str) -> None:
    data = FILES.get(name, ROSTERS[0])
    for place in range(len(data)):
        other = PIECES[place % len(PIECES)]
        TARGETS[name](data[:place] + other + data[place + 1 :])
        TARGETS[name](data[:place])


@pytest.mark.parametrize("name", NAMES)
@examples(150)
@given(chance=st.integers(0, 2**32))
def test_several_changes_at_once(name: str, chance: int) -> None:
    drawn = Random(chance)
    TARGETS[name](mutated(drawn.choice(seeds(name)), drawn))


@pytest.mark.parametrize("name", NAMES)
@examples(40)
@given(
    data=st.binary(max_size=200)
    | st.text(max_size=200).map(lambda text: text.encode("utf-8", "surrogatepass"))
)
def test_any_bytes_at_all(name: str, data: bytes) -> None:
    TARGETS[name](data)
