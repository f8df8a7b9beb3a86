//! Scores the ear on simulated takes: `cargo run --release -p ear --example evaluate -- SEED... [--free]`;
//! `--hall=SECONDS,DB` takes slurs alone, in a hall of another reverberation time and ratio of direct to
//! reverberant power; `--only=TAKE`, `--notes`, `--onsets`, `--ends`, `--errors` and `--gains` tell more.
#![allow(clippy::print_stdout, missing_docs)]

#[path = "../tests/support/mod.rs"]
mod support;

use cpu_time::ProcessTime;
use ear::{Heard, Settings};
use support::{score, takes};

/// Every onset more than 20 ms from any heard one, and every heard one far from any played one.
fn tell_onsets(take: &takes::Take, heard: &Heard) {
    let nearest = |at: f64, of: &mut dyn Iterator<Item = f64>| {
        of.map(|x| x - at)
            .min_by(|a, b| a.abs().total_cmp(&b.abs()))
            .unwrap_or(f64::INFINITY)
    };
    for onset in &take.onsets {
        let away = nearest(*onset, &mut heard.notes.iter().map(|n| n.onset_s));
        if away.abs() > 0.02 {
            let slur = take
                .slurs
                .iter()
                .find(|s| (f64::midpoint(s.from_s, s.to_s) - onset).abs() < 1e-3);
            let what = slur.map_or_else(String::new, |s| {
                format!(
                    "{:.0}->{:.0} over {:.0?}, {:.0} ms, caught {}",
                    s.old_hz,
                    s.new_hz,
                    s.between_hz,
                    1000.0 * (s.to_s - s.from_s),
                    s.caught
                )
            });
            println!(
                "onset {} {onset:.3}: nearest {:+.0} ms; {what}",
                take.name,
                1000.0 * away
            );
        }
    }
    for note in &heard.notes {
        let away = nearest(note.onset_s, &mut take.onsets.iter().copied());
        if away.abs() > 0.02 {
            println!(
                "extra {} {:.3}-{:.3} {:.0} Hz {:?} {:?} (played {:+.0} ms)",
                take.name,
                note.onset_s,
                note.offset_s,
                note.hz,
                note.matched,
                note.place.map(|p| (p.line, p.note, p.pass)),
                1000.0 * away
            );
        }
    }
}

/// When the last note of each phrase ends against when it was played to.
fn tell_ends(take: &takes::Take, heard: &Heard) {
    for end in &take.offsets {
        let stops = !take
            .slurs
            .iter()
            .any(|s| (s.from_s - 0.1..s.to_s + 0.1).contains(end));
        let note = heard.notes.iter().min_by(|a, b| {
            (a.offset_s - end)
                .abs()
                .total_cmp(&(b.offset_s - end).abs())
        });
        if let Some(note) = note.filter(|_| stops) {
            println!(
                "end {} {end:.3} {:.0} Hz: {:+.0} ms",
                take.name,
                note.hz,
                1000.0 * (note.offset_s - end)
            );
        }
    }
    println!("{} reverberation {:?}", take.name, heard.reverb_s);
}

