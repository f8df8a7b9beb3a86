//! The store: one data folder, opened once per process. One file for each kind of thing kept.

mod archive;
mod backup;
mod doctor;
mod heard;
mod lessons;
mod listing;
mod measures;
mod notes;
mod packed;
mod players;
mod recordings;
mod settings;
mod sounds;
mod takes;
mod texts;

use std::collections::HashSet;
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;

use sqlx::SqlitePool;
use sqlx::migrate::MigrateError;
use sqlx::sqlite::{SqliteConnectOptions, SqliteJournalMode, SqlitePoolOptions, SqliteSynchronous};

pub use archive::ArchiveCounts;
pub use backup::Backup;
pub use doctor::{Problem, Verdict};
pub use heard::HeardTake;
pub use measures::ProgressFilter;
pub use recordings::Recovered;

use crate::folder::{Folder, Keeper};
use crate::{Error, Result};

/// How long a program waits for another that writes.
const BUSY_TIMEOUT: Duration = Duration::from_secs(5);
/// SQLite has one writer; a few readers beside it serve a house.
const CONNECTIONS: u32 = 6;

static MIGRATIONS: sqlx::migrate::Migrator = sqlx::migrate!();

/// The kept things of one data folder. Cheap to clone; all methods may run at once.
#[derive(Clone, Debug)]
pub struct Store {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    pool: SqlitePool,
    folder: Folder,
    keeper: Option<Keeper>,
    /// Whose turn it is to write: within this process writers wait in order, however many.
    writing: tokio::sync::Mutex<()>,
    /// Takes that are being recorded by this process.
    recording: Mutex<HashSet<String>>,
}

impl Store {
    /// Opens a studio beside whatever other programs use it: for commands that read and write
    /// players, texts and finished takes.
    ///
    /// # Errors
    /// [`Error::Io`] when the folder cannot be made or read, [`Error::Newer`] when a newer
    /// program wrote it, [`Error::Damaged`] when the database is.
    pub async fn open(root: &Path) -> Result<Self> {
        Self::open_with(Folder::open(root)?, None).await
    }

    /// Opens a studio as its keeper: the one program that may record, recover, repair, restore.
    ///
    /// # Errors
    /// As [`Store::open`], and [`Error::InUse`] when another program is the keeper.
    pub async fn open_as_keeper(root: &Path) -> Result<Self> {
        let folder = Folder::open(root)?;
        let keeper = folder.keep()?;
        Self::open_with(folder, Some(keeper)).await
    }

    async fn open_with(folder: Folder, keeper: Option<Keeper>) -> Result<Self> {
        let waiting = folder.clone();
        let opening = tokio::task::spawn_blocking(move || waiting.opening()).await??;
        let options = SqliteConnectOptions::new()
            .filename(folder.database())
            .create_if_missing(true)
            .journal_mode(SqliteJournalMode::Wal)
            .synchronous(SqliteSynchronous::Full)
            .foreign_keys(true)
            .busy_timeout(BUSY_TIMEOUT);
        let pool = SqlitePoolOptions::new()
            .max_connections(CONNECTIONS)
            .acquire_timeout(BUSY_TIMEOUT * 2)
            .connect_with(options)
            .await?;
        MIGRATIONS.run(&pool).await.map_err(|error| match error {
            MigrateError::VersionMissing(_) | MigrateError::VersionTooNew(..) => Error::Newer,
            MigrateError::Execute(error) => error.into(),
            other => Error::Fault(other.to_string()),
        })?;
        drop(opening);
        Ok(Self {
            inner: Arc::new(Inner {
                pool,
                folder,
                keeper,
                writing: tokio::sync::Mutex::default(),
                recording: Mutex::default(),
            }),
        })
    }

    /// Closes the database; the write-ahead log is folded into it.
    pub async fn close(&self) {
        self.pool().close().await;
    }

    /// The data folder.
    #[must_use]
    pub fn folder(&self) -> &Folder {
        &self.inner.folder
    }

    /// Whether this process may record, recover, repair and restore.
    #[must_use]
    pub fn is_keeper(&self) -> bool {
        self.inner.keeper.is_some()
    }

    /// How many recordings this process has going.
    #[must_use]
    pub fn recording_count(&self) -> usize {
        self.recordings().len()
    }

    fn pool(&self) -> &SqlitePool {
        &self.inner.pool
    }

    /// A turn to write. SQLite has one writer: two hundred takes that end at once would run into
    /// its timeout, here they queue.
    async fn turn(&self) -> tokio::sync::MutexGuard<'_, ()> {
        self.inner.writing.lock().await
    }

    fn recordings(&self) -> std::sync::MutexGuard<'_, HashSet<String>> {
        self.inner
            .recording
            .lock()
            .unwrap_or_else(PoisonError::into_inner)
    }

    fn require_keeper(&self) -> Result<()> {
        if self.is_keeper() {
            return Ok(());
        }
        Err(Error::InUse {
            folder: self.folder().root().into(),
            process: "unknown".into(),
        })
    }
}

/// One row must have been touched, or the thing is not there.
fn touched(count: u64, kind: &'static str, id: &str) -> Result<()> {
    if count == 0 {
        return Err(Error::not_found(kind, id));
    }
    Ok(())
}
