//! How long a self-contained supply lasts.

use super::case::Case;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is a self-contained unit certified for long enough for immediately dangerous air?
/// # Why
/// A short supply runs out before the wearer is out.
/// # Citation
/// 29 CFR 1910.134(d)(2)(i)(A).
/// # Example that passes
/// A unit rated for 30 minutes.
/// # Example that stops
/// A unit of 10 minutes, or one whose rating was not entered.
/// # Remedy
/// Use a longer unit.
/// # Limits
/// The rating is at a moderate work rate; hard work empties it sooner.
pub static RATED_TIME: Rule = Rule {
    id: "danger.rated-time",
    asks: "Is a self-contained unit certified for long enough for immediately dangerous air?",
    why: "A short supply runs out before the wearer is out.",
    citation: "29 CFR 1910.134(d)(2)(i)(A)",
    authority: Authority::Read,
    says: "a self-contained unit for immediately dangerous air must be certified for {least} minutes; this one: {rated}",
    remedy: "use a unit certified for {least} minutes or more, and enter its rating",
};

/// Source: 29 CFR 1910.134(d)(2)(i)(A).
const LEAST_MINUTES: u32 = 30;

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let rated = case.device.rated_minutes;
    let enough = rated.is_some_and(|minutes| LEAST_MINUTES <= minutes);
    let asked = case.is_dangerous() && case.device.air_source.is_self_contained();
    if enough || !asked || case.for_escape() {
        return Vec::new();
    }
    let rated = rated.map_or_else(|| String::from("not entered"), |m| format!("{m} minutes"));
    vec![Finding::stop(&RATED_TIME).with("least", LEAST_MINUTES).with("rated", rated)]
}
