//! The list of duties and what points into it.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use rulebook::duties::{all, find};
use rulebook::site::{Section, Topic};

const ROMAN: [&str; 9] = ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix"];

#[test]
fn sections_and_topics_name_the_duty_of_their_own_paragraph() {
    for (section, nth) in Section::ALL.iter().zip(ROMAN) {
        let duty = find(section.duty()).unwrap();
        assert_eq!(duty.citation, format!("29 CFR 1910.134(c)(1)({nth})"), "{section:?}");
        assert!(duty.is_shown_by_a_person());
    }
    for (topic, nth) in Topic::ALL.iter().zip(ROMAN) {
        let duty = find(topic.duty()).unwrap();
        assert_eq!(duty.citation, format!("29 CFR 1910.134(l)(2)({nth})"), "{topic:?}");
    }
}

#[test]
fn numbers_run_on_and_a_foreign_one_is_not_found() {
    for (nth, duty) in all().iter().enumerate() {
        assert_eq!(duty.id, format!("D{:03}", nth + 1));
    }
    assert_eq!(find("D245"), None);
}
