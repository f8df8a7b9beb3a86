//! Builds the program and opens a demo studio.

use anyhow::{Result, bail};

/// Not there yet: the program has no server to open.
pub(crate) fn run(_args: &[String]) -> Result<()> {
    bail!("the demo studio is not built yet")
}
