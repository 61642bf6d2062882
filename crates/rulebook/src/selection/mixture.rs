//! Several things in the air at once.

use super::case::{Case, Hazard, significant};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Do the levels over their limits, added up, stay within the factor?
/// # Why
/// Things that are each within their limits can harm together.
/// # Citation
/// 29 CFR 1910.1000(d)(2) (from memory, unconfirmed).
/// # Example that passes
/// Two solvents at 4 and 5 times their limits with a half mask, factor 10.
/// # Example that stops
/// Two solvents at 6 and 7 times their limits with a half mask.
/// # Remedy
/// Lower the levels or choose a higher class.
/// # Limits
/// All are added, whatever organ they harm: the cautious reading.
pub static MIXTURE: Rule = Rule {
    id: "factor.mixture",
    asks: "Do the levels over their limits, added up, stay within the factor?",
    why: "Things that are each within their limits can harm together.",
    citation: "29 CFR 1910.1000(d)(2) (from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "taken together, what is in the air is {sum} times its limits; this class protects by a factor of {factor} (adding up is from memory, unconfirmed)",
    remedy: "lower the levels or choose a higher class, or have a hygienist show that they do not act together",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let Some(factor) = case.factor.filter(|_| !case.for_escape()) else { return Vec::new() };
    let needed: Vec<f64> = case.hazards.iter().filter_map(Hazard::needed).collect();
    let sum: f64 = needed.iter().sum();
    if needed.len() < 2 || sum <= factor {
        return Vec::new();
    }
    let said = Finding::stop(&MIXTURE).with("sum", significant(sum));
    vec![said.with("factor", significant(factor))]
}
