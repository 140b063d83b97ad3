"""The remembered list of a plan: whatever its file holds, it is the same list or none."""

import copy
import datetime as dt
import json
import os
import sys
from collections.abc import Iterator
from hashlib import sha256
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.files.home import Home
from generator.practice.next_dressing import next_exercise
from generator.practice.player_session import PlayerOptions, open_session
from generator.practice.repertoire_cache import recall
from generator.practice.turns import turn_of

PLAN = """
instrument = "alto saxophone"
[[keep]]
phrase = "all keys, major in thirds, triplets, quarter = 60 to 108"
every = 7
[[keep]]
phrase = "G major in fourths, quarter = 50 to 90, by 4"
articulations = "board articulations"
rhythms = ["triplets", "dotted eighths"]
minutes = 3
[[list]]
name = "maine-district-3"
date = 2027-03-01
"""


def kept(folder: Path) -> Path:
    (folder / "plan.toml").write_text(PLAN, "utf-8")
    open_session(Home.at(folder / "home"), PlayerOptions(plan=folder / "plan.toml"), folder)
    (path,) = (folder / "home" / "cache").glob("list-*.json")
    return path


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("remembered")


@pytest.fixture(scope="module")
def session(folder):
    kept(folder)
    return open_session(Home.at(folder / "home"), PlayerOptions(plan=folder / "plan.toml"), folder)


@pytest.fixture(scope="module")
def sound(folder, session) -> Any:
    """The file's content as it should be."""
    return json.loads(kept(folder).read_bytes()[64:])


def sealed(text: bytes) -> bytes:
    return sha256(text).hexdigest().encode() + text


def places(data: Any, before: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to every value inside, the whole included; of a long list the first and the last."""
    yield before
    if isinstance(data, dict):
        for name in data:
            yield from places(data[name], (*before, name))
    elif isinstance(data, list):
        for place in sorted({0, len(data) - 1} & set(range(len(data)))):
            yield from places(data[place], (*before, place))


def changed(data: Any, way: tuple[Any, ...], value: Any) -> Any:
    if not way:
        return value
    data = copy.deepcopy(data)
    inside = data
    for step in way[:-1]:
        inside = inside[step]
    inside[way[-1]] = value
    return data


def at(data: Any, way: tuple[Any, ...]) -> Any:
    for step in way:
        data = data[step]
    return data


def serves(folder: Path, session: Any, sound: Any, data: Any) -> bool:
    """Whether a file is taken for a list, from which a day can then be chosen and built, or for nothing remembered."""
    path = folder / "tried.json"
    path.write_bytes(sealed(json.dumps(data).encode()))
    found = recall(path, sound["key"])
    names = set(sound["columns"]["names"])
    if found is None:
        return False
    assert len(found.items(dt.date(2027, 1, 4))) <= len(found.entries)
    assert all(one.day for one in found.lists())
    for entry in found.entries:
        if entry.name in names:
            turn = turn_of(entry, found, (), "2027-01-04")
            next_exercise(entry, turn, session.player, turn.asking.dressing.first_tempo)
    return True


WRONG = [
    None,
    True,
    False,
    0,
    -1,
    1.5,
    10**30,
    "",
    " ",
    "x",
    "\ud800",
    [],
    [[]],
    [None],
    ["x"],
    {},
    {"x": 1},
    float("nan"),
]


@pytest.mark.parametrize("value", WRONG, ids=repr)
def test_a_wrong_value_anywhere_counts_as_nothing_remembered_or_does_no_harm(folder, session, sound, value):
    ways = list(places(sound))
    assert len(ways) > 60
    for way in ways:
        if serves(folder, session, sound, changed(sound, way, value)):
            was = at(sound, way)
            # What a plan may leave open may be null; a list may have ended sooner; a text is a text.
            nullable = way[0] == "askings" or way[:2] == ("columns", "keys")
            assert type(value) is type(was) or (nullable and (value is None or was is None)), (way, was)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=6) | st.dates().map(str),
    lambda inside: st.lists(inside, max_size=4) | st.dictionaries(st.text(max_size=6), inside, max_size=3),
    max_leaves=10,
)


@given(st.data(), JSON)
def test_no_value_in_any_place_raises(folder, session, sound, data, value):
    way = data.draw(st.sampled_from(list(places(sound))))
    serves(folder, session, sound, changed(sound, way, value))


@given(JSON | st.dictionaries(st.sampled_from(["key", "form", "version", "columns"]), JSON))
def test_no_json_at_all_raises(folder, value):
    path = folder / "tried.json"
    path.write_bytes(sealed(json.dumps(value).encode()))
    assert recall(path, "key") is None


@pytest.mark.parametrize("text", [b"", b"{", b"[" * 200_000, b"\xff", b'{"key":' * 9_000, b"1" * 5_000])
def test_what_is_no_json_counts_as_nothing_remembered(folder, text):
    path = folder / "tried.json"
    for data in (text, sealed(text), b"\n" + text):
        path.write_bytes(data)
        assert recall(path, "key") is None


def test_a_damaged_file_counts_as_nothing_remembered_and_is_replaced(tmp_path):
    path = kept(tmp_path)
    whole = path.read_bytes()
    key = json.loads(whole[64:])["key"]
    first = recall(path, key)
    assert first is not None
    for at in range(0, len(whole), 211):
        path.write_bytes(whole[:at] + bytes([whole[at] ^ 1]) + whole[at + 1 :])
        assert recall(path, key) is None
    assert kept(tmp_path).read_bytes() == whole


@pytest.mark.skipif(sys.platform == "win32", reason="no pipes there")
@pytest.mark.parametrize("kind", ["pipe", "folder", "far too large"])
def test_what_is_no_file_of_ours_is_not_waited_for(tmp_path, kind):
    path = kept(tmp_path)
    path.unlink()
    if kind == "far too large":
        with path.open("wb") as file:
            file.truncate(1 << 40)
    else:
        os.mkfifo(path) if kind == "pipe" else path.mkdir()
    assert recall(path, "key") is None
