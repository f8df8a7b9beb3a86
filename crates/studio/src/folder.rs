//! The data folder: what lies where, and who may keep it.
//!
//! ```text
//! studio.sqlite      players, takes, measures, lessons (and -wal, -shm beside it while open)
//! takes/ab/abcd….flac   the sound of each take, named by the SHA-256 of the file
//! journals/ID.pcm    recordings that are going on, or were when the program was killed
//! backups/           copies of the database
//! keeper.lock        held by the one program that records, recovers and repairs
//! secret.key         what sessions are signed with
//! ```
//!
//! Any number of programs may read and write the database at once (SQLite's write-ahead log sees
//! to that); only the keeper records, recovers journals, repairs, restores and sweeps.

use std::fs::{self, File, OpenOptions, TryLockError};
use std::io::{Read, Seek, Write};
use std::path::{Path, PathBuf};

use crate::{Error, Result};

/// File name of the database.
pub const DATABASE: &str = "studio.sqlite";
/// Folder of the takes' sound.
pub const TAKES: &str = "takes";
/// Folder of the recordings that are going on.
pub const JOURNALS: &str = "journals";
/// Folder of the copies of the database.
pub const BACKUPS: &str = "backups";
const KEEPER: &str = "keeper.lock";
const OPENING: &str = "opening.lock";

/// A data folder whose subfolders exist.
#[derive(Clone, Debug)]
pub struct Folder {
    root: PathBuf,
}

impl Folder {
    /// Opens a folder, making it and its subfolders where they are missing (readable by the
    /// owner alone on Unix).
    ///
    /// # Errors
    /// [`Error::Io`] when the folder cannot be made, [`Error::DiskFull`] when there is no room.
    pub fn open(root: &Path) -> Result<Self> {
        let folder = Self { root: root.into() };
        for path in [
            folder.root.clone(),
            folder.root.join(TAKES),
            folder.root.join(JOURNALS),
            folder.root.join(BACKUPS),
        ] {
            if !path.is_dir() {
                make_private_dir(&path)?;
            }
        }
        Ok(folder)
    }

    /// The folder itself.
    #[must_use]
    pub fn root(&self) -> &Path {
        &self.root
    }

    /// Where the database is.
    #[must_use]
    pub fn database(&self) -> PathBuf {
        self.root.join(DATABASE)
    }

    /// Where the sound with this hash is, or would be.
    ///
    /// # Errors
    /// [`Error::Invalid`] for a text that is not 64 lower-case hexadecimal digits: nothing else
    /// ever becomes part of a path.
    pub fn sound(&self, sha256: &str) -> Result<PathBuf> {
        let hexadecimal = |c: u8| c.is_ascii_digit() || (b'a'..=b'f').contains(&c);
        match sha256.get(..2) {
            Some(shelf) if sha256.len() == 64 && sha256.bytes().all(hexadecimal) => Ok(self
                .root
                .join(TAKES)
                .join(shelf)
                .join(format!("{sha256}.flac"))),
            _ => Err(Error::invalid("sha256", "must be 64 hexadecimal digits")),
        }
    }

    /// Where the journal of this take is, or would be.
    ///
    /// # Errors
    /// [`Error::Invalid`] unless the identifier is letters and digits alone.
    pub fn journal(&self, take: &str) -> Result<PathBuf> {
        if take.is_empty() || take.len() > 64 || !take.bytes().all(|c| c.is_ascii_alphanumeric()) {
            return Err(Error::invalid(
                "take",
                "an identifier is letters and digits",
            ));
        }
        Ok(self.root.join(JOURNALS).join(format!("{take}.pcm")))
    }

    /// Takes the keeper's lock, held until the value is dropped or the process ends.
    ///
    /// # Errors
    /// [`Error::InUse`] when another process holds it.
    pub fn keep(&self) -> Result<Keeper> {
        let path = self.root.join(KEEPER);
        let mut file = open_lock(&path)?;
        match file.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => {
                let mut process = String::new();
                // Who holds it is only told for the message; an unreadable file is no failure.
                file.read_to_string(&mut process).ok();
                return Err(Error::InUse {
                    folder: self.root.clone(),
                    process: process.trim().to_owned(),
                });
            }
            Err(TryLockError::Error(source)) => return Err(Error::io(&path)(source)),
        }
        file.set_len(0).map_err(Error::io(&path))?;
        file.rewind().map_err(Error::io(&path))?;
        writeln!(file, "{}", std::process::id()).map_err(Error::io(&path))?;
        Ok(Keeper { _file: file })
    }

    /// Waits for the short lock under which the database's tables are made or changed.
    pub(crate) fn opening(&self) -> Result<File> {
        let path = self.root.join(OPENING);
        let file = open_lock(&path)?;
        file.lock().map_err(Error::io(&path))?;
        Ok(file)
    }

    /// The key that sessions are signed with: 32 random bytes, made at first use.
    ///
    /// # Errors
    /// [`Error::Io`] when it can be neither read nor made.
    pub fn secret_key(&self) -> Result<[u8; 32]> {
        let path = self.root.join("secret.key");
        if let Ok(bytes) = fs::read(&path)
            && let Ok(key) = <[u8; 32]>::try_from(bytes.as_slice())
        {
            return Ok(key);
        }
        let mut key = [0; 32];
        for half in key.chunks_exact_mut(16) {
            half.copy_from_slice(uuid::Uuid::new_v4().as_bytes());
        }
        write_whole(&path, &key)?;
        Ok(key)
    }
}

/// Proof that this process alone records into and repairs a data folder.
#[derive(Debug)]
pub struct Keeper {
    _file: File,
}

fn open_lock(path: &Path) -> Result<File> {
    OpenOptions::new()
        .create(true)
        .truncate(false)
        .read(true)
        .write(true)
        .open(path)
        .map_err(Error::io(path))
}

fn make_private_dir(path: &Path) -> Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(path).map_err(Error::io(path))
}

/// Writes a file so that after a power cut either the old or the new one is there, whole.
pub(crate) fn write_whole(path: &Path, bytes: &[u8]) -> Result<()> {
    let part = path.with_extension("part");
    let mut options = OpenOptions::new();
    options.create(true).truncate(true).write(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    let mut file = options.open(&part).map_err(Error::io(&part))?;
    file.write_all(bytes).map_err(Error::io(&part))?;
    file.sync_all().map_err(Error::io(&part))?;
    settle(&part, path)
}

/// Moves a finished file to its place and makes the move itself durable.
pub(crate) fn settle(part: &Path, place: &Path) -> Result<()> {
    fs::rename(part, place).map_err(Error::io(place))?;
    if let Some(parent) = place.parent()
        && let Ok(folder) = File::open(parent)
    {
        // Some file systems cannot sync a folder; the rename has happened all the same.
        folder.sync_all().ok();
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_one_keeper_at_a_time_and_no_foreign_text_becomes_a_path() {
        let place = tempfile::tempdir().unwrap();
        let folder = Folder::open(place.path()).unwrap();
        let keeper = folder.keep().unwrap();
        assert!(matches!(folder.keep(), Err(Error::InUse { process, .. })
            if process == std::process::id().to_string()));
        drop(keeper);
        folder.keep().unwrap();
        for bad in ["../../etc/passwd", "", "a/b", "é", "ab"] {
            assert!(folder.sound(bad).is_err());
        }
        for bad in ["..", "a/b", "", "x.y"] {
            assert!(folder.journal(bad).is_err());
        }
        assert_eq!(folder.secret_key().unwrap(), folder.secret_key().unwrap());
    }
}
