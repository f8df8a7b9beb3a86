//! Files that pass through on their way in or out, and never stay.

use std::path::{Path, PathBuf};

use axum::body::Body as Bytes;
use http_body_util::BodyExt;
use tokio::io::AsyncWriteExt;
use tokio_util::io::ReaderStream;

use crate::server::problem::{Answer, Code, Problem};
use crate::server::state::App;

/// A file that goes away when it is no longer needed.
pub(super) struct Passing(pub(super) PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        std::fs::remove_file(&self.0).ok();
    }
}

impl App {
    /// A fresh name for a file that passes through; no part of it comes from a request.
    pub(super) fn passing_path(&self, extension: &str) -> PathBuf {
        use std::sync::atomic::{AtomicU64, Ordering};
        static NEXT: AtomicU64 = AtomicU64::new(0);
        let number = NEXT.fetch_add(1, Ordering::Relaxed);
        let name = format!("passing-{}-{number}.{extension}", std::process::id());
        self.store
            .folder()
            .root()
            .join(studio::folder::JOURNALS)
            .join(name)
    }
}

/// Writes a body to a file that goes away by itself, so that memory does not grow with it.
pub(super) async fn spool(app: &App, mut body: Bytes, most: usize) -> Answer<Passing> {
    let passing = Passing(app.passing_path("part"));
    let on_disk = |error: std::io::Error| match error.kind() {
        std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => {
            Problem::new(Code::DiskFull, "no room left on the disk")
        }
        _ => {
            crate::server::note_fault(&error);
            Problem::new(Code::Internal, "the file could not be written")
        }
    };
    let mut file = tokio::fs::File::create(&passing.0).await.map_err(on_disk)?;
    let mut size = 0;
    while let Some(frame) = body.frame().await {
        let frame = frame
            .map_err(|_| Problem::new(Code::Timeout, "the body broke off or came too slowly"))?;
        let Ok(data) = frame.into_data() else {
            continue;
        };
        size += data.len();
        if size > most {
            return Err(Problem::new(Code::TooLarge, "the file is too large"));
        }
        file.write_all(&data).await.map_err(on_disk)?;
    }
    file.flush().await.map_err(on_disk)?;
    if size == 0 {
        return Err(Problem::unprocessable(
            "the body is empty: send the file itself",
        ));
    }
    Ok(passing)
}

/// Streams a passing file, which goes away when it is sent or the client is gone.
pub(super) async fn file_of(passing: Passing) -> Answer<(Bytes, u64)> {
    let file = open(&passing.0).await?;
    let length = file.1;
    // On Unix the open file lives on without its name.
    drop(passing);
    Ok((Bytes::from_stream(ReaderStream::new(file.0)), length))
}

pub(super) async fn open(path: &Path) -> Answer<(tokio::fs::File, u64)> {
    let opened = async {
        let file = tokio::fs::File::open(path).await?;
        let length = file.metadata().await?.len();
        Ok::<_, std::io::Error>((file, length))
    };
    opened.await.map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(Code::Internal, "a file could not be read")
    })
}
