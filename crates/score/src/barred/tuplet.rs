//! Where tuplets begin and end.

use super::Symbol;
use crate::value::{Ratio, Value};

/// Marks the edges of tuplets: a group closes when its notes add up to a plain value.
pub(super) fn mark(symbols: &mut [Symbol<'_>]) {
    let mut open: Option<(Ratio, u32, usize)> = None;
    for index in 0..symbols.len() {
        let Some((ratio, ticks)) = symbols
            .get(index)
            .map(|symbol| (symbol.value.and_then(|value| value.ratio), symbol.ticks))
        else {
            continue;
        };
        if let Some((running, ..)) = open
            && ratio != Some(running)
        {
            stop(symbols, index.checked_sub(1));
            open = None;
        }
        let Some(ratio) = ratio else { continue };
        let (sum, count) = match open {
            Some((_, sum, count)) => (sum + ticks, count + 1),
            None => {
                if let Some(symbol) = symbols.get_mut(index) {
                    symbol.tuplet_start = true;
                }
                (ticks, 1)
            }
        };
        let whole = Value::exact(sum).is_some_and(|v| v.ratio.is_none() && v.dots == 0);
        if whole && count > 1 {
            stop(symbols, Some(index));
            open = None;
        } else {
            open = Some((ratio, sum, count));
        }
    }
    if open.is_some() {
        stop(symbols, symbols.len().checked_sub(1));
    }
}

fn stop(symbols: &mut [Symbol<'_>], index: Option<usize>) {
    if let Some(symbol) = index.and_then(|i| symbols.get_mut(i)) {
        symbol.tuplet_stop = true;
    }
}
