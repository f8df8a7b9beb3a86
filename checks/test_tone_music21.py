"""Pitches, frequencies, intervals and transpositions against music21, a general-purpose music library.

Every spelling from double flat to double sharp from C0 to C9; every reading of every instrument applied
to every note with at most one accidental, both ways.
"""

import music21
import pytest

# An exact transposition may need a double accidental; the program then writes the usual spelling of the
# same key instead. music21 keeps the double accidental, so such notes are compared by key alone.
PLAIN = 1


def pitch(name):
    """The program writes flats as `b`, music21 as `-`."""
    return music21.pitch.Pitch(name[0] + name[1:].replace("b", "-"))


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


def test_every_instrument_has_a_reading(readings):
    assert len({row["instrument"] for row in readings}) >= 20


def same(ours, theirs):
    if abs(theirs.alter) <= PLAIN:
        return ours == theirs.nameWithOctave.replace("-", "b")
    return pitch(ours).ps == theirs.ps and abs(pitch(ours).alter) <= PLAIN


def test_transpositions_both_ways(readings):
    compared = 0
    for row in readings:
        steps, semitones = row["interval"]["steps"], row["interval"]["semitones"]
        generic = music21.interval.GenericInterval(steps + 1 if steps >= 0 else steps - 1)
        chromatic = music21.interval.ChromaticInterval(semitones)
        interval = music21.interval.intervalFromGenericAndChromatic(generic, chromatic)
        back = interval.reverse()
        words = interval.directedNiceName.lower()
        ours = row["in_words"]
        if semitones:
            direction, number = ("down", ours[: -len(" down")]) if ours.endswith(" down") else ("up", ours)
            assert words.startswith({"up": "ascending", "down": "descending"}[direction]), (words, ours)
            if steps in range(-7, 8):
                assert words.endswith(number), (words, ours)
        for note in row["notes"]:
            given = pitch(note["pitch"])
            if given.octave in (0, 9):
                continue
            assert same(note["sounds"], given.transpose(interval)), (row["instrument"], note)
            assert same(note["is_written"], given.transpose(back)), (row["instrument"], note)
            compared += 2
    assert compared > 8000
