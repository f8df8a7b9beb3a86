//! Sound for the ear: drone, clicks and reference tones as WAV.

use ::voice::{Audio, Drone, Dynamic, Rate, Stack, VoiceError};
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use tone::{Hertz, Sounding};
use utoipa::IntoParams;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use crate::server::extract::Query;
use crate::server::problem::{Answer, Problem, Refuses};
use crate::server::state::App;

/// Samples a second of everything given out here.
const RATE: u32 = 48_000;
/// Longest sound, seconds.
const LONGEST_S: f64 = 600.0;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(drone))
        .routes(routes!(tone))
        .routes(routes!(click))
}

/// A pitch by name or frequency, and how long.
#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Which {
    /// Sounding pitch, such as `Bb3`; or `frequency_hz`.
    pitch: Option<String>,
    /// Frequency in hertz, 20 to 4000.
    #[param(minimum = 20, maximum = 4000)]
    frequency_hz: Option<f64>,
    /// Frequency of A4 in hertz; the settings' when absent.
    #[param(minimum = 415, maximum = 466)]
    a4: Option<f64>,
    /// How long, seconds.
    #[param(minimum = 0.1, maximum = 600)]
    seconds: Option<f64>,
}

impl Which {
    async fn frequency(&self, app: &App) -> Answer<Hertz> {
        let hertz = match (&self.pitch, self.frequency_hz) {
            (None, Some(hertz)) => Hertz(hertz),
            (Some(pitch), None) => {
                let pitch: Sounding = pitch
                    .parse()
                    .map_err(|error| Problem::unprocessable(format!("pitch: {error}")))?;
                let a4 = match self.a4 {
                    None => app.store.settings().await?.a4,
                    Some(a4) => a4,
                };
                super::tuning::equal(Some(a4))?.frequency(pitch)
            }
            _ => {
                return Err(Problem::unprocessable(
                    "name a `pitch`, or give `frequency_hz`: one of the two",
                ));
            }
        };
        if !(20.0..=4000.0).contains(&hertz.0) {
            return Err(Problem::unprocessable(
                "the frequency must be 20 to 4000 Hz",
            ));
        }
        Ok(hertz)
    }
}

fn length(seconds: Option<f64>, usual: f64) -> Answer<f64> {
    let seconds = seconds.unwrap_or(usual);
    if !(0.1..=LONGEST_S).contains(&seconds) {
        return Err(Problem::unprocessable(format!(
            "seconds must be 0.1 to {LONGEST_S}"
        )));
    }
    Ok(seconds)
}

fn refuse(error: VoiceError) -> Problem {
    Problem::unprocessable(error.to_string())
}

/// A sound as a WAV file.
pub(super) fn wav(audio: &Audio) -> Answer<Vec<u8>> {
    ::voice::wav::encode(audio, ::voice::wav::Depth::Sixteen).map_err(refuse)
}

/// Runs work that makes a sound, and answers with it.
async fn answer(
    app: &App,
    make: impl FnOnce() -> Result<Audio, VoiceError> + Send + 'static,
) -> Answer<Response> {
    let bytes = app
        .heavy(move || make().map_err(refuse).and_then(|audio| wav(&audio)))
        .await??;
    let head = [
        (header::CONTENT_TYPE, "audio/wav"),
        (header::CACHE_CONTROL, "private, max-age=3600"),
    ];
    Ok((head, bytes).into_response())
}

/// A drone: root, fifth and octave.
#[utoipa::path(get, path = "/api/voice/drone", params(Which), responses(
    (status = 200, body = Vec<u8>, content_type = "audio/wav"),
    Refuses<400>, Refuses<422>,
))]
async fn drone(State(app): State<App>, Query(which): Query<Which>) -> Answer<Response> {
    let root = which.frequency(&app).await?;
    let seconds = length(which.seconds, 10.0)?;
    answer(&app, move || {
        let rate = Rate::new(RATE)?;
        let mut drone = Drone::new(root, Stack::FifthAndOctave, Drone::PURE_FIFTH, rate)?;
        let mut samples = vec![0.0; (seconds * f64::from(RATE)) as usize];
        // The last quarter of a second is for its dying away.
        let held = samples.len().saturating_sub(RATE as usize / 4);
        let (body, end) = samples.split_at_mut(held);
        drone.fill(body);
        drone.stop();
        drone.fill(end);
        Ok(Audio {
            rate,
            samples,
            marks: Vec::new(),
            gain_db: 0.0,
        })
    })
    .await
}

/// A reference tone.
#[utoipa::path(get, path = "/api/voice/tone", params(Which), responses(
    (status = 200, body = Vec<u8>, content_type = "audio/wav"),
    Refuses<400>, Refuses<422>,
))]
async fn tone(State(app): State<App>, Query(which): Query<Which>) -> Answer<Response> {
    let frequency = which.frequency(&app).await?;
    let seconds = length(which.seconds, 2.0)?;
    answer(&app, move || {
        ::voice::note(frequency, seconds, Dynamic::Mf, Rate::new(RATE)?)
    })
    .await
}

#[derive(Deserialize, IntoParams)]
#[into_params(parameter_in = Query)]
struct Beat {
    /// Beats a minute, 20 to 300.
    #[param(minimum = 20, maximum = 300)]
    tempo: f64,
    /// Beats in a bar, 1 to 32; 4 when absent.
    #[param(minimum = 1, maximum = 32)]
    beats: Option<u32>,
    /// How long, seconds.
    #[param(minimum = 0.1, maximum = 600)]
    seconds: Option<f64>,
}

/// Clicks, the first of each bar higher.
#[utoipa::path(get, path = "/api/voice/click", params(Beat), responses(
    (status = 200, body = Vec<u8>, content_type = "audio/wav"),
    Refuses<400>, Refuses<422>,
))]
async fn click(State(app): State<App>, Query(beat): Query<Beat>) -> Answer<Response> {
    let seconds = length(beat.seconds, 10.0)?;
    let bar = beat.beats.unwrap_or(4);
    if !(20.0..=300.0).contains(&beat.tempo) || !(1..=32).contains(&bar) {
        return Err(Problem::unprocessable(
            "tempo must be 20 to 300, beats 1 to 32",
        ));
    }
    answer(&app, move || {
        let rate = Rate::new(RATE)?;
        let clicks = [::voice::click(rate, true), ::voice::click(rate, false)];
        let mut samples = vec![0.0; (seconds * f64::from(RATE)) as usize];
        for number in 0_u32.. {
            let at = (f64::from(number) * 60.0 / beat.tempo * f64::from(RATE)).round() as usize;
            let Some(place) = samples.get_mut(at..).filter(|place| !place.is_empty()) else {
                break;
            };
            let [first, other] = &clicks;
            let click = if number % bar == 0 { first } else { other };
            for (sample, value) in place.iter_mut().zip(&click.samples) {
                *sample += value;
            }
        }
        Ok(Audio {
            rate,
            samples,
            marks: Vec::new(),
            gain_db: 0.0,
        })
    })
    .await
}
