"""Files that are no MusicXML: MIDI, Humdrum, MEI and ABC; and what of a score cannot be drilled, named by its bar.

What a MIDI file says is the Standard MIDI File 1.0; spelling by the key signature is common practice: notes of the key
as the key has them, others as chromatic scales are written, up by sharps and down by flats.
"""

from fractions import Fraction
from pathlib import Path

import mido
import pytest

from generator.catalogue.players import player_named
from generator.errors import RequestError
from generator.passage.records import Passage
from generator.passage.source import read_file
from tests.passage.score_text import FLUTE, RUN, attributes, bar, note, score

TICKS = 480


def midi(path: Path, notes: list[tuple[float, float, int]], key: str = "", tracks: int = 1) -> Path:
    """A MIDI file of notes by place and length in quarters, and height."""
    file = mido.MidiFile(ticks_per_beat=TICKS)
    for number in range(tracks):
        track = mido.MidiTrack()
        if key and not number:
            track.append(mido.MetaMessage("key_signature", key=key))
        events = [(place, "note_on", height) for place, _, height in notes]
        events += [(place + length, "note_off", height) for place, length, height in notes]
        now = 0
        for place, kind, height in sorted(events, key=lambda event: (event[0], event[1])):
            at = round(place * TICKS)
            track.append(mido.Message(kind, note=height, velocity=64, time=at - now))
            now = at
        file.tracks.append(track)
    file.save(path)
    return path


def names(passage: Passage) -> list[str]:
    return [note.pitch.name for note in passage.notes if note.pitch]


def run(heights: list[int], length: float = 0.25) -> list[tuple[float, float, int]]:
    return [(k * length, length, height) for k, height in enumerate(heights)]


def test_midi_is_spelled_by_its_key(tmp_path: Path) -> None:
    # E flat major: 63 is E flat and not D sharp; 66 on the way up to G is F sharp, on the way down to F it is G flat.
    heights = [63, 65, 66, 67, 68, 67, 66, 65, 63, 62, 60, 58, 60, 62, 63, 63]
    passage = read_file(midi(tmp_path / "a.mid", run(heights), "Eb")).passage
    assert names(passage)[:9] == ["Eb4", "F4", "F#4", "G4", "Ab4", "G4", "Gb4", "F4", "Eb4"]
    assert passage.bars[0].signature == -3
    sharp = read_file(midi(tmp_path / "b.mid", run([61, 63, 65, 66]), "F#")).passage
    assert names(sharp) == ["C#4", "D#4", "E#4", "F#4"]
    minor = read_file(midi(tmp_path / "c.mid", run([69, 71, 72, 71, 69, 68, 69, 69]), "Am")).passage
    assert names(minor)[5] == "G#4"


def test_midi_without_a_key_asks_for_one(tmp_path: Path) -> None:
    path = midi(tmp_path / "a.mid", run([63, 65, 67, 68]))
    with pytest.raises(RequestError, match=r"names no key; say it with --key, like --key F or --key Dm"):
        read_file(path)
    assert names(read_file(path, key="Eb").passage) == ["Eb4", "F4", "G4", "Ab4"]
    assert read_file(path, key="Cm").passage.bars[0].signature == -3
    with pytest.raises(RequestError, match="--key 'H' is no key"):
        read_file(path, key="H")


def test_midi_that_was_played_and_not_written_is_refused(tmp_path: Path) -> None:
    written = run([60 + k % 5 for k in range(100)])
    # A note 70 ticks late lies between the grids of 32nds (60 ticks) and triplets (80) of a quarter of 480.
    late = [
        (place + 70 / TICKS if k < 2 else place, length, height)
        for k, (place, length, height) in enumerate(written)
    ]
    assert read_file(midi(tmp_path / "a.mid", late, "C"), "1-4").passage.bars  # 98 % stand on the grid
    late = [
        (place + 30 / TICKS if k < 3 else place, length, height)
        for k, (place, length, height) in enumerate(written)
    ]
    with pytest.raises(
        RequestError, match=r"only 97 % of the notes stand on a grid, so this was played and not written"
    ):
        read_file(midi(tmp_path / "b.mid", late, "C"), "1-4")


def test_midi_has_triplets_rests_and_ties_over_the_barline(tmp_path: Path) -> None:
    third = 1 / 3
    notes = [(0, third, 60), (third, third, 62), (2 * third, third, 64), (2, 1, 65), (3, 2, 67), (5, 3, 60)]
    passage = read_file(midi(tmp_path / "a.mid", notes, "C")).passage
    assert [note.length for note in passage.notes] == [
        *[Fraction(1, 12)] * 3, Fraction(1, 4), Fraction(1, 4), Fraction(1, 2), Fraction(3, 4),
    ]  # fmt: skip
    assert [note.pitch is None for note in passage.notes] == [False, False, False, True, False, False, False]
    assert len(passage.notes[5].values) == 2  # a half note over the barline


