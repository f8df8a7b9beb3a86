//! The open archive: everything in one ZIP of JSON, TOML and FLAC, out and in again.
//!
//! ```text
//! waterkey.json              what this is: {"archive": 1, "made_ms": …}
//! settings.json players.json lessons.json takes.json notes.json
//! parts/TAKE.json            the part that was to be played
//! reports/TAKE.json          what was heard
//! sound/SHA256.flac          the sound of the takes
//! texts/KIND/ID.toml         the user's own instruments, exercises, levels, words
//! ```
//!
//! Importing merges: what is there and newer stays; nothing is removed.

use std::collections::BTreeSet;
use std::fs::File;
use std::io::{BufReader, BufWriter, Read, Seek, Write};
use std::path::Path;

use serde::de::DeserializeOwned;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::{HeardTake, Store};
use crate::clock::now_ms;
use crate::progress::Measure;
use crate::sound::vault::{self, Stored};
use crate::{
    Error, Lesson, NewTake, Player, Result, Settings, Take, TakeFilter, TakeNote, TextKind,
};

const VERSION: u32 = 1;
/// Largest single JSON or TOML file that is read in: enough for a report of four hours.
const MOST_TEXT: u64 = 256 << 20;
/// Largest single sound that is read in.
const MOST_SOUND: u64 = 4 << 30;

/// How many of each kind were written or taken in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct ArchiveCounts {
    /// Players.
    pub players: u64,
    /// Lessons.
    pub lessons: u64,
    /// Takes.
    pub takes: u64,
    /// Notes at places in takes.
    pub notes: u64,
    /// Own texts.
    pub texts: u64,
    /// Bytes of sound.
    pub sound_bytes: u64,
}

#[derive(Serialize, Deserialize)]
struct Manifest {
    archive: u32,
    made_ms: i64,
}

#[derive(Serialize, Deserialize)]
struct KeptReport {
    version: String,
    report: Value,
    #[serde(default)]
    curves: Value,
    measures: Vec<Measure>,
}

impl Store {
    /// Writes everything that is there (not what was removed) to an archive.
    ///
    /// # Errors
    /// [`Error::DiskFull`] and [`Error::Io`] from the disk; [`Error::Damaged`] when a sound is
    /// missing: run the doctor first.
    pub async fn export_archive(&self, path: &Path) -> Result<ArchiveCounts> {
        let file = File::create(path).map_err(Error::io(path))?;
        let mut archive = Out {
            zip: ZipWriter::new(BufWriter::new(file)),
            path,
        };
        let manifest = Manifest {
            archive: VERSION,
            made_ms: now_ms(),
        };
        archive.json("waterkey.json", &manifest)?;
        archive.json("settings.json", &self.settings().await?)?;
        let players = self.players(false).await?;
        archive.json("players.json", &players)?;
        let lessons = self.lessons(None).await?;
        archive.json("lessons.json", &lessons)?;
        let mut counts = ArchiveCounts {
            players: players.len() as u64,
            lessons: lessons.len() as u64,
            ..ArchiveCounts::default()
        };
        for kind in TextKind::ALL {
            for text in self.texts(kind).await? {
                let name = format!("texts/{}/{}.toml", kind.word(), text.id);
                archive.bytes(&name, text.text.as_bytes())?;
                counts.texts += 1;
            }
        }
        let takes = self.every_take().await?;
        let mut notes = Vec::new();
        let mut written = BTreeSet::new();
        for take in &takes {
            notes.extend(self.take_notes(&take.id).await?);
            if let Some(part) = self.take_part(&take.id).await? {
                archive.json(&format!("parts/{}.json", take.id), &part)?;
            }
            if let Some(kept) = self.kept_report(&take.id).await? {
                archive.json(&format!("reports/{}.json", take.id), &kept)?;
            }
            if written.insert(take.sha256.clone()) {
                let (_, sound) = self.take_sound(&take.id).await?;
                counts.sound_bytes +=
                    archive.stored(&format!("sound/{}.flac", take.sha256), &sound)?;
            }
        }
        archive.json("takes.json", &takes)?;
        archive.json("notes.json", &notes)?;
        counts.takes = takes.len() as u64;
        counts.notes = notes.len() as u64;
        archive.finish()?;
        Ok(counts)
    }

    /// Takes in what an archive holds: sounds are verified by their hash, things that are there
    /// and newer stay as they are.
    ///
    /// # Errors
    /// [`Error::Invalid`] names the file of the archive that is missing, damaged or of a newer
    /// kind; what had been taken in before it stays.
    pub async fn import_archive(&self, path: &Path) -> Result<ArchiveCounts> {
        let mut archive = In::open(path)?;
        let manifest: Manifest = archive.json("waterkey.json")?;
        if manifest.archive > VERSION {
            return Err(Error::Newer);
        }
        let mut counts = ArchiveCounts::default();
        if let Some(settings) = archive.json_if_there::<Settings>("settings.json")? {
            self.set_settings(&settings).await?;
        }
        for player in archive.json::<Vec<Player>>("players.json")? {
            let kept = self.player(&player.id).await.ok();
            if kept.is_none_or(|kept| kept.changed_ms < player.changed_ms) {
                self.put_player(&player).await?;
            }
            counts.players += 1;
        }
        for (kind, id, text) in archive.texts()? {
            self.put_text(kind, &id, &text).await?;
            counts.texts += 1;
        }
        for take in archive.json::<Vec<Take>>("takes.json")? {
            counts.sound_bytes += self.import_take(&mut archive, take).await?;
            counts.takes += 1;
        }
        for lesson in archive.json::<Vec<Lesson>>("lessons.json")? {
            let kept = self.lesson(&lesson.id).await.ok();
            if kept.is_none_or(|kept| kept.changed_ms < lesson.changed_ms) {
                self.put_lesson(&lesson).await?;
            }
            counts.lessons += 1;
        }
        for note in archive.json::<Vec<TakeNote>>("notes.json")? {
            self.take(&note.take).await?;
            self.put_take_note(&note).await?;
            counts.notes += 1;
        }
        Ok(counts)
    }

