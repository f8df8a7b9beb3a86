//! The user's own instruments, mouthpieces, exercises, levels and words: texts by kind and id.

use sqlx::FromRow;

use super::{Store, touched};
use crate::clock::now_ms;
use crate::kept::check_own_text;
use crate::{Error, OwnText, Result, TextKind};

#[derive(FromRow)]
struct Row {
    id: String,
    text: String,
    created_ms: i64,
    changed_ms: i64,
}

impl Row {
    fn into_text(self, kind: TextKind) -> OwnText {
        OwnText {
            kind,
            id: self.id,
            text: self.text,
            created_ms: self.created_ms,
            changed_ms: self.changed_ms,
        }
    }
}

impl Store {
    /// Keeps a text under a kind and an id, new or changed.
    ///
    /// # Errors
    /// [`Error::Invalid`] for an id that is not lower-case words with hyphens or a text of more
    /// than 500,000 characters. What the text means is not checked here.
    pub async fn put_text(&self, kind: TextKind, id: &str, text: &str) -> Result<OwnText> {
        check_own_text(id, text)?;
        sqlx::query(
            "insert into own_text (kind, id, text, created_ms, changed_ms)
             values ($1, $2, $3, $4, $4)
             on conflict (kind, id) do update set text = excluded.text,
                changed_ms = excluded.changed_ms, deleted_ms = null",
        )
        .bind(kind.word())
        .bind(id)
        .bind(text)
        .bind(now_ms())
        .execute(self.pool())
        .await?;
        self.text(kind, id).await
    }

    /// All own texts of a kind by id.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn texts(&self, kind: TextKind) -> Result<Vec<OwnText>> {
        let rows: Vec<Row> = sqlx::query_as(
            "select id, text, created_ms, changed_ms from own_text
             where kind = $1 and deleted_ms is null order by id limit 5000",
        )
        .bind(kind.word())
        .fetch_all(self.pool())
        .await?;
        Ok(rows.into_iter().map(|row| row.into_text(kind)).collect())
    }

    /// One own text.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none or it was removed.
    pub async fn text(&self, kind: TextKind, id: &str) -> Result<OwnText> {
        let row: Option<Row> = sqlx::query_as(
            "select id, text, created_ms, changed_ms from own_text
             where kind = $1 and id = $2 and deleted_ms is null",
        )
        .bind(kind.word())
        .bind(id)
        .fetch_optional(self.pool())
        .await?;
        row.map(|row| row.into_text(kind))
            .ok_or_else(|| Error::not_found(kind.word(), id))
    }

    /// Removes an own text; [`Store::restore_text`] brings it back.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none.
    pub async fn remove_text(&self, kind: TextKind, id: &str) -> Result<()> {
        let done = sqlx::query(
            "update own_text set deleted_ms = $3
             where kind = $1 and id = $2 and deleted_ms is null",
        )
        .bind(kind.word())
        .bind(id)
        .bind(now_ms())
        .execute(self.pool())
        .await?;
        touched(done.rows_affected(), kind.word(), id)
    }

    /// Brings a removed text back; does nothing to one that is there.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there never was one.
    pub async fn restore_text(&self, kind: TextKind, id: &str) -> Result<OwnText> {
        sqlx::query("update own_text set deleted_ms = null where kind = $1 and id = $2")
            .bind(kind.word())
            .bind(id)
            .execute(self.pool())
            .await?;
        self.text(kind, id).await
    }
}
