//! Takes: added, looked up, changed, removed and brought back.

use sqlx::FromRow;

use super::packed::{self, Packed};
use super::{Store, touched};
use crate::clock::{fresh_id, now_ms};
use crate::sound::Sound;
use crate::sound::vault::{self, Stored};
use crate::{Error, Gap, NewTake, Result, Take};

/// Columns of a listed take; the part and the report stay in their own tables.
pub(super) const COLUMNS: &str = "take.id, take.player, take.exercise, take.instrument, take.title,
    take.started_ms, take.seconds, take.sample_rate, take.channels, take.sha256, take.bytes,
    take.gaps, take.origin, take.recovered, take.created_ms, take.changed_ms, report.summary";

/// A take as the database lists it.
#[derive(FromRow)]
pub(super) struct Row {
    id: String,
    player: Option<String>,
    exercise: Option<String>,
    instrument: String,
    title: String,
    started_ms: i64,
    seconds: f64,
    sample_rate: i64,
    channels: i64,
    sha256: String,
    bytes: i64,
    gaps: String,
    origin: Option<String>,
    recovered: i64,
    created_ms: i64,
    changed_ms: i64,
    summary: Option<String>,
}

impl TryFrom<Row> for Take {
    type Error = Error;

    fn try_from(row: Row) -> Result<Self> {
        let summary = row.summary.as_deref().map(serde_json::from_str).transpose();
        Ok(Self {
            id: row.id,
            player: row.player,
            exercise: row.exercise,
            instrument: row.instrument,
            title: row.title,
            started_ms: row.started_ms,
            seconds: row.seconds,
            sample_rate: u32::try_from(row.sample_rate).unwrap_or(0),
            channels: u32::try_from(row.channels).unwrap_or(0),
            sha256: row.sha256,
            bytes: u64::try_from(row.bytes).unwrap_or(0),
            gaps: serde_json::from_str(&row.gaps)?,
            origin: row
                .origin
                .as_deref()
                .map(serde_json::from_str)
                .transpose()?,
            recovered: row.recovered != 0,
            heard: row.summary.is_some(),
            summary: summary?,
            created_ms: row.created_ms,
            changed_ms: row.changed_ms,
        })
    }
}

impl Store {
    /// Keeps a finished sound as a take.
    ///
    /// # Errors
    /// [`Error::Invalid`] names the field; [`Error::DiskFull`] and [`Error::Io`] from the disk.
    pub async fn add_take(&self, about: &NewTake, sound: Sound) -> Result<Take> {
        about.check()?;
        let id = fresh_id();
        let folder = self.folder().clone();
        let name = id.clone();
        let (sample_rate, channels) = (sound.sample_rate, sound.channels);
        let stored =
            tokio::task::spawn_blocking(move || vault::put_sound(&folder, &name, &sound)).await??;
        if stored.samples == 0 {
            return Err(Error::invalid("sound", "holds no samples"));
        }
        self.put_take(&id, about, &stored, (sample_rate, channels), &[], false)
            .await?;
        self.take(&id).await
    }

    /// Writes the row of a take and its part in one transaction.
    pub(super) async fn put_take(
        &self,
        id: &str,
        about: &NewTake,
        stored: &Stored,
        (sample_rate, channels): (u32, u32),
        gaps: &[Gap],
        recovered: bool,
    ) -> Result<()> {
        let part = match &about.part {
            Some(part) => Some(packed::pack(part.clone()).await?),
            None => None,
        };
        let seconds = stored.samples as f64 / f64::from(sample_rate.max(1));
        let _turn = self.turn().await;
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        sqlx::query(
            "insert into take (id, player, exercise, instrument, title, started_ms, seconds,
                sample_rate, channels, sha256, bytes, gaps, origin, recovered, created_ms,
                changed_ms)
             values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $15)
             on conflict (id) do update set seconds = excluded.seconds,
                sha256 = excluded.sha256, bytes = excluded.bytes, gaps = excluded.gaps,
                recovered = excluded.recovered, changed_ms = excluded.changed_ms",
        )
        .bind(id)
        .bind(&about.player)
        .bind(&about.exercise)
        .bind(&about.instrument)
        .bind(&about.title)
        .bind(about.started_ms)
        .bind(seconds)
        .bind(i64::from(sample_rate))
        .bind(i64::from(channels))
        .bind(&stored.sha256)
        .bind(stored.bytes as i64)
        .bind(serde_json::to_string(gaps)?)
        .bind(
            about
                .origin
                .as_ref()
                .map(serde_json::to_string)
                .transpose()?,
        )
        .bind(i64::from(recovered))
        .bind(now_ms())
        .execute(&mut *transaction)
        .await?;
        if let Some(part) = part {
            packed::put(&mut transaction, Packed::Part, id, part).await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// One take.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none or it was removed.
    pub async fn take(&self, id: &str) -> Result<Take> {
        let query = format!(
            "select {COLUMNS} from take left join report on report.take = take.id
             where take.id = $1 and take.deleted_ms is null"
        );
        let row: Option<Row> = sqlx::query_as(sqlx::AssertSqlSafe(query))
            .bind(id)
            .fetch_optional(self.pool())
            .await?;
        row.ok_or_else(|| Error::not_found("take", id))?.try_into()
    }

    /// Changes title, player or exercise of a take; `None` leaves a field as it is.
    ///
    /// # Errors
    /// [`Error::NotFound`], or [`Error::Invalid`] naming the field.
    pub async fn change_take(
        &self,
        id: &str,
        title: Option<&str>,
        player: Option<&str>,
        exercise: Option<&str>,
    ) -> Result<Take> {
        let before = self.take(id).await?;
        let about = NewTake {
            player: player.map(str::to_owned).or(before.player),
            exercise: exercise.map(str::to_owned).or(before.exercise),
            instrument: before.instrument,
            title: title.map_or(before.title, str::to_owned),
            started_ms: before.started_ms,
            part: None,
            origin: before.origin,
        };
        about.check()?;
        sqlx::query(
            "update take set title = $2, player = $3, exercise = $4, changed_ms = $5
             where id = $1",
        )
        .bind(id)
        .bind(&about.title)
        .bind(&about.player)
        .bind(&about.exercise)
        .bind(now_ms())
        .execute(self.pool())
        .await?;
        self.take(id).await
    }

    /// Removes a take; its sound stays until the doctor sweeps, so that
    /// [`Store::restore_take`] can bring it back.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none.
    pub async fn remove_take(&self, id: &str) -> Result<()> {
        let done =
            sqlx::query("update take set deleted_ms = $2 where id = $1 and deleted_ms is null")
                .bind(id)
                .bind(now_ms())
                .execute(self.pool())
                .await?;
        touched(done.rows_affected(), "take", id)
    }

    /// Brings a removed take back; does nothing to one that is there.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there never was one.
    pub async fn restore_take(&self, id: &str) -> Result<Take> {
        sqlx::query("update take set deleted_ms = null where id = $1")
            .bind(id)
            .execute(self.pool())
            .await?;
        self.take(id).await
    }
}
