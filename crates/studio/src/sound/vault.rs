//! The vault: finished sound, each file named by the SHA-256 of its bytes.

use std::fs::{self, File};
use std::io::Read;
use std::path::Path;

use sha2::{Digest, Sha256};

use super::Sound;
use super::flac::{Depth, FlacWriter};
use super::journal::Reader;
use crate::folder::{Folder, settle};
use crate::kept::Gap;
use crate::{Error, Result};

/// A finished sound in the vault; no samples and no name for an empty one, which is not kept.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Stored {
    pub(crate) sha256: String,
    pub(crate) bytes: u64,
    pub(crate) samples: u64,
}

/// SHA-256 of a file (FIPS 180-4) as 64 hexadecimal digits.
pub(crate) fn sha256_of(path: &Path) -> Result<String> {
    let mut file = File::open(path).map_err(Error::io(path))?;
    let mut hasher = Sha256::new();
    let mut buffer = vec![0; 1 << 16];
    loop {
        let count = file.read(&mut buffer).map_err(Error::io(path))?;
        match buffer.get(..count) {
            Some(bytes) if count > 0 => hasher.update(bytes),
            _ => break,
        }
    }
    Ok(hexadecimal(&hasher.finalize()))
}

pub(crate) fn hexadecimal(bytes: &[u8]) -> String {
    use std::fmt::Write;
    bytes.iter().fold(String::new(), |mut text, byte| {
        // Writing to a string cannot fail.
        write!(text, "{byte:02x}").ok();
        text
    })
}

/// Puts a sound into the vault.
pub(crate) fn put_sound(folder: &Folder, take: &str, sound: &Sound) -> Result<Stored> {
    let part = folder.journal(take)?.with_extension("part");
    let depth = Depth::fitting(&sound.samples);
    let written = write_whole_sound(&part, sound, depth);
    finish(folder, &part, written)
}

fn write_whole_sound(part: &Path, sound: &Sound, depth: Depth) -> Result<u64> {
    let mut writer = FlacWriter::create(part, sound.sample_rate, sound.channels, depth)?;
    let mut numbers = Vec::new();
    for chunk in sound.samples.chunks(65_536 * sound.channels as usize) {
        numbers.clear();
        numbers.extend(chunk.iter().map(|&sample| depth.quantize(sample)));
        writer.push(&numbers)?;
    }
    Ok(writer.finish()?.samples)
}

/// Puts what a journal holds into the vault; the journal stays.
pub(crate) fn put_journal(folder: &Folder, path: &Path) -> Result<(Reader, Stored, Vec<Gap>)> {
    let part = path.with_extension("part");
    let mut reader = Reader::open(path)?;
    let written = write_whole_journal(&part, &mut reader);
    let stored = finish(folder, &part, written)?;
    let gaps = reader.gaps.clone();
    Ok((reader, stored, gaps))
}

fn write_whole_journal(part: &Path, reader: &mut Reader) -> Result<u64> {
    let depth = reader.head().format.depth();
    let mut writer = FlacWriter::create(part, reader.head().sample_rate, 1, depth)?;
    let mut numbers = Vec::new();
    while let Some(stretch) = reader.stretch() {
        let mut silence = stretch.silence;
        while silence > 0 {
            let some = silence.min(65_536);
            numbers.clear();
            numbers.resize(some as usize, 0);
            writer.push(&numbers)?;
            silence -= some;
        }
        numbers.clear();
        numbers.extend(stretch.samples.iter().map(|&sample| depth.quantize(sample)));
        writer.push(&numbers)?;
    }
    Ok(writer.finish()?.samples)
}

/// Names a finished file by its content and moves it to its place; a failed one is removed.
fn finish(folder: &Folder, part: &Path, written: Result<u64>) -> Result<Stored> {
    let stored = written.and_then(|samples| {
        if samples == 0 {
            fs::remove_file(part).map_err(Error::io(part))?;
            return Ok(Stored::default());
        }
        let (sha256, bytes) = shelve(folder, part)?;
        Ok(Stored {
            sha256,
            bytes,
            samples,
        })
    });
    if stored.is_err() {
        fs::remove_file(part).ok();
    }
    stored
}

/// Moves a finished file to the place its content names; gives its hash and size.
pub(crate) fn shelve(folder: &Folder, part: &Path) -> Result<(String, u64)> {
    let sha256 = sha256_of(part)?;
    let bytes = fs::metadata(part).map_err(Error::io(part))?.len();
    let place = folder.sound(&sha256)?;
    if let Some(shelf) = place.parent() {
        fs::create_dir_all(shelf).map_err(Error::io(shelf))?;
    }
    settle(part, &place)?;
    Ok((sha256, bytes))
}
