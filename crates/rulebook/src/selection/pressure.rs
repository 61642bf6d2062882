//! Air pressure outside of what is judged here.

use super::case::{Case, significant};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the air pressure that of a workplace between sea level and 14,000 ft?
/// # Why
/// Higher up breathing air must be enriched with oxygen, and a pressure typed wrong makes every
/// conversion of a level wrong.
/// # Citation
/// 29 CFR 1910.134(d)(2)(iii) Table II.
/// # Example that passes
/// 101.325 kPa.
/// # Example that stops
/// 0 kPa, or the 55 kPa of a high mountain.
/// # Remedy
/// Check the pressure; ask a hygienist for work in thin or compressed air.
/// # Limits
/// Work in compressed air is not judged here.
pub static PRESSURE: Rule = Rule {
    id: "place.pressure",
    asks: "Is the air pressure that of a workplace between sea level and 14,000 ft?",
    why: "Higher up breathing air must be enriched with oxygen, and a pressure typed wrong makes every conversion wrong.",
    citation: "29 CFR 1910.134(d)(2)(iii) Table II",
    authority: Authority::Read,
    says: "an air pressure of {pressure} kPa is outside of what can be judged here ({least} to {most} kPa)",
    remedy: "check the pressure; ask a hygienist for work in thin or compressed air",
};

/// About that of the standard atmosphere at 14,000 ft, rounded up.
const LEAST_KPA: f64 = 60.0;
/// Above any weather at sea level.
const MOST_KPA: f64 = 110.0;

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let pressure = case.place.pressure.as_kpa();
    if (LEAST_KPA..=MOST_KPA).contains(&pressure) {
        return Vec::new();
    }
    let finding = Finding::stop(&PRESSURE)
        .with("pressure", significant(pressure))
        .with("least", significant(LEAST_KPA))
        .with("most", significant(MOST_KPA));
    vec![finding]
}
