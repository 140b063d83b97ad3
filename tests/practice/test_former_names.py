"""What was written before the words for a dominant seventh changed keeps its meaning.

The plan and the log in tests/data/before are those of a version that wrote "G dominant seventh" for the one in the key
of G and "G major-minor seventh" for the one on G; its first four notes of each exercise stand below.
"""

from pathlib import Path

import pytest

from generator.catalogue.tables import shared_catalogue
from generator.phrase.read import parse
from generator.phrase.ways import LOGGED
from generator.phrase.write import canonical
from generator.practice.asking import line_id
from generator.practice.former_names import former, renamed

BEFORE = Path(__file__).parents[1] / "data" / "before"
NAMES = shared_catalogue()
# As that version printed them for an alto saxophone.
PRINTED = {
    "G major": "G4 A4 B4 C5",
    "dominant seventh of E-flat in groups of three, one octave": "Bb3 D4 F4 D4",
    "dominant seventh of C": "G4 B4 D5 F5",
    "dominant seventh of F": "C4 E4 G4 Bb4",
    "dominant seventh on G, two octaves": "G4 B4 D5 F5",
}


@pytest.fixture
def continued(desk):
    """A player who goes on with the plan and the log of before."""
    desk.plan((BEFORE / "plan.toml").read_text("utf-8"))
    said = desk.type("played", "--merge", str(BEFORE / "log.jsonl"), "--mine")
    assert said.code == 0, said.err
    return desk


def first_notes(exercise):
    return " ".join([note["written"] for bar in exercise["bars"] for note in bar["notes"]][:4])


def test_a_plan_and_a_log_of_before_go_on_as_they_were(continued):
    said = continued.today()
    assert said.code == 0
    found = {e["phrase"].removesuffix(", quarter = 84"): first_notes(e) for e in continued.exercises(said)}
    assert found == PRINTED
    # Everything was played two days before: nothing is new, nothing joined the list or left it.
    assert all(
        "played" in row.reason and "new" not in row.reason.casefold() for row in continued.sheet().rows
    )
    assert not [e for e in continued.log() if e.kind in ("item_in", "item_out") and e.day == continued.day]


def test_a_sheet_of_before_is_noted_under_its_own_names_and_counts_for_the_same_lines(continued):
    continued.today()
    assert continued.type("played", "all", "--tempo", "84").code == 0
    names = {line_id(play.item, "alto saxophone") for play in continued.plays()}
    assert len(names) == len(PRINTED)
    # Three plays of each by now, two of them noted before.
    assert len(continued.plays()) == 3 * len(PRINTED)


def test_plan_check_says_what_a_plan_of_before_means(continued):
    said = continued.type("plan", "check")
    assert said.code == 0
    told = " ".join(said.err)
    assert "C and F dominant seventh is read as it was before, dominant seventh of C and F" in told
    assert "major-minor" not in told
    continued.plan('phrases = 2\n[[keep]]\nphrase = "C and F dominant seventh"\n')
    assert "as it was before" not in " ".join(continued.type("plan", "check").err)


@pytest.mark.parametrize("form", ["dominant seventh", "dominant seventh from the root"])
@pytest.mark.parametrize("figure", ["", " in thirds", " in groups of three"])
@pytest.mark.parametrize(
    "clause", ["", ", two octaves", ", from the third degree", ", all slurred, quarter = 84"]
)
@pytest.mark.parametrize("key", ["C", "F-sharp", "B-flat", "G double-sharp"][:3])
def test_names_and_phrases_of_before_mean_what_they_meant(form, figure, clause, key):
    word = {"dominant seventh": "dominant", "dominant seventh from the root": "major-minor"}[form]
    before = f"{key} {word} seventh{figure}{clause}"
    request = parse(before, NAMES, LOGGED)
    assert request.form.name == form
    assert [tonic.words for tonic in request.keys] == [key]
    # What is written today is read alike today and from a log, and names lead both ways.
    today = canonical(request)
    assert renamed(before) == today
    assert former(today) == before
    assert renamed(today) == today
    assert parse(today, NAMES) == request == parse(today, NAMES, LOGGED)


@pytest.mark.parametrize("phrase", ["dominant seventh on G", "G dominant seventh", "dominant seventh of G"])
def test_an_old_plan_means_the_key_whatever_it_says(phrase, desk):
    row = f'instrument = "flute"\n[[keep]]\nphrase = "{phrase}, one octave"\n'
    desk.plan(row)
    (exercise,) = desk.exercises(desk.today())
    assert first_notes(exercise) == "D4 F#4 A4 C5"
    # The same words under today's sign.
    desk.plan("phrases = 2\n" + row)
    desk.sleep()
    (exercise,) = desk.exercises(desk.today())
    assert first_notes(exercise) == ("D4 F#4 A4 C5" if " of " in phrase else "G4 B4 D5 F5")
