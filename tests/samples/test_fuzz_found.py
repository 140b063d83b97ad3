"""Every text that once broke the program, took it long, or was answered with something unreadable."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from generator.catalogue.players import player_named
from generator.cli import played
from generator.documents.plan_file import read_plan
from generator.documents.required_file import read_list
from generator.documents.required_list import find_list
from generator.documents.roster import read_roster
from generator.documents.section import from_names
from generator.documents.section_file import read_section
from generator.errors import DoesNotFitError, RequestError, clipped, shown
from generator.exercise.records import Tempo
from generator.phrase import expand
from generator.phrase.read import parse
from generator.phrase.write import canonical
from generator.practice_log import Format, PracticeLog
from generator.practice_log.transfer import read_log, take_in
from generator.progress import overview as progress
from generator.theory.duration import Metre, Value
from generator.theory.pitch import Pitch
from tests.exhaustive.fuzzing.checks import INSTRUMENTS, NAMES, check_refusal, short
from tests.exhaustive.fuzzing.sound import KEPT

DIGITS = "9" * 5000
HEX = "0x" + "f" * 5000  # a number that Python reads but does not write out
MARKS = "\u0300\u0316" * 30_000  # putting them in their order takes the square of their number
FLUTE = player_named("flute")


def said(action: Callable[[], object]) -> str:
    """What a refusal says, after it was found short and readable."""
    with short(), pytest.raises(RequestError) as caught:
        action()
    check_refusal(caught.value)
    return str(caught.value)


WORDS = [
    # what, text, part of the answer
    ("phrase", "chromatic on C" + "tic on C" * 100, "'Ctic' (character 14 of 'chromatic on Ctic on C"),
    ("phrase", "G major, " + "x" * 900, "xxx…' (character 10"),
    ("phrase", "G major, " * 300, "a phrase has at most 2000 characters, not 2700"),
    (
        "phrase",
        "G major in thirds,quarter and eighth tri\udcdcplets, quarter =\n  [" + "\0" * 60,
        "(character 19 of",
    ),
    ("phrase", "the " * 2500, "at most 2000 characters"),
    ("phrase", MARKS, "at most 2000 characters"),
    ("phrase", "♭ major", "'♭' (character 1 of '♭ major') is not understood"),
    ("phrase", "♭" * 1990, "is not understood"),
    ("phrase", f"G major, {'9' * 1900}", "is not understood"),
    ("phrase", f"G major, in {'9' * 1900}/4", "is no metre; write one like 4/4"),
    ("phrase", "G major, every articulation down", "that half takes one, like all slurred down"),
    ("phrase", "G major, all tongued up, articulations in turn down", "that half takes one"),
    ("phrase", "G major, board articulations down", "that half takes one"),
    ("phrase", "G major, quarter = 80, dotted half = 90", "quarter = 80 and dotted half = 90; choose one"),
    ("phrase", "G major, from the third degree, from the second degree", "third and second; choose one"),
    ("metre", f"{DIGITS}/4", "is no metre"),
    ("metre", f"4/4 {'1+' * 5000}1", "is no grouping of 4/4"),
    ("metre", f"4/4 {DIGITS}", "is no grouping of 4/4"),
    ("note", f"C{DIGITS}", "is no pitch; write a note and its octave"),
    ("note", "C-99999999", "is no pitch"),
    ("note", "\ud800\0\u202e4", r"'\ud800\x00\u202e4' is no pitch"),
    ("instrument", MARKS, "unknown instrument"),
    ("instrument", "flut" * 100_000, "unknown instrument"),
    ("level", "x" * 100_000, "the levels are first notes, standard, extended"),
    ("chart", "x" * 100_000, "progress is drawn as"),
    ("chairs", "1" + " " * 3000 + "a\nb", "unknown instrument 'a b'"),
    ("chairs", "flute\nclarinet", "unknown instrument 'flute clarinet'"),
    ("chairs", "flut," * 20_000, "at most 300 are possible"),
    ("chairs", "flut," * 300, "280 more mistakes"),
    ("list", "~nobody-of-that-name/own.toml", "is neither a required list nor a file"),
    ("list", "x" * 5000, "is neither a required list nor a file"),
    ("list", "own\0.toml", "is neither a required list nor a file"),
    ("list", "\ud800", "is neither a required list nor a file"),
]
READERS: dict[str, Callable[[str], object]] = {
    "phrase": lambda text: parse(text, NAMES),
    "metre": Metre.parse,
    "note": lambda text: player_named("flute", low=text),
    "instrument": player_named,
    "level": lambda text: player_named("flute", text),
    "chart": progress.parse_formats,
    "chairs": lambda text: from_names(text, "standard", INSTRUMENTS),
    "list": lambda text: find_list(text, Path(), Path()),
}


@pytest.mark.parametrize(
    ("what", "text", "answer"), WORDS, ids=[f"{what}-{text[:20]!a}" for what, text, _ in WORDS]
)
def test_short_texts(what: str, text: str, answer: str) -> None:
    assert answer in said(lambda: READERS[what](text))


@pytest.mark.parametrize(
    "phrase",
    [
        "G major, every articulation, all slurred down",
        "G major, articulations in turn up, all slurred down",
        "G major, board articulations up, all slurred down",
    ],
)
def test_several_articulations_for_the_rising_half_are_written_as_they_are_read(phrase: str) -> None:
    request = parse(phrase, NAMES)
    assert parse(canonical(request), NAMES) == request
    headings = {made.heading for made in expand.exercises([phrase], FLUTE).exercises}
    assert headings
    assert all("up, all slurred down" in heading for heading in headings)


@pytest.mark.parametrize("phrase", ["all flat keys, whole-tone", "all sharp keys, chromatic"])
def test_a_key_set_without_a_key_of_the_form(phrase: str) -> None:
    # The whole-tone scales are those on C and on D-flat or C-sharp; the usual names of the second are sharp ones.
    with pytest.raises(DoesNotFitError, match=r"is a name of .*; ask for all keys"):
        expand.exercises([phrase], FLUTE)


def test_more_exercises_than_memory_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    # All keys, degrees, rhythms and articulations of one scale alone are some hundred thousand.
    monkeypatch.setattr(expand, "MOST_EXERCISES", 30)
    answer = said(lambda: expand.exercises(["all keys, major from every degree, one octave"], FLUTE))
    assert answer == "these are more than 30 exercises; ask for fewer at once"


STRANGERS = ",".join(f"'z{n}'" for n in range(50_000))
TEMPI = ",".join(f"z{n} = 99" for n in range(20_000))
ITEM = "title = 'a'\nsource = 'b'\nyear = 2027\n[[item]]\nphrase = 'G major'\n"
KEEP = "[[keep]]\nphrase = 'all keys, major'\n"
CHAIR = "[[chair]]\ninstrument = 'flute'\n"
FILES = [
    # file, content, part of the answer
    ("plan.toml", f"minutes = {DIGITS}\n{KEEP}", "line 1: a number has too many digits"),
    (
        "plan.toml",
        f"{KEEP}every = {HEX}\n",
        "line 3: every: a number of more than 30 digits is no whole number",
    ),
    ("plan.toml", f"player = {HEX}\n{KEEP}", "player: a number of more than 30 digits is no text"),
    ("plan.toml", f"share = '1e999999999'\n{KEEP}", "share: '1e999999999' is no share"),
    ("plan.toml", f"share = inf\n{KEEP}", "share: inf is no share"),
    ("plan.toml", f"share = [1]\n{KEEP}", "share: a list is no share"),
    ("plan.toml", f"{KEEP}start = '{'x' * 3000}'\n", "in quotes is no whole number from 20 to 400"),
    ("plan.toml", f'{KEEP}start = "\\u202E\\u0007\\n"\n', r'start: "\u202e\x07\n" in quotes'),
    (
        "plan.toml",
        f'{KEEP}[[list]]\nname = "x"\ndate = "\\u001B[2J"\n',
        r"date: \x1b[2J is no day of the calendar",
    ),
    ("plan.toml", f"{'x' * 3000} = 1\n{KEEP}", "unknown field 'xxx"),
    ("plan.toml", "a" + ".a" * 100_000 + " = 1\n", "line 1: a name of more than 16 parts"),
    ("plan.toml", "[a" + ".a" * 100_000 + "]\n", "line 1: a name of more than 16 parts"),
    ("plan.toml", "\n\nx = { 'a'" + " . 'a'" * 100_000 + " = 1 }\n", "line 3: a name of more than 16 parts"),
    (
        "plan.toml",
        f"{KEEP}x = {'[' * 100_000}\n",
        "line 3: lists or tables stand inside one another too deeply",
    ),
    ("plan.toml", "[[keep]]\nphrase = 'C majr'\n" * 300, "there are more mistakes"),
    ("plan.toml", KEEP * 6000, "it has 6000 times [[keep]]; at most 5000"),
    ("plan.toml", "\n".join(f"k{n} = 1" for n in range(20_000)), "there are more mistakes"),
    ("plan.toml", f"{KEEP}articulations = [{STRANGERS}]\n", "there are more mistakes"),
    ("plan.toml", f'note = "a\u2028b"\n{KEEP}evry = 3\n', "line 4: unknown field 'evry'"),
    ("band.toml", f"{CHAIR}low = {HEX}\n", "low: a number of more than 30 digits is no text"),
    ("band.toml", f"{CHAIR}low = [1]\n", "low: a list is no text"),
    ("band.toml", f"{CHAIR}level = {HEX}\n", "level: a number of more than 30 digits is no text"),
    (
        "band.toml",
        f"{CHAIR}copies = {HEX}\n",
        "copies: a number of more than 30 digits is no whole number from 1 to 99",
    ),
    ("band.toml", f"title = {HEX}\n{CHAIR}", "title: a number of more than 30 digits is no text"),
    ("band.toml", f"{CHAIR}copies = {DIGITS}\n", "line 3: a number has too many digits"),
    ("band.toml", f"{CHAIR}[chair.a{'.a' * 50_000}]\n", "line 3: a name of more than 16 parts"),
    ("band.toml", "\n".join(f"k{n} = 1" for n in range(20_000)), "there are more mistakes"),
    ("band.toml", "[[chair]]\ninstrument = 'flut'\n" * 100, "there are more mistakes"),
    ("class.csv", f"instrument\n{'flut' * 5}\n" + "flut\n" * 5000, "it has more than 2000 lines"),
    ("class.csv", "instrument\n" + "flut\n" * 200, "180 more lines cannot be read"),
    ("class.csv", "instrument" + ",x" * 100_000, "it names no player"),
    ("class.csv", f"{MARKS},instrument\n", "it names no player"),
    ("class.csv", 'a\tb\n"x"y\t\n', "it has no column of instruments"),
    ("board.toml", f"{ITEM}articulations = [true]\n", "articulations: names in quotes are needed"),
    ("board.toml", f"{ITEM}articulations = {{ a = 1 }}\n", "articulations: names in quotes are needed"),
    ("board.toml", f"{ITEM}tempo = {HEX}\n", "tempo: a number of more than 30 digits is no whole number"),
    ("board.toml", f"{ITEM}memory = {HEX}\n", "memory: a number of more than 30 digits is neither"),
    ("board.toml", ITEM.replace("2027", HEX), "year: a required list needs the year of its source"),
    ("board.toml", ITEM.replace("2027", "-1"), "year: a required list needs the year of its source"),
    ("board.toml", f"order = {HEX}\n{ITEM}", "order: a number of more than 30 digits is no text"),
    ("board.toml", f"{ITEM}down = 'every articulation'\n", "that half takes one articulation"),
    ("board.toml", f"{ITEM}down = 'board articulations'\n", "that half takes one articulation"),
    ("board.toml", f"{ITEM}instruments = [{STRANGERS}]\n", "there are more mistakes"),
    ("board.toml", f"{ITEM}tempo = {{{TEMPI}}}\n", "there are more mistakes"),
    ("board.toml", ITEM + "[[item]]\nphrase = 'G majr'\n" * 300, "there are more mistakes"),
]


def whole_plan(path: Path) -> None:
    """Read a plan and tell its mistakes."""
    read_plan(path, NAMES)[1].refuse()


FILE_READERS: dict[str, Callable[[Path], object]] = {
    "plan.toml": whole_plan,
    "band.toml": lambda path: read_section(path, INSTRUMENTS),
    "class.csv": read_roster,
    "board.toml": lambda path: read_list(path, NAMES),
}


@pytest.mark.parametrize(
    ("name", "text", "answer"), FILES, ids=[f"{name}-{number}" for number, (name, _, _) in enumerate(FILES)]
)
def test_files(name: str, text: str, answer: str, tmp_path: Path) -> None:
    path = tmp_path / name
    path.write_text(text, "utf-8", newline="")
    assert answer in said(lambda: FILE_READERS[name](path))


def read_item(tmp_path: Path, text: str) -> Any:
    """The only item of a list."""
    path = tmp_path / "board.toml"
    path.write_text(text, "utf-8")
    return read_list(path, NAMES).items[0]


def test_a_share_too_small_to_count_is_the_smallest_that_does(tmp_path: Path) -> None:
    path = tmp_path / "plan.toml"
    path.write_text(f"share = 0.001\n{KEEP}", "utf-8")
    assert float(read_plan(path, NAMES)[0].share) == 0.01


def test_a_list_names_a_set_of_rhythms_by_its_alias(tmp_path: Path) -> None:
    group = next(group for group in NAMES.sets.rows if group.kind == "rhythm")
    item = read_item(tmp_path, f"{ITEM}rhythm = '{group.name.upper()}'\n")
    assert item.request.rhythm == group
    assert parse(canonical(item.request), NAMES) == item.request


def test_a_pattern_over_the_partials_takes_nothing_from_the_top_of_a_list(tmp_path: Path) -> None:
    item = read_item(
        tmp_path, "rhythm = 'triplets'\nup = 'all slurred'\n" + ITEM.replace("G major", "lip slurs")
    )
    assert item.request == parse("lip slurs", NAMES)


def test_a_tempo_in_the_phrase_of_a_list_keeps_its_note_value(tmp_path: Path) -> None:
    item = read_item(tmp_path, ITEM.replace("G major", "G major, dotted half = 60"))
    assert item.request_for("flute").tempo == Tempo(Value(2, 1), 60)


def test_a_list_with_an_endless_title_says_briefly_whom_it_is_for(tmp_path: Path) -> None:
    path = tmp_path / "board.toml"
    path.write_text(ITEM.replace("title = 'a'", f"title = '{'x' * 3000}'\ninstruments = 'tuba'"), "utf-8")
    answer = said(lambda: read_list(path, NAMES).items_for(FLUTE.instrument))
    assert answer.endswith("… is for tuba, not for the flute")


LONG = '"' + "z" * 90_000 + '"'
HEAD = "uid,kind,day,recorded_at,item,rating\n"
ROW = "a,play,2027-01-07,2027-01-07T00:00:00+00:00,G,3\n"
LINE = (
    '{"uid": "a", "kind": "void", "day": "2027-01-07", "recorded_at": "2027-01-07T00:00:00+00:00", '
    '"takes_back": "two"}'
)
LOGS = [
    # format, content, part of the answer
    ("jsonl", LINE.replace("07T", "07\\ud800"), "recorded_at holds a character that cannot be stored"),
    ("jsonl", LINE.replace("07T", "07\\u0000"), "recorded_at holds a character that cannot be stored"),
    ("jsonl", LINE.replace('"two"', LONG), "there is no entry"),
    ("jsonl", LINE.replace('"void"', LONG), "is no kind of entry"),
    ("jsonl", LINE.replace('"2027-01-07"', '"\\u001b[2J\\n"'), r'day is "\x1b[2J\n"; a date of the calendar'),
    ("jsonl", LINE.replace('"uid"', LONG), "is no column of a log"),
    ("jsonl", LINE.replace('"two"', f"[{'[1],' * 5000} 1]"), "takes_back is a list; a text is needed"),
    ("jsonl", LINE.replace("{", f'{{"minutes": {DIGITS[:4000]}, '), "minutes is a number of more than 30 digits"),
    ("jsonl", '{"a": ' * 100_000, "this is not a line of JSON"),
    ("jsonl", "\n".join(f'{{"itme{n}": 1}}' for n in range(20_000)), "at least 481 more mistakes"),
    ("csv", "x," * 200_000, "twice"),
    ("csv", HEAD + ROW.replace(",3", f",{DIGITS}"), "a whole number is needed"),
    ("csv", HEAD + ROW.replace("00:00:00", "\u202e" * 3000), "a time such as"),
    ("csv", HEAD + '"' + "x" * 200_000 + '"', "this is not CSV"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("form", "text", "answer"), LOGS, ids=[f"{form}-{number}" for number, (form, _, _) in enumerate(LOGS)]
)
def test_logs(form: str, text: str, answer: str, tmp_path: Path) -> None:
    path = tmp_path / f"log.{form}"
    path.write_text(text, "utf-8", newline="")
    with PracticeLog.open(tmp_path / "practice.db") as log:
        log.append(KEPT)
        assert answer in said(lambda: take_in(log, read_log(path, Format(form)), KEPT[0].day))
        assert {one.uid for one in log.as_saved()} == {one.uid for one in KEPT}
        assert len(log.as_saved()) == len(KEPT)


def test_an_entry_that_differs_comes_in_beside_the_other(tmp_path: Path) -> None:
    long = replace(KEPT[0], uid="u" * 90_000)
    path = tmp_path / "log.csv"
    path.write_text(f"{HEAD}{long.uid},play,2027-01-07,2027-01-07T00:00:00+00:00,G,3\n", "utf-8")
    with PracticeLog.open(tmp_path / "practice.db") as log:
        log.append([long])
        assert take_in(log, read_log(path, Format.CSV), long.day).added == 1
        assert len(log.as_saved()) == 2


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ("minor", "'minor'"),
        ("a\u202eb", r"'a\u202eb'"),
        ("x" * 61, "'" + "x" * 60 + "…'"),
        ("\U0010ffff" * 60, None),
        (16**5000, "a number of more than 30 digits"),
        (-(10**30), "a number of more than 30 digits"),
        (60, "60"),
        (True, "True"),
        ([1], "a list"),
        ({"a": 1}, "a table"),
    ],
    ids=lambda value: "",
)
def test_what_a_message_quotes_is_short_and_printable(value: object, words: str | None) -> None:
    text = shown(value)
    assert len(text) <= 82
    assert text.isprintable()
    assert words is None or text == words
    assert isinstance(value, str) is (text[0] == "'" == text[-1])


def test_a_text_without_quotes_is_as_short() -> None:
    assert clipped("2027-02-30") == "2027-02-30"
    assert clipped("\n") == r"\n"
    assert clipped("x" * 1000) == "x" * 60 + "…"


def test_pitches_may_lie_anywhere_near_music() -> None:
    assert Pitch.parse("C-1").height == 0
    assert Pitch.parse("G9").height == 127  # the MIDI range: 0 to 127


@pytest.mark.parametrize("answer", ["00801", "0100" + DIGITS, "\u0668\u0660", "x" * 5000, "\x1b[2J"])
def test_an_answer_that_is_no_tempo(answer: str) -> None:
    words = played._understood(answer)  # what a person types while the program asks
    assert isinstance(words, str)
    assert words.isprintable()
    assert "a tempo from 20 to 400" in words
    assert len(words) < 200
