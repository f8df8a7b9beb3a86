//! Clefs that brass parts use.

use serde::{Deserialize, Serialize};

/// A clef.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Clef {
    /// G on the second line.
    Treble,
    /// F on the fourth line.
    Bass,
    /// C on the fourth line.
    Tenor,
    /// C on the third line.
    Alto,
}
