//! The sound files of takes.

use std::path::PathBuf;

use super::Store;
use crate::{Error, Result, Take};

impl Store {
    /// Removes a sound that no take names any more.
    pub(super) async fn drop_sound_if_unused(&self, sha256: &str) -> Result<()> {
        let (uses,): (i64,) = sqlx::query_as("select count(*) from take where sha256 = $1")
            .bind(sha256)
            .fetch_one(self.pool())
            .await?;
        if uses == 0 {
            let path = self.folder().sound(sha256)?;
            // If it cannot be removed now, the doctor will find it.
            tokio::fs::remove_file(&path).await.ok();
        }
        Ok(())
    }

    /// The FLAC file of a take.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown take, [`Error::Damaged`] when the file is not there.
    pub async fn take_sound(&self, id: &str) -> Result<(Take, PathBuf)> {
        let take = self.take(id).await?;
        let path = self.folder().sound(&take.sha256)?;
        if !tokio::fs::try_exists(&path).await.unwrap_or(false) {
            return Err(Error::Damaged {
                path,
                detail: "the sound of this take is missing".into(),
            });
        }
        Ok((take, path))
    }
}
