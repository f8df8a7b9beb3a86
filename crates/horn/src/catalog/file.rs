//! The shape of an instrument file, format 1. Field by field in `instruments/README.md`.

use std::collections::BTreeMap;

use serde::Deserialize;
use toml::Spanned;
use tone::{Clef, Pitch};

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct File {
    pub(super) format: Spanned<u32>,
    pub(super) id: Spanned<String>,
    pub(super) name: Spanned<String>,
    pub(super) fundamental: Spanned<Pitch>,
    pub(super) home_partial: Spanned<u8>,
    pub(super) highest_partial: Spanned<u8>,
    #[serde(default)]
    pub(super) avoid_partials: Vec<u8>,
    #[serde(default)]
    pub(super) order: Vec<Spanned<String>>,
    #[serde(default)]
    pub(super) means: BTreeMap<Spanned<String>, Spanned<i8>>,
    #[serde(default)]
    pub(super) source: String,
    pub(super) compensated_by: Option<Spanned<usize>>,
    #[serde(default, rename = "valve")]
    pub(super) valves: Vec<Spanned<Valve>>,
    pub(super) thumb: Option<Spanned<Thumb>>,
    pub(super) slide: Option<Spanned<Slide>>,
    #[serde(default, rename = "rotor")]
    pub(super) rotors: Vec<Spanned<Valve>>,
    #[serde(rename = "reading")]
    pub(super) readings: Spanned<Vec<Spanned<Reading>>>,
    #[serde(rename = "stage")]
    pub(super) stages: Spanned<Vec<Spanned<Stage>>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Valve {
    pub(super) label: Option<String>,
    pub(super) semitones: u8,
    pub(super) adds: Option<f64>,
    pub(super) loop_adds: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Thumb {
    pub(super) label: String,
    pub(super) semitones: i8,
    pub(super) ratio: Option<f64>,
    pub(super) first_from: Pitch,
    #[serde(default)]
    pub(super) avoid_partials: Vec<u8>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Slide {
    pub(super) positions: u8,
    pub(super) reach: f64,
    #[serde(default)]
    pub(super) rotor_cost: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Reading {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) clef: Clef,
    pub(super) c4_sounds: Pitch,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Stage {
    pub(super) id: String,
    pub(super) floor: Pitch,
    pub(super) roof: Pitch,
}
