"""Recorded brass notes (npm packages pinned in `brass/`): the program's pitch against the median of
three trackers of other people, and its onset against the rise of the energy."""

import os
import pathlib

import numpy as np
import pytest

from ear_hear import hear, notes

FOLDER = pathlib.Path(os.environ.get("WATERKEY_RECORDED", pathlib.Path(__file__).parent / "brass" / "node_modules"))
FILES = sorted(f for kind in ("*.mp3", "*.wav") for f in FOLDER.glob(f"tonejs-instrument-*/{kind}"))
CENTS = 3.0
ONSET_S = 0.030
LOWEST, HIGHEST = 28.0, 2_000.0


def autocorrelation(sound, rate):
    """Normalised autocorrelation over 100 ms frames: the first peak within 10 % of the highest."""
    size, found = int(0.1 * rate), []
    shortest, longest = int(rate / HIGHEST), min(int(rate / LOWEST), size // 2)
    for start in range(0, len(sound) - size, size // 2):
        frame = sound[start : start + size] - np.mean(sound[start : start + size])
        lags = np.arange(shortest, longest)
        squares = np.concatenate([[0.0], np.cumsum(frame**2)])
        full = np.fft.irfft(np.abs(np.fft.rfft(frame, 2 * size)) ** 2)[:longest]
        energy = np.sqrt((squares[size - lags]) * (squares[size] - squares[lags])) + 1e-12
        ratio = full[lags] / energy
        peaks = np.flatnonzero((ratio[1:-1] > ratio[:-2]) & (ratio[1:-1] >= ratio[2:])) + 1
        good = peaks[ratio[peaks] > 0.9 * ratio.max()]
        if len(good) and ratio.max() > 0.7:
            i = good[0]
            a, b, c = ratio[i - 1 : i + 2]
            found.append(rate / (lags[i] + 0.5 * (a - c) / (a - 2 * b + c)))
    return np.array(found)


def trackers(sound, rate):
    """Fundamental over the loud middle by three trackers, as medians in hertz."""
    import parselmouth
    import pyworld

    praat = parselmouth.Sound(sound, rate).to_pitch_ac(time_step=0.01, pitch_floor=LOWEST, pitch_ceiling=HIGHEST)
    praat = praat.selected_array["frequency"]
    double = sound.astype(np.float64)
    coarse, times = pyworld.dio(double, rate, f0_floor=LOWEST, f0_ceil=HIGHEST)
    world = pyworld.stonemask(double, coarse, times, rate)
    return [float(np.median(f[f > 0])) for f in (autocorrelation(sound, rate), praat, world) if np.any(f > 0)]


def onset_s(sound, rate):
    """Where 5 ms levels first come within 20 dB of the loudest."""
    step = rate // 200
    power = np.array([np.mean(sound[i : i + step] ** 2) for i in range(0, len(sound) - step, step)])
    return int(np.argmax(power > power.max() / 100)) * step / rate


@pytest.mark.skipif(not FILES, reason="the recorded notes are not installed: npm ci in checks/brass")
@pytest.mark.parametrize("file", FILES, ids=lambda f: f"{f.parent.name}-{f.stem}")
def test_a_recorded_note(waterkey, file):
    import soundfile

    sound, rate = soundfile.read(file)
    sound = sound if sound.ndim == 1 else sound.mean(axis=1)
    found = notes(hear(waterkey, file))
    assert found, "no note was heard"
    # A file holds one note: the longest; what else is heard must be short.
    note = max(found, key=lambda n: n["to_s"] - n["from_s"])
    length = note["to_s"] - note["from_s"]
    assert sum(n["to_s"] - n["from_s"] for n in found) < 1.25 * length
    middle = sound[int((note["from_s"] + 0.2 * length) * rate) : int((note["from_s"] + 0.8 * length) * rate)]
    others = trackers(middle, rate)
    assert len(others) >= 2
    reference = float(np.median(others))
    assert abs(1200 * np.log2(note["heard_hz"] / reference)) < CENTS, (note["heard_hz"], others)
    assert abs(note["from_s"] - onset_s(sound, rate)) < ONSET_S
