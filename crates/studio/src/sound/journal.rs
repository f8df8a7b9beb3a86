//! The journal of a recording: every block as it came, readable after a crash at any byte.
//!
//! A head (magic, length, JSON, CRC-32), then records. A record is, little-endian,
//! `b"WKB1"`, `u32` block number, `u64` first sample, `u32` count, `u32` kind, the samples, and
//! the CRC-32 of all of that. Reading stops at the first record that is not whole: that is where
//! the power went.

use std::fs::File;
use std::io::{BufReader, Read, Write};
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::flac::Depth;
use crate::kept::{Gap, NewTake};
use crate::{Error, Result};

const HEAD: &[u8; 4] = b"WKJ1";
const RECORD: &[u8; 4] = b"WKB1";
const RECORD_HEAD: usize = 24;
/// Longest block: what a frame of the live path may hold.
pub const MOST_SAMPLES: usize = 16_384;

/// How the samples of a recording come.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Format {
    /// 32-bit floats, full scale 1.0.
    F32,
    /// 16-bit whole numbers.
    I16,
}

impl Format {
    /// Bytes of a sample.
    #[must_use]
    pub const fn bytes(self) -> usize {
        match self {
            Self::F32 => 4,
            Self::I16 => 2,
        }
    }

    /// How finely the take will be kept.
    #[must_use]
    pub const fn depth(self) -> Depth {
        match self {
            Self::F32 => Depth::TwentyFour,
            Self::I16 => Depth::Sixteen,
        }
    }

    /// Samples at full scale 1.0 from little-endian bytes; what is not a number becomes 0.
    pub fn samples(self, bytes: &[u8]) -> impl Iterator<Item = f32> + '_ {
        let size = self.bytes();
        bytes.chunks_exact(size).map(move |chunk| match *chunk {
            [a, b] => f32::from(i16::from_le_bytes([a, b])) / 32_768.0,
            [a, b, c, d] => {
                let sample = f32::from_le_bytes([a, b, c, d]);
                if sample.is_finite() { sample } else { 0.0 }
            }
            _ => 0.0,
        })
    }
}

/// How the samples of a recording come, from the word the page uses.
impl std::str::FromStr for Format {
    type Err = Error;

    fn from_str(word: &str) -> Result<Self> {
        match word {
            "f32" => Ok(Self::F32),
            "i16" => Ok(Self::I16),
            _ => Err(Error::invalid("format", "must be f32 or i16")),
        }
    }
}

/// What is known of a recording when it begins.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Head {
    /// Identifier of the take to be.
    pub take: String,
    /// Samples a second.
    pub sample_rate: u32,
    /// How the samples come.
    pub format: Format,
    /// What the take will be of.
    pub about: NewTake,
}

/// What a record says.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Kind {
    /// A block of samples.
    Block,
    /// The blocks up to this number are lost; nothing follows but the place to go on from.
    Skip,
}

pub(crate) fn write_head(file: &mut File, path: &Path, head: &Head) -> Result<()> {
    let json = serde_json::to_vec(head)?;
    let length = u32::try_from(json.len())
        .map_err(|_| Error::invalid("take", "its part is too long for a journal"))?;
    let mut bytes = Vec::with_capacity(json.len() + 12);
    bytes.extend_from_slice(HEAD);
    bytes.extend_from_slice(&length.to_le_bytes());
    bytes.extend_from_slice(&json);
    bytes.extend_from_slice(&crc32fast::hash(&bytes).to_le_bytes());
    file.write_all(&bytes).map_err(Error::io(path))
}

/// Appends a record to `out`: one write then puts all that is in it on the disk.
pub(crate) fn compose(
    out: &mut Vec<u8>,
    kind: Kind,
    seq: u32,
    first: u64,
    count: u32,
    data: &[u8],
) {
    let start = out.len();
    out.extend_from_slice(RECORD);
    out.extend_from_slice(&seq.to_le_bytes());
    out.extend_from_slice(&first.to_le_bytes());
    out.extend_from_slice(&count.to_le_bytes());
    out.extend_from_slice(&u32::from(kind == Kind::Skip).to_le_bytes());
    out.extend_from_slice(data);
    let crc = crc32fast::hash(out.get(start..).unwrap_or_default());
    out.extend_from_slice(&crc.to_le_bytes());
}

