//! `picture`: pictures for teaching at slide size, in light and dark, as SVG or PNG.

use std::path::{Path, PathBuf};

use clap::ValueEnum;
use horn::Setup;
use score::picture::{self, DARK, LIGHT, Peak, Theme, Tube};
use serde::Serialize;
use tone::{Hertz, Language, Sounding, Tuning, Written};

use super::blown::Parts;
use super::{Failure, Output, pick, write};

const EXAMPLES: &str = "\
Examples:
  waterkey picture natural-series trumpet-bflat series.png --length 1-2
  waterkey picture fingering-chart euphonium-comp chart.svg --reading treble
  waterkey picture impedance trombone-tenor curve.png --dark
  waterkey picture standing-wave horn-double wave.svg --partial 8

The end of the name says SVG or PNG. A slide is 16 by 9, 1920 by 1080 points.";

/// Points of an impedance curve.
const POINTS: usize = 1200;
/// Highest partial of the natural series that is shown, where the instrument goes that far.
const HIGHEST: u8 = 16;

/// What to draw, of which instrument, and where to.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub(crate) struct Args {
    /// What the picture shows.
    #[arg(value_enum)]
    what: What,
    /// Instrument id of the catalogue.
    instrument: String,
    /// The file to write, ending in .svg or .png.
    file: PathBuf,
    /// Fingering or position, such as 1-2 or 4; the open tube without.
    #[arg(long)]
    length: Option<String>,
    /// How the player reads; the instrument's usual way without.
    #[arg(long)]
    reading: Option<String>,
    /// Partial of the standing wave.
    #[arg(long, default_value_t = 4)]
    partial: u8,
    /// Light on dark, for a projector.
    #[arg(long)]
    dark: bool,
    /// Width of a PNG in pixels.
    #[arg(long, default_value_t = 1920)]
    width: u32,
    #[command(flatten)]
    parts: Parts,
    #[command(flatten)]
    tuning: pick::TuningArgs,
}

#[derive(Clone, Copy, ValueEnum)]
enum What {
    /// The partials of one length on the staff, with their cents.
    NaturalSeries,
    /// Every note of the compass with its first choice and alternates.
    FingeringChart,
    /// The input impedance of one length with its resonances.
    Impedance,
    /// The bore and the pressure along it at one resonance.
    StandingWave,
}

#[derive(Serialize)]
struct Drawn {
    file: String,
    bytes: usize,
}

/// Draws and writes the picture.
pub(crate) fn run(args: &Args, output: &Output) -> Result<(), Failure> {
    let raster = match args.file.extension().and_then(|end| end.to_str()) {
        Some("svg") => false,
        Some("png") => true,
        _ => {
            return Err(Failure::Input(format!(
                "{}: the name should end in .svg or .png",
                args.file.display()
            )));
        }
    };
    let svg = draw(args)?;
    let bytes = if raster {
        picture::png(&svg, args.width).map_err(|error| Failure::Input(error.to_string()))?
    } else {
        svg.into_bytes()
    };
    write::save(Path::new(&args.file), &bytes)?;
    let drawn = Drawn {
        file: args.file.display().to_string(),
        bytes: bytes.len(),
    };
    output.show(&drawn, |drawn| {
        format!("{}: {} bytes", drawn.file, drawn.bytes)
    })
}

fn draw(args: &Args) -> Result<String, Failure> {
    let theme = if args.dark { &DARK } else { &LIGHT };
    let tuning = args.tuning.tuning()?;
    let setup = args.parts.set_up(&args.instrument)?;
    let label = args.length.as_deref();
    let length = match label {
        Some(label) => setup.length_named(label),
        None => setup.length(horn::LengthId(0)),
    };
    let length = length.map_err(|error| Failure::Input(error.to_string()))?;
    let reading = pick::reading(&setup.instrument, args.reading.as_deref())?;
    let name = &setup.instrument.name;
    match args.what {
        What::NaturalSeries => {
            let fundamental = nearest(&tuning, length.fundamental.0)?;
            Ok(picture::natural_series(
                &format!("{name}: the natural series"),
                &length.label,
                fundamental,
                setup.instrument.highest_partial.min(HIGHEST),
                reading.clef,
                reading.transposition,
                theme,
            ))
        }
        What::FingeringChart => {
            let chart = horn::ideal::chart(&setup.instrument, &tuning);
            let stage = setup.instrument.stages.last();
            let compass: Option<(Written, Written)> = stage.map(|s| (s.floor, s.roof));
            let compass =
                compass.ok_or_else(|| Failure::Input(format!("{name} states no compass")))?;
            let drawn = picture::fingering_chart(
                &setup.instrument,
                reading,
                &chart,
                compass,
                theme,
                Language::En,
            );
            drawn.map_err(|error| Failure::Input(error.to_string()))
        }
        What::Impedance => impedance(&setup, length, &tuning, theme),
        What::StandingWave => standing_wave(&setup, length, args.partial, &tuning, theme),
    }
}

