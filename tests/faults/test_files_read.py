"""Files that a person wrote, or took for one of ours, are anything but: every command says what is wrong, at once."""

import os
import time

import pytest

READERS = {
    "plan": ("plan", "check", "--plan"),
    "today": ("today", "-f", "json", "--plan"),
    "section": ("handout", "concert G major", "-f", "json", "--section"),
    "roster": ("handout", "concert G major", "-f", "json", "--roster"),
    "list": ("sheet", "-f", "json", "-i", "flute", "--list"),
    "import": ("played", "--import"),
}
TOML = ["plan", "section", "list"]
PLAN = 'player = "Ada"\ninstrument = "flute"\n[[keep]]\nphrase = "G major"\n'
SECTION = 'title = "Band"\n[[chair]]\ninstrument = "flute"\n[[chair]]\ninstrument = "tuba"\n'
ROSTER = "name,instrument\nAda,flute\nBo,tuba\n"


def read(person, reader, name="mine.csv"):
    return person.type(*READERS[reader], name)


def put(person, content, name="mine.csv"):
    path = person.here / name
    path.write_bytes(content)
    return path


@pytest.mark.parametrize(
    ("reader", "what"),
    [(one, "folder") for one in READERS if one not in ("list", "today")]
    + [("today", "nothing"), ("section", "nothing"), ("plan", "loop")],
)
def test_no_file_at_all(person, reader, what):
    path = person.here / "mine.csv"
    if what == "folder":
        path.mkdir()
    elif what == "loop":
        path.symlink_to("mine.csv")
    said = {"folder": "Is a directory", "nothing": "there is no such file", "loop": "leads back to itself"}[
        what
    ]
    if (reader, what) == ("import", "folder"):
        person.run(*READERS[reader], "mine.csv").fails(
            2, "mine.csv: this is a folder, not a file with a log in it"
        )
    else:
        person.run(*READERS[reader], "mine.csv").fails(3, "mine.csv", "read", said)
    assert list(person.temporary.iterdir()) == []


@pytest.mark.parametrize("what", ["folder", "nothing"])
def test_no_required_list_at_all(person, what):
    if what == "folder":
        (person.here / "mine.toml").mkdir()
    read(person, "list", "./mine.toml").fails(
        2, "is neither a required list nor a file; see: scalewright list lists"
    )


@pytest.mark.parametrize("reader", ["plan", "section"])
def test_a_file_that_may_not_be_read(person, reader, plain_user):
    put(person, b"x").chmod(0)
    line = person.run(*READERS[reader], "mine.csv", before=plain_user).fails(2, "mine.csv")
    assert "is not readable" in line


@pytest.mark.parametrize("reader", ["plan", "section", "roster", "import"])
def test_an_empty_file(person, reader):
    put(person, b"")
    ended = read(person, reader)
    assert ended.code == 2
    assert "Traceback" not in ended.words
    assert all(line.startswith("scalewright: mine.csv, line 1: ") for line in ended.err)
    assert ended.err


@pytest.mark.parametrize(
    ("reader", "content"),
    [(one, bytes(range(256)) * 40) for one in ("list", "import")]
    + [("plan", b'player = "caf\xe9"\n'), ("section", "minutes = 20\n".encode("utf-16"))],
)
def test_a_file_that_is_no_text(person, reader, content):
    put(person, content)
    read(person, reader).fails(2, "mine.csv", "not UTF-8")


@pytest.mark.parametrize(
    ("reader", "content", "words"),
    [(one, b"a = " + b"[" * 5000 + b"]" * 5000, "too deeply") for one in ("plan", "section")]
    + [("plan", b"\0" * 1000, "is no TOML"), ("section", b"x" * 5000, "is no TOML")],
)
def test_a_file_that_is_no_toml(person, reader, content, words):
    put(person, content)
    read(person, reader).fails(2, "mine.csv, line 1: ", words)


