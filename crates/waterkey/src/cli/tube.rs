//! `tube`: a length as the bore makes it: resonances, blowing thresholds, slots, pictures.

use std::path::PathBuf;

use horn::lips::Slot;
use horn::picture;
use serde::Serialize;
use tone::Hertz;

use super::blown::Parts;
use super::{Failure, Output, pick, write};

const EXAMPLES: &str = "\
Examples:
  waterkey tube trumpet-bflat
  waterkey tube trumpet-bflat --length 1-2 --temperature 30 --json
  waterkey tube trombone-tenor --length 3 --curve curve.svg --wave wave.svg --resonance 6
  waterkey tube trumpet-bflat --leadpipe trumpet-wide --pull main=20

Thresholds and slots rest on a one-mass model of the lips with the parameters of the documentation:
estimates to compare by, not measurements of a player.";

/// Which length of which instrument, in which air.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// Instrument id or a TOML file of your own.
    instrument: String,
    #[command(flatten)]
    parts: Parts,
    /// Fingering or position, such as 1-2 or 4; the open tube without.
    #[arg(long)]
    length: Option<String>,
    #[command(flatten)]
    tuning: pick::TuningArgs,
    /// Write the impedance curve with its notes as SVG.
    #[arg(long, value_name = "FILE")]
    curve: Option<PathBuf>,
    /// Write the standing wave of one resonance as SVG.
    #[arg(long, value_name = "FILE")]
    wave: Option<PathBuf>,
    /// Which resonance, counted from the lowest, the standing wave is of.
    #[arg(long, default_value_t = 4, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=24))]
    resonance: u8,
    /// Write the chart of all lengths, as the bore gives it, as SVG.
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
}

#[derive(Serialize)]
struct Told {
    instrument: String,
    length: String,
    temperature_c: f64,
    resonances: Vec<Row>,
}

#[derive(Serialize)]
struct Row {
    number: usize,
    frequency_hz: f64,
    height_pa_s_m3: f64,
    q: f64,
    nearest: String,
    cents: f64,
    slot: Option<Slot>,
    slot_cents: Option<f64>,
    played_above_peak_cents: Option<f64>,
    bend_cents: Option<[f64; 2]>,
}

/// Computes the length and tells it.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let setup = args.parts.set_up(&args.instrument)?;
    let tuning = args.tuning.tuning()?;
    let input = |error: horn::AcousticError| Failure::Input(error.to_string());
    let length = match &args.length {
        Some(label) => setup.length_named(label).map_err(input)?,
        None => setup.length(horn::LengthId(0)).map_err(input)?,
    };
    let slots = setup.slots(length.id)?;
    let found = setup.resonances(length.id)?;
    let rows = found.peaks.iter().enumerate().map(|(i, peak)| {
        let near = tuning.nearest(Hertz(peak.frequency));
        let slot = slots
            .iter()
            .find(|slot| usize::from(slot.resonance) == i + 1)
            .copied();
        Row {
            number: i + 1,
            frequency_hz: peak.frequency,
            height_pa_s_m3: peak.height,
            q: peak.q,
            nearest: near.map_or_else(String::new, |near| near.pitch.to_string()),
            cents: near.map_or(f64::NAN, |near| near.cents.0),
            slot_cents: slot.map(|slot| slot.width_cents()),
            played_above_peak_cents: slot.map(|slot| slot.above_peak_cents()),
            bend_cents: slot.map(|slot| slot.bend_cents()),
            slot,
        }
    });
    let told = Told {
        instrument: setup.instrument.name.clone(),
        length: length.label.clone(),
        temperature_c: setup.air.temperature,
        resonances: rows.collect(),
    };
    if let Some(path) = &args.curve {
        let svg = picture::impedance_curve(&setup, length.id, &tuning)?;
        write::save(path, svg.as_bytes())?;
    }
    if let Some(path) = &args.wave {
        let hz = found
            .peaks
            .get(usize::from(args.resonance) - 1)
            .map_or(f64::from(args.resonance) * length.fundamental.0, |peak| {
                peak.frequency
            });
        let svg = picture::standing_wave_picture(&setup, length.id, hz)?;
        write::save(path, svg.as_bytes())?;
    }
    if let (Some(path), Some(range)) = (&args.chart, setup.instrument.standard_range()) {
        let chart = setup.chart(&tuning, 0)?;
        let svg = picture::chart_table(&chart, &setup.bore.name, *range.start(), *range.end());
        write::save(path, svg.as_bytes())?;
    }
    output.show(&told, text)
}

fn text(told: &Told) -> String {
    let mut text = format!(
        "{}, length {}, air at {:.1} C\n{:>3} {:>9} {:>6} {:>7} {:>8} {:>6} {:>8} {:>7} {:>7} {:>9}\n",
        told.instrument,
        told.length,
        told.temperature_c,
        "no",
        "Hz",
        "near",
        "cents",
        "MPas/m3",
        "Q",
        "kPa",
        "slot c",
        "played",
        "bend c"
    );
    for row in &told.resonances {
        let or_dash = |text: Option<String>| text.unwrap_or_else(|| "-".into());
        let pressure = or_dash(
            row.slot
                .map(|s| format!("{:.2}", s.easiest.pressure / 1000.0)),
        );
        let width = or_dash(row.slot_cents.map(|cents| format!("{cents:.0}")));
        let played = or_dash(
            row.played_above_peak_cents
                .map(|cents| format!("{cents:+.0}")),
        );
        let bend = or_dash(
            row.bend_cents
                .map(|[down, up]| format!("{down:+.0}{up:+.0}")),
        );
        text += &format!(
            "{:>3} {:>9.2} {:>6} {:>+7.1} {:>8.1} {:>6.1} {pressure:>8} {width:>7} {played:>7} {bend:>9}\n",
            row.number,
            row.frequency_hz,
            row.nearest,
            row.cents,
            row.height_pa_s_m3 / 1e6,
            row.q,
        );
    }
    text += "\nkPa: lowest blowing pressure at which it speaks. slot c: cents over which it is the one that speaks.\n\
             played: cents above the peak where it is played; bend c: how far down and up from there.\n";
    text
}
