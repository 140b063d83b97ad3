"""Logs of strangers: added to ours whole, or refused with the log as it was."""

import json
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.practice_log import Format
from generator.practice_log.written import COLUMNS, as_csv, as_json_lines
from tests.exhaustive.fuzzing.drawn import ODD, examples
from tests.exhaustive.fuzzing.mutation import PIECES, mutated
from tests.exhaustive.fuzzing.sound import KEPT
from tests.exhaustive.fuzzing.targets import log_import

VALID = {Format.CSV: as_csv(KEPT).encode(), Format.JSON_LINES: as_json_lines(KEPT).encode()}
VALUES = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-2, 2000),
    st.sampled_from(
        [
            10**4000,
            -(10**4000),
            1e308,
            float("inf"),
            float("nan"),
            [],
            {},
            [[]],
            {"a": [1]},
            "",
            "play",
            "void",
        ]
    ),
    st.sampled_from(ODD),
    st.sampled_from(
        [
            "two",
            "three",
            "2027-01-05",
            "2027-02-30",
            "0001-01-01",
            "9999-12-31",
            "20270105",
            "202\uff17-01-05",
        ]
    ),
    st.sampled_from(
        [
            "2027-01-05T17:04:09+00:00",
            "2027-01-05\ud80017:04:09+00:00",
            "2027-01-05T17:04:09",
            "2027-01-05T17:04:09Z",
        ]
    ),
    st.text(max_size=10),
)


@pytest.mark.parametrize("form", list(Format))
def test_what_we_export_comes_in_again(form: Format) -> None:
    assert log_import(VALID[form], form)


@examples(250)
@given(
    st.lists(
        st.dictionaries(st.sampled_from([*COLUMNS, "rating "]), VALUES, max_size=4), min_size=1, max_size=3
    ),
    st.integers(0, len(KEPT) - 1),
)
def test_sound_lines_of_json_with_other_values(changes: list[dict[str, Any]], number: int) -> None:
    sound = json.loads(VALID[Format.JSON_LINES].split(b"\n")[number])
    lines = [json.dumps({**sound, **change}) for change in changes]
    log_import("\n".join(lines).encode(), Format.JSON_LINES)


@pytest.mark.parametrize("form", list(Format))
def test_every_byte_in_turn(form: Format) -> None:
    data = VALID[form]
    for place in range(len(data)):
        log_import(data[:place] + PIECES[place % len(PIECES)] + data[place + 1 :], form)


@pytest.mark.parametrize("form", list(Format))
@examples(150)
@given(chance=st.integers(0, 2**32))
def test_several_changes_at_once(form: Format, chance: int) -> None:
    log_import(mutated(VALID[form], Random(chance)), form)


@pytest.mark.parametrize("form", list(Format))
@examples(40)
@given(data=st.binary(max_size=200))
def test_any_bytes_at_all(form: Format, data: bytes) -> None:
    log_import(data, form)