fn nearest(tuning: &Tuning, hz: f64) -> Result<Sounding, Failure> {
    let near = tuning.nearest(Hertz(hz));
    let pitch = near.map(|near| near.pitch);
    pitch.ok_or_else(|| Failure::Input(format!("{hz:.1} Hz lies outside the notes there are")))
}

fn impedance(
    setup: &Setup,
    length: &horn::Length,
    tuning: &Tuning,
    theme: &Theme,
) -> Result<String, Failure> {
    let found = setup.resonances(length.id)?;
    let highest = f64::from(setup.instrument.highest_partial) + 0.8;
    let (start, end) = (0.25 * length.fundamental.0, highest * length.fundamental.0);
    let frequency: Vec<f64> = (0..POINTS)
        .map(|i| start + (end - start) * i as f64 / (POINTS - 1) as f64)
        .collect();
    let z = setup.impedance(length.id, &frequency)?;
    let curve: Vec<(f64, f64)> = frequency
        .iter()
        .zip(&z)
        .map(|(f, z)| (*f, z.norm() / 1e6))
        .collect();
    let peaks: Vec<Peak> = found
        .peaks
        .iter()
        .filter(|peak| peak.frequency < end)
        .enumerate()
        .map(|(i, peak)| Peak {
            frequency: peak.frequency,
            height: peak.height / 1e6,
            label: tuning.nearest(Hertz(peak.frequency)).map_or_else(
                || (i + 1).to_string(),
                |near| format!("{} · {}", i + 1, near.pitch),
            ),
        })
        .collect();
    let title = format!(
        "{}, {}: input impedance",
        setup.instrument.name, length.label
    );
    let remark = format!(
        "Where the tube answers: resonances by number and nearest sounding note. Air at {:.0} °C.",
        setup.air.temperature
    );
    Ok(picture::impedance(&title, &remark, &curve, &peaks, theme)?)
}

fn standing_wave(
    setup: &Setup,
    length: &horn::Length,
    partial: u8,
    tuning: &Tuning,
    theme: &Theme,
) -> Result<String, Failure> {
    let found = setup.resonances(length.id)?;
    let peak = usize::from(partial)
        .checked_sub(1)
        .and_then(|index| found.peaks.get(index))
        .ok_or_else(|| {
            Failure::Input(format!(
                "--partial {partial}: this length has resonances 1 to {}",
                found.peaks.len()
            ))
        })?;
    let wave = setup.standing_wave(length.id, peak.frequency)?;
    let points = |values: &[f64]| {
        wave.distance
            .iter()
            .copied()
            .zip(values.iter().copied())
            .collect()
    };
    // Pressure at the instant when it is greatest at the lips.
    let phase = wave.pressure.first().map_or(0.0, |p| p.arg());
    let pressure: Vec<f64> = wave
        .pressure
        .iter()
        .map(|p| p.norm() * (p.arg() - phase).cos())
        .collect();
    let tube = Tube {
        bore: points(&wave.radius),
        pressure: points(&pressure),
    };
    let note = nearest(tuning, peak.frequency)?;
    let title = format!(
        "{}, {}: a standing wave",
        setup.instrument.name, length.label
    );
    let remark = format!(
        "Resonance {partial} at {:.1} Hz, near sounding {note}: pressure along the tube.",
        peak.frequency
    );
    Ok(picture::standing_wave(&title, &remark, &tube, theme)?)
}
