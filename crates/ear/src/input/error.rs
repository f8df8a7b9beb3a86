//! Why a file could not be read: what is wrong, where, and what to do.

/// Why bytes are no take.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum InputError {
    /// There are no bytes.
    #[error("the file is empty: record again, or choose another file")]
    Empty,
    /// The bytes are something else.
    #[error(
        "this is no sound file that can be read (it looks like {looks_like}): use WAV, FLAC, MP3, \
         OGG Vorbis, AAC/M4A or AIFF"
    )]
    NotSound {
        /// What the first bytes look like.
        looks_like: String,
    },
    /// A sound file of a kind that is not read.
    #[error(
        "the sound in this file is coded in a way that is not read ({what}): save it as WAV or FLAC"
    )]
    Unsupported {
        /// What is not supported.
        what: String,
    },
    /// A container without sound.
    #[error("there is no sound track in this file: choose the sound itself, or save it as WAV")]
    NoTrack,
    /// A sound file without a single sample.
    #[error("the file says it is {container} but holds no samples: record again")]
    NoSamples {
        /// The container that was found.
        container: String,
    },
    /// The rate is out of bounds.
    #[error("{rate} samples a second can't be read: rates from 8,000 to 192,000 can")]
    Rate {
        /// The rate that the file gives.
        rate: u32,
    },
    /// Too many channels.
    #[error("{channels} channels can't be read: save the take with 1 or 2")]
    Channels {
        /// How many the file has.
        channels: usize,
    },
    /// Longer than allowed.
    #[error(
        "the take is longer than {limit_s:.0} seconds, the most that is read at once: cut it into \
         pieces, one for each exercise"
    )]
    TooLong {
        /// The limit.
        limit_s: f64,
    },
    /// Damaged before anything could be read.
    #[error("the file is damaged at {at_s:.2} s ({why}): copy it again from where it was recorded")]
    Damaged {
        /// Where, seconds from the start.
        at_s: f64,
        /// What the decoder says.
        why: String,
    },
    /// The source failed.
    #[error("reading stopped: {why}")]
    Read {
        /// What the system says.
        why: String,
    },
}
