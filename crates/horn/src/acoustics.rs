//! One instrument as it is blown: its lengths, bore, mouthpiece, air and lips in one value.
//!
//! Everything the bore model can say starts from a [`Setup`].

use std::collections::BTreeMap;

use num_complex::Complex64;
use tone::Tuning;

use crate::air::{AirError, Medium};
use crate::bore::{Bore, BoreError, Mouthpiece, State, Tube, generic_bore};
use crate::impedance::{
    CurveError, MAX_FREQUENCY, Resonances, StandingWave, input_impedance, resonances, standing_wave,
};
use crate::lips::{AirColumn, Lips, LipsError, Slot, slots};
use crate::resonant::{self, ResonantChart};
use crate::{Air, Instrument, Length, LengthId, catalog};

/// Resonances are looked for up to this many partials above the instrument's highest.
const PARTIALS_BEYOND: f64 = 3.0;

/// An instrument with its bore, mouthpiece, air and lips.
#[derive(Clone, Debug)]
pub struct Setup {
    /// The instrument: its lengths and how it is read.
    pub instrument: Instrument,
    /// Its bore.
    pub bore: Bore,
    /// A mouthpiece in place of the bore's own.
    pub mouthpiece: Option<Mouthpiece>,
    /// The air in the tube.
    pub air: Air,
    /// The player's lips.
    pub lips: Lips,
    /// Pulls of slides, mm; their usual place where absent.
    pub pulls: BTreeMap<String, f64>,
    /// How the player's own instrument differs from the file, mm of slide movement.
    pub trim: BTreeMap<String, f64>,
    /// Hand-slide extension added to every position, mm.
    pub hand_extra_mm: f64,
}

