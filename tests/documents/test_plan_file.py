"""plan.toml: every mistake named at once, with its line and the nearest name; new plans; what a plan says it does."""

import tomllib

import pytest

GOOD = """\
player = "Ada Quill"
instrument = "alto saxophone"
level = "standard"
minutes = 20
share = "1/2"

[[keep]]
phrase = "all keys, major"
every = 10
start = 60
goal = 108
articulations = ["all tongued", "slur two tongue two"]

[[list]]
name = "florida-middle-school"
date = 2027-02-06
"""

MISTAKES = [
    ('instrument = "alto saxophone"', 'instrument = "alto saxofone"', 2, "'alto saxofone'; nearest: alto sax"),
    ('instrument = "alto saxophone"', "instrument = 3", 2, "instrument: 3 is no text; put it in quotes"),
    ('level = "standard"', 'level = "expert"', 3, "unknown level 'expert'; the levels are first notes"),
    ('level = "standard"', 'low = "H3"', 3, "low: 'H3' is no pitch"),
    ('level = "standard"', 'low = "G6"', 3, "low: the lowest note G 6 lies above the highest"),
    ('level = "standard"', 'high = "C9"', 3, "goes more than an octave beyond the alto saxophone"),
    ("minutes = 20", "minutes = 0", 4, "minutes: 0 is no whole number from 1 to 600"),
    ("minutes = 20", 'minutes = "20"', 4, 'minutes: "20" in quotes is no whole number'),
    ("minutes = 20", "minutes = true", 4, "minutes: True is no whole number"),
    ('share = "1/2"', 'share = "3/2"', 5, "share: '3/2' is no share"),
    ('share = "1/2"', "share = 0.0", 5, "share: 0.0 is no share"),
    ('share = "1/2"', 'names = "flat"', 5, "names: unknown 'flat'; it can be usual, sharps, flats, alternate"),
    ('share = "1/2"', 'paper = "a5"', 5, "paper: unknown 'a5'; it can be letter, a4"),
    ('share = "1/2"', 'print = "huge"', 5, "print: unknown 'huge'; it can be small, normal, large"),
    ('share = "1/2"', 'together = "yes"', 5, "together: 'yes' is neither true nor false"),
    ('share = "1/2"', "minuets = 20", 5, "unknown field 'minuets'; nearest: minutes"),
    ('share = "1/2"', "longest_wait = -1", 5, "longest_wait: -1 is no whole number"),
    ("[[keep]]", "[[keap]]", 7, "unknown field 'keap'; nearest: keep"),
    ('phrase = "all keys, major"', 'phrase = "all keys, mayor"', 8, "nearest: major"),
    ('phrase = "all keys, major"', 'phrase = ""', 8, "phrase: a [[keep]] needs one"),
    ('phrase = "all keys, major"', 'frase = "all keys, major"', 7, "phrase: a [[keep]] needs one"),
    ('phrase = "all keys, major"', 'phrase = "lip slurs"', 8, "are for brass"),
    ("every = 10", "every = 0", 9, "every: 0 is no whole number from 1"),
    ("every = 10", "evry = 10", 9, "unknown field 'evry'; nearest: every"),
    ("start = 60", "start = 6", 10, "start: 6 is no whole number from 20 to 400"),
    ("goal = 108", "goal = 50", 11, "goal: 50 is slower than the start 60"),
    ('["all tongued", "slur two tongue two"]', '["all toungued"]', 12, "'all toungued'; nearest: all tongued"),
    ('["all tongued", "slur two tongue two"]', "[3]", 12, "articulations: names in quotes are needed"),
    ('articulations = ["all tongued", "slur two tongue two"]', 'rhythms = "trippels"', 12, "nearest: triplets"),
    ('articulations = ["all tongued", "slur two tongue two"]', "minutes = 999", 12, "minutes: 999 is no whole number"),
    ('articulations = ["all tongued", "slur two tongue two"]', "heavy = 1", 12, "heavy: 1 is neither true nor false"),
    ('name = "florida-middle-school"', 'name = "florida-midle-school"', 15, "nearest: florida-middle-school"),
    ('name = "florida-middle-school"', 'name = "nzmeb-trombone-8"', 15, "is for trombone, not for the alto saxophone"),
    ('name = "florida-middle-school"', "", 14, "a [[list]] needs the name"),
    ("date = 2027-02-06", 'date = "2027-02-29"', 16, "date: 2027-02-29 is no day of the calendar"),
    ("date = 2027-02-06", "date = 2027-02-06T08:00:00", 16, "is no day of the calendar"),
    ("date = 2027-02-06", "day = 2027-02-06", 16, "unknown field 'day'; nearest: date"),
    ("date = 2027-02-06", "date = 2027-02-30", 16, "this is no TOML"),
    ("minutes = 20", "minutes = = 20", 4, "this is no TOML"),
]  # fmt: skip


