//! Blocks onto pages: what belongs together stays together, and pages turn between lines of music.

use super::{Block, Measures};

/// Blocks page by page, each with the distance of its top from the top of the sheet.
#[must_use]
pub fn flow(blocks: Vec<Block>, measures: &Measures) -> Vec<Vec<(f64, Block)>> {
    let mut pages: Vec<Vec<(f64, Block)>> = Vec::new();
    let mut page: Vec<(f64, Block)> = Vec::new();
    let mut y = measures.top;
    let mut waiting: Vec<Block> = Vec::new();
    let mut turn = |page: &mut Vec<(f64, Block)>, y: &mut f64| {
        if !page.is_empty() {
            pages.push(std::mem::take(page));
        }
        *y = measures.top;
    };
    for block in blocks {
        let open = block.keep;
        waiting.push(block);
        if open {
            continue;
        }
        let group = std::mem::take(&mut waiting);
        let tall: f64 = group.iter().map(|b| b.gap + b.height).sum();
        let first_gap = group.first().map_or(0.0, |b| b.gap);
        let forced = group.first().is_some_and(|b| b.page_break);
        if forced || (y + tall > measures.bottom && tall - first_gap <= measures.room()) {
            turn(&mut page, &mut y);
        }
        for block in group {
            if y + block.gap + block.height > measures.bottom {
                turn(&mut page, &mut y);
            }
            let top = if page.is_empty() { y } else { y + block.gap };
            y = top + block.height;
            page.push((top, block));
        }
    }
    for block in waiting {
        let top = y + block.gap;
        y = top + block.height;
        page.push((top, block));
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
