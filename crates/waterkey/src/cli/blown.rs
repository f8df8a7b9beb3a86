//! An instrument as it is blown: which bore, mouthpiece, leadpipe, air and slides.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use horn::Setup;
use horn::bore::{Bore, Mouthpiece, Section, generic_bore, generic_leadpipe, generic_mouthpiece};
use serde::{Deserialize, Serialize};

use super::{Failure, pick};

/// The parts that can be changed; the generic ones where nothing is given.
#[derive(Clone, Debug, Default, clap::Args)]
pub(crate) struct Parts {
    /// Bore file (TOML) in place of the generic bore.
    #[arg(long, value_name = "FILE")]
    pub(crate) bore: Option<PathBuf>,
    /// Mouthpiece: one of `list mouthpieces`, or a TOML file.
    #[arg(long, value_name = "ID|FILE")]
    pub(crate) mouthpiece: Option<String>,
    /// Leadpipe: one of `list leadpipes`, or a TOML file of one section.
    #[arg(long, value_name = "ID|FILE")]
    pub(crate) leadpipe: Option<String>,
    /// Temperature of the air in the tube, degrees Celsius.
    #[arg(long, value_name = "C")]
    pub(crate) temperature: Option<f64>,
    /// Slide pulled out by so many mm, such as main=20; may be given again.
    #[arg(long, value_name = "SLIDE=MM", value_parser = pull)]
    pub(crate) pull: Vec<(String, f64)>,
    /// Your own horn, as `fit --save` wrote it.
    #[arg(long, value_name = "FILE")]
    pub(crate) fitted: Option<PathBuf>,
}

/// What `fit --save` writes and `--fitted` reads.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Fitted {
    /// Instrument id.
    pub(crate) instrument: String,
    /// By how much each slide or loop differs from the generic one, mm of slide movement.
    pub(crate) trim: BTreeMap<String, f64>,
}

impl Parts {
    /// Whether nothing was given.
    pub(crate) fn is_generic(&self) -> bool {
        self.bore.is_none()
            && self.mouthpiece.is_none()
            && self.leadpipe.is_none()
            && self.temperature.is_none()
            && self.pull.is_empty()
            && self.fitted.is_none()
    }

    /// The instrument with these parts.
    ///
    /// # Errors
    /// When the instrument or a part is not known, a file does not hold, or a number is out of range:
    /// each names the option.
    pub(crate) fn set_up(&self, instrument: &str) -> Result<Setup, Failure> {
        let found = pick::instrument(instrument)?;
        let bore = match &self.bore {
            Some(path) => read(path, Bore::from_toml)?,
            None => generic_bore(&found.id)
                .map_err(|error| Failure::Input(format!("{error}; give a file with --bore")))?,
        };
        let mut setup = Setup::new(found, bore);
        if let Some(name) = &self.mouthpiece {
            setup.mouthpiece = Some(either(
                "--mouthpiece",
                name,
                generic_mouthpiece,
                Mouthpiece::from_toml,
            )?);
        }
        if let Some(name) = &self.leadpipe {
            let section = either("--leadpipe", name, generic_leadpipe, Section::from_toml)?;
            setup.bore = setup
                .bore
                .with_section(section)
                .map_err(|e| input("--leadpipe", &e))?;
        }
        if let Some(celsius) = self.temperature {
            setup.air.temperature = celsius;
        }
        setup
            .medium()
            .map_err(|error| input("--temperature", &error))?;
        setup.pulls.extend(self.pull.iter().cloned());
        if let Some(path) = &self.fitted {
            let fitted: Fitted = read(path, |text| toml::from_str(text))?;
            if fitted.instrument != setup.instrument.id {
                return Err(Failure::Input(format!(
                    "{} was fitted to {}, not to {}",
                    path.display(),
                    fitted.instrument,
                    setup.instrument.id
                )));
            }
            setup.trim = fitted.trim;
        }
        if let Some(open) = setup.instrument.lengths.first() {
            setup
                .tube(open.id)
                .map_err(|error| Failure::Input(error.to_string()))?;
        }
        Ok(setup)
    }
}

/// Something the program brings by its id, or the user's own from a TOML file.
fn either<T, E: std::fmt::Display>(
    option: &str,
    name: &str,
    generic: impl FnOnce(&str) -> Result<T, E>,
    own: impl FnOnce(&str) -> Result<T, E>,
) -> Result<T, Failure> {
    let path = Path::new(name);
    if path.extension().is_some_and(|end| end == "toml") {
        return read(path, own);
    }
    generic(name).map_err(|error| {
        Failure::Input(format!(
            "{option}: {error}; a file of your own ends in .toml"
        ))
    })
}

fn read<T, E: std::fmt::Display>(
    path: &Path,
    parse: impl FnOnce(&str) -> Result<T, E>,
) -> Result<T, Failure> {
    parse(&pick::read_text(path)?).map_err(|error| input(&path.display().to_string(), &error))
}

fn input(place: &str, error: &dyn std::fmt::Display) -> Failure {
    Failure::Input(format!("{place}: {error}"))
}

/// `main=20`: a slide and how far it is out, mm.
pub(crate) fn pull(text: &str) -> Result<(String, f64), String> {
    let wanted = "write the slide and the millimetres, such as main=20";
    let (slide, mm) = text.split_once('=').ok_or(wanted)?;
    let mm: f64 = mm.trim().parse().map_err(|_| wanted)?;
    Ok((slide.trim().to_owned(), mm))
}
