//! Prints an exercise file's lines for an instrument: `write FILE INSTRUMENT [LEVEL]`.
#![expect(clippy::print_stdout, reason = "a command that prints")]

use routine::{Levels, Player, expand, file::read_exercise, part::Event};

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let (Some(path), Some(id)) = (args.next(), args.next()) else {
        return Err("write FILE INSTRUMENT [LEVEL]".into());
    };
    let exercise = read_exercise(&std::fs::read_to_string(path)?).into_result()?;
    let instrument = horn::catalog::find(&id).ok_or("no such instrument")?;
    let chart = horn::ideal::chart(instrument, &tone::Tuning::default());
    let mut player = Player::named("");
    player.level = args.next();
    let part = expand(
        &exercise,
        &player,
        instrument,
        &chart,
        &Levels::standard(),
        1,
    )?;
    println!(
        "{} for {}: {}",
        part.title, part.instrument_name, part.purpose
    );
    for line in &part.lines {
        print!(
            "{:3} {:16} key {:+} drone {:4}",
            line.id, line.label, line.key.0, line.root
        );
        for event in &line.events {
            match event {
                Event::Note(n) => {
                    let slur = if n.slurred { "~" } else { " " };
                    print!("{slur}{}[{}]", n.written, n.fingering.label);
                    if n.fingering.alternate && n.fingering.reason.contains("rather") {
                        print!("({})", n.fingering.reason);
                    }
                }
                Event::Rest { duration } => print!(" r{}", duration.0),
                Event::Breath => print!(" ,"),
            }
        }
        println!("  rest {} load {:.1}", line.rest_after.0, line.load);
    }
    for o in &part.left_out {
        println!("left out: {} ({})", o.what, o.why);
    }
    println!("{:?} {:?}", part.totals, part.warnings);
    Ok(())
}
