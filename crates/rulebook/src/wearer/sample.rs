//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;

use super::{
    Allows, ClearanceFact, FitGave, FitTestFact, MadeWith, ToldFact, TrainingFact, WearerFacts,
};
use crate::interval::Every;
use crate::{AirSource, Device, Facepiece, Finding};

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check(
    change: impl FnOnce(&mut WearerFacts<'static>),
    rule: fn(&WearerFacts<'static>) -> Option<Finding>,
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

pub(super) fn good() -> WearerFacts<'static> {
    WearerFacts {
        wearer: "Ada",
        enrolled: true,
        left: None,
        device: Some(Device {
            air_source: AirSource::AirPurifying,
            facepiece: Facepiece::HalfMask,
            filtering_facepiece: false,
            escape_only: false,
            auxiliary_self_contained: false,
            maker_shows_factor_1000: false,
            rated_minutes: None,
        }),
        model: "model A",
        approved: None,
        size: "M",
        day: date(2026, 5, 4),
        test_counts: Every::Months(12),
        training_counts: Every::Months(12),
        clearance: Some(ClearanceFact {
            allows: Allows::Any,
            until: None,
            professional: Some("Dr Quince"),
            copy_given: Some(true),
            told: Some(ToldFact {
                another: None,
                air_sources: &[AirSource::AirPurifying],
                missing: Vec::new(),
                entry: "e0",
            }),
            entry: "e1",
        }),
        fit_test: Some(FitTestFact {
            day: date(2026, 4, 1),
            gave: FitGave::Factor(600.0),
            passed: true,
            run_by: None,
            tested_as: None,
            agents: Vec::new(),
            made_with: MadeWith::NotTold,
            missing: "",
            seal_note: "",
            unsteady: "",
            entry: "e2",
        }),
        hair_in_seal: None,
        hair_seen: None,
        fit_renewal: None,
        medical_renewal: None,
        training_renewal: None,
        training: Some(TrainingFact { day: date(2026, 4, 1), understood: true, entry: "e3" }),
        information: None,
        voluntary: false,
        needed_factor: Some(4.0),
    }
}

pub(super) fn device<'f>(facts: &'f mut WearerFacts<'static>) -> &'f mut Device {
    facts.device.as_mut().unwrap()
}

pub(super) fn clearance<'f>(facts: &'f mut WearerFacts<'static>) -> &'f mut ClearanceFact<'static> {
    facts.clearance.as_mut().unwrap()
}

pub(super) fn told<'f>(facts: &'f mut WearerFacts<'static>) -> &'f mut ToldFact<'static> {
    clearance(facts).told.as_mut().unwrap()
}

pub(super) fn fit_test<'f>(facts: &'f mut WearerFacts<'static>) -> &'f mut FitTestFact<'static> {
    facts.fit_test.as_mut().unwrap()
}

pub(super) fn training<'f>(facts: &'f mut WearerFacts<'static>) -> &'f mut TrainingFact<'static> {
    facts.training.as_mut().unwrap()
}
