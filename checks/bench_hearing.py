"""Free hearing side by side with general-purpose pitch trackers, in one run on the same takes.

    WATERKEY_BIN=target/release/waterkey python checks/bench_hearing.py [SEED]

Takes: recorded brass notes one after another (npm packages pinned in `brass/`, where installed), and
slurred and tongued lines of harmonics from a seed, dry and in a room. Scores: mir_eval's transcription
F measure (pitch within 50 cents, offsets not asked; Raffel et al. 2014) at 50 and 20 ms, and the median
distance of matched notes from the truth in cents. The trackers give pitch over time; one plain rule
makes notes of it. Time is processor time, of the program with all its measures and its report.
"""

import json
import os
import pathlib
import resource
import subprocess
import sys
import tempfile
import time

import mir_eval
import numpy as np
import parselmouth
import pyworld
import soundfile

RATE = 44_100
LOWEST, HIGHEST = 50.0, 1_600.0
STEP_S = 0.005
RECORDED = pathlib.Path(os.environ.get("WATERKEY_RECORDED", pathlib.Path(__file__).parent / "brass" / "node_modules"))


# --- takes: (sound, intervals, hertz) ---


def tone(hertz, seconds_a_sample, random):
    """Harmonics that fall by 0.8 of a power of their number under one formant, with random phases."""
    turn = 2 * np.pi * np.cumsum(hertz) * seconds_a_sample
    sound = np.zeros_like(hertz)
    for n in range(1, min(40, int(12_000 / hertz.min())) + 1):
        peak = 0.15 + np.exp(-(np.log2(n * hertz / 900.0) ** 2) / 1.62)
        sound += n**-0.8 * peak * np.sin(n * turn + random.uniform(0, 2 * np.pi))
    return sound


def line(tube, partials, slurred, random):
    """One line on the partials of a tube: slurs glide for 15 to 60 ms, tongued notes stop for 20 to 60."""
    pitch, level, onsets, hertz = [], [], [], []
    at = 0.4
    pitch.append(np.full(int(0.4 * RATE), np.log2(tube)))
    level.append(np.zeros(int(0.4 * RATE)))
    for i, partial in enumerate(partials):
        note = np.log2(tube * partial) + random.uniform(-15, 15) / 1200
        if i and slurred:
            glide = random.uniform(0.015, 0.06)
            rise = 0.5 - 0.5 * np.cos(np.pi * np.linspace(0, 1, int(glide * RATE)))
            pitch.append(last + (note - last) * rise)
            level.append(np.ones(len(rise)))
            onsets.append(at + len(rise) / RATE / 2)
            at += len(rise) / RATE
        else:
            onsets.append(at)
        count = int(random.uniform(0.18, 0.4) * RATE)
        envelope = np.ones(count)
        ramp = int(0.03 * RATE)
        if not slurred or i == 0:
            envelope[:ramp] = np.linspace(0, 1, ramp)
        if not slurred or i == len(partials) - 1:
            envelope[-ramp:] = np.linspace(1, 0, ramp)
        pitch.append(np.full(count, note))
        level.append(envelope)
        at += count / RATE
        hertz.append(2**note)
        last = note
        if not slurred:
            gap = int(random.uniform(0.02, 0.06) * RATE)
            pitch.append(np.full(gap, note))
            level.append(np.zeros(gap))
            at += gap / RATE
    pitch.append(np.full(int(0.4 * RATE), note))
    level.append(np.zeros(int(0.4 * RATE)))
    sound = tone(2 ** np.concatenate(pitch), 1 / RATE, random) * np.concatenate(level)
    ends = onsets[1:] + [at]
    return sound, np.column_stack([onsets, np.maximum(ends, np.array(onsets) + 0.03)]), np.array(hertz)


def joined(pieces):
    sounds, intervals, hertz, at = [], [], [], 0.0
    for sound, where, pitch in pieces:
        sounds.append(sound / np.abs(sound).max())
        intervals.append(where + at)
        hertz.append(pitch)
        at += len(sound) / RATE
    return 0.4 * np.concatenate(sounds), np.vstack(intervals), np.concatenate(hertz)


