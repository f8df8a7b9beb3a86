//! The verbs that ask the horn: `tube`, `compare`, `fit`, `explain --depth bore`, as a player types them.

use std::path::Path;

use serde_json::Value;

use super::waterkey;

fn here(args: &[&str]) -> assert_cmd::assert::Assert {
    waterkey(Path::new(".")).args(args).assert()
}

/// Standard output of a call that succeeds.
fn told(args: &[&str]) -> String {
    let done = here(args).success();
    String::from_utf8(done.get_output().stdout.clone()).unwrap()
}

fn json(args: &[&str]) -> Value {
    super::json(Path::new("."), args)
}

/// Standard error of a call that is refused as input (exit code 3).
fn refused(args: &[&str]) -> String {
    let done = here(args).code(3);
    String::from_utf8(done.get_output().stderr.clone()).unwrap()
}

fn number(value: &Value, at: &str) -> f64 {
    value.pointer(at).and_then(Value::as_f64).unwrap()
}

/// Notes of a horn whose main slide stands 4 mm and whose third slide 6 mm further out, as the program
/// itself computes them, given back to `fit`.
#[test]
fn fit_finds_slides_that_were_moved() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (mine, notes, saved) = (path("mine.toml"), path("notes.txt"), path("fitted.toml"));
    std::fs::write(
        &mine,
        "instrument = \"trumpet-bflat\"\n[trim]\nmain = 4.0\n\"third valve\" = 6.0\n",
    )
    .unwrap();
    let chart = json(&[
        "explain",
        "trumpet-bflat",
        "--depth",
        "bore",
        "--fitted",
        &mine,
    ]);
    let mut text = String::from("# note, fingering, cents\n\n");
    for row in chart.as_array().unwrap() {
        for way in row["ways"].as_array().unwrap() {
            if !way["resonance"].is_null() {
                let (note, label) = (
                    row["written"].as_str().unwrap(),
                    way["label"].as_str().unwrap(),
                );
                text += &format!("{note}, {label}, {:+.1}\n", number(way, "/cents"));
            }
        }
    }
    std::fs::write(&notes, text).unwrap();

    let found = json(&["fit", "trumpet-bflat", &notes, "--save", &saved]);
    let trims = found["trims"].as_array().unwrap();
    let of = |name: &str| {
        let trim = trims.iter().find(|trim| trim["name"] == name).unwrap();
        (number(trim, "/mm"), number(trim, "/uncertainty_mm"))
    };
    for (name, mm) in [("main", 4.0), ("third valve", 6.0), ("second valve", 0.0)] {
        let (fitted, spread) = of(name);
        assert!((fitted - mm).abs() < 0.5, "{name}: {fitted}");
        assert!(spread > 0.0 && spread < 10.0, "{name}: +/- {spread}");
    }
    assert!(number(&found, "/before_cents") > 3.0 && number(&found, "/after_cents") < 0.5);
    assert!(told(&["fit", "trumpet-bflat", &notes]).contains("third valve"));

    // What was saved is the horn that was measured.
    let pair = [
        "compare",
        "trumpet-bflat",
        "--fitted",
        &mine,
        "--other-fitted",
        &saved,
    ];
    for note in json(&pair)["notes"].as_array().unwrap() {
        assert!(number(note, "/cents").abs() < 1.0, "{note}");
    }
    let other = refused(&["tube", "cornet", "--fitted", &saved]);
    assert!(other.contains("fitted to trumpet-bflat"), "{other}");
}

