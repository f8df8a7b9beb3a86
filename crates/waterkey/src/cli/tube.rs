//! `tube`: a length as the bore makes it: resonances, blowing thresholds, slots, pictures.

use std::path::PathBuf;

use horn::bore::generic_mouthpiece;
use horn::lips::Slot;
use horn::{Setup, picture};
use serde::Serialize;
use tone::Hertz;

use super::{Failure, Output, pick, write};

const EXAMPLES: &str = "\
Examples:
  waterkey tube trumpet-bflat
  waterkey tube trumpet-bflat --length 1-2 --temperature 30 --json
  waterkey tube trombone-tenor --length 3 --curve curve.svg --wave wave.svg

Thresholds and slots rest on a one-mass model of the lips with the parameters of the documentation:
estimates to compare by, not measurements of a player.";

/// Which length of which instrument, in which air.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    #[command(flatten)]
    setup: SetupArgs,
    /// Fingering or position, such as 1-2 or 4; the open tube without.
    #[arg(long)]
    length: Option<String>,
    #[command(flatten)]
    tuning: pick::TuningArgs,
    /// Write the impedance curve with its notes as SVG.
    #[arg(long, value_name = "FILE")]
    curve: Option<PathBuf>,
    /// Write the standing wave of partial 4 as SVG.
    #[arg(long, value_name = "FILE")]
    wave: Option<PathBuf>,
    /// Write the chart of all lengths, as the bore gives it, as SVG.
    #[arg(long, value_name = "FILE")]
    chart: Option<PathBuf>,
}

/// An instrument as it is blown.
#[derive(clap::Args)]
pub(crate) struct SetupArgs {
    /// Instrument id of the catalogue.
    instrument: String,
    /// Mouthpiece id; the instrument's usual one without.
    #[arg(long, value_name = "ID")]
    mouthpiece: Option<String>,
    /// Temperature of the air in the tube, degrees Celsius.
    #[arg(long, value_name = "C")]
    temperature: Option<f64>,
}

impl SetupArgs {
    /// The set-up asked for.
    pub(crate) fn setup(&self) -> Result<Setup, Failure> {
        set_up(
            &self.instrument,
            self.mouthpiece.as_deref(),
            self.temperature,
        )
    }
}

/// A generic instrument with another mouthpiece or air where these are given.
pub(crate) fn set_up(
    instrument: &str,
    mouthpiece: Option<&str>,
    temperature: Option<f64>,
) -> Result<Setup, Failure> {
    pick::instrument(instrument)?;
    let wrong = |error: &dyn std::fmt::Display| Failure::Input(error.to_string());
    let mut setup = Setup::generic(instrument).map_err(|error| wrong(&error))?;
    if let Some(id) = mouthpiece {
        setup.mouthpiece = Some(generic_mouthpiece(id).map_err(|error| wrong(&error))?);
    }
    if let Some(celsius) = temperature {
        setup.air.temperature = celsius;
    }
    setup.medium().map_err(|error| wrong(&error))?;
    Ok(setup)
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
}

/// Computes the length and tells it.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let setup = args.setup.setup()?;
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
            .get(3)
            .map_or(4.0 * length.fundamental.0, |peak| peak.frequency);
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
        "{}, length {}, air at {:.1} C\n{:>3} {:>9} {:>6} {:>7} {:>6} {:>6} {:>10} {:>8}\n",
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
        "slot c"
    );
    for row in &told.resonances {
        let pressure = row.slot.map_or_else(
            || "-".into(),
            |slot| format!("{:.2}", slot.easiest.pressure / 1000.0),
        );
        let width = row
            .slot_cents
            .map_or_else(|| "-".into(), |cents| format!("{cents:.0}"));
        text += &format!(
            "{:>3} {:>9.2} {:>6} {:>+7.1} {:>7.1} {:>6.1} {pressure:>10} {width:>8}\n",
            row.number,
            row.frequency_hz,
            row.nearest,
            row.cents,
            row.height_pa_s_m3 / 1e6,
            row.q,
        );
    }
    text
}