def test_the_good_plan_has_no_mistakes(desk):
    desk.plan(GOOD)
    said = desk.type("plan", "check")
    assert (said.code, said.out) == (0, [])
    # 12 majors; the list asks for 7 of them over two complete octaves or one, and adds 7 more lines.
    assert "19 exercises, no mistakes" in said.words
    assert (
        "line 15 and line 8 ask for the same 7 exercises (E major): what each asks comes in turn"
        in said.words
    )


@pytest.mark.parametrize(
    ("old", "new", "line", "reason"), MISTAKES, ids=[f"{m[2]}-{m[1][:30]}" for m in MISTAKES]
)
def test_a_mistake_is_named_with_its_line_and_reason(old, new, line, reason, desk):
    assert GOOD.count(old) == 1
    desk.plan(GOOD.replace(old, new))
    said = desk.type("plan", "check")
    assert (said.code, said.out) == (2, [])
    assert any(f"plan.toml, line {line}: " in row and reason in row for row in said.err), said.err


def test_a_bad_plan_prints_no_sheet_and_leaves_nothing_behind(desk):
    desk.plan(GOOD.replace("all keys, major", "all keys, mayor"))
    said = desk.today()
    assert (said.code, said.out) == (2, [])
    assert not (desk.home / "log.sqlite").exists()
    assert not (desk.folder / "out").exists()


def test_all_mistakes_are_told_at_once_in_the_order_of_the_lines(desk):
    text = GOOD
    for old, new in (
        ("minutes = 20", "minutes = 0"),
        ("all keys, major", "all keys, mayor"),
        ("florida-middle-school", "florida-mid"),
        ('level = "standard"', 'level = "expert"'),
    ):
        text = text.replace(old, new)
    said = desk.type("plan", "check", "--plan", str(desk.plan(text)))
    assert said.code == 2
    assert [row.split(":")[1].split()[-1] for row in said.err] == ["3", "4", "8", "15"]


def test_a_wrong_date_does_not_hide_a_wrong_name_of_its_list(desk):
    desk.plan(GOOD.replace("florida-middle-school", "florida-mid").replace("2027-02-06", '"2027-02-30"'))
    said = desk.type("plan", "check")
    assert [row.split(": ")[2] for row in said.err if ": name: " in row or ": date: " in row] == [
        "name",
        "date",
    ]


def test_a_plan_that_is_no_text_is_refused_by_line(desk):
    desk.plan("").write_bytes(b'player = "Ada"\nminutes = 20 # \xff\n')
    said = desk.type("plan", "check")
    assert (said.code, said.words) == (
        2,
        "scalewright: plan.toml, line 2: a character is not UTF-8; save the file as UTF-8",
    )


def test_a_plan_that_keeps_nothing_is_refused(desk):
    desk.plan('instrument = "flute"\n')
    said = desk.type("plan", "check")
    assert said.code == 2
    assert "it keeps nothing alive" in said.words


def test_a_plan_that_is_not_there_is_a_fault_of_the_machine(desk):
    assert desk.type("plan", "check", "--plan", "nowhere.toml").code == 3


def test_the_same_row_twice_is_pointed_out(desk):
    row = '[[keep]]\nphrase = "all keys, major"\n'
    desk.plan('instrument = "flute"\n' + row + "\n" + row.replace("all keys, major", "ALL KEYS, Major"))
    assert "line 6: says the same as line 3" in desk.type("plan", "check").words


