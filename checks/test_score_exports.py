"""Exchange files and pages against other people's readers.

MusicXML 4.0 is checked against the W3C schema (shipped in the PyPI package `musicxml`) and read
again by music21; the MIDI file is read by mido; the text layer of the PDF by poppler's pdftotext.
"""

import importlib.util
import pathlib
import shutil
import subprocess
import zipfile

import pytest
from lxml import etree

SCHEMA_PACKAGE = "musicxml"


def write(waterkey, exercise, instrument, **outputs):
    """Writes one exercise for one instrument: the only place that knows the command."""
    flags = [part for kind, path in outputs.items() for part in (f"--{kind}", path)]
    waterkey("write", exercise, "--instrument", instrument, *flags)


# The schema refers to those of XML and XLink (W3C), which the package leaves out: the attributes
# that it takes from them.
XML = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/XML/1998/namespace">
  <xs:attribute name="lang" type="xs:language"/>
  <xs:attribute name="space" type="xs:NCName"/>
</xs:schema>"""
XLINK = """<xs:schema xmlns:xs="http://www.w3.org/2001/XMLSchema"
    targetNamespace="http://www.w3.org/1999/xlink">
  <xs:attribute name="type" type="xs:string"/>
  <xs:attribute name="href" type="xs:anyURI"/>
  <xs:attribute name="role" type="xs:anyURI"/>
  <xs:attribute name="title" type="xs:string"/>
  <xs:attribute name="show" type="xs:string"/>
  <xs:attribute name="actuate" type="xs:string"/>
</xs:schema>"""


@pytest.fixture(scope="session")
def schema(tmp_path_factory):
    """The W3C schema of MusicXML 4.0, with what it imports beside it."""
    spec = importlib.util.find_spec(SCHEMA_PACKAGE)
    shipped = pathlib.Path(spec.submodule_search_locations[0]) / "generate_classes"
    folder = tmp_path_factory.mktemp("schema")
    text = (shipped / "musicxml_4_0.xsd").read_text(encoding="utf-8")
    text = text.replace("http://www.musicxml.org/xsd/", "")
    (folder / "musicxml.xsd").write_text(text, encoding="utf-8")
    (folder / "xml.xsd").write_text(XML)
    (folder / "xlink.xsd").write_text(XLINK)
    return etree.XMLSchema(etree.parse(str(folder / "musicxml.xsd")))


@pytest.fixture(scope="session")
def exports(library):
    """Every exercise on every instrument as MusicXML, by (exercise, instrument)."""
    return {
        key: next(pathlib.Path(file) for file in row["files"] if file.endswith(".musicxml"))
        for key, row in library.items()
        if row["files"]
    }


def documents(path):
    parser = etree.XMLParser(load_dtd=False, no_network=True)
    return etree.parse(str(path), parser)


def test_every_export_is_valid(exports, schema):
    assert len(exports) > 900
    for key, path in exports.items():
        assert schema.validate(documents(path)), (key, schema.error_log)


def test_bars_ties_and_slurs_close(exports):
    for key, path in exports.items():
        root = documents(path).getroot()
        divisions = int(root.findtext(".//divisions"))
        length = None
        for measure in root.iter("measure"):
            time = measure.find("attributes/time")
            if time is not None:
                beats = time.findtext("beats")
                length = beats and int(beats) * 4 * divisions // int(time.findtext("beat-type"))
            if length:
                assert sum(int(d.text) for d in measure.iter("duration")) == length, key
        for name in ("slur", "tied", "tuplet"):
            kinds = [e.get("type") for e in root.iter(name)]
            assert kinds == ["start", "stop"] * (len(kinds) // 2), (key, name)


def sample(exports, count=12):
    """Exports spread over the list."""
    keys = list(exports)
    return [(key, exports[key]) for key in keys[:: max(1, len(keys) // count)]]


def test_music21_reads_the_same_notes(exports):
    music21 = pytest.importorskip("music21")
    for key, path in sample(exports):
        root = documents(path).getroot()
        written = []
        for note in root.iter("note"):
            pitch = note.find("pitch")
            stops = [t.get("type") for t in note.findall("tie")]
            if pitch is not None and "stop" not in stops:
                alter = int(pitch.findtext("alter") or 0)
                step = "C D EF G A B".index(pitch.findtext("step"))
                written.append(12 * (int(pitch.findtext("octave")) + 1) + step + alter)
        score = music21.converter.parse(str(path))
        read = [n.pitch.midi for n in score.stripTies().flatten().notes]
        assert read == written, key
        transpose = root.find(".//transpose")
        if transpose is not None:
            shift = int(transpose.findtext("chromatic"))
            shift += 12 * int(transpose.findtext("octave-change") or 0)
            sounding = [n.pitch.midi for n in score.toSoundingPitch().stripTies().flatten().notes]
            assert sounding == [p + shift for p in written], key


def test_compressed_and_midi_agree_with_the_plain_file(waterkey, exports, tmp_path):
    mido = pytest.importorskip("mido")
    for (exercise, instrument), path in sample(exports, 6):
        mxl, midi = tmp_path / "part.mxl", tmp_path / "part.mid"
        write(waterkey, exercise, instrument, mxl=mxl, midi=midi)
        with zipfile.ZipFile(mxl) as archive:
            assert archive.namelist()[0] == "mimetype"
            container = etree.fromstring(archive.read("META-INF/container.xml"))
            inner = archive.read(container.find(".//rootfile").get("full-path"))
        assert inner == path.read_bytes()
        root = etree.fromstring(inner)
        shift = 0
        transpose = root.find(".//transpose")
        if transpose is not None:
            shift = int(transpose.findtext("chromatic"))
            shift += 12 * int(transpose.findtext("octave-change") or 0)
        expected = 0
        for note in root.iter("note"):
            stops = [t.get("type") for t in note.findall("tie")]
            expected += note.find("pitch") is not None and "stop" not in stops
        messages = [m for track in mido.MidiFile(midi).tracks for m in track]
        keys = [m.note for m in messages if m.type == "note_on" and m.velocity > 0]
        assert len(keys) == expected
        first = next(n for n in root.iter("pitch"))
        midi_key = "C D EF G A B".index(first.findtext("step")) + int(first.findtext("alter") or 0)
        assert keys[0] == 12 * (int(first.findtext("octave")) + 1) + midi_key + shift
        assert sum(m.type == "marker" for m in messages) >= 1


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler-utils) is not here")
def test_the_pdf_says_what_it_shows(waterkey, exports, tmp_path):
    for (exercise, instrument), path in sample(exports, 4):
        pdf = tmp_path / "part.pdf"
        write(waterkey, exercise, instrument, pdf=pdf)
        text = subprocess.run(
            ["pdftotext", "-raw", str(pdf), "-"], capture_output=True, text=True, check=True
        ).stdout
        root = documents(path).getroot()
        title = root.findtext("work/work-title")
        assert " ".join(title.split()) in " ".join(text.split())
        words = text.replace("\n", " ").split()
        for label in {f.text for f in root.iter("fingering")}:
            wanted = sum(f.text == label for f in root.iter("fingering"))
            together = "".join(words)
            shown = sum(word == label for word in words) or together.count(label.replace("-", ""))
            assert shown >= wanted, (exercise, instrument, label)
