//! What was to be played and what was heard of a take.

use serde_json::Value;

use super::Store;
use super::packed::{self, Packed};
use crate::Result;
use crate::clock::now_ms;
use crate::progress::Measure;

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
    pub measures: Vec<Measure>,
}

impl Store {
    /// The part that was to be played, if the take was of one.
    ///
    /// # Errors
    /// [`crate::Error::Damaged`] names the take when it does not read; [`crate::Error::Busy`] and
    /// other refusals of the database.
    pub async fn take_part(&self, id: &str) -> Result<Option<Value>> {
        self.packed(Packed::Part, id).await
    }

    /// The report of a take, if it was heard.
    ///
    /// # Errors
    /// As [`Store::take_part`].
    pub async fn take_report(&self, id: &str) -> Result<Option<Value>> {
        self.packed(Packed::Report, id).await
    }

    /// Pitch and level of a take over time, if it was heard.
    ///
    /// # Errors
    /// As [`Store::take_part`].
    pub async fn take_curves(&self, id: &str) -> Result<Option<Value>> {
        self.packed(Packed::Curves, id).await
    }

    /// Keeps what hearing a take gave, in place of what was heard before.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`] for an unknown take.
    pub async fn put_heard(&self, id: &str, heard: HeardTake) -> Result<()> {
        self.take(id).await?;
        // Packed before the turn: others may write meanwhile.
        let report = packed::pack(heard.report).await?;
        let curves = packed::pack(heard.curves).await?;
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
        .bind(report)
        .execute(&mut *transaction)
        .await?;
        packed::put(&mut transaction, Packed::Curves, id, curves).await?;
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

    /// Forgets what was to be played.
    pub(super) async fn forget_part(&self, id: &str) -> Result<()> {
        sqlx::query("delete from take_part where take = $1")
            .bind(id)
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Forgets what was heard of a take, so that it can be heard again.
    pub(super) async fn forget_heard(&self, id: &str) -> Result<()> {
        let _turn = self.turn().await;
        let mut transaction = self.pool().begin_with("begin immediate").await?;
        for query in [
            "delete from report where take = $1",
            "delete from take_curves where take = $1",
            "delete from measure where take = $1",
        ] {
            sqlx::query(query)
                .bind(id)
                .execute(&mut *transaction)
                .await?;
        }
        transaction.commit().await?;
        Ok(())
    }
}
