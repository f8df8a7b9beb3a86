//! What can go wrong in the store, each with what to do about it.

use std::path::{Path, PathBuf};

/// Shorthand for results of this crate.
pub type Result<T, E = Error> = std::result::Result<T, E>;

/// Why the store could not do what was asked.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    /// Nothing is kept under this name.
    #[error("no {kind} `{id}` is kept here; it may have been removed")]
    NotFound {
        /// What was looked for.
        kind: &'static str,
        /// Under which identifier.
        id: String,
    },
    /// What was given cannot be kept.
    #[error("{what}: {detail}")]
    Invalid {
        /// Which field or file.
        what: String,
        /// What is wrong with it and what would be right.
        detail: String,
    },
    /// It is there already, or is not the user's own.
    #[error("{0}")]
    Conflict(String),
    /// Another program holds the database or the folder for the moment.
    #[error("the studio is busy: another program is using it; try again in a moment")]
    Busy,
    /// Another running program keeps this studio.
    #[error(
        "`{}` is open in another program (process {process}); stop it first, or leave this to it",
        folder.display()
    )]
    InUse {
        /// The data folder.
        folder: PathBuf,
        /// The process that keeps it, as it wrote itself down.
        process: String,
    },
    /// No room on the disk.
    #[error("no room left on the disk at `{}`; free some space and try again", path.display())]
    DiskFull {
        /// Where it was to be written.
        path: PathBuf,
    },
    /// A kept file is not what it was when it was written.
    #[error("`{}` is damaged: {detail}; run the doctor, or restore a backup", path.display())]
    Damaged {
        /// Which file.
        path: PathBuf,
        /// In what way.
        detail: String,
    },
    /// The database was written by a newer program.
    #[error("this studio was written by a newer version of the program; update the program")]
    Newer,
    /// The operating system refused.
    #[error("`{}`: {source}", path.display())]
    Io {
        /// Which file or folder.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The database refused.
    #[error("the database refused: {0}")]
    Sql(sqlx::Error),
    /// A fault of the program itself.
    #[error("a fault in the program: {0}")]
    Fault(String),
}

impl Error {
    /// An input or output error at a path; a full disk gets its own kind.
    pub(crate) fn io(path: &Path) -> impl FnOnce(std::io::Error) -> Self + '_ {
        move |source| match source.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
                Self::DiskFull { path: path.into() }
            }
            _ => Self::Io {
                path: path.into(),
                source,
            },
        }
    }

    pub(crate) fn not_found(kind: &'static str, id: &str) -> Self {
        Self::NotFound {
            kind,
            id: id.chars().take(80).collect(),
        }
    }

    pub(crate) fn invalid(what: impl Into<String>, detail: impl Into<String>) -> Self {
        Self::Invalid {
            what: what.into(),
            detail: detail.into(),
        }
    }
}

impl From<sqlx::Error> for Error {
    fn from(error: sqlx::Error) -> Self {
        // Primary result codes of SQLite (sqlite.org/rescode.html): 5 BUSY, 6 LOCKED, 13 FULL.
        // An extended code keeps the primary one in its low byte.
        let primary = error
            .as_database_error()
            .and_then(sqlx::error::DatabaseError::code)
            .and_then(|code| code.parse::<i64>().ok())
            .map(|code| code & 0xff);
        match (primary, &error) {
            (Some(5 | 6), _) | (_, sqlx::Error::PoolTimedOut) => Self::Busy,
            (Some(13), _) => Self::DiskFull {
                path: crate::folder::DATABASE.into(),
            },
            (Some(11 | 26), _) => Self::Damaged {
                path: crate::folder::DATABASE.into(),
                detail: error.to_string(),
            },
            _ => Self::Sql(error),
        }
    }
}

impl From<serde_json::Error> for Error {
    fn from(error: serde_json::Error) -> Self {
        Self::Fault(format!("a kept JSON text does not read: {error}"))
    }
}

impl From<tokio::task::JoinError> for Error {
    fn from(error: tokio::task::JoinError) -> Self {
        Self::Fault(format!("a task did not end: {error}"))
    }
}
