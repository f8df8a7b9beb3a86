//! From the text of an instrument file to an [`Instrument`], with every value checked.

use std::ops::Range;

use toml::Spanned;
use tone::{Interval, Letter, Pitch, Sounding, Transposition, Tuning, Written};

use super::CatalogError;
use super::file::File;
use crate::instrument::Practice;
use crate::{Instrument, Reading, Stage};

/// The format that this program reads.
const FORMAT: u32 = 1;
/// Above this the partials lie closer than half a semitone.
const HIGHEST_PARTIAL: u8 = 24;

impl Instrument {
    /// Reads an instrument file.
    ///
    /// # Errors
    /// [`CatalogError`] with line and column when the text is not TOML, has a field that format 1
    /// does not know or lacks one, or holds a value that no instrument can have.
    ///
    /// ```
    /// use horn::Instrument;
    ///
    /// let text = horn::catalog::source("cornet").unwrap();
    /// assert_eq!(Instrument::from_toml(text).unwrap().name, "B-flat cornet");
    ///
    /// let error = Instrument::from_toml("format = 1\nid = 7\n").unwrap_err();
    /// assert_eq!(error.place().line, 2);
    /// ```
    pub fn from_toml(text: &str) -> Result<Self, CatalogError> {
        let file: File = toml::from_str(text).map_err(|e| CatalogError::syntax(text, &e))?;
        Loader { text }.instrument(&file)
    }
}

pub(super) struct Loader<'a> {
    text: &'a str,
}

pub(super) type Outcome<T> = Result<T, CatalogError>;

impl Loader<'_> {
    pub(super) fn refuse<T>(&self, span: &Range<usize>, what: String, remedy: &str) -> Outcome<T> {
        Err(CatalogError::value(self.text, span, what, remedy))
    }

    fn instrument(&self, file: &File) -> Outcome<Instrument> {
        self.head(file)?;
        let readings = self.readings(file)?;
        let stages = self.stages(file)?;
        let mechanism = self.mechanism(file)?;
        let fundamental = Sounding(*file.fundamental.get_ref());
        let lengths = mechanism.lengths(Tuning::default().frequency(fundamental));
        for name in &file.order {
            if !lengths.iter().any(|l| l.label == *name.get_ref()) {
                let what = format!("`{}` in `order` is no length", name.get_ref());
                return self.refuse(&name.span(), what, "write it as in a fingering: 0, 2, 1-2");
            }
        }
        let thumb = file.thumb.as_ref().map(Spanned::get_ref);
        let sounding = |written| {
            readings
                .first()
                .map(|r: &Reading| r.transposition.sounding(written))
        };
        let practice = Practice {
            order: file.order.iter().map(|n| n.get_ref().clone()).collect(),
            avoid: file.avoid_partials.clone(),
            thumb_avoid: thumb.map(|t| t.avoid_partials.clone()).unwrap_or_default(),
            thumb_from: thumb.and_then(|t| sounding(Written(t.first_from))),
            rotor_cost: file.slide.as_ref().map_or(0.0, |s| s.get_ref().rotor_cost),
        };
        Ok(Instrument {
            id: file.id.get_ref().clone(),
            name: file.name.get_ref().clone(),
            fundamental,
            home_partial: *file.home_partial.get_ref(),
            highest_partial: *file.highest_partial.get_ref(),
            mechanism,
            practice,
            lengths,
            readings,
            stages,
            source: file.source.clone(),
        })
    }

    fn head(&self, file: &File) -> Outcome<()> {
        let format = *file.format.get_ref();
        if format != FORMAT {
            let what = format!("format {format} is not known here");
            return self.refuse(&file.format.span(), what, "this program reads format 1");
        }
        let id = file.id.get_ref();
        let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
        if id.is_empty() || !id.chars().all(plain) {
            let what = format!("`{id}` is no id");
            return self.refuse(
                &file.id.span(),
                what,
                "use lower-case letters, digits and hyphens",
            );
        }
        if file.name.get_ref().trim().is_empty() {
            return self.refuse(
                &file.name.span(),
                "the name is empty".to_owned(),
                "give it one",
            );
        }
        let key = file.fundamental.get_ref().midi();
        if !(12..=72).contains(&key) {
            let what = format!(
                "no brass instrument sounds {} as its fundamental",
                file.fundamental.get_ref()
            );
            return self.refuse(
                &file.fundamental.span(),
                what,
                "give the open tube's pedal note, C0 to C5",
            );
        }
        let highest = *file.highest_partial.get_ref();
        if !(4..=HIGHEST_PARTIAL).contains(&highest) {
            let what = format!("highest-partial {highest} is out of range");
            return self.refuse(&file.highest_partial.span(), what, "give 4 to 24");
        }
        let home = *file.home_partial.get_ref();
        if !(2..=highest).contains(&home) {
            let what = format!("home-partial {home} is out of range");
            return self.refuse(
                &file.home_partial.span(),
                what,
                "give 2 up to highest-partial",
            );
        }
        Ok(())
    }

    fn readings(&self, file: &File) -> Outcome<Vec<Reading>> {
        let readings = file.readings.get_ref();
        if readings.is_empty() {
            return self.refuse(
                &file.readings.span(),
                "no reading".to_owned(),
                "add a [[reading]]",
            );
        }
        let mut seen: Vec<&str> = Vec::new();
        let mut out = Vec::new();
        for reading in readings {
            let (span, r) = (reading.span(), reading.get_ref());
            if seen.contains(&r.id.as_str()) {
                let what = format!("reading `{}` is there twice", r.id);
                return self.refuse(&span, what, "give each reading an id of its own");
            }
            seen.push(&r.id);
            let interval = Interval::between(Pitch::new(Letter::C, 0, 4), r.c4_sounds);
            if interval.semitones.abs() > 48 {
                let what = format!("written C4 cannot sound {}", r.c4_sounds);
                return self.refuse(&span, what, "check c4-sounds: at most four octaves away");
            }
            out.push(Reading {
                id: r.id.clone(),
                name: r.name.clone(),
                clef: r.clef,
                transposition: Transposition(interval),
            });
        }
        Ok(out)
    }

    fn stages(&self, file: &File) -> Outcome<Vec<Stage>> {
        let stages = file.stages.get_ref();
        if stages.is_empty() {
            return self.refuse(
                &file.stages.span(),
                "no stage".to_owned(),
                "add a [[stage]]",
            );
        }
        let mut out: Vec<Stage> = Vec::new();
        for stage in stages {
            let (span, s) = (stage.span(), stage.get_ref());
            if s.floor.midi() >= s.roof.midi() {
                let what = format!(
                    "stage `{}` has its floor {} at or above its roof {}",
                    s.id, s.floor, s.roof
                );
                return self.refuse(&span, what, "give the lower note as floor");
            }
            if out.iter().any(|other| other.id == s.id) {
                let what = format!("stage `{}` is there twice", s.id);
                return self.refuse(&span, what, "give each stage an id of its own");
            }
            out.push(Stage {
                id: s.id.clone(),
                floor: Written(s.floor),
                roof: Written(s.roof),
            });
        }
        Ok(out)
    }
}
