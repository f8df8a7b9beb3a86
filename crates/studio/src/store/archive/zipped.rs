//! The ZIP file of an archive, being written and being read.

use std::fs::File;
use std::io::{BufReader, BufWriter, Read, Seek, Write};
use std::path::Path;

use serde::Serialize;
use serde::de::DeserializeOwned;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use crate::{Error, Result, TextKind};

/// Largest single JSON or TOML file that is read in: enough for a report of four hours.
const MOST_TEXT: u64 = 256 << 20;
/// Largest single sound that is read in.
const MOST_SOUND: u64 = 4 << 30;

/// An archive being written.
pub(super) struct Out<'a> {
    zip: ZipWriter<BufWriter<File>>,
    path: &'a Path,
}

impl<'a> Out<'a> {
    pub(super) fn create(path: &'a Path) -> Result<Self> {
        let file = File::create(path).map_err(Error::io(path))?;
        Ok(Self {
            zip: ZipWriter::new(BufWriter::new(file)),
            path,
        })
    }

    fn begin(&mut self, name: &str, method: CompressionMethod) -> Result<()> {
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .large_file(true);
        self.zip
            .start_file(name, options)
            .map_err(|e| Error::io(self.path)(e.into()))
    }

    pub(super) fn bytes(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        self.begin(name, CompressionMethod::Deflated)?;
        self.zip.write_all(bytes).map_err(Error::io(self.path))
    }

    pub(super) fn json(&mut self, name: &str, value: &impl Serialize) -> Result<()> {
        let bytes = serde_json::to_vec_pretty(value)?;
        self.bytes(name, &bytes)
    }

    /// Copies a file as it is: FLAC does not get smaller.
    pub(super) fn stored(&mut self, name: &str, source: &Path) -> Result<u64> {
        self.begin(name, CompressionMethod::Stored)?;
        let mut file = File::open(source).map_err(Error::io(source))?;
        std::io::copy(&mut file, &mut self.zip).map_err(Error::io(self.path))
    }

    pub(super) fn finish(self) -> Result<()> {
        let mut file = self
            .zip
            .finish()
            .map_err(|e| Error::io(self.path)(e.into()))?;
        file.flush().map_err(Error::io(self.path))?;
        file.get_ref().sync_all().map_err(Error::io(self.path))
    }
}

/// An archive being read. Only names that this module composes are asked for, so no name in the
/// archive ever becomes a path.
pub(super) struct In {
    zip: ZipArchive<BufReader<File>>,
}

impl In {
    pub(super) fn open(path: &Path) -> Result<Self> {
        let file = File::open(path).map_err(Error::io(path))?;
        let zip = ZipArchive::new(BufReader::new(file))
            .map_err(|e| Error::invalid("archive", format!("is no ZIP file that reads: {e}")))?;
        Ok(Self { zip })
    }

    fn read(&mut self, name: &str) -> Result<Option<Vec<u8>>> {
        let unread =
            |e: &dyn std::fmt::Display| Error::invalid(name, format!("does not read: {e}"));
        let entry = match self.zip.by_name(name) {
            Err(zip::result::ZipError::FileNotFound) => return Ok(None),
            entry => entry.map_err(|e| unread(&e))?,
        };
        let mut bytes = Vec::new();
        let count = entry
            .take(MOST_TEXT + 1)
            .read_to_end(&mut bytes)
            .map_err(|e| unread(&e))?;
        if count as u64 > MOST_TEXT {
            return Err(Error::invalid(name, "is too large"));
        }
        Ok(Some(bytes))
    }

    pub(super) fn json_if_there<T: DeserializeOwned>(&mut self, name: &str) -> Result<Option<T>> {
        self.read(name)?
            .map(|bytes| serde_json::from_slice(&bytes))
            .transpose()
            .map_err(|e| Error::invalid(name, e.to_string()))
    }

    pub(super) fn json<T: DeserializeOwned>(&mut self, name: &str) -> Result<T> {
        self.json_if_there(name)?
            .ok_or_else(|| Error::invalid(name, "is missing: this is no archive of a studio"))
    }

    pub(super) fn texts(&mut self) -> Result<Vec<(TextKind, String, String)>> {
        let named: Vec<(TextKind, String)> = self
            .zip
            .file_names()
            .filter_map(|name| {
                let name = name.ok()?;
                let (kind, id) = name.strip_prefix("texts/")?.split_once('/')?;
                let kind = TextKind::ALL.into_iter().find(|k| k.word() == kind)?;
                Some((kind, id.strip_suffix(".toml")?.to_owned()))
            })
            .collect();
        let mut texts = Vec::new();
        for (kind, id) in named {
            let name = format!("texts/{}/{id}.toml", kind.word());
            let bytes = self.read(&name)?.unwrap_or_default();
            let text =
                String::from_utf8(bytes).map_err(|_| Error::invalid(&name, "is not UTF-8 text"))?;
            texts.push((kind, id, text));
        }
        Ok(texts)
    }

    pub(super) fn sound(&mut self, sha256: &str, to: &Path) -> Result<()> {
        let name = format!("sound/{sha256}.flac");
        let entry = self
            .zip
            .by_name(&name)
            .map_err(|e| Error::invalid(&name, format!("does not read: {e}")))?;
        let mut file = File::create(to).map_err(Error::io(to))?;
        let copied = std::io::copy(&mut entry.take(MOST_SOUND), &mut file)
            .map_err(Error::io(to))
            .and_then(|_| {
                file.rewind().map_err(Error::io(to))?;
                file.sync_all().map_err(Error::io(to))
            });
        if copied.is_err() {
            std::fs::remove_file(to).ok();
        }
        copied
    }
}