/// Why the bore model gives no answer.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum AcousticError {
    /// The bore or the state of its slides.
    #[error(transparent)]
    Bore(#[from] BoreError),
    /// The air.
    #[error(transparent)]
    Air(#[from] AirError),
    /// The lips.
    #[error(transparent)]
    Lips(#[from] LipsError),
    /// A frequency, or a tube without an answer.
    #[error(transparent)]
    Curve(#[from] CurveError),
    /// No instrument of this id.
    #[error("no instrument is called `{0}`; list the catalogue for those there are")]
    UnknownInstrument(String),
    /// A length that the instrument has not.
    #[error("{instrument} has no length {wanted}; it has {known}")]
    UnknownLength {
        /// The instrument.
        instrument: String,
        /// What was asked for.
        wanted: String,
        /// Labels there are.
        known: String,
    },
    /// Something asked of a calibration or comparison that cannot be given.
    #[error("{0}")]
    Request(String),
}

/// The air column of one length, worked out once for everything that is asked of it.
#[derive(Clone, Debug)]
pub struct Column {
    /// The tube.
    pub tube: Tube,
    /// Its resonances and the grid they were found on.
    pub resonances: Resonances,
    /// The same as the lips see it.
    pub at_lips: AirColumn,
}

impl Setup {
    /// The generic bore of a catalogue instrument with default air and lips.
    ///
    /// # Errors
    /// When the catalogue has no such instrument or no bore for it.
    ///
    /// ```
    /// let setup = horn::Setup::generic("trumpet-bflat")?;
    /// let open = setup.instrument.lengths[0].id;
    /// let found = setup.resonances(open)?;
    /// // The first resonance lies far below the pedal note (116.5 Hz).
    /// assert!(found.peaks[0].frequency < 100.0);
    /// # Ok::<(), horn::AcousticError>(())
    /// ```
    pub fn generic(id: &str) -> Result<Self, AcousticError> {
        let instrument = catalog::find(id)
            .ok_or_else(|| AcousticError::UnknownInstrument(id.chars().take(60).collect()))?;
        Ok(Self::new(instrument.clone(), generic_bore(id)?))
    }

    /// An instrument and a bore with default air and lips.
    #[must_use]
    pub fn new(instrument: Instrument, bore: Bore) -> Self {
        Self {
            instrument,
            bore,
            mouthpiece: None,
            air: Air::default(),
            lips: Lips::default(),
            pulls: BTreeMap::new(),
            trim: BTreeMap::new(),
            hand_extra_mm: 0.0,
        }
    }

    /// The mouthpiece in use.
    #[must_use]
    pub fn mouthpiece(&self) -> &Mouthpiece {
        self.mouthpiece.as_ref().unwrap_or(&self.bore.mouthpiece)
    }

    /// The constants of the air.
    ///
    /// # Errors
    /// When the air is out of range.
    pub fn medium(&self) -> Result<Medium, AcousticError> {
        Ok(self.air.medium()?)
    }

    /// One of the instrument's lengths.
    ///
    /// # Errors
    /// When the instrument has no such length.
    pub fn length(&self, id: LengthId) -> Result<&Length, AcousticError> {
        self.instrument
            .length(id)
            .ok_or_else(|| AcousticError::UnknownLength {
                instrument: self.instrument.id.clone(),
                wanted: format!("number {}", id.0),
                known: format!("{} lengths", self.instrument.lengths.len()),
            })
    }

    /// The length with this label, such as `1-2` or `T3`.
    ///
    /// # Errors
    /// When the instrument has no such length.
    pub fn length_named(&self, label: &str) -> Result<&Length, AcousticError> {
        self.instrument
            .length_named(label)
            .ok_or_else(|| AcousticError::UnknownLength {
                instrument: self.instrument.id.clone(),
                wanted: format!("`{}`", label.chars().take(40).collect::<String>()),
                known: self
                    .instrument
                    .lengths
                    .iter()
                    .map(|l| l.label.as_str())
                    .collect::<Vec<_>>()
                    .join(" "),
            })
    }

    /// Keys, slides and hand slide for a length.
    ///
    /// # Errors
    /// When the instrument has no such length.
    pub fn state(&self, id: LengthId) -> Result<State, AcousticError> {
        let length = self.length(id)?;
        let hand = self.bore.hand_slide.as_ref();
        let out = hand
            .zip(length.slide_place)
            .map_or(0.0, |(hand, place)| hand.extension_mm(place));
        let reach = hand.map_or(0.0, |hand| hand.throw_mm);
        Ok(State {
            down: length.valves,
            hand_mm: (out + self.hand_extra_mm).clamp(0.0, reach),
            pulls: self.pulls.clone(),
            trim: self.trim.clone(),
        })
    }

    /// The tube of a length.
    ///
    /// # Errors
    /// When the instrument has no such length or the bore does not hold.
    pub fn tube(&self, id: LengthId) -> Result<Tube, AcousticError> {
        Ok(self.bore.tube(&self.state(id)?, self.mouthpiece.as_ref())?)
    }

    /// Input impedance of a length at any frequencies (Hz), Pa.s/m3.
    ///
    /// # Errors
    /// As [`Setup::tube`]; and for a frequency that is not positive.
    pub fn impedance(
        &self,
        id: LengthId,
        frequency: &[f64],
    ) -> Result<Vec<Complex64>, AcousticError> {
        Ok(input_impedance(
            &self.tube(id)?,
            &self.medium()?,
            frequency,
        )?)
    }

    /// The resonances of a length, lowest first, up to a little above the highest partial in use.
    ///
    /// # Errors
    /// As [`Setup::tube`].
    pub fn resonances(&self, id: LengthId) -> Result<Resonances, AcousticError> {
        let limit = self.limit(self.length(id)?);
        Ok(resonances(&self.tube(id)?, &self.medium()?, limit)?)
    }

    /// The air column of a length: tube, resonances and what the lips see.
    ///
    /// # Errors
    /// As [`Setup::tube`]; and for lip parameters out of range.
    pub fn column(&self, id: LengthId) -> Result<Column, AcousticError> {
        self.lips.check()?;
        let limit = self.limit(self.length(id)?);
        let (tube, medium) = (self.tube(id)?, self.medium()?);
        let resonances = resonances(&tube, &medium, limit)?;
        let rim = self.mouthpiece().rim_mm;
        let at_lips = AirColumn::new(
            &resonances.grid,
            &resonances.peaks,
            &medium,
            &self.lips,
            rim,
        );
        Ok(Column {
            tube,
            resonances,
            at_lips,
        })
    }

    /// Pressure and flow along the bore at one frequency.
    ///
    /// # Errors
    /// As [`Setup::impedance`].
    pub fn standing_wave(
        &self,
        id: LengthId,
        frequency: f64,
    ) -> Result<StandingWave, AcousticError> {
        Ok(standing_wave(&self.tube(id)?, &self.medium()?, frequency)?)
    }

    /// The slots of a length: threshold, playing frequency, width and bend of each resonance.
    ///
    /// # Errors
    /// As [`Setup::column`].
    pub fn slots(&self, id: LengthId) -> Result<Vec<Slot>, AcousticError> {
        Ok(slots(
            &self.column(id)?.at_lips,
            &self.lips,
            usize::from(self.instrument.highest_partial),
        ))
    }

    /// Every note with every length that reaches it, as the bore gives them; `just_root` is the
    /// pitch class (0 = C) over which the just intervals are counted.
    ///
    /// ```
    /// use horn::Setup;
    /// use tone::Tuning;
    ///
    /// let chart = Setup::generic("trumpet-bflat")?.chart(&Tuning::default(), 0)?;
    /// let ways = &chart.notes[&62];
    /// assert_eq!(ways[0].fingering.label, "1-2");
    /// println!("{}", ways[0].fingering.reason);
    /// # Ok::<(), horn::AcousticError>(())
    /// ```
    ///
    /// # Errors
    /// As [`Setup::column`].
    pub fn chart(&self, tuning: &Tuning, just_root: u8) -> Result<ResonantChart, AcousticError> {
        resonant::chart(self, tuning, just_root)
    }

    /// Highest frequency of interest on a length, Hz.
    fn limit(&self, length: &Length) -> f64 {
        let partials = f64::from(self.instrument.highest_partial) + PARTIALS_BEYOND;
        (partials * length.fundamental.0).clamp(50.0, MAX_FREQUENCY)
    }
}
