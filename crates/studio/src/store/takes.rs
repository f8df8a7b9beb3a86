//! Takes: listed by page, with their part and report.

use std::path::PathBuf;

use serde_json::Value;
use sqlx::FromRow;

use super::{Store, touched};
use crate::clock::{fresh_id, now_ms};
use crate::sound::Sound;
use crate::sound::vault::{self, Stored};
use crate::{Error, Gap, NewTake, Result, Take, TakeFilter, TakePage};

/// Columns of a listed take; the part and the report stay in their own tables.
const COLUMNS: &str = "take.id, take.player, take.exercise, take.instrument, take.title,
    take.started_ms, take.seconds, take.sample_rate, take.channels, take.sha256, take.bytes,
    take.gaps, take.origin, take.recovered, take.created_ms, take.changed_ms, report.summary";

#[derive(FromRow)]
struct Row {
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

/// What hearing a take gave.
#[derive(Clone, Debug, PartialEq)]
pub struct HeardTake {
    /// Version of the program that heard it.
    pub version: String,
    /// A few figures for lists, JSON.
    pub summary: Value,
    /// The whole report, JSON.
    pub report: Value,
    /// Pitch and level over time, JSON.
    pub curves: Value,
    /// What progress is computed from.
    pub measures: Vec<crate::progress::Measure>,
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
        if let Some(part) = &about.part {
            sqlx::query(
                "insert into take_part (take, json) values ($1, $2)
                 on conflict (take) do update set json = excluded.json",
            )
            .bind(id)
            .bind(serde_json::to_string(part)?)
            .execute(&mut *transaction)
            .await?;
        }
        transaction.commit().await?;
        Ok(())
    }

    /// A page of takes, the latest first.
    ///
    /// # Errors
    /// [`Error::Invalid`] for a `before` that no page gave.
    pub async fn takes(&self, filter: &TakeFilter) -> Result<TakePage> {
        let limit = filter.limit.unwrap_or(50).clamp(1, 500);
        let (before_ms, before_id) = match filter.before.as_deref() {
            None => (i64::MAX, String::new()),
            Some(cursor) => cursor
                .split_once('.')
                .and_then(|(ms, id)| Some((ms.parse().ok()?, id.to_owned())))
                .ok_or_else(|| Error::invalid("before", "must be the `next` of a page"))?,
        };
        let query = format!(
            "select {COLUMNS} from take left join report on report.take = take.id
             where (take.deleted_ms is not null) = ($1 <> 0)
               and ($2 is null or take.player = $2) and ($3 is null or take.exercise = $3)
               and ($4 is null or take.instrument = $4)
               and (take.started_ms < $5 or (take.started_ms = $5 and take.id < $6))
             order by take.started_ms desc, take.id desc limit $7"
        );
        // Only the constant list of columns goes into the text of the query.
        let rows: Vec<Row> = sqlx::query_as(sqlx::AssertSqlSafe(query))
            .bind(i64::from(filter.deleted))
            .bind(&filter.player)
            .bind(&filter.exercise)
            .bind(&filter.instrument)
            .bind(before_ms)
            .bind(before_id)
            .bind(i64::from(limit) + 1)
            .fetch_all(self.pool())
            .await?;
        let (total,): (i64,) = sqlx::query_as(
            "select count(*) from take where (deleted_ms is not null) = ($1 <> 0)
               and ($2 is null or player = $2) and ($3 is null or exercise = $3)
               and ($4 is null or instrument = $4)",
        )
        .bind(i64::from(filter.deleted))
        .bind(&filter.player)
        .bind(&filter.exercise)
        .bind(&filter.instrument)
        .fetch_one(self.pool())
        .await?;
        let mut takes = rows
            .into_iter()
            .map(Take::try_from)
            .collect::<Result<Vec<_>>>()?;
        let more = takes.len() > limit as usize;
        takes.truncate(limit as usize);
        Ok(TakePage {
            next: takes
                .last()
                .filter(|_| more)
                .map(|last| format!("{}.{}", last.started_ms, last.id)),
            takes,
            total: u64::try_from(total).unwrap_or(0),
        })
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

    /// The part that was to be played, if the take was of one.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn take_part(&self, id: &str) -> Result<Option<Value>> {
        let row: Option<(String,)> = sqlx::query_as("select json from take_part where take = $1")
            .bind(id)
            .fetch_optional(self.pool())
            .await?;
        Ok(row.map(|(json,)| serde_json::from_str(&json)).transpose()?)
    }

    /// The report of a take, if it was heard.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn take_report(&self, id: &str) -> Result<Option<Value>> {
        let row: Option<(String,)> = sqlx::query_as("select json from report where take = $1")
            .bind(id)
            .fetch_optional(self.pool())
            .await?;
        Ok(row.map(|(json,)| serde_json::from_str(&json)).transpose()?)
    }

    /// Pitch and level of a take over time, if it was heard.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn take_curves(&self, id: &str) -> Result<Option<Value>> {
        let row: Option<(String,)> = sqlx::query_as("select json from take_curves where take = $1")
            .bind(id)
            .fetch_optional(self.pool())
            .await?;
        Ok(row.map(|(json,)| serde_json::from_str(&json)).transpose()?)
    }

    /// Keeps what hearing a take gave, in place of what was heard before.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown take.
    pub async fn put_heard(&self, id: &str, heard: &HeardTake) -> Result<()> {
        self.take(id).await?;
        let _turn = self.turn().await;
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        sqlx::query(
            "insert into report (take, heard_ms, version, summary, json)
             values ($1, $2, $3, $4, $5)
             on conflict (take) do update set heard_ms = excluded.heard_ms,
                version = excluded.version, summary = excluded.summary, json = excluded.json",
        )
        .bind(id)
        .bind(now_ms())
        .bind(&heard.version)
        .bind(serde_json::to_string(&heard.summary)?)
        .bind(serde_json::to_string(&heard.report)?)
        .execute(&mut *transaction)
        .await?;
        sqlx::query(
            "insert into take_curves (take, json) values ($1, $2)
             on conflict (take) do update set json = excluded.json",
        )
        .bind(id)
        .bind(serde_json::to_string(&heard.curves)?)
        .execute(&mut *transaction)
        .await?;
        sqlx::query("delete from measure where take = $1")
            .bind(id)
            .execute(&mut *transaction)
            .await?;
        for measure in &heard.measures {
            if !measure.value.is_finite() || !measure.sigma.is_finite() {
                continue;
            }
            sqlx::query(
                "insert into measure (take, skill, zone, value, sigma)
                 values ($1, $2, $3, $4, $5) on conflict (take, skill, zone) do nothing",
            )
            .bind(id)
            .bind(&measure.skill)
            .bind(&measure.zone)
            .bind(measure.value)
            .bind(measure.sigma)
            .execute(&mut *transaction)
            .await?;
        }
        transaction.commit().await?;
        Ok(())
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

    /// How many takes there are.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn take_count(&self) -> Result<u64> {
        let (count,): (i64,) = sqlx::query_as("select count(*) from take where deleted_ms is null")
            .fetch_one(self.pool())
            .await?;
        Ok(u64::try_from(count).unwrap_or(0))
    }

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
