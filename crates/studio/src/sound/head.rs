//! What a FLAC file says of itself, without decoding it.

use std::fs::File;
use std::io::Read;
use std::path::Path;

use crate::{Error, Result};

/// What the STREAMINFO block says (RFC 9639, section 8.2).
pub(crate) struct StreamHead {
    pub(crate) sample_rate: u32,
    pub(crate) channels: u32,
    pub(crate) samples: u64,
}

/// Reads the head of a FLAC file.
///
/// # Errors
/// [`Error::Damaged`] when it is none.
pub(crate) fn read_head(path: &Path) -> Result<StreamHead> {
    let mut head = [0; 26];
    let whole = File::open(path)
        .and_then(|mut file| file.read_exact(&mut head))
        .is_ok();
    let [.., a, b, c, d, e, f, g, h] = head;
    let packed = u64::from_be_bytes([a, b, c, d, e, f, g, h]);
    if !whole || !head.starts_with(b"fLaC") {
        return Err(Error::Damaged {
            path: path.into(),
            detail: "it is no FLAC file".into(),
        });
    }
    // 20 bits of rate, 3 of channels - 1, 5 of depth - 1, 36 of samples.
    Ok(StreamHead {
        sample_rate: (packed >> 44) as u32,
        channels: (packed >> 41 & 7) as u32 + 1,
        samples: packed & ((1 << 36) - 1),
    })
}
