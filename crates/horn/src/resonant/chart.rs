//! Building the chart: the ideal chart's ways, each with the figures of its resonance.

use std::collections::BTreeMap;

use serde::Serialize;
use tone::{Cents, Hertz, Temperament, Tuning};

use crate::acoustics::{AcousticError, Column, Setup};
use crate::bore::Bore;
use crate::impedance::Peak;
use crate::lips::{Slot, setting_for, slots};
use crate::{Air, Backing, Chart, Fingering, Length, LengthId, NoteKind, Throw, ideal};

use super::pull::{Pull, pull};
use super::support::{best_supported, note_place, resonance_of, support};

/// How far from the fundamental a pedal or false note is looked for, cents.
const PEDAL_SEARCH_CENTS: f64 = 100.0;

/// From this difference between a note's place and its own peak the reason speaks of it, cents.
const TOLD_CENTS: f64 = 20.0;

/// One way to a note with the figures of the bore model.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ResonantWay {
    /// Length, label, partial, kind, rank and reason; `frequency` and `cents` are the bore's.
    #[serde(flatten)]
    pub fingering: Fingering,
    /// Against equal temperament at the chart's A4, cents.
    pub cents_equal: Cents,
    /// Against the just interval over the chart's root, cents.
    pub cents_just: Cents,
    /// The resonance that carries it; `None` for pedals, false notes and where the bell passes
    /// everything on, so that no peak stands out.
    pub resonance: Option<Peak>,
    /// Where its own peak lies, against the chart's tuning; `None` where there is no resonance.
    pub cents_peak: Option<Cents>,
    /// Weighted |Z| at the harmonics, Pa.s/m3.
    pub support: f64,
    /// Lowest threshold blowing pressure, Pa (for a pedal: at the note itself); `None` when the lips cannot
    /// start it.
    pub threshold: Option<f64>,
    /// The slot, where the lips have one.
    pub slot: Option<Slot>,
    /// Slot width, cents of playing pitch.
    pub slot_cents: f64,
    /// How far it bends down and up before it jumps, cents.
    pub bend_cents: Option<[f64; 2]>,
    /// The slide movement that would put it in tune with the chart's tuning.
    pub pull: Option<Pull>,
}

/// The chart of one setup.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ResonantChart {
    /// Instrument.
    pub instrument: String,
    /// The pitch standard and temperament that `cents` is counted from.
    pub tuning: Tuning,
    /// Pitch class over which `cents_just` is counted, 0 = C.
    pub just_root: u8,
    /// The air it holds for.
    pub air: Air,
    /// Ways by sounding MIDI key, first choice first.
    pub notes: BTreeMap<i32, Vec<ResonantWay>>,
}

impl ResonantChart {
    /// The chart for choosing fingerings: cents, support and slide throws of the bore in the order
    /// of the trade. What all notes have in common (the median over first choices) is taken off the
    /// cents: the main slide makes up for it. Throws are those of `bore`'s valve loops, none less
    /// than `least_mm`.
    #[must_use]
    pub fn fingerings(&self, bore: &Bore, least_mm: f64) -> Chart {
        let first = |ways: &Vec<ResonantWay>| {
            let first = ways.iter().find(|w| w.fingering.rank == 0)?;
            (first.fingering.kind == NoteKind::Partial).then_some(first.fingering.cents.0)
        };
        let mut common: Vec<f64> = self.notes.values().filter_map(first).collect();
        common.sort_by(f64::total_cmp);
        let common = common.get(common.len() / 2).copied().unwrap_or(0.0);
        let notes = self.notes.iter().map(|(key, ways)| {
            let best = ways.iter().map(|w| w.support).fold(0.0, f64::max);
            let ways = ways.iter().map(|way| {
                let support = if best > 0.0 { way.support / best } else { 1.0 };
                let mut fingering = way.fingering.clone();
                fingering.cents = Cents(fingering.cents.0 - common);
                fingering.backing = Some(Backing {
                    support,
                    throw: throw(way, bore, common, least_mm),
                });
                fingering
            });
            (*key, ways.collect())
        });
        Chart {
            notes: notes.collect(),
        }
    }
}

