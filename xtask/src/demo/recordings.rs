//! Recorded brass notes from registry packages: fetched into the build folder, never committed.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result, bail};

use crate::{machine, run};

/// One recorded note, cut to begin at its attack.
pub(crate) struct Recording {
    /// Measured frequency of its steady part, in hertz.
    pub(crate) f0: f64,
    /// Samples a second.
    pub(crate) rate: f64,
    /// The sound, peak 1.
    pub(crate) samples: Vec<f32>,
}

/// Makes sure that the packages are there and gives the folder that holds them.
pub(crate) fn fetch() -> Result<PathBuf> {
    let folder = run::target().join("recorded-brass");
    let done = folder.join("fetched");
    std::fs::create_dir_all(&folder)?;
    let lock = run::root().join("checks/brass/package-lock.json");
    if machine::newer(&lock, &done) {
        for name in ["package.json", "package-lock.json"] {
            std::fs::copy(
                run::root().join("checks/brass").join(name),
                folder.join(name),
            )?;
        }
        run::succeed(run::command("npm", &folder).args([
            "ci",
            "--legacy-peer-deps",
            "--no-audit",
            "--no-fund",
        ]))?;
        std::fs::write(&done, "")?;
    }
    Ok(folder.join("node_modules"))
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
