"""Standard MIDI files to play along with.

Format 1: a track for tempo, metre and key, one for the notes, one for the clicks (percussion channel), one
for each voice of the drone. 6720 ticks a quarter, a number that tuplets of 3, 5, 6 and 7 divide down to
64ths, so that every note of ours stands exactly on a tick; any other tuplet is rounded to the nearest one,
never adding up. Another pitch than A = 440 and pure intervals are pitch bends, on the usual range of two
half steps, which is set as well.
"""

from collections.abc import Sequence
from fractions import Fraction
from io import BytesIO
from math import log2

import mido

from generator.exchange.clicks import Beat
from generator.exchange.drone import VOICES, tuning
from generator.exchange.performance import Held, Performance, Sign
from generator.exchange.playback import Playback
from generator.exchange.programs import ORGAN
from generator.exchange.sounding import HeardTone

TICKS = 6720
_NOTES, _FIRST_DRONE, _PERCUSSION = 0, 1, 9
# High and low wood block: General MIDI percussion key map.
_STRONG, _WEAK = 76, 77
_CLICK_LOUDNESS = (112, 88)
_CLICK_LENGTH = Fraction(1, 64)
_DRONE_LOUDNESS = 70
_BEND_RANGE = 2
_ENDS, _SETTINGS, _BEGINS = 0, 1, 2  # order of what happens on one tick
_MICROSECONDS = 60_000_000
_MAJOR = ("Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#")

_Event = tuple[int, int, mido.Message | mido.MetaMessage]


def as_midi(performance: Performance) -> bytes:
    """A MIDI file.

    Args:
        performance: what is to be heard; sounding pitch.
    """
    file = mido.MidiFile(type=1, ticks_per_beat=TICKS, charset="utf-8")
    playback = performance.playback
    file.tracks.append(_track(performance.title, _conductor(performance), performance.end))
    file.tracks.append(_track(performance.instrument, _notes(performance), performance.end))
    if performance.clicks:
        file.tracks.append(_track("Click", _clicks(performance.clicks), performance.end))
    for channel, voice in enumerate(VOICES, _FIRST_DRONE):
        held = [h for h in performance.drones if h.pipe.voice == voice]
        if held:
            name = f"Drone: {tuning(voice, playback.drone)}, A = {playback.pitch}"
            file.tracks.append(_track(name, _drone(held, channel, playback), performance.end))
    data = BytesIO()
    file.save(file=data)
    return data.getvalue()


def bend(cents: float) -> int:
    """Pitch bend for a number of cents, -8192 to 8191, on a range of two half steps."""
    return max(-8192, min(8191, round(8192 * cents / (100 * _BEND_RANGE))))


def _tick(place: Fraction) -> int:
    return round(place * 4 * TICKS)


def _track(name: str, events: Sequence[_Event], end: Fraction) -> mido.MidiTrack:
    track = mido.MidiTrack([mido.MetaMessage("track_name", name=_line(name))])
    now = 0
    for tick, _, message in sorted(events, key=lambda e: e[:2]):
        track.append(message.copy(time=tick - now))
        now = tick
    track.append(mido.MetaMessage("end_of_track", time=max(0, _tick(end) - now)))
    return track


def _conductor(performance: Performance) -> list[_Event]:
    events: list[_Event] = [
        (_tick(place), _SETTINGS, mido.MetaMessage("set_tempo", tempo=round(_MICROSECONDS / quarters)))
        for place, quarters in performance.tempi
    ]
    for sign in performance.signs:
        events += [(_tick(sign.place), _SETTINGS, message) for message in _sign(sign)]
    return events


def _sign(sign: Sign) -> list[mido.MetaMessage]:
    # The metronome byte counts MIDI clocks, 24 to a quarter.
    clocks = min(255, int(sign.beat * 96))
    metre = {"numerator": sign.metre.count, "denominator": sign.metre.unit, "clocks_per_click": clocks}
    found = [mido.MetaMessage("time_signature", **metre)]
    if sign.signature is not None:
        found.append(mido.MetaMessage("key_signature", key=_MAJOR[sign.signature + 7]))
    if sign.heading:
        found.append(mido.MetaMessage("marker", text=_line(sign.heading)))
    return found


def _notes(performance: Performance) -> list[_Event]:
    if performance.drums:
        return [
            event
            for tone in performance.tones
            for event in _sounded(_PERCUSSION, tone.start, tone.start + tone.length, tone)
        ]
    events = _voice(_NOTES, performance.program, _concert(performance.playback.pitch))
    for tone in performance.tones:
        events += _sounded(_NOTES, tone.start, tone.start + tone.length, tone)
    return events


def _clicks(clicks: Sequence[Beat]) -> list[_Event]:
    events: list[_Event] = []
    for click in clicks:
        key, loudness = (_STRONG, _CLICK_LOUDNESS[0]) if click.strong else (_WEAK, _CLICK_LOUDNESS[1])
        tone = HeardTone(click.place, _CLICK_LENGTH, key, loudness)
        events += _sounded(_PERCUSSION, click.place, click.place + _CLICK_LENGTH, tone)
    return events


def _drone(held: Sequence[Held], channel: int, playback: Playback) -> list[_Event]:
    now = held[0].pipe.cents
    events = _voice(channel, ORGAN, _concert(playback.pitch) + now)
    for one in held:
        if one.pipe.cents != now:
            now = one.pipe.cents
            value = bend(_concert(playback.pitch) + now)
            message = mido.Message("pitchwheel", channel=channel, pitch=value)
            events.append((_tick(one.start), _SETTINGS, message))
        tone = HeardTone(one.start, one.end - one.start, one.pipe.height, _DRONE_LOUDNESS)
        events += _sounded(channel, one.start, one.end, tone)
    return events


def _concert(pitch: int) -> float:
    """Cents between A = 440 and another A."""
    return 1200 * log2(pitch / 440)


def _voice(channel: int, program: int, cents: float) -> list[_Event]:
    """Sound and tuning of a channel, at the beginning."""
    messages = [mido.Message("program_change", channel=channel, program=program)]
    if cents:
        # Registered parameter 0 is the range of the pitch bend: half steps, then cents.
        settings = ((101, 0), (100, 0), (6, _BEND_RANGE), (38, 0), (101, 127), (100, 127))
        messages += [mido.Message("control_change", channel=channel, control=c, value=v) for c, v in settings]
        messages.append(mido.Message("pitchwheel", channel=channel, pitch=bend(cents)))
    return [(0, _SETTINGS, m) for m in messages]


def _sounded(channel: int, start: Fraction, end: Fraction, tone: HeardTone) -> list[_Event]:
    on = mido.Message("note_on", channel=channel, note=tone.height, velocity=tone.loudness)
    off = mido.Message("note_off", channel=channel, note=tone.height, velocity=0)
    return [(_tick(start), _BEGINS, on), (_tick(end), _ENDS, off)]


def _line(text: str) -> str:
    """Text without control characters, which a file of chunks need not fear but a display may."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())
