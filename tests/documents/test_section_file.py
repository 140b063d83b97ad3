"""Section files and rosters: what they say, and every mistake told at once with its line."""

from collections.abc import Callable
from pathlib import Path

import pytest

from generator.catalogue.tables import Table
from generator.documents.roster import read_roster
from generator.documents.section import Section, at_levels, from_names
from generator.documents.section_file import read_section
from generator.errors import BadFileError, OutputError, RequestError
from generator.exercise.instrument import Instrument

Written = Callable[[str, str], Path]


def test_the_example_band_is_read_whole(band: Section) -> None:
    assert band.title == "Harbour Street Community Band"
    assert len(band.chairs) == 24
    by_name = {chair.name: chair for chair in band.chairs}
    third = by_name["3rd Clarinet"]
    assert (third.player.level, third.player.compass.words, third.copies) == ("own range", "E 3 to G 5", 4)
    assert by_name["Piccolo"].person == "Odile Marsh"
    assert by_name["Snare Drum"].unpitched
    assert [c.name for c in band.chairs][:3] == ["Piccolo", "1st Flute", "2nd Flute"]


def test_a_chair_needs_nothing_but_an_instrument(written: Written, instruments: Table[Instrument]) -> None:
    section = read_section(written("s.toml", '[[chair]]\ninstrument = "B-flat clarinet"\n'), instruments)
    (chair,) = section.chairs
    assert (chair.name, chair.copies, chair.person) == ("Clarinet in B-flat", 1, "")
    assert (chair.player.level, section.title) == ("standard", "")


def test_a_field_without_anything_in_it_counts_as_left_out(
    written: Written, instruments: Table[Instrument]
) -> None:
    text = '[[chair]]\ninstrument = "flute"\nlevel = ""\nlow = " "\nplayer = ""\n'
    (chair,) = read_section(written("s.toml", text), instruments).chairs
    assert (chair.name, chair.player.level, chair.person) == ("Flute", "standard", "")


def test_a_wrong_note_counts_as_left_out_where_the_other_is_judged(
    written: Written, instruments: Table[Instrument]
) -> None:
    text = '[[chair]]\ninstrument = "flute"\nlow = "H4"\nhigh = "C9"\n'
    with pytest.raises(BadFileError) as refusal:
        read_section(written("s.toml", text), instruments)
    assert [line.split(": ")[1] for line in str(refusal.value).splitlines()] == ["low", "high"]


