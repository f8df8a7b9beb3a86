//! Recorded brass beside the clone, where it is there: sounds, tables, scores.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use ear::input::{Options, from_bytes};
use ear::{Expected, ExpectedLine, ExpectedNote, Samples};

/// A row of a table with a header, by column.
pub type Row = HashMap<String, String>;

/// The folder `../shared/data/brass`; says so when it is absent.
pub fn folder() -> Option<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/brass");
    if path.is_dir() {
        return Some(path);
    }
    println!("no recorded brass beside the clone: nothing checked");
    None
}

pub fn sound(path: &Path) -> Samples {
    let bytes = std::fs::read(path).expect("the file is there");
    from_bytes(&bytes, &Options::default())
        .expect("it is sound")
        .samples
}

/// Rows of a table with a header, as columns by name.
pub fn table(path: &Path) -> Vec<Row> {
    let text = std::fs::read_to_string(path).expect("the table is there");
    let mut lines = text.lines();
    let names: Vec<&str> = lines.next().unwrap_or("").split('\t').collect();
    lines
        .map(|line| {
            let cells = line.split('\t').map(str::to_owned);
            names.iter().map(|n| (*n).to_owned()).zip(cells).collect()
        })
        .collect()
}

pub fn number(row: &Row, name: &str) -> f64 {
    row.get(name)
        .and_then(|x| x.trim().parse().ok())
        .unwrap_or(f64::NAN)
}

pub fn midi(hz: f64) -> f64 {
    69.0 + 12.0 * (hz / 440.0).log2()
}

/// The tables of all takes, in order of their names.
pub fn takes(folder: &Path) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = std::fs::read_dir(folder.join("takes"))
        .expect("a folder")
        .filter_map(|f| f.ok().map(|f| f.path()))
        .filter(|p| p.extension().is_some_and(|e| e == "tsv"))
        .collect();
    files.sort();
    files
}

/// A take as one expected line, in equal temperament.
pub fn expected(rows: &[Row]) -> Expected {
    let first = rows.first().map_or(0.0, |r| number(r, "onset_s"));
    let notes = rows.iter().enumerate().map(|(i, row)| {
        let key = number(row, "midi");
        ExpectedNote {
            id: format!("l1n{}", i + 1),
            midi: key as i32,
            hz: 440.0 * ((key - 69.0) / 12.0).exp2(),
            start_s: number(row, "onset_s") - first,
            seconds: number(row, "offset_s") - number(row, "onset_s"),
            ..ExpectedNote::default()
        }
    });
    let line = ExpectedLine {
        id: "l1".into(),
        notes: notes.collect(),
        ..ExpectedLine::default()
    };
    Expected { lines: vec![line] }
}
