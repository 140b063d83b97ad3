"""``sheet --list``, ``--draw`` and ``list lists``."""

import json

import pytest


def test_a_list_is_printed_with_its_words(desk):
    said = desk.type("sheet", "--list", "florida middle school", "-i", "alto sax", "-f", "json,ly")
    assert said.code == 0
    paths = {path.rsplit(".", 1)[1]: desk.folder / path for path in said.out}
    text = paths["ly"].read_text("utf-8")
    for words in (
        "Florida all-state, middle school",
        "from memory",
        "In this order.",
        "check the current syllabus",
    ):
        assert words in text
    keys = [
        e["key"] for e in json.loads(paths["json"].read_text("utf-8"))["exercises"] if e["form"] == "major"
    ]
    # Concert G C F Bb Eb Ab Db for an instrument in E-flat.
    assert keys == ["E", "A", "D", "G", "C", "F", "Bb"]


def test_a_draw_tells_its_seed_and_can_be_drawn_again(desk):
    words = ("sheet", "--list", "nzmeb-trombone-8", "-i", "trombone", "-f", "json", "--draw", "6")
    first = desk.type(*words)
    (line,) = [line for line in first.err if "--seed" in line]
    seed = line.rsplit(" ", 1)[1]
    again = desk.type(*words, "--seed", seed)
    assert again.out == first.out
    assert len(desk.phrases(first)) == 6
    assert desk.type(*words, "--seed", str(int(seed) + 1)).out != first.out


@pytest.mark.parametrize(
    ("words", "reason"),
    [
        ((), "say what to print"),
        (("G major", "--list", "illinois-state"), "say what to print"),
        (("G major", "--draw", "3"), "--draw and --seed go with --list"),
        (("--list", "ilinois-state"), "nearest: illinois-state"),
        (("--list", "illinois-state", "--draw", "90"), "90 cannot be drawn"),
        (("--list", "nzmeb-trombone-8", "-i", "flute"), "is for trombone, not for the flute"),
    ],
)
def test_what_cannot_be_is_refused(words, reason, desk):
    said = desk.type("sheet", *words, "-f", "json", "-q")
    assert (said.code, said.out, len(said.err)) == (2, [], 1)
    assert reason in said.words


def test_the_lists_are_listed(desk):
    lines = desk.type("list", "lists").out
    assert any(line.startswith("  florida-middle-school ") and "(2015)" in line for line in lines)
    rows = json.loads("\n".join(desk.type("list", "lists", "--json").out))
    assert len(rows) == len([line for line in lines if "like: --list " in line]) >= 15
    assert all(row["source"] and row["year"] and "current syllabus" in row["warning"] for row in rows)
