//! Breathing air: how long a cylinder lasts, whether a test of the air is good enough, and the limits
//! of airline hoses.

mod airline;
mod charge;
mod cylinder;
mod figures;
mod moisture;
mod real_gas;
mod report;
mod requalification;
mod rules;

use std::fmt;

use quantity::{Celsius, Kilopascal, KilopascalGauge, Litres, Percent, QuantityError};

pub use airline::{Airline, Hose, HoseAnswer, HoseLimits, check_hose, hose_limits};
pub use charge::Charge;
pub use cylinder::{
    Cylinder, Duration, RATED_KPA, WATER_VOLUME_L, Wear, duration, rated_service_time,
};
pub use figures::{GradeD, grade_d};
pub use moisture::{dew_point_of, water_mg_per_m3, water_ppm, water_vapour_pa};
pub use real_gas::{EQUATION, air_compressibility, air_density_mol_per_l};
pub use report::{FigureAnswer, Moisture, Report, ReportAnswer, Supply, judge_report};
pub use requalification::{
    CylinderRule, PrintedTerms, cylinder_rules, listable, longest_period, printed_terms,
};
pub use rules::rules;

/// A figure of a question about the air of a cylinder.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum AirFigure {
    /// Air breathed in a minute.
    MinuteVolume,
    /// Water volume of the cylinders.
    WaterVolume,
    /// Pressure of the place.
    Ambient,
    /// Rated pressure.
    Rating,
}

impl fmt::Display for AirFigure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::MinuteVolume => "a minute volume",
            Self::WaterVolume => "a water volume",
            Self::Ambient => "a pressure of the place",
            Self::Rating => "a rating",
        })
    }
}

/// Why a question about breathing air has no answer.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AirError {
    /// A cylinder of no volume.
    #[error("a cylinder of {0} holds nothing\n  give its water volume, as stamped on it")]
    NoVolume(Litres),
    /// A cylinder with nothing in it.
    #[error("a gauge at {0} shows an empty cylinder\n  give the pressure that it shows")]
    Empty(KilopascalGauge),
    /// More than the cylinder is rated for.
    #[error(
        "the pressure of {charge} is above the rating of {rated}\n  check both figures; a warm cylinder shows more: let it come to the temperature of the place and read it again; one that is over its rating then is let down by a trained person and not used"
    )]
    AboveRating {
        /// What the gauge shows.
        charge: String,
        /// What the cylinder is rated for.
        rated: String,
    },
    /// An alarm that sounds at once.
    #[error(
        "an alarm at {0} of the air sounds with the cylinder full\n  give the part of the air that is left when it sounds"
    )]
    AlarmAtOnce(Percent),
    /// Outside the range of the equation of state as it is used here.
    #[error(
        "air at {temperature} and {pressure} is outside the range of the equation\n  it is used from -40 to 70 degC and up to 40000 kPa"
    )]
    OutOfRange {
        /// Temperature.
        temperature: Celsius,
        /// Absolute pressure.
        pressure: Kilopascal,
    },
    /// A figure that no wearer, no carried supply and no place of work has.
    #[error(
        "{figure} of {given} is outside {lowest} to {highest} {unit}\n  look at the figure and its unit"
    )]
    Beyond {
        /// Which figure.
        figure: AirFigure,
        /// As it was given.
        given: String,
        /// The lowest that is taken.
        lowest: f64,
        /// The highest that is taken.
        highest: f64,
        /// Their unit.
        unit: &'static str,
    },
    /// No outside pressure.
    #[error("nobody breathes at {0}\n  give the pressure of the place")]
    NoAmbient(Kilopascal),
    /// More water than air can hold.
    #[error(
        "water of {0} % of the air is no dew point below 100 degC\n  check the figure and its unit"
    )]
    TooMuchWater(f64),
    /// A hose of no length.
    #[error("a hose of no length is no hose")]
    NoHose,
    /// A computed quantity left its bounds.
    #[error(transparent)]
    Quantity(#[from] QuantityError),
}
