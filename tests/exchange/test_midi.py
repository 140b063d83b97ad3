"""MIDI files, read back by music21's own reader, which shares nothing with the library that wrote them."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from itertools import pairwise
from math import log2
from typing import Any

import pytest
from music21 import instrument as m21  # an outside reader
from music21.midi import MidiFile

from generator.catalogue.tables import shared_catalogue
from generator.errors import RequestError
from generator.exchange.clicks import beats
from generator.exchange.formats import Music, open_files
from generator.exchange.midi import TICKS, as_midi
from generator.exchange.performance import perform
from generator.exchange.playback import Playback
from generator.exchange.programs import program
from generator.theory.duration import Metre, Tuplet, Value

QUIET = Playback(click="none", count_in=0)
RHYTHMS = [row.name for row in shared_catalogue().rhythms.rows]


@dataclass
class Sounded:
    """A note of a MIDI file: start and length in ticks, key, velocity."""

    start: int
    length: int
    key: int
    velocity: int


@dataclass
class Track:
    """One track of a MIDI file as raw events."""

    name: str = ""
    channel: int = 0
    program: int = -1
    notes: list[Sounded] = field(default_factory=list)
    bends: list[tuple[int, int]] = field(default_factory=list)
    controls: list[tuple[int, int]] = field(default_factory=list)
    tempi: list[tuple[int, int]] = field(default_factory=list)
    metres: list[tuple[int, str]] = field(default_factory=list)
    clicks: list[bytes] = field(default_factory=list)
    keys: list[int] = field(default_factory=list)
    texts: list[str] = field(default_factory=list)
    end: int = 0


def read(data: bytes) -> list[Track]:
    file = MidiFile()
    file.readstr(data)
    assert file.ticksPerQuarterNote == TICKS
    return [_track(t.events) for t in file.tracks]


def _track(events: Any) -> Track:
    track, now, sounding = Track(), 0, {}
    for event in events:
        kind = getattr(event.type, "name", event.type)
        if kind == "DeltaTime":
            now += event.time
        elif kind == "NOTE_ON" and event.velocity:
            track.channel = event.channel
            assert event.pitch not in sounding, "a key is struck twice"
            sounding[event.pitch] = (now, event.velocity)
        elif kind in ("NOTE_OFF", "NOTE_ON"):
            start, velocity = sounding.pop(event.pitch)
            track.notes.append(Sounded(start, now - start, event.pitch, velocity))
        elif kind == "PROGRAM_CHANGE":
            track.program = event.data
        elif kind == "PITCH_BEND":
            track.bends.append((now, event.parameter1 + 128 * event.parameter2 - 8192))
        elif kind == "CONTROLLER_CHANGE":
            track.controls.append((event.parameter1, event.parameter2))
        elif kind == "SET_TEMPO":
            track.tempi.append((now, int.from_bytes(event.data)))
        elif kind == "TIME_SIGNATURE":
            track.metres.append((now, f"{event.data[0]}/{2 ** event.data[1]}"))
            track.clicks.append(event.data)
        elif kind == "KEY_SIGNATURE":
            track.keys.append(int.from_bytes(event.data[:1], signed=True))
        elif kind == "SEQUENCE_TRACK_NAME":
            track.name = event.data.decode()
        elif kind == "MARKER":
            track.texts.append(event.data.decode())
        elif kind == "END_OF_TRACK":
            track.end = now
    assert not sounding, "a note never ends"
    track.notes.sort(key=lambda n: n.start)
    return track


def tracks(music: Music, playback: Playback = QUIET) -> list[Track]:
    return read(as_midi(perform(music.title, music.instrument, music.exercises, playback)))


def named(found: list[Track], start: str) -> Track:
    return next(t for t in found if t.name.startswith(start))


def joined(heard: list[Any]) -> list[tuple[Fraction, Fraction, int]]:
    """Place, length and key of each note of the contract, ties joined, in quarters."""
    found: list[tuple[Fraction, Fraction, int]] = []
    held = False
    for note in heard:
        if note.midi is not None:
            if held:
                place, length, key = found[-1]
                found[-1] = (place, length + note.length, key)
            else:
                found.append((note.place, note.length, note.midi))
        held = note.tie
    return found


# --- the notes -------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", RHYTHMS)
def test_every_rhythm_is_exact_to_the_tick(
    name: str, make_sheet: Any, promised: Callable[[Music], list[Any]]
) -> None:
    music = make_sheet(f"D major in thirds, one octave, {name}, all tongued", instrument="alto saxophone")
    notes = tracks(music)[1].notes
    wanted = joined(promised(music))
    if music.exercises[0].feel == "Swing":
        wanted = [swung(*note) for note in wanted]
    ticks = [(place * TICKS, length * TICKS, key) for place, length, key in wanted]
    assert all(place.denominator == length.denominator == 1 for place, length, _ in ticks)
    assert [(n.start, n.length, n.key) for n in notes] == ticks


def swung(place: Fraction, length: Fraction, key: int) -> tuple[Fraction, Fraction, int]:
    """Eighths as two thirds and one third of a beat."""

    def moved(at: Fraction) -> Fraction:
        return at + Fraction(1, 6) if at % 1 == Fraction(1, 2) else at

    return moved(place), moved(place + length) - moved(place), key


def test_swing_is_two_to_one(make_sheet: Any) -> None:
    notes = tracks(make_sheet("C major, one octave, swung eighths"))[1].notes
    assert [n.length for n in notes[:4]] == [4480, 2240, 4480, 2240]
    assert [n.start for n in notes[:3]] == [0, 4480, 6720]
    # Shorter notes share the long and the short eighth.
    music = make_sheet("C major, two octaves, sixteenths")
    swinging = Music("", music.instrument, tuple(replace(e, feel="Swing") for e in music.exercises))
    assert [n.start for n in tracks(swinging)[1].notes[:5]] == [0, 2240, 4480, 5600, 6720]


@pytest.mark.parametrize(
    "name", ["piccolo", "clarinet in B-flat", "baritone saxophone", "contrabass clarinet", "horn in F"]
)
def test_sounding_pitch(name: str, make_sheet: Any, promised: Callable[[Music], list[Any]]) -> None:
    music = make_sheet("A-flat melodic minor, one octave", instrument=name)
    assert [n.key for n in tracks(music)[1].notes] == [key for _, _, key in joined(promised(music))]


def test_staccato_is_half_as_long_and_an_accent_louder(make_sheet: Any) -> None:
    short = tracks(make_sheet("C major, one octave, quarters, staccato"))[1].notes
    assert {n.length for n in short[:-1]} == {3360}
    accents = tracks(make_sheet("C major, two octaves, sixteenths, accent on the first"))[1].notes
    assert accents[0].velocity > accents[1].velocity == accents[2].velocity < accents[4].velocity


def test_a_crescendo_grows_to_the_top_and_fades_after_it(make_sheet: Any) -> None:
    loud = [
        n.velocity for n in tracks(make_sheet("C major, one octave, crescendo up, diminuendo down"))[1].notes
    ]
    top = loud.index(max(loud))
    assert loud[: top + 1] == sorted(loud[: top + 1])
    assert loud[top:] == sorted(loud[top:], reverse=True)
    assert len(set(loud)) >= 8
    assert loud[0] == loud[-1] < loud[top]


def test_all_lies_within_what_the_format_can_hold(assortment: tuple[Music, ...]) -> None:
    for music in assortment:
        for track in tracks(music, Playback(click="every", drone="third", pitch=446, count_in=2)):
            assert all(1 <= n.velocity <= 127 and 0 <= n.key <= 127 and n.length > 0 for n in track.notes)
            assert all(-8192 <= bend <= 8191 for _, bend in track.bends)


# --- tempo, metre, key ------------------------------------------------------------------------------------------


# Microseconds a quarter = 60 million / quarters a minute; a dotted quarter = 60 is 90 quarters a minute.
@pytest.mark.parametrize(
    ("clauses", "microseconds"),
    [
        ("quarter = 160", 375_000),
        ("", 833_333),
        ("eighths in six-eight, dotted quarter = 60", 666_667),
        ("half = 60", 500_000),
        # Where eighths are counted and no tempo is asked for, they are as quick as those of quarters at 72.
        ("eighths in seven-eight", 833_333),
        ("5/8 and 7/8, eighth = eighth", 833_333),
        ("eighths in six-eight", 555_556),
    ],
)
def test_tempo(clauses: str, microseconds: int, make_sheet: Any) -> None:
    music = make_sheet(f"C major, one octave{', ' if clauses else ''}{clauses}")
    assert tracks(music)[0].tempi == [(0, microseconds)]


def test_the_tempo_follows_the_beat_where_the_metre_changes(make_sheet: Any) -> None:
    first = tracks(make_sheet("C major, one octave, 6/8 and 4/4, beat = beat, dotted quarter = 60"))[0]
    # 6/8 is 3 quarters long. Dotted quarter = 60, then quarter = 60.
    assert first.tempi[:2] == [(0, 666_667), (3 * TICKS, 1_000_000)]
    assert first.metres[:3] == [(0, "6/8"), (3 * TICKS, "4/4"), (7 * TICKS, "6/8")]


# Source: Standard MIDI Files 1.0, "FF 58 04 nn dd cc bb Time Signature": cc is the number of MIDI clocks in a metronome
# click, of which there are 24 in a quarter; bb the number of notated 32nd-notes in 24 clocks. Its own example is 6/8
# with a click on every dotted quarter: 06 03 24 08 (the 24 is hexadecimal: 36 clocks).
@pytest.mark.parametrize(
    ("clauses", "signature"),
    [
        ("eighths in six-eight", "06 03 24 08"),
        ("quarters", "04 02 18 08"),
        ("quarters in 3/4", "03 02 18 08"),
        ("half notes in 2/2", "02 01 30 08"),
        ("eighths in nine-eight", "09 03 24 08"),
    ],
)
def test_a_metronome_of_another_program_clicks_on_the_beats(
    clauses: str, signature: str, make_sheet: Any
) -> None:
    music = make_sheet(f"C major, one octave, {clauses}")
    assert tracks(music)[0].clicks == [bytes.fromhex(signature)]


def test_key_and_headings(make_sheet: Any) -> None:
    phrases = ("G major, one octave", "C-sharp major, one octave")
    music = make_sheet(*phrases, instrument="alto saxophone", title="Mine\x07 é")
    conductor = tracks(music)[0]
    # Written G sounds B-flat (two flats), written C-sharp sounds E (four sharps) a major sixth lower.
    assert conductor.keys == [-2, 4]
    assert conductor.name == "Mine é"
    assert conductor.texts == [e.heading for e in music.exercises]


def test_programs_are_those_another_library_has() -> None:
    # music21 numbers them from 0 as well.
    others = {
        "flute": m21.Flute, "piccolo": m21.Piccolo, "oboe": m21.Oboe, "bassoon": m21.Bassoon,
        "clarinet in B-flat": m21.Clarinet, "alto saxophone": m21.AltoSaxophone, "tenor saxophone": m21.TenorSaxophone,
        "baritone saxophone": m21.BaritoneSaxophone, "soprano saxophone": m21.SopranoSaxophone, "horn in F": m21.Horn,
        "trumpet in B-flat": m21.Trumpet, "trombone": m21.Trombone, "tuba": m21.Tuba, "violin": m21.Violin,
        "viola": m21.Viola, "cello": m21.Violoncello, "double bass": m21.Contrabass, "glockenspiel": m21.Glockenspiel,
        "vibraphone": m21.Vibraphone, "marimba": m21.Marimba, "xylophone": m21.Xylophone, "alto recorder": m21.Recorder,
        "cor anglais": m21.EnglishHorn,
    }  # fmt: skip
    names = shared_catalogue().instruments
    assert {n: program(names.find(n)) for n in others} == {
        n: kind().midiProgram for n, kind in others.items()
    }


# --- clicks and count-in ---------------------------------------------------------------------------------------


def clicks(music: Music, playback: Playback) -> list[Sounded]:
    track = named(tracks(music, playback), "Click")
    assert track.channel == 10, "percussion has channel 10, counted from 1"
    return track.notes


def test_clicks_on_two_and_four_at_160(make_sheet: Any) -> None:
    music = make_sheet("C major, two octaves, eighths, quarter = 160")
    found = clicks(music, Playback(click="backbeat", count_in=0))
    bars = len(music.exercises[0].bars)
    assert [n.start for n in found] == [TICKS * (4 * bar + beat) for bar in range(bars) for beat in (1, 3)]
    # 160 beats a minute clicked on every other one is a metronome at 80: 0.75 seconds apart.
    (microseconds,) = {tempo for _, tempo in tracks(music)[0].tempi}
    gaps = {b.start - a.start for a, b in pairwise(found)}
    assert {Fraction(gap, TICKS) * microseconds / 1_000_000 for gap in gaps} == {Fraction(3, 4)}


def test_the_click_drops_out_for_two_bars_after_four(make_sheet: Any) -> None:
    music = make_sheet("C major in thirds, two octaves, quarters", instrument="clarinet in B-flat")
    found = clicks(music, Playback(click="dropout", count_in=0))
    bars = len(music.exercises[0].bars)
    assert bars > 12
    heard = sorted({n.start // (4 * TICKS) for n in found})
    assert heard == [bar for bar in range(bars) if bar % 6 in (0, 1, 2, 3)]
    assert all(n.start % TICKS == 0 for n in found)


# One bar of each metre is counted: 3/4 in three, 6/8 in two or in six, 7/8 by eighths unless told otherwise.
@pytest.mark.parametrize(
    ("clauses", "bar", "places"),
    [
        ("quarters", 4, [0, 1, 2, 3]),
        ("eighths in three-four", 3, [0, 1, 2]),
        ("eighths in six-eight", 3, [0, Fraction(3, 2)]),
        ("eighths in six-eight, eighth = 120", 3, [Fraction(n, 2) for n in range(6)]),
        ("eighths in twelve-eight", 6, [0, Fraction(3, 2), 3, Fraction(9, 2)]),
        ("quarters, half = 60", 4, [0, 2]),
        ("eighths in seven-eight", Fraction(7, 2), [Fraction(n, 2) for n in range(7)]),
    ],
)
@pytest.mark.parametrize("count", [0, 1, 2])
def test_the_count_in_is_whole_bars_of_the_metre(
    clauses: str, bar: Fraction, places: list[Fraction], count: int, make_sheet: Any
) -> None:
    music = make_sheet(f"C major, one octave, {clauses}")
    found = tracks(music, Playback(click="none", count_in=count))
    assert found[1].notes[0].start == bar * count * TICKS
    counted = named(found, "Click").notes if count else []
    assert [Fraction(n.start, TICKS) for n in counted] == [
        bar * k + place for k in range(count) for place in places
    ]
    if count:
        # The first of a bar sounds another block than the rest.
        firsts = {n.key for n in counted if Fraction(n.start, TICKS) % bar == 0}
        assert firsts.isdisjoint({n.key for n in counted if Fraction(n.start, TICKS) % bar})


def test_clicks_fall_on_the_beats_of_every_bar(make_sheet: Any) -> None:
    music = make_sheet("C major, one octave, quarters")
    found = clicks(music, Playback(count_in=1))
    assert [n.start for n in found] == [TICKS * n for n in range(4 * (len(music.exercises[0].bars) + 1))]


def test_a_tempo_whose_value_does_not_fit_the_bar_leaves_its_beats() -> None:
    assert beats(Metre.parse("3/4"), Value(2)) == (0, Fraction(1, 4), Fraction(1, 2))
    assert beats(Metre.parse("4/4"), Value(4, 1)) == (0, Fraction(1, 4), Fraction(1, 2), Fraction(3, 4))
    assert beats(Metre.parse("7/8 3+2+2"), Value(4)) == (0, Fraction(3, 8), Fraction(5, 8))


def test_no_click_and_no_count_in_is_no_click_track(make_sheet: Any) -> None:
    assert [t.name for t in tracks(make_sheet("C major, one octave"))] == ["Test sheet", "Flute"]


# --- the drone -------------------------------------------------------------------------------------------------


def hertz(track: Track, note: Sounded) -> float:
    """Frequency by the MIDI tuning standard: key 69 is 440 Hz, bent by the range that the file sets."""
    bend = [value for at, value in track.bends if at <= note.start]
    reach = dict(track.controls).get(6, 2)
    return 440 * 2 ** ((note.key - 69 + (bend[-1] if bend else 0) / 8192 * reach) / 12)


def test_written_c_for_a_b_flat_clarinet_is_a_drone_on_concert_b_flat_at_442(make_sheet: Any) -> None:
    music = make_sheet("C major, one octave", instrument="clarinet in B-flat")
    track = named(tracks(music, Playback(drone="tonic", pitch=442)), "Drone: tonic, A = 442")
    (note,) = track.notes
    # B-flat 3 is 233.082 Hz at A = 440 (tables of equal temperament); 442 is 7.85 cents higher.
    assert hertz(track, note) == pytest.approx(233.082 * 442 / 440, abs=0.1)


@pytest.mark.parametrize("pitch", [438, 440, 441, 442, 443, 446])
def test_notes_and_drone_are_bent_alike(pitch: int, make_sheet: Any) -> None:
    music = make_sheet("A major, one octave, quarters", instrument="flute")
    found = tracks(music, Playback(drone="tonic", pitch=pitch))
    notes = named(found, "Flute")
    a = next(n for n in notes.notes if n.key == 69)
    assert hertz(notes, a) == pytest.approx(pitch, abs=0.1)
    drone = named(found, "Drone")
    ratio = hertz(drone, drone.notes[0]) / pitch
    assert log2(ratio) == pytest.approx(round(log2(ratio)), abs=1e-4)
    # No bend at 440; elsewhere the range of two half steps is set with it (registered parameter 0).
    assert bool(notes.bends) == (pitch != 440)
    assert notes.controls == (
        [] if pitch == 440 else [(101, 0), (100, 0), (6, 2), (38, 0), (101, 127), (100, 127)]
    )


# Cents from equal temperament of 3:2, 5:4 and 6:5, from their ratios: +1.96, -13.69, +15.64.
@pytest.mark.parametrize(
    ("phrase", "wanted", "voices"),
    [
        ("C major, one octave", "tonic", {"tonic": 0}),
        ("C major, one octave", "fifth", {"tonic": 0, "fifth": 1.96}),
        ("C major, one octave", "third", {"tonic": 0, "fifth": 1.96, "third": -13.69}),
        ("C natural minor, one octave", "third", {"tonic": 0, "fifth": 1.96, "third": 15.64}),
        ("C major, one octave", "equal third", {"tonic": 0, "fifth": 0, "third": 0}),
        # No perfect fifth in the scale, none in the drone; two thirds, none.
        ("whole-tone on C, one octave", "third", {"tonic": 0, "third": -13.69}),
        ("diminished arpeggio on C, one octave", "fifth", {"tonic": 0}),
        ("chromatic on C, one octave", "third", {"tonic": 0, "fifth": 1.96}),
    ],
)
def test_voices_of_the_drone(phrase: str, wanted: Any, voices: dict[str, float], make_sheet: Any) -> None:
    found = [t for t in tracks(make_sheet(phrase), Playback(drone=wanted)) if t.name.startswith("Drone")]
    tonic = hertz(found[0], found[0].notes[0])
    steps = {"tonic": 0, "fifth": 7, "third": 3 if "minor" in phrase else 4}
    for track, (voice, cents) in zip(found, voices.items(), strict=True):
        assert track.name.startswith(f"Drone: {voice}")
        tuned = "equal-tempered" if wanted == "equal third" else "just"
        assert voice == "tonic" or tuned in track.name
        assert 1200 * log2(hertz(track, track.notes[0]) / tonic) == pytest.approx(
            100 * steps[voice] + cents, abs=0.05
        )


def test_the_drone_lasts_from_the_count_in_to_the_end_unbroken_in_each_key(make_sheet: Any) -> None:
    phrases = (
        "C major, one octave, quarters",
        "D minor arpeggio, one octave, quarters",
        "E-flat major, one octave",
    )
    music = make_sheet(*phrases)
    found = tracks(music, Playback(drone="third", count_in=1))
    notes = named(found, "Flute").notes
    tonic = named(found, "Drone: tonic").notes
    assert [n.key % 12 for n in tonic] == [0, 2, 3]
    bar, ends = 4 * TICKS, []
    place = 0
    for exercise in music.exercises:
        place += bar * (len(exercise.bars) + 1)
        ends.append(place)
        place += bar  # a silent bar to breathe in
    assert [(n.start, n.start + n.length) for n in tonic] == [
        (end - bar * (len(e.bars) + 1), end) for end, e in zip(ends, music.exercises, strict=True)
    ]
    assert notes[0].start == bar
    assert found[0].end == ends[-1]
    # The third is bent down in major and up in minor, each from where its exercise begins.
    third = named(found, "Drone: third")
    assert [round(value / 8192 * 200, 1) for _, value in third.bends] == [-13.7, 15.6, -13.7]


def test_no_drone_lies_where_small_loudspeakers_fail(assortment: tuple[Music, ...]) -> None:
    for music in assortment:
        performance = perform("", music.instrument, music.exercises, Playback(drone="tonic"))
        for held, exercise in zip(performance.drones, music.exercises, strict=True):
            assert 41 <= held.pipe.height <= 63
            lowest = min(music.instrument.sounds.above(p).height for p in exercise.pitches)
            # Not above what is played, but for very low instruments.
            assert held.pipe.height <= max(lowest, 52)


# --- files -----------------------------------------------------------------------------------------------------


def test_one_file_for_all_or_one_for_each(make_sheet: Any) -> None:
    music = make_sheet("C major, one octave", "D major, one octave")
    whole = open_files("sheet", music, ("midi", "pdf"), Playback())
    assert list(whole) == ["sheet.mid"]
    each = open_files("sheet", music, ("midi",), Playback(each=True))
    assert list(each) == ["sheet-1.mid", "sheet-2.mid"]
    assert [n.key for n in read(each["sheet-2.mid"])[1].notes] == [
        n.key for n in read(whole["sheet.mid"])[1].notes if n.start > read(each["sheet-1.mid"])[0].end
    ]
    wishes = Playback(click="backbeat", drone="equal third", pitch=442, count_in=2)
    other = open_files("sheet", music, ("midi",), wishes)
    assert list(other) == ["sheet-backbeat-drone-equal-third-a442-count-2.mid"]
    assert whole == open_files("sheet", music, ("midi",), Playback())


@pytest.mark.parametrize(
    ("asked", "says"),
    [
        ({"click": "evry"}, "--click 'evry'; it can be every, backbeat, dropout, none"),
        ({"drone": "sixth"}, "--drone 'sixth'; it can be none, tonic, fifth, third, equal third"),
        ({"pitch": 432}, "438 to 446, not 432"),
        ({"pitch": 447}, "438 to 446, not 447"),
        ({"count_in": 3}, "0 to 2, not 3"),
        ({"count_in": -1}, "0 to 2, not -1"),
    ],
)
def test_what_cannot_be_played_is_refused_in_one_line(asked: dict[str, Any], says: str) -> None:
    usual: dict[str, Any] = {"click": "every", "drone": "none", "pitch": 440, "count_in": 1}
    with pytest.raises(RequestError) as refused:
        Playback.asked(**{**usual, **asked})
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_words_are_read_in_any_dress() -> None:
    assert Playback.asked("Every", "equal-third", 440, 1) == Playback(drone="equal third")


def test_a_tuplet_of_eleven_is_rounded_without_adding_up(make_sheet: Any) -> None:
    music = make_sheet("C major, one octave, quarters")
    exercise = music.exercises[0]
    eleven = Value(16, 0, Tuplet(11, 4))
    notes = tuple(replace(exercise.bars[0].notes[0], value=eleven) for _ in range(44))
    odd = replace(exercise, bars=(replace(exercise.bars[0], notes=notes),))
    found = tracks(Music("", music.instrument, (odd,)))[1].notes
    assert len(found) == 44
    assert all(abs(n.start - Fraction(TICKS * k, 11)) <= Fraction(1, 2) for k, n in enumerate(found))
