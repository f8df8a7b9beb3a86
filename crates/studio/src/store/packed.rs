//! JSON of a take as the database keeps it: parts, reports and curves are large and are packed.
//!
//! A packed text is a BLOB that holds one zlib stream (RFC 1950), whose checksum tells damage.
//! Older programs kept TEXT, as the column was declared (SQLite lets each value have its own type);
//! it reads as ever, and the doctor's repair packs it.

use std::io::{Read, Write};

use flate2::Compression;
use flate2::read::ZlibDecoder;
use flate2::write::ZlibEncoder;
use serde_json::Value;
use sqlx::{AssertSqlSafe, Sqlite, Transaction};

use super::Store;
use crate::folder::DATABASE;
use crate::{Error, Result};

/// Longest JSON text that is packed or unpacked, bytes: a take of four hours has a report of some
/// 45 MB. What claims to be longer is damaged, and is not unpacked further.
const MOST_BYTES: usize = 128 << 20;

/// What of a take is kept packed; each in the column `json` of a table of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Packed {
    /// What was to be played.
    Part,
    /// What was heard.
    Report,
    /// Pitch and level over time.
    Curves,
}

impl Packed {
    pub(super) const ALL: [Self; 3] = [Self::Part, Self::Report, Self::Curves];

    pub(super) fn table(self) -> &'static str {
        match self {
            Self::Part => "take_part",
            Self::Report => "report",
            Self::Curves => "take_curves",
        }
    }

    pub(super) fn word(self) -> &'static str {
        match self {
            Self::Part => "part",
            Self::Report => "report",
            Self::Curves => "curves",
        }
    }

    fn damaged(self, take: &str, detail: impl std::fmt::Display) -> Error {
        Error::Damaged {
            path: DATABASE.into(),
            detail: format!(
                "the {} of take `{take}` does not read ({detail})",
                self.word()
            ),
        }
    }
}

/// Packs a value, away from the tasks that wait for others.
pub(super) async fn pack(value: Value) -> Result<Vec<u8>> {
    tokio::task::spawn_blocking(move || zlib(&serde_json::to_vec(&value)?)).await?
}

fn zlib(json: &[u8]) -> Result<Vec<u8>> {
    if json.len() > MOST_BYTES {
        return Err(Error::invalid("take", "is too long to be kept"));
    }
    let fault = |error: std::io::Error| Error::Fault(format!("a text does not pack: {error}"));
    let mut packer = ZlibEncoder::new(Vec::new(), Compression::default());
    packer.write_all(json).map_err(fault)?;
    packer.finish().map_err(fault)
}

fn unzlib(packed: &[u8]) -> std::io::Result<Vec<u8>> {
    let mut json = Vec::new();
    // The buffer grows with what comes out, so that a stream that unpacks without end stops here.
    ZlibDecoder::new(packed)
        .take(MOST_BYTES as u64 + 1)
        .read_to_end(&mut json)?;
    if json.len() > MOST_BYTES {
        return Err(std::io::Error::other("it is longer than any take's"));
    }
    Ok(json)
}

impl Store {
    /// Reads what is kept packed of a take, if there is any.
    ///
    /// # Errors
    /// [`Error::Damaged`] names the take when it does not read.
    pub(super) async fn packed(&self, what: Packed, take: &str) -> Result<Option<Value>> {
        let query = format!(
            "select json, typeof(json) = 'blob' from {} where take = $1",
            what.table()
        );
        // Only the constant name of the table goes into the text of the query.
        let row: Option<(Vec<u8>, bool)> = sqlx::query_as(AssertSqlSafe(query))
            .bind(take)
            .fetch_optional(self.pool())
            .await?;
        let Some((kept, packed)) = row else {
            return Ok(None);
        };
        let read = move || -> std::io::Result<Value> {
            let json = if packed { unzlib(&kept)? } else { kept };
            Ok(serde_json::from_slice(&json)?)
        };
        let value = tokio::task::spawn_blocking(read).await?;
        value.map(Some).map_err(|error| what.damaged(take, error))
    }

