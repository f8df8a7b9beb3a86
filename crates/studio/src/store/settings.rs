//! Settings and the passphrase: small values by name.

use sqlx::Row;

use super::Store;
use crate::{Result, Settings};

const SETTINGS: &str = "settings";
const PASSPHRASE: &str = "passphrase";

impl Store {
    /// The settings; defaults for what was never set.
    ///
    /// # Errors
    /// [`crate::Error::Busy`] and other refusals of the database.
    pub async fn settings(&self) -> Result<Settings> {
        Ok(match self.setting(SETTINGS).await? {
            Some(json) => serde_json::from_str(&json)?,
            None => Settings::default(),
        })
    }

    /// Keeps the settings.
    ///
    /// # Errors
    /// [`crate::Error::Invalid`] names the field.
    pub async fn set_settings(&self, settings: &Settings) -> Result<()> {
        settings.check()?;
        self.set(SETTINGS, &serde_json::to_string(settings)?).await
    }

    /// The hash of the passphrase (PHC string format), if one was set.
    ///
    /// # Errors
    /// [`crate::Error::Busy`] and other refusals of the database.
    pub async fn passphrase_hash(&self) -> Result<Option<String>> {
        self.setting(PASSPHRASE).await
    }

    /// Keeps the hash of the passphrase.
    ///
    /// # Errors
    /// [`crate::Error::Busy`] and other refusals of the database.
    pub async fn set_passphrase_hash(&self, hash: &str) -> Result<()> {
        self.set(PASSPHRASE, hash).await
    }

    async fn setting(&self, name: &str) -> Result<Option<String>> {
        let row = sqlx::query("select json from setting where name = $1")
            .bind(name)
            .fetch_optional(self.pool())
            .await?;
        Ok(row.map(|row| row.try_get(0)).transpose()?)
    }

    async fn set(&self, name: &str, json: &str) -> Result<()> {
        sqlx::query(
            "insert into setting (name, json) values ($1, $2)
             on conflict (name) do update set json = excluded.json",
        )
        .bind(name)
        .bind(json)
        .execute(self.pool())
        .await?;
        Ok(())
    }
}
