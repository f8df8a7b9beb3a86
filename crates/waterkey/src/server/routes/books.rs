//! Books: what one player or a whole class is to practise, bound as one PDF.

use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use routine::{Routine, library};
use serde::{Deserialize, Serialize};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::exercises::{self, kept_levels};
use super::instruments;
use super::parts::reader;
use super::tuning;
use crate::desk::binding::{self, BindError, Pupil};
use crate::desk::engraving::EngravingError;
use crate::desk::writing::Piece;
use crate::server::engraving::Look;
use crate::server::extract::Body;
use crate::server::problem::{Answer, Code, Problem, Refuses};
use crate::server::state::App;

/// Most players in a set.
const MOST_PLAYERS: usize = 60;
/// Most pieces in a book.
const MOST_PIECES: usize = 40;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(days))
        .routes(routes!(bind))
}

/// A day's routine in a list.
#[derive(Serialize, ToSchema)]
struct RoutineEntry {
    id: String,
    /// Title.
    title: String,
    /// What it is for, in one sentence.
    purpose: String,
    /// Minutes for the whole, rests included.
    minutes: Option<f64>,
    /// Its exercises in order, by id.
    exercises: Vec<String>,
}

/// The days' routines of the library.
#[utoipa::path(get, path = "/api/routines", responses((status = 200, body = [RoutineEntry])))]
async fn days() -> Json<Vec<RoutineEntry>> {
    let day = |day: &Routine| RoutineEntry {
        id: day.id.clone(),
        title: day.title.clone(),
        purpose: day.purpose.clone(),
        minutes: day.minutes,
        exercises: day.steps.iter().map(|s| s.exercise.clone()).collect(),
    };
    Json(library::routines().iter().map(day).collect())
}

/// What is bound for whom.
#[derive(Deserialize, ToSchema)]
struct Binding {
    /// Title on the cover.
    title: String,
    /// For whom, by id; each gets a book, and what they play sounds together.
    #[schema(min_items = 1, max_items = 60)]
    players: Vec<String>,
    /// Exercises and days' routines, by id, in this order.
    #[schema(min_items = 1, max_items = 40)]
    pieces: Vec<String>,
    /// A level for everybody instead of each one's own.
    #[serde(default)]
    level: Option<String>,
    /// Seed of the day, for orders that are drawn.
    #[serde(default)]
    seed: u64,
    #[serde(flatten)]
    look: Look,
}

impl Binding {
    fn check(&self) -> Answer<()> {
        let sizes = [
            ("players", self.players.len(), MOST_PLAYERS),
            ("pieces", self.pieces.len(), MOST_PIECES),
        ];
        for (what, size, most) in sizes {
            if !(1..=most).contains(&size) {
                return Err(Problem::unprocessable(format!(
                    "{what}: 1 to {most}, not {size}"
                )));
            }
        }
        if self.title.chars().count() > 200 {
            return Err(Problem::unprocessable("title: at most 200 characters"));
        }
        Ok(())
    }
}

async fn piece(app: &App, id: &str) -> Answer<Piece> {
    match library::routines().iter().find(|day| day.id == id) {
        Some(day) => Ok(Piece::Routine(day.clone())),
        None => Ok(Piece::Exercise(Box::new(exercises::find(app, id).await?))),
    }
}

/// Binds the books of one player or of a class: cover, contents, fingering chart, pieces.
#[utoipa::path(post, path = "/api/books", request_body = Binding, responses(
    (status = 200, body = Vec<u8>, content_type = "application/pdf"),
    Refuses<404>, Refuses<422>, Refuses<501>,
))]
async fn bind(State(app): State<App>, Body(asked): Body<Binding>) -> Answer<Response> {
    asked.check()?;
    let (_, levels) = kept_levels(&app).await?;
    let settings = app.store.settings().await?;
    let tuning = tuning::equal(Some(settings.a4))?;
    let layout = asked.look.layout(&settings);
    let mut pupils = Vec::new();
    for id in &asked.players {
        let about = app.store.player(id).await?.about;
        let instrument = instruments::find(&app, &about.instrument).await?;
        let read = match &about.reading {
            Some(reading) => instrument.reading(reading),
            None => instrument.usual_reading(),
        };
        let read = read.cloned().ok_or_else(|| {
            Problem::unprocessable(format!(
                "{} has a reading that the instrument does not know; choose another",
                about.name
            ))
        })?;
        let player = reader(&about, asked.level.clone(), &levels);
        pupils.push(Pupil::new(
            player,
            instrument,
            &read,
            &tuning,
            layout.language,
        ));
    }
    let mut pieces = Vec::new();
    for id in &asked.pieces {
        pieces.push((id.clone(), piece(&app, id).await?));
    }
    let pdf = app
        .heavy(move || {
            for (id, piece) in &pieces {
                binding::write(piece, "", &mut pupils, &levels, asked.seed)
                    .map_err(|error: BindError| Problem::unprocessable(format!("{id}: {error}")))?;
            }
            binding::bind(&asked.title, &pupils, &layout).map_err(|error| match error {
                EngravingError::NotBuilt => Problem::new(Code::NotBuilt, error.to_string()),
                EngravingError::Score(error) => Problem::unprocessable(error.to_string()),
            })
        })
        .await??;
    let head = [
        (header::CONTENT_TYPE, "application/pdf"),
        (
            header::CONTENT_DISPOSITION,
            "attachment; filename=\"book.pdf\"",
        ),
    ];
    Ok((head, pdf).into_response())
}
