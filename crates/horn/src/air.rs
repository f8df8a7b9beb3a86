//! Air inside the instrument: speed of sound, density, viscosity and the thermal terms.
//!
//! Dry values are the set of Caussé, Kergomard & Lurton, "Input impedance of brass musical
//! instruments", J. Acoust. Soc. Am. 75 (1984) 241, also given by Chaigne & Kergomard, *Acoustics
//! of Musical Instruments*, ch. 5 (coefficients from memory; checked against Keefe 1984 in the
//! tests). Moisture and carbon dioxide enter as an ideal-gas mixture; their small effect on
//! viscosity and conductivity (under 1 % at body temperature) is neglected.

use serde::{Deserialize, Serialize};

/// Standard atmosphere, Pa (ISO 2533:1975).
pub const STANDARD_PRESSURE: f64 = 101_325.0;
/// 0 °C in kelvin.
pub const ZERO_CELSIUS: f64 = 273.15;

/// Molar masses, kg/mol (IUPAC 2021 standard weights; dry air as in CIPM-2007).
const MOLAR_DRY: f64 = 0.028_965_5;
const MOLAR_WATER: f64 = 0.018_015_3;
/// Molar mass gained when carbon dioxide takes the place of oxygen, as it does in the lungs and in
/// the CIPM-2007 formula: that of carbon.
const MOLAR_CARBON: f64 = 0.012_011;
/// Ratio of specific heats of dry air (Caussé et al. 1984).
const GAMMA_DRY: f64 = 1.402;
/// Molar heat at constant pressure over the gas constant, near 300 K: water vapour; what carbon
/// dioxide has more than oxygen (NIST-JANAF tables, from memory to three figures).
const HEAT_WATER: f64 = 4.04;
const HEAT_CO2_OVER_OXYGEN: f64 = 4.47 - 3.53;

/// State of the air in the tube.
///
/// The default is the mean of a tube that has been blown for a while: 27 °C, 80 % humidity, 2.5 %
/// carbon dioxide (common practice, no source; a player's air is neither of one temperature nor
/// of one mixture). [`Air::dry`] serves comparison with published figures.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Air {
    /// Temperature, °C, -20 to 60.
    pub temperature: f64,
    /// Relative humidity, 0 to 1.
    pub humidity: f64,
    /// Mole fraction of carbon dioxide beyond that of dry air, in the place of oxygen, 0 to 0.1.
    pub co2: f64,
    /// Static pressure, Pa, 50 000 to 120 000.
    pub pressure: f64,
}

impl Default for Air {
    fn default() -> Self {
        Self {
            temperature: 27.0,
            humidity: 0.8,
            co2: 0.025,
            pressure: STANDARD_PRESSURE,
        }
    }
}

/// Why an [`Air`] is refused.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
#[error("air: {field} = {value} is outside {low} to {high} {unit}; give a value inside")]
pub struct AirError {
    field: &'static str,
    value: f64,
    low: f64,
    high: f64,
    unit: &'static str,
}

/// What the propagation equations need of the air.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Medium {
    /// Speed of sound, m/s.
    pub c: f64,
    /// Density, kg/m3.
    pub rho: f64,
    /// Shear viscosity, Pa s.
    pub mu: f64,
    /// Ratio of specific heats.
    pub gamma: f64,
    /// Prandtl number.
    pub prandtl: f64,
}

impl Air {
    /// Dry air without extra carbon dioxide at standard pressure.
    #[must_use]
    pub const fn dry(temperature: f64) -> Self {
        Self {
            temperature,
            humidity: 0.0,
            co2: 0.0,
            pressure: STANDARD_PRESSURE,
        }
    }

