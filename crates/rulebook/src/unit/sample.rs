//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;
use quantity::{Kilopascal, LitrePerMin, Litres, Minutes};

use super::{
    CylinderFact, DisinfectionFact, ElementFacts, FlowFact, InspectionFact, LifeFacts,
    ListedCylinder, MountedFact, UnitFacts, Use,
};
use crate::interval::Every;
use crate::{AirSource, Device, Facepiece, Finding, Mounting};

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut UnitFacts<'static>),
    rule: fn(&UnitFacts<'static>) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = good();
    assert_eq!(rule(&facts), None, "the good facts pass");
    change(&mut facts);
    let found = rule(&facts);
    assert_eq!(found.as_ref().map(|finding| finding.rule.id), expected);
    if let Some(finding) = found {
        let said = format!("{} / {}", finding.text(), finding.remedy());
        assert!(!said.contains(['{', '}']), "{said}");
    }
}

fn good() -> UnitFacts<'static> {
    UnitFacts {
        unit: "u1",
        received: true,
        model: "model A",
        device: Some(half_mask()),
        approval: Some("invented 0001"),
        shared: false,
        emergency: false,
        wearer: "p1",
        wearer_name: "Ada",
        day: date(2026, 5, 4),
        planned_min: 60.0,
        breathing: None,
        inspection_counts: Every::Days(31),
        round_counts: Every::Months(1),
        reading_counts: Every::Months(1),
        retired: None,
        held: None,
        holders: vec![Use { person: "p1", name: "Ada", entry: "e1" }],
        used_since_disinfected: Vec::new(),
        used_ever: Vec::new(),
        doubtfully_disinfected: Vec::new(),
        disinfection: None,
        inspection: Some(InspectionFact {
            day: date(2026, 5, 4),
            for_this_wear: true,
            passed: true,
            found: "".into(),
            entry: "e2",
            overtaken_by: None,
        }),
        monthly_round: None,
        mounted: None,
        cylinder: None,
        air_test: None,
        on_line: false,
        auxiliary_air: None,
        powered_flow: None,
        use_by: None,
        elements: Some(good_elements()),
        life: Some(LifeFacts {
            used_min: 0.0,
            planned_min: 60.0,
            allowed_min: 480.0,
            shift: 1,
            shifts_allowed: 1,
            opened_this_shift: true,
            limited_by: "toluene".to_owned(),
            worn: Vec::new(),
        }),
        sensed: None,
        changed_for_test: None,
    }
}

fn half_mask() -> Device {
    Device {
        air_source: AirSource::AirPurifying,
        facepiece: Facepiece::HalfMask,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: None,
    }
}

fn good_elements() -> ElementFacts<'static> {
    ElementFacts {
        kind: "organic vapour cartridge",
        listed: true,
        against_gas: true,
        lot: "L1",
        mounting: Some(Mounting::Cartridge),
        named: vec!["organic vapour cartridge"],
        shelf_life_until: Some(date(2028, 1, 1)),
        opened: date(2026, 5, 4),
        entry: "e3",
    }
}

pub(super) fn device<'f>(facts: &'f mut UnitFacts<'static>) -> &'f mut Device {
    facts.device.as_mut().unwrap()
}

pub(super) fn inspection<'f>(facts: &'f mut UnitFacts<'static>) -> &'f mut InspectionFact<'static> {
    facts.inspection.as_mut().unwrap()
}

pub(super) fn elements<'f>(facts: &'f mut UnitFacts<'static>) -> &'f mut ElementFacts<'static> {
    facts.elements.as_mut().unwrap()
}

pub(super) fn life<'f>(facts: &'f mut UnitFacts<'static>) -> &'f mut LifeFacts<'static> {
    facts.life.as_mut().unwrap()
}

/// Wear so far, planned and allowed, minutes.
pub(super) fn wear(facts: &mut UnitFacts<'static>, used: f64, planned: f64, allowed: f64) {
    let life = life(facts);
    (life.used_min, life.planned_min, life.allowed_min) = (used, planned, allowed);
}

pub(super) fn disinfect(facts: &mut UnitFacts<'static>, minutes: f64) {
    let contact = Minutes::from_min(minutes).unwrap();
    facts.disinfection = Some(DisinfectionFact { contact, strong: None, entry: "e8" });
}

pub(super) fn mounted<'f>(facts: &'f mut UnitFacts<'static>) -> &'f mut MountedFact<'static> {
    facts.mounted.as_mut().unwrap()
}

/// A self-contained set whose cylinder, 6.8 L, was read today, kPa.
pub(super) fn cylinder(facts: &mut UnitFacts<'static>, read: f64, rated: f64) {
    device(facts).air_source = AirSource::SelfContainedPressureDemand;
    let (read, rated) = (Kilopascal::from_kpa(read).unwrap(), Kilopascal::from_kpa(rated).unwrap());
    device(facts).rated_minutes = Some(30);
    let water_volume = Litres::from_l(6.8).unwrap();
    facts.mounted = Some(MountedFact {
        cylinder: "C-1",
        gone_to: None,
        listed: Some(ListedCylinder { rated, water_volume, part: "", entry: "e6" }),
        named: Vec::new(),
        read_as: None,
        entry: "e7",
    });
    facts.cylinder =
        Some(CylinderFact { day: facts.day, read, rated, entry: "e8", overtaken_by: None });
}

/// A powered set whose blower was checked, L/min.
pub(super) fn powered(facts: &mut UnitFacts<'static>, found: f64, least: f64) {
    device(facts).air_source = AirSource::PoweredAirPurifying;
    facts.powered_flow = Some(FlowFact {
        day: facts.day,
        for_this_wear: true,
        found: LitrePerMin::from_l_per_min(found).unwrap(),
        least: LitrePerMin::from_l_per_min(least).unwrap(),
        entry: "e8",
        overtaken_by: None,
    });
}
