//! Pictures of a generic instrument: `cargo run -p horn --example pictures -- trumpet-bflat 0 folder`
//! writes curve.svg, wave.svg and chart.svg.

use std::path::PathBuf;

use horn::{Setup, picture};
use tone::Tuning;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let id = arguments
        .next()
        .unwrap_or_else(|| "trumpet-bflat".to_owned());
    let label = arguments.next().unwrap_or_else(|| "0".to_owned());
    let folder = PathBuf::from(arguments.next().unwrap_or_else(|| ".".to_owned()));
    let setup = Setup::generic(&id)?;
    let length = setup.length_named(&label)?;
    let tuning = Tuning::default();
    std::fs::write(
        folder.join("curve.svg"),
        picture::impedance_curve(&setup, length.id, &tuning)?,
    )?;
    let note = 4.0 * length.fundamental.0;
    std::fs::write(
        folder.join("wave.svg"),
        picture::standing_wave_picture(&setup, length.id, note)?,
    )?;
    let chart = setup.chart(&tuning, 0)?;
    let range = setup
        .instrument
        .standard_range()
        .ok_or("the instrument has no range")?;
    let table = picture::chart_table(&chart, &setup.bore.name, *range.start(), *range.end());
    std::fs::write(folder.join("chart.svg"), table)?;
    Ok(())
}
