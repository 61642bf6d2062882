//! Gas and particles in the same air.

use super::case::{Case, Hazard};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Where there are gas and particles, is there an element for each?
/// # Why
/// A filter holds no gas and a sorbent no particles.
/// # Citation
/// 29 CFR 1910.134(d)(3)(ii).
/// # Example that passes
/// Paint spray with organic vapour cartridges and P95 filters.
/// # Example that stops
/// Paint spray with P100 filters alone.
/// # Remedy
/// Fit both.
/// # Limits
/// Whether each is the right one is asked by other rules.
pub static GAS_AND_PARTICLE: Rule = Rule {
    id: "element.gas-and-particle",
    asks: "Where there are gas and particles, is there an element for each?",
    why: "A filter holds no gas and a sorbent no particles.",
    citation: "29 CFR 1910.134(d)(3)(ii)",
    authority: Authority::Read,
    says: "there are gas or vapour and particles in the air; only {fitted} is fitted",
    remedy: "fit elements for gas together with a particulate filter",
};

/// # What it asks
/// Is what was entered as particles alone also there as vapour?
/// # Why
/// A mist of a liquid gives off its vapour, which a filter does not hold.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Example that passes
/// Solvent spray entered as vapour and particles.
/// # Example that stops
/// None of itself: what follows for the elements is told by other rules.
/// # Remedy
/// Correct the entry.
/// # Limits
/// Known from the class of the substance.
pub static FORM_DOUBTFUL: Rule = Rule {
    id: "element.form-doubtful",
    asks: "Is what was entered as particles alone also there as vapour?",
    why: "A mist of a liquid gives off its vapour, which a filter does not hold.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "{substance} was entered as particles, but is a gas or vapour by nature: it counts as both",
    remedy: "enter {substance} as vapour and particles",
};

/// # What it asks
/// Was vapour alone entered for what makes particles as well, as a rule?
/// # Why
/// A mist or dust passes a sorbent that has no filter in front.
/// # Citation
/// 29 CFR 1910.134(d)(1)(iii).
/// # Example that passes
/// Ethylene glycol entered as vapour and particles.
/// # Example that stops
/// None: this is a caution.
/// # Remedy
/// Make sure that there is no mist or dust, or enter both.
/// # Limits
/// What was entered is believed.
pub static PARTICLES_LIKELY: Rule = Rule {
    id: "element.particles-likely",
    asks: "Was vapour alone entered for what makes particles as well, as a rule?",
    why: "A mist or dust passes a sorbent that has no filter in front.",
    citation: "29 CFR 1910.134(d)(1)(iii)",
    authority: Authority::Read,
    says: "{substance} was entered as vapour alone; mist or dust is to be expected as well",
    remedy: "make sure that there is no mist or dust of {substance}, or enter both",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let doubtful = case.hazards.iter().filter(|hazard| hazard.form_is_doubtful());
    let mut findings: Vec<Finding> = doubtful
        .map(|hazard| Finding::caution(&FORM_DOUBTFUL).with("substance", &hazard.name))
        .collect();
    let likely = case.hazards.iter().filter(|h| case.purifies() && h.particles_are_likely());
    findings.extend(likely.map(|h| Finding::caution(&PARTICLES_LIKELY).with("substance", &h.name)));
    findings.extend(both(case));
    findings
}

fn both(case: &Case<'_>) -> Option<Finding> {
    let gas = case.hazards.iter().any(Hazard::needs_gas_element);
    let elements = case.elements.filter(|_| case.needs_filter() && gas)?;
    let fitted = match (elements.against.is_empty(), elements.filter.is_some()) {
        (false, false) => "an element for gas",
        (true, true) => "a particulate filter",
        _ => return None,
    };
    Some(Finding::stop(&GAS_AND_PARTICLE).with("fitted", fitted))
}
