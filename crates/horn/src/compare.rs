//! Two setups side by side: mouthpieces, leadpipes, temperatures or whole instruments, note by note.

use serde::Serialize;
use tone::Cents;

use crate::acoustics::{AcousticError, Setup};
use crate::bore::{Section, State};
use crate::impedance::{Resonances, resonances};
use crate::lips::{Slot, slots};
use crate::resonant::resonance_of;

/// Partials looked at for the cut-off of the bell.
const CUTOFF_PARTIALS: f64 = 30.0;
/// A resonance counts as held back by the bell while its peak stands this many times above the
/// valley after it (6 dB; our choice).
const CUTOFF_RATIO: f64 = 2.0;

/// One note on both setups; differences are the second minus the first.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// Label of the length.
    pub label: String,
    /// Partial.
    pub partial: u8,
    /// Where the first has it, Hz.
    pub frequency: f64,
    /// How much higher the second has it.
    pub cents: Cents,
    /// Height of the peak, second over first.
    pub height_ratio: f64,
    /// Lowest threshold pressures, Pa: first, second; `None` when the lips cannot start the note.
    pub threshold: [Option<f64>; 2],
    /// Slot widths, cents: first, second.
    pub slot_cents: [f64; 2],
}

/// What makes a tube sound bright.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Brightness {
    /// Frequency above which resonances hardly stand out (peak under twice the valley after it), Hz.
    pub cutoff: f64,
    /// Brassiness: the integral of `D0/D` along the tube over the equivalent cone length `c/2F` (Myers,
    /// Pyle, Gilbert, Campbell, Chick & Logie, J. Acoust. Soc. Am. 131 (2012) 678).
    ///
    /// `D0` is here the bore behind the taper of the leadpipe. The definition says "initial bore" (also
    /// Myers et al., Vienna Talk 2010, eq. 1), which on tubes without such a taper is the same. With a
    /// modern leadpipe it is not: its entry gives a third less ([`Brightness::brassiness_at_entry`]),
    /// and the entry is the least certain number of a generic bore, so that a flugelhorn (8.6 mm into
    /// 10.5) would come out brassier than a trumpet (8.3 into 11.66), against all experience. Compare
    /// only like with like.
    pub brassiness: f64,
    /// The same with `D0` at the entry of the leadpipe, behind the mouthpiece.
    pub brassiness_at_entry: f64,
}

/// Two setups compared.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// Notes that both have: same label of length, same partial.
    pub notes: Vec<Difference>,
    /// First, second.
    pub brightness: [Brightness; 2],
}

/// Compares two setups on every length whose label both have.
///
/// ```
/// use horn::{Air, Setup, compare::compare};
///
/// let mut cold = Setup::generic("trumpet-bflat")?;
/// let mut warm = cold.clone();
/// (cold.air, warm.air) = (Air::dry(20.0), Air::dry(25.0));
/// let found = compare(&cold, &warm)?;
/// // About three cents a degree in dry air.
/// assert!((13.5..15.5).contains(&found.notes[2].cents.0));
/// assert!(found.brightness[0].cutoff > 500.0);
/// # Ok::<(), horn::AcousticError>(())
/// ```
///
/// # Errors
/// As [`Setup::column`], for either.
pub fn compare(first: &Setup, second: &Setup) -> Result<Comparison, AcousticError> {
    let highest = first
        .instrument
        .highest_partial
        .min(second.instrument.highest_partial);
    let mut notes = Vec::new();
    for length in &first.instrument.lengths {
        let Some(other) = second.instrument.length_named(&length.label) else {
            continue;
        };
        let columns = [first.column(length.id)?, second.column(other.id)?];
        let slots = [
            slots(&columns[0].at_lips, &first.lips, usize::from(highest)),
            slots(&columns[1].at_lips, &second.lips, usize::from(highest)),
        ];
        for partial in 2..=highest {
            let found = [
                resonance_of(&columns[0].resonances.peaks, length.fundamental.0, partial),
                resonance_of(&columns[1].resonances.peaks, other.fundamental.0, partial),
            ];
            let [Some((i, a)), Some((j, b))] = found else {
                continue;
            };
            let slot = |side: usize, index: usize| {
                slots
                    .get(side)
                    .and_then(|s| s.iter().find(|s| usize::from(s.resonance) == index + 1))
            };
            let both = [slot(0, i), slot(1, j)];
            notes.push(Difference {
                label: length.label.clone(),
                partial,
                frequency: a.frequency,
                cents: Cents::from_ratio(b.frequency / a.frequency),
                height_ratio: b.height / a.height,
                threshold: both.map(|s| s.map(|s| s.easiest.pressure)),
                slot_cents: both.map(|s| s.map_or(0.0, Slot::width_cents)),
            });
        }
    }
    Ok(Comparison {
        notes,
        brightness: [brightness(first)?, brightness(second)?],
    })
}

/// Cut-off and brassiness of the open tube.
///
/// # Errors
/// As [`Setup::tube`].
pub fn brightness(setup: &Setup) -> Result<Brightness, AcousticError> {
    let open = setup.instrument.lengths.first().ok_or_else(|| {
        AcousticError::Request(format!(
            "{} has no lengths, so there is no open tube",
            setup.instrument.id
        ))
    })?;
    let medium = setup.medium()?;
    let limit = (CUTOFF_PARTIALS * open.fundamental.0).clamp(50.0, crate::impedance::MAX_FREQUENCY);
    let found = resonances(&setup.tube(open.id)?, &medium, limit)?;
    let state: State = setup.state(open.id)?;
    let outline = setup.bore.outline(&state, setup.mouthpiece.as_ref())?;
    let start = outline.parts.first().map_or(0.0, |p| p.to);
    let equivalent = medium.c / (2.0 * open.fundamental.0);
    let (entry, bore) = setup
        .bore
        .sections
        .first()
        .map_or((0.0, 0.0), Section::diameters);
    let (mut at, mut sum) = (0.0, 0.0);
    for cone in &outline.cones {
        if at + 0.5 * cone.length > start {
            // Mean of 1/r over a straight taper.
            let mean = if (cone.r2 / cone.r1 - 1.0).abs() < 1e-9 {
                1.0 / cone.r1
            } else {
                (cone.r2 / cone.r1).ln() / (cone.r2 - cone.r1)
            };
            sum += mean * cone.length;
        }
        at += cone.length;
    }
    Ok(Brightness {
        cutoff: cutoff(&found),
        brassiness: 0.5e-3 * bore * sum / equivalent,
        brassiness_at_entry: 0.5e-3 * entry * sum / equivalent,
    })
}

/// Where the ratio of peak to following valley falls through [`CUTOFF_RATIO`], between two peaks;
/// the last peak when it never does.
fn cutoff(found: &Resonances) -> f64 {
    let valley = |from: f64, to: f64| {
        let inside = found
            .grid
            .frequency
            .iter()
            .zip(&found.grid.impedance)
            .filter(|(f, _)| (from..to).contains(*f));
        inside.map(|(_, z)| z.norm()).fold(f64::INFINITY, f64::min)
    };
    let mut before: Option<(f64, f64)> = None;
    for pair in found.peaks.windows(2) {
        let [a, b] = pair else { continue };
        let ratio = a.height / valley(a.frequency, b.frequency);
        if let Some((f, r)) = before
            && ratio < CUTOFF_RATIO
        {
            let share = (r / CUTOFF_RATIO).ln() / (r / ratio).ln();
            return f * (a.frequency / f).powf(share.clamp(0.0, 1.0));
        }
        before = Some((a.frequency, ratio));
    }
    found.peaks.last().map_or(0.0, |p| p.frequency)
}
