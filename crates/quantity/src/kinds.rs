//! Every quantity, declared once: what it is, its units, its bounds.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Deserializer, Serialize, Serializer, de};

use crate::QuantityError;
use crate::written::{Kind, Unit, WrittenUnit};

/// Absolute zero is at this many degrees Celsius below zero.
const ZERO_CELSIUS_IN_KELVIN: f64 = 273.15;

macro_rules! quantities {
    ($(
        $(#[$doc:meta])*
        $name:ident: $what:literal in $base:literal, $lowest:literal to $highest:literal,
        $from:ident, $as:ident,
        [$($symbols:expr => $factor:expr, $offset:expr;)+]
    )+) => {$(
        $(#[$doc])*
        #[doc = concat!("\n\nKept in ", $base, "; refuses what is not within ", $lowest, " to ", $highest, " ", $base, ".")]
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            const KIND: Kind = Kind {
                what: $what,
                base: $base,
                lowest: $lowest,
                highest: $highest,
                units: &[$(Unit { symbols: &$symbols, factor: $factor, offset: $offset }),+],
            };

            #[doc = concat!("The quantity of `value` ", $base, "; refuses a value out of bounds or not a number.")]
            pub fn $from(value: f64) -> Result<Self, QuantityError> {
                Self::KIND.check(value).map(Self)
            }

            #[doc = concat!("The value in ", $base, ".")]
            #[must_use]
            pub const fn $as(self) -> f64 {
                self.0
            }

            /// The units in which this quantity may be written, for a message or a form.
            #[must_use]
            pub fn accepted_units() -> String {
                Self::KIND.accepted()
            }

            /// The unit in which `text` writes this quantity; none where it is not one of its units.
            #[must_use]
            pub fn unit_in(text: &str) -> Option<WrittenUnit> {
                Self::KIND.unit_in(text)
            }
        }

        impl FromStr for $name {
            type Err = QuantityError;

            fn from_str(text: &str) -> Result<Self, QuantityError> {
                Self::KIND.read(text).map(Self)
            }
        }

        /// As a person writes it: in the base unit, or in the unit in which it is a short number,
        /// such as `1 s` and not a sixtieth of a minute; a number that is long in all of them comes of
        /// arithmetic and is rounded to six digits. A precision rounds in the base unit: `{:.1}`.
        impl fmt::Display for $name {
            fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                match f.precision() {
                    Some(digits) => write!(f, "{:.digits$} {}", self.0, $base),
                    None => f.write_str(&Self::KIND.write(self.0)),
                }
            }
        }

        /// The shortest decimal that reads back to the same value, and the base unit.
        impl Serialize for $name {
            fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                serializer.collect_str(&format_args!("{} {}", self.0, $base))
            }
        }

        impl<'de> Deserialize<'de> for $name {
            fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                deserializer.deserialize_any(WrittenVisitor(&Self::KIND)).map(Self)
            }
        }
    )+

        #[cfg(test)]
        const KINDS: &[Kind] = &[$($name::KIND),+];
    };
}

