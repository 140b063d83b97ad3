"""Sound files, measured with numpy's Fourier transform, which had no part in making them."""

import io
import wave
from dataclasses import replace
from itertools import pairwise
from typing import Any

import numpy as np
import pytest

from generator.exchange.formats import Music, open_files
from generator.exchange.performance import Performance, perform
from generator.exchange.playback import Playback
from generator.exchange.wav import RATE, as_wav


def performed(music: Music, **wishes: Any) -> Performance:
    return perform(music.title, music.instrument, music.exercises, Playback(**wishes))


def samples_of(data: bytes) -> Any:
    with wave.open(io.BytesIO(data)) as file:
        assert (file.getnchannels(), file.getsampwidth(), file.getframerate()) == (1, 2, RATE)
        return np.frombuffer(file.readframes(file.getnframes()), dtype="<i2").astype(float) / 32768


def peak(samples: Any, near: float, within: float = 4.0) -> float:
    """Frequency of the strongest partial near a frequency: a windowed transform, its top fitted by a parabola."""
    size = 1 << (len(samples) * 4).bit_length()
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    low, high = (int((near + side) * size / RATE) for side in (-within, within))
    top = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[top - 1 : top + 2])
    return float((top + 0.5 * (a - c) / (a - 2 * b + c)) * RATE / size)


@pytest.fixture(scope="module")
def slow(make_sheet: Any) -> Music:
    """Eight slow bars for a B-flat clarinet in written C."""
    return make_sheet("C major, one octave, half notes, quarter = 60", instrument="clarinet in B-flat")


# B-flat 3 is 233.082 Hz at A = 440 (tables of equal temperament).
@pytest.mark.parametrize("pitch", [438, 440, 442, 446])
def test_the_drone_sounds_the_concert_tonic_at_the_pitch_asked_for(pitch: int, slow: Music) -> None:
    alone = replace(performed(slow, drone="tonic", pitch=pitch), tones=(), clicks=())
    samples = samples_of(as_wav(alone))[3 * RATE : -2 * RATE]
    wanted = 233.082 * pitch / 440
    assert peak(samples, wanted) == pytest.approx(wanted, abs=0.1)
    # Its overtones are whole multiples.
    assert peak(samples, 3 * wanted) == pytest.approx(3 * wanted, abs=0.3)


def test_a_pure_fifth_and_third_beat_with_nothing(slow: Music) -> None:
    alone = replace(performed(slow, drone="third"), tones=(), clicks=())
    samples = samples_of(as_wav(alone))[3 * RATE : -2 * RATE]
    tonic = peak(samples, 233.08)
    assert peak(samples, tonic * 3 / 2) / tonic == pytest.approx(1.5, abs=3e-5)
    assert peak(samples, tonic * 5 / 4) / tonic == pytest.approx(1.25, abs=3e-5)
    equal = replace(performed(slow, drone="equal third"), tones=(), clicks=())
    samples = samples_of(as_wav(equal))[3 * RATE : -2 * RATE]
    assert peak(samples, tonic * 5 / 4) / tonic == pytest.approx(2 ** (4 / 12), abs=3e-5)


def test_the_drone_can_be_measured_under_the_notes(slow: Music) -> None:
    samples = samples_of(as_wav(performed(slow, drone="tonic", pitch=442)))
    wanted = 233.082 * 442 / 440
    assert peak(samples, wanted, 1.5) == pytest.approx(wanted, abs=0.1)


def test_each_note_sounds_its_pitch_at_its_time(make_sheet: Any) -> None:
    music = make_sheet("A major, one octave, whole notes, up, quarter = 60", instrument="flute")
    samples = samples_of(as_wav(performed(music, click="none", count_in=1, pitch=442)))
    # A B C-sharp D from A4, equal-tempered, each four seconds after a bar of four.
    for number, steps in enumerate((0, 2, 4, 5)):
        start = RATE * (4 + 4 * number)
        wanted = 442 * 2 ** (steps / 12)
        assert peak(samples[start + RATE : start + 3 * RATE], wanted) == pytest.approx(wanted, abs=0.1)
    # Nothing between the count-in's last click and the first note.
    assert np.abs(samples[int(3.5 * RATE) : int(3.99 * RATE)]).max() == 0


def test_clicks_on_two_and_four_stand_where_they_should(make_sheet: Any) -> None:
    music = make_sheet("C major, two octaves, eighths, quarter = 160")
    alone = replace(performed(music, click="backbeat", count_in=0), tones=())
    samples = np.abs(samples_of(as_wav(alone)))
    loud = np.flatnonzero(samples > 0.02)
    begins = [int(loud[0]), *(int(b) for a, b in pairwise(loud) if b - a > RATE // 5)]
    # Beats of 0.375 s: 2 and 4 of each bar.
    wanted = [0.375 * (4 * bar + beat) for bar in range(len(music.exercises[0].bars)) for beat in (1, 3)]
    assert [b / RATE for b in begins] == pytest.approx(wanted, abs=0.002)


def test_it_begins_softly_and_never_clips(make_sheet: Any) -> None:
    for name in ("piccolo", "tuba", "alto saxophone"):
        music = make_sheet(
            "C major in thirds, one octave, marcato", "D natural minor, one octave, crescendo up, diminuendo down",
            instrument=name,
        )  # fmt: skip
        for drone in ("tonic", "third"):
            samples = samples_of(as_wav(performed(music, drone=drone, count_in=2, pitch=446)))
            assert np.abs(samples).max() < 0.95
            assert np.abs(samples[: RATE // 4]).max() < 0.1
            assert np.abs(samples[4 * RATE :]).max() > 0.3
            # No tone is cut off: low tones and soft edges change slowly from sample to sample.
            assert name != "tuba" or np.abs(np.diff(samples)).max() < 0.25


def test_the_loudest_of_notes_drone_and_click_together_stay_below_full_scale(make_sheet: Any) -> None:
    whole = performed(
        make_sheet("C major, one octave, half notes", instrument="alto saxophone"), drone="third"
    )
    loudest = replace(whole, tones=tuple(replace(t, loudness=127) for t in whole.tones))
    layers = (
        replace(loudest, clicks=(), drones=()),
        replace(loudest, tones=(), drones=()),
        replace(loudest, tones=(), clicks=()),
    )
    peaks = [np.abs(samples_of(as_wav(layer))).max() for layer in layers]
    assert all(top > 0.2 for top in peaks)
    assert sum(peaks) < 0.95


def test_it_is_as_long_as_the_music(slow: Music) -> None:
    bars = len(slow.exercises[0].bars)
    samples = samples_of(as_wav(performed(slow, count_in=2)))
    assert len(samples) / RATE == pytest.approx(4 * (bars + 2), abs=0.5)


def test_one_sound_file_for_each_exercise(make_sheet: Any) -> None:
    music = make_sheet("C major, a fifth", "D major, a fifth")
    files = open_files("sheet", music, ("wav", "midi"), Playback(each=True, drone="tonic"))
    assert sorted(files) == [f"sheet-drone-tonic-{n}.{kind}" for n in (1, 2) for kind in ("mid", "wav")]
