"""Levels against scipy: K weighting by the coefficients printed in ITU-R BS.1770-4 (annex 1,
tables 1 and 2), on files that the program reads."""

import numpy as np
import pytest
from scipy.io import wavfile
from scipy.signal import lfilter

from ear_hear import hear, notes

RATE = 48_000
SHELF = ([1.53512485958697, -2.69169618940638, 1.19839281085285], [1.0, -1.69065929318241, 0.73248077421585])
HIGH_PASS = ([1.0, -2.0, 1.0], [1.0, -1.99004745483398, 0.99007225036621])


def tone(hz, gain, seconds=2.0):
    """A brass-like tone with silence before and after."""
    t = np.arange(int(RATE * seconds)) / RATE
    sound = sum(np.sin(2 * np.pi * hz * n * t) / n for n in range(1, 13))
    ramp = np.minimum(1, np.minimum(t, t[::-1]) / 0.03)
    rest = np.zeros(RATE)
    return np.concatenate([rest, gain * sound * ramp, rest])


def lkfs(sound):
    """Loudness of one channel, not gated."""
    weighted = lfilter(*HIGH_PASS, lfilter(*SHELF, sound))
    return weighted


@pytest.mark.parametrize("hz", [58.27, 116.54, 233.08, 466.16, 932.33])
@pytest.mark.parametrize("gain", [0.02, 0.2])
def test_a_notes_level_is_the_k_weighted_one(waterkey, tmp_path, hz, gain):
    sound = tone(hz, gain)
    noise = np.random.default_rng(7).normal(0, 1e-5, len(sound))
    file = tmp_path / "tone.wav"
    wavfile.write(file, RATE, (sound + noise).astype(np.float32))
    found = notes(hear(waterkey, file))
    assert len(found) == 1
    note = found[0]
    # The middle of the note: the tone is the same throughout.
    weighted = lkfs(sound)[int(1.5 * RATE) : int(2.5 * RATE)]
    expected = -0.691 + 10 * np.log10(np.mean(weighted**2))
    assert note["measures"]["level_db"]["value"] == pytest.approx(expected, abs=0.15)
    assert 1200 * np.log2(note["heard_hz"] / hz) == pytest.approx(0, abs=0.5)