@pytest.mark.parametrize("reader", ["plan", "roster", "list"])
@pytest.mark.parametrize("content", [b'[[keep]]\nphrase = "G major"\n'])
def test_a_file_of_fifty_megabytes_is_refused_at_once(person, reader, content):
    put(person, content * ((50 << 20) // len(content)))
    began = time.monotonic()
    read(person, reader).fails(
        2, "mine.csv is larger than 1 MB, which nobody writes by hand; is it the right file?"
    )
    assert time.monotonic() - began < 10


def test_a_pipe_in_place_of_a_plan_is_not_waited_for(person):
    os.mkfifo(person.here / "mine.csv")
    read(person, "plan").fails(3, "cannot read mine.csv: it is no file; save it as one")


def test_a_roster_that_is_no_table(person):
    put(person, bytes(range(256)) * 40)
    read(person, "roster").fails(
        2, "mine.csv: this is no table of text; save the spreadsheet as .xlsx or CSV"
    )


@pytest.mark.parametrize(
    "content", ['name,instrument\n"Ada,flute\nBo,tuba\n', 'name,instrument\n"' + "x" * 200000 + '",tuba\n']
)
def test_an_open_quotation_mark_or_an_endless_cell_spoils_no_other_line(person, content):
    put(person, content.encode())
    assert len(read(person, "roster").succeeds()) == content.count("\n") - 1


@pytest.mark.parametrize("change", [lambda t: "\ufeff" + t, lambda t: t.replace("\n", "\r\n")])
@pytest.mark.parametrize(("reader", "text"), [("today", PLAN), ("section", SECTION), ("roster", ROSTER)])
def test_other_marks_and_line_ends_are_understood(person, reader, text, change):
    put(person, change(text).encode())
    assert read(person, reader).succeeds()


@pytest.mark.parametrize(
    "text", [ROSTER.replace(",", ";"), "\ufeff" + ROSTER.replace(",", ";"), ROSTER.replace(",", "\t")]
)
def test_a_roster_of_any_spreadsheet_is_understood(person, text):
    put(person, text.encode())
    assert len(read(person, "roster").succeeds()) == 2


@pytest.mark.parametrize(
    ("option", "text"),
    [
        ("roster", "name,instrument\\nAda,flute\\n"),
        ("section", '[[chair]]\\ninstrument = "flute"\\n'),
    ],
)
def test_a_section_or_a_roster_may_come_through_a_pipe(person, option, text):
    ended = person.shell(
        f"printf '{text}' | scalewright handout 'concert G major' -f json --{option} /dev/stdin"
    )
    assert len(ended.succeeds()) == 1


LONG = "N" * 300


def test_titles_and_names_of_three_hundred_letters(person):
    (path,) = person.type(*person.OPEN, "--title", LONG, "--note", LONG * 9).succeeds()
    assert len(path) < 120
    person.type("plan", "new", "-i", "flute", "--player", LONG + '"\\\n', "--plan", "mine.toml").succeeds()
    person.type("today", "-f", "json", "--plan", "mine.toml").succeeds()
    long = f'title = "{LONG}"\n[[chair]]\ninstrument = "flute"\nname = "{LONG}"\nplayer = "{LONG}"\n'
    put(person, long.encode())
    (path,) = read(person, "section").succeeds()
    assert max(len(part) for part in path.split("/")) < 120


def test_a_plan_with_too_long_a_name(person):
    for command in (("plan", "new", "-i", "flute"), ("plan", "check")):
        person.type(*command, "--plan", "x" * 300).fails(3, "the name is too long; choose a shorter one")


def test_a_folder_called_plan_is_no_plan(person):
    (person.here / "plan.toml").mkdir()
    ended = person.type("today", "-f", "json")
    ended.succeeds()
    assert "this is the starter plan" in ended.words


@pytest.mark.parametrize("word", [b"caf\xe9 \xff", "\U0001f3b7 \u00e9", "a\nb\x1b[2J"])
def test_any_title_in_any_locale(person, word):
    setting = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    (path,) = person.run(*person.OPEN, "--title", word, setting=setting).succeeds()
    text = (person.here / path).read_text("utf-8")
    if isinstance(word, str) and "\n" not in word:
        assert word in text.encode().decode("unicode_escape", "ignore") or word in text


def test_a_phrase_that_is_no_text(person):
    person.run("sheet", b"G \xff major", "-i", "flute").fails(2, "is not understood")
