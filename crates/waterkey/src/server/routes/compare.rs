//! Two set-ups of the tube side by side.

use axum::Json;
use axum::extract::State;
use horn::acoustics::AcousticError;
use serde::{Deserialize, Serialize};
use tone::{Pitch, Sounding, Tuning};
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::tube::{SetUpQuery, refuse, set_up};
use crate::server::extract::Body;
use crate::server::problem::{Answer, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new().routes(routes!(compare_set_ups))
}

/// An instrument and how it is set up.
#[derive(Deserialize, ToSchema)]
struct SetUp {
    /// Instrument id.
    instrument: String,
    /// A mouthpiece in place of the bore's own.
    #[serde(default)]
    mouthpiece: Option<String>,
    /// A leadpipe in place of the bore's own.
    #[serde(default)]
    leadpipe: Option<String>,
    /// Temperature of the air in the tube, degrees Celsius.
    #[serde(default)]
    temperature_c: Option<f64>,
    /// Relative humidity, 0 to 1.
    #[serde(default)]
    humidity: Option<f64>,
}

impl SetUp {
    fn query(&self) -> SetUpQuery {
        SetUpQuery {
            mouthpiece: self.mouthpiece.clone(),
            leadpipe: self.leadpipe.clone(),
            temperature_c: self.temperature_c,
            humidity: self.humidity,
            ..SetUpQuery::default()
        }
    }
}

/// Two set-ups.
#[derive(Deserialize, ToSchema)]
struct Pair {
    /// One.
    a: SetUp,
    /// The other.
    b: SetUp,
}

/// A note on both.
#[derive(Serialize, ToSchema)]
struct ComparedNote {
    /// Sounding MIDI key.
    midi: i32,
    /// Written in the first instrument's usual reading.
    written: String,
    /// The first choice on the first.
    label: String,
    /// Cents against equal temperament on the first.
    a_cents: f64,
    /// The same on the second.
    b_cents: f64,
    /// How much higher the second is.
    difference_cents: f64,
    /// Threshold pressures, pascal.
    a_threshold_pa: Option<f64>,
    /// The same on the second.
    b_threshold_pa: Option<f64>,
    /// Slot widths in cents.
    a_slot_cents: f64,
    /// The same on the second.
    b_slot_cents: f64,
}

/// Two set-ups note by note.
#[derive(Serialize, ToSchema)]
struct SetUpComparison {
    /// The notes that both have, lowest first.
    notes: Vec<ComparedNote>,
}

/// Compares two set-ups note by note.
#[utoipa::path(post, path = "/api/compare", request_body = Pair, responses(
    (status = 200, body = SetUpComparison),
    Refuses<404>, Refuses<422>,
))]
async fn compare_set_ups(
    State(app): State<App>,
    Body(pair): Body<Pair>,
) -> Answer<Json<SetUpComparison>> {
    let a = set_up(&app, &pair.a.instrument, &pair.a.query()).await?;
    let b = set_up(&app, &pair.b.instrument, &pair.b.query()).await?;
    let reading = a.instrument.usual_reading().cloned();
    let (a, b) = app
        .heavy(move || {
            let tuning = Tuning::default();
            Ok::<_, AcousticError>((a.chart(&tuning, 0)?, b.chart(&tuning, 0)?))
        })
        .await?
        .map_err(refuse)?;
    let notes = a.notes.iter().filter_map(|(&midi, ways)| {
        let (a, b) = (ways.first()?, b.notes.get(&midi)?.first()?);
        let sounding = Sounding(Pitch::from_midi(midi));
        Some(ComparedNote {
            midi,
            written: reading
                .as_ref()?
                .transposition
                .written(sounding)
                .to_string(),
            label: a.fingering.label.clone(),
            a_cents: a.cents_equal.0,
            b_cents: b.cents_equal.0,
            difference_cents: b.cents_equal.0 - a.cents_equal.0,
            a_threshold_pa: a.threshold,
            b_threshold_pa: b.threshold,
            a_slot_cents: a.slot_cents,
            b_slot_cents: b.slot_cents,
        })
    });
    Ok(Json(SetUpComparison {
        notes: notes.collect(),
    }))
}
