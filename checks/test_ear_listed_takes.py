"""Takes of recorded notes set one after another, where the folder is there (a further check): heard by the
program against their notes, its pitches and onsets held against the list, or against the median of three
trackers of other people and the rise of the energy where these contradict it."""

import csv
import functools
import os
import pathlib

import numpy as np
import pytest
from lxml import etree
from lxml.builder import E

from test_ear_real_notes import CENTS, HIGHEST, LOWEST, ONSET_S, steady, trackers

FOLDER = pathlib.Path(os.environ.get("WATERKEY_BRASS", pathlib.Path(__file__).parents[2] / "shared/data/brass")) / "takes"
TABLES = sorted(FOLDER.glob("*.tsv"))
INSTRUMENTS = {"trumpet": "trumpet-bflat", "horn": "horn-double", "trombone": "trombone-bass", "tuba": "tuba-bflat"}
STEPS = [("C", 0), ("C", 1), ("D", 0), ("D", 1), ("E", 0), ("F", 0), ("F", 1), ("G", 0), ("G", 1), ("A", 0), ("A", 1), ("B", 0)]
# The trackers look through three periods of the lowest pitch, or 0.1 s: in notes shorter than that the lowest
# lies half an octave below the listed one.
SHORT_S, BELOW = 0.12, 2**0.5
# What is taken off either end of such a note, as a share of it.
EDGES = 0.15
# Two notes of 0.2 s without one pitch: one rises by 50 cents, one begins split and holds for half of it.
UNSETTLED_CENTS = 15.0
WITHOUT_A_PITCH = {("trumpet_amateur_arpeggio_F_fast", place) for place in (1, 2, 10, 11)}
# A note comes up to the first figure under its loudest, looked for back from where it has come up to the
# second: through levels of whole periods that last this long or more.
ONSET_DB, LOUD_DB, LEVEL_S = 25.0, 8.0, 0.008


def table(file):
    with file.open(encoding="utf-8") as rows:
        return list(csv.DictReader(rows, delimiter="\t"))


def score(rows, out):
    """The notes of a take as MusicXML at concert pitch, a quarter note a measure."""
    part = E.part(id="P1")
    for number, row in enumerate(rows, 1):
        octave, place = divmod(int(row["midi"]), 12)
        step, alter = STEPS[place]
        measure = E.measure(number=str(number))
        if number == 1:
            measure.append(
                E.attributes(
                    E.divisions("1"), E.key(E.fifths("0")), E.time(E.beats("1"), E("beat-type", "4")),
                    E.clef(E.sign("G"), E.line("2")), E.transpose(E.diatonic("0"), E.chromatic("0")),
                )
            )
        pitch = E.pitch(E.step(step), E.alter(str(alter)), E.octave(str(octave - 1)))
        measure.append(E.note(pitch, E.duration("1"), E.type("quarter")))
        part.append(measure)
    parts = E("part-list", E("score-part", E("part-name", "Take"), id="P1"))
    out.write_bytes(etree.tostring(E("score-partwise", parts, part, version="4.0"), xml_declaration=True))


@pytest.fixture(scope="session")
def heard(waterkey, tmp_path_factory):
    """A function that gives the notes of a take as heard, by their place in it."""
    folder = tmp_path_factory.mktemp("takes")

    @functools.cache
    def by_place(file):
        written = folder / f"{file.stem}.musicxml"
        score(table(file), written)
        instrument = INSTRUMENTS[file.stem.split("_")[0]]
        report = waterkey(
            "hear", file.with_suffix(".flac"), "--exercise", written, "--instrument", instrument, "--json", as_json=True
        )
        assert report["verdict"]["kind"] == "as-asked", report["verdict"]
        return [note for line in report["lines"] for note in line["notes"]]

    return by_place


@functools.cache
def sound_of(file):
    import soundfile

    return soundfile.read(file.with_suffix(".flac"))


def energy_onset_s(sound, rate, hertz, from_s, to_s):
    """Where the level of a note that begins after `from_s` and is over at `to_s` comes up for good."""
    half = np.ceil(LEVEL_S * hertz) / hertz / 2
    times = np.arange(max(from_s, half), to_s, 0.001)
    squares = np.concatenate([[0.0], np.cumsum(sound**2)])
    first, last = ((times + side) * rate for side in (-half, half))
    first, last = (np.clip(x, 0, len(sound)).astype(int) for x in (first, last))
    level = 10 * np.log10((squares[last] - squares[first]) / np.maximum(last - first, 1) + 1e-15)
    loud = int(np.argmax(level > level.max() - LOUD_DB))
    under = np.flatnonzero(level[:loud] <= level.max() - ONSET_DB)
    return float(times[under[-1] + 1] if len(under) else times[0])


NOTES = [(file, place) for file in TABLES for place in range(len(table(file)))]


@pytest.mark.skipif(not TABLES, reason="no takes of listed recordings beside the clone: nothing checked")
@pytest.mark.parametrize("file, place", NOTES, ids=lambda x: x.stem if isinstance(x, pathlib.Path) else str(x + 1))
def test_a_note_of_a_take(heard, file, place):
    rows = table(file)
    row = rows[place]
    listed_s, until_s = float(row["onset_s"]), float(row["offset_s"])
    note = heard(file)[place]
    assert note["outcome"] == "as-asked" and note["heard_hz"], note
    sound, rate = sound_of(file)

    before_s = float(rows[place - 1]["offset_s"]) if place else 0.0
    onsets = [listed_s, energy_onset_s(sound, rate, note["heard_hz"], max(before_s, listed_s - 0.1), until_s)]
    late = [note["from_s"] - onset for onset in onsets]
    assert min(map(abs, late)) < ONSET_S, late

    listed = 440 * 2 ** ((int(row["midi"]) + float(row["cents"]) / 100 - 69) / 12)
    part, lowest = steady(sound, rate, note), LOWEST
    if len(part) < SHORT_S * rate:
        edge_s = EDGES * (note["to_s"] - note["from_s"])
        part = sound[int((note["from_s"] + edge_s) * rate) : int((note["to_s"] - edge_s) * rate)]
        lowest = listed / BELOW
    off = [1200 * np.log2(note["heard_hz"] / listed)]
    if listed < HIGHEST and (file.stem, place) not in WITHOUT_A_PITCH:
        told = 1200 * np.log2(note["heard_hz"] / np.array(trackers(part, rate, lowest)))
        off.append(float(np.median(told)))
        # Where the three do not agree among themselves, what lies between them is all that they say.
        if np.ptp(told) > 2 * CENTS and min(told) < 0 < max(told):
            off.append(0.0)
    limit = UNSETTLED_CENTS if (file.stem, place) in WITHOUT_A_PITCH else CENTS
    assert min(map(abs, off)) < limit, off
