//! Rule `storage.shelf-life`: is what lies in store within its shelf life?

use super::StockFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Is what lies in store within its shelf life?
/// # Why
/// Sorbents take up water and filters lose their charge on the shelf as well.
/// # Citation
/// Common practice, no source: the maker prints the last day.
/// # Example that passes
/// A box whose shelf life ends today.
/// # Example that stops
/// A box whose shelf life ended yesterday.
/// # Remedy
/// Take the box out of store and throw away what is left in it.
/// # Limits
/// Asks the box as it came in; what was taken from it earlier is asked on the set that carries it.
pub static RULE: Rule = Rule {
    id: "storage.shelf-life",
    asks: "Is what lies in store within its shelf life?",
    why: "Sorbents take up water and filters lose their charge on the shelf as well.",
    citation: "common practice, no source: the maker prints the last day",
    authority: Authority::CommonPractice,
    says: "{left} of {item}, lot {lot}, could be used until {until}",
    remedy: "take the box out of store and throw away what is left in it",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &StockFacts<'_>) -> Option<Finding> {
    let until = facts.shelf_life_until;
    if facts.day <= until || facts.left == 0 {
        return None;
    }
    let finding = Finding::stop(&RULE).with("item", facts.item).with("lot", facts.lot);
    let finding = finding.with("left", facts.left).with("until", until);
    Some(finding.resting_on(facts.entry).after(until))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn the_examples_of_the_doc_hold() {
        let facts = |day, left| StockFacts {
            item: "cartridge A",
            lot: "L1",
            left,
            day,
            shelf_life_until: date(2026, 5, 4),
            entry: "e1",
        };
        assert_eq!(check(&facts(date(2026, 5, 4), 3)), None);
        let found = check(&facts(date(2026, 5, 5), 3)).unwrap();
        assert_eq!(found.rule.id, "storage.shelf-life");
        assert_eq!(found.text(), "3 of cartridge A, lot L1, could be used until 2026-05-04");
        assert_eq!(check(&facts(date(2026, 5, 5), 0)), None);
    }
}
