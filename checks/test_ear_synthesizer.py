"""Takes that another program plays: the exported MIDI file through fluidsynth with recorded brass.

The sounds are those of Debian's package fluid-soundfont-gm (recorded instruments, MIT licence). What was
to be played is known exactly, so every note must be found and none invented."""

import shutil
import subprocess
from pathlib import Path

import pytest

SOUNDS = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")
TAKES = [
    ("trumpet-bflat", "scales-thirds"),
    ("trumpet-bflat", "arpeggios-one-roof-major"),
    ("cornet", "arpeggios-moving-roof"),
    ("flugelhorn", "intervals-octave-then-climb"),
    ("euphonium-4", "intervals-opening-fan"),
    ("trombone-tenor", "arpeggios-one-roof-major"),
    ("tuba-bflat", "scales-major-octave"),
    # Every other instrument of the catalogue.
    ("trumpet-c", "scales-major-octave"),
    ("trumpet-eflat", "scales-major-octave"),
    ("trumpet-piccolo", "scales-major-octave"),
    ("horn-double", "scales-major-octave"),
    ("horn-tenor", "scales-major-octave"),
    ("baritone", "scales-major-octave"),
    ("euphonium-3", "scales-major-octave"),
    ("euphonium-comp", "scales-major-octave"),
    ("trombone-tenor-f", "scales-major-octave"),
    ("trombone-bass", "scales-major-octave"),
    ("tuba-f", "scales-major-octave"),
    ("tuba-eflat", "scales-major-octave"),
    ("tuba-eflat-comp", "scales-major-octave"),
    ("tuba-c", "scales-major-octave"),
]

pytestmark = pytest.mark.skipif(
    not (shutil.which("fluidsynth") and SOUNDS.is_file()),
    reason="fluidsynth or its sounds are absent: apt-get install fluidsynth fluid-soundfont-gm",
)


@pytest.mark.parametrize(("instrument", "exercise"), TAKES)
def test_every_note_is_found_and_none_invented(waterkey, tmp_path, instrument, exercise):
    midi, wave = tmp_path / "part.mid", tmp_path / "take.wav"
    waterkey("write", exercise, "--instrument", instrument, "--midi", midi)
    subprocess.run(
        ["fluidsynth", "-ni", "-q", "-g", "0.6", "-r", "44100", "-F", wave, SOUNDS, midi],
        check=True,
        capture_output=True,
        timeout=300,
    )
    report = waterkey("hear", wave, "--exercise", exercise, "--instrument", instrument, "--json", as_json=True)
    take = report["take"]
    assert report["verdict"]["kind"] == "as-asked", report["verdict"]["words"]
    assert take["as_asked"] >= 0.995 * take["asked"], take
    assert take["extra"] == 0, take
    # The synthesizer plays in equal temperament at 440 Hz; its recordings are tuned within some cents.
    assert abs(take["pitch_cents"]["value"]) < 6, take["pitch_cents"]
