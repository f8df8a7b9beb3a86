//! Instruments of the catalogue and the user's own, and what their tubes give.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use horn::Instrument;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::TextKind;
use tone::{Hertz, Sounding, Temperament, Tuning};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::players::Text;
use super::tube::{self, SetUpQuery};
use crate::server::extract::{Body, Path, Query};
use crate::server::problem::{Answer, Code, Diagnostic, Problem, Severity};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(instruments, add_instrument))
        .routes(routes!(instrument, change_instrument, remove_instrument))
        .routes(routes!(restore_instrument))
        .routes(routes!(chart))
}

/// An instrument in a list.
#[derive(Serialize, ToSchema)]
struct Entry {
    id: String,
    /// Name for people.
    name: String,
    /// Sounding pitch of the open tube's fundamental.
    fundamental: String,
    /// Whether it is the user's own.
    own: bool,
}

/// An instrument and its file.
#[derive(Serialize, ToSchema)]
struct Sheet {
    /// The instrument: lengths, readings, stages.
    #[schema(value_type = Object)]
    instrument: Value,
    /// Whether it is the user's own.
    own: bool,
    /// Its file (TOML).
    text: String,
    /// Whether its bore is known, so that resonances can be computed.
    bore: bool,
}

fn sheet(instrument: &Instrument, own: bool, text: String) -> Answer<Sheet> {
    Ok(Sheet {
        instrument: json(instrument)?,
        own,
        text,
        bore: !own && horn::bore::generic_bore_ids().any(|id| id == instrument.id),
    })
}

/// A value as JSON.
pub(crate) fn json(value: &impl Serialize) -> Answer<Value> {
    serde_json::to_value(value).map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(Code::Internal, "a value could not be written as JSON")
    })
}

/// Reads an instrument file that someone wrote.
fn read(text: &str) -> Answer<Instrument> {
    Instrument::from_toml(text).map_err(|error| {
        let place = error.place();
        Problem::with_diagnostics(
            "the instrument file cannot be used as it is",
            vec![Diagnostic {
                severity: Severity::Error,
                message: error.to_string(),
                line: Some(place.line),
                column: Some(place.column),
                help: None,
            }],
        )
    })
}

/// The instrument under an id: the user's own or the catalogue's.
pub(crate) async fn find(app: &App, id: &str) -> Answer<Instrument> {
    if let Some(known) = horn::catalog::find(id) {
        return Ok(known.clone());
    }
    match app.store.text(TextKind::Instrument, id).await {
        Ok(own) => read(&own.text),
        Err(studio::Error::NotFound { .. }) => Err(Problem::not_found("instrument", id)),
        Err(error) => Err(error.into()),
    }
}

/// All instruments, the catalogue's with the commonest first, then the user's own.
#[utoipa::path(get, path = "/api/instruments", responses((status = 200, body = [Entry])))]
async fn instruments(State(app): State<App>) -> Answer<Json<Vec<Entry>>> {
    let entry = |instrument: &Instrument, own: bool| Entry {
        id: instrument.id.clone(),
        name: instrument.name.clone(),
        fundamental: instrument.fundamental.to_string(),
        own,
    };
    let mut entries: Vec<Entry> = horn::catalog().iter().map(|i| entry(i, false)).collect();
    for own in app.store.texts(TextKind::Instrument).await? {
        if let Ok(instrument) = Instrument::from_toml(&own.text) {
            entries.push(entry(&instrument, true));
        }
    }
    Ok(Json(entries))
}

/// One instrument.
#[utoipa::path(get, path = "/api/instruments/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = Sheet),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn instrument(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Sheet>> {
    if let (Some(known), Some(text)) = (horn::catalog::find(&id), horn::catalog::source(&id)) {
        return Ok(Json(sheet(known, false, text.to_owned())?));
    }
    own_sheet(&app, &id).await.map(Json)
}

async fn own_sheet(app: &App, id: &str) -> Answer<Sheet> {
    let own = app.store.text(TextKind::Instrument, id).await?;
    sheet(&read(&own.text)?, true, own.text)
}

