//! Lines that were engraved already: what is typed in one line draws no other anew, and the page
//! turned into a PDF is not engraved twice.

use std::sync::{Arc, LazyLock};

use quick_cache::Weighter;
use quick_cache::sync::Cache;

/// A line as the engraver is given it: its document and the width it may take.
pub(super) type Line = (String, u32);
/// Its systems as they were drawn.
pub(super) type Drawn = Arc<[String]>;

/// Bytes of documents and drawings that are kept, and about how many lines that is.
const MOST_BYTES: u64 = 48 << 20;
const LINES: usize = 1_000;

static KEPT: LazyLock<Cache<Line, Drawn, Bytes>> =
    LazyLock::new(|| Cache::with_weighter(LINES, MOST_BYTES, Bytes));

/// Weighs a line by its bytes.
#[derive(Clone)]
struct Bytes;

impl Weighter<Line, Drawn> for Bytes {
    fn weight(&self, (document, _): &Line, drawn: &Drawn) -> u64 {
        let drawings: usize = drawn.iter().map(String::len).sum();
        (document.len() + drawings) as u64
    }
}

/// The drawing of a line, engraved by `draw` when it is not kept from before.
pub(super) fn or_draw<E>(
    line: Line,
    draw: impl FnOnce(&Line) -> Result<Drawn, E>,
) -> Result<Drawn, E> {
    if let Some(drawn) = KEPT.get(&line) {
        return Ok(drawn);
    }
    let drawn = draw(&line)?;
    KEPT.insert(line, Arc::clone(&drawn));
    Ok(drawn)
}

/// Forgets all lines.
pub(super) fn forget() {
    KEPT.clear();
}