/// The throw that makes a sharp note true, where a valve loop's slide goes that far.
fn throw(way: &ResonantWay, bore: &Bore, common: f64, least_mm: f64) -> Option<Throw> {
    let pull = way.pull.as_ref()?;
    let slide = bore.loops.iter().find(|l| l.name == pull.slide)?;
    let cents = way.fingering.cents.0;
    if cents == 0.0 {
        return None;
    }
    // A movement is as good as proportional to the few cents that it makes up for.
    let out_mm = pull.move_mm * (cents - common) / cents;
    (least_mm..=slide.throw_mm)
        .contains(&out_mm)
        .then(|| Throw {
            slide: slide.name.clone(),
            out_mm,
        })
}

/// Every note with every length that reaches it.
///
/// A note's frequency and cents are those of the place where its harmonics together are backed best
/// (Wogram's sum function, dissertation, Braunschweig 1972), which on most notes is within a few cents of
/// the peak; height, Q, threshold and slot are those of its resonance. A player usually sounds some 19
/// cents higher on every note, which the main slide makes up for.
///
/// # Errors
/// As [`Setup::column`].
pub fn chart(
    setup: &Setup,
    tuning: &Tuning,
    just_root: u8,
) -> Result<ResonantChart, AcousticError> {
    let c = setup.medium()?.c;
    let count = usize::from(setup.instrument.highest_partial);
    let columns: Vec<(Column, Vec<Slot>)> = setup
        .instrument
        .lengths
        .iter()
        .map(|length| {
            let column = setup.column(length.id)?;
            let found = slots(&column.at_lips, &setup.lips, count);
            Ok((column, found))
        })
        .collect::<Result<_, AcousticError>>()?;
    let just = Tuning {
        a4: tuning.a4,
        temperament: Temperament::Just {
            root: just_root % 12,
        },
    };
    let mut notes = BTreeMap::new();
    for (key, ways) in ideal::chart(&setup.instrument, tuning).notes {
        let asked = [
            *tuning,
            Tuning {
                temperament: Temperament::Equal,
                ..*tuning
            },
            just,
        ]
        .map(|t| t.equal(key).shifted(t.offset(key)));
        let ways: Vec<ResonantWay> = ways
            .into_iter()
            .filter_map(|fingering| {
                let LengthId(index) = fingering.length;
                let length = setup.instrument.length(fingering.length)?;
                let (column, slots) = columns.get(usize::from(index))?;
                Some(way(setup, c, length, column, slots, fingering, asked))
            })
            .collect();
        notes.insert(key, ways);
    }
    Ok(ResonantChart {
        instrument: setup.instrument.id.clone(),
        tuning: *tuning,
        just_root: just_root % 12,
        air: setup.air,
        notes,
    })
}

