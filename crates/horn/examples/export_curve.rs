//! One length of a generic instrument as JSON: air, cones, resonances, lips, slots and, if frequencies are
//! given, the impedance there. `cargo run -p horn --example export_curve -- trumpet-bflat 1-2 [Hz ...]`
//!
//! The independent checks read this.

#![allow(clippy::print_stdout, clippy::print_stderr)]

use serde_json::json;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let id = arguments
        .next()
        .unwrap_or_else(|| "trumpet-bflat".to_owned());
    let label = arguments.next().unwrap_or_else(|| "0".to_owned());
    let frequency = arguments
        .map(|f| f.parse())
        .collect::<Result<Vec<f64>, _>>()?;
    let setup = horn::Setup::generic(&id)?;
    let length = setup.length_named(&label)?;
    let column = setup.column(length.id)?;
    let impedance = setup.impedance(length.id, &frequency)?;
    println!(
        "{}",
        json!({
            "instrument": id,
            "length": length,
            "air": setup.air,
            "medium": setup.medium()?,
            "tube": column.tube,
            "peaks": column.resonances.peaks,
            "lips": setup.lips,
            "rim_mm": setup.mouthpiece().rim_mm,
            "slots": setup.slots(length.id)?,
            "frequency": frequency,
            "impedance": impedance,
        })
    );
    Ok(())
}
