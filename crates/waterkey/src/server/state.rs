//! What all handlers share.

use std::sync::Arc;

use studio::Store;
use tokio::sync::Semaphore;

use super::guard::{Rates, Sessions};

/// What all handlers share. Cheap to clone.
#[derive(Clone)]
pub(crate) struct App {
    /// The kept things.
    pub(crate) store: Store,
    /// Signs and checks sessions.
    pub(crate) sessions: Arc<Sessions>,
    /// Buckets of requests and tries.
    pub(crate) rates: Arc<Rates>,
    /// Heavy work (hearing, engraving, exporting) runs at most as many at once as there are cores.
    pub(crate) heavy: Arc<Semaphore>,
    /// Places for live streams that are heard as they come; further ones are recorded all the same.
    pub(crate) listeners: Arc<Semaphore>,
    /// Whether the server is open to the network.
    pub(crate) network: bool,
}

impl App {
    /// Runs work that keeps a core busy, off the threads that serve, when a core is free for it.
    pub(crate) async fn heavy<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, super::problem::Problem> {
        let turn = Arc::clone(&self.heavy).acquire_owned().await;
        let done = tokio::task::spawn_blocking(move || {
            let _turn = turn;
            work()
        });
        Ok(done.await?)
    }
}