fn way(
    setup: &Setup,
    c: f64,
    length: &Length,
    column: &Column,
    slots: &[Slot],
    mut fingering: Fingering,
    [asked, equal, just]: [Hertz; 3],
) -> ResonantWay {
    let fundamental = length.fundamental.0;
    let ideal = fingering.frequency.0;
    let found = (fingering.kind == NoteKind::Partial)
        .then(|| resonance_of(&column.resonances.peaks, fundamental, fingering.partial))
        .flatten();
    let first_harmonic = if fingering.kind == NoteKind::Partial {
        1
    } else {
        2
    };
    let frequency = match (fingering.kind, found) {
        (_, Some((_, peak))) => note_place(&column.at_lips, ideal, peak),
        (NoteKind::Partial, None) => ideal,
        _ => best_supported(&column.at_lips, ideal, PEDAL_SEARCH_CENTS, first_harmonic)
            .unwrap_or(ideal),
    };
    let slot = match (fingering.kind, found) {
        (_, Some((index, _))) => slots
            .iter()
            .find(|s| usize::from(s.resonance) == index + 1)
            .copied(),
        // The pedal speaks, if at all, above the first resonance.
        (NoteKind::Pedal, None) => slots.iter().find(|s| s.resonance == 1).copied(),
        _ => None,
    };
    let threshold = match fingering.kind {
        NoteKind::Partial => slot.map(|s| s.easiest.pressure),
        // Not at the first resonance but at the pedal itself, well above it.
        NoteKind::Pedal => {
            setting_for(&column.at_lips, &setup.lips, 0, frequency).map(|s| s.pressure)
        }
        NoteKind::False => None,
    };
    let heard = Hertz(frequency);
    let cents = heard.cents_above(asked);
    let partial = f64::from(fingering.partial)
        / if fingering.kind == NoteKind::False {
            2.0
        } else {
            1.0
        };
    let pull = pull(setup, length, c, frequency, partial, cents.0);
    fingering.frequency = heard;
    fingering.cents = cents;
    if let Some(hand) = &setup.bore.hand_slide {
        fingering.slide_place = pull
            .as_ref()
            .filter(|p| p.reachable)
            .map(|p| hand.place(p.at_mm));
    }
    let mut way = ResonantWay {
        cents_peak: found.map(|f| Hertz(f.1.frequency).cents_above(asked)),
        cents_equal: heard.cents_above(equal),
        cents_just: heard.cents_above(just),
        resonance: found.map(|f| *f.1),
        support: support(&column.at_lips, frequency, first_harmonic),
        threshold,
        slot_cents: slot.map_or(0.0, |s| s.width_cents()),
        bend_cents: slot.map(|s| s.bend_cents()),
        slot,
        pull,
        fingering,
    };
    way.fingering.reason = reason(&way);
    way
}

/// Why it stands where it stands, with the figures that speak for or against it.
fn reason(way: &ResonantWay) -> String {
    let f = &way.fingering;
    let place = match f.kind {
        NoteKind::Partial if f.rank == 0 => {
            format!("usual first choice: partial {} on {}", f.partial, f.label)
        }
        NoteKind::Partial => format!("alternate: partial {} on {}", f.partial, f.label),
        NoteKind::Pedal => format!(
            "pedal on {}: no resonance at its fundamental, harmonics 2 and up carry it",
            f.label
        ),
        NoteKind::False => format!(
            "false note on {}: carried by every second harmonic",
            f.label
        ),
    };
    let off = match f.cents.0.round() {
        0.0 => "true".to_owned(),
        c if c > 0.0 => format!("{c:.0} cents sharp"),
        c => format!("{:.0} cents flat", -c),
    };
    let speaks = match (way.threshold, way.resonance, f.kind) {
        (_, None, NoteKind::Partial) => {
            ", no peak stands out here: the lips alone place it".to_owned()
        }
        (Some(p), _, _) => format!(
            ", speaks from {:.1} kPa, slot {:.0} cents wide",
            p / 1000.0,
            way.slot_cents
        ),
        (None, _, _) => ", no onset found for these lips".to_owned(),
    };
    let held = way
        .cents_peak
        .filter(|peak| (peak.0 - f.cents.0).abs() >= TOLD_CENTS)
        .map_or(String::new(), |peak| {
            format!(
                " (its own peak lies at {:+.0}: the harmonics hold it here)",
                peak.0
            )
        });
    let tuned = way
        .pull
        .as_ref()
        .filter(|p| p.move_mm.abs() >= 1.0)
        .map_or(String::new(), |p| {
            let way = if p.move_mm > 0.0 { "out" } else { "in" };
            let able = if p.reachable {
                ""
            } else {
                " (further than it goes)"
            };
            format!(
                "; {} slide {:.0} mm {way} tunes it{able}",
                p.slide,
                p.move_mm.abs()
            )
        });
    format!("{place}, {off}{held}{speaks}{tuned}")
}
