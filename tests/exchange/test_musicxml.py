"""MusicXML against the W3C's schema, and the facts that schema validity alone does not prove."""

import json
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from lxml import etree

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.exchange.formats import Music, line_starts
from generator.exchange.json_contract import as_json
from generator.exchange.musicxml import XmlPart, as_musicxml
from generator.pages.paper import Paper
from generator.pages.sheet import Words, lay_out
from generator.phrase import expand

# Diatonic, chromatic, octave-change from written to sounding: the schema's text on <transpose> with the usual
# transpositions of the instruments; alto, tenor, baritone, piccolo, horn and double bass also as music21 writes them.
TRANSPOSITIONS = {
    "alto saxophone": (-5, -9, None),
    "tenor saxophone": (-1, -2, -1),
    "baritone saxophone": (-5, -9, -1),
    "bass clarinet": (-1, -2, -1),
    "piccolo": (0, 0, 1),
    "clarinet in E-flat": (2, 3, None),
    "clarinet in B-flat": (-1, -2, None),
    "horn in F": (-4, -7, None),
    "contrabass clarinet": (-1, -2, -2),
    "double bass": (0, 0, -1),
    "glockenspiel": (0, 0, 2),
}


def faults(schema: Any, data: bytes) -> list[str]:
    schema.validate(etree.fromstring(data))
    return [f"line {e.line}: {e.message}" for e in schema.error_log]


def test_the_schema_refuses_what_is_out_of_order(schema: Any, make_sheet: Any, xml_of: Any) -> None:
    data = xml_of(make_sheet("G major, a fifth"))
    assert faults(schema, data) == []
    assert faults(schema, data.replace(b"<duration>", b"<voice>1</voice><duration>", 1))
    assert faults(schema, data.replace(b"16th", b"17th"))
    assert faults(schema, data.replace(b"<beats>4</beats>", b""))


def test_an_assortment_of_sheets_is_valid(schema: Any, assortment: tuple[Music, ...], xml_of: Any) -> None:
    assert len(assortment) >= 60
    for music in assortment:
        assert faults(schema, xml_of(music)) == [], [e.phrase for e in music.exercises]


@pytest.mark.parametrize(
    "phrase",
    [
        "C major, swung eighths, one octave",
        "C major, one octave, swells, eight counts",
        "C major, one octave, fermatas, quarters",
        "C major, one octave, 6/8 and 4/4, beat = beat",
        "C major, one octave, double tongue",
        "C major, one octave, crescendo up, diminuendo down",
        "C major, one octave, dotted quarter = 60, eighths in six-eight",
    ],
)
def test_the_rarer_signs_are_valid(phrase: str, schema: Any, make_sheet: Any, xml_of: Any) -> None:
    assert faults(schema, xml_of(make_sheet(phrase))) == []


def root_of(data: bytes) -> Any:
    return etree.fromstring(data)


def texts(root: Any, path: str) -> list[str | None]:
    return [e.text for e in root.iterfind(path)]


