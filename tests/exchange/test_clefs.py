"""Clefs in MusicXML: changes stand before their note, and a tenor's clef tells the octave."""

from typing import Any


def test_a_clef_that_changes_within_a_bar_stands_before_its_note(
    make_sheet: Any, xml_of: Any, with_music21: Any
) -> None:
    music = make_sheet("chromatic on F", instrument="bassoon")
    data = xml_of(music)
    (exercise,) = music.exercises
    changes = [
        (number, place, note.clef)
        for number, bar in enumerate(exercise.bars)
        for place, note in enumerate(bar.notes)
        if note.clef
    ]
    assert changes
    read = with_music21(data)
    found = [
        (number, notes.index(clef.offset), type(clef).__name__.removesuffix("Clef").lower())
        for number, measure in enumerate(read.parts[0].getElementsByClass("Measure"))
        for notes in [[n.offset for n in measure.recurse().notes]]
        for clef in measure.recurse().getElementsByClass("Clef")
        if clef.offset
    ]
    assert found == changes


def test_a_tenor_reads_an_octave_clef_and_is_transposed_once(
    make_sheet: Any, xml_of: Any, with_music21: Any
) -> None:
    # MusicXML 4.0, clef-octave-change: an 8 under the clef; pitches are then those heard, without a transposition.
    music = make_sheet("G major, one octave, quarters", instrument="tenor voice")
    read = with_music21(xml_of(music))
    (clef, *_) = read.recurse().getElementsByClass("Clef")
    assert type(clef).__name__ == "Treble8vbClef"
    heard = [n.pitch.nameWithOctave for n in read.toSoundingPitch().recurse().notes]
    assert heard[:8] == ["G3", "A3", "B3", "C4", "D4", "E4", "F#4", "G4"]