def test_midi_of_several_tracks_or_of_two_notes_at_once(tmp_path: Path) -> None:
    path = midi(tmp_path / "a.mid", run([60, 62, 64, 65]), "C", tracks=2)
    with pytest.raises(RequestError, match="has 2 tracks with notes; say which with --part 1"):
        read_file(path)
    assert names(read_file(path, part="2").passage) == ["C4", "D4", "E4", "F4"]
    with pytest.raises(RequestError, match="bar 1 has two notes at once; export one voice"):
        read_file(midi(tmp_path / "b.mid", [(0, 2, 60), (1, 1, 64), (2, 2, 60)], "C"))


KERN = "**kern\n*clefG2\n*k[b-]\n*M2/4\n=1\n16ff\n16gg\n16aa\n16bb-\n8ccc\n8r\n=2\n4.a\n8g\n==\n*-\n"


def test_humdrum_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.krn"
    path.write_text(KERN, "utf-8")
    passage = read_file(path, "1").passage
    assert names(passage) == ["F5", "G5", "A5", "Bb5", "C6"]
    assert (passage.bars[0].metre.name, passage.bars[0].signature) == ("2/4", -1)
    assert str(passage.landing) == "A4"


def test_mei_is_read(tmp_path: Path) -> None:
    path = tmp_path / "a.mei"
    path.write_text(
        '<mei xmlns="http://www.music-encoding.org/ns/mei"><music><body><mdiv><score>'
        '<scoreDef key.sig="1f" meter.count="2" meter.unit="4"><staffGrp><staffDef n="1" lines="5" clef.shape="G"'
        ' clef.line="2"/></staffGrp></scoreDef><section><measure n="1"><staff n="1"><layer n="1">'
        '<note pname="f" oct="5" dur="8"/><note pname="g" oct="5" dur="8"/><note pname="a" oct="5" dur="4"/>'
        "</layer></staff></measure></section></score></mdiv></body></music></mei>",
        "utf-8",
    )
    assert names(read_file(path).passage) == ["F5", "G5", "A5"]


def test_abc_files_have_pickups_bar_numbers_and_a_landing(tmp_path: Path) -> None:
    path = tmp_path / "a.abc"
    path.write_text("X:1\nT:Reel\nM:3/4\nL:1/8\nK:D\nf2 | edcd ef | g2 f2 e2 | d6 |]\n", "utf-8")
    assert [one.number for one in read_file(path).passage.bars] == ["0", "1", "2", "3"]
    passage = read_file(path, "1-2").passage
    assert names(passage) == ["E5", "D5", "C#5", "D5", "E5", "F#5", "G5", "F#5", "E5"]
    assert str(passage.landing) == "D5"


ALTER = note("C", 5, 8, "half").replace("</step>", "</step><alter>0.5</alter>")
BACK = "<backup><duration>8</duration></backup>"
SECOND = note("E", 4, 8, "half").replace("<type>", "<voice>2</voice><type>")
FIRST = note("C", 5, 8, "half").replace("<type>", "<voice>1</voice><type>")
VOLTA = '<barline location="left"><ending number="1" type="start"/></barline>'


@pytest.mark.parametrize(
    ("notes", "told"),
    [
        (ALTER, "bar 2 has a note of quarter tones, which cannot be drilled yet; write it without"),
        (FIRST + BACK + SECOND, "bar 2 has two voices; save the one you play as a part of its own"),
        (VOLTA + RUN + RUN, "bar 2 has a first or second ending; write out the one you play"),
        (
            note("C", 5, 8, "half") + note("E", 5, 8, "half").replace("<note>", "<note><chord/>"),
            "bar 2 has a chord",
        ),
    ],
    ids=["quarter tones", "two voices", "ending", "chord"],
)
def test_what_cannot_be_drilled_is_told_with_its_bar(notes: str, told: str, tmp_path: Path) -> None:
    path = tmp_path / "march.musicxml"
    ending = notes.replace("start", "stop") if notes.startswith("<barline") else RUN + RUN
    bars = bar("1", RUN + RUN, attributes()) + bar("2", notes) + bar("3", ending)
    path.write_text(score(bars, FLUTE), "utf-8")
    with pytest.raises(RequestError) as caught:
        read_file(path, "1-2")
    assert str(caught.value).startswith(told)
    assert names(read_file(path, "1").passage)  # other bars of the same file can be drilled


@pytest.mark.parametrize(
    ("instrument", "first"),
    [("B-flat clarinet", "C5"), ("flute", "F5"), ("bassoon", "D5")],
)
def test_the_part_of_the_player_is_found_by_its_name(instrument: str, first: str, tmp_path: Path) -> None:
    listed = {
        "P1": ("Flute", "F"),
        "P2": ("Clarinet in Bb", "C"),
        "P3": ("Bassoon", "D"),
        "P4": ("Tuba", "G"),
    }
    heads = "".join(
        f'<score-part id="{i}"><part-name>{name}</part-name></score-part>' for i, (name, _) in listed.items()
    )
    parts = "".join(
        f'<part id="{i}">{bar("1", note(letter, 5, 8, "half"), attributes())}</part>'
        for i, (_, letter) in listed.items()
    )
    path = tmp_path / "march.musicxml"
    path.write_text(score("", heads).partition("<part id=")[0] + parts + "</score-partwise>", "utf-8")
    assert names(read_file(path, instrument=player_named(instrument).instrument).passage) == [first]
