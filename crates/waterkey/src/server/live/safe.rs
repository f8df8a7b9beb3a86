//! Making what has come safe on the disk, beside the stream.

use studio::Recording;
use tokio::task::JoinHandle;

use crate::server::problem::{Code, Problem};

/// How much of a recording would outlive a power cut.
#[derive(Default)]
pub(super) struct Safe {
    /// Numbers below this are safe.
    seq: u32,
    /// A sync that is under way, and what will be safe after it.
    syncing: Option<(JoinHandle<std::io::Result<()>>, u32)>,
}

impl Safe {
    /// Numbers of blocks below this are safe.
    pub(super) fn seq(&self) -> u32 {
        self.seq
    }

    /// Sees what became of the last sync.
    ///
    /// # Errors
    /// When the disk did not take the sound.
    pub(super) async fn look(&mut self) -> Result<(), Problem> {
        let finished = |(sync, _): &(JoinHandle<_>, u32)| sync.is_finished();
        if !self.syncing.as_ref().is_some_and(finished) {
            return Ok(());
        }
        let Some((sync, seq)) = self.syncing.take() else {
            return Ok(());
        };
        match sync.await {
            Ok(Ok(())) => self.seq = seq,
            Ok(Err(error)) => {
                crate::server::note_fault(&error);
                let detail = "the disk does not take the sound";
                return Err(Problem::new(Code::DiskFull, detail));
            }
            Err(error) => crate::server::note_fault(&error),
        }
        Ok(())
    }

    /// Begins to make safe what was written, unless that is under way.
    pub(super) fn begin(&mut self, recording: &Recording) {
        let next_seq = recording.next_seq();
        if self.syncing.is_none() && self.seq < next_seq {
            let file = recording.handle();
            let sync = tokio::task::spawn_blocking(move || file.sync_data());
            self.syncing = Some((sync, next_seq));
        }
    }
}
