//! What the bore model says of a tube: resonances, impedance, standing wave.

use axum::Json;
use axum::extract::{FromRequestParts, State};
use axum::http::request::Parts;
use horn::acoustics::AcousticError;
use horn::impedance::MAX_FREQUENCY;
use horn::{LengthId, Setup};
use serde::{Deserialize, Serialize};
use tone::{Hertz, Pitch, Sounding, Tuning};
use utoipa::{IntoParams, ToSchema};
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::{bores, instruments, leadpipes, mouthpieces, tuning};
use crate::server::extract::{Path, Query};
use crate::server::problem::{Answer, Problem, Refuses};
use crate::server::state::App;

/// Most points of an impedance curve in one answer.
const MOST_POINTS: u32 = 4000;
/// Furthest that a hand slide can be asked to be out beyond its position, millimetres.
const MOST_EXTENSION: f64 = 1500.0;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(resonances))
        .routes(routes!(impedance))
        .routes(routes!(standing_wave))
}

/// How the instrument is set up.
#[derive(Clone, Debug, Default, Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
pub(super) struct SetUpQuery {
    /// A mouthpiece in place of the bore's own.
    pub(super) mouthpiece: Option<String>,
    /// A leadpipe in place of the bore's own: one of `GET /api/leadpipes`.
    pub(super) leadpipe: Option<String>,
    /// Temperature of the air in the tube, degrees Celsius.
    #[param(minimum = -20, maximum = 60)]
    pub(super) temperature_c: Option<f64>,
    /// Relative humidity, 0 to 1.
    #[param(minimum = 0, maximum = 1)]
    pub(super) humidity: Option<f64>,
    /// Which of the instrument's lengths; the open tube when absent.
    #[serde(default)]
    #[param(minimum = 0, maximum = 65535)]
    pub(super) length: u16,
    /// Hand slide further out than its position, millimetres.
    #[serde(default)]
    #[param(minimum = 0, maximum = 1500)]
    pub(super) extension_mm: f64,
}

/// An answer for what the bore model cannot do.
pub(super) fn refuse(error: AcousticError) -> Problem {
    Problem::unprocessable(error.to_string())
}

/// An instrument set up to be blown.
pub(super) async fn set_up(app: &App, id: &str, query: &SetUpQuery) -> Answer<Setup> {
    let instrument = instruments::find(app, id).await?;
    let bore = bores::find(app, id).await?;
    let mut setup = Setup::new(instrument, bore);
    if let Some(mouthpiece) = &query.mouthpiece {
        setup.mouthpiece = Some(mouthpieces::find(app, mouthpiece).await?);
    }
    if let Some(leadpipe) = &query.leadpipe {
        let section = leadpipes::find(leadpipe)?;
        let changed = setup.bore.with_section(section);
        setup.bore = changed.map_err(|error| Problem::unprocessable(error.to_string()))?;
    }
    setup.air.temperature = query.temperature_c.unwrap_or(setup.air.temperature);
    setup.air.humidity = query.humidity.unwrap_or(setup.air.humidity);
    if !(0.0..=MOST_EXTENSION).contains(&query.extension_mm) {
        return Err(Problem::unprocessable(format!(
            "extension_mm must be 0 to {MOST_EXTENSION}"
        )));
    }
    setup.hand_extra_mm = query.extension_mm;
    setup.medium().map_err(refuse)?;
    Ok(setup)
}

/// The tube that an address and its query name: an instrument set up, and one of its lengths.
struct Tube {
    setup: Setup,
    length: LengthId,
}

impl FromRequestParts<App> for Tube {
    type Rejection = Problem;

    async fn from_request_parts(parts: &mut Parts, app: &App) -> Answer<Self> {
        let Path(id) = Path::<String>::from_request_parts(parts, app).await?;
        let Query(query) = Query::<SetUpQuery>::from_request_parts(parts, app).await?;
        Ok(Self {
            setup: set_up(app, &id, &query).await?,
            length: LengthId(query.length),
        })
    }
}

/// A resonance of the tube.
#[derive(Serialize, ToSchema)]
struct Resonance {
    /// Its number, lowest 1.
    partial: usize,
    /// Where |Z| is largest, hertz.
    frequency_hz: f64,
    /// |Z| there, Pa s/m3.
    height: f64,
    /// Quality factor.
    q: f64,
    /// The nearest note, sounding.
    nearest: String,
    /// How far above that note in equal temperament.
    cents: f64,
    /// Lowest blowing pressure that makes it speak, pascal.
    threshold_pa: Option<f64>,
    /// Width of its slot in cents of playing pitch.
    slot_cents: Option<f64>,
}

