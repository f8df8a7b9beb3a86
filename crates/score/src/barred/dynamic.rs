//! Dynamic marks on a page: said once, and again only where another came between.

use routine::part::Dynamic;

use super::Barred;

impl Barred<'_> {
    /// Leaves out a mark that repeats the one in force since an earlier line of the same exercise.
    ///
    /// Only for lines that are read one below the other: a line by itself keeps its first mark.
    pub(crate) fn say_dynamics_once(&mut self) {
        let mut exercise = "";
        let mut in_force: Option<Dynamic> = None;
        for line in &mut self.lines {
            if line.line.exercise != exercise {
                exercise = &line.line.exercise;
                in_force = None;
            }
            let symbols = line.bars.iter_mut().flat_map(|bar| &mut bar.symbols);
            for head in symbols.filter_map(|symbol| symbol.head.as_mut()) {
                if head.dynamic.is_some() && head.dynamic == in_force {
                    head.dynamic = None;
                }
                in_force = head.dynamic.or(in_force);
            }
        }
    }
}
