//! Sound against what was to be played: notes, slurs, attacks, releases, tone, findings. No I/O.
