"""The same notes through another notation library: what `peers.py` runs with the interpreter that has the libraries.

    python tests/benchmarks/peer_work.py WAY SOURCE TARGET

Uses nothing of this program but a file it wrote: exercises as JSON, or as MusicXML. Each library goes its own usual
way, with the LilyPond that the PATH names first. Prints how many notes it put down.
"""

import importlib
import json
import sys
from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction
from pathlib import Path
from typing import Any

# Keys of major scales by signature, from seven flats to seven sharps.
TONICS = ("cf", "gf", "df", "af", "ef", "bf", "f", "c", "g", "d", "a", "e", "b", "fs", "cs")
QUARTER = Fraction(1, 4)
Data = dict[str, Any]


def read(source: Path) -> list[Data]:
    """The exercises of a file in our JSON."""
    found: list[Data] = json.loads(source.read_text("utf-8"))["exercises"]
    return found


def music21_part(exercises: Sequence[Data]) -> tuple[Any, int]:
    """One music21 part that holds every exercise, and its number of notes."""
    m = importlib.import_module("music21")
    signs = {
        "staccato": m.articulations.Staccato,
        "tenuto": m.articulations.Tenuto,
        "accent": m.articulations.Accent,
        "marcato": m.articulations.StrongAccent,
    }
    part, count, number = m.stream.Part(), 0, 0
    for exercise in exercises:
        begun = None
        for place, bar in enumerate(exercise["bars"]):
            number += 1
            measure = m.stream.Measure(number=number)
            if place == 0:
                measure.append(
                    [m.key.KeySignature(exercise["signature"]), m.meter.TimeSignature(bar["time"])]
                )
            for ours in bar["notes"]:
                length = m.duration.Duration(Fraction(ours["duration"]) * 4)
                count += 1
                if ours["written"] is None:
                    measure.append(m.note.Rest(duration=length))
                    continue
                theirs = m.note.Note(ours["written"].replace("b", "-"), duration=length)
                theirs.articulations = [signs[mark]() for mark in ours["marks"]]
                if ours["tie"]:
                    theirs.tie = m.tie.Tie("start")
                measure.append(theirs)
                for end in (ours["slur"] or "").split():
                    if end == "stop" and begun is not None:
                        part.insert(0, m.spanner.Slur(begun, theirs))
                    begun = theirs if end == "start" else begun if end == "inside" else None
            part.append(measure)
    return part, count


def music21_pdf(source: Path, target: Path) -> int:
    """Streams, and music21's own way through LilyPond to a PDF."""
    part, count = music21_part(read(source))
    part.makeNotation(inPlace=True)  # without it tuplets are written as plain notes
    importlib.import_module("music21").stream.Score([part]).write("lily.pdf", fp=str(target))
    return count


def music21_musicxml(source: Path, target: Path) -> int:
    """Streams, and music21's MusicXML of them."""
    part, count = music21_part(read(source))
    importlib.import_module("music21").stream.Score([part]).write(
        "musicxml", fp=str(target.with_suffix(".musicxml"))
    )
    return count


def groups(notes: Sequence[Data]) -> Iterator[tuple[str | None, list[Data]]]:
    """The notes of a bar, those of one tuplet together: a tuplet ends where it fills whole quarters."""
    gathered: list[Data] = []
    for one in notes:
        if one["tuplet"] is None:
            yield None, [one]
            continue
        gathered.append(one)
        if sum(Fraction(each["duration"]) for each in gathered) % QUARTER == 0:
            yield one["tuplet"], gathered
            gathered = []
    if gathered:
        yield gathered[0]["tuplet"], gathered


def abjad_note(abjad: Any, ours: Data) -> Any:
    """One note with its marks, its slur and its tie."""
    length = Fraction(ours["duration"]) * Fraction(*map(int, (ours["tuplet"] or "1:1").split(":")))
    if ours["written"] is None:
        return abjad.Rest(abjad.Duration(length))
    theirs = abjad.Note(abjad.NamedPitch(ours["written"]), abjad.Duration(length))
    for mark in ours["marks"]:
        abjad.attach(abjad.Articulation(mark), theirs)
    for end in (ours["slur"] or "").split():
        if end != "inside":
            abjad.attach(abjad.StopSlur() if end == "stop" else abjad.StartSlur(), theirs)
    if ours["tie"]:
        abjad.attach(abjad.Tie(), theirs)
    return theirs


def abjad_pdf(source: Path, target: Path) -> int:
    """A staff for each exercise, and abjad's own way through LilyPond to a PDF."""
    abjad = importlib.import_module("abjad")
    blocks, count = [], 0
    for exercise in read(source):
        staff = abjad.Staff()
        for bar in exercise["bars"]:
            for tuplet, notes in groups(bar["notes"]):
                made = [abjad_note(abjad, one) for one in notes]
                count += len(made)
                staff.extend([abjad.Tuplet(tuplet, made)] if tuplet else made)
        first = abjad.select.leaf(staff, 0)
        tonic = abjad.NamedPitchClass(TONICS[exercise["signature"] + 7])
        abjad.attach(abjad.KeySignature(tonic, abjad.Mode("major")), first)
        abjad.attach(abjad.TimeSignature(tuple(map(int, exercise["bars"][0]["time"].split("/")))), first)
        blocks.append(abjad.Block("score", items=[staff]))
    abjad.persist.as_pdf(abjad.LilyPondFile(blocks), str(target.with_suffix(".pdf")))
    return count


def verovio_svg(source: Path, target: Path) -> int:
    """A MusicXML file as pages of SVG; the notes are counted in them."""
    verovio = importlib.import_module("verovio")
    toolkit = verovio.toolkit()
    toolkit.setOptions({"pageWidth": 2159, "pageHeight": 2794})  # letter, in tenths of a millimetre
    if not toolkit.loadFile(str(source)):
        raise ValueError("verovio does not read the file")
    count = 0
    for page in range(1, toolkit.getPageCount() + 1):
        svg = toolkit.renderToSVG(page)
        count += svg.count('class="note"') + svg.count('class="rest"') + svg.count('class="mRest"')
        target.with_name(f"{target.stem}-{page}.svg").write_text(svg, "utf-8")
    return count


WAYS: dict[str, Callable[[Path, Path], int]] = {
    "music21-pdf": music21_pdf,
    "music21-musicxml": music21_musicxml,
    "abjad-pdf": abjad_pdf,
    "verovio-svg": verovio_svg,
}

if __name__ == "__main__":
    way, source, target = sys.argv[1:]
    print("notes", WAYS[way](Path(source), Path(target)))
