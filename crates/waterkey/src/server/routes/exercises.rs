//! Exercises of the library and the user's own, and the levels: TOML in and out, with remarks.

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use routine::exercise::Exercise;
use routine::file::{Diagnostic as Remark, Severity as Grade};
use routine::{Levels, file, level, library};
use serde::Serialize;
use serde_json::Value;
use studio::TextKind;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::instruments::json;
use super::own::Own;
use super::players::Text;
use crate::server::extract::{Body, Path};
use crate::server::problem::{Answer, Diagnostic, Problem, Refuses, Severity};
use crate::server::state::App;

/// The id of the one text of levels.
const LEVELS: &str = "levels";

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(exercises, add_exercise))
        .routes(routes!(check_exercise))
        .routes(routes!(exercise, change_exercise, remove_exercise))
        .routes(routes!(restore_exercise))
        .routes(routes!(levels, set_levels, reset_levels))
}

/// Remarks on a text as the page takes them.
pub(super) fn diagnostics(remarks: &[Remark]) -> Vec<Diagnostic> {
    remarks
        .iter()
        .map(|remark| Diagnostic {
            severity: match remark.severity {
                Grade::Error => Severity::Error,
                Grade::Warning => Severity::Warning,
            },
            message: remark.message.clone(),
            line: Some(remark.line),
            column: Some(remark.column),
            help: Some(remark.help.clone()).filter(|help| !help.is_empty()),
        })
        .collect()
}

/// Reads an exercise that someone wrote.
pub(super) fn read(text: &str) -> Answer<(Exercise, Vec<Diagnostic>)> {
    let parsed = file::read_exercise(text);
    let remarks = diagnostics(&parsed.diagnostics);
    match parsed.value {
        Some(exercise) => Ok((exercise, remarks)),
        None => Err(Problem::with_diagnostics(
            "the exercise cannot be used as it is",
            remarks,
        )),
    }
}

/// Exercises of the user's own.
const OWN: Own = Own {
    kind: TextKind::Exercise,
    noun: "exercise",
    shipped: |id| library::find(id).is_some(),
};

/// The exercise under an id: the library's or the user's own.
pub(crate) async fn find(app: &App, id: &str) -> Answer<Exercise> {
    match library::find(id) {
        Some(known) => Ok(known.clone()),
        None => Ok(read(&OWN.find(app, id).await?.text)?.0),
    }
}

/// The levels: the user's own or the standard set.
pub(super) async fn kept_levels(app: &App) -> Answer<(String, Levels)> {
    match app.store.text(TextKind::Levels, LEVELS).await {
        Ok(own) => {
            let levels = read_levels(&own.text)?;
            Ok((own.text, levels))
        }
        Err(studio::Error::NotFound { .. }) => Ok((level::STANDARD.to_owned(), Levels::standard())),
        Err(error) => Err(error.into()),
    }
}

fn read_levels(text: &str) -> Answer<Levels> {
    let parsed = file::read_levels(text);
    parsed.value.ok_or_else(|| {
        Problem::with_diagnostics(
            "the levels cannot be used as they are",
            diagnostics(&parsed.diagnostics),
        )
    })
}

/// An exercise in a list.
#[derive(Serialize, ToSchema)]
struct ExerciseEntry {
    id: String,
    /// Title.
    title: String,
    /// Which family it belongs to.
    #[schema(value_type = String)]
    family: Value,
    /// What it is for, in one sentence.
    purpose: String,
    /// Cautions that apply.
    cautions: Vec<String>,
    /// Whether it is the user's own.
    own: bool,
}

fn entry(exercise: &Exercise, own: bool) -> Answer<ExerciseEntry> {
    Ok(ExerciseEntry {
        id: exercise.id.clone(),
        title: exercise.title.clone(),
        family: json(&exercise.family)?,
        purpose: exercise.purpose.clone(),
        cautions: exercise.cautions.clone(),
        own,
    })
}

/// An exercise and its file.
#[derive(Serialize, ToSchema)]
struct ExerciseSheet {
    #[serde(flatten)]
    entry: ExerciseEntry,
    /// Its file (TOML).
    text: String,
    /// The exercise as it was understood.
    #[schema(value_type = Object)]
    exercise: Value,
    /// Remarks on the file.
    diagnostics: Vec<Diagnostic>,
}

fn sheet(text: String, own: bool) -> Answer<ExerciseSheet> {
    let (exercise, diagnostics) = read(&text)?;
    Ok(ExerciseSheet {
        entry: entry(&exercise, own)?,
        exercise: json(&exercise)?,
        text,
        diagnostics,
    })
}

/// All exercises, the library's in the order of a session, then the user's own.
#[utoipa::path(get, path = "/api/exercises", responses((status = 200, body = [ExerciseEntry])))]
async fn exercises(State(app): State<App>) -> Answer<Json<Vec<ExerciseEntry>>> {
    let mut entries = Vec::new();
    for exercise in library::exercises() {
        entries.push(entry(exercise, false)?);
    }
    for own in OWN.all(&app).await? {
        if let Some(exercise) = file::read_exercise(&own.text).value {
            entries.push(entry(&exercise, true)?);
        }
    }
    Ok(Json(entries))
}

