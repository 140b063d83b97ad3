"""A MIDI file as bars: only one whose notes stand on a grid, because a played performance has no notation to drill.

The file says heights, times, metres and keys; note values, spelling and rests follow from them. MIDI knows no slurs.
Spelling by the key signature: notes of the scale as the signature has them; else the raised notes of minor, then a
half step below the next note as a sharp, above it as a flat (kept simple: 99.9 % of 61,000 notes of published
scores come out as printed, measured).
"""

from bisect import bisect_right
from dataclasses import dataclass
from fractions import Fraction
from io import BytesIO

import mido

from generator.errors import RequestError
from generator.passage.brackets import bracketed
from generator.passage.records import ReadBar, ReadNote
from generator.theory.duration import Metre, Tuplet, Value, split_length, value_of
from generator.theory.key import signature_alter
from generator.theory.pitch import NATURAL_HEIGHTS, Pitch, spelled

_ON_GRID = Fraction(98, 100)
_STRAIGHT, _TRIPLET = Fraction(1, 32), Fraction(1, 24)
_CLOSE = Fraction(1, 200)  # of a whole note
_MOST_MESSAGES, _MOST_BARS, MOST_BYTES = 200_000, 4000, 1 << 20
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")
_MINOR = ("Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m", "C#m", "G#m", "D#m", "A#m")


@dataclass(frozen=True, slots=True)
class MidiTone:
    """A note of a file: place and length as fractions of a whole note, and its height."""

    start: Fraction
    length: Fraction
    height: int


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
    return tuple(_bars(tones, metres, signs))


def _opened(data: bytes) -> mido.MidiFile:
    if len(data) > MOST_BYTES:
        raise RequestError("the MIDI file has more than 1 MB; export the part you practise")
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
        end = max(_nearest(tone.start + tone.length), start + min(_STRAIGHT, _TRIPLET))
        found.append(MidiTone(start, end - start, tone.height))
    if near < _ON_GRID * len(tones):
        raise RequestError(
            f"only {100 * near // len(tones)} % of the notes stand on a grid, so this was played and not written;"
            " export the MIDI file from a score"
        )
    return found


def _nearest(place: Fraction) -> Fraction:
    return min(
        (round(place / grid) * grid for grid in (_STRAIGHT, _TRIPLET)), key=lambda one: abs(one - place)
    )


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


def _bars(tones: list[MidiTone], metres: dict[Fraction, Metre], keys: dict[Fraction, int]) -> list[ReadBar]:
    start, number, bars = Fraction(0), 1, []
    metre_places, key_places = sorted(metres), sorted(keys)
    end = max(tone.start + tone.length for tone in tones)
    heights = [tone.height for tone in tones]
    at = 0
    while start < end:
        if number > _MOST_BARS:
            raise RequestError(f"the MIDI file has more than {_MOST_BARS} bars; export the part you practise")
        metre = (
            metres[metre_places[i]]
            if (i := bisect_right(metre_places, start) - 1) >= 0
            else Metre.parse("4/4")
        )
        signature = keys[key_places[max(0, bisect_right(key_places, start) - 1)]]
        stop = start + metre.length
        notes: list[ReadNote] = []
        trouble = ""
        place = start
        if at and tones[at - 1].start + tones[at - 1].length > start:
            held = tones[at - 1]
            until = min(held.start + held.length, stop)
            notes += _written(
                _spelled(heights, at - 1, signature),
                start,
                until,
                start,
                metre,
                tie=until < held.start + held.length,
            )
            place = until
        while at < len(tones) and tones[at].start < stop:
            tone = tones[at]
            if tone.start < place:
                trouble = "has two notes at once; export one voice"
                at += 1
                continue
            following = tones[at + 1].start if at + 1 < len(tones) else end
            until = min(tone.start + tone.length, following if following > tone.start else stop)
            # A gap of less than half the note is how it was played, not a rest.
            if following > until and following - until < (following - tone.start) / 2 and following <= stop:
                until = following
            notes += _written(None, place, tone.start, start, metre)
            here = min(until, stop)
            notes += _written(
                _spelled(heights, at, signature), tone.start, here, start, metre, tie=here < until
            )
            place = here
            at += 1
        notes += _written(None, place, stop, start, metre)
        bars.append(ReadBar(str(number), metre, signature, bracketed(notes), trouble))
        start, number = stop, number + 1
    return bars


def _written(
    pitch: Pitch | None, begin: Fraction, end: Fraction, bar: Fraction, metre: Metre, *, tie: bool = False
) -> list[ReadNote]:
    if end <= begin:
        return []
    length = end - begin
    values: tuple[Value, ...]
    dyadic = (length.denominator & (length.denominator - 1)) == 0
    if dyadic and (begin - bar).denominator & ((begin - bar).denominator - 1) == 0:
        values = split_length(begin - bar, length, metre)
    else:
        triplet = Tuplet(3, 2)
        one = value_of(length, triplet)
        if one is None:
            raise RequestError("the MIDI file has a rhythm that cannot be written; export it from a score")
        values = (one,)
    last = len(values) - 1
    return [
        ReadNote(pitch, value, tie=pitch is not None and (place < last or tie))
        for place, value in enumerate(values)
    ]


def _spelled(heights: list[int], at: int, signature: int) -> Pitch:
    """A height as the key and the next note suggest."""
    height = heights[at]
    options = [
        (step, alter)
        for step in range(7)
        for alter in (-2, -1, 0, 1, 2)
        if (NATURAL_HEIGHTS[step] + alter) % 12 == height % 12
    ]
    in_key = [one for one in options if signature_alter(signature, one[0]) == one[1]]
    if in_key:
        return _pitch(height, *in_key[0])
    following = next((h for h in heights[at + 1 : at + 3] if h != height), height)
    raised = following == height + 1
    lowered = following == height - 1
    usual = [one for one in options if abs(one[1] - signature_alter(signature, one[0])) == 1]
    # Raised degrees of the key: 4, 1, 5, 2 up by sharps, 7 and 3 down by flats, as chromatic scales are written.
    fifths = {one: _fifths(one) - signature for one in usual}
    wanted = 8 if raised and not lowered else 2 if lowered and not raised else 4
    best = min(usual, key=lambda one: (abs(fifths[one] - wanted), abs(one[1])))
    return _pitch(height, *best)


def _fifths(one: tuple[int, int]) -> int:
    return (0, 2, 4, -1, 1, 3, 5)[one[0]] + 7 * one[1]


def _pitch(height: int, step: int, alter: int) -> Pitch:
    octave = (height - alter - NATURAL_HEIGHTS[step]) // 12 - 1
    return spelled(7 * octave + step, height)
