//! Recordings: begun, gone on with, finished into takes, and found again after a crash.

use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use super::Store;
use crate::clock::fresh_id;
use crate::sound::journal::{Format, Head, Reader};
use crate::sound::vault;
use crate::{Error, NewTake, Recording, Result, Take};

/// How long a journal that was left behind can be gone on with.
const RESUMABLE: Duration = Duration::from_secs(600);

/// What was found of a recording that had not been finished.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovered {
    /// The take it became; `None` when nothing had been recorded yet.
    pub take: Option<Take>,
    /// The journal, kept aside under the name given, when it could not be read.
    pub set_aside: Option<PathBuf>,
}

impl Store {
    /// Begins a recording; its journal is on the disk when this returns.
    ///
    /// # Errors
    /// [`Error::InUse`] unless this process is the keeper; [`Error::Invalid`] names the field;
    /// [`Error::DiskFull`] and [`Error::Io`] from the disk.
    pub async fn begin_recording(
        &self,
        about: NewTake,
        sample_rate: u32,
        format: Format,
    ) -> Result<Recording> {
        self.require_keeper()?;
        about.check()?;
        let head = Head {
            take: fresh_id(),
            sample_rate,
            format,
            about,
        };
        let path = self.folder().journal(&head.take)?;
        let take = head.take.clone();
        self.recordings().insert(take.clone());
        let begun = tokio::task::spawn_blocking(move || Recording::create(&path, head)).await?;
        if begun.is_err() {
            self.recordings().remove(&take);
        }
        begun
    }

    /// Goes on with a recording whose journal was left behind by a lost connection or a crash.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is no such journal (any more), [`Error::Conflict`] when it
    /// is being recorded.
    pub async fn resume_recording(&self, take: &str) -> Result<Recording> {
        self.require_keeper()?;
        let path = self
            .folder()
            .journal(take)
            .map_err(|_| Error::not_found("recording", take))?;
        if !self.recordings().insert(take.to_owned()) {
            return Err(Error::Conflict(
                "this recording is going on in another connection".into(),
            ));
        }
        let gone_on = tokio::task::spawn_blocking(move || Recording::go_on(&path)).await?;
        gone_on.map_err(|error| {
            self.recordings().remove(take);
            match error {
                Error::Io { ref source, .. } if source.kind() == std::io::ErrorKind::NotFound => {
                    Error::not_found("recording", take)
                }
                other => other,
            }
        })
    }

    /// Leaves a recording where it is: it can be resumed, or is recovered at the next start.
    pub fn leave_recording(&self, recording: &Recording) {
        self.recordings().remove(&recording.head().take);
    }

    /// Ends a recording and keeps it as a take.
    ///
    /// # Errors
    /// [`Error::Invalid`] when nothing was recorded; [`Error::DiskFull`] and [`Error::Io`] from
    /// the disk. The journal stays then, and is tried again at the next start.
    pub async fn finish_recording(&self, recording: Recording) -> Result<Take> {
        let take = recording.head().take.clone();
        let path = recording.path().to_owned();
        drop(recording);
        let finished = self.keep_journal(&path, false).await;
        self.recordings().remove(&take);
        let Some(finished) = finished? else {
            remove(&path).await?;
            return Err(Error::invalid("take", "nothing was recorded"));
        };
        remove(&path).await?;
        Ok(finished)
    }

    /// Throws a recording away, for good.
    ///
    /// # Errors
    /// [`Error::Io`] from the disk.
    pub async fn discard_recording(&self, recording: Recording) -> Result<()> {
        let take = recording.head().take.clone();
        let path = recording.path().to_owned();
        drop(recording);
        self.recordings().remove(&take);
        if self.take(&take).await.is_ok() {
            self.remove_take(&take).await?;
        }
        remove(&path).await
    }

