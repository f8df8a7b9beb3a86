//! Lessons: what was worked on, by player and day.

use sqlx::FromRow;

use super::{Store, touched};
use crate::clock::{fresh_id, now_ms};
use crate::{Error, Lesson, LessonInput, Result};

#[derive(FromRow)]
struct Row {
    id: String,
    player: String,
    at_ms: i64,
    title: String,
    text: String,
    exercises: String,
    takes: String,
    created_ms: i64,
    changed_ms: i64,
}

impl TryFrom<Row> for Lesson {
    type Error = Error;

    fn try_from(row: Row) -> Result<Self> {
        Ok(Self {
            id: row.id,
            about: LessonInput {
                player: row.player,
                at_ms: row.at_ms,
                title: row.title,
                text: row.text,
                exercises: serde_json::from_str(&row.exercises)?,
                takes: serde_json::from_str(&row.takes)?,
            },
            created_ms: row.created_ms,
            changed_ms: row.changed_ms,
        })
    }
}

impl Store {
    /// Adds a lesson of a player.
    ///
    /// # Errors
    /// [`Error::NotFound`] for an unknown player, [`Error::Invalid`] naming the field.
    pub async fn add_lesson(&self, about: &LessonInput) -> Result<Lesson> {
        about.check()?;
        self.player(&about.player).await?;
        let now = now_ms();
        let lesson = Lesson {
            id: fresh_id(),
            about: about.clone(),
            created_ms: now,
            changed_ms: now,
        };
        self.put_lesson(&lesson).await?;
        Ok(lesson)
    }

    /// Writes a lesson as given, whether it was there or not.
    pub(super) async fn put_lesson(&self, lesson: &Lesson) -> Result<()> {
        let about = &lesson.about;
        about.check()?;
        sqlx::query(
            "insert into lesson (id, player, at_ms, title, text, exercises, takes, created_ms,
                changed_ms)
             values ($1, $2, $3, $4, $5, $6, $7, $8, $9)
             on conflict (id) do update set player = excluded.player, at_ms = excluded.at_ms,
                title = excluded.title, text = excluded.text, exercises = excluded.exercises,
                takes = excluded.takes, changed_ms = excluded.changed_ms, deleted_ms = null",
        )
        .bind(&lesson.id)
        .bind(&about.player)
        .bind(about.at_ms)
        .bind(&about.title)
        .bind(&about.text)
        .bind(serde_json::to_string(&about.exercises)?)
        .bind(serde_json::to_string(&about.takes)?)
        .bind(lesson.created_ms)
        .bind(lesson.changed_ms)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// The lessons of a player, or of all, the latest first.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn lessons(&self, player: Option<&str>) -> Result<Vec<Lesson>> {
        let rows: Vec<Row> = sqlx::query_as(
            "select * from lesson where deleted_ms is null and ($1 is null or player = $1)
             order by at_ms desc, id desc limit 1000",
        )
        .bind(player)
        .fetch_all(self.pool())
        .await?;
        rows.into_iter().map(Lesson::try_from).collect()
    }

    /// One lesson.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none or it was removed.
    pub async fn lesson(&self, id: &str) -> Result<Lesson> {
        let row: Option<Row> =
            sqlx::query_as("select * from lesson where id = $1 and deleted_ms is null")
                .bind(id)
                .fetch_optional(self.pool())
                .await?;
        row.ok_or_else(|| Error::not_found("lesson", id))?
            .try_into()
    }

    /// Changes a lesson.
    ///
    /// # Errors
    /// [`Error::NotFound`], or [`Error::Invalid`] naming the field.
    pub async fn change_lesson(&self, id: &str, about: &LessonInput) -> Result<Lesson> {
        about.check()?;
        let before = self.lesson(id).await?;
        self.player(&about.player).await?;
        let lesson = Lesson {
            about: about.clone(),
            changed_ms: now_ms(),
            ..before
        };
        self.put_lesson(&lesson).await?;
        Ok(lesson)
    }

    /// Removes a lesson; [`Store::restore_lesson`] brings it back.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none.
    pub async fn remove_lesson(&self, id: &str) -> Result<()> {
        let done =
            sqlx::query("update lesson set deleted_ms = $2 where id = $1 and deleted_ms is null")
                .bind(id)
                .bind(now_ms())
                .execute(self.pool())
                .await?;
        touched(done.rows_affected(), "lesson", id)
    }

    /// Brings a removed lesson back; does nothing to one that is there.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there never was one.
    pub async fn restore_lesson(&self, id: &str) -> Result<Lesson> {
        sqlx::query("update lesson set deleted_ms = null where id = $1")
            .bind(id)
            .execute(self.pool())
            .await?;
        self.lesson(id).await
    }
}
