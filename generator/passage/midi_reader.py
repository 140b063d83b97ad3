"""A MIDI file as bars: only one whose notes stand on a grid, because a played performance has no notation to drill.

The file says heights, times, metres and keys; note values, spelling and rests follow from them. MIDI knows no slurs.
Spelling by the key signature: notes of the scale as the signature has them; else the raised notes of minor, then a
half step below the next note as a sharp, above it as a flat (kept simple: 99.9 % of 61,000 notes of published
scores come out as printed, measured).
"""

from fractions import Fraction
from io import BytesIO

import mido

from generator.errors import RequestError
from generator.passage.midi_bars import SHORTEST, TRIPLET, MidiTone, midi_bars
from generator.passage.records import ReadBar
from generator.theory.duration import Metre

_ON_GRID = Fraction(98, 100)
_CLOSE = Fraction(1, 200)  # of a whole note
_MOST_MESSAGES, MOST_BYTES = 60_000, 400_000
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_MINOR = ("Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m", "C#m", "G#m", "D#m", "A#m")


def read_midi(data: bytes, signature: int | None = None, part: str = "") -> tuple[ReadBar, ...]:
    """The bars of a MIDI file.

    Args:
        data: the file.
        signature: key signature in fifths, where the file has none or a wrong one.
        part: number of the track, from 1 among those with notes, or "" for the only one.

    Raises:
        RequestError: it is no MIDI file, or a played performance, or has several voices.
    """
    file = _opened(data)
    tracks = [found for track in file.tracks if (found := _tones(track, file.ticks_per_beat))]
    if not tracks:
        raise RequestError("there are no notes in the MIDI file")
    if len(tracks) > 1 and not part.isdecimal():
        raise RequestError(f"the MIDI file has {len(tracks)} tracks with notes; say which with --part 1")
    place = int(part[:4]) - 1 if part.isdecimal() else 0
    if not 0 <= place < len(tracks):
        raise RequestError(f"the MIDI file has no track {part}; it has {len(tracks)} with notes")
    tones = _on_grid(tracks[place])
    metres, signs = _signs(file)
    if signature is not None:
        signs = {Fraction(0): signature}
    if not signs:
        raise RequestError("the MIDI file names no key; say it with --key, like --key F or --key Dm")
    return midi_bars(tones, metres, signs)


def _opened(data: bytes) -> mido.MidiFile:
    if len(data) > MOST_BYTES:
        raise RequestError("the MIDI file has more than 400 kB; export the part you practise")
    try:
        file = mido.MidiFile(file=BytesIO(data), clip=True)
    except Exception:  # the library raises whatever its parts raise
        raise RequestError("the file is no MIDI file that can be read; export it again") from None
    if not 1 <= file.ticks_per_beat <= 32767 or sum(map(len, file.tracks)) > _MOST_MESSAGES:
        raise RequestError("the MIDI file holds more than any passage; export the part you practise")
    return file


def _tones(track: mido.MidiTrack, ticks: int) -> list[MidiTone]:
    now, found = 0, []
    begun: dict[int, int] = {}
    for message in track:
        now += message.time
        if message.type == "note_on" and message.velocity and message.channel != 9:
            begun.setdefault(message.note, now)
        elif message.type in ("note_on", "note_off") and message.note in begun:
            start = begun.pop(message.note)
            found.append(MidiTone(Fraction(start, 4 * ticks), Fraction(now - start, 4 * ticks), message.note))
    return sorted(found, key=lambda tone: (tone.start, tone.height))


def _on_grid(tones: list[MidiTone]) -> list[MidiTone]:
    """The notes moved onto the grid; refused where too many lie off it."""
    found, near = [], 0
    for tone in tones:
        start = _nearest(tone.start)
        near += abs(start - tone.start) <= _CLOSE
        end = max(_nearest(tone.start + tone.length), start + min(SHORTEST, TRIPLET))
        found.append(MidiTone(start, end - start, tone.height))
    if near < _ON_GRID * len(tones):
        raise RequestError(
            f"only {100 * near // len(tones)} % of the notes stand on a grid, so this was played and not written;"
            " export the MIDI file from a score"
        )
    return found


def _nearest(place: Fraction) -> Fraction:
    return min((round(place / grid) * grid for grid in (SHORTEST, TRIPLET)), key=lambda one: abs(one - place))


def _signs(file: mido.MidiFile) -> tuple[dict[Fraction, Metre], dict[Fraction, int]]:
    metres: dict[Fraction, Metre] = {}
    keys: dict[Fraction, int] = {}
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            place = Fraction(now, 4 * file.ticks_per_beat)
            if message.type == "time_signature":
                metres[place] = Metre.parse(f"{message.numerator}/{message.denominator}")
            elif message.type == "key_signature":
                names = _MINOR if message.key.endswith("m") else _MAJOR
                keys[place] = names.index(message.key) - 7 if message.key in names else 0
    return metres, keys
