//! From a figure to a heard take, for two instruments far apart.

use std::path::Path;

use super::json;

/// A short exercise for an instrument between two notes.
fn order<'a>(instrument: &'a str, floor: &'a str, roof: &'a str) -> [&'a str; 6] {
    ["--instrument", instrument, "--floor", floor, "--roof", roof]
}

fn size(folder: &Path, name: &str) -> u64 {
    folder.join(name).metadata().unwrap().len()
}

#[test]
fn a_figure_becomes_a_part_a_sound_and_a_report_on_two_instruments() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let piece = "arpeggios-one-roof-major";
    for order in [
        order("trumpet-bflat", "B3", "C5"),
        order("tuba-bflat", "F1", "F2"),
    ] {
        let exports = [
            "--musicxml",
            "p.musicxml",
            "--mxl",
            "p.mxl",
            "--midi",
            "p.mid",
        ];
        let args = [&["write", piece][..], &order, &exports].concat();
        let part = json(folder, &args);
        assert!(!part.is_null());
        for name in ["p.musicxml", "p.mxl", "p.mid"] {
            assert!(size(folder, name) > 200, "{name}");
        }
        json(folder, &[&["sound", piece, "p.wav"][..], &order].concat());
        let hear = ["hear", "p.wav", "--html", "p.html", "--exercise", piece];
        let report = json(folder, &[&hear[..], &order].concat());
        let take = &report["take"];
        assert_eq!(
            report["verdict"]["kind"], "as-asked",
            "{}: {}",
            order[1], report["verdict"]
        );
        assert_eq!(take["asked"], take["as_asked"], "{}: {take}", order[1]);
        assert_eq!(take["extra"], 0, "{}: {take}", order[1]);
        let cents = take["pitch_cents"]["value"].as_f64().unwrap();
        assert!(cents.abs() < 0.5, "{}: {cents} c", order[1]);
        assert!(size(folder, "p.html") > 2_000);
    }
}

#[cfg(feature = "engrave")]
#[test]
fn the_part_is_engraved_as_svg_and_pdf() {
    let folder = tempfile::tempdir().unwrap();
    let folder = folder.path();
    let exports = ["--svg", "p.svg", "--pdf", "p.pdf"];
    let order = order("euphonium-4", "G2", "F4");
    json(
        folder,
        &[&["write", "scales-major-octave"][..], &order, &exports].concat(),
    );
    assert!(
        std::fs::read_to_string(folder.join("p.svg"))
            .unwrap()
            .contains("<svg")
    );
    assert!(
        std::fs::read(folder.join("p.pdf"))
            .unwrap()
            .starts_with(b"%PDF-1.")
    );
}

#[test]
fn one_end_of_the_range_is_enough() {
    let folder = tempfile::tempdir().unwrap();
    let args = [
        "write",
        "arpeggios-one-roof-major",
        "--instrument",
        "trumpet-bflat",
        "--roof",
        "G4",
    ];
    let part = json(folder.path(), &args);
    assert!(
        part["lines"]
            .as_array()
            .is_some_and(|lines| !lines.is_empty()),
        "{part}"
    );
}
