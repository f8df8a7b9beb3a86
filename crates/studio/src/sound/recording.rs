//! A recording that is going on: blocks are on the disk as they come, those that come together in
//! one write.

use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::journal::{self, Head, Kind, MOST_SAMPLES, Reader};
use crate::kept::Gap;
use crate::{Error, Result};

/// Longest recording: four hours at any rate.
const MOST_SECONDS: u64 = 4 * 3600;
/// Longest silence that stands for missing samples, seconds: a longer jump is a broken counter.
const MOST_GAP_SECONDS: u64 = 600;

/// What became of a block.
#[derive(Clone, Debug, PartialEq)]
pub enum Accepted {
    /// It is in the journal.
    Taken {
        /// Silence that had to be put before it, if samples were missing.
        gap: Option<Gap>,
    },
    /// It was there already.
    Duplicate,
    /// An earlier block is missing; send from this number again.
    Early {
        /// The number that is awaited.
        expected: u32,
    },
}

/// How far a recording has come.
#[derive(Clone, Copy, Debug, Default)]
struct Place {
    next_seq: u32,
    next_sample: u64,
    /// True when the last that came was a skip.
    skipped: bool,
    gaps: usize,
}

/// A recording that is going on.
#[derive(Debug)]
pub struct Recording {
    path: PathBuf,
    file: Arc<File>,
    head: Head,
    /// Where it stands, with all that was gathered.
    place: Place,
    /// Where it stood when it was last written.
    written: Place,
    /// Records that are gathered and not yet written.
    gathered: Vec<u8>,
    gaps: Vec<Gap>,
    /// Length of the journal as far as it is whole.
    whole: u64,
    /// True while the file may hold a torn record behind `whole`.
    torn: bool,
}

impl Recording {
    pub(crate) fn create(path: &Path, head: Head) -> Result<Self> {
        if !(8_000..=super::flac::MOST_RATE).contains(&head.sample_rate) {
            return Err(Error::invalid("sample_rate", "must be 8000 to 96000"));
        }
        let mut file = OpenOptions::new()
            .create_new(true)
            .append(true)
            .open(path)
            .map_err(Error::io(path))?;
        let begun = journal::write_head(&mut file, path, &head)
            .and_then(|()| file.sync_all().map_err(Error::io(path)))
            .and_then(|()| Ok(file.metadata().map_err(Error::io(path))?.len()));
        match begun {
            Ok(whole) => Ok(Self {
                path: path.into(),
                file: Arc::new(file),
                head,
                place: Place::default(),
                written: Place::default(),
                gathered: Vec::new(),
                gaps: Vec::new(),
                whole,
                torn: false,
            }),
            Err(error) => {
                // Nothing was recorded yet: leave no half a head behind.
                std::fs::remove_file(path).ok();
                Err(error)
            }
        }
    }

    /// Goes on with a journal that was left behind; a torn last record is cut off.
    pub(crate) fn go_on(path: &Path) -> Result<Self> {
        let mut reader = Reader::open(path)?;
        while reader.stretch().is_some() {}
        let file = OpenOptions::new()
            .append(true)
            .open(path)
            .map_err(Error::io(path))?;
        file.set_len(reader.whole).map_err(Error::io(path))?;
        let place = Place {
            next_seq: reader.next_seq,
            next_sample: reader.next_sample,
            skipped: false,
            gaps: reader.gaps.len(),
        };
        Ok(Self {
            path: path.into(),
            file: Arc::new(file),
            head: reader.head().clone(),
            place,
            written: place,
            gathered: Vec::new(),
            whole: reader.whole,
            gaps: reader.gaps,
            torn: false,
        })
    }

    /// What was known when it began.
    #[must_use]
    pub fn head(&self) -> &Head {
        &self.head
    }

    /// Where the journal is.
    pub(crate) fn path(&self) -> &Path {
        &self.path
    }

    /// Number of the block that is awaited.
    #[must_use]
    pub fn next_seq(&self) -> u32 {
        self.place.next_seq
    }

    /// Index of the sample that is awaited.
    #[must_use]
    pub fn next_sample(&self) -> u64 {
        self.place.next_sample
    }

    /// Stretches that were not heard, so far.
    #[must_use]
    pub fn gaps(&self) -> &[Gap] {
        &self.gaps
    }

    /// Seconds recorded so far.
    #[must_use]
    pub fn seconds(&self) -> f64 {
        self.place.next_sample as f64 / f64::from(self.head.sample_rate)
    }

    /// Takes a block: `data` holds whole samples in the recording's format, first sample given by
    /// its index. When this returns, the operating system has it; [`Recording::handle`] and
    /// `sync_data` make it safe against a power cut too.
    ///
    /// # Errors
    /// [`Error::Invalid`] for a block that cannot be (its samples lie before those that are
    /// there, jump too far, or do not fit); [`Error::DiskFull`] and [`Error::Io`] from the disk.
    /// The recording stays as it was and goes on with the next block that fits.
    pub fn accept(&mut self, seq: u32, first_sample: u64, data: &[u8]) -> Result<Accepted> {
        let accepted = self.gather(seq, first_sample, data)?;
        self.write()?;
        Ok(accepted)
    }

