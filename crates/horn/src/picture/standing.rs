//! The standing wave of one note in the drawn bore.

use crate::LengthId;
use crate::acoustics::{AcousticError, Setup};

use super::frame::{SIZE, Sheet, length_name, round_step};

const LEFT: f64 = 60.0;
const RIGHT: f64 = 1220.0;
const WAVE: f64 = 280.0;
const BORE: f64 = 560.0;
/// Half the height given to the pressure, and to the widest bore.
const HALF: f64 = 150.0;
const HALF_BORE: f64 = 90.0;

/// Pressure amplitude along the tube over the outline of the bore, as SVG.
///
/// # Errors
/// As [`Setup::standing_wave`].
pub fn standing_wave_picture(
    setup: &Setup,
    id: LengthId,
    frequency: f64,
) -> Result<String, AcousticError> {
    let length = setup.length(id)?;
    let wave = setup.standing_wave(id, frequency)?;
    let tube = setup.tube(id)?;
    let total = tube.length();
    let x = |d: f64| LEFT + (RIGHT - LEFT) * d / total;
    // The instant at which the pressure at the lips is greatest.
    let phase = wave.pressure.first().map_or(0.0, |p| p.arg());
    let most = wave
        .pressure
        .iter()
        .map(|p| p.norm())
        .fold(f64::MIN_POSITIVE, f64::max);
    let widest = wave.radius.iter().fold(f64::MIN_POSITIVE, |a, b| a.max(*b));

    let mut sheet = Sheet::new(
        &format!(
            "{}, {}: standing wave at {frequency:.1} Hz",
            setup.bore.name,
            length_name(length)
        ),
        SIZE.1,
    );
    sheet.text("small", (60.0, 76.0), "pressure along the tube at its greatest (heavy) and half a period later (thin); below, the bore, lips at the left");
    sheet.line("grid", (LEFT, WAVE), (RIGHT, WAVE));
    let value = |p: num_complex::Complex64| (p * num_complex::Complex64::cis(-phase)).re / most;
    let points = || wave.distance.iter().zip(&wave.pressure);
    sheet.path(
        "thin",
        points().map(|(d, p)| (x(*d), WAVE + HALF * value(*p))),
        false,
    );
    sheet.path(
        "line",
        points().map(|(d, p)| (x(*d), WAVE - HALF * value(*p))),
        false,
    );
    let wall = || wave.distance.iter().zip(&wave.radius);
    let upper = wall().map(|(d, r)| (x(*d), BORE - HALF_BORE * r / widest));
    let lower: Vec<(f64, f64)> = wall()
        .map(|(d, r)| (x(*d), BORE + HALF_BORE * r / widest))
        .collect();
    sheet.path("wall", upper.chain(lower.into_iter().rev()), true);
    let step = round_step(total, 8.0);
    for i in 0..=(total / step) as usize {
        let d = step * i as f64;
        sheet.line("thin", (x(d), 664.0), (x(d), 670.0));
        sheet.text("small mid", (x(d), 690.0), &format!("{d:.1} m"));
    }
    Ok(sheet.finish())
}
