//! Parts: an exercise carried through the tube for a player, on the page and as files.

use axum::Json;
use axum::extract::State;
use axum::http::header;
use axum::response::{IntoResponse, Response};
use routine::Part;
use routine::player::{Compass, Limits, Player as Reader, Range};
use score::layout::Layout;
use serde::{Deserialize, Serialize};
use serde_json::Value;
use studio::PlayerInput;
use tone::Tuning;
use utoipa::ToSchema;
use utoipa_axum::router::OpenApiRouter;
use utoipa_axum::routes;

use super::exercises::{self, kept_levels};
use super::instruments::{self, json};
use crate::desk::engraving;
use crate::server::engraving::Look;
use crate::server::extract::Body;
use crate::server::problem::{Answer, Diagnostic, Problem, Refuses};
use crate::server::state::App;

pub(super) fn routes() -> OpenApiRouter<App> {
    OpenApiRouter::new()
        .routes(routes!(expand))
        .routes(routes!(engrave))
        .routes(routes!(export_part))
}

/// A player by id, or described in place.
#[derive(Deserialize, ToSchema)]
#[serde(untagged)]
enum For {
    /// One that is kept.
    Kept(String),
    /// One that is not.
    Described(Box<PlayerInput>),
}

/// What a part is made of: an exercise and a player.
#[derive(Deserialize, ToSchema)]
struct Source {
    /// An exercise by id; or `text`.
    #[serde(default)]
    exercise: Option<String>,
    /// An exercise as text (TOML).
    #[serde(default)]
    text: Option<String>,
    /// For whom.
    player: For,
    /// A level instead of the player's own.
    #[serde(default)]
    level: Option<String>,
    /// Seed of the day, for orders that are drawn.
    #[serde(default)]
    seed: u64,
}

/// What the routine needs to know of a player.
pub(super) fn reader(
    about: &PlayerInput,
    level: Option<String>,
    levels: &routine::Levels,
) -> Reader {
    let level = level.or_else(|| about.level.clone());
    let compass = |floor, roof| {
        Some(Compass {
            floor: floor?,
            roof: roof?,
        })
    };
    let comfortable = compass(about.floor, about.roof);
    let stretch = compass(
        about.stretch_floor.or(about.floor),
        about.stretch_roof.or(about.roof),
    );
    let of_level = level
        .as_deref()
        .and_then(|id| levels.find(id))
        .map(|level| level.limits);
    let usual = of_level.unwrap_or_default();
    Reader {
        name: about.name.clone(),
        reading: about.reading.clone(),
        range: comfortable.map(|comfortable| Range {
            comfortable,
            stretch: stretch.filter(|stretch| *stretch != comfortable),
        }),
        level,
        pedals: about.pedals,
        limits: Some(Limits {
            playing_minutes: f64::from(about.minutes_a_day),
            load_minutes: about.load_a_day.unwrap_or(usual.load_minutes),
            ..usual
        }),
        ..Reader::default()
    }
}

/// Makes the part of a source.
async fn part_of(app: &App, source: Source) -> Answer<(Part, Vec<Diagnostic>)> {
    let (exercise, diagnostics) = match (&source.exercise, &source.text) {
        (Some(id), None) => (exercises::find(app, id).await?, Vec::new()),
        (None, Some(text)) => exercises::read(text)?,
        _ => {
            return Err(Problem::unprocessable(
                "name an `exercise` by its id, or give its `text`: one of the two",
            ));
        }
    };
    let about = match source.player {
        For::Kept(id) => app.store.player(&id).await?.about,
        For::Described(about) => {
            about.check()?;
            *about
        }
    };
    let instrument = instruments::find(app, &about.instrument).await?;
    let (_, levels) = kept_levels(app).await?;
    let a4 = app.store.settings().await?.a4;
    let player = reader(&about, source.level, &levels);
    let part = app
        .heavy(move || {
            let tuning = Tuning {
                a4: tone::Hertz(a4),
                ..Tuning::default()
            };
            let chart = horn::ideal::chart(&instrument, &tuning);
            routine::expand(
                &exercise,
                &player,
                &instrument,
                &chart,
                &levels,
                source.seed,
            )
        })
        .await?
        .map_err(|error| Problem::unprocessable(error.to_string()))?;
    Ok((part, diagnostics))
}

/// What is to be played into a take.
#[derive(Default)]
pub(crate) struct Asked {
    /// By whom, by id.
    pub(crate) player: Option<String>,
    /// On which instrument.
    pub(crate) instrument: String,
    /// Which exercise, by id.
    pub(crate) exercise: Option<String>,
    /// Which exercise, as text.
    pub(crate) text: Option<String>,
    /// A level instead of the player's own.
    pub(crate) level: Option<String>,
    /// Seed of the day.
    pub(crate) seed: u64,
}

/// The part that is to be played, on the instrument that is played; none for free playing.
pub(crate) async fn part_to_play(app: &App, asked: Asked) -> Answer<Option<Part>> {
    let mut about = match &asked.player {
        Some(player) => app.store.player(player).await?.about,
        None => PlayerInput::named("nobody", &asked.instrument),
    };
    if asked.exercise.is_none() && asked.text.is_none() {
        return Ok(None);
    }
    if about.instrument != asked.instrument {
        // Range and reading belong to the player's usual instrument.
        about = PlayerInput {
            level: about.level,
            minutes_a_day: about.minutes_a_day,
            load_a_day: about.load_a_day,
            ..PlayerInput::named(about.name, &asked.instrument)
        };
    }
    let source = Source {
        exercise: asked.exercise,
        text: asked.text,
        player: For::Described(Box::new(about)),
        level: asked.level,
        seed: asked.seed,
    };
    Ok(Some(part_of(app, source).await?.0))
}