#[test]
fn fit_names_the_lines_it_cannot_read() {
    let folder = tempfile::tempdir().unwrap();
    let notes = folder.path().join("notes.txt");
    std::fs::write(&notes, "C4 0 -3\nH4 0 1\nE4 9-9 2\nG4 0 sharp\nC5 0\n").unwrap();
    let said = refused(&["fit", "trumpet-bflat", notes.to_str().unwrap()]);
    for part in [
        "notes.txt:2:",
        "notes.txt:3: `9-9` is no fingering",
        "notes.txt:4: `sharp` is not a number",
        "notes.txt:5: `C5 0` is 2 words",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    assert!(!said.contains("notes.txt:1:"));
    std::fs::write(&notes, "# nothing\n").unwrap();
    assert!(refused(&["fit", "trumpet-bflat", notes.to_str().unwrap()]).contains("holds no note"));
    std::fs::write(&notes, "C#4 1-2-3 +400\n").unwrap();
    let far = refused(&["fit", "trumpet-bflat", notes.to_str().unwrap()]);
    assert!(far.contains("within 150 cents"), "{far}");
    assert!(refused(&["fit", "trumpet-bflat", "no-such-file"]).contains("cannot read"));
}

/// Mouthpieces, leadpipes, temperatures and whole horns, each with cents, threshold, slot width,
/// cut-off and brassiness.
#[test]
fn compare_takes_every_pair() {
    let pairs: [&[&str]; 5] = [
        &[
            "compare",
            "trumpet-bflat",
            "--other-mouthpiece",
            "trumpet-shallow",
        ],
        &[
            "compare",
            "trumpet-bflat",
            "--other-leadpipe",
            "trumpet-wide",
        ],
        &[
            "compare",
            "trumpet-bflat",
            "--temperature",
            "15",
            "--other-temperature",
            "30",
        ],
        &["compare", "trumpet-bflat", "--other-pull", "main=25"],
        &["compare", "trumpet-bflat", "cornet"],
    ];
    for pair in pairs {
        let found = json(pair);
        let notes = found["notes"].as_array().unwrap();
        assert!(notes.len() > 40, "{pair:?}: {}", notes.len());
        assert!(notes.iter().any(|note| number(note, "/cents").abs() > 1.0));
        for at in [
            "/threshold/0",
            "/threshold/1",
            "/slot_cents/0",
            "/slot_cents/1",
        ] {
            assert!(number(&notes[2], at) > 10.0, "{pair:?} {at}");
        }
        for side in ["0", "1"] {
            let cutoff = number(&found, &format!("/brightness/{side}/cutoff"));
            let brassiness = number(&found, &format!("/brightness/{side}/brassiness"));
            assert!((500.0..3000.0).contains(&cutoff) && (0.2..1.0).contains(&brassiness));
        }
        assert!(told(pair).contains("brassiness"));
    }
    // About three cents a degree in dry air; at one humidity warm air holds more moisture, which adds
    // some three tenths (Cramer, J. Acoust. Soc. Am. 93 (1993) 2510).
    let warm = json(&[
        "compare",
        "trumpet-bflat",
        "--temperature",
        "20",
        "--other-temperature",
        "25",
    ]);
    let rise = number(&warm, "/notes/2/cents") / 5.0;
    assert!((2.9..3.6).contains(&rise), "{rise}");
}

#[test]
fn parts_that_are_none_are_refused_with_their_option() {
    let folder = tempfile::tempdir().unwrap();
    let bad = folder.path().join("bad.toml");
    std::fs::write(
        &bad,
        "name = \"leadpipe\"\nshape = \"cone\"\nlength_mm = -5.0\nfrom_mm = 8.0\nto_mm = 11.0\n",
    )
    .unwrap();
    let bad = bad.to_str().unwrap();
    for (args, parts) in [
        (
            vec!["--mouthpiece", "none"],
            ["--mouthpiece", "trumpet-deep"],
        ),
        (vec!["--leadpipe", "none"], ["--leadpipe", "trumpet-narrow"]),
        (
            vec!["--leadpipe", bad],
            ["section 1 `leadpipe`", "length_mm = -5"],
        ),
        (vec!["--temperature", "400"], ["--temperature", "-20 to 60"]),
        (vec!["--pull", "main=900"], ["slide `main`", "900"]),
        (vec!["--pull", "trigger=3"], ["no slide `trigger`", "main"]),
        (
            vec!["--bore", "no-such.toml"],
            ["cannot read", "no-such.toml"],
        ),
    ] {
        let all: Vec<&str> = ["tube", "trumpet-bflat"].into_iter().chain(args).collect();
        let said = refused(&all);
        for part in parts {
            assert!(said.contains(part), "{all:?}: {part}: {said}");
        }
    }
    let ideal = refused(&["explain", "trumpet-bflat", "--temperature", "20"]);
    assert!(ideal.contains("--depth bore"), "{ideal}");
}

#[test]
fn explain_tells_what_the_bore_makes_of_a_note() {
    let text = told(&["explain", "trumpet-bflat", "E4", "--depth", "bore"]);
    for part in [
        "written E4 sounds D4",
        "1-2",
        "partial 3",
        "kPa",
        "slot",
        "alternate",
    ] {
        assert!(text.contains(part), "{part}: {text}");
    }
    let far = refused(&["explain", "trumpet-bflat", "C9", "--depth", "bore"]);
    assert!(far.contains("it reaches"), "{far}");
}

#[test]
fn tube_draws_its_pictures() {
    let folder = tempfile::tempdir().unwrap();
    let path = |name: &str| folder.path().join(name).display().to_string();
    let (curve, wave, chart) = (path("curve.svg"), path("wave.svg"), path("chart.svg"));
    let args = [
        "tube",
        "trombone-tenor",
        "--length",
        "3",
        "--curve",
        &curve,
        "--wave",
        &wave,
    ];
    let text = told(&[&args[..], &["--resonance", "6", "--chart", &chart]].concat());
    assert!(
        text.contains("length 3") && text.contains("played"),
        "{text}"
    );
    for (file, part) in [
        (&curve, "position 3: input impedance"),
        (&wave, "standing wave"),
        (&chart, "every way"),
    ] {
        let svg = std::fs::read_to_string(Path::new(file)).unwrap();
        assert!(svg.starts_with("<svg") && svg.contains(part), "{file}");
    }
}
