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
/// `spacingLinear`.
const USUAL: (f64, f64) = (0.6, 0.3);
/// Closer, and closer still.
const CLOSER: [(f64, f64); 2] = [(0.55, 0.24), (0.5, 0.18)];

/// A last system with no more notes than these is drawn into the one before where that can be done.
const FEW_NOTES: usize = 3;

/// The systems as loosely spaced as leaves no system to the last few notes or to rests alone: a
/// rest by itself on the next line looks like an exercise of its own, and a note that is held over
/// from the line above is one nobody reads.
fn engrave(toolkit: &mut Toolkit, document: &str, width: u32) -> Result<Vec<String>, Error> {
    let usual = spaced(toolkit, document, width, USUAL)?;
    let few = |system: &String| system.matches("class=\"note\"").count() <= FEW_NOTES;
    if usual.len() > 1 && usual.last().is_some_and(few) {
        for spacing in CLOSER {
            let closer = spaced(toolkit, document, width, spacing)?;
            if closer.len() < usual.len() {
                return Ok(closer);
            }
        }
    }
    Ok(usual)
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
