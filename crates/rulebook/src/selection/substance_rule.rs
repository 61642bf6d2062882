//! The rules of single substances.

use super::case::{Case, Hazard};
use crate::substance_rules::{SubstanceRule, Trigger, general};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does a rule made for this substance allow this class here?
/// # Why
/// Some substances harm in ways that the general rules do not see.
/// # Citation
/// The paragraph of the row, such as 29 CFR 1910.1052(g)(3)(i); all rows are in
/// `data/substance_rules.csv`, their interpretation in `data/substance_rule_terms.csv`.
/// # Example that passes
/// Methylene chloride with a supplied-air full facepiece.
/// # Example that stops
/// Methylene chloride with any unit that purifies air.
/// # Remedy
/// That of the row.
/// # Limits
/// What a row asks beyond the choice of a respirator is told as a note.
pub static SUBSTANCE: Rule = Rule {
    id: "substance.rule",
    asks: "Does the rule made for this substance allow this class here?",
    why: "Some substances harm in ways that the general rules do not see.",
    citation: "29 CFR 1910 subpart Z",
    authority: Authority::Read,
    says: "{substance} at {level}: {asked} ({row})",
    remedy: "{remedy}",
};

/// # What it asks
/// The same, for a row whose paragraph was not read.
/// # Why
/// A rule known but not seen must not pass for one that was read.
/// # Citation
/// The paragraph of the row; from memory.
/// # Example that passes
/// A powered unit given on request where there is asbestos.
/// # Example that stops
/// None of the rows from memory forbids a class.
/// # Remedy
/// That of the row, once confirmed.
/// # Limits
/// The site confirms the paragraph before relying on it.
pub static SUBSTANCE_UNCONFIRMED: Rule = Rule {
    id: "substance.rule-unconfirmed",
    asks: "Does the rule made for this substance allow this class here?",
    why: "A rule known but not seen must not pass for one that was read.",
    citation: "29 CFR 1910 subpart Z",
    authority: Authority::Memory,
    says: "{substance} at {level}, from memory and unconfirmed: {asked} ({row})",
    remedy: "confirm the paragraph; {remedy}",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for hazard in case.hazards {
        let rules = general().chain(hazard.rules.iter().copied());
        findings.extend(rules.filter_map(|rule| ask(case, hazard, rule)));
    }
    findings
}

fn ask(case: &Case<'_>, hazard: &Hazard<'_>, rule: &SubstanceRule) -> Option<Finding> {
    if !case.is_asked(rule, hazard) {
        return None;
    }
    let asked = if rule.from_memory { &SUBSTANCE_UNCONFIRMED } else { &SUBSTANCE };
    let finding = if is_broken(case, hazard, rule) {
        Finding::stop(asked)
    } else if rule.terms.caution || eyes_not_stated(case, rule) {
        Finding::caution(asked)
    } else {
        Finding::note(asked)
    };
    let named = finding
        .with("substance", &hazard.name)
        .with("level", hazard.level_text())
        .with("asked", &rule.terms.says)
        .with("row", &rule.id)
        .with("remedy", &rule.terms.remedy);
    Some(named.citing(&rule.citation))
}

fn is_broken(case: &Case<'_>, hazard: &Hazard<'_>, rule: &SubstanceRule) -> bool {
    let terms = &rule.terms;
    let not_accepted = match terms.trigger {
        Trigger::Band => !accepted_by_this_or_a_higher_line(case, hazard, rule),
        _ => !terms.accepts.is_empty() && !case.is_one_of(&terms.accepts),
    };
    not_accepted
        || case.is_one_of(&terms.refuses)
        || (case.place.irritates_eyes == Some(true) && case.is_one_of(&terms.refuses_if_eyes))
        || terms.filter_percent.is_some_and(|percent| lacks_filter(case, percent))
        || passes_cap(case, hazard, rule)
}

/// A class of a line for more may be used for less.
fn accepted_by_this_or_a_higher_line(
    case: &Case<'_>,
    hazard: &Hazard<'_>,
    rule: &SubstanceRule,
) -> bool {
    let line = |rule: &SubstanceRule| rule.up_to.map_or(f64::INFINITY, quantity::Ppm::as_ppm);
    hazard.rules.iter().any(|other| {
        other.terms.trigger == Trigger::Band
            && line(rule) <= line(other)
            && case.is_one_of(&other.terms.accepts)
    })
}

fn eyes_not_stated(case: &Case<'_>, rule: &SubstanceRule) -> bool {
    case.place.irritates_eyes.is_none() && case.is_one_of(&rule.terms.refuses_if_eyes)
}

/// Whether a unit that purifies air lacks a filter of this efficiency.
fn lacks_filter(case: &Case<'_>, percent: f64) -> bool {
    let filter = case.elements.and_then(|elements| elements.filter);
    case.purifies()
        && !filter.is_some_and(|filter| percent <= filter.level.least_efficiency_percent())
}

/// Whether the level is above the highest for this class; a level that cannot be compared is.
fn passes_cap(case: &Case<'_>, hazard: &Hazard<'_>, rule: &SubstanceRule) -> bool {
    rule.terms.caps.iter().any(|(class, cap)| {
        let own = hazard.level.known().and_then(|level| match cap {
            quantity::Concentration::Ppm(_) => hazard.air.ppm_of(level).map(|ppm| ppm.as_ppm()),
            quantity::Concentration::Mass(_) => {
                hazard.air.mass_of(level).map(|mass| mass.as_mg_per_m3())
            }
            quantity::Concentration::Fibres(_) => Some(level.number()),
        });
        class.matches(case.worn()) && !own.is_some_and(|own| own <= cap.number())
    })
}