    /// Takes a block as [`Recording::accept`] does, but leaves it to [`Recording::write`] to give
    /// it to the operating system: many that come at once are then one write.
    ///
    /// # Errors
    /// [`Error::Invalid`] as [`Recording::accept`].
    pub fn gather(&mut self, seq: u32, first_sample: u64, data: &[u8]) -> Result<Accepted> {
        if seq < self.place.next_seq {
            return Ok(Accepted::Duplicate);
        }
        if seq > self.place.next_seq {
            return Ok(Accepted::Early {
                expected: self.place.next_seq,
            });
        }
        let size = self.head.format.bytes();
        let count = data.len() / size;
        if count == 0 || count > MOST_SAMPLES || !data.len().is_multiple_of(size) {
            return Err(Error::invalid(
                "block",
                format!("must hold 1 to {MOST_SAMPLES} whole samples"),
            ));
        }
        let missing = self.check_place(first_sample, count as u64)?;
        let out = &mut self.gathered;
        journal::compose(out, Kind::Block, seq, first_sample, count as u32, data);
        let why = if self.place.skipped {
            "skipped"
        } else {
            "source"
        };
        let gap = self.gap(missing, why);
        self.place.skipped = false;
        self.place.next_seq = seq.wrapping_add(1);
        self.place.next_sample = first_sample + count as u64;
        Ok(Accepted::Taken { gap })
    }

    /// Gives what was gathered to the operating system.
    ///
    /// # Errors
    /// [`Error::DiskFull`] and [`Error::Io`] from the disk. The recording is then as it was after
    /// the last write: what was gathered since is to be sent again.
    pub fn write(&mut self) -> Result<()> {
        if self.gathered.is_empty() {
            return Ok(());
        }
        let written = self.append();
        self.gathered.clear();
        if written.is_ok() {
            self.written = self.place;
        } else {
            self.place = self.written;
            self.gaps.truncate(self.place.gaps);
        }
        written
    }

    /// Gives up the blocks before `to_seq`: the hole becomes silence and a listed gap.
    ///
    /// # Errors
    /// As [`Recording::accept`].
    pub fn skip(&mut self, to_seq: u32, to_sample: u64) -> Result<Option<Gap>> {
        if to_seq <= self.place.next_seq {
            return Err(Error::invalid("to_seq", "lies before what is there"));
        }
        let missing = self.check_place(to_sample, 0)?;
        let out = &mut self.gathered;
        journal::compose(out, Kind::Skip, to_seq - 1, to_sample, 0, &[]);
        let gap = self.gap(missing, "skipped");
        self.place.skipped = true;
        self.place.next_seq = to_seq;
        self.place.next_sample = to_sample;
        self.write()?;
        Ok(gap)
    }

    /// The open journal, to make durable from another thread.
    #[must_use]
    pub fn handle(&self) -> Arc<File> {
        Arc::clone(&self.file)
    }

    fn check_place(&self, first_sample: u64, count: u64) -> Result<u64> {
        let rate = u64::from(self.head.sample_rate);
        let missing = first_sample
            .checked_sub(self.place.next_sample)
            .ok_or_else(|| {
                Error::invalid(
                    "first_sample",
                    format!(
                        "lies before sample {}, which is there",
                        self.place.next_sample
                    ),
                )
            })?;
        if missing > MOST_GAP_SECONDS * rate {
            return Err(Error::invalid(
                "first_sample",
                format!("jumps more than {MOST_GAP_SECONDS} s ahead"),
            ));
        }
        if first_sample.saturating_add(count) > MOST_SECONDS * rate {
            return Err(Error::invalid(
                "take",
                "is longer than four hours; stop and begin a new one",
            ));
        }
        Ok(missing)
    }

    /// Lists the samples that are missing before what comes now, if any are.
    fn gap(&mut self, missing: u64, why: &str) -> Option<Gap> {
        if missing == 0 {
            return None;
        }
        let rate = f64::from(self.head.sample_rate);
        let gap = Gap {
            at_s: self.place.next_sample as f64 / rate,
            seconds: missing as f64 / rate,
            why: why.into(),
        };
        self.gaps.push(gap.clone());
        self.place.gaps = self.gaps.len();
        Some(gap)
    }

    fn append(&mut self) -> Result<()> {
        if self.torn {
            self.file
                .set_len(self.whole)
                .map_err(Error::io(&self.path))?;
            self.torn = false;
        }
        let written = (&*self.file).write_all(&self.gathered);
        if written.is_err() {
            // A full disk takes part of a record: cut it off before the next one.
            self.torn = self.file.set_len(self.whole).is_err();
        } else {
            self.whole += self.gathered.len() as u64;
        }
        written.map_err(Error::io(&self.path))
    }
}
