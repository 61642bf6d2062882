use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::written::split_number;
use crate::{Celsius, FibresPerCm3, Kilopascal, MgPerM3, Ppm, QuantityError};

/// The molar gas constant, J/(mol K); exact since the 2019 revision of the SI.
pub const GAS_CONSTANT_J_PER_MOL_K: f64 = 8.314_462_618_153_24;

/// How much of a substance is in the air, as it was measured or written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Concentration {
    /// A volume fraction.
    Ppm(Ppm),
    /// A mass per volume of air.
    Mass(MgPerM3),
    /// A number of fibres per volume of air.
    Fibres(FibresPerCm3),
}

impl Concentration {
    /// The volume fraction, converted at `temperature` and `pressure` with the molar mass in g/mol.
    /// `None` for a count of fibres, which no molar mass converts.
    pub fn to_ppm(
        self,
        molar_mass_g_per_mol: f64,
        temperature: Celsius,
        pressure: Kilopascal,
    ) -> Option<Result<Ppm, QuantityError>> {
        match self {
            Self::Ppm(ppm) => Some(Ok(ppm)),
            Self::Mass(mass) => {
                Some(ppm_from_mg_per_m3(mass, molar_mass_g_per_mol, temperature, pressure))
            }
            Self::Fibres(_) => None,
        }
    }

    /// The mass per volume, converted at `temperature` and `pressure` with the molar mass in g/mol.
    /// `None` for a count of fibres.
    pub fn to_mg_per_m3(
        self,
        molar_mass_g_per_mol: f64,
        temperature: Celsius,
        pressure: Kilopascal,
    ) -> Option<Result<MgPerM3, QuantityError>> {
        match self {
            Self::Ppm(ppm) => {
                let litres = molar_volume_litres(temperature, pressure);
                Some(MgPerM3::from_mg_per_m3(ppm.as_ppm() * molar_mass_g_per_mol / litres))
            }
            Self::Mass(mass) => Some(Ok(mass)),
            Self::Fibres(_) => None,
        }
    }

    /// The number as written, without its unit: only for asking whether it is zero or comparing
    /// two concentrations already known to be of the same kind.
    #[must_use]
    pub fn number(self) -> f64 {
        match self {
            Self::Ppm(ppm) => ppm.as_ppm(),
            Self::Mass(mass) => mass.as_mg_per_m3(),
            Self::Fibres(fibres) => fibres.as_f_per_cm3(),
        }
    }

    /// The units in which a concentration may be written, for a message or a form.
    #[must_use]
    pub fn accepted_units() -> String {
        let mg_per_m3 = MgPerM3::accepted_units();
        format!("{}, {mg_per_m3}, {}", Ppm::accepted_units(), FibresPerCm3::accepted_units())
    }
}

/// The volume of one mole of ideal gas in litres at `temperature` and `pressure`.
///
/// 24.45 L at 25 degC and 101.325 kPa (29 CFR 1910.1000 Table Z-1 note a states that basis).
#[must_use]
pub fn molar_volume_litres(temperature: Celsius, pressure: Kilopascal) -> f64 {
    GAS_CONSTANT_J_PER_MOL_K * temperature.as_kelvin() / pressure.as_kpa()
}

/// The volume fraction of `mass` per cubic metre of a vapour of the given molar mass in g/mol.
/// Refuses what would be more than the whole of the air.
pub fn ppm_from_mg_per_m3(
    mass: MgPerM3,
    molar_mass_g_per_mol: f64,
    temperature: Celsius,
    pressure: Kilopascal,
) -> Result<Ppm, QuantityError> {
    let litres = molar_volume_litres(temperature, pressure);
    Ppm::from_ppm(mass.as_mg_per_m3() * litres / molar_mass_g_per_mol)
}

impl FromStr for Concentration {
    type Err = QuantityError;

    fn from_str(text: &str) -> Result<Self, QuantityError> {
        let unknown = |error: &QuantityError| matches!(error, QuantityError::UnknownUnit { .. });
        let mut answer = text.parse().map(Self::Ppm);
        if answer.as_ref().is_err_and(unknown) {
            answer = text.parse().map(Self::Mass);
        }
        if answer.as_ref().is_err_and(unknown) {
            answer = text.parse().map(Self::Fibres);
        }
        answer.map_err(|error| widen(error, text))
    }
}

