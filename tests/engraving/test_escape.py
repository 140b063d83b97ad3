"""A person's words stay words: in LilyPond strings and in lyrics."""

import re
import tempfile
from pathlib import Path

import pytest
from hypothesis import example, given

from generator.engraving.escape import Ly, finalize, ly_string, syllable_string
from generator.engraving.lilypond import engrave, find
from generator.errors import EngravingError, LilyPondMissingError
from generator.files.text import clean
from tests.fixtures.hostile_text import ANYTHING, HOSTILE


def read_string(source: str) -> str:
    """Read one string as LilyPond's lexer and Guile both do; fails unless the source is just one string."""
    assert source[0] == '"'
    read: list[str] = []
    rest = iter(source[1:])
    for character in rest:
        if character == '"':
            assert next(rest, None) is None, "the string ends before its text does"
            return "".join(read)
        if character == "\\":
            escaped = next(rest)
            assert escaped in '"\\', "an escape that the two readers understand differently"
            read.append(escaped)
        else:
            read.append(character)
    raise AssertionError("the string never ends")


@given(ANYTHING | HOSTILE)
@example("\\")
@example('\\\\"')
@example("ends in a backslash \\")
@example("a" * 5000)
@example('\\"' * 2500)
@example("\u202egnp.exe\0\ud800")
def test_any_text_becomes_exactly_one_string_that_reads_back_as_the_clean_text(text: str) -> None:
    assert read_string(ly_string(text)) == clean(text)
    syllable = read_string(syllable_string(text))
    assert not re.search(r"[~_]|--", syllable)


def test_the_reader_used_here_notices_a_missing_escape() -> None:
    for raw in ('"a"b"', '"a\\"', '"a\\\\"b"', '"\\n"'):
        with pytest.raises(AssertionError):
            read_string(raw)


def test_a_template_may_print_only_lilypond_and_whole_numbers() -> None:
    assert finalize(Ly("c'4")) == "c'4"
    assert finalize(7) == 7
    for wrong in ("plain", True, None, 1.5, Ly("a") + "b", Ly("ab")[:1], Ly(" ").join(["a", "b"]), b"x"):
        with pytest.raises(TypeError, match="only Ly and int"):
            finalize(wrong)


def hostile_titles() -> list[str]:
    """200 titles, each of which makes a file `../fired-N` if LilyPond ever takes it for more than words."""
    openings = (
        '"',
        '\\"',
        '\\\\"',
        '\\\\\\"',
        '"\n',
        '"\r\n',
        '" } ',
        '"\0',
        '\u202e"',
        '\ud800"',
        '%}"',
        '" "',
        "",
        "\n",
    )
    orders = (
        '#(open-output-file "../fired-@")',
        '$(open-output-file "../fired-@")',
        '#(system "touch ../fired-@")',
        "#(open-output-file (symbol->string '../fired-@))",  # needs no quotes of its own
        '#@(list (open-output-file "../fired-@"))',
        '\n\\include "../evil.ily"\n',
        '#{ $(open-output-file "../fired-@") #}',
    )
    endings = ("", ' "', "\\", " %{", "\n%", ' title = "', "a" * 5000, "\U0001f3b5\u05e9\u6f22")
    titles = [start + order + end for order in orders for start in openings for end in endings]
    return [titles[i * len(titles) // 200].replace("@", str(i)) for i in range(200)]


def word(number: int) -> str:
    """A LilyPond variable name: letters only."""
    return "t" + "".join(chr(ord("a") + int(digit)) for digit in str(number)) + "x"


def page_of_titles(titles: list[str]) -> str:
    """Each title in every kind of place that takes text; what LilyPond read is written to `../seen`."""
    lines = ['\\version "2.24.0"', "\\header { tagline = ##f }", "\\paper { indent = 20\\mm }"]
    lines += [f"{word(i)} = {ly_string(title)}" for i, title in enumerate(titles)]
    lines += [f"\\markup {{ {ly_string(title)} \\italic {ly_string(title)} }}" for title in titles]
    for start in range(0, len(titles), 20):
        group = titles[start : start + 20]
        name, piece = ly_string(group[0]), ly_string(group[1])
        fields = " ".join(f"{word(i)} = {ly_string(title)}" for i, title in enumerate(group))
        sung = " ".join(syllable_string(title) for title in group)
        staff = f"\\new Staff \\with {{ instrumentName = {name} }} {{ \\repeat unfold 20 c'4 }}"
        lines.append(
            f"\\score {{ {staff} \\addlyrics {{ {sung} }} \\header {{ piece = {piece} {fields} }} }}"
        )
    strings = " ".join(word(i) for i in range(len(titles)))
    scheme = " ".join(ly_string(title) for title in titles)
    lines += [
        '#(let ((port (open-output-file "../seen"))) (set-port-encoding! port "UTF-8")',
        "(for-each (lambda (s) (display s port) (newline port))",
        f"(list {strings} {scheme})) (close-port port))",
    ]
    return "\n".join(lines)


@pytest.fixture
def outside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The folder around LilyPond's own: `..` in a title leads there."""
    try:
        find()
    except LilyPondMissingError as problem:
        pytest.skip(str(problem))
    monkeypatch.setattr(tempfile, "tempdir", str(tmp_path))
    (tmp_path / "evil.ily").write_text('#(open-output-file "../fired-include")\n')
    return tmp_path


@pytest.mark.lilypond
def test_200_hostile_titles_do_nothing_and_lilypond_reads_each_as_typed(outside: Path) -> None:
    titles = hostile_titles()
    assert len(set(titles)) == 200
    engrave({"sheet.ly": page_of_titles(titles)})
    assert not list(outside.glob("fired*"))
    # What LilyPond's own reader, then Guile's, made of the strings.
    seen = (outside / "seen").read_text(encoding="utf-8").splitlines()
    assert seen == [clean(title) for title in titles] * 2


@pytest.mark.lilypond
@pytest.mark.parametrize(
    "inside_the_quotes",
    [
        pytest.param('" #(open-output-file "../fired-0") "', id="nothing escaped"),
        pytest.param(
            "\\\\" + "\" #(open-output-file (symbol->string '../fired-0))", id="only quotes escaped"
        ),
        pytest.param('"\n\\include "../evil.ily"\n"', id="include"),
    ],
)
def test_the_same_titles_do_fire_where_they_are_not_escaped(outside: Path, inside_the_quotes: str) -> None:
    page = f'\\version "2.24.0"\n\\header {{ title = "{inside_the_quotes}" }}\n{{ c\'4 }}'
    with pytest.raises(EngravingError):
        engrave({"sheet.ly": page})
    assert list(outside.glob("fired*"))
