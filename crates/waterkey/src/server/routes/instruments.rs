//! Instruments of the catalogue and the user's own, and what their tubes give.

use std::collections::BTreeMap;

use axum::Json;
use axum::extract::State;
use axum::http::StatusCode;
use horn::Instrument;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::{OwnText, TextKind};
use tone::Sounding;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::bores;
use super::own::Own;
use super::players::Text;
use super::tube::{self, SetUpQuery};
use super::tuning::TuningQuery;
use crate::server::extract::{Body, Path, Query};
use crate::server::problem::{Answer, Code, Diagnostic, Problem, Refuses, Severity};
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
struct InstrumentEntry {
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
struct InstrumentSheet {
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

async fn sheet(
    app: &App,
    instrument: &Instrument,
    own: bool,
    text: String,
) -> Answer<InstrumentSheet> {
    Ok(InstrumentSheet {
        instrument: json(instrument)?,
        own,
        text,
        bore: bores::find(app, &instrument.id).await.is_ok(),
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

/// Instrument files of the user's own.
const OWN: Own = Own {
    kind: TextKind::Instrument,
    noun: "instrument",
    shipped: |id| horn::catalog::find(id).is_some(),
};

/// The instrument under an id: the user's own or the catalogue's.
pub(crate) async fn find(app: &App, id: &str) -> Answer<Instrument> {
    match horn::catalog::find(id) {
        Some(known) => Ok(known.clone()),
        None => read(&OWN.find(app, id).await?.text),
    }
}

/// All instruments, the catalogue's with the commonest first, then the user's own.
#[utoipa::path(get, path = "/api/instruments", responses((status = 200, body = [InstrumentEntry])))]
async fn instruments(State(app): State<App>) -> Answer<Json<Vec<InstrumentEntry>>> {
    let entry = |instrument: &Instrument, own: bool| InstrumentEntry {
        id: instrument.id.clone(),
        name: instrument.name.clone(),
        fundamental: instrument.fundamental.to_string(),
        own,
    };
    let mut entries: Vec<InstrumentEntry> =
        horn::catalog().iter().map(|i| entry(i, false)).collect();
    for own in OWN.all(&app).await? {
        if let Ok(instrument) = Instrument::from_toml(&own.text) {
            entries.push(entry(&instrument, true));
        }
    }
    Ok(Json(entries))
}

/// One instrument.
#[utoipa::path(get, path = "/api/instruments/{id}", params(("id" = String, Path)), responses(
    (status = 200, body = InstrumentSheet),
    Refuses<404>,
))]
async fn instrument(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<InstrumentSheet>> {
    if let (Some(known), Some(text)) = (horn::catalog::find(&id), horn::catalog::source(&id)) {
        return sheet(&app, known, false, text.to_owned()).await.map(Json);
    }
    let own = OWN.find(&app, &id).await?;
    own_sheet(&app, own).await.map(Json)
}

async fn own_sheet(app: &App, own: OwnText) -> Answer<InstrumentSheet> {
    let instrument = read(&own.text)?;
    sheet(app, &instrument, true, own.text).await
}

/// Adds an instrument of the user's own.
#[utoipa::path(post, path = "/api/instruments", request_body = Text, responses(
    (status = 201, body = InstrumentSheet),
    Refuses<409>, Refuses<422>,
))]
async fn add_instrument(
    State(app): State<App>,
    Body(new): Body<Text>,
) -> Answer<(StatusCode, Json<InstrumentSheet>)> {
    let instrument = read(&new.text)?;
    let own = OWN.add(&app, &instrument.id, &new.text).await?;
    Ok((StatusCode::CREATED, Json(own_sheet(&app, own).await?)))
}

/// Changes an instrument of the user's own.
#[utoipa::path(put, path = "/api/instruments/{id}", params(("id" = String, Path)),
    request_body = Text, responses(
    (status = 200, body = InstrumentSheet),
    Refuses<404>, Refuses<409>, Refuses<422>,
))]
async fn change_instrument(
    State(app): State<App>,
    Path(id): Path<String>,
    Body(new): Body<Text>,
) -> Answer<Json<InstrumentSheet>> {
    OWN.must_be_own(&id)?;
    OWN.find(&app, &id).await?;
    let says = read(&new.text)?.id;
    let own = OWN.change(&app, &id, &says, &new.text).await?;
    own_sheet(&app, own).await.map(Json)
}

/// Removes an instrument of the user's own; it can be restored.
#[utoipa::path(delete, path = "/api/instruments/{id}", params(("id" = String, Path)), responses(
    (status = 204),
    Refuses<404>, Refuses<409>,
))]
async fn remove_instrument(State(app): State<App>, Path(id): Path<String>) -> Answer<StatusCode> {
    OWN.remove(&app, &id).await?;
    Ok(StatusCode::NO_CONTENT)
}

/// Brings a removed instrument back.
#[utoipa::path(post, path = "/api/instruments/{id}/restore", params(("id" = String, Path)),
    responses(
    (status = 200, body = InstrumentSheet),
    Refuses<404>,
))]
async fn restore_instrument(
    State(app): State<App>,
    Path(id): Path<String>,
) -> Answer<Json<InstrumentSheet>> {
    let own = OWN.restore(&app, &id).await?;
    own_sheet(&app, own).await.map(Json)
}

/// How deep the tube is looked into.
#[derive(Clone, Copy, Debug, Default, Deserialize, Serialize, ToSchema)]
#[serde(rename_all = "lowercase")]
enum Depth {
    /// Integer partials, exact valve arithmetic.
    #[default]
    Ideal,
    /// The bore model.
    Bore,
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct DepthQuery {
    /// How deep the tube is looked into.
    #[serde(default)]
    #[param(inline)]
    depth: Depth,
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
    #[schema(value_type = BTreeMap<String, String>)]
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
    params(("id" = String, Path), DepthQuery, TuningQuery, SetUpQuery), responses(
    (status = 200, body = ChartSheet),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn chart(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(DepthQuery { depth }): Query<DepthQuery>,
    Query(query): Query<TuningQuery>,
    Query(set_up): Query<SetUpQuery>,
) -> Answer<Json<ChartSheet>> {
    let tuning = query.tuning()?;
    if matches!(depth, Depth::Ideal) {
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