/// The refusal of the last kind tried, told for a concentration of any kind.
fn widen(error: QuantityError, text: &str) -> QuantityError {
    let what = "concentration in air";
    let accepted = Concentration::accepted_units();
    let input = text.trim().to_owned();
    match error {
        QuantityError::MissingUnit { .. } => QuantityError::MissingUnit { what, input, accepted },
        QuantityError::NotANumber { .. } => QuantityError::NotANumber { what, input, accepted },
        QuantityError::UnknownUnit { .. } => {
            let unit = split_number(text.trim()).1.to_owned();
            QuantityError::UnknownUnit { what, input, unit, accepted }
        }
        bounds @ QuantityError::OutOfBounds { .. } => bounds,
    }
}

impl fmt::Display for Concentration {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Ppm(ppm) => ppm.fmt(f),
            Self::Mass(mass) => mass.fmt(f),
            Self::Fibres(fibres) => fibres.fmt(f),
        }
    }
}

impl Serialize for Concentration {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Ppm(ppm) => ppm.serialize(serializer),
            Self::Mass(mass) => mass.serialize(serializer),
            Self::Fibres(fibres) => fibres.serialize(serializer),
        }
    }
}

impl<'de> Deserialize<'de> for Concentration {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        /// A number alone reaches the same refusal as text without a unit.
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Written {
            Text(String),
            Number(f64),
        }
        let text = match Written::deserialize(deserializer)? {
            Written::Text(text) => text,
            Written::Number(number) => number.to_string(),
        };
        text.parse().map_err(de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(celsius: f64, kpa: f64) -> (Celsius, Kilopascal) {
        (Celsius::from_celsius(celsius).unwrap(), Kilopascal::from_kpa(kpa).unwrap())
    }

    // Source: data/checks/ppm_mg_m3.csv, computed two ways with general property libraries.
    #[test]
    fn ppm_and_mg_per_m3_convert_as_in_the_reference_table() {
        let table = include_str!("../../../data/checks/ppm_mg_m3.csv");
        let mut rows = 0;
        for line in table.lines().skip(1) {
            let cells: Vec<&str> = line.split(',').collect();
            let number = |i: usize| cells[i].parse::<f64>().unwrap();
            let (molar_mass, expected) = (number(3), number(7));
            let (temperature, pressure) = at(number(5), number(6));
            let written: Concentration = format!("{} ppm", cells[4]).parse().unwrap();
            let mass = written.to_mg_per_m3(molar_mass, temperature, pressure).unwrap().unwrap();
            let off = mass.as_mg_per_m3() / expected - 1.0;
            assert!(off.abs() < 5e-5, "{line}: {mass}");
            let back = Concentration::Mass(mass).to_ppm(molar_mass, temperature, pressure);
            assert!((back.unwrap().unwrap().as_ppm() / number(4) - 1.0).abs() < 1e-12);
            rows += 1;
        }
        assert_eq!(rows, 24);
    }

    #[test]
    fn the_unit_decides_the_kind() {
        assert!(matches!("1000 ppm".parse().unwrap(), Concentration::Ppm(_)));
        assert!(matches!("380 mg/m3".parse().unwrap(), Concentration::Mass(_)));
        assert!(matches!("0.1 f/cc".parse().unwrap(), Concentration::Fibres(_)));
        let said = "380".parse::<Concentration>().unwrap_err().to_string();
        assert!(
            said.contains("has no unit") && said.contains("ppm") && said.contains("mg/m3"),
            "{said}"
        );
        assert!("-3 ppm".parse::<Concentration>().is_err());
    }

    #[test]
    fn a_mass_beyond_pure_vapour_is_refused() {
        let (temperature, pressure) = at(25.0, 101.325);
        let mass: Concentration = "9000000 mg/m3".parse().unwrap();
        assert!(mass.to_ppm(18.0, temperature, pressure).unwrap().is_err());
    }
}