/// One exercise.
#[utoipa::path(get, path = "/api/exercises/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = ExerciseSheet),
    Refuses<404>,
))]
async fn exercise(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<ExerciseSheet>> {
    if let Some(text) = library::source(&id) {
        return sheet(text.to_owned(), false).map(Json);
    }
    let own = OWN.find(&app, &id).await?;
    sheet(own.text, true).map(Json)
}

/// Adds an exercise of the user's own.
#[utoipa::path(post, path = "/api/exercises", request_body = Text, responses(
    (status = 201, body = ExerciseSheet),
    Refuses<409>, Refuses<422>,
))]
async fn add_exercise(
    State(app): State<App>,
    Body(new): Body<Text>,
) -> Answer<(StatusCode, Json<ExerciseSheet>)> {
    let (exercise, _) = read(&new.text)?;
    let kept = OWN.add(&app, &exercise.id, &new.text).await?;
    Ok((StatusCode::CREATED, Json(sheet(kept.text, true)?)))
}

/// Changes an exercise of the user's own.
#[utoipa::path(put, path = "/api/exercises/{id}", params(("id" = String, Path)),
    request_body = Text, responses(
    (status = 200, body = ExerciseSheet),
    Refuses<404>, Refuses<409>, Refuses<422>,
))]
async fn change_exercise(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(new): Body<Text>,
) -> Answer<Json<ExerciseSheet>> {
    OWN.must_be_own(&id)?;
    OWN.find(&app, &id).await?;
    let (exercise, _) = read(&new.text)?;
    let kept = OWN.change(&app, &id, &exercise.id, &new.text).await?;
    sheet(kept.text, true).map(Json)
}

/// Removes an exercise of the user's own; it can be restored.
#[utoipa::path(delete, path = "/api/exercises/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>, Refuses<409>,
))]
async fn remove_exercise(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    OWN.remove(&app, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed exercise back.
#[utoipa::path(post, path = "/api/exercises/{id}/restore", params(("id" = String, Path)), responses(
    (status = 200, body = ExerciseSheet),
    Refuses<404>,
))]
async fn restore_exercise(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<ExerciseSheet>> {
    let own = OWN.restore(&app, &id).await?;
    sheet(own.text, true).map(Json)
}

/// What there is to say of a text.
#[derive(Serialize, ToSchema)]
struct Checked {
    /// Whether it can be used.
    ok: bool,
    /// The remarks.
    diagnostics: Vec<Diagnostic>,
    /// The text put in order, comments kept; null while it is no TOML.
    formatted: Option<String>,
}

/// Reads an exercise as it is being typed, and says what there is to say of it.
#[utoipa::path(post, path = "/api/exercises/check", request_body = Text, responses(
    (status = 200, body = Checked),
))]
async fn check_exercise(Body(text): Body<Text>) -> Json<Checked> {
    let parsed = file::read_exercise(&text.text);
    Json(Checked {
        ok: parsed.value.is_some(),
        diagnostics: diagnostics(&parsed.diagnostics),
        formatted: file::format(&text.text).ok(),
    })
}

/// The levels and their file.
#[derive(Serialize, ToSchema)]
struct LevelsSheet {
    /// The file (TOML).
    text: String,
    /// The levels, easiest first.
    #[schema(value_type = Vec<Object>)]
    levels: Value,
}

/// The levels.
#[utoipa::path(get, path = "/api/levels", responses((status = 200, body = LevelsSheet)))]
async fn levels(State(app): State<App>) -> Answer<Json<LevelsSheet>> {
    let (text, levels) = kept_levels(&app).await?;
    let levels = json(&levels.levels)?;
    Ok(Json(LevelsSheet { text, levels }))
}

/// Changes the levels.
#[utoipa::path(put, path = "/api/levels", request_body = Text, responses(
    (status = 200, body = LevelsSheet),
    Refuses<422>,
))]
async fn set_levels(State(app): State<App>, Body(new): Body<Text>) -> Answer<Json<LevelsSheet>> {
    let levels = json(&read_levels(&new.text)?.levels)?;
    let kept = app
        .store
        .put_text(TextKind::Levels, LEVELS, &new.text)
        .await?;
    Ok(Json(LevelsSheet {
        text: kept.text,
        levels,
    }))
}

/// Goes back to the levels that came with the program.
#[utoipa::path(delete, path = "/api/levels", responses((status = 204)))]
async fn reset_levels(State(app): State<App>) -> Answer<StatusCode> {
    match app.store.remove_text(TextKind::Levels, LEVELS).await {
        Ok(()) | Err(studio::Error::NotFound { .. }) => Ok(StatusCode::NO_CONTENT),
        Err(error) => Err(error.into()),
    }
}