    async fn import_take(&self, archive: &mut In, take: Take) -> Result<u64> {
        let path = self.folder().sound(&take.sha256)?;
        let there = path.exists() && vault::sha256_of(&path)? == take.sha256;
        if !there {
            let part = self.folder().journal(&take.id)?.with_extension("part");
            archive.sound(&take.sha256, &part)?;
            let (sha256, _) = vault::shelve(self.folder(), &part)?;
            if sha256 != take.sha256 {
                self.drop_sound_if_unused(&sha256).await?;
                return Err(Error::invalid(
                    format!("sound/{}.flac", take.sha256),
                    "is damaged: its content is not what its name says",
                ));
            }
        }
        let kept = self.take(&take.id).await.ok();
        if kept.is_none_or(|kept| kept.changed_ms < take.changed_ms) {
            let about = NewTake {
                part: archive.json_if_there(&format!("parts/{}.json", take.id))?,
                player: take.player,
                exercise: take.exercise,
                instrument: take.instrument,
                title: take.title,
                started_ms: take.started_ms,
                origin: take.origin,
            };
            about.check()?;
            let stored = Stored {
                samples: (take.seconds * f64::from(take.sample_rate)).round() as u64,
                sha256: take.sha256,
                bytes: take.bytes,
            };
            let sound = (take.sample_rate, take.channels);
            self.put_take(&take.id, &about, &stored, sound, &take.gaps, take.recovered)
                .await?;
            self.restore_take(&take.id).await?;
        }
        let report: Option<KeptReport> =
            archive.json_if_there(&format!("reports/{}.json", take.id))?;
        if let (Some(kept), Some(summary)) = (report, take.summary) {
            let heard = HeardTake {
                version: kept.version,
                summary,
                report: kept.report,
                curves: kept.curves,
                measures: kept.measures,
            };
            self.put_heard(&take.id, &heard).await?;
        }
        Ok(take.bytes)
    }

    async fn every_take(&self) -> Result<Vec<Take>> {
        let mut filter = TakeFilter {
            limit: Some(500),
            ..TakeFilter::default()
        };
        let mut takes = Vec::new();
        loop {
            let page = self.takes(&filter).await?;
            takes.extend(page.takes);
            match page.next {
                Some(next) => filter.before = Some(next),
                None => return Ok(takes),
            }
        }
    }

    async fn kept_report(&self, take: &str) -> Result<Option<KeptReport>> {
        let Some(report) = self.take_report(take).await? else {
            return Ok(None);
        };
        let (version,): (String,) = sqlx::query_as("select version from report where take = $1")
            .bind(take)
            .fetch_one(self.pool())
            .await?;
        let rows: Vec<(String, String, f64, f64)> =
            sqlx::query_as("select skill, zone, value, sigma from measure where take = $1")
                .bind(take)
                .fetch_all(self.pool())
                .await?;
        Ok(Some(KeptReport {
            version,
            report,
            curves: self.take_curves(take).await?.unwrap_or_default(),
            measures: rows
                .into_iter()
                .map(|(skill, zone, value, sigma)| Measure {
                    skill,
                    zone,
                    value,
                    sigma,
                })
                .collect(),
        }))
    }
}

/// An archive being written.
struct Out<'a> {
    zip: ZipWriter<BufWriter<File>>,
    path: &'a Path,
}

impl Out<'_> {
    fn begin(&mut self, name: &str, method: CompressionMethod) -> Result<()> {
        let options = SimpleFileOptions::default()
            .compression_method(method)
            .large_file(true);
        self.zip
            .start_file(name, options)
            .map_err(|e| Error::io(self.path)(e.into()))
    }

    fn bytes(&mut self, name: &str, bytes: &[u8]) -> Result<()> {
        self.begin(name, CompressionMethod::Deflated)?;
        self.zip.write_all(bytes).map_err(Error::io(self.path))
    }

    fn json(&mut self, name: &str, value: &impl Serialize) -> Result<()> {
        let bytes = serde_json::to_vec_pretty(value)?;
        self.bytes(name, &bytes)
    }

    /// Copies a file as it is: FLAC does not get smaller.
    fn stored(&mut self, name: &str, source: &Path) -> Result<u64> {
        self.begin(name, CompressionMethod::Stored)?;
        let mut file = File::open(source).map_err(Error::io(source))?;
        std::io::copy(&mut file, &mut self.zip).map_err(Error::io(self.path))
    }

    fn finish(self) -> Result<()> {
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
struct In {
    zip: ZipArchive<BufReader<File>>,
}

impl In {
    fn open(path: &Path) -> Result<Self> {
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

    fn json_if_there<T: DeserializeOwned>(&mut self, name: &str) -> Result<Option<T>> {
        self.read(name)?
            .map(|bytes| serde_json::from_slice(&bytes))
            .transpose()
            .map_err(|e| Error::invalid(name, e.to_string()))
    }

    fn json<T: DeserializeOwned>(&mut self, name: &str) -> Result<T> {
        self.json_if_there(name)?
            .ok_or_else(|| Error::invalid(name, "is missing: this is no archive of a studio"))
    }

    fn texts(&mut self) -> Result<Vec<(TextKind, String, String)>> {
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

    fn sound(&mut self, sha256: &str, to: &Path) -> Result<()> {
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
