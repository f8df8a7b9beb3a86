//! What can go wrong between a part and paper.

/// Why an export or an import failed. Each message says what, where and what to do.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// Nothing to write.
    #[error("`{title}` has no notes to write{}: add a line, or widen the player's range", because(.left_out))]
    Empty {
        /// Title of the part.
        title: String,
        /// What the player's limits took away, and why.
        left_out: Vec<routine::part::Omission>,
    },
    /// A duration that no note value, tuplet or chain of tied notes gives.
    #[error(
        "{place}: {ticks} ticks is not a length that can be written; use note values down to a 64th, triplets or quintuplets"
    )]
    Duration {
        /// Line and note.
        place: String,
        /// The duration.
        ticks: u32,
    },
    /// A meter that cannot stand in a part.
    #[error(
        "{beats}/{unit} is not a time signature: beats 1 to 32 over a unit of 1, 2, 4, 8, 16 or 32"
    )]
    Meter {
        /// Beats in a bar.
        beats: u8,
        /// Denominator.
        unit: u8,
    },
    /// A pitch beyond what the format or a staff can hold.
    #[error("{place}: {pitch} lies outside what can be written here ({limit})")]
    Pitch {
        /// Line and note.
        place: String,
        /// The pitch.
        pitch: String,
        /// The limit.
        limit: &'static str,
    },
    /// A file that is not MusicXML.
    #[error("this is not a MusicXML part: {what}")]
    NotMusicXml {
        /// What was found instead, and where.
        what: String,
    },
    /// A compressed file that cannot be opened.
    #[error("the .mxl file could not be opened: {0}")]
    Zip(#[from] zip::result::ZipError),
    /// XML could not be written or read.
    #[error("the XML could not be handled: {0}")]
    Xml(String),
    /// The engraver could not draw the part.
    #[error("the part could not be engraved: {0}")]
    Engraver(String),
    /// No font has a character.
    #[error(
        "no font on this machine shows these characters: {lacking} - install a font for their script, or change the text"
    )]
    Glyphs {
        /// The characters, each once.
        lacking: String,
    },
    /// The PDF could not be written.
    #[error("the PDF could not be written: {0}")]
    Pdf(String),
    /// A picture could not be drawn.
    #[error("the picture could not be drawn: {0}")]
    Picture(String),
    /// MIDI could not be written.
    #[error("the MIDI file could not be written: {0}")]
    Midi(String),
}

/// What was left out in brackets, the first few.
fn because(left_out: &[routine::part::Omission]) -> String {
    const TOLD: usize = 3;
    if left_out.is_empty() {
        return String::new();
    }
    let told = left_out.iter().take(TOLD);
    let told: Vec<String> = told
        .map(|one| format!("{}: {}", one.what, one.why))
        .collect();
    let more = match left_out.len().saturating_sub(TOLD) {
        0 => String::new(),
        more => format!("; and {more} more"),
    };
    format!(" ({}{more})", told.join("; "))
}

impl From<std::io::Error> for Error {
    fn from(error: std::io::Error) -> Self {
        Self::Xml(error.to_string())
    }
}

impl From<roxmltree::Error> for Error {
    fn from(error: roxmltree::Error) -> Self {
        Self::NotMusicXml {
            what: error.to_string(),
        }
    }
}