def noisy(take, below_db, random):
    sound, intervals, hertz = take
    noise = random.standard_normal(len(sound)) * np.sqrt(np.mean(sound**2)) * 10 ** (-below_db / 20)
    return sound + noise, intervals, hertz


def in_room(take, seconds, direct_db, random):
    """Exponentially decaying noise after 8 ms, as loud as said against the direct sound."""
    sound, intervals, hertz = take
    count = int(seconds * RATE)
    echo = random.standard_normal(count) * 10 ** (-3 * np.arange(count) / count)
    echo[: int(0.008 * RATE)] = 0
    echo *= 10 ** (-direct_db / 20) / np.sqrt(np.sum(echo**2))
    size = len(sound) + count
    wet = np.fft.irfft(np.fft.rfft(sound, size) * np.fft.rfft(echo, size), size)[: len(sound)]
    return sound + wet, intervals, hertz


def lines(slurred, random):
    parts = [(58.27, [2, 3, 4, 5, 6, 5, 4, 3, 2]), (58.27, [4, 5, 6, 8, 6, 5, 4]),
             (116.54, [2, 3, 4, 5, 6, 5, 4, 3, 2]), (116.54, [4, 5, 6, 8, 10, 8, 6, 4])]
    return joined([line(tube, partials, slurred, random) for tube, partials in parts])