/// Adds an instrument of the user's own.
#[utoipa::path(post, path = "/api/instruments", request_body = Text, responses(
    (status = 201, body = Sheet),
    (status = 409, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn add_instrument(
    State(app): State<App>,
    Body(new): Body<Text>,
) -> Answer<(StatusCode, Json<Sheet>)> {
    let instrument = read(&new.text)?;
    let taken = horn::catalog::find(&instrument.id).is_some()
        || app
            .store
            .text(TextKind::Instrument, &instrument.id)
            .await
            .is_ok();
    if taken {
        return Err(Problem::new(
            Code::Conflict,
            format!(
                "there is an instrument `{}`; give the new one another id",
                instrument.id
            ),
        ));
    }
    keep(&app, &instrument, new.text)
        .await
        .map(|sheet| (StatusCode::CREATED, Json(sheet)))
}

async fn keep(app: &App, instrument: &Instrument, text: String) -> Answer<Sheet> {
    app.store
        .put_text(TextKind::Instrument, &instrument.id, &text)
        .await?;
    sheet(instrument, true, text)
}

/// Changes an instrument of the user's own.
#[utoipa::path(put, path = "/api/instruments/{id}", params(("id" = String, Path)),
    request_body = Text, responses(
    (status = 200, body = Sheet),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 409, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn change_instrument(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(new): Body<Text>,
) -> Answer<Json<Sheet>> {
    if horn::catalog::find(&id).is_some() {
        return Err(Problem::new(
            Code::Conflict,
            "the catalogue's instruments stay as they are; add a copy under another id",
        ));
    }
    app.store.text(TextKind::Instrument, &id).await?;
    let instrument = read(&new.text)?;
    if instrument.id != id {
        return Err(Problem::unprocessable(format!(
            "the file says id `{}`, the address `{id}`; they must be the same",
            instrument.id
        )));
    }
    keep(&app, &instrument, new.text).await.map(Json)
}

/// Removes an instrument of the user's own; it can be restored.
#[utoipa::path(delete, path = "/api/instruments/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 409, body = Problem, content_type = "application/problem+json"),
))]
async fn remove_instrument(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    if horn::catalog::find(&id).is_some() {
        return Err(Problem::new(
            Code::Conflict,
            "the catalogue's instruments stay",
        ));
    }
    app.store.remove_text(TextKind::Instrument, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed instrument back.
#[utoipa::path(post, path = "/api/instruments/{id}/restore", params(("id" = String, Path)),
    responses(
    (status = 200, body = Sheet),
    (status = 404, body = Problem, content_type = "application/problem+json"),
))]
async fn restore_instrument(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<Sheet>> {
    app.store.restore_text(TextKind::Instrument, &id).await?;
    own_sheet(&app, &id).await.map(Json)
}

/// How deep the tube is looked into.
#[derive(Clone, Copy, Debug, Default, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
pub(super) enum Depth {
    /// Integer partials, exact valve arithmetic.
    #[default]
    Ideal,
    /// The bore model.
    Bore,
}

/// A temperament by name.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
enum TemperamentName {
    /// Twelve equal semitones.
    #[default]
    Equal,
    /// Five-limit just intervals over the root.
    Just,
    /// Pure fifths over the root.
    Pythagorean,
    /// Quarter-comma meantone over the root.
    Meantone,
}

/// A pitch standard and temperament, from the query.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct TuningQuery {
    /// How deep the tube is looked into.
    #[serde(default)]
    #[param(inline)]
    pub(super) depth: Depth,
    /// Frequency of A4 in hertz, 415 to 466; 440 when absent.
    #[param(minimum = 415, maximum = 466)]
    a4: Option<f64>,
    /// The temperament.
    #[serde(default)]
    #[param(inline)]
    temperament: TemperamentName,
    /// Pitch class of the root, 0 (C) to 11.
    #[serde(default)]
    #[param(maximum = 11)]
    root: u8,
}

impl TuningQuery {
    pub(super) fn tuning(&self) -> Answer<Tuning> {
        let a4 = self.a4.unwrap_or(440.0);
        if !(415.0..=466.0).contains(&a4) {
            return Err(Problem::unprocessable("a4 must be 415 to 466 Hz"));
        }
        if self.root > 11 {
            return Err(Problem::unprocessable("root must be 0 (C) to 11 (B)"));
        }
        let root = self.root;
        Ok(Tuning {
            a4: Hertz(a4),
            temperament: match self.temperament {
                TemperamentName::Equal => Temperament::Equal,
                TemperamentName::Just => Temperament::Just { root },
                TemperamentName::Pythagorean => Temperament::Pythagorean { root },
                TemperamentName::Meantone => Temperament::Meantone { root },
            },
        })
    }
}

/// The chart of an instrument.
#[derive(Serialize, ToSchema)]
struct ChartSheet {
    /// How deep the tube was looked into.
    depth: Depth,
    /// Fingerings by sounding MIDI key, best first.
    #[schema(value_type = Object)]
    notes: Value,
    /// Written name of each key in the usual reading.
    written: BTreeMap<i32, String>,
}

fn chart_sheet<W: Serialize>(
    instrument: &Instrument,
    notes: &BTreeMap<i32, W>,
    depth: Depth,
) -> Answer<ChartSheet> {
    let reading = instrument.usual_reading();
    let written = notes
        .keys()
        .filter_map(|&midi| {
            let sounding = Sounding(tone::Pitch::from_midi(midi));
            Some((midi, reading?.transposition.written(sounding).to_string()))
        })
        .collect();
    Ok(ChartSheet {
        depth,
        notes: json(notes)?,
        written,
    })
}

/// The fingering chart of an instrument.
#[utoipa::path(get, path = "/api/instruments/{id}/chart",
    params(("id" = String, Path), TuningQuery, SetUpQuery), responses(
    (status = 200, body = ChartSheet),
    (status = 400, body = Problem, content_type = "application/problem+json"),
    (status = 404, body = Problem, content_type = "application/problem+json"),
    (status = 422, body = Problem, content_type = "application/problem+json"),
))]
async fn chart(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(query): Query<TuningQuery>,
    Query(set_up): Query<SetUpQuery>,
) -> Answer<Json<ChartSheet>> {
    let tuning = query.tuning()?;
    if matches!(query.depth, Depth::Ideal) {
        let instrument = find(&app, &id).await?;
        let chart = horn::ideal::chart(&instrument, &tuning);
        return chart_sheet(&instrument, &chart.notes, Depth::Ideal).map(Json);
    }
    let setup = tube::set_up(&app, &id, &set_up).await?;
    let instrument = setup.instrument.clone();
    let chart = app
        .heavy(move || setup.chart(&tuning, query.root))
        .await?
        .map_err(tube::refuse)?;
    chart_sheet(&instrument, &chart.notes, Depth::Bore).map(Json)
}
