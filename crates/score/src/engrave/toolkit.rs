//! The engraver: MusicXML in, one SVG for each system out. Toolkits are kept and used again.

use std::path::PathBuf;
use std::sync::{Mutex, OnceLock, PoisonError};

use verovio::{LogLevel, Toolkit};

use super::kept::{self, Drawn};
use crate::Error;

/// Toolkits that are not in use; making one takes some tens of milliseconds.
static IDLE: Mutex<Vec<Toolkit>> = Mutex::new(Vec::new());
/// Where the engraver keeps its data while the program runs.
static RESOURCES: OnceLock<PathBuf> = OnceLock::new();

/// Engraves a document with every system on a page of its own, `width` tenths of a unit wide
/// (a unit is half the distance between two staff lines).
pub(super) fn systems(document: String, width: u32) -> Result<Drawn, Error> {
    kept::or_draw((document, width), |(document, width)| {
        let idle = IDLE.lock().unwrap_or_else(PoisonError::into_inner).pop();
        let mut toolkit = idle.unwrap_or_else(fresh);
        let drawn = engrave(&mut toolkit, document, *width)?;
        IDLE.lock()
            .unwrap_or_else(PoisonError::into_inner)
            .push(toolkit);
        Ok(drawn.into())
    })
}

/// Forgets what was engraved before, so that the next line is engraved anew; for measuring.
pub fn forget() {
    kept::forget();
}

fn fresh() -> Toolkit {
    // Its warnings go to standard error and speak of its own bookkeeping, not of what is drawn:
    // it reports ties left open that are closed in the file and on the page.
    verovio::set_log_level(LogLevel::Error);
    let toolkit = Toolkit::new();
    RESOURCES.get_or_init(|| PathBuf::from(toolkit.resource_path()));
    toolkit
}

/// How far apart notes stand, by their length and at all: the engraver's `spacingNonLinear` and
/// `spacingLinear`, from usual to close.
const SPACINGS: [(f64, f64); 3] = [(0.6, 0.3), (0.55, 0.24), (0.5, 0.18)];

/// The systems as loosely spaced as leaves no system with rests alone: a rest by itself on the next
/// line looks like an exercise of its own.
fn engrave(toolkit: &mut Toolkit, document: &str, width: u32) -> Result<Vec<String>, Error> {
    let mut usual = None;
    for spacing in SPACINGS {
        let drawn = spaced(toolkit, document, width, spacing)?;
        let rests_alone = drawn.len() > 1
            && drawn
                .last()
                .is_some_and(|system| !system.contains("class=\"note"));
        if !rests_alone {
            return Ok(drawn);
        }
        usual.get_or_insert(drawn);
    }
    Ok(usual.unwrap_or_default())
}

fn spaced(
    toolkit: &mut Toolkit,
    document: &str,
    width: u32,
    (by_length, at_all): (f64, f64),
) -> Result<Vec<String>, Error> {
    let failed = |error: verovio::Error| Error::Engraver(error.to_string());
    // A page of 100 units holds one system and grows with it; a new one begins where the line
    // would be too wide.
    toolkit
        .set_options(&format!(
            r#"{{"pageWidth":{width},"pageHeight":100,"adjustPageHeight":true,
                "breaks":"auto","header":"none","footer":"none",
                "pageMarginTop":0,"pageMarginBottom":0,"pageMarginLeft":0,"pageMarginRight":0,
                "svgViewBox":true,"scale":100,"mnumInterval":0,
                "minLastJustification":0.3,"spacingNonLinear":{by_length},"spacingLinear":{at_all}}}"#
        ))
        .map_err(failed)?;
    toolkit.load_data(document).map_err(failed)?;
    (1..=toolkit.page_count())
        .map(|page| toolkit.render_to_svg(page).map_err(failed))
        .collect()
}

/// Removes the folder that the engraver keeps its data in. For the end of the program: nothing
/// can be engraved after it. Does nothing when nothing was engraved.
///
/// # Errors
///
/// When the folder cannot be removed.
pub fn clean_up() -> std::io::Result<()> {
    IDLE.lock().unwrap_or_else(PoisonError::into_inner).clear();
    match RESOURCES.get() {
        Some(folder) if folder.is_dir() => std::fs::remove_dir_all(folder),
        _ => Ok(()),
    }
}
