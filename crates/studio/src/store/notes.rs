//! Notes that someone writes at a place in a take.

use sqlx::FromRow;

use super::{Store, touched};
use crate::clock::{fresh_id, now_ms};
use crate::{Error, Result, TakeNote, TakeNoteInput};

#[derive(FromRow)]
struct Row {
    id: String,
    take: String,
    at_s: f64,
    author: String,
    text: String,
    created_ms: i64,
    changed_ms: i64,
}

impl From<Row> for TakeNote {
    fn from(row: Row) -> Self {
        Self {
            id: row.id,
            take: row.take,
            about: TakeNoteInput {
                at_s: row.at_s,
                author: row.author,
                text: row.text,
            },
            created_ms: row.created_ms,
            changed_ms: row.changed_ms,
        }
    }
}

impl Store {
    /// Adds a note at a place in a take.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown take, [`Error::Invalid`] naming the field.
    pub async fn add_take_note(&self, take: &str, about: &TakeNoteInput) -> Result<TakeNote> {
        about.check()?;
        self.take(take).await?;
        let now = now_ms();
        let note = TakeNote {
            id: fresh_id(),
            take: take.into(),
            about: about.clone(),
            created_ms: now,
            changed_ms: now,
        };
        self.put_take_note(&note).await?;
        Ok(note)
    }

    /// Writes a note as given, whether it was there or not.
    pub(super) async fn put_take_note(&self, note: &TakeNote) -> Result<()> {
        note.about.check()?;
        sqlx::query(
            "insert into take_note (id, take, at_s, author, text, created_ms, changed_ms)
             values ($1, $2, $3, $4, $5, $6, $7)
             on conflict (id) do update set at_s = excluded.at_s, author = excluded.author,
                text = excluded.text, changed_ms = excluded.changed_ms, deleted_ms = null",
        )
        .bind(&note.id)
        .bind(&note.take)
        .bind(note.about.at_s)
        .bind(&note.about.author)
        .bind(&note.about.text)
        .bind(note.created_ms)
        .bind(note.changed_ms)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// The notes of a take in the order of their places.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn take_notes(&self, take: &str) -> Result<Vec<TakeNote>> {
        let rows: Vec<Row> = sqlx::query_as(
            "select * from take_note where take = $1 and deleted_ms is null
             order by at_s, id limit 1000",
        )
        .bind(take)
        .fetch_all(self.pool())
        .await?;
        Ok(rows.into_iter().map(TakeNote::from).collect())
    }

    async fn take_note(&self, take: &str, id: &str) -> Result<TakeNote> {
        let row: Option<Row> = sqlx::query_as(
            "select * from take_note where take = $1 and id = $2 and deleted_ms is null",
        )
        .bind(take)
        .bind(id)
        .fetch_optional(self.pool())
        .await?;
        row.map(TakeNote::from)
            .ok_or_else(|| Error::not_found("note", id))
    }

    /// Changes a note.
    ///
    /// # Errors
    /// [`Error::NotFound`], or [`Error::Invalid`] naming the field.
    pub async fn change_take_note(
        &self,
        take: &str,
        id: &str,
        about: &TakeNoteInput,
    ) -> Result<TakeNote> {
        let note = TakeNote {
            about: about.clone(),
            changed_ms: now_ms(),
            ..self.take_note(take, id).await?
        };
        self.put_take_note(&note).await?;
        Ok(note)
    }

    /// Removes a note; [`Store::restore_take_note`] brings it back.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none.
    pub async fn remove_take_note(&self, take: &str, id: &str) -> Result<()> {
        let done = sqlx::query(
            "update take_note set deleted_ms = $3
             where take = $1 and id = $2 and deleted_ms is null",
        )
        .bind(take)
        .bind(id)
        .bind(now_ms())
        .execute(self.pool())
        .await?;
        touched(done.rows_affected(), "note", id)
    }

    /// Brings a removed note back; does nothing to one that is there.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there never was one.
    pub async fn restore_take_note(&self, take: &str, id: &str) -> Result<TakeNote> {
        sqlx::query("update take_note set deleted_ms = null where take = $1 and id = $2")
            .bind(take)
            .bind(id)
            .execute(self.pool())
            .await?;
        self.take_note(take, id).await
    }
}
