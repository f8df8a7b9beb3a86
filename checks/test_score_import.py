"""Parts of other exporters, read by the program and by music21: the same notes in the same time.

The files are those of music21's own corpus (Finale, MuseScore, Sibelius and older exporters).
"""

import pathlib

import pytest
from lxml import etree

music21 = pytest.importorskip("music21")

# File within the corpus, and the part to read when there are several.
FILES = [
    ("leadSheet/berlinAlexandersRagtime.mxl", None),
    ("leadSheet/fosterBrownHair.mxl", None),
    ("ciconia/quod_jactatur.xml", None),
    ("bach/bwv66.6.mxl", "Soprano"),
    ("bach/bwv66.6.mxl", "Bass"),
    ("bach/bwv57.8.mxl", "Tenor"),
]
CORPUS = pathlib.Path(music21.__file__).parent / "corpus"


def read_by_program(waterkey, source, part, out):
    """Reads a part and writes it again: the only place that knows the command."""
    chosen = ["--part", part] if part else []
    waterkey("write", source, *chosen, "--instrument", "trumpet-bflat", "--musicxml", out)
    notes = []
    root = etree.parse(str(out)).getroot()
    divisions = int(root.findtext(".//divisions"))
    for note in root.iter("note"):
        pitch = note.find("pitch")
        if pitch is None:
            continue
        quarters = int(note.findtext("duration")) / divisions
        if "stop" in [t.get("type") for t in note.findall("tie")]:
            notes[-1][1] += quarters
            continue
        step = "C D EF G A B".index(pitch.findtext("step"))
        alter = int(pitch.findtext("alter") or 0)
        notes.append([12 * (int(pitch.findtext("octave")) + 1) + step + alter, quarters])
    return notes


def read_by_music21(source, part):
    score = music21.converter.parse(str(source))
    chosen = next(p for p in score.parts if part is None or p.partName == part)
    try:
        chosen = chosen.expandRepeats()
    except music21.repeat.ExpanderException:
        pass
    notes = []
    for note in chosen.stripTies().flatten().notes:
        if isinstance(note, music21.harmony.Harmony) or note.duration.isGrace:
            continue
        top = max(p.midi for p in note.pitches)
        notes.append([top, float(note.quarterLength)])
    return notes


@pytest.mark.parametrize("name,part", FILES)
def test_the_same_notes_in_the_same_time(waterkey, tmp_path, name, part):
    source = CORPUS / name
    ours = read_by_program(waterkey, source, part, tmp_path / "again.musicxml")
    theirs = read_by_music21(source, part)
    assert [n[0] for n in ours] == [n[0] for n in theirs]
    assert [n[1] for n in ours] == pytest.approx([n[1] for n in theirs], abs=2e-3)