quantities! {
    /// A volume fraction of a gas or vapour in air.
    Ppm: "volume fraction in air" in "ppm", 0.0 to 1000000.0, from_ppm, as_ppm, [
        ["ppm", "ppmv"] => 1.0, 0.0; ["ppb", "ppbv"] => 1e-3, 0.0; ["%", "vol%", "% v/v"] => 1e4, 0.0;
    ]
    /// A mass of substance per volume of air.
    MgPerM3: "mass concentration in air" in "mg/m3", 0.0 to 10000000.0, from_mg_per_m3, as_mg_per_m3, [
        ["mg/m3", "mg/m³"] => 1.0, 0.0; ["ug/m3", "µg/m3", "µg/m³"] => 1e-3, 0.0; ["g/m3", "g/m³"] => 1e3, 0.0;
        ["mg/L", "mg/l"] => 1e3, 0.0;
    ]
    /// A number of fibres per volume of air.
    FibresPerCm3: "fibre concentration in air" in "f/cm3", 0.0 to 1000000.0, from_f_per_cm3, as_f_per_cm3, [
        ["f/cm3", "f/cc", "fibre/cc", "fibres/cm3"] => 1.0, 0.0;
    ]
    /// A flow of air, at the stated temperature and pressure.
    LitrePerMin: "air flow" in "L/min", 0.1 to 1000.0, from_l_per_min, as_l_per_min, [
        ["L/min", "l/min", "lpm"] => 1.0, 0.0; ["m3/h", "m³/h"] => 1000.0 / 60.0, 0.0;
        ["cfm", "ft3/min"] => 28.316_846_592, 0.0; ["cm3/min", "mL/min"] => 1e-3, 0.0;
    ]
    /// A temperature.
    Celsius: "temperature" in "degC", -80.0 to 200.0, from_celsius, as_celsius, [
        ["degC", "°C", "C"] => 1.0, 0.0; ["degF", "°F", "F"] => 5.0 / 9.0, -160.0 / 9.0;
        ["K"] => 1.0, -ZERO_CELSIUS_IN_KELVIN;
    ]
    /// The humidity of air relative to saturation over water at its own temperature.
    RelHumidity: "relative humidity" in "%", 0.0 to 100.0, from_percent, as_percent, [
        ["%", "% RH", "%RH"] => 1.0, 0.0;
    ]
    /// A pressure, absolute.
    Kilopascal: "pressure" in "kPa", 0.0 to 100000.0, from_kpa, as_kpa, [
        ["kPa"] => 1.0, 0.0; ["Pa"] => 1e-3, 0.0; ["hPa", "mbar"] => 0.1, 0.0; ["bar"] => 100.0, 0.0;
        ["mmHg", "torr", "Torr"] => 0.133_322_387_415, 0.0; ["atm"] => 101.325, 0.0;
        ["inHg"] => 3.386_389, 0.0; ["psi"] => 6.894_757_293, 0.0;
    ]
    /// A pressure above that of the room, as a gauge shows it.
    KilopascalGauge: "gauge pressure" in "kPa", 0.0 to 100000.0, from_kpa, as_kpa, [
        ["kPa", "kPag", "kPa gauge"] => 1.0, 0.0; ["bar", "barg", "bar gauge"] => 100.0, 0.0;
        ["MPa"] => 1e3, 0.0; ["psi", "psig"] => 6.894_757_293, 0.0;
    ]
    /// A volume of a liquid, or of a vessel, or of air at a stated temperature and pressure.
    Litres: "volume" in "L", 0.0 to 1000000.0, from_l, as_l, [
        ["L", "l", "litre", "litres", "liter", "liters"] => 1.0, 0.0;
        ["mL", "ml", "cm3", "cm³", "cc"] => 1e-3, 0.0; ["m3", "m³"] => 1e3, 0.0;
        ["US gal"] => 3.785_411_784, 0.0; ["imp gal"] => 4.546_09, 0.0; ["ft3"] => 28.316_846_592, 0.0;
    ]
    /// A mass of substance per volume of water: the strength of a bath, ppm by mass in water.
    MgPerLitre: "strength of a bath" in "mg/L", 0.0 to 1000000.0, from_mg_per_l, as_mg_per_l, [
        ["mg/L", "mg/l", "ppm"] => 1.0, 0.0; ["g/L", "g/l"] => 1e3, 0.0;
    ]
    /// A dew point, or below the freezing point of water the frost point.
    DewPoint: "dew point" in "degC", -100.0 to 100.0, from_celsius, as_celsius, [
        ["degC", "°C", "C"] => 1.0, 0.0; ["degF", "°F", "F"] => 5.0 / 9.0, -160.0 / 9.0;
        ["K"] => 1.0, -ZERO_CELSIUS_IN_KELVIN;
    ]
    /// A mass.
    Grams: "mass" in "g", 0.0 to 1000000.0, from_g, as_g, [
        ["g"] => 1.0, 0.0; ["mg"] => 1e-3, 0.0; ["kg"] => 1e3, 0.0; ["oz"] => 28.349_523_125, 0.0;
    ]
    /// An area of a bed across the flow.
    SquareCm: "area" in "cm2", 0.01 to 10000.0, from_cm2, as_cm2, [
        ["cm2", "cm²"] => 1.0, 0.0; ["mm2", "mm²"] => 1e-2, 0.0; ["m2", "m²"] => 1e4, 0.0; ["in2"] => 6.4516, 0.0;
    ]
    /// A density: mass per volume.
    GramsPerCm3: "density" in "g/cm3", 0.001 to 25.0, from_g_per_cm3, as_g_per_cm3, [
        ["g/cm3", "g/cm³", "g/mL", "g/ml"] => 1.0, 0.0; ["kg/m3", "kg/m³", "g/L"] => 1e-3, 0.0;
    ]
    /// A length.
    Centimetres: "length" in "cm", 0.0001 to 100000.0, from_cm, as_cm, [
        ["cm"] => 1.0, 0.0; ["mm"] => 0.1, 0.0; ["um", "µm"] => 1e-4, 0.0; ["m"] => 100.0, 0.0; ["in"] => 2.54, 0.0; ["ft"] => 30.48, 0.0;
    ]
    /// A pore volume per mass of sorbent.
    Cm3PerGram: "pore volume" in "cm3/g", 0.01 to 3.0, from_cm3_per_g, as_cm3_per_g, [
        ["cm3/g", "cm³/g", "mL/g", "ml/g"] => 1.0, 0.0;
    ]
    /// A mass held per mass of sorbent.
    GramsPerGram: "loading" in "g/g", 0.0 to 10.0, from_g_per_g, as_g_per_g, [
        ["g/g", "kg/kg"] => 1.0, 0.0; ["mg/g", "g/kg"] => 1e-3, 0.0;
    ]
    /// A rate coefficient of an uptake of second order: air cleared per mass still free and time.
    LitrePerGramMin: "rate of uptake" in "L/(g min)", 0.001 to 1000000000.0, from_l_per_g_min, as_l_per_g_min, [
        ["L/(g min)", "l/(g min)", "L/g/min", "l/g/min"] => 1.0, 0.0;
    ]
    /// An energy per amount of substance.
    KilojoulesPerMol: "energy per mole" in "kJ/mol", 0.1 to 500.0, from_kj_per_mol, as_kj_per_mol, [
        ["kJ/mol"] => 1.0, 0.0; ["J/mol"] => 1e-3, 0.0; ["kcal/mol"] => 4.184, 0.0; ["cal/mol"] => 4.184e-3, 0.0;
    ]
    /// A length of time.
    Minutes: "time" in "min", 0.0 to 10000000.0, from_min, as_min, [
        ["min", "minutes", "minute"] => 1.0, 0.0; ["h", "hours", "hour"] => 60.0, 0.0;
        ["s", "seconds", "second"] => 1.0 / 60.0, 0.0; ["d", "days", "day"] => 1440.0, 0.0;
    ]
    /// A part of a whole.
    Percent: "percentage" in "%", 0.0 to 100.0, from_percent, as_percent, [
        ["%"] => 1.0, 0.0;
    ]
    /// The volume fraction of oxygen in air.
    OxygenPercent: "oxygen" in "%", 0.0 to 100.0, from_percent, as_percent, [
        ["%", "vol%", "% O2"] => 1.0, 0.0;
    ]
}

