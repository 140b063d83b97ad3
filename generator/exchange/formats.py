"""The open formats by name: another one is a name in FORMATS and a writer in `open_files`.

Each is loaded only when it is asked for, so that a printed page pays for none.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from generator.exchange.playback import Playback
from generator.exercise.instrument import Instrument
from generator.exercise.records import Exercise
from generator.pages.sheet import SheetLayout

FORMATS = ("musicxml", "midi", "wav", "json")


@dataclass(frozen=True, slots=True)
class Music:
    """A sheet as music, without its page.

    Attributes:
        title: of the sheet.
        instrument: what it is for.
        exercises: in order, in written pitch.
        breaks: for each exercise the bars, from 0, with which a printed line begins; may be left out.
    """

    title: str
    instrument: Instrument
    exercises: tuple[Exercise, ...]
    breaks: tuple[tuple[int, ...], ...] = ()


def line_starts(sheet: SheetLayout) -> tuple[tuple[int, ...], ...]:
    """For each exercise of a laid-out sheet the bars, from 0, that begin a line; none for outlines alone."""
    found: list[tuple[int, ...]] = []
    for item in sheet.items:
        if item.outline:
            continue
        starts: list[int] = []
        bars, whole = 0, True
        for line in item.layout.lines:
            # A bar that goes on from the line before cannot be broken here.
            if whole:
                starts.append(bars)
            bars += sum(1 for piece in line if piece.closes)
            whole = line[-1].closes
        found.append(tuple(starts))
    return tuple(found)


def open_files(stem: str, music: Music, formats: Sequence[str], playback: Playback) -> dict[str, bytes]:
    """Files in the open formats, by name.

    Args:
        stem: file name without ending.
        music: the sheet.
        formats: some of FORMATS; others are passed over.
        playback: how MIDI and sound files are to sound.
    """
    if any(e.follows for e in music.exercises):
        every = (one for e in music.exercises for one in (replace(e, follows=()), *e.follows))
        music = replace(music, exercises=tuple(every))
    files: dict[str, bytes] = {}
    if "musicxml" in formats:
        # Imports stand here on purpose; see the top of this file.
        from generator.exchange.musicxml import XmlPart, as_musicxml  # noqa: PLC0415

        part = XmlPart(music.instrument, music.exercises, breaks=music.breaks)
        files[f"{stem}.musicxml"] = as_musicxml(music.title, [part])
    if "midi" in formats or "wav" in formats:
        files |= _recordings(stem, music, formats, playback)
    if "json" in formats:
        from generator.exchange.json_contract import as_json  # noqa: PLC0415

        sounds = [music.instrument.sounds] * len(music.exercises)
        files[f"{stem}.json"] = as_json(music.title, music.exercises, sounds).encode()
    return files


def _recordings(stem: str, music: Music, formats: Sequence[str], playback: Playback) -> dict[str, bytes]:
    from generator.exchange.performance import perform  # noqa: PLC0415

    stem += playback.suffix
    wholes = [(stem, music.title, music.exercises)]
    singles = [(f"{stem}-{n}", f"{n}. {e.heading}", (e,)) for n, e in enumerate(music.exercises, 1)]
    files: dict[str, bytes] = {}
    for name, title, exercises in singles if playback.each else wholes:
        performance = perform(title, music.instrument, exercises, playback)
        if "midi" in formats:
            from generator.exchange.midi import as_midi  # noqa: PLC0415

            files[f"{name}.mid"] = as_midi(performance)
        if "wav" in formats:
            from generator.exchange.wav import as_wav  # noqa: PLC0415

            files[f"{name}.wav"] = as_wav(performance)
    return files
