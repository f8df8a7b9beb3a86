//! The compressed form: a ZIP archive with a container file (MusicXML 4.0, "Compressed .mxl files").

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use crate::Error;

/// Media type that opens the archive, stored uncompressed.
const MEDIA_TYPE: &str = "application/vnd.recordare.musicxml";
/// The score within the archive.
const SCORE: &str = "score.musicxml";
const CONTAINER: &str = r#"<?xml version="1.0" encoding="UTF-8"?>
<container>
  <rootfiles>
    <rootfile full-path="score.musicxml" media-type="application/vnd.recordare.musicxml+xml"/>
  </rootfiles>
</container>
"#;

/// Packs a document.
pub(super) fn pack(document: &str) -> Result<Vec<u8>, Error> {
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let deflated = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    let mut archive = ZipWriter::new(Cursor::new(Vec::new()));
    for (name, text, options) in [
        ("mimetype", MEDIA_TYPE, stored),
        ("META-INF/container.xml", CONTAINER, deflated),
        (SCORE, document, deflated),
    ] {
        archive.start_file(name, options)?;
        archive.write_all(text.as_bytes())?;
    }
    Ok(archive.finish()?.into_inner())
}
