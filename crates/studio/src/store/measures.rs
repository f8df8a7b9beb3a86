//! Figures over time: progress by skill and zone, and the load of days.

use std::collections::BTreeMap;

use super::Store;
use crate::load::Effort;
use crate::progress::{DAY_MS, Point, SKILLS, Series, ZONES, series};
use crate::{Error, Result};

/// Most points of a series: what a drawing as wide as a hand can still show apart.
const MOST_POINTS: i64 = 90;

/// What progress is wanted of; everything when nothing is named.
#[derive(Clone, Debug, Default)]
pub struct ProgressFilter {
    /// From this moment on, Unix milliseconds.
    pub since_ms: i64,
    /// One skill alone, by its id.
    pub skill: Option<String>,
    /// One zone of the register alone.
    pub zone: Option<String>,
}

impl ProgressFilter {
    fn check(&self) -> Result<()> {
        if let Some(skill) = &self.skill
            && !SKILLS.iter().any(|known| known.id == skill)
        {
            let known = SKILLS.map(|known| known.id).join(", ");
            return Err(Error::invalid("skill", format!("must be one of {known}")));
        }
        if let Some(zone) = &self.zone
            && !ZONES.contains(&zone.as_str())
        {
            let known = ZONES.join(", ");
            return Err(Error::invalid("zone", format!("must be one of {known}")));
        }
        Ok(())
    }
}

/// One span of days in one skill and zone, as the database sums it up.
#[derive(sqlx::FromRow)]
struct Span {
    skill: String,
    zone: String,
    takes: i64,
    at_ms: f64,
    value: f64,
    square: f64,
    variance: f64,
}

impl Span {
    /// The mean of the span with its uncertainty: what each figure is unsure by, or how the
    /// figures scatter, whichever is larger (few figures scatter too little by chance).
    fn point(&self) -> Point {
        let scatter = (self.square - self.value * self.value).max(0.0);
        Point {
            at_ms: self.at_ms as i64,
            value: self.value,
            sigma: (self.variance.max(scatter) / self.takes.max(1) as f64).sqrt(),
            takes: u32::try_from(self.takes).unwrap_or(u32::MAX),
        }
    }
}

/// How long a span is, so that a history of so many milliseconds has [`MOST_POINTS`] at most:
/// whole days.
fn span_ms(history_ms: i64) -> i64 {
    let days = history_ms / DAY_MS + 1;
    DAY_MS * ((days + MOST_POINTS - 1) / MOST_POINTS).max(1)
}

impl Store {
    /// Progress of a player, one series for each skill and zone with points. Each point sums up
    /// the takes of a day (UTC), or of a span of days where the history is longer than three
    /// months.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown player, [`Error::Invalid`] for an unknown skill or zone.
    pub async fn progress(&self, player: &str, filter: &ProgressFilter) -> Result<Vec<Series>> {
        filter.check()?;
        self.player(player).await?;
        let (first, last): (Option<i64>, Option<i64>) = sqlx::query_as(
            "select min(started_ms), max(started_ms) from take
             where player = $1 and deleted_ms is null and started_ms >= $2",
        )
        .bind(player)
        .bind(filter.since_ms)
        .fetch_one(self.pool())
        .await?;
        let (Some(first), Some(last)) = (first, last) else {
            return Ok(Vec::new());
        };
        let midnight = first - first.rem_euclid(DAY_MS);
        let spans: Vec<Span> = sqlx::query_as(
            "select skill, zone, (take.started_ms - $3) / $4 as span, count(*) as takes,
                avg(take.started_ms) as at_ms, avg(value) as value, avg(value * value) as square,
                avg(sigma * sigma) as variance
             from take join measure on measure.take = take.id
             where take.player = $1 and take.deleted_ms is null and take.started_ms >= $2
               and ($5 is null or skill = $5) and ($6 is null or zone = $6)
             group by skill, zone, span order by skill, zone, span",
        )
        .bind(player)
        .bind(filter.since_ms)
        .bind(midnight)
        .bind(span_ms(last - midnight))
        .bind(&filter.skill)
        .bind(&filter.zone)
        .fetch_all(self.pool())
        .await?;
        let mut points: BTreeMap<(String, String), Vec<Point>> = BTreeMap::new();
        for span in spans {
            let point = span.point();
            let one = points.entry((span.skill, span.zone)).or_default();
            one.push(point);
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
    /// [`Error::Busy`] and other refusals of the database.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_span_is_whole_days_and_a_history_has_ninety_at_most() {
        assert_eq!(span_ms(0), DAY_MS);
        assert_eq!(span_ms(90 * DAY_MS - 1), DAY_MS);
        assert_eq!(span_ms(90 * DAY_MS), 2 * DAY_MS);
        for days in [1, 100, 365, 3650] {
            let history = days * DAY_MS;
            assert!(history / span_ms(history) < MOST_POINTS, "{days} days");
        }
    }
}