def test_every_mistake_is_told_at_once_with_line_field_reason_and_nearest_name(
    written: Written, instruments: Table[Instrument]
) -> None:
    text = """titel = "Band"

[[chair]]
name = "2nd"
instrument = "clarinett"
level = "hard"

[[chair]]
instrument = "flute"
low = "H4"
copys = 3
copies = 0

[[chair]]
name = 4
instrument = "tuba"
low = "C3"
high = "C2"

[[chair]]
instrument = "tuba"
high = "C9"

[[chair]]
"""
    with pytest.raises(BadFileError) as refusal:
        read_section(written("band.toml", text), instruments)
    lines = str(refusal.value).splitlines()
    starts = [
        "band.toml, line 1: unknown field 'titel'; nearest: title",
        "band.toml, line 5: instrument: unknown instrument 'clarinett'; nearest: clarinet",
        "band.toml, line 6: level: unknown level 'hard'; the levels are first notes, standard, extended",
        "band.toml, line 10: low: 'H4' is no pitch",
        "band.toml, line 11: unknown field 'copys'; nearest: copies",
        "band.toml, line 12: copies: 0 is no whole number from 1 to 99",
        "band.toml, line 15: name: 4 is no text; put it in quotes",
        "band.toml, line 18: high: the lowest note C 3 lies above the highest C 2",
        "band.toml, line 22: high: C 9 lies more than an octave beyond the tuba",
        "band.toml, line 24: instrument: a chair needs one",
    ]
    assert len(lines) == len(starts)
    for line, start in zip(lines, starts, strict=True):
        assert line.startswith(start)


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ('title = "x\n[[chair]]', r"s\.toml, line 1: this is no TOML"),
        ("", r"s\.toml, line 1: it has no \[\[chair\]\]"),
        ("[[chair]]\ninstrument = 3\n", r"line 2: instrument: 3 is no text; put it in quotes"),
        ('chair = ["flute"]\n', r"line 1: chair is written as tables, each under \[\[chair\]\]"),
        ('chair = "flute"\n', r"line 1: chair is written as tables, each under \[\[chair\]\]"),
        ("chair = []\n", r"line 1: it has no \[\[chair\]\]"),
        (
            '[[chair]]\ninstrument = "flute"\ncopies = true\n',
            r"line 3: copies: True is no whole number from 1 to 99",
        ),
        ('[[chair]]\ninstrument = "flute"\nlevel = 2\n', r"line 3: level: 2 is no text; put it in quotes"),
        ('[[chair]]\ninstrument = "flute"\nlow = 60\n', r"line 3: low: 60 is no text; put it in quotes"),
        ('[[chair]]\ninstrument = "flute"\n[chair.more]\n', r"unknown field 'more'"),
        ('[[chair]]\ninstrument = "flute"\n' * 301, r"it has 301 times \[\[chair\]\]; at most 300"),
    ],
)
def test_malformed_files_are_refused(
    written: Written, instruments: Table[Instrument], text: str, reason: str
) -> None:
    with pytest.raises(BadFileError, match=reason):
        read_section(written("s.toml", text), instruments)


def test_files_that_are_not_there_or_not_text(
    tmp_path: Path, written: Written, instruments: Table[Instrument]
) -> None:
    with pytest.raises(OutputError, match="cannot read"):
        read_section(tmp_path / "none.toml", instruments)
    path = tmp_path / "latin.toml"
    path.write_bytes('title = "Fl\u00f6te"\n'.encode("latin-1"))
    with pytest.raises(BadFileError, match=r"latin\.toml, line 1: a character is not UTF-8"):
        read_section(path, instruments)


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_roster_makes_a_chair_of_every_player(written: Written, separator: str) -> None:
    rows = [
        ("Name", "Instrument", "Level"), ("Finn Reed", "tuba", ""), ('"Marsh, Odile"', "alto sax", "First Notes"),
        ("", "snare drum", "standard"),
    ]  # fmt: skip
    text = "\ufeff" + "\r\n".join(separator.join(row) for row in rows) + "\r\n"
    section = read_roster(written("class.csv", text), "extended")
    found = [(c.person, c.player.instrument.name, c.player.level) for c in section.chairs]
    assert found == [
        ("Odile Marsh", "alto saxophone", "first notes"), ("Finn Reed", "tuba", "extended"),
        ("", "snare drum", "standard"),
    ]  # fmt: skip


def test_a_line_of_names(instruments: Table[Instrument]) -> None:
    section = from_names("tuba, 2 clarinet, flute", "first notes", instruments)
    assert [(c.name, c.copies, c.player.level) for c in section.chairs] == [
        ("Flute", 1, "first notes"), ("Clarinet in B-flat", 2, "first notes"), ("Tuba", 1, "first notes"),
    ]  # fmt: skip
    with pytest.raises(RequestError) as refusal:
        from_names("flut, tubba", "standard", instruments)
    assert len(str(refusal.value).splitlines()) == 2
    with pytest.raises(RequestError, match="names none"):
        from_names(" , ", "standard", instruments)


def test_levels_make_a_chair_of_each(instruments: Table[Instrument]) -> None:
    section = at_levels(from_names("flute, tuba", "standard", instruments), ["first notes", "Standard"])
    assert [c.name for c in section.chairs] == [
        "Flute, first notes", "Flute, standard", "Tuba, first notes", "Tuba, standard",
    ]  # fmt: skip
    with pytest.raises(RequestError, match="unknown level"):
        at_levels(section, ["easy"])
