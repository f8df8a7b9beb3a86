//! What was left out, gathered so that a person can read it.

use crate::part::Omission;

/// Collects omissions in order and groups neighbours that share a reason.
#[derive(Default)]
pub(crate) struct Omissions {
    lines: Vec<(String, String)>,
    notes: Vec<(usize, String, String)>,
    plain: Vec<Omission>,
}

impl Omissions {
    /// A line that was left out.
    pub(crate) fn line(&mut self, start: String, why: &str) {
        self.lines.push((start, why.to_owned()));
    }

    /// Notes of a line that were left out.
    pub(crate) fn notes(&mut self, count: usize, start: String, why: &str) {
        self.notes.push((count, start, why.to_owned()));
    }

    /// Anything else.
    pub(crate) fn plain(&mut self, what: impl Into<String>, why: impl Into<String>) {
        self.plain.push(Omission {
            what: what.into(),
            why: why.into(),
        });
    }

    /// The list for the part; `exercise` is named when a part has several.
    pub(crate) fn finish(self, exercise: Option<&str>) -> Vec<Omission> {
        let mut out = self.plain;
        let mut rest = self.lines.as_slice();
        while let Some((first, why)) = rest.first() {
            let count = rest.iter().take_while(|(_, w)| w == why).count();
            let what = match rest.get(count.saturating_sub(1)) {
                Some((last, _)) if count > 1 => format!("{count} lines, from {first} to {last}"),
                _ => format!("the line from {first}"),
            };
            out.push(Omission {
                what,
                why: why.clone(),
            });
            rest = rest.get(count..).unwrap_or(&[]);
        }
        let mut rest = self.notes.as_slice();
        while let Some((_, first, why)) = rest.first() {
            let count = rest.iter().take_while(|(_, _, w)| w == why).count();
            let group = rest.get(..count).unwrap_or(&[]);
            let total: usize = group.iter().map(|(n, _, _)| n).sum();
            let notes = if total == 1 { "note" } else { "notes" };
            let what = match group.last() {
                Some((_, last, _)) if count > 1 => {
                    format!("{total} {notes} in {count} lines, from {first} to {last}")
                }
                _ => format!("{total} {notes} of the line from {first}"),
            };
            out.push(Omission {
                what,
                why: why.clone(),
            });
            rest = rest.get(count..).unwrap_or(&[]);
        }
        if let Some(exercise) = exercise {
            for omission in &mut out {
                omission.what = format!("{exercise}: {}", omission.what);
            }
        }
        out
    }
}
