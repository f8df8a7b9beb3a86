//! The bytes before decoding: their number, and what they look like when they are no sound.

use std::io::{Read, Seek, SeekFrom};

use symphonia::core::io::MediaSource;

use super::{InputError, RATES};

/// A source whose length is known, as the decoder wants it.
pub(super) struct Bytes<R> {
    inner: R,
    length: u64,
    /// The first bytes, for [`looks_like`].
    pub(super) head: Vec<u8>,
}

/// How many first bytes are kept to say what a file looks like.
const HEAD: u64 = 512;

impl<R: Read + Seek> Bytes<R> {
    /// Measures the source and keeps its first bytes; it is at its start afterwards.
    pub(super) fn new(mut inner: R) -> Result<Self, InputError> {
        let failed = |e: std::io::Error| InputError::Read { why: e.to_string() };
        let length = inner.seek(SeekFrom::End(0)).map_err(failed)?;
        inner.seek(SeekFrom::Start(0)).map_err(failed)?;
        if length == 0 {
            return Err(InputError::Empty);
        }
        let mut head = Vec::new();
        (&mut inner)
            .take(HEAD)
            .read_to_end(&mut head)
            .map_err(failed)?;
        inner.seek(SeekFrom::Start(0)).map_err(failed)?;
        Ok(Self {
            inner,
            length,
            head,
        })
    }
}

impl<R: Read> Read for Bytes<R> {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        self.inner.read(into)
    }
}

impl<R: Seek> Seek for Bytes<R> {
    fn seek(&mut self, to: SeekFrom) -> std::io::Result<u64> {
        self.inner.seek(to)
    }
}

impl<R: Read + Seek + Send + Sync> MediaSource for Bytes<R> {
    fn is_seekable(&self) -> bool {
        true
    }

    fn byte_len(&self) -> Option<u64> {
        Some(self.length)
    }
}

/// What the first bytes of a file look like, in plain words.
#[must_use]
pub fn looks_like(head: &[u8]) -> &'static str {
    const MAGIC: [(&[u8], &str); 12] = [
        (b"MThd", "a MIDI file: notes to be played, not a recording"),
        (b"%PDF", "a PDF"),
        (b"PK\x03\x04", "a ZIP archive or an office file"),
        (b"\x89PNG", "a picture"),
        (b"\xff\xd8\xff", "a picture"),
        (b"GIF8", "a picture"),
        (b"\x1f\x8b", "a compressed archive"),
        (b"\x1a\x45\xdf\xa3", "a Matroska or WebM film"),
        (
            b"OggS",
            "an OGG file that is not Vorbis or FLAC, perhaps Opus",
        ),
        (b"RIFF", "a WAV file with a damaged head"),
        (b"fLaC", "a FLAC file with a damaged head"),
        (b"FORM", "an AIFF file with a damaged head"),
    ];
    if let Some((_, what)) = MAGIC.iter().find(|(magic, _)| head.starts_with(magic)) {
        return what;
    }
    let text = std::str::from_utf8(head).map_or_else(
        // A character may be cut at the end of the head.
        |e| e.error_len().is_none() && e.valid_up_to() > 0,
        |_| true,
    );
    let control = |b: &u8| *b < 9 || (*b > 13 && *b < 32);
    if !text || head.iter().any(control) {
        return "no kind of file that is known here";
    }
    if head.trim_ascii_start().starts_with(b"<") {
        "XML or a web page"
    } else {
        "text"
    }
}

/// True when a rate can be read.
#[must_use]
pub fn rate_is_allowed(rate: u32) -> bool {
    (RATES.0..=RATES.1).contains(&rate)
}