/// A journal being read back.
pub struct Reader {
    file: BufReader<File>,
    head: Head,
    /// Bytes that were whole: where a recording that goes on writes next.
    pub(crate) whole: u64,
    /// Number of the next block.
    pub(crate) next_seq: u32,
    /// Index of the next sample.
    pub(crate) next_sample: u64,
    /// Stretches that were not heard, so far.
    pub(crate) gaps: Vec<Gap>,
    skipped: bool,
}

/// A stretch of a journal: silence that stands for what is missing, then samples.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stretch {
    /// Samples of silence first.
    pub silence: u64,
    /// The samples, full scale 1.0.
    pub samples: Vec<f32>,
}

impl Reader {
    /// Opens a journal and reads its head.
    ///
    /// # Errors
    /// [`Error::Damaged`] when the head is not whole (nothing was recorded then).
    pub fn open(path: &Path) -> Result<Self> {
        let damaged = |detail: &str| Error::Damaged {
            path: path.into(),
            detail: detail.into(),
        };
        let file = File::open(path).map_err(Error::io(path))?;
        let size = file.metadata().map_err(Error::io(path))?.len();
        let mut file = BufReader::with_capacity(1 << 16, file);
        let mut start = [0; 8];
        if !fill(&mut file, &mut start) || !start.starts_with(HEAD) {
            return Err(damaged("it is no journal of a recording"));
        }
        let [.., a, b, c, d] = start;
        let length = u64::from(u32::from_le_bytes([a, b, c, d]));
        if length + 12 > size {
            return Err(damaged("its head is cut short"));
        }
        let mut json = vec![0; length as usize];
        let mut crc = [0; 4];
        if !fill(&mut file, &mut json) || !fill(&mut file, &mut crc) {
            return Err(damaged("its head is cut short"));
        }
        let mut hasher = crc32fast::Hasher::new();
        hasher.update(&start);
        hasher.update(&json);
        if hasher.finalize() != u32::from_le_bytes(crc) {
            return Err(damaged("its head does not match its checksum"));
        }
        let head = serde_json::from_slice(&json).map_err(|_| damaged("its head does not read"))?;
        Ok(Self {
            file,
            head,
            whole: length + 12,
            next_seq: 0,
            next_sample: 0,
            gaps: Vec::new(),
            skipped: false,
        })
    }

    /// What was known when the recording began.
    #[must_use]
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// Reads to the end: how many samples there are, those that are missing counted.
    #[must_use]
    pub fn end(mut self) -> u64 {
        while self.stretch().is_some() {}
        self.next_sample
    }

    /// The next stretch, or `None` where the whole records end.
    pub fn stretch(&mut self) -> Option<Stretch> {
        loop {
            let mut start = [0; RECORD_HEAD];
            if !fill(&mut self.file, &mut start) {
                return None;
            }
            let field = |at: usize| {
                let mut bytes = [0; 4];
                bytes.copy_from_slice(start.get(at..at + 4)?);
                Some(u32::from_le_bytes(bytes))
            };
            let seq = field(4)?;
            let first = u64::from(field(8)?) | u64::from(field(12)?) << 32;
            let (count, kind) = (field(16)?, field(20)?);
            if !start.starts_with(RECORD) || kind > 1 || count as usize > MOST_SAMPLES {
                return None;
            }
            let mut data = vec![0; count as usize * self.head.format.bytes()];
            let mut crc = [0; 4];
            if !fill(&mut self.file, &mut data) || !fill(&mut self.file, &mut crc) {
                return None;
            }
            let mut hasher = crc32fast::Hasher::new();
            hasher.update(&start);
            hasher.update(&data);
            if hasher.finalize() != u32::from_le_bytes(crc) || first < self.next_sample {
                return None;
            }
            self.whole += (RECORD_HEAD + data.len() + 4) as u64;
            self.next_seq = seq.wrapping_add(1);
            let silence = first - self.next_sample;
            if silence > 0 {
                let rate = f64::from(self.head.sample_rate.max(1));
                self.gaps.push(Gap {
                    at_s: self.next_sample as f64 / rate,
                    seconds: silence as f64 / rate,
                    why: if self.skipped || kind == 1 {
                        "skipped"
                    } else {
                        "source"
                    }
                    .into(),
                });
            }
            self.next_sample = first + u64::from(count);
            self.skipped = kind == 1;
            if silence > 0 || count > 0 {
                return Some(Stretch {
                    silence,
                    samples: self.head.format.samples(&data).collect(),
                });
            }
        }
    }
}

/// Fills a buffer; false when the file ends or fails before it is full.
fn fill(file: &mut BufReader<File>, buffer: &mut [u8]) -> bool {
    file.read_exact(buffer).is_ok()
}
