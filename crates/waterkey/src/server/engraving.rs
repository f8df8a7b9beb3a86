//! How engraved pages are asked for, and what is answered when there are none.

use score::layout::{Fingerings, Layout, Paper};
use serde::Deserialize;
use studio::Settings;
use tone::Language;
use utoipa::ToSchema;

use super::problem::{Code, Problem};
use crate::desk::engraving::EngravingError;

/// How a page is to look; what is left out is as the settings say.
#[derive(Clone, Copy, Debug, Default, Deserialize, ToSchema)]
pub(crate) struct Look {
    /// Size of the paper.
    #[serde(default)]
    #[schema(value_type = Option<studio::Paper>)]
    paper: Option<Paper>,
    /// Whether the staves are large.
    #[serde(default)]
    large_print: Option<bool>,
    /// Which fingerings stand over the notes.
    #[serde(default)]
    #[schema(value_type = Option<studio::ShowFingerings>)]
    fingerings: Option<Fingerings>,
    /// Language of the page: `en` or `de`. The program's own words are said in it; what a person
    /// wrote stays as it is.
    #[serde(default)]
    #[schema(value_type = String, pattern = "^(en|de)$", default = "en")]
    language: Language,
}

impl Look {
    /// The layout, with the settings for what was left out.
    pub(crate) fn layout(self, settings: &Settings) -> Layout {
        let layout = Layout {
            paper: self.paper.unwrap_or(match settings.paper {
                studio::Paper::A4 => Paper::A4,
                studio::Paper::Letter => Paper::Letter,
            }),
            fingerings: self.fingerings.unwrap_or(match settings.fingerings {
                studio::ShowFingerings::Always => Fingerings::Always,
                studio::ShowFingerings::Unusual => Fingerings::Unusual,
                studio::ShowFingerings::Never => Fingerings::Never,
            }),
            language: self.language,
            ..Layout::default()
        };
        if self.large_print.unwrap_or(settings.large_print) {
            layout.large_print()
        } else {
            layout
        }
    }
}

impl From<EngravingError> for Problem {
    fn from(error: EngravingError) -> Self {
        let code = match error {
            EngravingError::NotBuilt => Code::NotBuilt,
            EngravingError::Score(_) => Code::Unprocessable,
        };
        Self::new(code, error.to_string())
    }
}
