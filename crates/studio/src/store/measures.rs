//! Figures over time: progress by skill and zone, and the load of days.

use std::collections::BTreeMap;

use super::Store;
use crate::Result;
use crate::load::Effort;
use crate::progress::{Point, SKILLS, Series, series};

impl Store {
    /// Progress of a player since a moment, one series for each skill and zone with points.
    ///
    /// # Errors
    /// [`crate::Error::NotFound`] for an unknown player.
    pub async fn progress(&self, player: &str, since_ms: i64) -> Result<Vec<Series>> {
        self.player(player).await?;
        let rows: Vec<(String, String, i64, f64, f64, String)> = sqlx::query_as(
            "select skill, zone, started_ms, value, sigma, take.id
             from measure join take on take.id = measure.take
             where take.player = $1 and take.deleted_ms is null and take.started_ms >= $2
             order by take.started_ms desc limit 50000",
        )
        .bind(player)
        .bind(since_ms)
        .fetch_all(self.pool())
        .await?;
        let mut points: BTreeMap<(String, String), Vec<Point>> = BTreeMap::new();
        for (skill, zone, at_ms, value, sigma, take) in rows {
            points.entry((skill, zone)).or_default().push(Point {
                at_ms,
                value,
                sigma,
                take,
            });
        }
        Ok(points
            .into_iter()
            .filter_map(|((id, zone), points)| {
                let skill = SKILLS.iter().find(|skill| skill.id == id)?;
                series(skill, &zone, points)
            })
            .collect())
    }

    /// What a player's takes from one moment to another asked of the lips.
    ///
    /// # Errors
    /// [`crate::Error::Busy`] and other refusals of the database.
    pub async fn efforts(&self, player: &str, from_ms: i64, to_ms: i64) -> Result<Vec<Effort>> {
        let rows: Vec<(i64, f64, Option<String>)> = sqlx::query_as(
            "select take.started_ms, take.seconds, report.summary
             from take left join report on report.take = take.id
             where take.player = $1 and take.deleted_ms is null
               and take.started_ms >= $2 and take.started_ms < $3",
        )
        .bind(player)
        .bind(from_ms)
        .bind(to_ms)
        .fetch_all(self.pool())
        .await?;
        Ok(rows
            .into_iter()
            .map(|(started_ms, seconds, summary)| {
                let summary: serde_json::Value = summary
                    .and_then(|json| serde_json::from_str(&json).ok())
                    .unwrap_or_default();
                let figure = |name: &str| summary.get(name).and_then(serde_json::Value::as_f64);
                // What has not been heard counts as playing throughout: limits err on the safe side.
                let playing_s = figure("playing_s").unwrap_or(seconds).clamp(0.0, seconds);
                Effort {
                    started_ms,
                    playing_s,
                    rest_s: seconds - playing_s,
                    load: figure("load").unwrap_or(0.0),
                }
            })
            .collect())
    }
}
