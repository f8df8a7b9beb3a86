//! Recorded brass notes from registry packages, read and measured.

use std::path::Path;

use anyhow::{Context, Result, bail};

/// One recorded note, cut to begin at its attack.
pub(crate) struct Recording {
    /// Measured frequency of its steady part, in hertz.
    pub(crate) f0: f64,
    /// Samples a second.
    pub(crate) rate: f64,
    /// The sound, peak 1.
    pub(crate) samples: Vec<f32>,
}

/// All notes of one package, measured, from low to high.
pub(crate) fn load(package: &Path) -> Result<Vec<Recording>> {
    let mut notes = Vec::new();
    let entries = std::fs::read_dir(package).with_context(|| package.display().to_string())?;
    for entry in entries {
        let path = entry?.path();
        if path
            .extension()
            .is_some_and(|end| end == "wav" || end == "mp3")
        {
            notes.push(note(&path).with_context(|| path.display().to_string())?);
        }
    }
    if notes.is_empty() {
        bail!("no recorded notes in {}", package.display());
    }
    notes.sort_by(|a, b| a.f0.total_cmp(&b.f0));
    Ok(notes)
}

/// Reads one file and hears where its note begins and how high it is.
fn note(path: &Path) -> Result<Recording> {
    let bytes = std::fs::read(path)?;
    let input = ear::input::from_bytes(&bytes, &ear::input::Options::default())?;
    let heard = ear::hear(&input.samples, None, &ear::Settings::default());
    let longest = heard
        .notes
        .iter()
        .max_by(|a, b| (a.offset_s - a.onset_s).total_cmp(&(b.offset_s - b.onset_s)))
        .context("no note was heard in it")?;
    let sound = input
        .samples
        .between(longest.onset_s - 0.02, longest.offset_s + 0.15);
    let peak = sound.iter().fold(1e-6_f32, |peak, x| peak.max(x.abs()));
    Ok(Recording {
        f0: longest.hz,
        rate: input.samples.rate,
        samples: sound.iter().map(|x| x / peak).collect(),
    })
}