def test_a_new_plan_can_be_read_and_is_never_overwritten(desk):
    said = desk.type(
        "plan", "new", "-i", "alto sax", "--player", 'Ada "Q" Quill \\', "-m", "25", "--paper", "a4"
    )
    assert said.code == 0
    path = desk.home / "plan.toml"
    assert said.out == [str(path)]
    head = tomllib.loads(path.read_text("utf-8"))
    # Read back by the standard library: a name with quotes and a backslash is still that name.
    assert {k: v for k, v in head.items() if k not in ("keep", "dress")} == {
        "player": 'Ada "Q" Quill \\', "instrument": "alto saxophone", "minutes": 25, "paper": "a4",
        "phrases": 2,
    }  # fmt: skip
    before = path.read_bytes()
    again = desk.type("plan", "new", "-i", "flute")
    assert again.code == 2
    assert "--force" in again.words
    assert path.read_bytes() == before
    assert desk.type("plan", "new", "-i", "flute", "--force").code == 0
    assert path.read_bytes() != before
    assert desk.type("plan", "check").code == 0


def test_a_new_plan_asks_at_a_terminal_and_asks_again_where_it_must(desk):
    said = desk.type("plan", "new", answers="kazzoo\ntuba\nfirst\nfirst notes\nBo Reed\nten\n15\n")
    assert said.code == 0
    head = tomllib.loads((desk.home / "plan.toml").read_text("utf-8"))
    assert (head["instrument"], head["player"], head["minutes"]) == ("tuba", "Bo Reed", 15)
    assert head["level"] == "first notes"
    assert "unknown level 'first'" in said.words
    assert "unknown instrument 'kazzoo'" in said.words


def test_a_new_plan_without_a_terminal_needs_an_instrument(desk):
    said = desk.type("plan", "new")
    assert (said.code, len(said.err)) == (2, 1)
    assert not (desk.home / "plan.toml").exists()


def test_the_plan_here_goes_before_the_one_at_home(desk):
    desk.type("plan", "new", "-i", "tuba")
    assert "tuba" in desk.type("plan", "show").out[0]
    desk.plan(GOOD)
    assert "alto saxophone" in desk.type("plan", "show").out[0]
    other = desk.folder / "other.toml"
    other.write_text(GOOD.replace("alto saxophone", "flute"), "utf-8")
    assert "flute" in desk.type("plan", "show", "--plan", str(other)).out[0]


def test_what_a_plan_amounts_to(desk):
    desk.plan('instrument = "flute"\nminutes = 20\n[[keep]]\nphrase = "all keys, major"\nminutes = 4\n')
    lines = desk.type("plan", "show").out
    # 12 exercises of 4 minutes; 20 minutes hold 4 of rest (5 in 30, BAPAM), so 16 of playing, half for the floor:
    # (48 - 4) // 8 + 1 = 6 practice days, and no order does better than 48 / 16 = 3.
    assert "12 exercises, 48 minutes once through; 20 minutes a day, 4 of them rest" in lines
    assert any("within 6 practice days" in line and "below 3 practice days" in line for line in lines)


def test_a_shorter_wait_is_offered_with_the_minutes_it_needs(desk):
    desk.plan(
        'instrument = "flute"\nlongest_wait = 3\nminutes = 20\n[[keep]]\nphrase = "all keys, major"\nminutes = 4\n'
    )
    offer = next(line for line in desk.type("plan", "show").out if line.startswith("a longest wait of 3"))
    minutes = offer.split("needs ")[1].split()[0]
    text = (desk.folder / "plan.toml").read_text("utf-8")
    desk.plan(text.replace("minutes = 20", f"minutes = {minutes}"))
    assert any("round within 3 practice days" in line for line in desk.type("plan", "show").out)
    # One minute less keeps it no more.
    desk.plan(text.replace("minutes = 20", f"minutes = {int(minutes) - 1}"))
    assert not any("round within 3 practice days" in line for line in desk.type("plan", "show").out)


def test_plan_alone_shows_its_commands_and_a_wrong_one_is_refused(desk):
    said = desk.type("plan")
    assert said.code == 0
    assert all(any(word in line for line in said.out) for word in ("new", "check", "show", "calendar"))
    assert desk.type("plan", "chek").code == 2
