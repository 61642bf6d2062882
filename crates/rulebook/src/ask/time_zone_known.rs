//! Rule `site.time-zone-known`: is the time zone of the site known?

use super::AskFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is the time zone of the site known?
/// # Why
/// Every date here is a day at the site; without its time zone no day can be told.
/// # Citation
/// none: no date can be judged without it.
/// # Example that passes
/// The site gave `Europe/Madrid`.
/// # Example that stops
/// The site gave a name that is no time zone.
/// # Remedy
/// Record the site with its time zone, such as `Europe/Madrid`.
/// # Limits
/// Names are those of the IANA time zone database.
pub static RULE: Rule = Rule {
    id: "site.time-zone-known",
    asks: "Is the time zone of the site known?",
    why: "Every date here is a day at the site; without its time zone no day can be told.",
    citation: "none: no date can be judged without it",
    authority: Authority::Necessity,
    says: "the time zone of the site is not known, so no date can be judged",
    remedy: "record the site with its time zone, such as `Europe/Madrid`",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &AskFacts<'_>) -> Option<Finding> {
    if facts.time_zone_known {
        return None;
    }
    Some(Finding::stop(&RULE))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::ask::sample;

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(
            |facts| {
                let _ = &facts;
            },
            check,
            None,
        );
        sample::check(|facts| facts.time_zone_known = false, check, Some("site.time-zone-known"));
    }
}
