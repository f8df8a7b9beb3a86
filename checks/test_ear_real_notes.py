"""Recorded brass notes (npm packages pinned in `brass/`): the program's pitch against the median of
three trackers of other people over the same stretch, and its onset against the rise of the energy."""

import os
import pathlib

import numpy as np
import pytest

from ear_hear import hear, notes

FOLDER = pathlib.Path(os.environ.get("WATERKEY_RECORDED", pathlib.Path(__file__).parent / "brass" / "node_modules"))
FILES = sorted(f for kind in ("*.mp3", "*.wav") for f in FOLDER.glob(f"tonejs-instrument-*/{kind}"))
CENTS = 3.0
ONSET_S = 0.030
# The energy's onset is where it comes up to this far below the loudest.
ONSET_DB = 25.0
# The program's steady part: the note without this at either end, up to the last moment so near to
# its loudest.
EDGE_S, STEADY_DB = 0.040, 12.0
# A sound breaks off where it falls this far below what comes within 80 ms before and after, and
# comes back by the second figure within 20 ms: no vibrato or beat of these recordings does.
BREAK_DB, BACK_DB = 12.0, 8.0
LOWEST, HIGHEST = 28.0, 2_000.0


def autocorrelation(sound, rate, lowest):
    """Normalised autocorrelation over frames of three periods of the lowest pitch or 100 ms: the first peak
    within 10 % of the highest."""
    size, found = int(min(0.1, 3 / lowest) * rate), []
    shortest, longest = int(rate / HIGHEST), min(int(rate / lowest), size // 2)
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


def trackers(sound, rate, lowest=LOWEST):
    """Fundamental over the loud middle by three trackers, as medians in hertz."""
    import parselmouth
    import pyworld

    praat = parselmouth.Sound(sound, rate).to_pitch_ac(time_step=0.01, pitch_floor=lowest, pitch_ceiling=HIGHEST)
    praat = praat.selected_array["frequency"]
    double = sound.astype(np.float64)
    coarse, times = pyworld.dio(double, rate, f0_floor=lowest, f0_ceil=HIGHEST)
    world = pyworld.stonemask(double, coarse, times, rate)
    return [float(np.median(f[f > 0])) for f in (autocorrelation(sound, rate, lowest), praat, world) if np.any(f > 0)]


def levels(sound, rate, step_s):
    """Levels of stretches of `step_s`, in dB."""
    step = int(step_s * rate)
    power = [np.mean(sound[i : i + step] ** 2) for i in range(0, len(sound) - step, step)]
    return 10 * np.log10(np.array(power) + 1e-15)


def onset_s(sound, rate):
    """Where 5 ms levels first come up to the loudest less `ONSET_DB`."""
    level = levels(sound, rate, 0.005)
    return int(np.argmax(level > level.max() - ONSET_DB)) * 0.005


def steady(sound, rate, note):
    """The steady part of a note."""
    part = sound[int((note["from_s"] + EDGE_S) * rate) : int((note["to_s"] - EDGE_S) * rate)]
    level = levels(part, rate, 0.02)
    if not len(level):
        return part
    last = int(np.flatnonzero(level > level.max() - STEADY_DB)[-1]) + 1
    return part[: int(last * 0.02 * rate)]


def breaks_off(sound, rate, at_s, hertz):
    """True when the sound breaks off near a time and begins anew: levels of whole periods, 8 ms or more."""
    half = np.ceil(0.008 * hertz) / hertz / 2
    if at_s < 0.15 or at_s > len(sound) / rate - 0.15:
        return False
    times = np.arange(at_s - 0.12, at_s + 0.12, 0.005)
    level = np.array(
        [10 * np.log10(np.mean(sound[int((t - half) * rate) : int((t + half) * rate)] ** 2) + 1e-15) for t in times]
    )
    low = 16 + int(np.argmin(level[16:-16]))
    dip = min(level[low - 16 : low].max(), level[low : low + 16].max()) - level[low]
    back = max(level[i + 4] - level[i] for i in range(low, low + 12))
    return dip > BREAK_DB and back > BACK_DB


@pytest.mark.skipif(not FILES, reason="the recorded notes are not installed: npm ci in checks/brass")
@pytest.mark.parametrize("file", FILES, ids=lambda f: f"{f.parent.name}-{f.stem}")
def test_a_recorded_note(waterkey, file):
    import soundfile

    sound, rate = soundfile.read(file)
    sound = sound if sound.ndim == 1 else sound.mean(axis=1)
    found = notes(hear(waterkey, file))
    assert found, "no note was heard"
    # A file holds one note: the longest, and others only where the sound itself breaks off.
    note = max(found, key=lambda n: n["to_s"] - n["from_s"])
    begun = [n for n in found if breaks_off(sound, rate, n["from_s"], note["heard_hz"])]
    one = [n for n in found if n is note or n in begun or (begun and n["to_s"] <= begun[0]["from_s"] + 0.01)]
    length = sum(n["to_s"] - n["from_s"] for n in one)
    assert sum(n["to_s"] - n["from_s"] for n in found) < 1.25 * length
    long_ones = [n for n in one if n["to_s"] - n["from_s"] > 0.25 * length]
    for piece in long_ones:
        others = trackers(steady(sound, rate, piece), rate)
        assert len(others) >= 2
        reference = float(np.median(others))
        assert abs(1200 * np.log2(piece["heard_hz"] / reference)) < CENTS, (piece["heard_hz"], others)
    first = min(long_ones, key=lambda n: n["from_s"])
    assert abs(first["from_s"] - onset_s(sound, rate)) < ONSET_S
