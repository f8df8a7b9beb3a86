//! Players, takes, progress, advice, and the store that keeps them.
