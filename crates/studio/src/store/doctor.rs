//! The doctor: verifies the database and every sound, and mends what can be mended.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde::Serialize;
use sqlx::sqlite::{SqliteConnectOptions, SqlitePoolOptions};

use super::Store;
use super::packed::Packed;
use crate::clock::{fresh_id, now_ms};
use crate::folder::TAKES;
use crate::sound::head::read_head;
use crate::sound::vault::{Stored, sha256_of};
use crate::{Error, NewTake, Result};

/// One thing that is not as it should be.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema), schema(as = DataProblem))]
pub struct Problem {
    /// What is wrong and what to do about it.
    pub what: String,
    /// The take or file it is about.
    pub place: String,
    /// Whether it was mended.
    pub mended: bool,
}

/// What the doctor found.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "schema", derive(utoipa::ToSchema))]
pub struct Verdict {
    /// How many takes were verified.
    pub takes: u64,
    /// How many bytes of sound were read and matched with their hash.
    pub bytes: u64,
    /// What is not as it should be; empty when all is well.
    pub problems: Vec<Problem>,
}

impl Verdict {
    fn note(&mut self, what: impl Into<String>, place: impl Into<String>, mended: bool) {
        self.problems.push(Problem {
            what: what.into(),
            place: place.into(),
            mended,
        });
    }
}

impl Store {
    /// Reads everything and compares it with what it should be; with `repair`, mends what can be:
    /// indexes are made anew, sizes corrected, sounds without a take become takes again, damaged
    /// sounds are set aside under another name, damaged reports are forgotten so that the take
    /// can be heard again, and what an older program kept plain is packed.
    ///
    /// # Errors
    /// [`Error::InUse`] for a repair by a process that is not the keeper; [`Error::Io`] when the
    /// folder cannot be read.
    pub async fn examine(&self, repair: bool) -> Result<Verdict> {
        if repair {
            self.require_keeper()?;
        }
        let mut verdict = Verdict::default();
        self.examine_database(repair, &mut verdict).await?;
        let known = self.examine_takes(repair, &mut verdict).await?;
        self.examine_strays(&known, repair, &mut verdict).await?;
        self.examine_packed(repair, &mut verdict).await?;
        Ok(verdict)
    }

    async fn examine_database(&self, repair: bool, verdict: &mut Verdict) -> Result<()> {
        let faults: Vec<(String,)> = sqlx::query_as("pragma integrity_check(50)")
            .fetch_all(self.pool())
            .await?;
        let mended = repair
            && sqlx::query("reindex").execute(self.pool()).await.is_ok()
            && sqlx::query_as::<_, (String,)>("pragma integrity_check(1)")
                .fetch_one(self.pool())
                .await
                .is_ok_and(|(word,)| word == "ok");
        for (fault,) in faults.into_iter().filter(|(word,)| word != "ok") {
            verdict.note(
                format!("the database is damaged ({fault}); restore a backup if it stays so"),
                crate::folder::DATABASE,
                mended,
            );
        }
        Ok(())
    }

    async fn examine_takes(&self, repair: bool, verdict: &mut Verdict) -> Result<BTreeSet<String>> {
        let rows: Vec<(String, String, i64)> =
            sqlx::query_as("select id, sha256, bytes from take order by id")
                .fetch_all(self.pool())
                .await?;
        let mut known = BTreeSet::new();
        for (id, sha256, bytes) in rows {
            verdict.takes += 1;
            let path = self.folder().sound(&sha256)?;
            known.insert(sha256.clone());
            let file = path.clone();
            let found = tokio::task::spawn_blocking(move || -> Result<(String, u64)> {
                let hash = sha256_of(&file)?;
                Ok((hash, fs::metadata(&file).map_err(Error::io(&file))?.len()))
            })
            .await?;
            match found {
                Err(_) => verdict.note(
                    "the sound of this take is missing or unreadable; import an archive that \
                     holds it",
                    id,
                    false,
                ),
                Ok((hash, _)) if hash != sha256 => {
                    let aside = path.with_extension("damaged");
                    let mended = repair && fs::rename(&path, &aside).is_ok();
                    verdict.note(
                        "the sound of this take is damaged; import an archive that holds it \
                         (what is left is set aside)",
                        id,
                        mended,
                    );
                }
                Ok((_, size)) => {
                    verdict.bytes += size;
                    if i64::try_from(size) != Ok(bytes) {
                        if repair {
                            sqlx::query("update take set bytes = $2 where id = $1")
                                .bind(&id)
                                .bind(i64::try_from(size).unwrap_or(0))
                                .execute(self.pool())
                                .await?;
                        }
                        verdict.note("the size written down was wrong", id, repair);
                    }
                }
            }
        }
        Ok(known)
    }

