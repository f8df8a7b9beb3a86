//! Why something cannot be made to sound.

/// Why something cannot be made to sound.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum VoiceError {
    /// The sample rate is out of range.
    #[error("{rate} samples a second is out of range: give 8000 to 384000")]
    Rate {
        /// The rate asked for.
        rate: u32,
    },
    /// A frequency is out of range.
    #[error("{hz} Hz cannot be made at {rate} samples a second: give 5 Hz to under half that rate")]
    Frequency {
        /// The frequency asked for.
        hz: f64,
        /// The sample rate.
        rate: u32,
    },
    /// A tempo is out of range.
    #[error(
        "line {line}: a tempo of {tempo} quarter notes a minute is out of range: give 5 to 1000"
    )]
    Tempo {
        /// Id of the line.
        line: String,
        /// The tempo.
        tempo: f64,
    },
    /// The sound would be too long to hold.
    #[error(
        "{seconds:.0} s is too long to render at once: at most {most:.0} s; take fewer lines or exercises"
    )]
    Long {
        /// How long it would be.
        seconds: f64,
        /// How long it may be.
        most: f64,
    },
    /// The WAV encoder failed.
    #[error("the sound could not be written as WAV: {0}")]
    Wav(#[from] hound::Error),
}
