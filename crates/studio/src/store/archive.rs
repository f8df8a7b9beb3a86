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

mod zipped;

use std::collections::BTreeSet;
use std::path::Path;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use self::zipped::{In, Out};
use super::{HeardTake, Store};
use crate::clock::now_ms;
use crate::progress::Measure;
use crate::sound::vault::{self, Stored};
use crate::{Error, Lesson, NewTake, Player, Result, Settings, Take, TakeNote, TextKind};

const VERSION: u32 = 1;

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
        let mut archive = Out::create(path)?;
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
            self.put_heard(&take.id, heard).await?;
        }
        Ok(take.bytes)
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
