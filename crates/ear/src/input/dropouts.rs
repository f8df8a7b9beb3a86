//! Holes: the sound stops dead, is digital silence for a moment, and goes on as loud.

/// Shortest and longest hole, seconds. Below, a zero crossing; above, a rest.
const HOLE_S: (f64, f64) = (0.001, 0.25);
/// Length of sound looked at on either side, seconds.
const SIDE_S: f64 = 0.005;
/// Both sides must be louder than this, mean square (-50 dB against full scale).
const LOUD: f64 = 1e-5;
/// And within this of each other, as a power ratio (12 dB).
const ALIKE: f64 = 16.0;
/// At one edge at least, the last millisecond carries this share of the power of its side: a note
/// that fades out and the next that fades in have a few hundredths.
const ABRUPT: f64 = 0.3;
/// Length of an edge, as a share of a side.
const EDGE: usize = 5;
/// Samples that are looked at together: most hold no two zeros in a row.
const BLOCK: usize = 256;
/// Most holes kept.
const MOST: usize = 1_000;

/// Watches mono samples at the file's own rate.
#[derive(Debug)]
pub(super) struct Dropouts {
    rate: f64,
    side: usize,
    at: u64,
    zeros: u64,
    /// The last `side` samples before a hole, as a ring.
    ring: Vec<f32>,
    ring_at: usize,
    pending: Option<Pending>,
    holes: Vec<(f64, f64)>,
}

#[derive(Debug)]
struct Pending {
    from: u64,
    to: u64,
    before: f64,
    after: f64,
    /// Power of the edge before and after, against full scale.
    edges: (f64, f64),
    seen: usize,
}

impl Dropouts {
    /// For samples at `rate` a second.
    pub(super) fn new(rate: f64) -> Self {
        let side = ((SIDE_S * rate) as usize).max(8);
        Self {
            rate,
            side,
            at: 0,
            zeros: 0,
            ring: vec![0.0; side],
            ring_at: 0,
            pending: None,
            holes: Vec::new(),
        }
    }

    /// Takes the next samples.
    pub(super) fn push(&mut self, samples: &[f32]) {
        for block in samples.chunks(BLOCK) {
            // A single zero is a wave that crosses it; of more the last may be the beginning of a hole.
            let pairs = block.iter().zip(block.iter().skip(1));
            let hole = pairs.fold(false, |hole, (a, b)| hole | ((*a == 0.0) & (*b == 0.0)));
            let ends = block.last().is_some_and(|x| *x == 0.0);
            if hole || ends || self.zeros > 0 || self.pending.is_some() {
                self.watch_each(block);
            } else {
                self.keep(block);
                self.at += block.len() as u64;
            }
        }
    }

    /// Keeps samples that lie in no hole.
    fn keep(&mut self, block: &[f32]) {
        let skip = block.len().saturating_sub(self.side);
        let mut block = block.get(skip..).unwrap_or(&[]);
        self.ring_at = (self.ring_at + skip) % self.side;
        while !block.is_empty() {
            let there = self.ring.get_mut(self.ring_at..).unwrap_or(&mut []);
            let count = block.len().min(there.len());
            let (now, later) = block.split_at(count);
            for (slot, sample) in there.iter_mut().zip(now) {
                *slot = *sample;
            }
            self.ring_at = (self.ring_at + count) % self.side;
            block = later;
        }
    }

    fn watch_each(&mut self, samples: &[f32]) {
        for sample in samples {
            if *sample == 0.0 {
                self.zeros += 1;
            } else {
                if self.zeros > 0 {
                    self.hole_ended();
                }
                self.keep(&[*sample]);
            }
            self.watch(square(sample));
            self.at += 1;
        }
    }

    fn hole_ended(&mut self) {
        let length = self.zeros as f64 / self.rate;
        let before = self.ring.iter().map(square).sum::<f64>() / self.side as f64;
        let edge = self.side / EDGE;
        let last = (1..=edge)
            .filter_map(|back| self.ring.get((self.ring_at + self.side - back) % self.side))
            .map(square)
            .sum::<f64>()
            / edge.max(1) as f64;
        if length >= HOLE_S.0 && length <= HOLE_S.1 && before > LOUD {
            self.pending = Some(Pending {
                from: self.at - self.zeros,
                to: self.at,
                before,
                after: 0.0,
                edges: (last, 0.0),
                seen: 0,
            });
        }
        self.zeros = 0;
    }

    fn watch(&mut self, square: f64) {
        let Some(pending) = &mut self.pending else {
            return;
        };
        pending.after += square / self.side as f64;
        let edge = self.side / EDGE;
        if pending.seen < edge {
            pending.edges.1 += square / edge.max(1) as f64;
        }
        pending.seen += 1;
        if pending.seen < self.side {
            return;
        }
        let ratio = pending.after / pending.before;
        let abrupt =
            pending.edges.0 > ABRUPT * pending.before || pending.edges.1 > ABRUPT * pending.after;
        if abrupt
            && pending.after > LOUD
            && (1.0 / ALIKE..ALIKE).contains(&ratio)
            && self.holes.len() < MOST
        {
            self.holes.push((
                pending.from as f64 / self.rate,
                pending.to as f64 / self.rate,
            ));
        }
        self.pending = None;
    }

    /// The holes, seconds from-to.
    pub(super) fn finish(self) -> Vec<(f64, f64)> {
        self.holes
    }
}

fn square(sample: &f32) -> f64 {
    f64::from(*sample).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tone(n: usize) -> f32 {
        0.3 * (n as f32 * 0.05 + 0.1).sin()
    }

    #[test]
    fn a_hole_in_a_note_is_found_where_it_is() {
        let mut data: Vec<f32> = (0..44_100).map(tone).collect();
        data[20_000..20_512].fill(0.0);
        let mut dropouts = Dropouts::new(44_100.0);
        for block in data.chunks(333) {
            dropouts.push(block);
        }
        let holes = dropouts.finish();
        assert_eq!(holes.len(), 1);
        assert!((holes[0].0 - 20_000.0 / 44_100.0).abs() < 1e-4);
    }

    #[test]
    fn a_rest_between_notes_that_fade_is_no_hole() {
        let mut data: Vec<f32> = (0..44_100).map(tone).collect();
        for n in 0..2_000 {
            data[18_000 + n] *= 1.0 - n as f32 / 2_000.0;
            data[25_000 + n] *= n as f32 / 2_000.0;
        }
        data[20_000..25_000].fill(0.0);
        let mut dropouts = Dropouts::new(44_100.0);
        dropouts.push(&data);
        assert!(dropouts.finish().is_empty());
    }
}