impl Celsius {
    /// The thermodynamic temperature in kelvin.
    #[must_use]
    pub fn as_kelvin(self) -> f64 {
        self.0 + ZERO_CELSIUS_IN_KELVIN
    }
}

impl DewPoint {
    /// The thermodynamic temperature in kelvin.
    #[must_use]
    pub fn as_kelvin(self) -> f64 {
        self.0 + ZERO_CELSIUS_IN_KELVIN
    }
}

impl KilopascalGauge {
    /// The absolute pressure in kPa where the room is at `room`.
    #[must_use]
    pub fn as_absolute_kpa(self, room: Kilopascal) -> f64 {
        self.0 + room.0
    }
}

impl Litres {
    /// The same volume in millilitres.
    #[must_use]
    pub fn as_ml(self) -> f64 {
        self.0 * 1e3
    }
}

impl Percent {
    /// The same part as a fraction, 0 to 1.
    #[must_use]
    pub fn as_fraction(self) -> f64 {
        self.0 / 100.0
    }
}

/// No time at all.
impl Default for Minutes {
    fn default() -> Self {
        Self(0.0)
    }
}

impl RelHumidity {
    /// The same humidity as a fraction, 0 to 1.
    #[must_use]
    pub fn as_fraction(self) -> f64 {
        self.0 / 100.0
    }
}

