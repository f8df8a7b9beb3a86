//! Many live streams at once, more of them each time, until 200.

use std::path::Path;
use std::thread;
use std::time::{Duration, Instant};

use serde_json::json;

use crate::served::{Line, Server};
use crate::streams::{BLOCK, Seen, Sound, begin};
use crate::{player, spread};

/// How many at once.
const CROWDS: [usize; 4] = [25, 50, 100, 200];
/// Threads that send: few, so that the senders leave the cores to the server.
const SENDERS: usize = 2;
/// Streams are sent together when they are due within this.
const TOGETHER: Duration = Duration::from_millis(1);

/// What all streams of a crowd saw.
#[derive(Default)]
struct Sum {
    sent: u64,
    kept: f64,
    gaps: usize,
    resends: usize,
    heard: usize,
    delays_ms: Vec<f64>,
    behind_ms: Vec<f64>,
}

/// One stream after the other: how many the server bears.
pub(crate) fn many(seconds: f64) {
    for streams in CROWDS {
        crowd(tempfile::tempdir().unwrap().path(), streams, seconds);
    }
}

fn crowd(data: &Path, streams: usize, seconds: f64) {
    let server = Server::start(data);
    let player = player(&server, "Ada");
    let sound = Sound::of(&server, &player);
    let mut lines: Vec<Line> = (0..streams).map(|_| server.line()).collect();
    for line in &mut lines {
        begin(line, &sound, json!({}));
    }
    let (server_s, own_s) = (cpu_s(server.process()), cpu_s("self"));
    let start = Instant::now();
    let mut sums = Vec::new();
    let mut took = (0.0, 0.0, 0.0);
    thread::scope(|scope| {
        let mut shares: Vec<Vec<(usize, Line)>> = (0..SENDERS).map(|_| Vec::new()).collect();
        for (place, line) in lines.into_iter().enumerate() {
            shares[place % SENDERS].push((place, line));
        }
        let sound = &sound;
        let sent = shares.into_iter().map(|share| {
            scope.spawn(move || send(share, sound, (start, streams), sound.blocks(seconds)))
        });
        let sent: Vec<_> = sent.collect();
        let sent: Vec<_> = sent.into_iter().map(|one| one.join().unwrap()).collect();
        took = (
            start.elapsed().as_secs_f64(),
            cpu_s(server.process()) - server_s,
            cpu_s("self") - own_s,
        );
        let ends = sent.into_iter().flatten();
        let ends = ends.map(|(line, seen, behind)| scope.spawn(|| end(line, seen, behind)));
        let ends: Vec<_> = ends.collect();
        sums.extend(ends.into_iter().map(|one| one.join().unwrap()));
    });
    tell(streams, &sound, seconds, took, sums);
}

type Sent = (Line, Seen, Vec<f64>);

/// Sends the streams of one thread, each when it is due; the streams of all threads are spread
/// over the time of a block, as players are.
fn send(
    share: Vec<(usize, Line)>,
    sound: &Sound,
    (start, streams): (Instant, usize),
    blocks: u32,
) -> Vec<Sent> {
    let now_ms = || start.elapsed().as_secs_f64() * 1e3;
    let mut sent: Vec<(f64, Sent)> = Vec::new();
    for (place, line) in share {
        line.0.get_ref().set_nonblocking(true).unwrap();
        let phase = place as f64 / streams as f64;
        sent.push((phase, (line, Seen::default(), Vec::new())));
    }
    let block_ms = sound.due(1.0).as_secs_f64() * 1e3;
    for seq in 0..blocks {
        for (phase, (line, seen, behind_ms)) in &mut sent {
            let due = sound.due(f64::from(seq) + *phase);
            if let Some(wait) = due.checked_sub(start.elapsed()).filter(|w| *w > TOGETHER) {
                thread::sleep(wait);
            }
            // What the socket does not take at once stays with the line and goes with the next.
            written(line.0.send(sound.frame(seq, now_ms())));
            let taken = seen.taken;
            while seen.listen(&mut line.0, now_ms) {}
            if seen.taken != taken {
                behind_ms.push(f64::from(seq + 1 - seen.taken) * block_ms);
            }
        }
    }
    sent.into_iter().map(|(_, sent)| sent).collect()
}

fn written(sent: tungstenite::Result<()>) {
    match sent {
        Err(tungstenite::Error::Io(error)) if error.kind() == std::io::ErrorKind::WouldBlock => {}
        other => other.unwrap(),
    }
}

/// Ends a stream; gives what it saw and the seconds that were kept of it.
fn end(mut line: Line, seen: Seen, behind_ms: Vec<f64>) -> (Seen, Vec<f64>, f64) {
    line.0.get_ref().set_nonblocking(false).unwrap();
    line.say(&json!({"type": "stop"}));
    let kept_s = line.hear("saved")["take"]["seconds"].as_f64().unwrap();
    (seen, behind_ms, kept_s)
}

fn tell(
    streams: usize,
    sound: &Sound,
    seconds: f64,
    (took_s, server_s, own_s): (f64, f64, f64),
    ends: Vec<(Seen, Vec<f64>, f64)>,
) {
    let mut sum = Sum::default();
    let rate = f64::from(sound.rate);
    for (seen, behind_ms, kept_s) in ends {
        sum.sent += u64::from(sound.blocks(seconds));
        sum.kept += kept_s * rate / BLOCK as f64;
        sum.gaps += seen.gaps;
        sum.resends += seen.resends;
        sum.heard += usize::from(seen.heard);
        sum.delays_ms.extend(seen.delays_ms);
        sum.behind_ms.extend(behind_ms);
    }
    println!(
        "{streams} streams of {rate} Hz f32 in blocks of {BLOCK} for {seconds} s, sent in \
         {took_s:.1} s: {} blocks sent, {:.0} kept, {} gaps, {} resends, {} streams heard live; \
         cores used: server {:.2}, senders {:.2}",
        sum.sent,
        sum.kept,
        sum.gaps,
        sum.resends,
        sum.heard,
        server_s / took_s,
        own_s / took_s,
    );
    println!(
        "  sent and not yet taken, ms: {}",
        spread(&mut sum.behind_ms)
    );
    println!(
        "  block sent to state received, ms: {}",
        spread(&mut sum.delays_ms)
    );
}

/// Seconds of computing that a process took: user and system time of proc(5), hundredths.
fn cpu_s(process: impl std::fmt::Display) -> f64 {
    let stat = std::fs::read_to_string(format!("/proc/{process}/stat")).unwrap_or_default();
    // The name may hold spaces; it ends with the last bracket.
    let fields = stat.rsplit(')').next().unwrap_or_default();
    let times = fields.split_whitespace().skip(11).take(2);
    times
        .filter_map(|time| time.parse::<f64>().ok())
        .sum::<f64>()
        / 100.0
}