@pytest.mark.parametrize("name", TRANSPOSITIONS)
def test_transposition_is_what_the_schema_asks_for(name: str, make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, a fifth", "D major, a fifth", instrument=name)))
    found = list(root.iter("transpose"))
    assert len(found) == 1
    diatonic, chromatic, octaves = TRANSPOSITIONS[name]
    values = {child.tag: int(child.text) for child in found[0]}
    wanted = {"diatonic": diatonic, "chromatic": chromatic}
    assert values == (wanted if octaves is None else {**wanted, "octave-change": octaves})


def test_an_instrument_at_concert_pitch_has_no_transposition(make_sheet: Any, xml_of: Any) -> None:
    assert not list(root_of(xml_of(make_sheet("C major, a fifth"))).iter("transpose"))


def test_each_exercise_begins_a_system_and_ends_with_a_heavy_bar(make_sheet: Any, xml_of: Any) -> None:
    music = make_sheet(
        "G major, one octave", "D major, one octave", "A major, one octave", instrument="alto saxophone"
    )
    root = root_of(xml_of(music))
    measures = list(root.iter("measure"))
    first, begins, at = [], [], 0
    for exercise in music.exercises:
        begins.append(at)
        at += len(exercise.bars)
        first.append(measures[begins[-1]])
    assert len(measures) == at
    for number, (exercise, measure) in enumerate(zip(music.exercises, first, strict=True), 1):
        words = measure.find("direction/direction-type/words").text
        assert words.startswith(f"{number}. {exercise.heading}")
        assert exercise.concert_heading in words
        assert measure.findtext("attributes/key/fifths") == str(exercise.signature)
        assert measure.find("attributes/time") is not None
        # The same clef said again would be announced at the end of the line before.
        assert (measure.find("attributes/clef") is not None) == (number == 1)
        new = measure.find("print")
        assert (new is not None and new.get("new-system") == "yes") == (number > 1)
    heavy = [i for i, m in enumerate(measures) if m.findtext("barline/bar-style") == "light-heavy"]
    assert heavy == [b - 1 for b in begins[1:]] + [at - 1]
    assert [m.get("number") for m in measures] == [str(n) for n in range(1, at + 1)]


def test_lines_break_where_the_page_breaks_them(make_sheet: Any, xml_of: Any) -> None:
    phrases = ("B-flat major, two octaves, eighths", "C major in thirds, two octaves")
    music = make_sheet(*phrases, instrument="clarinet in B-flat")
    sheet = lay_out(music.exercises, Words("", ""), Paper.of("a4", "large"))
    starts = line_starts(sheet)
    whole = [1 + sum(line[-1].closes for line in item.layout.lines[:-1]) for item in sheet.items]
    assert [len(s) for s in starts] == whole
    assert max(whole) > 1
    root = root_of(xml_of(Music("", music.instrument, music.exercises, starts)))
    wanted, at = [], 0
    for exercise, bars in zip(music.exercises, starts, strict=True):
        wanted += [at + bar for bar in bars]
        at += len(exercise.bars)
    broken = [i for i, m in enumerate(root.iter("measure")) if m.find("print") is not None]
    # The very first line needs no sign, which the writer may give or leave.
    assert set(wanted) - {0} <= set(broken) <= set(wanted)


def test_no_bar_that_is_parted_over_two_lines_is_broken(make_sheet: Any) -> None:
    music = make_sheet("C-sharp major in thirds, two octaves, thirty-seconds, double tongue")
    sheet = lay_out(music.exercises, Words("", ""), Paper.of("a4", "large"))
    parted = [line[-1].closes for line in sheet.items[0].layout.lines]
    assert not all(parted), "needs a bar too long for a line"
    assert len(line_starts(sheet)[0]) == 1 + sum(parted[:-1])


def test_outlines_alone_break_nowhere(make_sheet: Any) -> None:
    music = make_sheet("C major, two octaves")
    assert line_starts(lay_out(music.exercises, Words("", ""), Paper.of("a4", "normal"), "outline")) == ()


HOSTILE = "A & B <script>\"'\x00\x07\x1b\ufffe\ud800 ]]> \u202e %d \\ é 音\nsecond"


def test_a_persons_words_are_escaped_and_their_control_characters_dropped(
    schema: Any, make_sheet: Any
) -> None:
    music = make_sheet("C major, a fifth")
    part = XmlPart(music.instrument, music.exercises, name=HOSTILE)
    data = as_musicxml(HOSTILE, [part], [HOSTILE])
    assert faults(schema, data) == []
    root = root_of(data)
    clean = "A & B <script>\"' ]]> %d \\ é 音 second"
    assert root.findtext("work/work-title") == clean
    assert texts(root, "credit/credit-words") == [clean]
    assert root.findtext("part-list/score-part/part-name") == clean
    assert root.findtext("part/measure/direction/direction-type/words") == clean


def test_one_title_and_one_credit(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, a fifth", title="Tuesday")))
    assert texts(root, "work/work-title") == texts(root, "credit/credit-words") == ["Tuesday"]
    assert [c.get("page") for c in root.iterfind("credit")] == ["1"]


# A beat of a metronome counts a written value; MusicXML's sound counts quarters: a dotted quarter is one and a half
# of them, an eighth half of one (definition of the sound element's tempo).
@pytest.mark.parametrize(
    ("clause", "unit", "dots", "mark", "quarters"),
    [
        ("quarter = 84", "quarter", 0, "84", "84"),
        ("eighths in six-eight, dotted quarter = 66", "quarter", 1, "66", "99"),
        ("half = 60", "half", 0, "60", "120"),
        ("eighths in seven-eight, eighth = 133", "eighth", 0, "133", "66.5"),
    ],
)
def test_tempo_is_a_mark_and_a_sound_in_quarters(
    clause: str, unit: str, dots: int, mark: str, quarters: str, make_sheet: Any, xml_of: Any
) -> None:
    root = root_of(xml_of(make_sheet(f"C major, one octave, {clause}")))
    (metronome,) = root.iter("metronome")
    assert metronome.findtext("beat-unit") == unit
    assert len(metronome.findall("beat-unit-dot")) == dots
    assert metronome.findtext("per-minute") == mark
    assert [s.get("tempo") for s in root.iter("sound")] == [quarters]


def test_no_tempo_asked_for_is_seventy_two_beats_without_a_mark(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, one octave, eighths in six-eight")))
    assert not list(root.iter("metronome"))
    assert [s.get("tempo") for s in root.iter("sound")] == ["108"]


def test_swing_is_said_to_players_and_programs_and_ends_with_the_exercise(
    make_sheet: Any, xml_of: Any
) -> None:
    root = root_of(
        xml_of(make_sheet("C major, swung eighths, a fifth", "D major, a fifth", "E major, a fifth"))
    )
    assert "Swing" in texts(root, "part/measure/direction/direction-type/words")
    feels = [[(child.tag, child.text) for child in swing] for swing in root.iter("swing")]
    # Two to one, in eighths (MusicXML 4.0, swing).
    assert feels == [[("first", "2"), ("second", "1"), ("swing-type", "eighth")], [("straight", None)]]


def test_values_held_equal_over_a_change_of_metre_change_the_tempo(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, one octave, 6/8 and 4/4, beat = beat, dotted quarter = 60")))
    units = [[c.tag + (f" {c.text}" if c.text else "") for c in m] for m in root.iter("metronome")]
    assert units[1] == ["beat-unit quarter", "beat-unit-dot", "beat-unit quarter"]
    # Dotted quarter = 60 is quarter = 90; then the quarter takes over the beat.
    assert [s.get("tempo") for s in root.iter("sound")][:3] == ["90", "60", "90"]
    same = root_of(
        xml_of(make_sheet("C major, one octave, 6/8 and 4/4, eighth = eighth, dotted quarter = 60"))
    )
    assert [s.get("tempo") for s in same.iter("sound")] == ["90"]


def test_tuplets_have_brackets_only_where_no_beam_shows_them(make_sheet: Any, xml_of: Any) -> None:
    def brackets(phrase: str) -> set[str]:
        root = root_of(xml_of(make_sheet(phrase)))
        kinds = [t.get("type") for t in root.iter("tuplet")]
        assert kinds == ["start", "stop"] * (len(kinds) // 2)
        assert kinds
        return {t.get("bracket") for t in root.iter("tuplet") if t.get("type") == "start"}

    assert brackets("C major, triplets, one octave") == {"no"}
    assert brackets("C major, long-short triplets, one octave") == {"yes"}


def test_a_long_note_in_a_tuplet_says_what_is_counted(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, long-short triplets, one octave")))
    note = next(n for n in root.iter("note") if n.find("time-modification") is not None)
    assert note.findtext("type") == "quarter"
    assert [(c.tag, c.text) for c in note.find("time-modification")] == [
        ("actual-notes", "3"), ("normal-notes", "2"), ("normal-type", "eighth"),
    ]  # fmt: skip


def test_slurs_that_meet_on_a_note_have_two_numbers(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, one octave, all slurred")))
    meeting = [n for n in root.iter("note") if len(n.findall("notations/slur")) == 2]
    assert len(meeting) == 1
    stop, start = meeting[0].findall("notations/slur")
    assert (stop.get("type"), start.get("type")) == ("stop", "start")
    assert stop.get("number") != start.get("number")


def test_a_swell_has_died_away_before_its_note_ends(make_sheet: Any, xml_of: Any) -> None:
    root = root_of(xml_of(make_sheet("C major, eight counts, swells, a fifth")))
    divisions = int(root.findtext("part/measure/attributes/divisions"))
    early = {int(o.text) for o in root.iter("offset")}
    # An eighth of a whole note.
    assert early == {-divisions // 2}


def test_hairpins_open_and_close_in_turn(make_sheet: Any, xml_of: Any) -> None:
    for phrase in (
        "C major, one octave, crescendo up, diminuendo down",
        "C major, eight counts, swells, one octave",
    ):
        root = root_of(xml_of(make_sheet(phrase)))
        kinds = [w.get("type") for w in root.iter("wedge")]
        assert kinds
        assert kinds == ["crescendo", "stop", "diminuendo", "stop"] * (len(kinds) // 4)


def test_an_8va_line_keeps_the_true_pitch(make_sheet: Any, xml_of: Any) -> None:
    music = make_sheet("C major, from the top octave, one octave, up, quarters", instrument="piccolo")
    lifted = Music("", music.instrument, tuple(replace(e, ottava=True) for e in music.exercises))
    plain, shifted = root_of(xml_of(music)), root_of(xml_of(lifted))
    pitches = [etree.tostring(p) for p in plain.iter("pitch")]
    assert [etree.tostring(p) for p in shifted.iter("pitch")] == pitches
    # Down: the notes are shown below their true pitch (MusicXML 4.0, octave-shift).
    assert [(s.get("type"), s.get("size")) for s in shifted.iter("octave-shift")] == [
        ("down", "8"),
        ("stop", "8"),
    ]


# --- scores ----------------------------------------------------------------------------------------------------


def chairs(*names: str, phrase: str = "concert B-flat major in thirds, one octave") -> list[XmlPart]:
    players = [player_named(name) for name in names]
    return [XmlPart(p.instrument, expand.exercises([phrase], p).exercises) for p in players]


def test_a_score_has_every_chair_in_its_own_key_and_bars_that_line_up(schema: Any) -> None:
    parts = chairs("flute", "clarinet in B-flat", "alto saxophone", "tuba")
    data = as_musicxml("Harbour Street Band", parts)
    assert faults(schema, data) == []
    root = root_of(data)
    assert [p.get("id") for p in root.iterfind("part")] == [
        p.get("id") for p in root.iterfind("part-list/score-part")
    ]
    assert texts(root, "part-list/score-part/part-name") == [p.instrument.label for p in parts]
    # Concert B-flat is C for a B-flat clarinet and G for an alto saxophone.
    assert [p.findtext("measure/attributes/key/fifths") for p in root.iterfind("part")] == [
        "-2",
        "0",
        "1",
        "-2",
    ]
    assert len({len(p.findall("measure")) for p in root.iterfind("part")}) == 1
    # Headings and tempi belong to the system and stand in the top part alone.
    assert [len(list(p.iter("words"))) for p in root.iterfind("part")] == [1, 0, 0, 0]
    assert [len(list(p.iter("sound"))) for p in root.iterfind("part")] == [1, 0, 0, 0]


def test_a_part_with_fewer_bars_rests_until_the_others_are_done(schema: Any) -> None:
    short, long = (
        chairs(n, phrase=p)[0] for n, p in (("flute", "C major, a fifth"), ("oboe", "C major, two octaves"))
    )
    root = root_of(as_musicxml("", [short, long]))
    assert faults(schema, etree.tostring(root)) == []
    first, second = root.iterfind("part")
    assert len(first) == len(second) > len(short.exercises[0].bars)
    rests = [m for m in first if m.find("note/rest[@measure='yes']") is not None]
    assert len(rests) == len(long.exercises[0].bars) - len(short.exercises[0].bars)
    assert first[-1].findtext("barline/bar-style") == "light-heavy"


def test_parts_of_different_numbers_of_exercises_make_no_score(make_sheet: Any) -> None:
    one, two = make_sheet("C major, a fifth"), make_sheet("C major, a fifth", "D major, a fifth")
    for parts in (
        [],
        [XmlPart(one.instrument, ())],
        [XmlPart(one.instrument, m.exercises) for m in (one, two)],
    ):
        with pytest.raises(RequestError, match="same number of exercises"):
            as_musicxml("", parts)


def test_percussion_stands_on_one_line_without_pitch(schema: Any, make_sheet: Any) -> None:
    music = make_sheet("C major, a fifth, eighths")
    exercise = replace(music.exercises[0], clefs=("percussion",) * len(music.exercises[0].bars))
    root = root_of(as_musicxml("", [XmlPart(music.instrument, (exercise,))]))
    assert faults(schema, etree.tostring(root)) == []
    assert not list(root.iter("pitch"))
    assert len(list(root.iter("unpitched"))) == len(exercise.pitches)
    assert root.findtext("part/measure/attributes/staff-details/staff-lines") == "1"


# --- what a player reads ---------------------------------------------------------------------------------------

SHARPS = "FCGDAEB"
SIGNS = {"sharp": 1, "flat": -1, "natural": 0, "double-sharp": 2, "flat-flat": -2}


def as_read(root: Any) -> list[tuple[str, int, int]]:
    """Letter, alteration and octave of each note by its signs alone, as a player reads them: a sign counts for its
    letter and octave to the end of the bar, and a tied note goes on as it was (common practice)."""
    found: list[tuple[str, int, int]] = []
    key: dict[str, int] = {}
    for measure in root.iter("measure"):
        fifths = measure.findtext("attributes/key/fifths")
        if fifths is not None:
            count = int(fifths)
            letters = SHARPS[:count] if count > 0 else SHARPS[7 + count :]
            key = dict.fromkeys(letters, 1 if count > 0 else -1)
        here: dict[tuple[str, int], int] = {}
        for note in measure.iter("note"):
            if note.find("pitch") is None:
                continue
            letter, octave = note.findtext("pitch/step"), int(note.findtext("pitch/octave"))
            sign = note.findtext("accidental")
            if sign is not None:
                here[letter, octave] = SIGNS[sign]
            tied = any(t.get("type") == "stop" for t in note.iterfind("tie"))
            alter = found[-1][1] if tied else here.get((letter, octave), key.get(letter, 0))
            found.append((letter, alter, octave))
    return found


def test_every_pitch_can_be_read_from_its_signs(assortment: tuple[Music, ...], xml_of: Any) -> None:
    signs = 0
    for music in assortment:
        root = root_of(xml_of(music))
        true = [
            (p.findtext("step"), int(p.findtext("alter") or 0), int(p.findtext("octave")))
            for p in root.iter("pitch")
        ]
        assert as_read(root) == true, [e.phrase for e in music.exercises]
        signs += len(list(root.iter("accidental")))
    assert signs > 100


def test_bars_are_full_and_lengths_are_those_of_the_contract(
    assortment: tuple[Music, ...], xml_of: Any, promised: Callable[[Music], list[Any]]
) -> None:
    for music in assortment:
        root = root_of(xml_of(music))
        divisions = int(root.findtext("part/measure/attributes/divisions"))
        # More may be lost in MIDI (schema, divisions).
        assert divisions <= 16383
        lengths = [Fraction(int(n.findtext("duration")), divisions) for n in root.iter("note")]
        assert lengths == [h.length for h in promised(music)]
        metre = Fraction(0)
        for measure in root.iter("measure"):
            beats = measure.findtext("attributes/time/beats")
            if beats:
                metre = Fraction(int(beats), int(measure.findtext("attributes/time/beat-type"))) * 4
            assert sum(int(n.findtext("duration")) for n in measure.iter("note")) == metre * divisions


def test_key_and_syllables_are_those_of_the_contract(make_sheet: Any, xml_of: Any) -> None:
    music = make_sheet("F-sharp harmonic minor, one octave, double tongue", instrument="trumpet in B-flat")
    data = json.loads(as_json("", music.exercises, [music.instrument.sounds]))["exercises"][0]
    root = root_of(xml_of(music))
    assert root.findtext("part/measure/attributes/key/fifths") == str(data["signature"])
    assert texts(root, "part/measure/note/lyric/text") == [
        n["syllable"] for b in data["bars"] for n in b["notes"] if n["syllable"]
    ]


@pytest.mark.parametrize(
    ("instrument", "programme"),
    [
        # Source: General MIDI, level 1, sound set counted from 1 as in the specification.
        ("flute", 74),
        ("piccolo", 73),
        ("clarinet in B-flat", 72),
        ("alto saxophone", 66),
        ("trumpet in B-flat", 57),
        ("trombone", 58),
        ("tuba", 59),
    ],
)
def test_a_part_names_its_programme_counted_from_one(
    instrument: str, programme: int, make_sheet: Any, xml_of: Any
) -> None:
    root = etree.fromstring(xml_of(make_sheet("G major, a fifth", instrument=instrument)))
    assert [int(one.text) for one in root.iter("midi-program")] == [programme]
