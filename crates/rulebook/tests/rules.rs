//! The registry of rules.

use std::collections::BTreeSet;

use rulebook::{Authority, all_rules};

#[test]
fn every_rule_has_its_own_id_and_all_its_parts() {
    let mut ids = BTreeSet::new();
    for rule in all_rules() {
        assert!(ids.insert(rule.id), "{} stands twice", rule.id);
        for part in [rule.asks, rule.why, rule.citation, rule.says, rule.remedy] {
            assert!(!part.is_empty(), "{}", rule.id);
        }
        let id = rule.id.bytes();
        assert!(
            rule.id.contains('.')
                && id.into_iter().all(|b| b.is_ascii_lowercase() || b".-0123456789".contains(&b)),
            "{}",
            rule.id
        );
    }
    assert!(40 < ids.len());
}

#[test]
fn a_rule_from_memory_says_so_in_its_words() {
    for rule in all_rules() {
        if rule.authority == Authority::Memory {
            let words = format!("{} {} {}", rule.says, rule.citation, rule.remedy);
            assert!(words.contains("unconfirmed"), "{}: {words}", rule.id);
        }
    }
}