/// Where a pitch is told after the player has stopped.
fn tell_silence(take: &takes::Take, heard: &Heard) {
    let track = &heard.track;
    let step_s = track.step_s;
    let silent = |i: usize| take.hz.get(takes::at(i as f64 * step_s)) == Some(&0.0);
    let wrong = |i: &usize| track.frames[*i].sounds() && silent(*i);
    let mut from = 0;
    let frames = track.frames.len();
    while let Some(first) = (from..frames).find(wrong) {
        let last = (first..frames).find(|i| !wrong(i)).unwrap_or(frames);
        println!(
            "silence {} {:.3} to {:.3} told as {:.1} Hz",
            take.name,
            first as f64 * step_s,
            last as f64 * step_s,
            track.frames[first].hz
        );
        from = last;
    }
}

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let free = arguments.iter().any(|a| a == "--free");
    let hall = arguments.iter().find_map(|a| {
        let (rt60_s, direct_db) = a.strip_prefix("--hall=")?.split_once(',')?;
        Some((rt60_s.parse().ok()?, direct_db.parse().ok()?))
    });
    let seeds: Vec<u64> = arguments.iter().filter_map(|a| a.parse().ok()).collect();
    let mut all: Vec<(takes::Take, Heard)> = Vec::new();
    let (mut seconds, mut spent) = (0.0, 0.0);
    for seed in &seeds {
        let takes = match hall {
            Some(hall) => takes::slurred_in(*seed, hall),
            None => takes::set(*seed).takes,
        };
        for take in takes {
            let only = arguments.iter().find_map(|a| a.strip_prefix("--only="));
            if only.is_some_and(|only| take.name != only) {
                continue;
            }
            if arguments.iter().any(|a| a == "--slurs")
                && !(take.name.starts_with("slur") || take.name.starts_with("straight"))
            {
                continue;
            }
            let samples = take.samples();
            let start = ProcessTime::now();
            let score = (!free).then_some(&take.expected);
            let heard = ear::hear(&samples, score, &Settings::default());
            spent += start.elapsed().as_secs_f64();
            seconds += samples.seconds();
            if arguments.iter().any(|a| a == "--errors") {
                for slur in take.slurs.iter().filter(|s| !s.caught) {
                    let middle = f64::midpoint(slur.from_s, slur.to_s);
                    let hit = heard
                        .slurs
                        .iter()
                        .find(|s| (f64::midpoint(s.left_s, s.entered_s) - middle).abs() < 0.08);
                    if hit.is_none() {
                        for n in heard
                            .notes
                            .iter()
                            .filter(|n| (n.onset_s - middle).abs() < 0.4)
                        {
                            println!(
                                "     {:?} {:?} {:.3}-{:.3} {:.1} Hz {}",
                                n.place.map(|p| (p.line, p.note)),
                                n.matched,
                                n.onset_s,
                                n.offset_s,
                                n.hz,
                                n.slurred
                            );
                        }
                    }
                    println!(
                        "slur {} {:.3} {:.0}->{:.0} true {:.1} got {:?}",
                        take.name,
                        middle,
                        slur.old_hz,
                        slur.new_hz,
                        score::true_slur_ms(&take, slur),
                        hit.map(|h| h.slur_ms)
                    );
                }
            }
            if arguments.iter().any(|a| a == "--onsets") {
                tell_onsets(&take, &heard);
            }
            if arguments.iter().any(|a| a == "--notes") {
                for o in &take.onsets {
                    println!(
                        "true {o:.3} {:.1}",
                        take.hz[takes::at(o + 0.08).min(take.hz.len() - 1)]
                    );
                }
                for n in &heard.notes {
                    println!(
                        "note {:.3}-{:.3} {:.1} {:?} {:?}",
                        n.onset_s,
                        n.offset_s,
                        n.hz,
                        n.matched,
                        n.place.map(|p| (p.line, p.note, p.pass))
                    );
                }
            }
            if arguments.iter().any(|a| a == "--silence") {
                tell_silence(&take, &heard);
            }
            if arguments.iter().any(|a| a == "--ends") {
                tell_ends(&take, &heard);
            }
            all.push((take, heard));
        }
    }
    println!(
        "{seconds:.0} s of sound, {:.0} s of sound for a second of one core",
        seconds / spent
    );
    let of = |names: &[&str]| -> Vec<(&takes::Take, &Heard)> {
        all.iter()
            .filter(|(t, _)| names.contains(&t.name))
            .map(|(t, h)| (t, h))
            .collect()
    };
    println!("\nframes: take, <=5 c, <=50 c, median c, octave, heard, false sound");
    let show = |name: &str, picked: &[(&takes::Take, &Heard)], pick: fn(f64) -> bool| {
        let f = score::frames(picked, pick);
        println!(
            "{name:22} {:6.2} {:6.2} {:5.2} {:5.2} {:6.2} {:5.2}",
            f.within_5, f.within_50, f.median, f.octaves, f.heard, f.false_sound
        );
    };
    show(
        "clean steady",
        &of(&["sus_40", "slur_40", "tong_40"]),
        |_| true,
    );
    show("20 dB", &of(&["sus_20"]), |_| true);
    show("10 dB", &of(&["sus_10"]), |_| true);
    show("hp250 low", &of(&["sus_hp250"]), |f| f < 110.0);
    show("hp250 high", &of(&["sus_hp250"]), |f| f >= 110.0);
    show("hall sustained", &of(&["sus_rev"]), |_| true);
    show("room slurred", &of(&["slur_room"]), |_| true);
    show("hall slurred", &of(&["slur_rev"]), |_| true);
    println!("\nnotes: take, n, median c, <=5 c, <=3 c, >50 c; onsets F20, F50 (lag)");
    let names = [
        "sus_40",
        "sus_20",
        "sus_10",
        "sus_hp250",
        "sus_rev",
        "slur_40",
        "slur_room",
        "slur_rev",
        "tong_40",
    ];
    for name in names {
        let picked = of(&[name]);
        let mut e: Vec<f64> = picked
            .iter()
            .flat_map(|(t, h)| score::notes(t, h))
            .collect();
        e.sort_by(f64::total_cmp);
        let share = |test: &dyn Fn(f64) -> bool| {
            100.0 * e.iter().filter(|x| test(**x)).count() as f64 / e.len().max(1) as f64
        };
        let f = |tolerance: f64, lag: f64| {
            let sum: f64 = picked
                .iter()
                .map(|(t, h)| {
                    let found: Vec<f64> = h.notes.iter().map(|n| n.onset_s).collect();
                    score::onsets(&t.onsets, &found, tolerance, lag)
                })
                .sum();
            sum / picked.len().max(1) as f64
        };
        let lag = (-30..=30)
            .map(|ms| f64::from(ms) / 1000.0)
            .max_by(|a, b| (f(0.02, *a) - a.abs()).total_cmp(&(f(0.02, *b) - b.abs())))
            .unwrap_or(0.0);
        println!(
            "{name:10} {:4} {:6.2} {:6.1} {:6.1} {:6.2}   {:.3} {:.3} ({:+.0} ms: {:.3})",
            e.len(),
            e.get(e.len() / 2).copied().unwrap_or(f64::NAN),
            share(&|x| x <= 5.0),
            share(&|x| x <= 3.0),
            share(&|x| x > 50.0),
            f(0.02, 0.0),
            f(0.05, 0.0),
            lag * 1000.0,
            f(0.02, lag),
        );
    }
    if arguments.iter().any(|a| a == "--gains") {
        for (take, heard) in &all {
            for (caught, gain, (from_s, to_s)) in score::gains(take, heard) {
                let name = take.name;
                println!("gain {name} {caught} {gain:.2} from {from_s:.3} to {to_s:.3} s");
            }
        }
    }
    println!("\nslurs: take, caught found, invented, |error| ms, bias ms, measured");
    for name in [
        "slur_40",
        "slur_room",
        "slur_rev",
        "straight_40",
        "straight_room",
        "straight_rev",
    ] {
        let s = score::slurs(&of(&[name]));
        println!(
            "{name:13} {:6.1} {:6.1} {:6.2} {:+6.2} {:6.1}",
            s.found, s.invented, s.error_ms, s.bias_ms, s.measured
        );
    }
}
