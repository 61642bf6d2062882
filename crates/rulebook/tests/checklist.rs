//! The points of an inspection by class and occasion, and filled checklists.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeSet;

use rulebook::checklist::{Certification, Filled, Mark, Occasion, Point, certified, judge, points};
use rulebook::{AirSource, Device, Facepiece};

fn device(air_source: AirSource, facepiece: Facepiece) -> Device {
    Device {
        air_source,
        facepiece,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: None,
    }
}

fn half_mask() -> Device {
    device(AirSource::AirPurifying, Facepiece::HalfMask)
}

fn looked_at(device: &Device, emergency: bool, occasion: Occasion) -> Vec<&'static str> {
    points(device, emergency, occasion).iter().map(|point| point.looks_at.as_str()).collect()
}

fn passed<'a>(points: &[&'a Point]) -> Vec<Filled<'a>> {
    let pass = |point: &&'a Point| Filled { point: &point.id, mark: Mark::Pass, note: "" };
    points.iter().map(pass).collect()
}

#[test]
fn a_half_mask_is_looked_at_in_all_its_parts() {
    assert_eq!(
        looked_at(&half_mask(), false, Occasion::BeforeUse),
        [
            "function",
            "tightness of connections",
            "facepiece",
            "straps",
            "valves",
            "connecting tube",
            "cartridges, canisters or filters",
            "label",
            "pliability of elastomers",
            "deterioration of elastomers",
        ]
    );
}

#[test]
fn a_self_contained_set_has_regulator_warning_and_cylinder_on_its_round() {
    let set = device(AirSource::SelfContainedPressureDemand, Facepiece::FullFacepiece);
    let round = looked_at(&set, false, Occasion::Monthly);
    for part in ["regulator", "warning device", "cylinder pressure", "cylinder in date", "lens"] {
        assert!(round.contains(&part), "{part}");
    }
    assert!(!round.contains(&"place") && !round.contains(&"label"));
    assert!(looked_at(&set, true, Occasion::Monthly).contains(&"place"));
    let mut airline = device(AirSource::SuppliedAirPressureDemand, Facepiece::FullFacepiece);
    assert!(!looked_at(&airline, false, Occasion::Monthly).contains(&"regulator"));
    airline.auxiliary_self_contained = true;
    assert!(looked_at(&airline, false, Occasion::Monthly).contains(&"regulator"));
}

#[test]
fn a_filtering_facepiece_has_no_connections_and_no_elastomers() {
    let filtering = Device { filtering_facepiece: true, ..half_mask() };
    assert_eq!(
        looked_at(&filtering, false, Occasion::BeforeUse),
        ["function", "facepiece", "straps", "valve", "filter body"]
    );
}

#[test]
fn every_class_has_points_on_every_occasion_and_no_point_twice() {
    for air_source in AirSource::ALL {
        for facepiece in Facepiece::ALL {
            for occasion in Occasion::ALL {
                let points = points(&device(air_source, facepiece), true, occasion);
                let ids: BTreeSet<&str> = points.iter().map(|point| point.id.as_str()).collect();
                assert_eq!(ids.len(), points.len());
                assert!(points.len() >= 8, "{air_source} {facepiece} {occasion:?}");
                let judged = judge(&points, &passed(&points));
                assert!(judged.passed && judged.findings.is_empty());
            }
        }
    }
}

/// Changes one answer of a full checklist and expects the rules that speak, and whether it passes.
fn check(change: impl FnOnce(&mut Vec<Filled<'static>>), rules: &[&str], passes: bool) {
    let points = points(&half_mask(), false, Occasion::BeforeUse);
    let mut filled = passed(&points);
    change(&mut filled);
    let judged = judge(&points, &filled);
    let found: Vec<&str> = judged.findings.iter().map(|finding| finding.rule.id).collect();
    assert_eq!((found.as_slice(), judged.passed), (rules, passes));
    for finding in judged.findings {
        let said = format!("{} / {}", finding.text(), finding.remedy());
        assert!(!said.contains(['{', '}']), "{said}");
    }
}

#[test]
fn a_checklist_passes_only_whole_and_without_a_fault() {
    check(
        |filled| {
            filled.remove(3);
        },
        &["checklist.missing"],
        false,
    );
    check(|filled| filled.clear(), &["checklist.missing"; 10], false);
    check(
        |filled| (filled[3].mark, filled[3].note) = (Mark::Fail, "torn"),
        &["checklist.failed"],
        false,
    );
    check(|filled| filled[3].mark = Mark::Fail, &["checklist.failed", "checklist.noted"], false);
    check(|filled| filled[2].mark = Mark::NotApplicable, &["checklist.applies"], false);
    check(|filled| filled[5].mark = Mark::NotApplicable, &[], true);
    check(|filled| filled.push(filled[0]), &["checklist.twice"], false);
    let foreign = Filled { point: "IP17", mark: Mark::Pass, note: "" };
    check(|filled| filled.push(foreign), &["checklist.unknown-point"], false);
}

#[test]
fn the_record_of_an_emergency_set_names_inspector_findings_remedy_and_serial() {
    let whole = Certification {
        signed: "Bo",
        found: "strap torn",
        failed: true,
        remedial_action: "new strap",
        identification: "S-1",
    };
    assert_eq!(certified(&whole), None);
    let missing = |record: Certification<'_>| {
        let finding = certified(&record).unwrap();
        assert_eq!(finding.rule.id, "checklist.certified");
        finding.text()
    };
    assert!(missing(Certification { signed: " ", ..whole }).contains("who inspected"));
    assert!(missing(Certification { found: "", ..whole }).contains("what was found"));
    assert!(missing(Certification { remedial_action: "", ..whole }).contains("to be done"));
    assert!(missing(Certification { identification: "", ..whole }).contains("serial number"));
    let sound = Certification { failed: false, remedial_action: "", ..whole };
    assert_eq!(certified(&sound), None);
}
