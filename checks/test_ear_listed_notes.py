"""Recorded notes with listed pitches, where the folder is there (a further check): the program's pitch
against the list, or against the median of three trackers of other people where these contradict it."""

import csv
import os
import pathlib

import numpy as np
import pytest

from ear_hear import hear, notes
from test_ear_real_notes import CENTS, HIGHEST, steady, trackers

FOLDER = pathlib.Path(os.environ.get("WATERKEY_BRASS", pathlib.Path(__file__).parents[2] / "shared/data/brass"))
TABLE = FOLDER / "notes.tsv"
# The trackers look through three periods of the lowest pitch, or 0.1 s.
SHORTEST_S = 0.12
# A note that scoops by 90 cents in half a second has no one pitch: medians of it lie 5 cents apart.
WITHOUT_A_PITCH = {"amateur_trumpet/057_A3.flac"}


def listed():
    if not TABLE.exists():
        return []
    with TABLE.open(encoding="utf-8") as table:
        rows = [row for row in csv.DictReader(table, delimiter="\t") if row["kind"] == "note"]
    return [row for row in rows if row["file"] not in WITHOUT_A_PITCH]


@pytest.mark.skipif(not TABLE.exists(), reason="no listed recordings beside the clone: nothing checked")
@pytest.mark.parametrize("row", listed(), ids=lambda row: row["file"])
def test_a_listed_note(waterkey, row):
    import soundfile

    file = FOLDER / row["file"]
    sound, rate = soundfile.read(file)
    sound = sound if sound.ndim == 1 else sound.mean(axis=1)
    found = notes(hear(waterkey, file))
    assert found, "no note was heard"
    note = max(found, key=lambda n: n["to_s"] - n["from_s"])
    pitch = float(row["midi_nominal"]) + float(row["cents_dev"]) / 100
    references = [440 * 2 ** ((pitch - 69) / 12)]
    part = steady(sound, rate, note)
    if len(part) < SHORTEST_S * rate:
        pytest.skip("steady for less than the trackers' windows")
    if references[0] < HIGHEST:
        references.append(float(np.median(trackers(part, rate))))
    off = [1200 * np.log2(note["heard_hz"] / reference) for reference in references]
    assert min(map(abs, off)) < CENTS, off