/// The resonances of a length.
#[derive(Serialize, ToSchema)]
struct Resonances {
    /// Which length.
    length: u16,
    /// The resonances, lowest first.
    resonances: Vec<Resonance>,
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Depth {
    /// Whether threshold pressure and slot width are computed too.
    #[serde(default = "yes")]
    slots: bool,
    /// Frequency of A4 in hertz.
    #[param(minimum = 415, maximum = 466)]
    a4: Option<f64>,
}

const fn yes() -> bool {
    true
}

/// The nearest note to a frequency and how far above it the frequency lies.
fn nearest(tuning: &Tuning, hertz: f64) -> (String, f64) {
    let above_a4 = Hertz(hertz).cents_above(tuning.a4).0;
    let midi = 69 + (above_a4 / 100.0).round() as i32;
    let name = Sounding(Pitch::from_midi(midi)).to_string();
    (name, Hertz(hertz).cents_above(tuning.equal(midi)).0)
}

/// The resonances of a length of the tube.
#[utoipa::path(get, path = "/api/instruments/{id}/resonances",
    params(("id" = String, Path), SetUpQuery, Depth), responses(
    (status = 200, body = Resonances),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn resonances(
    State(app): State<App>,
    Tube { setup, length }: Tube,
    Query(depth): Query<Depth>,
) -> Answer<Json<Resonances>> {
    let tuning = tuning::equal(depth.a4)?;
    let (found, slots) = app
        .heavy(move || {
            if !depth.slots {
                return Ok((setup.resonances(length)?, Vec::new()));
            }
            let column = setup.column(length)?;
            let most = usize::from(setup.instrument.highest_partial);
            let slots = horn::lips::slots(&column.at_lips, &setup.lips, most);
            Ok::<_, AcousticError>((column.resonances, slots))
        })
        .await?
        .map_err(refuse)?;
    let resonances = found.peaks.iter().enumerate().map(|(index, peak)| {
        let (nearest, cents) = nearest(&tuning, peak.frequency);
        let slot = slots
            .iter()
            .find(|slot| usize::from(slot.resonance) == index + 1);
        Resonance {
            partial: index + 1,
            frequency_hz: peak.frequency,
            height: peak.height,
            q: peak.q,
            nearest,
            cents,
            threshold_pa: slot.map(|slot| slot.easiest.pressure),
            slot_cents: slot.map(horn::lips::Slot::width_cents),
        }
    });
    Ok(Json(Resonances {
        length: length.0,
        resonances: resonances.collect(),
    }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Band {
    /// From this frequency, hertz.
    #[param(minimum = 1, maximum = 10000)]
    from_hz: Option<f64>,
    /// To this frequency, hertz.
    #[param(minimum = 1, maximum = 10000)]
    to_hz: Option<f64>,
    /// How many points, evenly spaced.
    #[param(minimum = 2, maximum = 4000)]
    points: Option<u32>,
}

/// The input impedance over frequency.
#[derive(Serialize, ToSchema)]
struct Impedance {
    /// Hertz.
    frequency_hz: Vec<f64>,
    /// Pa s/m3.
    magnitude: Vec<f64>,
    /// Radians.
    phase_rad: Vec<f64>,
}

/// The input impedance of a length of the tube.
#[utoipa::path(get, path = "/api/instruments/{id}/impedance",
    params(("id" = String, Path), SetUpQuery, Band), responses(
    (status = 200, body = Impedance),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn impedance(
    State(app): State<App>,
    Tube { setup, length }: Tube,
    Query(band): Query<Band>,
) -> Answer<Json<Impedance>> {
    let (from, to) = (band.from_hz.unwrap_or(20.0), band.to_hz.unwrap_or(1500.0));
    let points = band.points.unwrap_or(800);
    let limit = MAX_FREQUENCY.min(10_000.0);
    let good = from >= 1.0 && from < to && to <= limit && (2..=MOST_POINTS).contains(&points);
    if !good {
        return Err(Problem::unprocessable(format!(
            "from_hz must lie below to_hz, both 1 to {limit} Hz; points must be 2 to {MOST_POINTS}"
        )));
    }
    let step = (to - from) / f64::from(points - 1);
    let frequency_hz: Vec<f64> = (0..points).map(|i| from + step * f64::from(i)).collect();
    let asked = frequency_hz.clone();
    let curve = app
        .heavy(move || setup.impedance(length, &asked))
        .await?
        .map_err(refuse)?;
    Ok(Json(Impedance {
        magnitude: curve.iter().map(|z| z.norm()).collect(),
        phase_rad: curve.iter().map(|z| z.arg()).collect(),
        frequency_hz,
    }))
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct At {
    /// The frequency, hertz.
    #[param(minimum = 1, maximum = 10000)]
    frequency_hz: f64,
}

/// The standing wave along the bore.
#[derive(Serialize, ToSchema)]
struct Wave {
    /// Distance from the lips, metres.
    position_m: Vec<f64>,
    /// Pressure along the bore, the largest 1; its sign is the phase against the lips.
    pressure: Vec<f64>,
    /// Radius of the bore, metres.
    radius_m: Vec<f64>,
}

/// The standing wave in a length of the tube.
#[utoipa::path(get, path = "/api/instruments/{id}/standing-wave",
    params(("id" = String, Path), SetUpQuery, At), responses(
    (status = 200, body = Wave),
    Refuses<400>, Refuses<404>, Refuses<422>,
))]
async fn standing_wave(
    State(app): State<App>,
    Tube { setup, length }: Tube,
    Query(at): Query<At>,
) -> Answer<Json<Wave>> {
    let wave = app
        .heavy(move || setup.standing_wave(length, at.frequency_hz))
        .await?
        .map_err(refuse)?;
    // Turned so that the pressure at the lips is real: its standing part is what is drawn.
    let turn = wave.pressure.first().map(|lips| lips.conj() / lips.norm());
    let real: Vec<f64> = wave
        .pressure
        .iter()
        .map(|p| turn.map_or(0.0, |turn| (p * turn).re))
        .collect();
    let largest = real
        .iter()
        .map(|p| p.abs())
        .fold(f64::MIN_POSITIVE, f64::max);
    Ok(Json(Wave {
        position_m: wave.distance,
        pressure: real.iter().map(|p| p / largest).collect(),
        radius_m: wave.radius,
    }))
}
