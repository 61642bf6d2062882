//! Which limit governs, and which level is immediately dangerous.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use rulebook::{Contaminant, FoundLimit, LimitSort, governing, immediately_dangerous};
use support::{concentration, particle, place, vapour};

fn limit(contaminant: Contaminant) -> Option<FoundLimit> {
    governing(&contaminant, &place(vec![contaminant]))
}

fn dangerous(contaminant: Contaminant) -> Option<FoundLimit> {
    immediately_dangerous(&contaminant, &place(vec![contaminant]))
}

// The figures are those of data/exposure_limits.csv and data/substance_rules.csv, whose rows name
// their sources; the lowest of all governs.
#[test]
fn the_lowest_of_legal_and_recommended_governs() {
    use LimitSort::{LegalShift, RecommendedShift};
    for (contaminant, value, sort, unconfirmed) in [
        // Legal 200 ppm (Table Z-2), recommended 100 ppm.
        (vapour("toluene", "60 ppm"), "100 ppm", RecommendedShift, None),
        // Legal 50 ppm (Table Z-1), recommended 35 ppm.
        (vapour("carbon monoxide", "60 ppm"), "35 ppm", RecommendedShift, Some(false)),
        // 29 CFR 1910.1051.
        (vapour("1,3-butadiene", "3 ppm"), "1 ppm", LegalShift, Some(false)),
        // 29 CFR 1910.1001, from memory.
        (particle("asbestos", "0.5 f/cc"), "0.1 f/cc", LegalShift, Some(true)),
        // 29 CFR 1910.1025.
        (particle("lead", "0.2 mg/m3"), "0.05 mg/m3", LegalShift, None),
        // 29 CFR 1910.1050, from memory.
        (particle("101-77-9", "0.05 ppm"), "0.01 ppm", LegalShift, Some(true)),
    ] {
        let name = contaminant.substance.name();
        let found = limit(contaminant).unwrap();
        assert_eq!(found.value, concentration(value), "{name}");
        assert_eq!(found.sort, sort, "{name}");
        assert!(unconfirmed.is_none_or(|memory| memory == found.unconfirmed), "{name}");
        assert!(!found.source.is_empty(), "{name}");
    }
}

#[test]
fn a_limit_of_the_site_governs_where_it_is_lower_or_alone() {
    let with = |name: &str, site: &str| {
        let site_limit = Some(concentration(site));
        limit(Contaminant { site_limit, ..vapour(name, "60 ppm") }).unwrap()
    };
    assert_eq!(with("toluene", "20 ppm").sort, LimitSort::Site);
    assert_eq!(with("toluene", "300 ppm").sort, LimitSort::RecommendedShift);
    assert_eq!(with("1-Hexene", "50 ppm").sort, LimitSort::Site);
    assert_eq!(limit(vapour("1-Hexene", "60 ppm")), None);
}

// A ceiling counts where it is the lowest: 29 CFR 1910.1000 Table Z-1, chlorine, ceiling 1 ppm.
#[test]
fn ceilings_and_short_term_limits_are_compared_too() {
    let found = limit(vapour("chlorine", "0.4 ppm")).unwrap();
    assert!(found.value.number() <= 1.0, "{found:?}");
    assert!(!matches!(found.sort, LimitSort::LegalShift), "{found:?}");
}

// The governing limit does not depend on how high the level is, nor on the unit it is written in.
#[test]
fn the_same_limit_governs_at_every_level() {
    for level in ["0.001 ppm", "60 ppm", "?", "200 mg/m3"] {
        let found = limit(vapour("toluene", level)).unwrap();
        assert_eq!(found.value, concentration("100 ppm"), "{level}");
    }
}

#[test]
fn the_lowest_immediately_dangerous_level_is_used() {
    let found = dangerous(vapour("toluene", "60 ppm")).unwrap();
    assert_eq!(found.value, concentration("500 ppm"));
    assert_eq!(found.sort, LimitSort::ImmediatelyDangerous);
    assert_eq!(dangerous(particle("asbestos", "0.5 f/cc")), None);
}
