"""Names that Windows takes for something else, held against Python's own list where it has one."""

import ntpath
import sys
from pathlib import PureWindowsPath

import pytest
from hypothesis import given
from hypothesis import strategies as st

from generator.cli import terminal
from generator.files.text import slug
from generator.files.windows_names import windows_problem
from tests.fixtures.command import run_here

DEVICES = [
    "con",
    "CON",
    "nul",
    "Nul.pdf",
    "aux.pdf",
    "prn.tar.gz",
    "com1",
    "lpt9.txt",
    "con .pdf",
    "conin$",
    "com\u00b9",
]
PLAIN = [
    "out",
    "con-out",
    "console",
    "null",
    "com",
    "com10",
    "lpt",
    "x.con",
    "\u266d",
    "a b",
    ".hidden",
    "..",
    ".",
    "-rf",
]


@pytest.mark.parametrize("name", DEVICES)
@pytest.mark.parametrize(
    "path", ["{}", "out/{}", "out\\{}", "C:\\out\\{}", "{}/deeper", "..\\{}", "\\\\host\\share\\{}"]
)
def test_a_device_is_no_file_wherever_it_stands(path, name):
    assert windows_problem(path.format(name)) == f"{name!r} is a device on Windows, not a file"


@pytest.mark.parametrize("name", PLAIN)
@pytest.mark.parametrize(
    "path", ["{}", "out/{}", "C:\\out\\{}", "C:{}", "\\\\host\\share\\{}", "//host/share/x/{}"]
)
def test_a_plain_name_is_one(path, name):
    assert windows_problem(path.format(name)) is None


@pytest.mark.parametrize(
    "name", ["x.", "x ", "x. ", "log.csv:hidden", "a<b", 'a"b', "a|b", "a?", "*", "a\tb", "con:"]
)
def test_a_name_that_windows_changes_or_refuses(name):
    assert windows_problem(f"out/{name}") is not None


@given(st.lists(st.sampled_from([*DEVICES, *PLAIN, "x.", "a:b", "a?b", "a b "]), min_size=1, max_size=3))
def test_python_says_the_same(parts):
    path = "\\".join(parts)
    names = [part for part in PureWindowsPath(path).parts if part != ".."]
    if sys.version_info >= (3, 13):
        reserved = any(ntpath.isreserved(name) for name in names)
        assert (windows_problem(path) is not None) == reserved
    elif any(PureWindowsPath(name).is_reserved() for name in names):
        assert windows_problem(path) is not None


@given(st.text(max_size=20) | st.sampled_from(DEVICES))
def test_a_name_that_we_make_of_a_title_is_plain(title):
    assert windows_problem(f"out/{slug(title)}") is None
    assert windows_problem(f"out/{slug(title)}.pdf") is None


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (("--out", "con"), "'con' is a device on Windows, not a file; choose another name"),
        (("-o", "x/aux.pdf"), "'aux.pdf' is a device on Windows, not a file; choose another name"),
        (("--out=x.",), "'x.' ends in a dot, which Windows would leave out; choose another name"),
    ],
)
def test_on_windows_such_a_folder_is_refused_and_elsewhere_it_is_a_folder(tmp_path, monkeypatch, words, line):
    command = ("sheet", "G major", "-i", "flute", "-f", "json", *words)
    assert len(run_here(*command, folder=tmp_path).succeeds()) == 1
    windows = type("sys", (), {"__getattr__": lambda _self, name: getattr(sys, name), "platform": "win32"})()
    monkeypatch.setattr(terminal, "sys", windows)
    run_here(*command, folder=tmp_path).fails(2, line)
