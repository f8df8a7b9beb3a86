//! Players, takes, progress, advice, and the store that keeps them.
//!
//! Everything lives in one data folder ([`folder`]): a SQLite database, the sound of every take
//! as FLAC named by its SHA-256, and the journals of recordings that are going on. [`Store`] is
//! the only way in; it is the only code of the program that touches SQL.
//!
//! ```
//! # tokio::runtime::Runtime::new().unwrap().block_on(async {
//! let folder = tempfile::tempdir().unwrap();
//! let store = studio::Store::open(folder.path()).await.unwrap();
//! let player = studio::PlayerInput::named("Ada", "trumpet-bflat");
//! let ada = store.add_player(&player).await.unwrap();
//! store.remove_player(&ada.id).await.unwrap();
//! assert!(store.players(false).await.unwrap().is_empty());
//! store.restore_player(&ada.id).await.unwrap(); // undo
//! assert_eq!(store.players(false).await.unwrap(), vec![ada]);
//! # });
//! ```

pub mod advice;
mod clock;
mod error;
pub mod folder;
mod kept;
pub mod load;
pub mod progress;
pub mod sound;
mod store;

pub use error::{Error, Result};
pub use kept::{
    Gap, Lesson, LessonInput, NewTake, Origin, OwnText, Paper, Player, PlayerInput, Settings,
    ShowFingerings, Take, TakeFilter, TakeNote, TakeNoteInput, TakePage, TextKind, Theme,
};
pub use sound::recording::{Accepted, Recording};
pub use store::{
    ArchiveCounts, Backup, HeardTake, Problem, ProgressFilter, Recovered, Store, Verdict,
};
