"""music21 reads the exported parts of the library and agrees on every pitch, duration and key.

music21 (a general-purpose music library, BSD) shares no code with the program. The command that
writes a part is in `write_part` alone. By default each exercise is checked on five instruments in
turn, so that every instrument meets every family; WATERKEY_ALL=1 checks every exercise on every
instrument (some minutes).
"""

import os
from fractions import Fraction

import pytest

music21 = pytest.importorskip("music21")

TICKS_PER_QUARTER = 960
INSTRUMENTS_EACH = 5


def write_part(waterkey, exercise, instrument, path):
    """The part as JSON; its MusicXML is written to `path` (a part without a note has no file)."""
    order = ["write", exercise, "--instrument", instrument]
    part = waterkey(*order, "--json", as_json=True)
    if any(event["kind"] == "note" for line in part["lines"] for event in line["events"]):
        waterkey(*order, "--musicxml", path)
    return part


def ids(waterkey, what):
    """Ids of everything of one kind that the program knows."""
    listed = waterkey("list", what, "--json", as_json=True)
    return [item["id"] for item in listed]


def pairs(exercises, instruments):
    """Exercise and instrument pairs to check."""
    if os.environ.get("WATERKEY_ALL"):
        return [(e, i) for e in exercises for i in instruments]
    chosen = []
    for n, exercise in enumerate(exercises):
        for k in range(INSTRUMENTS_EACH):
            chosen.append((exercise, instruments[(n * 3 + k * 4 + k) % len(instruments)]))
    return sorted(set(chosen))


def midi(name):
    """MIDI key of a name such as Bb4, by music21."""
    return music21.pitch.Pitch(name.replace("b", "-")).midi


def expected(part):
    """Written name, sounding key, quarters and key signature of each note of the JSON."""
    for line in part["lines"]:
        for event in line["events"]:
            if event["kind"] == "note":
                yield (
                    event["written"].replace("b", "-"),
                    midi(event["sounding"]),
                    Fraction(event["duration"], TICKS_PER_QUARTER),
                    line["key"],
                )


def found(path):
    """The same from the MusicXML, read by music21."""
    score = music21.converter.parse(path)
    for stream in score.parts:
        stream.stripTies(inPlace=True)
    written = []
    for note in score.recurse().getElementsByClass(music21.note.Note):
        signature = note.getContextByClass(music21.key.KeySignature)
        written.append((note.nameWithOctave, Fraction(note.quarterLength), signature.sharps if signature else 0))
    sounding = score.toSoundingPitch()
    keys = [n.pitch.midi for n in sounding.recurse().getElementsByClass(music21.note.Note)]
    assert len(keys) == len(written)
    return [(name, key, quarters, sharps) for (name, quarters, sharps), key in zip(written, keys)]


def test_every_exercise_reads_back_note_by_note(waterkey, tmp_path):
    exercises, instruments = ids(waterkey, "exercises"), ids(waterkey, "instruments")
    assert len(exercises) >= 40 and len(instruments) >= 18
    notes = 0
    for exercise, instrument in pairs(exercises, instruments):
        path = tmp_path / f"{exercise}-{instrument}.musicxml"
        part = write_part(waterkey, exercise, instrument, path)
        want = list(expected(part))
        if not want:
            assert part["left_out"], f"{exercise} for {instrument}: nothing, and no reason"
            continue
        have = found(path)
        assert len(have) == len(want), f"{exercise} for {instrument}"
        for n, (a, b) in enumerate(zip(want, have)):
            assert a == b, f"{exercise} for {instrument}, note {n + 1}: wrote {a}, music21 reads {b}"
        notes += len(want)
    assert notes > 5000


def test_the_library_files_fit_the_published_schema():
    jsonschema = pytest.importorskip("jsonschema")
    import json
    import pathlib
    import tomllib

    room = pathlib.Path(__file__).parent.parent / "crates" / "routine"
    for name, files in {
        "exercise": sorted((room / "library").glob("*.toml")),
        "routine": sorted((room / "routines").glob("*.toml")),
        "levels": [room / "levels.toml"],
    }.items():
        schema = json.loads((room / "schema" / f"{name}.json").read_text())
        validator = jsonschema.Draft202012Validator(schema)
        assert files, name
        for file in files:
            errors = [e.message for e in validator.iter_errors(tomllib.loads(file.read_text()))]
            assert not errors, f"{file.name}: {errors}"
