"""Tab in the shell: what a word may become, and that real shells offer it."""

import os
import pty
import select
import shutil
import subprocess
import sys
import sysconfig
import time
from pathlib import Path

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.cli.completion import FILES, SCRIPTS, suggestions
from generator.phrase.complete import completions
from generator.phrase.read import parse_all
from tests.fixtures.command import run_here

NAMES = shared_catalogue()


@pytest.mark.parametrize(
    ("line", "found"),
    [
        ("scalewright sh", ["sheet"]),
        ("scalewright plan ch", ["check"]),
        ("scalewright list key", ["key lists"]),
        ("scalewright sheet --pap", ["--paper"]),
        ("scalewright sheet --paper a", ["a4"]),
        ("scalewright sheet --level first", ["first notes"]),
        ("scalewright sheet --format pdf,mu", ["pdf,musicxml"]),
        ("scalewright sheet --list florida-ch", ["florida-chromatic"]),
        ("scalewright handout --section sec", [FILES]),
        ("scalewright sheet -o out", [FILES]),
        ("scalewright today --plan my", [FILES]),
        ("scalewright played a", ["all"]),
        ("scalewright completion z", ["zsh"]),
        ("scalewright nothing x", []),
    ],
)
def test_a_word_may_become(line: str, found: list[str]) -> None:
    words = line.split(" ")
    assert suggestions(words, len(words) - 1) == found


def test_pupils_are_those_of_the_studio_on_the_line(tmp_path) -> None:
    studio = tmp_path / "studio.toml"
    rows = "".join(
        f'[[pupil]]\nname = "{name}"\ninstrument = "flute"\n' for name in ("Ada Quill", "Zoë Märl")
    )
    studio.write_text(rows, "utf-8")
    line = ["scalewright", "today", "--studio", str(studio), "--pupil"]
    assert suggestions([*line, "a"], 5) == ["Ada Quill"]
    assert suggestions([*line, ""], 5) == ["Ada Quill", "Zoë Märl"]
    assert suggestions(["scalewright", "today", "--pupil", ""], 3) == []
    assert suggestions([*line[:3], "nowhere.toml", "--pupil", ""], 5) == []
    assert suggestions(["scalewright", "played", "--studio", "st"], 3) == [FILES]


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ('"alto sax', "alto saxophone"),
        ("alto\\ sax", "alto saxophone"),
        ("'bari s", "bari sax"),
    ],
)
def test_an_instrument_is_completed_in_quotes_or_not(typed: str, first: str) -> None:
    assert suggestions(["scalewright", "sheet", "-i", typed], 3)[0] == first
    assert "flute, tuba" in suggestions(["scalewright", "handout", "--instruments", '"flute, tub'], 3)


@pytest.mark.parametrize(
    ("typed", "phrase"),
    [
        ("", "C major"),
        ("G ma", "G major"),
        ("G major in thi", "G major in thirds"),
        ("G major, slur two t", "G major, slur two tongue two"),
        ("G major, semiqu", "G major, semiquavers"),
        ("E-flat harmonic minor, two oc", "E-flat harmonic minor, two octaves"),
        ("all k", "all keys"),
        ("all keys, whole", "all keys, whole-tone"),
        ("G major, ", "G major, thirds"),
    ],
)
def test_a_phrase_goes_on(typed: str, phrase: str) -> None:
    found = completions(typed, NAMES)
    assert phrase in found
    assert all(one.startswith(typed) for one in found)


def test_what_completes_a_phrase_can_be_read() -> None:
    for typed in ("G ", "G major in ", "G major, s", "A minor, fr", "chromatic on C, t"):
        found = completions(typed, NAMES)
        assert found
        for phrase in found:
            assert parse_all(phrase, NAMES), phrase


def test_words_that_lead_nowhere_complete_to_nothing() -> None:
    assert completions("G zzz", NAMES) == ()
    assert completions("zzz major in thi", NAMES) == ()


def test_the_shell_is_told_what_it_asks() -> None:
    said = run_here("complete", "2", "--", "scalewright", "sheet", '"G major in thi')
    assert said.succeeds()[0] == "G major in thirds"
    run_here("completion", "tcsh").fails(2, "unknown shell 'tcsh'", "bash, zsh, fish")


@pytest.mark.parametrize("shell", sorted(SCRIPTS))
def test_the_script_is_sound(shell: str, tmp_path: Path) -> None:
    script = tmp_path / "script"
    script.write_text("\n".join(run_here("completion", shell).succeeds()), "utf-8")
    if shutil.which(shell) is None:
        pytest.skip(f"{shell} is not on this machine")
    subprocess.run([shell, "-n", script], check=True, capture_output=True)


def typed_into(shell: list[str], setup: str, keys: str) -> str:
    """What stands on the line after some keys in a real shell at a terminal."""
    child, terminal = pty.fork()
    if child == 0:
        scripts = f"{sysconfig.get_path('scripts')}{os.pathsep}{os.environ['PATH']}"
        os.execvpe(  # noqa: S606  # a terminal of its own, as a person has one
            shell[0],
            shell,
            {**os.environ, "PATH": scripts, "PS1": "$ ", "TERM": "dumb", "INPUTRC": "/dev/null"},
        )
    said = b""

    def read_until(mark: bytes, seconds: float = 30) -> None:
        nonlocal said
        end = time.monotonic() + seconds
        while mark not in said and time.monotonic() < end:
            if select.select([terminal], [], [], 0.1)[0]:
                try:
                    said += os.read(terminal, 4096)
                except OSError:
                    return

    try:
        os.write(terminal, f"{setup}; echo REA''DY\n".encode())
        read_until(b"READY\r\n")
        said = said.rpartition(b"READY\r\n")[2]
        read_until(b"$ ")  # only then every key is the shell's
        said = b""
        os.write(terminal, keys.encode())
        read_until(b"DONE")
    finally:
        os.close(terminal)
        os.waitpid(child, 0)
    return said.decode(errors="replace").replace("\x07", "")


@pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not on this machine")
@pytest.mark.parametrize(
    ("keys", "line"),
    [
        ('"G major, slur two tongue t\t DONE\n', '"G major, slur two tongue two"'),
        ("G\\ harmonic\\ minor\\ mod\t DONE\n", "G\\ harmonic\\ minor\\ modes"),
        ('-i "alto sax\t DONE\n', '-i "alto saxophone"'),
    ],
)
def test_bash_completes_a_phrase(keys: str, line: str) -> None:
    said = typed_into(
        ["bash", "--norc", "-i"], 'eval "$(scalewright completion bash)"', f"echo; scalewright sheet {keys}"
    )
    assert line in said, said


if sys.platform == "win32":
    pytest.skip("no terminals of this kind", allow_module_level=True)
