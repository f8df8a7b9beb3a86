//! Takes listed by page, the latest first.

use super::Store;
use super::takes::{COLUMNS, Row};
use crate::{Error, Result, Take, TakeFilter, TakePage};

impl Store {
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

    /// Every take that is there, the latest first.
    pub(super) async fn every_take(&self) -> Result<Vec<Take>> {
        let mut filter = TakeFilter {
            limit: Some(500),
            ..TakeFilter::default()
        };
        let mut takes = Vec::new();
        loop {
            let page = self.takes(&filter).await?;
            takes.extend(page.takes);
            match page.next {
                Some(next) => filter.before = Some(next),
                None => return Ok(takes),
            }
        }
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
}
