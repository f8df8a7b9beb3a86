//! Load and rest: what a player has done on a day and what is left of the limits.
//!
//! The limits are the player's own; the defaults are common practice, no source.

use serde::{Deserialize, Serialize};

use crate::PlayerInput;

/// What one take asked of the lips.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effort {
    /// When it began, Unix milliseconds.
    pub started_ms: i64,
    /// Seconds the tube sounded; the whole take when it has not been heard.
    pub playing_s: f64,
    /// Seconds it did not.
    pub rest_s: f64,
    /// Load (see the load table of the routines); 0 when it has not been heard.
    pub load: f64,
}

/// A day in a list.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Day {
    /// The day, `YYYY-MM-DD`.
    pub day: String,
    /// Seconds of playing.
    pub playing_s: f64,
    /// Seconds of rest within takes.
    pub rest_s: f64,
    /// Load.
    pub load: f64,
}

/// How the day stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Balance {
    /// The day.
    #[serde(flatten)]
    pub today: Day,
    /// Minutes a day at most.
    pub limit_minutes: u32,
    /// Load a day at most, if the player has such a limit.
    pub limit_load: Option<f64>,
    /// Minutes of playing left today, 0 when the limit is reached.
    pub left_minutes: f64,
    /// Cautions that apply now, in plain words.
    pub cautions: Vec<String>,
    /// The seven days up to this one.
    pub week: Vec<Day>,
}

/// Always shown: when to stop.
const STOP: &str = "Pain, numbness, dizziness or a lip that stops responding: stop and rest. \
    Trouble that stays belongs to a licensed clinician.";
const DAY_MS: i64 = 86_400_000;

/// Days since 1970-01-01 of a moment, where local time is `offset_minutes` ahead of UTC.
#[must_use]
pub fn day_number(at_ms: i64, offset_minutes: i32) -> i64 {
    (at_ms + i64::from(offset_minutes) * 60_000).div_euclid(DAY_MS)
}

/// `YYYY-MM-DD` of a day number (days since 1970-01-01, proleptic Gregorian calendar; Hinnant,
/// "chrono-compatible low-level date algorithms", `civil_from_days`).
#[must_use]
pub fn day_name(day: i64) -> String {
    let z = day + 719_468;
    let era = z.div_euclid(146_097);
    let day_of_era = z.rem_euclid(146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * day_of_year + 2) / 153;
    let day_of_month = day_of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 {
        shifted + 3
    } else {
        shifted - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day_of_month:02}")
}

/// The day number of `YYYY-MM-DD`; `None` for a text that is no date (Hinnant,
/// `days_from_civil`).
#[must_use]
pub fn parse_day(text: &str) -> Option<i64> {
    let mut fields = text.splitn(3, '-');
    let mut next = |most: i64| {
        let number: i64 = fields.next()?.parse().ok()?;
        (0..=most).contains(&number).then_some(number)
    };
    let (year, month, day) = (next(9999)?, next(12)?, next(31)?);
    let year_shifted = year - i64::from(month <= 2);
    let era = year_shifted.div_euclid(400);
    let year_of_era = year_shifted.rem_euclid(400);
    let day_of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    let number = era * 146_097 + day_of_era - 719_468;
    // Only a true date prints as it was written.
    (month > 0 && day > 0 && day_name(number) == text).then_some(number)
}

/// How a day stands for a player, from the efforts of (at least) the seven days up to it.
#[must_use]
pub fn balance(player: &PlayerInput, day: i64, offset_minutes: i32, efforts: &[Effort]) -> Balance {
    let total = |day: i64| {
        let mut sum = Day {
            day: day_name(day),
            playing_s: 0.0,
            rest_s: 0.0,
            load: 0.0,
        };
        for effort in efforts {
            if day_number(effort.started_ms, offset_minutes) == day {
                sum.playing_s += effort.playing_s;
                sum.rest_s += effort.rest_s;
                sum.load += effort.load;
            }
        }
        sum
    };
    let today = total(day);
    let limit_s = f64::from(player.minutes_a_day) * 60.0;
    let mut cautions = Vec::new();
    if today.playing_s >= limit_s {
        cautions.push(format!(
            "Today's {} minutes of playing are used up: rest now.",
            player.minutes_a_day
        ));
    } else if today.playing_s >= 0.8 * limit_s {
        cautions.push("Four fifths of today's playing are used up: keep some for later.".into());
    }
    if player.load_a_day.is_some_and(|limit| today.load >= limit) {
        cautions.push("Today's load is used up: play low and soft, or rest.".into());
    }
    if today.rest_s < today.playing_s && today.playing_s > 600.0 {
        cautions.push("There was less rest than playing: rest as long as you play.".into());
    }
    cautions.push(STOP.into());
    Balance {
        limit_minutes: player.minutes_a_day,
        limit_load: player.load_a_day,
        left_minutes: ((limit_s - today.playing_s) / 60.0).max(0.0),
        cautions,
        week: (day - 6..=day).map(total).collect(),
        today,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_named_as_the_calendar_names_them() {
        // 2000-02-29 is day 11016 (Unix time 951782400); 1970-01-01 is day 0.
        for (day, name) in [
            (0, "1970-01-01"),
            (11_016, "2000-02-29"),
            (-1, "1969-12-31"),
        ] {
            assert_eq!(day_name(day), name);
            assert_eq!(parse_day(name), Some(day));
        }
        for bad in [
            "2023-02-29",
            "2024-13-01",
            "x",
            "2024-1-1",
            "",
            "2024-00-10",
        ] {
            assert_eq!(parse_day(bad), None, "{bad}");
        }
        // 23:30 UTC is the next day where the clock is an hour ahead.
        assert_eq!(day_number(23 * 3_600_000 + 1_800_000, 60), 1);
    }

    #[test]
    fn the_day_is_summed_and_the_limit_speaks_up() {
        let player = PlayerInput {
            minutes_a_day: 30,
            ..PlayerInput::named("Ada", "trumpet-bflat")
        };
        let effort = |started_ms, playing_s| Effort {
            started_ms,
            playing_s,
            rest_s: 0.0,
            load: 1.0,
        };
        let efforts = [effort(0, 1000.0), effort(1, 900.0), effort(DAY_MS, 60.0)];
        let first = balance(&player, 0, 0, &efforts);
        assert_eq!((first.today.playing_s, first.left_minutes), (1900.0, 0.0));
        assert!(first.cautions[0].contains("rest now"));
        let second = balance(&player, 1, 0, &efforts);
        assert_eq!(second.left_minutes, 29.0);
        assert_eq!(second.cautions, [STOP]);
        assert_eq!(second.week.len(), 7);
    }
}
