//! What cuts a change schedule short.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use rulebook::{Cap, Contaminant, ElementKind as Kind, Elements, Mounting, Place, caps};
use support::{
    assert_worded, cartridges, elements, full_facepiece, half_mask, particle, place, vapour,
};

fn of(place: &Place, elements: &Elements) -> Vec<Cap> {
    let found = caps(place, &half_mask(), elements);
    found.iter().for_each(|cap| assert_worded(&cap.finding));
    found
}

fn ids(caps: &[Cap]) -> Vec<&'static str> {
    caps.iter().map(|cap| cap.finding.rule.id).collect()
}

fn one(contaminant: Contaminant) -> Place {
    place(vec![contaminant])
}

/// The shortest wear of all caps, in minutes.
fn shortest(caps: &[Cap]) -> Option<f64> {
    caps.iter().filter_map(|cap| Some(cap.max_wear?.as_min())).reduce(f64::min)
}

fn ov() -> Elements {
    cartridges(&[Kind::OrganicVapour])
}

// 29 CFR 1910.1051(h)(3)(i) Table 1: changed each so many hours, and at the start of each shift.
#[test]
fn butadiene_is_changed_by_the_clock() {
    for (level, minutes) in [
        ("0.5 ppm", Some(240.0)),
        ("5 ppm", Some(240.0)),
        ("5.1 ppm", Some(180.0)),
        ("10 ppm", Some(180.0)),
        ("25 ppm", Some(120.0)),
        ("50 ppm", Some(60.0)),
    ] {
        let work = one(vapour("1,3-butadiene", level));
        let found = caps(&work, &full_facepiece(), &ov());
        assert_eq!(shortest(&found), minutes, "{level}");
        assert!(found.iter().all(|cap| cap.end_of_shift && cap.no_reuse), "{level}");
    }
    // (h)(2)(vi): an approved indicator is followed until spent or the next shift.
    let indicated = Elements { end_of_service_indicator: true, ..ov() };
    let found = of(&one(vapour("1,3-butadiene", "5 ppm")), &indicated);
    assert_eq!(shortest(&found), None);
    assert!(
        found.iter().any(|cap| cap.end_of_shift && cap.finding.rule.id == "change.substance-rule")
    );
}

// 1910.1028(g)(2)(ii), .1048(g)(2)(ii), .1045(h)(2)(ii), .1017(g)(3)(ii).
#[test]
fn some_substances_are_changed_every_shift() {
    for (name, kind, lifted) in [
        ("benzene", Kind::OrganicVapour, true),
        ("formaldehyde", Kind::Formaldehyde, true),
        ("acrylonitrile", Kind::OrganicVapour, false),
        ("vinyl chloride", Kind::VinylChloride, false),
    ] {
        let work = one(vapour(name, "0.5 ppm"));
        let by_rule = |elements: &Elements| {
            let found = of(&work, elements);
            found
                .iter()
                .any(|cap| cap.end_of_shift && cap.finding.rule.id == "change.substance-rule")
        };
        assert!(by_rule(&cartridges(&[kind])), "{name}");
        let indicated = Elements { end_of_service_indicator: true, ..cartridges(&[kind]) };
        assert_eq!(by_rule(&indicated), !lifted, "{name} with an approved indicator");
    }
}

// Common practice, no source: below 65 degC a single shift.
#[test]
fn a_low_boiling_vapour_is_not_carried_into_the_next_shift() {
    for (name, capped) in
        [("acetone", true), ("carbon disulfide", true), ("toluene", false), ("ethanol", false)]
    {
        let found = of(&one(vapour(name, "10 ppm")), &ov());
        assert_eq!(ids(&found).contains(&"change.low-boiling"), capped, "{name}");
        assert!(found.iter().all(|cap| cap.end_of_shift && cap.no_reuse));
    }
    // So for gases held by reaction.
    for (name, kind) in [("ammonia", Kind::Ammonia), ("chlorine", Kind::Chlorine)] {
        let gas = of(&one(vapour(name, "1 ppm")), &cartridges(&[kind]));
        assert!(ids(&gas).contains(&"change.low-boiling"), "{name}");
    }
}

// From memory, unconfirmed: R filters for one shift in oil.
#[test]
fn an_r_filter_in_oil_is_for_one_shift() {
    for (oil, filter, capped) in [
        (Some(true), "R95", true),
        (None, "R95", true),
        (Some(false), "R95", false),
        (Some(true), "P95", false),
    ] {
        let mut work = one(particle("lead", "0.1 mg/m3"));
        work.oil_aerosol = oil;
        let found = of(&work, &elements(Mounting::Cartridge, &[], Some(filter)));
        assert_eq!(ids(&found).contains(&"change.r-filter"), capped, "{oil:?} {filter}");
    }
}
