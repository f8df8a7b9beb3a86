//! A sign of life on standard error when work takes over a second.

use std::time::Duration;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

/// A spinner that says what goes on; shows only on a terminal.
pub(crate) fn busy(what: &'static str) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(None, ProgressDrawTarget::stderr());
    if let Ok(style) = ProgressStyle::with_template("{spinner} {msg} {elapsed}") {
        bar.set_style(style);
    }
    bar.set_message(what);
    bar.enable_steady_tick(Duration::from_millis(200));
    bar
}