/// A part and remarks on the exercise's text.
#[derive(Serialize, ToSchema)]
struct Expanded {
    /// The part: lines of notes with fingerings, rests and load.
    #[schema(value_type = Object)]
    part: Value,
    /// Remarks on the text.
    diagnostics: Vec<Diagnostic>,
}

/// Carries an exercise through the tube for a player.
#[utoipa::path(post, path = "/api/parts", request_body = Source, responses(
    (status = 200, body = Expanded),
    Refuses<404>, Refuses<422>,
))]
async fn expand(State(app): State<App>, Body(source): Body<Source>) -> Answer<Json<Expanded>> {
    let (part, diagnostics) = part_of(&app, source).await?;
    let part = json(&part)?;
    Ok(Json(Expanded { part, diagnostics }))
}

/// A source and how its page is to look.
#[derive(Deserialize, ToSchema)]
struct Engraving {
    #[serde(flatten)]
    source: Source,
    #[serde(flatten)]
    look: Look,
}

/// Engraved pages.
#[derive(Serialize, ToSchema)]
pub(super) struct Pages {
    /// Each page as SVG; notes carry their ids.
    pub(super) pages: Vec<String>,
}

/// Engraves a part.
#[utoipa::path(post, path = "/api/parts/engraving", request_body = Engraving, responses(
    (status = 200, body = Pages),
    Refuses<404>, Refuses<422>, Refuses<501>,
))]
async fn engrave(State(app): State<App>, Body(asked): Body<Engraving>) -> Answer<Json<Pages>> {
    let (part, _) = part_of(&app, asked.source).await?;
    let layout = asked.look.layout(&app.store.settings().await?);
    let pages = app
        .heavy(move || engraving::svg_pages(&part, &layout))
        .await??;
    Ok(Json(Pages { pages }))
}

/// A file format.
#[derive(Clone, Copy, Deserialize, ToSchema)]
#[serde(rename_all = "lowercase")]
enum Format {
    /// MusicXML 4.0.
    Musicxml,
    /// MusicXML 4.0, compressed.
    Mxl,
    /// Standard MIDI File.
    Midi,
    /// The first engraved page.
    Svg,
    /// All engraved pages.
    Pdf,
    /// As sound.
    Wav,
}

impl Format {
    const fn kind(self) -> (&'static str, &'static str) {
        match self {
            Self::Musicxml => ("musicxml", "application/vnd.recordare.musicxml+xml"),
            Self::Mxl => ("mxl", "application/vnd.recordare.musicxml"),
            Self::Midi => ("mid", "audio/midi"),
            Self::Svg => ("svg", "image/svg+xml"),
            Self::Pdf => ("pdf", "application/pdf"),
            Self::Wav => ("wav", "audio/wav"),
        }
    }
}

/// A source and a file format.
#[derive(Deserialize, ToSchema)]
struct Export {
    #[serde(flatten)]
    source: Source,
    /// The format.
    format: Format,
    #[serde(flatten)]
    look: Look,
}

/// Writes a part as a file.
#[utoipa::path(post, path = "/api/parts/export", request_body = Export, responses(
    (status = 200, content(
        (Vec<u8> = "application/vnd.recordare.musicxml+xml"),
        (Vec<u8> = "application/vnd.recordare.musicxml"),
        (Vec<u8> = "audio/midi"),
        (Vec<u8> = "image/svg+xml"),
        (Vec<u8> = "application/pdf"),
        (Vec<u8> = "audio/wav"),
    )),
    Refuses<404>, Refuses<422>, Refuses<501>,
))]
async fn export_part(State(app): State<App>, Body(asked): Body<Export>) -> Answer<Response> {
    let (part, _) = part_of(&app, asked.source).await?;
    let format = asked.format;
    let name: String = part
        .title
        .chars()
        .map(|c| {
            if c.is_ascii_alphanumeric() {
                c.to_ascii_lowercase()
            } else {
                '-'
            }
        })
        .take(60)
        .collect();
    let layout = asked.look.layout(&app.store.settings().await?);
    let bytes = app.heavy(move || write(&part, format, &layout)).await??;
    let (ending, kind) = format.kind();
    let name = if name.is_empty() { "part" } else { &name };
    let head = [
        (header::CONTENT_TYPE, kind.to_owned()),
        (
            header::CONTENT_DISPOSITION,
            format!("attachment; filename=\"{name}.{ending}\""),
        ),
    ];
    Ok((head, bytes).into_response())
}

fn write(part: &Part, format: Format, layout: &Layout) -> Answer<Vec<u8>> {
    let cannot = |error: score::Error| Problem::unprocessable(error.to_string());
    let mut options = score::musicxml::Options::default();
    options.fingerings = layout.fingerings;
    match format {
        Format::Musicxml => score::musicxml::write(part, &options)
            .map(String::into_bytes)
            .map_err(cannot),
        Format::Mxl => score::musicxml::write_mxl(part, &options).map_err(cannot),
        Format::Midi => score::midi::write(part, &routine::Playback::default()).map_err(cannot),
        Format::Wav => {
            let settings = ::voice::Settings::default();
            let audio = ::voice::part(part, &settings, ::voice::Rate::default())
                .map_err(|error| Problem::unprocessable(error.to_string()))?;
            super::voice::wav(&audio)
        }
        Format::Svg => {
            let layout = Layout {
                embed_font: true,
                ..layout.clone()
            };
            let pages = engraving::svg_pages(part, &layout)?;
            let first = pages.into_iter().next();
            first
                .map(String::into_bytes)
                .ok_or_else(|| Problem::unprocessable("the part has no page"))
        }
        Format::Pdf => Ok(engraving::pdf(&[part], layout)?),
    }
}
