//! What was heard in a take: the report, curves, spectrum, and two takes side by side.

use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use routine::Part;
use score::layout::Layout;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::Take;
use tone::Language;
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::instruments;
use super::parts::Pages;
use crate::desk::{engraving as pages, hearing as desk};
use crate::server::engraving::Look;
use crate::server::extract::{Path, Query};
use crate::server::hearing::{self, Hearing};
use crate::server::problem::{Answer, Code, Problem, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(hear))
        .routes(routes!(curves))
        .routes(routes!(spectrum))
        .routes(routes!(compare_takes))
        .routes(routes!(engraving))
        .routes(routes!(page))
}

/// Hears a take and keeps what was heard.
pub(crate) async fn hear_take(app: &App, id: &str) -> Answer<()> {
    let (take, path) = app.store.take_sound(id).await?;
    let instrument = instruments::find(app, &take.instrument).await?;
    let part = kept_part(app, id).await?;
    let player = match &take.player {
        Some(player) => app
            .store
            .player(player)
            .await
            .map_or(String::new(), |p| p.about.name),
        None => String::new(),
    };
    let hearing = Hearing {
        settings: app.store.settings().await?,
        instrument,
        part,
        player,
        take,
    };
    let heard = app.heavy(move || hearing::hear(&path, hearing)).await??;
    app.store.put_heard(id, heard).await?;
    Ok(())
}

/// The part that was to be played into a take.
async fn kept_part(app: &App, id: &str) -> Answer<Option<Part>> {
    let part = app.store.take_part(id).await?.map(serde_json::from_value);
    part.transpose().map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(Code::Internal, "the part kept with this take does not read")
    })
}

/// What was heard.
#[derive(Serialize, ToSchema)]
struct HeardSheet {
    take: Take,
    /// The report.
    #[schema(value_type = Option<Object>)]
    report: Option<Value>,
}

/// Hears a take again, with the settings and the ear of today.
#[utoipa::path(post, path = "/api/takes/{id}/hear", params(("id" = String, Path)), responses(
    (status = 200, body = HeardSheet),
    Refuses<404>, Refuses<422>,
))]
async fn hear(State(app): State<App>, Path(id): Path<String>) -> Answer<Json<HeardSheet>> {
    hear_take(&app, &id).await?;
    Ok(Json(HeardSheet {
        take: app.store.take(&id).await?,
        report: app.store.take_report(&id).await?,
    }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Stretch {
    /// From this place, seconds; the start when absent.
    from_s: Option<f64>,
    /// To this place, seconds; the end when absent.
    to_s: Option<f64>,
}

/// Pitch and level over time.
#[derive(Default, Serialize, Deserialize, ToSchema)]
#[serde(default)]
struct Curves {
    /// Seconds from the start.
    at_s: Vec<f64>,
    /// Fundamental, hertz; null where nothing with a pitch sounds.
    f0_hz: Vec<Option<f64>>,
    /// Level, dB against full scale.
    level_db: Vec<f64>,
}

/// Pitch and level of a take over time; empty before it is heard.
#[utoipa::path(get, path = "/api/takes/{id}/curves", params(("id" = String, Path), Stretch),
    responses(
    (status = 200, body = Curves),
    Refuses<400>, Refuses<404>,
))]
async fn curves(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(stretch): Query<Stretch>,
) -> Answer<Json<Curves>> {
    app.store.take(&id).await?;
    let kept = app.store.take_curves(&id).await?.unwrap_or_default();
    let all: Curves = serde_json::from_value(kept).unwrap_or_default();
    let from = stretch.from_s.unwrap_or(0.0);
    let to = stretch.to_s.unwrap_or(f64::INFINITY);
    let mut cut = Curves::default();
    let rows = all.at_s.into_iter().zip(all.f0_hz).zip(all.level_db);
    for ((at_s, f0_hz), level_db) in rows.filter(|((at, _), _)| (from..=to).contains(at)) {
        cut.at_s.push(at_s);
        cut.f0_hz.push(f0_hz);
        cut.level_db.push(level_db);
    }
    Ok(Json(cut))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct At {
    /// Where, seconds from the start.
    #[param(minimum = 0)]
    at_s: f64,
}

/// Level over frequency.
#[derive(Serialize, ToSchema)]
struct Spectrum {
    /// Hertz.
    frequency_hz: Vec<f64>,
    /// Level, dB.
    level_db: Vec<f64>,
}

/// The spectrum at a place of a take.
#[utoipa::path(get, path = "/api/takes/{id}/spectrum", params(("id" = String, Path), At), responses(
    (status = 200, body = Spectrum),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn spectrum(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(at): Query<At>,
) -> Answer<Json<Spectrum>> {
    if !(at.at_s >= 0.0 && at.at_s.is_finite()) {
        return Err(Problem::unprocessable(
            "at_s must be seconds within the take",
        ));
    }
    let (_, path) = app.store.take_sound(&id).await?;
    let (frequency_hz, level_db) = app
        .heavy(move || hearing::spectrum(&path, at.at_s))
        .await??;
    Ok(Json(Spectrum {
        frequency_hz,
        level_db,
    }))
}

/// One measure of two takes.
#[derive(Serialize, ToSchema)]
struct ComparedMeasure {
    /// Which.
    measure: String,
    /// Its unit.
    unit: &'static str,
    /// On the first, if it could be made.
    a: Option<f64>,
    /// Its standard uncertainty.
    a_sd: Option<f64>,
    /// On the second.
    b: Option<f64>,
    /// Its standard uncertainty.
    b_sd: Option<f64>,
    /// The second less the first.
    difference: Option<f64>,
    /// Its standard uncertainty.
    difference_sd: Option<f64>,
}

/// Two takes, measure by measure.
#[derive(Serialize, ToSchema)]
struct TakeComparison {
    measures: Vec<ComparedMeasure>,
}

/// The measures that are compared, and their units.
const COMPARED: [(&str, &str); 6] = [
    ("pitch_cents", "cents"),
    ("spread_cents", "cents"),
    ("wander_cents", "cents"),
    ("slur_ms", "ms"),
    ("attack_ms", "ms"),
    ("level_db", "LKFS"),
];

/// Compares two takes that were heard.
#[utoipa::path(get, path = "/api/takes/{id}/compare/{other}",
    params(("id" = String, Path), ("other" = String, Path)), responses(
    (status = 200, body = TakeComparison),
    Refuses<404>, Refuses<422>,
))]
async fn compare_takes(
    State(app): State<App>,
    Path((id, other)): Path<(String, String)>,
) -> Answer<Json<TakeComparison>> {
    let (a, b) = (report(&app, &id).await?, report(&app, &other).await?);
    let figure = |report: &Value, name: &str, field: &str| {
        report
            .pointer(&format!("/take/{name}/{field}"))
            .and_then(Value::as_f64)
    };
    let measures = COMPARED.map(|(name, unit)| {
        let of = |report| {
            (
                figure(report, name, "value"),
                figure(report, name, "uncertainty"),
            )
        };
        let ((a, a_sd), (b, b_sd)) = (of(&a), of(&b));
        ComparedMeasure {
            measure: name.into(),
            unit,
            difference: a.zip(b).map(|(a, b)| b - a),
            difference_sd: a_sd.zip(b_sd).map(|(a, b)| a.hypot(b)),
            a,
            a_sd,
            b,
            b_sd,
        }
    });
    Ok(Json(TakeComparison {
        measures: measures.into(),
    }))
}