    /// Makes takes of all journals that were left behind; for the start of the program.
    ///
    /// A journal younger than ten minutes stays so that the page can go on with it; older ones
    /// are removed once their take is safe.
    ///
    /// # Errors
    /// [`Error::InUse`] unless this process is the keeper; [`Error::DiskFull`] and [`Error::Io`]
    /// from the disk.
    pub async fn recover(&self) -> Result<Vec<Recovered>> {
        self.require_keeper()?;
        let mut found = Vec::new();
        for path in self.left_journals().await? {
            if self.is_kept(&path).await {
                if age(&path) > RESUMABLE {
                    remove(&path).await?;
                }
                continue;
            }
            match self.keep_journal(&path, true).await {
                Ok(take) => {
                    if take.is_none() || age(&path) > RESUMABLE {
                        remove(&path).await?;
                    }
                    found.push(Recovered {
                        take,
                        set_aside: None,
                    });
                }
                Err(Error::Damaged { .. } | Error::Invalid { .. }) => {
                    let aside = path.with_extension("damaged");
                    tokio::fs::rename(&path, &aside)
                        .await
                        .map_err(Error::io(&path))?;
                    found.push(Recovered {
                        take: None,
                        set_aside: Some(aside),
                    });
                }
                Err(error) => return Err(error),
            }
        }
        Ok(found)
    }

    /// Journals that nobody is recording into, oldest first; half-made files are swept away.
    async fn left_journals(&self) -> Result<Vec<PathBuf>> {
        let folder = self.folder().root().join(crate::folder::JOURNALS);
        let mut entries = tokio::fs::read_dir(&folder)
            .await
            .map_err(Error::io(&folder))?;
        let mut journals = Vec::new();
        while let Some(entry) = entries.next_entry().await.map_err(Error::io(&folder))? {
            let path = entry.path();
            let stem = path.file_stem().and_then(|stem| stem.to_str());
            let Some(take) = stem.map(str::to_owned) else {
                continue;
            };
            if self.recordings().contains(&take) {
                continue;
            }
            match path.extension().and_then(|extension| extension.to_str()) {
                Some("pcm") => journals.push(path),
                Some("part") if age(&path) > RESUMABLE => remove(&path).await?,
                _ => {}
            }
        }
        journals.sort();
        Ok(journals)
    }

    /// Whether a take holds all that a journal does: nothing was written since it was made.
    async fn is_kept(&self, path: &Path) -> bool {
        let Some(id) = path.file_stem().and_then(|stem| stem.to_str()) else {
            return false;
        };
        let Ok(take) = self.take(id).await else {
            return false;
        };
        // Counted, not told by the clock: that may jump.
        let journal = path.to_owned();
        let end = tokio::task::spawn_blocking(move || Reader::open(&journal).map(Reader::end));
        let held = (take.seconds * f64::from(take.sample_rate)).round() as u64;
        matches!(end.await, Ok(Ok(end)) if end <= held)
    }

    /// Makes a take of a journal; `None` when it holds no sound.
    async fn keep_journal(&self, path: &Path, recovered: bool) -> Result<Option<Take>> {
        let folder = self.folder().clone();
        let journal = path.to_owned();
        let (reader, stored, gaps) =
            tokio::task::spawn_blocking(move || vault::put_journal(&folder, &journal)).await??;
        if stored.samples == 0 {
            return Ok(None);
        }
        let head = reader.head();
        let before = self.take(&head.take).await.ok();
        if let Some(before) = &before
            && before.sha256 == stored.sha256
            && recovered
        {
            return Ok(Some(before.clone()));
        }
        let sound = (head.sample_rate, 1);
        self.put_take(&head.take, &head.about, &stored, sound, &gaps, recovered)
            .await?;
        if let Some(before) = before.filter(|before| before.sha256 != stored.sha256) {
            self.drop_sound_if_unused(&before.sha256).await?;
        }
        // A take that the player removed meanwhile stays removed.
        Ok(Some(self.restore_take(&head.take).await?))
    }
}

fn age(path: &Path) -> Duration {
    std::fs::metadata(path)
        .and_then(|metadata| metadata.modified())
        .ok()
        .and_then(|modified| SystemTime::now().duration_since(modified).ok())
        .unwrap_or_default()
}

async fn remove(path: &Path) -> Result<()> {
    match tokio::fs::remove_file(path).await {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => Err(Error::io(path)(error)),
        _ => Ok(()),
    }
}
