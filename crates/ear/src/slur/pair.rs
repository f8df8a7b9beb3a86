//! Two notes that are slurred, and what of the sound their change is looked for in.

use crate::analysis::Analysis;
use crate::expected::{Expected, TubePartial};
use crate::heard::HeardNote;
use crate::slur::edges::Edges;
use crate::slur::kernel::Kernels;
use crate::slur::scene::Scene;
use crate::thresholds as t;

/// One change to be fitted.
pub(super) struct Pair {
    /// Index of the note that is left.
    pub(super) from: usize,
    pub(super) old: HeardNote,
    pub(super) new: HeardNote,
    /// What may be caught between the two.
    pub(super) between: Vec<TubePartial>,
    /// Where the middle of the change may lie, seconds.
    pub(super) search: (f64, f64),
}

impl Pair {
    /// The stretch that is looked at, seconds.
    fn span(&self) -> (f64, f64) {
        (
            (self.search.0 - t::SLUR_BESIDE_S).max(self.old.onset_s),
            (self.search.1 + t::SLUR_BESIDE_S).min(self.new.offset_s),
        )
    }

    /// The sound around the change; `None` when it is too short to judge.
    pub(super) fn scene(&self, kernels: &mut Kernels, analysis: &Analysis) -> Option<Scene> {
        let sound = &analysis.sound;
        let pitches = (self.old.hz, self.new.hz);
        Scene::new(
            kernels,
            &sound.data,
            sound.rate,
            self.span(),
            self.search,
            pitches,
        )
    }

    /// When each note's own harmonics say that the old one is left and the new one there.
    pub(super) fn edges(&self, analysis: &Analysis) -> Edges {
        let (sound, span) = (&analysis.halved, self.span());
        let place = |s: f64| ((s.max(0.0) * sound.rate).round() as usize).min(sound.data.len());
        let (from, to) = (place(span.0), place(span.1));
        Edges::find(
            sound.data.get(from..to.max(from)).unwrap_or(&[]),
            sound.rate,
            from as f64 / sound.rate,
            self.search,
            self.old.hz,
            self.new.hz,
        )
    }
}

/// Every slurred pair of notes.
pub(super) fn pairs(expected: Option<&Expected>, notes: &[HeardNote]) -> Vec<Pair> {
    (0..notes.len().saturating_sub(1))
        .filter_map(|from| pair(expected, from, notes))
        .collect()
}

fn pair(expected: Option<&Expected>, from: usize, notes: &[HeardNote]) -> Option<Pair> {
    let (old, new) = (notes.get(from)?, notes.get(from + 1)?);
    if !new.slurred || (1200.0 * (new.hz / old.hz).log2()).abs() < t::NOTE_BAND_CENTS {
        return None;
    }
    let near = new.onset_s;
    let search = (
        (near - t::SLUR_REACH_S).max(old.onset_s + t::SLUR_NOTE_LEAST_S),
        (near + t::SLUR_REACH_S).min(new.offset_s - t::SLUR_NOTE_LEAST_S),
    );
    (search.0 < search.1).then(|| Pair {
        from,
        old: old.clone(),
        new: new.clone(),
        between: between(expected, old, new),
        search,
    })
}

/// The tube's partials between two notes, moved by as much as the notes are off.
fn between(expected: Option<&Expected>, old: &HeardNote, new: &HeardNote) -> Vec<TubePartial> {
    let asked = |note: &HeardNote| {
        let place = note.place?;
        expected?.note(place.line, place.note)
    };
    let (Some(a), Some(b)) = (asked(old), asked(new)) else {
        return Vec::new();
    };
    let off = ((old.hz / a.hz) * (new.hz / b.hz)).sqrt();
    let off = if (0.9..1.1).contains(&off) { off } else { 1.0 };
    let mut partials = a.between(b);
    partials.iter_mut().for_each(|p| p.hz *= off);
    // Only what lies between the notes as they were played.
    let (low, high) = (old.hz.min(new.hz) * 1.02, old.hz.max(new.hz) / 1.02);
    partials.retain(|p| p.hz > low && p.hz < high);
    partials
}
