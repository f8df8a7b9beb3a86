"""music21 reads the exported parts of the library and agrees on every pitch, duration and key.

music21 (a general-purpose music library, BSD) shares no code with the program. Every exercise is
checked on every instrument, on as many cores as there are.
"""

import json
import multiprocessing
import os
import pathlib
import tomllib
from fractions import Fraction

import pytest

music21 = pytest.importorskip("music21")

TICKS_PER_QUARTER = 960


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
    score = music21.converter.parse(path, forceSource=True)
    (part,) = score.parts
    keys = part.toSoundingPitch().recurse().getElementsByClass(music21.note.Note)
    keys = iter([note.pitch.midi for note in keys])
    notes, sharps, tied = [], 0, None
    for measure in part.getElementsByClass(music21.stream.Measure):
        if measure.keySignature is not None:
            sharps = measure.keySignature.sharps
        for note in measure.recurse().getElementsByClass(music21.note.Note):
            key = next(keys)
            if tied is not None and note.tie is not None and note.tie.type in ("continue", "stop"):
                tied[2] += Fraction(note.quarterLength)
                continue
            tied = [note.nameWithOctave, key, Fraction(note.quarterLength), sharps]
            notes.append(tied)
    return [tuple(note) for note in notes]


def check(job):
    """What is wrong with one part, and how many notes it has."""
    name, files = job
    want = list(expected(json.loads(pathlib.Path(files["json"]).read_text())))
    have = found(files["musicxml"])
    if len(have) != len(want):
        return f"{name}: wrote {len(want)} notes, music21 reads {len(have)}", 0
    for n, (a, b) in enumerate(zip(want, have)):
        if a != b:
            return f"{name}, note {n + 1}: wrote {a}, music21 reads {b}", 0
    return None, len(want)


def test_every_exercise_reads_back_note_by_note_on_every_instrument(library):
    exercises = {exercise for exercise, _ in library}
    instruments = {instrument for _, instrument in library}
    assert len(exercises) >= 40 and len(instruments) >= 18
    assert len(library) == len(exercises) * len(instruments)
    jobs = []
    for (exercise, instrument), row in library.items():
        if row["files"]:
            files = {pathlib.Path(file).suffix.lstrip("."): file for file in row["files"]}
            jobs.append((f"{exercise} for {instrument}", files))
        else:
            assert row["left_out"], f"{exercise} for {instrument}: nothing, and no reason"
    assert len(jobs) > len(library) * 9 // 10
    with multiprocessing.get_context("fork").Pool(os.cpu_count()) as pool:
        results = pool.map(check, jobs, chunksize=8)
    wrong = [error for error, _ in results if error]
    assert not wrong, "\n".join(wrong[:20])
    assert sum(notes for _, notes in results) > 50_000


def test_the_library_files_fit_the_published_schema():
    jsonschema = pytest.importorskip("jsonschema")
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