/// Reads a quantity from text, and tells one who wrote a bare number what is missing.
struct WrittenVisitor(&'static Kind);

impl WrittenVisitor {
    fn bare<E: de::Error>(&self, number: impl fmt::Display) -> E {
        E::custom(QuantityError::MissingUnit {
            what: self.0.what,
            input: number.to_string(),
            accepted: self.0.accepted(),
        })
    }
}

impl de::Visitor<'_> for WrittenVisitor {
    type Value = f64;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "a {} written with its unit ({})", self.0.what, self.0.accepted())
    }

    fn visit_str<E: de::Error>(self, text: &str) -> Result<f64, E> {
        self.0.read(text).map_err(E::custom)
    }

    fn visit_i64<E: de::Error>(self, number: i64) -> Result<f64, E> {
        Err(self.bare(number))
    }

    fn visit_u64<E: de::Error>(self, number: u64) -> Result<f64, E> {
        Err(self.bare(number))
    }

    fn visit_f64<E: de::Error>(self, number: f64) -> Result<f64, E> {
        Err(self.bare(number))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_unit_of_each_quantity_is_read_and_a_bare_number_is_refused() {
        for kind in KINDS {
            let middle = (kind.lowest + kind.highest.min(kind.lowest + 50.0)) / 2.0;
            for unit in kind.units {
                for symbol in unit.symbols {
                    let written = (middle - unit.offset) / unit.factor;
                    let read = kind.read(&format!("{written} {symbol}")).unwrap();
                    assert!((read - middle).abs() <= 1e-9 * middle.abs().max(1.0), "{symbol}");
                }
            }
            let bare = kind.read(&middle.to_string());
            assert!(matches!(bare, Err(QuantityError::MissingUnit { .. })), "{}", kind.what);
            let beyond = kind.check(kind.highest * 1.01);
            assert!(matches!(beyond, Err(QuantityError::OutOfBounds { .. })), "{}", kind.what);
            assert!(kind.check(f64::NAN).is_err() && kind.check(f64::INFINITY).is_err());
        }
    }

    // Fixed points of the scales: water freezes at 32 degF and boils at 212 degF (definition).
    #[test]
    fn fahrenheit_meets_celsius_at_the_fixed_points() {
        for (written, celsius) in
            [("32 degF", 0.0), ("212 degF", 100.0), ("-40 degF", -40.0), ("273.15 K", 0.0)]
        {
            let read: Celsius = written.parse().unwrap();
            assert!((read.as_celsius() - celsius).abs() < 1e-9, "{written} read as {read}");
        }
    }

    #[test]
    fn what_is_kept_reads_back_to_the_same_value() {
        for value in [0.1, 53.3, 1.0 / 3.0, 999.999] {
            let flow = LitrePerMin::from_l_per_min(value).unwrap();
            let kept = serde_json::to_string(&flow).unwrap();
            assert_eq!(serde_json::from_str::<LitrePerMin>(&kept).unwrap(), flow);
        }
    }

    #[test]
    fn what_was_written_is_shown_as_it_was_written_and_what_was_computed_without_a_tail() {
        for (written, shown) in [
            ("1 s", "1 s"),
            ("45 min", "45 min"),
            ("20 s", "20 s"),
            ("1.5 h", "90 min"),
            ("0.123456789 min", "0.123456789 min"),
        ] {
            assert_eq!(written.parse::<Minutes>().unwrap().to_string(), shown);
        }
        assert_eq!("72 degF".parse::<Celsius>().unwrap().to_string(), "72 degF");
        assert_eq!("4500 psi".parse::<Kilopascal>().unwrap().to_string(), "4500 psi");
        assert_eq!("300 bar".parse::<Kilopascal>().unwrap().to_string(), "30000 kPa");
        let computed = |minutes: f64| Minutes::from_min(minutes).unwrap().to_string();
        assert_eq!(computed(100.0 / 7.0), "14.2857 min");
        assert_eq!(computed(1000.0 / 7.0 * 100.0), "14285.7 min");
        assert_eq!(format!("{:.1}", Minutes::from_min(12.345).unwrap()), "12.3 min");
    }

    #[test]
    fn a_refusal_names_the_thing_and_the_units_that_would_do() {
        let said = "72".parse::<Celsius>().unwrap_err().to_string();
        assert_eq!(said, "temperature `72` has no unit\n  write it with one of: degC, degF, K");
        let said = "5 furlong".parse::<Minutes>().unwrap_err().to_string();
        assert!(said.contains("`furlong`") && said.contains("min, h, s, d"), "{said}");
        let said = "-4 L/min".parse::<LitrePerMin>().unwrap_err().to_string();
        assert!(said.contains("outside 0.1 to 1000 L/min"), "{said}");
        assert!("".parse::<Grams>().is_err() && "1.2.3 g".parse::<Grams>().is_err());
    }

    #[test]
    fn exponents_and_missing_spaces_are_read() {
        assert_eq!("1e3ppm".parse::<Ppm>().unwrap().as_ppm(), 1000.0);
        assert_eq!("2.5e-1 g".parse::<Grams>().unwrap().as_g(), 0.25);
    }
}
