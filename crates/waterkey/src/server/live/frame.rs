//! The layout of a binary frame: a head of 24 bytes, then mono samples. Little-endian.
//!
//! ```text
//!  0  u8   version, 1            4  u32  number of the block, from 0
//!  1  u8   0 = f32, 1 = i16      8  u64  index of its first sample since the start
//!  2  u16  zero                 16  f64  the page's clock, milliseconds; echoed
//! ```

use studio::sound::journal::{Format, MOST_SAMPLES};

/// Bytes of the head.
const HEAD: usize = 24;
/// Longest frame.
pub(super) const MOST_BYTES: usize = HEAD + 4 * MOST_SAMPLES;

/// A block of sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Frame<'a> {
    /// Number of the block.
    pub(super) seq: u32,
    /// Index of its first sample.
    pub(super) first_sample: u64,
    /// The page's clock when it was sent.
    pub(super) sent_ms: f64,
    /// The samples.
    pub(super) data: &'a [u8],
}

/// Reads a frame.
///
/// # Errors
/// What is wrong with it, in words.
pub(super) fn read(bytes: &[u8], format: Format) -> Result<Frame<'_>, String> {
    let Some((head, data)) = bytes.split_first_chunk::<HEAD>() else {
        return Err(format!(
            "a frame of {} bytes has no whole head of {HEAD}",
            bytes.len()
        ));
    };
    let [
        version,
        kind,
        z0,
        z1,
        s0,
        s1,
        s2,
        s3,
        f @ ..,
        a,
        b,
        c,
        d,
        e,
        g,
        h,
        i,
    ] = *head;
    if version != 1 {
        return Err(format!("frame version {version} is not known; 1 is"));
    }
    if [z0, z1] != [0, 0] {
        return Err("bytes 2 and 3 of a frame must be zero".into());
    }
    if kind != u8::from(format == Format::I16) {
        return Err(format!(
            "the recording began as {format:?}; this frame says {kind}"
        ));
    }
    let size = format.bytes();
    let count = data.len() / size;
    if !data.len().is_multiple_of(size) || !(1..=MOST_SAMPLES).contains(&count) {
        return Err(format!(
            "a frame must hold 1 to {MOST_SAMPLES} whole samples of {size} bytes, not {} bytes",
            data.len()
        ));
    }
    Ok(Frame {
        seq: u32::from_le_bytes([s0, s1, s2, s3]),
        first_sample: u64::from_le_bytes(f),
        sent_ms: f64::from_le_bytes([a, b, c, d, e, g, h, i]),
        data,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn frame(seq: u32, first: u64, sent: f64, data: &[u8]) -> Vec<u8> {
        let mut bytes = vec![1, 1, 0, 0];
        bytes.extend(seq.to_le_bytes());
        bytes.extend(first.to_le_bytes());
        bytes.extend(sent.to_le_bytes());
        bytes.extend(data);
        bytes
    }

    #[test]
    fn a_frame_reads_as_it_was_laid_out() {
        let bytes = frame(7, 1 << 40, 12.5, &[1, 2, 3, 4]);
        let read = read(&bytes, Format::I16).unwrap();
        assert_eq!(
            (read.seq, read.first_sample, read.sent_ms),
            (7, 1 << 40, 12.5)
        );
        assert_eq!(read.data, [1, 2, 3, 4]);
    }

    #[test]
    fn what_is_no_frame_is_refused_in_words() {
        let good = frame(0, 0, 0.0, &[0, 0]);
        assert!(read(&good, Format::F32).unwrap_err().contains("began as"));
        assert!(
            read(&[], Format::I16)
                .unwrap_err()
                .contains("no whole head")
        );
        assert!(read(&frame(0, 0, 0.0, &[]), Format::I16).is_err());
        assert!(read(&frame(0, 0, 0.0, &[1]), Format::I16).is_err());
        assert!(read(&frame(0, 0, 0.0, &[0; 32_770]), Format::I16).is_err());
        for (at, value) in [(0, 9), (2, 1), (3, 1)] {
            let mut bad = good.clone();
            bad[at] = value;
            assert!(read(&bad, Format::I16).is_err());
        }
    }
}
