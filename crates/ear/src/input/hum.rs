//! Mains hum: lines at multiples of 50 or 60 Hz where nobody plays.

use crate::Samples;
use crate::level::quiet;

/// Multiples of the mains frequency that are looked at.
const LINES: usize = 8;
/// How far a line must stand above what is round it, dB. Averaged over at least two pieces of
/// 0.7 s, noise reaches this in fewer than 1 of 10^4 bins.
const STANDS_OUT_DB: f64 = 12.0;
/// How many lines make a hum; at least one of them among the first three.
const ENOUGH: usize = 2;
/// Hum quieter than this is not reported, dB against full scale.
const FAINT_DB: f64 = -78.0;

/// A hum that was found.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Hum {
    pub(super) mains_hz: f64,
    /// All lines together, dB against full scale.
    pub(super) level_db: f64,
    /// How far below the loud part of the take, dB.
    pub(super) below_playing_db: f64,
}

/// Looks for hum in the quiet pieces of a take; `None` when there is none or no quiet piece.
pub(super) fn find(samples: &Samples) -> Option<Hum> {
    let quiet = quiet::spectrum(samples)?;
    [50.0, 60.0]
        .into_iter()
        .filter_map(|mains_hz| lines(&quiet, mains_hz))
        .max_by(|a, b| a.level_db.total_cmp(&b.level_db))
}

fn lines(quiet: &quiet::Quiet, mains_hz: f64) -> Option<Hum> {
    let mut power = 0.0;
    let (mut count, mut low) = (0, false);
    for line in 1..=LINES {
        let hz = mains_hz * line as f64;
        let (peak, around) = (quiet.line(hz), quiet.around(hz)?);
        if 10.0 * (peak / around.max(1e-30)).log10() > STANDS_OUT_DB {
            power += peak;
            count += 1;
            low |= line <= 3;
        }
    }
    let level_db = 10.0 * power.max(1e-30).log10();
    (count >= ENOUGH && low && level_db > FAINT_DB).then_some(Hum {
        mains_hz,
        level_db,
        below_playing_db: quiet.playing_db - level_db,
    })
}
