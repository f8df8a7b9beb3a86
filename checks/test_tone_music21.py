"""Pitches, frequencies, intervals and transpositions against music21, a general-purpose music library.

Every spelling from double flat to double sharp from C0 to C9; every reading of every instrument applied
to every note with at most one accidental, both ways.
"""

import re

import music21
import pytest

NAME = re.compile(r"([A-G])(b*|#*)(-?\d+)")


def pitch(text):
    """A music21 pitch; its own names write flats and negative octaves alike, so octaves go in apart."""
    letter, accidentals, octave = NAME.fullmatch(text).groups()
    made = music21.pitch.Pitch(letter + accidentals.replace("b", "-"))
    made.octave = int(octave)
    return made


@pytest.fixture(scope="module")
def pitches(waterkey):
    return waterkey("list", "pitches", "--json", as_json=True)


@pytest.fixture(scope="module")
def readings(waterkey):
    return waterkey("list", "readings", "--json", as_json=True)


def test_every_spelling_is_there(pitches):
    names = {row["pitch"] for row in pitches}
    assert len(names) == len(pitches) == 5 * 64
    assert {"C0", "Cbb0", "B#8", "C9", "F##4"} <= names


def test_keys_and_frequencies(pitches):
    for row in pitches:
        theirs = pitch(row["pitch"])
        assert row["midi"] == theirs.ps, row
        assert row["hz"] == pytest.approx(theirs.frequency, rel=1e-9), row


def interval(row):
    """The reading's interval from its steps and semitones."""
    steps, semitones = row["interval"]["steps"], row["interval"]["semitones"]
    generic = music21.interval.GenericInterval(steps + 1 if steps >= 0 else steps - 1)
    chromatic = music21.interval.ChromaticInterval(semitones)
    return music21.interval.intervalFromGenericAndChromatic(generic, chromatic)


def test_every_instrument_has_a_reading(readings):
    assert len({row["instrument"] for row in readings}) >= 20


def test_intervals_have_their_names(readings):
    for row in readings:
        ours, theirs = row["in_words"], interval(row).directedNiceName.lower()
        if row["interval"]["semitones"] == 0:
            assert ours == "perfect unison"
            continue
        direction = "descending " if ours.endswith(" down") else "ascending "
        name = ours.removesuffix(" down")
        assert theirs == direction + name, row["instrument"]


def agree(ours, theirs):
    """The same spelled pitch; where an exact transposition needs a double accidental the program
    writes the usual spelling of the same key instead."""
    ours = pitch(ours)
    if abs(theirs.alter) <= 1:
        return (ours.name, ours.octave) == (theirs.name, theirs.octave)
    return ours.ps == theirs.ps and abs(ours.alter) <= 1


def test_transpositions_both_ways(readings):
    compared = 0
    for row in readings:
        there = interval(row)
        back = there.reverse()
        for note in row["notes"]:
            given = pitch(note["pitch"])
            assert agree(note["sounds"], given.transpose(there)), (row["instrument"], note)
            assert agree(note["is_written"], given.transpose(back)), (row["instrument"], note)
            compared += 2
    assert compared == 2 * 3 * 64 * len(readings)
