//! Cautions that a take calls for. Loudness only after calibration.

use crate::Measure;
use crate::report::Report;

/// NIOSH 98-126: recommended limit for 8 hours, and the exchange rate.
const LIMIT_DBA: f64 = 85.0;
const EXCHANGE_DB: f64 = 3.0;

/// The cautions.
#[must_use]
pub fn cautions(report: &Report) -> Vec<String> {
    let mut cautions = Vec::new();
    if let Measure::Known { value, .. } = report.take.level_dba
        && value > LIMIT_DBA
    {
        cautions.push(format!(
            "At {value:.0} dB(A) where the microphone stands, NIOSH (98-126) recommends at most {} \
             a day. Levels at your own ear may be higher. Local rules come first; rest your ears, \
             and ask a hearing specialist about protection.",
            duration(minutes(value))
        ));
    }
    cautions
}

/// Minutes a day at a level: `480 / 2^((L - 85) / 3)`.
fn minutes(dba: f64) -> f64 {
    480.0 / ((dba - LIMIT_DBA) / EXCHANGE_DB).exp2()
}

fn duration(minutes: f64) -> String {
    if minutes >= 90.0 {
        format!("{:.1} hours", minutes / 60.0)
    } else if minutes >= 1.0 {
        format!("{minutes:.0} minutes")
    } else {
        format!("{:.0} seconds", minutes * 60.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// NIOSH 98-126, table 1-1.
    #[test]
    fn times_follow_the_published_table() {
        for (dba, expected) in [
            (85.0, 480.0),
            (88.0, 240.0),
            (91.0, 120.0),
            (94.0, 60.0),
            (97.0, 30.0),
            (100.0, 15.0),
        ] {
            assert!((minutes(dba) - expected).abs() < 1e-9);
        }
    }
}