    /// The constants of the propagation equations.
    ///
    /// # Errors
    /// When a value is not a number or outside its stated range.
    pub fn medium(&self) -> Result<Medium, AirError> {
        let within = |field, value: f64, low, high, unit| {
            if value >= low && value <= high {
                Ok(value)
            } else {
                Err(AirError {
                    field,
                    value,
                    low,
                    high,
                    unit,
                })
            }
        };
        let t = within("temperature", self.temperature, -20.0, 60.0, "°C")?;
        let humidity = within("humidity", self.humidity, 0.0, 1.0, "(a fraction)")?;
        let co2 = within("co2", self.co2, 0.0, 0.1, "(a mole fraction)")?;
        let pressure = within("pressure", self.pressure, 50_000.0, 120_000.0, "Pa")?;

        let kelvin = t + ZERO_CELSIUS;
        let water = humidity * saturation_pressure(kelvin) / pressure;
        let molar = (1.0 - water) * MOLAR_DRY + water * MOLAR_WATER + co2 * MOLAR_CARBON;
        let heat_dry = GAMMA_DRY / (GAMMA_DRY - 1.0);
        let heat = (1.0 - water) * heat_dry + water * HEAT_WATER + co2 * HEAT_CO2_OVER_OXYGEN;
        let gamma = heat / (heat - 1.0);

        let c_dry = 331.45 * (kelvin / ZERO_CELSIUS).sqrt();
        let mu = 1.708e-5 * (1.0 + 0.0029 * t);
        // Heat conduction and capacity in calories, as published; only their ratio is used.
        let conduction = 5.77e-3 * (1.0 + 0.0033 * t);
        Ok(Medium {
            c: c_dry * (gamma / GAMMA_DRY * MOLAR_DRY / molar).sqrt(),
            rho: 1.2929 * ZERO_CELSIUS / kelvin * pressure / STANDARD_PRESSURE * molar / MOLAR_DRY,
            mu,
            gamma,
            prandtl: mu * 240.0 / conduction,
        })
    }
}

/// Saturation pressure of water vapour, Pa (Picard et al., "CIPM-2007", Metrologia 45 (2008) 149,
/// eq. A1.1).
fn saturation_pressure(kelvin: f64) -> f64 {
    (1.237_884_7e-5 * kelvin * kelvin - 1.912_131_6e-2 * kelvin + 33.937_110_47
        - 6.343_164_5e3 / kelvin)
        .exp()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Keefe, J. Acoust. Soc. Am. 75 (1984) 58, with d = t - 26.85 °C.
    fn keefe(t: f64) -> (f64, f64, f64) {
        let d = t - 26.85;
        (
            347.23 * (1.0 + 0.00166 * d),
            1.1769 * (1.0 - 0.00335 * d),
            1.846e-5 * (1.0 + 0.0025 * d),
        )
    }

    /// Cramer, J. Acoust. Soc. Am. 93 (1993) 2510, eq. 15 and table III.
    fn cramer(t: f64, xw: f64, p: f64, xc: f64) -> f64 {
        331.5024 + 0.603_055 * t - 0.000_528 * t * t
            + (51.471_935 + 0.149_587_4 * t - 0.000_782 * t * t) * xw
            + (-1.82e-7 + 3.73e-8 * t - 2.93e-10 * t * t) * p
            + (-85.209_31 - 0.228_525 * t + 5.91e-5 * t * t) * xc
            - 2.835_149 * xw * xw
            - 2.15e-13 * p * p
            + 29.179_762 * xc * xc
            + 0.000_486 * xw * p * xc
    }

    #[test]
    fn dry_air_agrees_with_keefe() {
        for t in [20.0, 26.85, 35.0] {
            let air = Air::dry(t).medium().unwrap();
            let (c, rho, mu) = keefe(t);
            assert!((air.c / c - 1.0).abs() < 5e-4, "c at {t}: {} {c}", air.c);
            assert!((air.rho / rho - 1.0).abs() < 2e-3);
            assert!((air.mu / mu - 1.0).abs() < 6e-3);
            // The two sets differ by 0.4 % here.
            assert!((air.prandtl.sqrt() / 0.841 - 1.0).abs() < 5e-3);
        }
    }

    #[test]
    fn moisture_and_carbon_dioxide_agree_with_cramer() {
        for (t, humidity, co2) in [
            (20.0, 0.0, 0.0),
            (20.0, 1.0, 0.0),
            (30.0, 1.0, 0.0),
            (30.0, 0.5, 0.01),
        ] {
            let air = Air {
                temperature: t,
                humidity,
                co2,
                ..Air::default()
            };
            let xw = humidity * saturation_pressure(t + ZERO_CELSIUS) / STANDARD_PRESSURE;
            let published = cramer(t, xw, STANDARD_PRESSURE, co2 + 0.0004);
            let ours = air.medium().unwrap().c;
            // 4e-4 is 0.7 cent; Cramer states 3e-4 for his own fit.
            assert!(
                (ours / published - 1.0).abs() < 4e-4,
                "{t} {humidity} {co2}: {ours} {published}"
            );
        }
    }

    #[test]
    fn air_outside_its_range_is_named() {
        let hot = Air {
            temperature: 400.0,
            ..Air::default()
        };
        assert_eq!(
            hot.medium().unwrap_err().to_string(),
            "air: temperature = 400 is outside -20 to 60 °C; give a value inside"
        );
        assert!(
            Air {
                humidity: f64::NAN,
                ..Air::default()
            }
            .medium()
            .is_err()
        );
    }
}