    /// Sounds that no take names: adopted as takes, so that nothing recorded is lost.
    async fn examine_strays(
        &self,
        known: &BTreeSet<String>,
        repair: bool,
        verdict: &mut Verdict,
    ) -> Result<()> {
        let root = self.folder().root().join(TAKES);
        let sounds = tokio::task::spawn_blocking(move || sounds_in(&root)).await??;
        for path in sounds {
            let name = path.file_stem().and_then(|s| s.to_str()).unwrap_or("");
            if known.contains(name) {
                continue;
            }
            let mended = repair && self.adopt(&path, name).await.is_ok();
            verdict.note(
                "this sound belongs to no take; the repair makes a take of it",
                name,
                mended,
            );
        }
        Ok(())
    }

    async fn adopt(&self, path: &Path, name: &str) -> Result<()> {
        let file = path.to_owned();
        let (hash, head, bytes) = tokio::task::spawn_blocking(move || -> Result<_> {
            let bytes = fs::metadata(&file).map_err(Error::io(&file))?.len();
            Ok((sha256_of(&file)?, read_head(&file)?, bytes))
        })
        .await??;
        if hash != name {
            return Err(Error::Damaged {
                path: path.into(),
                detail: "its content is not what its name says".into(),
            });
        }
        let about = NewTake {
            player: None,
            exercise: None,
            instrument: "unknown".into(),
            title: "found again".into(),
            started_ms: now_ms(),
            part: None,
            origin: None,
        };
        let stored = Stored {
            sha256: hash,
            bytes,
            samples: head.samples,
        };
        let sound = (head.sample_rate, head.channels);
        self.put_take(&fresh_id(), &about, &stored, sound, &[], true)
            .await
    }

    /// Parts, reports and curves of all takes: each must unpack and read.
    async fn examine_packed(&self, repair: bool, verdict: &mut Verdict) -> Result<()> {
        for what in Packed::ALL {
            for take in self.takes_with(what).await? {
                match self.packed(what, &take).await {
                    Err(Error::Damaged { .. }) => {
                        if repair {
                            self.forget_damaged(what, &take).await?;
                        }
                        verdict.note(damaged(what), take, repair);
                    }
                    other => drop(other?),
                }
            }
        }
        if repair {
            let packed = self.pack_plain().await?;
            if packed > 0 {
                verdict.note(
                    format!("texts that an older program kept plain: {packed}"),
                    crate::folder::DATABASE,
                    true,
                );
            }
        }
        Ok(())
    }

    async fn forget_damaged(&self, what: Packed, take: &str) -> Result<()> {
        match what {
            Packed::Part => self.forget_part(take).await,
            Packed::Report | Packed::Curves => self.forget_heard(take).await,
        }
    }
}

fn damaged(what: Packed) -> &'static str {
    match what {
        Packed::Part => "the part of this take is damaged; the repair makes it free playing",
        Packed::Report => "the report of this take is damaged; repair, then hear it again",
        Packed::Curves => "the curves of this take are damaged; repair, then hear it again",
    }
}

fn sounds_in(root: &Path) -> Result<Vec<PathBuf>> {
    let mut sounds = Vec::new();
    for shelf in fs::read_dir(root).map_err(Error::io(root))?.flatten() {
        let Ok(files) = fs::read_dir(shelf.path()) else {
            continue;
        };
        sounds.extend(
            files
                .flatten()
                .map(|file| file.path())
                .filter(|path| path.extension().is_some_and(|e| e == "flac")),
        );
    }
    sounds.sort();
    Ok(sounds)
}

/// Fails unless a file is a whole database.
pub(super) async fn check_database(path: &Path) -> Result<()> {
    let damaged = |detail: String| Error::Damaged {
        path: path.into(),
        detail,
    };
    let options = SqliteConnectOptions::new().filename(path).read_only(true);
    let pool = SqlitePoolOptions::new()
        .max_connections(1)
        .connect_with(options)
        .await
        .map_err(|error| damaged(error.to_string()))?;
    let word = sqlx::query_as::<_, (String,)>("pragma integrity_check(1)")
        .fetch_one(&pool)
        .await;
    pool.close().await;
    match word {
        Ok((word,)) if word == "ok" => Ok(()),
        Ok((word,)) => Err(damaged(word)),
        Err(error) => Err(damaged(error.to_string())),
    }
}