def recorded(random):
    """Two seconds of every recorded note that the trackers' range holds, in random order."""
    pieces = []
    files = sorted(f for kind in ("*.mp3", "*.wav") for f in RECORDED.glob(f"tonejs-instrument-*/{kind}"))
    for file in random.permutation(files):
        sound, rate = soundfile.read(file)
        sound = sound if sound.ndim == 1 else sound.mean(axis=1)
        loud = np.abs(sound) > np.abs(sound).max() * 10 ** (-25 / 20)
        first = int(np.argmax(loud))
        sound = sound[first : first + 2 * rate].copy()
        if rate != RATE or len(sound) < rate:
            continue
        sound[-2205:] *= np.linspace(1, 0, 2205)
        pitch = parselmouth.Sound(sound, rate).to_pitch_ac(pitch_floor=30.0, pitch_ceiling=HIGHEST)
        pitch = pitch.selected_array["frequency"]
        hertz = np.median(pitch[pitch > 0])
        if not LOWEST < hertz < HIGHEST:
            continue
        quiet = np.zeros(RATE // 4)
        where = np.array([[0.25, 0.25 + len(sound) / rate]])
        pieces.append((np.concatenate([quiet, sound / np.abs(sound).max(), quiet]), where, np.array([hertz])))
    return joined(pieces) if pieces else None


# --- hearers: file, sound -> (intervals, hertz) ---


def program(file, _sound):
    done = subprocess.run([os.environ["WATERKEY_BIN"], "hear", file, "--json"], capture_output=True, check=True)
    notes = [n for n in json.loads(done.stdout)["other_notes"] if n["heard_hz"] and n["to_s"] > n["from_s"]]
    return np.array([[n["from_s"], n["to_s"]] for n in notes]), np.array([n["heard_hz"] for n in notes])


def praat(_file, sound):
    pitch = parselmouth.Sound(sound, RATE).to_pitch_ac(time_step=STEP_S, pitch_floor=LOWEST, pitch_ceiling=HIGHEST)
    return notes_of(pitch.xs(), pitch.selected_array["frequency"])


def world(_file, sound):
    sound = np.ascontiguousarray(sound, dtype=np.float64)
    coarse, times = pyworld.dio(sound, RATE, f0_floor=LOWEST, f0_ceil=HIGHEST, frame_period=1000 * STEP_S)
    return notes_of(times, pyworld.stonemask(sound, coarse, times, RATE))


def notes_of(times, hertz):
    """Notes of pitch over time: cut where it stops or leaves the middle of the note by 70 cents for 45 ms."""
    cents = np.where(hertz > 0, 1200 * np.log2(np.maximum(hertz, 1.0)), np.nan)
    hold = int(0.045 / STEP_S)
    intervals, found, start = [], [], None

    def end(stop):
        if start is not None and stop - start >= hold:
            intervals.append([times[start], times[stop - 1] + STEP_S])
            found.append(2 ** (np.nanmedian(cents[start:stop]) / 1200))

    for i in range(len(cents)):
        if np.isnan(cents[i]):
            end(i)
            start = None
        elif start is None:
            start = i
        elif i - start >= hold:
            middle = np.median(cents[max(start, i - 60) : i - hold + 1])
            if np.all(np.abs(cents[i - hold + 1 : i + 1] - middle) > 70):
                end(i - hold + 1)
                start = i - hold + 1
    end(len(cents))
    return np.array(intervals).reshape(-1, 2), np.array(found)


def score(truth, heard):
    intervals, hertz = truth
    where, pitch = heard
    if not len(pitch):
        return 0.0, 0.0, float("nan")
    f = [
        mir_eval.transcription.precision_recall_f1_overlap(
            intervals, hertz, where, pitch, onset_tolerance=s, pitch_tolerance=50.0, offset_ratio=None
        )[2]
        for s in (0.05, 0.02)
    ]
    pairs = mir_eval.transcription.match_notes(
        intervals, hertz, where, pitch, onset_tolerance=0.05, pitch_tolerance=50.0, offset_ratio=None
    )
    cents = [abs(1200 * np.log2(pitch[b] / hertz[a])) for a, b in pairs]
    return *f, float(np.median(cents)) if cents else float("nan")


def spent():
    own, children = (resource.getrusage(w) for w in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return own.ru_utime + own.ru_stime + children.ru_utime + children.ru_stime


def main():
    seed = int(sys.argv[1]) if len(sys.argv) > 1 else 101
    random = np.random.default_rng(seed)
    slurred, tongued = lines(True, random), lines(False, random)
    takes = {
        "slurred, dry": noisy(slurred, 40, random),
        "slurred, room": noisy(in_room(slurred, 0.5, 6, random), 30, random),
        "tongued, dry": noisy(tongued, 40, random),
        "recorded notes": recorded(random),
    }
    hearers = {"waterkey hear": program, "praat (parselmouth)": praat, "dio + stonemask (pyworld)": world}
    seconds = dict.fromkeys(hearers, 0.0)
    whole = 0.0
    print(f"seed {seed}, {time.strftime('%Y-%m-%d')}, load {os.getloadavg()[0]:.1f}")
    print(f"{'take':16}{'hearer':28}{'F 50 ms':>9}{'F 20 ms':>9}{'cents':>8}")
    with tempfile.TemporaryDirectory() as folder:
        for name, take in takes.items():
            if take is None:
                print(f"{name:16}not installed: npm ci in checks/brass")
                continue
            sound, *truth = take
            sound = 0.5 * sound / np.abs(sound).max()
            file = pathlib.Path(folder) / "take.wav"
            soundfile.write(file, sound, RATE)
            whole += len(sound) / RATE
            for hearer, hear in hearers.items():
                before = spent()
                heard = hear(file, sound)
                seconds[hearer] += spent() - before
                wide, narrow, cents = score(truth, heard)
                print(f"{name:16}{hearer:28}{wide:9.3f}{narrow:9.3f}{cents:8.2f}")
    own = seconds["waterkey hear"]
    print(f"\n{whole:.0f} s of sound\n{'hearer':28}{'CPU s':>8}{'s of sound a s':>16}{'time against ours':>19}")
    for hearer, used in seconds.items():
        print(f"{hearer:28}{used:8.2f}{whole / used:16.0f}{used / own:19.2f}")


if __name__ == "__main__":
    main()