async fn report(app: &App, id: &str) -> Answer<Value> {
    app.store.take(id).await?;
    app.store.take_report(id).await?.ok_or_else(|| {
        Problem::unprocessable(format!(
            "take `{id}` has not been heard; POST /api/takes/{id}/hear"
        ))
    })
}

fn parsed(report: Value) -> Answer<ear::report::Report> {
    serde_json::from_value(report).map_err(|error| {
        crate::server::note_fault(&error);
        Problem::new(
            Code::Internal,
            "the report kept with this take does not read",
        )
    })
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Spoken {
    /// Language of the engraved staves: `en` or `de`.
    #[serde(default)]
    #[param(value_type = String, pattern = "^(en|de)$", default = "en")]
    language: Language,
}

/// The part of a take, each note tinted and captioned by what was heard of it.
#[utoipa::path(get, path = "/api/takes/{id}/engraving", params(("id" = String, Path), Spoken),
    responses(
    (status = 200, body = Pages),
    Refuses<400>, Refuses<404>, Refuses<422>, Refuses<501>,
))]
async fn engraving(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(spoken): Query<Spoken>,
) -> Answer<Json<Pages>> {
    let report = report(&app, &id).await?;
    let part = kept_part(&app, &id)
        .await?
        .ok_or_else(|| Problem::unprocessable("this take was free playing: there is no part"))?;
    let layout = Layout {
        language: spoken.language,
        ..Look::default().layout(&app.store.settings().await?)
    };
    let report = parsed(report)?;
    let pages = app
        .heavy(move || {
            let part = desk::played(&part, &report);
            pages::heard_pages(&part, &layout, &desk::marks(&report, layout.language))
        })
        .await??;
    Ok(Json(Pages { pages }))
}

/// The report as one self-contained page, to be kept or sent on.
#[utoipa::path(get, path = "/api/takes/{id}/report.html", params(("id" = String, Path), Spoken),
    responses(
    (status = 200, body = String, content_type = "text/html"),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn page(
    State(app): State<App>,
    Path(id): Path<String>,
    Query(spoken): Query<Spoken>,
) -> Answer<Response> {
    let kept = report(&app, &id).await?;
    let part = kept_part(&app, &id).await?;
    let layout = Layout {
        embed_font: true,
        language: spoken.language,
        ..Look::default().layout(&app.store.settings().await?)
    };
    let report = parsed(kept)?;
    let html = app
        .heavy(move || {
            // Without an engraver the page does without the staves.
            let marks = desk::marks(&report, layout.language);
            let part = part.map(|part| desk::played(&part, &report));
            let drawn = part.and_then(|part| pages::heard_pages(&part, &layout, &marks).ok());
            let drawn = drawn.map(|pages| pages.concat());
            ear::report::html(&report, drawn.as_deref())
        })
        .await?;
    let head = [
        (header::CONTENT_TYPE, "text/html; charset=utf-8".to_owned()),
        // Saved, not shown here: it carries styles of its own, which this page's policy forbids.
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"take-{id}.html\""),
        ),
    ];
    Ok((head, html).into_response())
}
