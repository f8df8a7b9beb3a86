//! Backups: a consistent copy of the database in the folder `backups`.
//!
//! The sound needs no copying: its files never change. A backup of everything is a copy of the
//! whole data folder, or the archive that [`Store::export_archive`] writes.

use std::fs;
use std::path::Path;

use serde::Serialize;

use super::Store;
use crate::clock::now_ms;
use crate::folder::{BACKUPS, Folder, settle};
use crate::{Error, Result};

/// A copy of the database.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Backup {
    /// Its name, to restore it by.
    pub name: String,
    /// Its size.
    pub bytes: u64,
    /// When it was made, Unix milliseconds.
    pub at_ms: i64,
}

impl Store {
    /// Copies the database as it is now; others may write meanwhile.
    ///
    /// # Errors
    /// [`Error::DiskFull`], [`Error::Io`], [`Error::Busy`].
    pub async fn back_up(&self) -> Result<Backup> {
        let at_ms = now_ms();
        let folder = self.folder().root().join(BACKUPS);
        // Two in the same millisecond get two names.
        let name = (0..1000)
            .map(|turn| format!("studio-{}", at_ms + turn))
            .find(|name| !folder.join(format!("{name}.sqlite")).exists())
            .ok_or(Error::Busy)?;
        let part = folder.join(format!("{name}.part"));
        let place = folder.join(format!("{name}.sqlite"));
        let copied = sqlx::query("vacuum into $1")
            .bind(part.to_string_lossy().into_owned())
            .execute(self.pool())
            .await;
        if copied.is_err() {
            fs::remove_file(&part).ok();
        }
        copied?;
        let bytes = fs::metadata(&part).map_err(Error::io(&part))?.len();
        settle(&part, &place)?;
        Ok(Backup { name, bytes, at_ms })
    }

    /// The backups that are there, the latest first.
    ///
    /// # Errors
    /// [`Error::Io`] when the folder cannot be read.
    pub fn backups(&self) -> Result<Vec<Backup>> {
        list(self.folder())
    }

    /// Puts a backup in the place of the database of a studio that is not open. The database
    /// that was there is kept beside the backups.
    ///
    /// # Errors
    /// [`Error::InUse`] while a program keeps the studio, [`Error::NotFound`] for a name that is
    /// no backup's, [`Error::Damaged`] when the backup is not whole.
    pub async fn restore_backup(root: &Path, name: &str) -> Result<()> {
        let folder = Folder::open(root)?;
        let _keeper = folder.keep()?;
        if !list(&folder)?.iter().any(|backup| backup.name == name) {
            return Err(Error::not_found("backup", name));
        }
        let place = folder.root().join(BACKUPS);
        let source = place.join(format!("{name}.sqlite"));
        super::doctor::check_database(&source).await?;
        let database = folder.database();
        if database.exists() {
            // Opening and closing folds the write-ahead log into the file.
            let store = Self::open_with(folder.clone(), None).await;
            if let Ok(store) = store {
                store.close().await;
            }
            let before = place.join(format!("studio-{}.sqlite", now_ms()));
            fs::rename(&database, &before).map_err(Error::io(&before))?;
        }
        for extension in ["sqlite-wal", "sqlite-shm"] {
            fs::remove_file(database.with_extension(extension)).ok();
        }
        let part = database.with_extension("part");
        fs::copy(&source, &part).map_err(Error::io(&part))?;
        fs::File::open(&part)
            .and_then(|file| file.sync_all())
            .map_err(Error::io(&part))?;
        settle(&part, &database)
    }
}

fn list(folder: &Folder) -> Result<Vec<Backup>> {
    let place = folder.root().join(BACKUPS);
    let mut backups: Vec<Backup> = fs::read_dir(&place)
        .map_err(Error::io(&place))?
        .flatten()
        .filter_map(|entry| {
            let file = entry.file_name();
            let name = file.to_str()?.strip_suffix(".sqlite")?;
            Some(Backup {
                at_ms: name.strip_prefix("studio-")?.parse().ok()?,
                bytes: entry.metadata().ok()?.len(),
                name: name.into(),
            })
        })
        .collect();
    backups.sort_by_key(|backup| std::cmp::Reverse(backup.at_ms));
    Ok(backups)
}
