//! Rule `records.guarded`: does the database still refuse to change and remove what is kept?

use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the database still refuse to change and remove what is kept?
/// # Why
/// Where its guards are gone, anybody may have moved a date, and no answer can rest on the records.
/// # Citation
/// none: no answer can rest on records that may have been altered.
/// # Example that passes
/// Every guard stands in its place.
/// # Example that stops
/// A guard was dropped, by hand or by a tool that copied the tables alone.
/// # Remedy
/// Run `verify`; where the chain holds, export the ledger and import it into a new one, which has them all.
/// # Limits
/// Sees that they stand and do what they were made to do, not whether they were away meanwhile: `verify` reads
/// every entry.
pub static RULE: Rule = Rule {
    id: "records.guarded",
    asks: "Does the database still refuse to change and remove what is kept?",
    why: "Where its guards are gone, anybody may have moved a date, and no answer can rest on the records.",
    citation: "none: no answer can rest on records that may have been altered",
    authority: Authority::Necessity,
    says: "guards of this ledger are missing: {guards}; what it keeps may have been altered",
    remedy: "run `verify`; where the chain holds, export the ledger and import it into a new one, which has all guards",
};

/// Asks the rule of the guards that are missing, by name.
#[must_use]
pub fn check(missing: &[String]) -> Option<Finding> {
    (!missing.is_empty()).then(|| Finding::stop(&RULE).with("guards", missing.join(", ")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_guard_that_is_missing_stops_and_is_named() {
        assert_eq!(check(&[]), None);
        let found = check(&["entries_are_never_changed".to_owned()]).unwrap();
        assert_eq!(found.severity, crate::Severity::Stop);
        assert!(found.text().contains("entries_are_never_changed"));
    }
}
