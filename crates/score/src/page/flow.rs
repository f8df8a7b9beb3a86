//! Blocks onto pages: what belongs together stays together, and pages turn between lines of music.

use super::{Block, Measures};

/// How much of the space between blocks is left, from loose to tight.
const TIGHTNESS: [f64; 3] = [1.0, 0.65, 0.3];

/// Blocks page by page, each with the distance of its top from the top of the sheet.
///
/// The space between blocks is drawn together where that saves a page: a last page with one line
/// on it is a page turn for nothing.
#[must_use]
pub fn flow(blocks: Vec<Block>, measures: &Measures) -> Vec<Vec<(f64, Block)>> {
    let layouts = TIGHTNESS.map(|left| places(&blocks, measures, left));
    let Some(best) = layouts.into_iter().min_by_key(Vec::len) else {
        return Vec::new();
    };
    let mut blocks = blocks.into_iter();
    best.into_iter()
        .map(|page| page.into_iter().zip(blocks.by_ref()).collect())
        .collect()
}

/// The tops of all blocks, page by page, with `left` of the space between them.
fn places(blocks: &[Block], measures: &Measures, left: f64) -> Vec<Vec<f64>> {
    let mut pages: Vec<Vec<f64>> = Vec::new();
    let mut page: Vec<f64> = Vec::new();
    let mut y = measures.top;
    let mut turn = |page: &mut Vec<f64>, y: &mut f64| {
        if !page.is_empty() {
            pages.push(std::mem::take(page));
        }
        *y = measures.top;
    };
    // A group is what must not be torn apart: blocks that keep to the next, and that next one.
    for group in blocks.chunk_by(|block, _| block.keep) {
        let tall: f64 = group.iter().map(|b| b.gap * left + b.height).sum();
        let first_gap = group.first().map_or(0.0, |b| b.gap * left);
        let forced = group.first().is_some_and(|b| b.page_break);
        let waits = group.last().is_some_and(|b| b.keep);
        if !waits && (forced || (y + tall > measures.bottom && tall - first_gap <= measures.room()))
        {
            turn(&mut page, &mut y);
        }
        for block in group {
            let gap = if page.is_empty() {
                0.0
            } else {
                block.gap * left
            };
            if !waits && y + gap + block.height > measures.bottom {
                turn(&mut page, &mut y);
            }
            let top = if page.is_empty() { y } else { y + gap };
            y = top + block.height;
            page.push(top);
        }
    }
    if !page.is_empty() {
        pages.push(page);
    }
    pages
}

#[cfg(test)]
mod tests {
    use super::super::Role;
    use super::*;
    use crate::layout::Layout;
    use proptest::prelude::*;

    fn block(height: f64) -> Block {
        Block::new(Role::Text, height, String::new(), String::new()).gap(5.0)
    }

    proptest! {
        #[test]
        fn nothing_is_lost_and_nothing_overlaps(
            kinds in prop::collection::vec((1.0_f64..300.0, any::<bool>()), 0..200)
        ) {
            let measures = Measures::of(&Layout::default());
            let blocks: Vec<Block> =
                kinds.iter().map(|&(h, keep)| Block { keep, ..block(h) }).collect();
            let pages = flow(blocks, &measures);
            prop_assert_eq!(pages.iter().map(Vec::len).sum::<usize>(), kinds.len());
            for page in &pages {
                let mut y = measures.top;
                for (top, block) in page {
                    prop_assert!(*top >= y);
                    y = top + block.height;
                }
            }
        }
    }

    #[test]
    fn space_is_drawn_together_where_that_saves_a_page() {
        let measures = Measures::of(&Layout::default());
        let tall = (measures.room() - 9.0 * 2.0) / 10.0;
        let pages = flow((0..10).map(|_| block(tall)).collect(), &measures);
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [10]);
        // Eleven need a second page in any case, and are set loosely.
        let pages = flow((0..11).map(|_| block(tall)).collect(), &measures);
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [9, 2]);
        assert!((pages[0][1].0 - pages[0][0].0 - tall - 5.0).abs() < 1e-9);
    }

    #[test]
    fn a_heading_goes_with_its_music() {
        let measures = Measures::of(&Layout::default());
        let blocks = vec![
            block(measures.room() - 30.0),
            block(15.0).keep(),
            block(60.0),
        ];
        let pages = flow(blocks, &measures);
        assert_eq!(pages.iter().map(Vec::len).collect::<Vec<_>>(), [1, 2]);
        assert!((pages[1][0].0 - measures.top).abs() < 1e-9);
    }
}
