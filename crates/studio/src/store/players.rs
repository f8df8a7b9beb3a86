//! Players: made, changed, removed and brought back.

use sqlx::FromRow;

use super::{Store, touched};
use crate::clock::{fresh_id, now_ms};
use crate::{Error, Player, PlayerInput, Result};

#[derive(FromRow)]
struct Row {
    id: String,
    name: String,
    instrument: String,
    reading: Option<String>,
    level: Option<String>,
    floor: Option<String>,
    roof: Option<String>,
    stretch_floor: Option<String>,
    stretch_roof: Option<String>,
    pedals: i64,
    minutes_a_day: i64,
    load_a_day: Option<f64>,
    words: String,
    created_ms: i64,
    changed_ms: i64,
}

impl From<Row> for Player {
    fn from(row: Row) -> Self {
        // Pitches were checked on the way in; one that no longer reads counts as not given.
        let pitch = |text: Option<String>| text.and_then(|text| text.parse().ok());
        Self {
            id: row.id,
            about: PlayerInput {
                name: row.name,
                instrument: row.instrument,
                reading: row.reading,
                level: row.level,
                floor: pitch(row.floor),
                roof: pitch(row.roof),
                stretch_floor: pitch(row.stretch_floor),
                stretch_roof: pitch(row.stretch_roof),
                pedals: row.pedals != 0,
                minutes_a_day: u32::try_from(row.minutes_a_day).unwrap_or(0),
                load_a_day: row.load_a_day,
                words: row.words,
            },
            created_ms: row.created_ms,
            changed_ms: row.changed_ms,
        }
    }
}

impl Store {
    /// Adds a player.
    ///
    /// # Errors
    /// [`Error::Invalid`] names the field.
    pub async fn add_player(&self, about: &PlayerInput) -> Result<Player> {
        let now = now_ms();
        let player = Player {
            id: fresh_id(),
            about: about.clone(),
            created_ms: now,
            changed_ms: now,
        };
        self.put_player(&player).await?;
        Ok(player)
    }

    /// Writes a player as given, whether it was there or not.
    pub(super) async fn put_player(&self, player: &Player) -> Result<()> {
        player.about.check()?;
        let about = &player.about;
        sqlx::query(
            "insert into player (id, name, instrument, reading, level, floor, roof,
                stretch_floor, stretch_roof, pedals, minutes_a_day, load_a_day, words,
                created_ms, changed_ms)
             values ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15)
             on conflict (id) do update set name = excluded.name,
                instrument = excluded.instrument, reading = excluded.reading,
                level = excluded.level, floor = excluded.floor, roof = excluded.roof,
                stretch_floor = excluded.stretch_floor, stretch_roof = excluded.stretch_roof,
                pedals = excluded.pedals, minutes_a_day = excluded.minutes_a_day,
                load_a_day = excluded.load_a_day, words = excluded.words,
                created_ms = excluded.created_ms, changed_ms = excluded.changed_ms,
                deleted_ms = null",
        )
        .bind(&player.id)
        .bind(about.name.trim())
        .bind(&about.instrument)
        .bind(&about.reading)
        .bind(&about.level)
        .bind(about.floor.map(|p| p.to_string()))
        .bind(about.roof.map(|p| p.to_string()))
        .bind(about.stretch_floor.map(|p| p.to_string()))
        .bind(about.stretch_roof.map(|p| p.to_string()))
        .bind(i64::from(about.pedals))
        .bind(i64::from(about.minutes_a_day))
        .bind(about.load_a_day)
        .bind(&about.words)
        .bind(player.created_ms)
        .bind(player.changed_ms)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// All players by name; with `deleted`, those that were removed and can be restored.
    ///
    /// # Errors
    /// [`Error::Busy`] and other refusals of the database.
    pub async fn players(&self, deleted: bool) -> Result<Vec<Player>> {
        let rows: Vec<Row> = sqlx::query_as(
            "select * from player where (deleted_ms is not null) = ($1 <> 0)
             order by name, id limit 2000",
        )
        .bind(i64::from(deleted))
        .fetch_all(self.pool())
        .await?;
        Ok(rows.into_iter().map(Player::from).collect())
    }

    /// One player.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none or it was removed.
    pub async fn player(&self, id: &str) -> Result<Player> {
        let row: Option<Row> =
            sqlx::query_as("select * from player where id = $1 and deleted_ms is null")
                .bind(id)
                .fetch_optional(self.pool())
                .await?;
        row.map(Player::from)
            .ok_or_else(|| Error::not_found("player", id))
    }

    /// Changes a player.
    ///
    /// # Errors
    /// [`Error::NotFound`], or [`Error::Invalid`] naming the field.
    pub async fn change_player(&self, id: &str, about: &PlayerInput) -> Result<Player> {
        let before = self.player(id).await?;
        let player = Player {
            about: about.clone(),
            changed_ms: now_ms(),
            ..before
        };
        self.put_player(&player).await?;
        Ok(player)
    }

    /// Removes a player; [`Store::restore_player`] brings it back.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there is none.
    pub async fn remove_player(&self, id: &str) -> Result<()> {
        let done =
            sqlx::query("update player set deleted_ms = $2 where id = $1 and deleted_ms is null")
                .bind(id)
                .bind(now_ms())
                .execute(self.pool())
                .await?;
        touched(done.rows_affected(), "player", id)
    }

    /// Brings a removed player back; does nothing to one that is there.
    ///
    /// # Errors
    /// [`Error::NotFound`] when there never was one.
    pub async fn restore_player(&self, id: &str) -> Result<Player> {
        sqlx::query("update player set deleted_ms = null where id = $1")
            .bind(id)
            .execute(self.pool())
            .await?;
        self.player(id).await
    }
}