    /// The takes of which this is kept.
    pub(super) async fn takes_with(&self, what: Packed) -> Result<Vec<String>> {
        let query = format!("select take from {} order by take", what.table());
        let rows: Vec<(String,)> = sqlx::query_as(AssertSqlSafe(query))
            .fetch_all(self.pool())
            .await?;
        Ok(rows.into_iter().map(|(take,)| take).collect())
    }

    /// Packs the texts that older programs kept plain; gives how many there were. The room they
    /// took goes back to the disk.
    pub(super) async fn pack_plain(&self) -> Result<u64> {
        let mut count = 0;
        for what in Packed::ALL {
            let table = what.table();
            let plain = format!("select take from {table} where typeof(json) = 'text'");
            let takes: Vec<(String,)> = sqlx::query_as(AssertSqlSafe(plain))
                .fetch_all(self.pool())
                .await?;
            for (take,) in takes {
                // What does not read stays as it is, for the doctor to tell.
                let Ok(Some(value)) = self.packed(what, &take).await else {
                    continue;
                };
                let json = pack(value).await?;
                let _turn = self.turn().await;
                let update = format!(
                    "update {table} set json = $2 where take = $1 and typeof(json) = 'text'"
                );
                let done = sqlx::query(AssertSqlSafe(update))
                    .bind(&take)
                    .bind(json)
                    .execute(self.pool())
                    .await?;
                count += done.rows_affected();
            }
        }
        if count > 0 {
            sqlx::query("vacuum").execute(self.pool()).await?;
        }
        Ok(count)
    }
}

/// Writes the part or the curves of a take in place of what was there.
pub(super) async fn put(
    transaction: &mut Transaction<'_, Sqlite>,
    what: Packed,
    take: &str,
    json: Vec<u8>,
) -> Result<()> {
    let insert = format!(
        "insert into {} (take, json) values ($1, $2)
         on conflict (take) do update set json = excluded.json",
        what.table()
    );
    sqlx::query(AssertSqlSafe(insert))
        .bind(take)
        .bind(json)
        .execute(&mut **transaction)
        .await?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_packed_unpacks_the_same_and_is_smaller() {
        let json = r#"{"at_s":[0.0,0.01,0.02],"f0_hz":[null,233.08,233.1]}"#.repeat(100);
        let packed = zlib(json.as_bytes()).unwrap();
        assert!(packed.len() * 10 < json.len());
        assert_eq!(unzlib(&packed).unwrap(), json.as_bytes());
    }

    #[test]
    fn a_stream_written_by_another_program_unpacks() {
        // "hello" as zlib 1.2 packs it at level 6 (Python: zlib.compress(b"hello").hex()).
        let hello = [
            0x78, 0x9c, 0xcb, 0x48, 0xcd, 0xc9, 0xc9, 0x07, 0x00, 0x06, 0x2c, 0x02, 0x15,
        ];
        assert_eq!(unzlib(&hello).unwrap(), b"hello");
    }

    #[test]
    fn a_stream_that_was_cut_or_changed_is_told() {
        let packed = zlib(&b"a report of a take".repeat(50)).unwrap();
        let cut = &packed[..packed.len() - 1];
        assert!(unzlib(cut).is_err());
        for at in 0..packed.len() {
            let mut changed = packed.clone();
            changed[at] ^= 1;
            let read = unzlib(&changed);
            assert!(read.is_err(), "byte {at} changed");
        }
    }

    #[test]
    fn a_stream_that_unpacks_without_end_is_stopped() {
        let mut packer = ZlibEncoder::new(Vec::new(), Compression::best());
        let spaces = vec![b' '; 1 << 20];
        for _ in 0..=MOST_BYTES >> 20 {
            packer.write_all(&spaces).unwrap();
        }
        let bomb = packer.finish().unwrap();
        assert!(bomb.len() < 1 << 20);
        assert!(unzlib(&bomb).is_err());
    }
}
