//! The impedance curve of one length with its resonances and how far each is from its note.

use tone::Tuning;

use crate::acoustics::{AcousticError, Setup};
use crate::resonant::resonance_of;
use crate::{LengthId, impedance::input_impedance};

use super::frame::{SIZE, Sheet, cents_mark, length_name, pitch_name, round_step};

const LEFT: f64 = 100.0;
const RIGHT: f64 = 1240.0;
const TOP: f64 = 110.0;
const BOTTOM: f64 = 640.0;
/// Points of the drawn curve.
const POINTS: usize = 1200;

/// |Z| over frequency as SVG, each resonance with its partial, note name and cents.
///
/// ```
/// use horn::{LengthId, Setup, picture};
/// use tone::Tuning;
///
/// let trumpet = Setup::generic("trumpet-bflat")?;
/// let svg = picture::impedance_curve(&trumpet, LengthId(0), &Tuning::default())?;
/// assert!(svg.starts_with("<svg") && svg.contains("first resonance"));
/// # Ok::<(), horn::AcousticError>(())
/// ```
///
/// # Errors
/// As [`Setup::resonances`].
pub fn impedance_curve(
    setup: &Setup,
    id: LengthId,
    tuning: &Tuning,
) -> Result<String, AcousticError> {
    let length = setup.length(id)?;
    let found = setup.resonances(id)?;
    let highest = f64::from(setup.instrument.highest_partial);
    let end = (highest + 0.8) * length.fundamental.0;
    let start = (0.25 * length.fundamental.0).max(1.0);
    let frequency: Vec<f64> = (0..POINTS)
        .map(|i| start + (end - start) * i as f64 / (POINTS - 1) as f64)
        .collect();
    let size: Vec<f64> = input_impedance(&setup.tube(id)?, &setup.medium()?, &frequency)?
        .iter()
        .map(|z| z.norm() / 1e6)
        .collect();
    let top = size.iter().fold(1.0_f64, |a, b| a.max(*b)) * 1.12;
    let x = |f: f64| LEFT + (RIGHT - LEFT) * f / end;
    let y = |z: f64| BOTTOM - (BOTTOM - TOP) * z / top;

    let title = format!(
        "{}, {}: input impedance",
        setup.bore.name,
        length_name(length)
    );
    let mut sheet = Sheet::new(&title, SIZE.1);
    let air = format!(
        "air {:.0} °C, {:.0} % humidity; |Z| in MPa·s/m³; partial, sounding note and cents of each resonance",
        setup.air.temperature,
        100.0 * setup.air.humidity
    );
    sheet.text("small", (60.0, 76.0), &air);
    let step = round_step(top, 6.0);
    for i in 0..=(top / step) as usize {
        let z = step * i as f64;
        sheet.line("grid", (LEFT, y(z)), (RIGHT, y(z)));
        sheet.text("small end", (LEFT - 10.0, y(z) + 5.0), &format!("{z:.0}"));
    }
    let step = round_step(end, 10.0);
    for i in 0..=(end / step) as usize {
        let f = step * i as f64;
        sheet.line("thin", (x(f), BOTTOM), (x(f), BOTTOM + 6.0));
        sheet.text("small mid", (x(f), BOTTOM + 26.0), &format!("{f:.0}"));
    }
    sheet.text("small mid", (0.5 * (LEFT + RIGHT), BOTTOM + 52.0), "Hz");
    sheet.path(
        "line",
        frequency.iter().zip(&size).map(|(f, z)| (x(*f), y(*z))),
        false,
    );
    let scale = tuning.a4.0 / 440.0;
    for n in 1..=setup.instrument.highest_partial {
        // The first resonance is no partial of the scale; it is named for what it is.
        let peak = match n {
            1 => found.peaks.first().map(|p| (0, p)),
            _ => resonance_of(&found.peaks, length.fundamental.0 * scale, n),
        };
        let Some((_, peak)) = peak else { continue };
        let at = (x(peak.frequency), y(peak.height / 1e6));
        sheet.dot(at);
        if n == 1 {
            sheet.text("small mid", (at.0, at.1 - 14.0), "first resonance");
            continue;
        }
        let midi =
            (69.0 + 12.0 * (f64::from(n) * length.fundamental.0 / 440.0).log2()).round() as i32;
        let cents = 1200.0 * (peak.frequency / tuning.equal(midi).0).log2();
        let (class, mark) = cents_mark(cents);
        sheet.text("mid", (at.0, at.1 - 46.0), &n.to_string());
        sheet.text("small mid", (at.0, at.1 - 29.0), &pitch_name(midi));
        sheet.text(&format!("small mid {class}"), (at.0, at.1 - 12.0), &mark);
    }
    Ok(sheet.finish())
}
