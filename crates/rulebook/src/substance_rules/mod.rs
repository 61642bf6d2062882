//! The substance rules: each printed row beside its structured interpretation.
//!
//! The printed rows are `data/substance_rules.csv`; what this program makes of each stands in
//! `data/substance_rule_terms.csv`, one line for each, in our own words.

mod pattern;
mod reading;

use std::sync::OnceLock;

use quantity::{Concentration, Minutes, Ppm};

pub(crate) use pattern::{ClassPattern, Worn};

use crate::place::NamedDust;
use crate::table::loud;

/// One printed row with its interpretation.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct SubstanceRule {
    /// Row of both tables.
    pub(crate) id: String,
    /// The substance as printed.
    pub(crate) substance: String,
    /// What it applies to.
    pub(crate) subject: Subject,
    /// Paragraph.
    pub(crate) citation: String,
    /// The paragraph itself was not read.
    pub(crate) from_memory: bool,
    /// The legal limit over a shift, as printed with the rule.
    pub(crate) limit: Option<Concentration>,
    /// The legal limit over minutes.
    pub(crate) short_limit: Option<Concentration>,
    /// The limits were not read.
    pub(crate) limit_unconfirmed: bool,
    /// Lower end of a line of a table by concentration.
    pub(crate) above: Option<Ppm>,
    /// Upper end of a line of a table by concentration.
    pub(crate) up_to: Option<Ppm>,
    /// The longest an element may be worn.
    pub(crate) max_use: Option<Minutes>,
    /// Whether the printed row asks for a change each shift.
    pub(crate) each_shift: bool,
    /// The interpretation.
    pub(crate) terms: Terms,
}

/// What a rule applies to.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Subject {
    /// Every gas, vapour or particle.
    General,
    /// Substances by number.
    Numbers(Vec<String>),
    /// Named matter.
    Dust(NamedDust),
}

/// The interpretation of a row.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Terms {
    pub(crate) applies: Applies,
    /// Classes that the row speaks of; it is silent on others.
    pub(crate) concerns: Vec<ClassPattern>,
    pub(crate) trigger: Trigger,
    /// Where not empty, the unit must be one of these.
    pub(crate) accepts: Vec<ClassPattern>,
    /// The unit must be none of these.
    pub(crate) refuses: Vec<ClassPattern>,
    /// Where the eyes are irritated, the unit must be none of these.
    pub(crate) refuses_if_eyes: Vec<ClassPattern>,
    /// Least filter efficiency of a unit that purifies air, percent.
    pub(crate) filter_percent: Option<f64>,
    /// The highest level for a class.
    pub(crate) caps: Vec<(ClassPattern, Concentration)>,
    /// The row prescribes a class where no limit in numbers exists.
    pub(crate) stands_for_limit: bool,
    /// When elements are changed.
    pub(crate) change: Option<Change>,
    /// What an approved end-of-life indicator changes.
    pub(crate) indicator: Option<Indicator>,
    /// The row asks for care even where it is met.
    pub(crate) caution: bool,
    pub(crate) says: String,
    pub(crate) remedy: String,
}

/// Whether a row speaks of work or of leaving.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Applies {
    Any,
    Work,
    Escape,
}

/// When a row asks something.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Trigger {
    Always,
    /// There is gas or vapour.
    Gas,
    /// There are particles.
    Particles,
    /// The level lies within the line, or under a line whose class may be used for less.
    Band,
    /// The level is above so many times the limit.
    Multiple(f64),
    /// Acid gas or vapour is there as well.
    WithAcidGas,
    /// Closed systems are opened.
    Opening,
    /// Cleaning up.
    Cleanup,
}

/// When elements are changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Change {
    Schedule,
    StartOfShift,
    EndOfShift,
}

/// What an approved end-of-life indicator changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Indicator {
    /// It may be followed instead.
    Lifts,
    /// It may be followed until the next shift.
    UntilNextShift,
}

/// Every rule, in the order of the table.
pub(crate) fn all() -> &'static [SubstanceRule] {
    static RULES: OnceLock<Vec<SubstanceRule>> = OnceLock::new();
    RULES.get_or_init(|| loud(reading::compiled_in()))
}

/// The rules of a substance.
pub(crate) fn for_cas(cas: &str) -> impl Iterator<Item = &'static SubstanceRule> + use<'_> {
    all().iter().filter(
        move |rule| matches!(&rule.subject, Subject::Numbers(all) if all.iter().any(|n| n == cas)),
    )
}

/// The rules of named matter.
pub(crate) fn for_dust(dust: NamedDust) -> impl Iterator<Item = &'static SubstanceRule> {
    all().iter().filter(move |rule| rule.subject == Subject::Dust(dust))
}

/// The rules of every gas, vapour or particle.
pub(crate) fn general() -> impl Iterator<Item = &'static SubstanceRule> {
    all().iter().filter(|rule| rule.subject == Subject::General)
}
