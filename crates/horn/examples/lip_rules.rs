//! Where the model's lips sound each note, by rule: `cargo run -p horn --example lip_rules -- trombone-tenor`
//!
//! For each resonance of the open tube: the setting of lowest threshold, and the setting taken for the
//! note as played (see `horn::lips`), each with its place above the peak and its threshold. The
//! documentation of `horn::lips` quotes these numbers beside the published ones.

#![allow(clippy::print_stdout)]

use horn::Setup;
use horn::lips::Slot;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let id = std::env::args().nth(1);
    let setup = Setup::generic(id.as_deref().unwrap_or("trumpet-bflat"))?;
    let open = setup.length(horn::LengthId(0))?.id;
    let slots = setup.slots(open)?;
    println!(
        "{}\nno    peak Hz | lowest threshold: cents above, kPa | as played: cents above, kPa | slot, cents | bend",
        setup.bore.name
    );
    for slot in &slots {
        let [down, up] = slot.bend_cents();
        println!(
            "{:>2} {:>10.1} | {:>24.0} {:>7.2} | {:>17.0} {:>8.2} | {:>11.0} | {down:+.0} {up:+.0}",
            slot.resonance,
            slot.peak,
            above(slot, slot.easiest.frequency),
            slot.easiest.pressure / 1000.0,
            slot.above_peak_cents(),
            slot.played.pressure / 1000.0,
            slot.width_cents(),
        );
    }
    let scale: Vec<&Slot> = slots
        .iter()
        .filter(|s| (2..=8).contains(&s.resonance))
        .collect();
    if let (Some(low), Some(high)) = (scale.first(), scale.last()) {
        let mean =
            |f: &dyn Fn(&Slot) -> f64| scale.iter().map(|s| f(s)).sum::<f64>() / scale.len() as f64;
        let exponent = |a: horn::lips::Speaking, b: horn::lips::Speaking| {
            (b.pressure / a.pressure).ln() / (b.frequency / a.frequency).ln()
        };
        println!(
            "resonances 2 to 8: at the lowest threshold {:.0} cents above the peak, threshold as f^{:.2}; as played {:.0} \
             cents, f^{:.2}",
            mean(&|s| above(s, s.easiest.frequency)),
            exponent(low.easiest, high.easiest),
            mean(&Slot::above_peak_cents),
            exponent(low.played, high.played)
        );
    }
    Ok(())
}

fn above(slot: &Slot, frequency: f64) -> f64 {
    1200.0 * (frequency / slot.peak).log2()
}
