//! Life from the least that a certification bench test proves.

use rulebook::{
    CertificationTest, Contaminant, ElementKind, Finding, element_kinds_for, minimum_for,
    service_life,
};
use sorbent::{Air, Bed, CertifiedTest, Vapour, reactive_life, sorbent_proven};
use substance::Catalogue;

use super::answer::{Bounds, ContaminantLife, LifeAnswer};
use super::{LifeSetup, bed, end};

/// The most humid air that conditions elements before their test, %, and the warmest of the tests,
/// degC. Source: `data/certification_tests.csv` (42 CFR 84.207).
const TESTED_HUMIDITY: f64 = 85.0;
const TESTED_CELSIUS: f64 = 27.5;

/// A test at more than this many times the level of the work says little of it: common practice, no
/// source.
const FAR_BELOW: f64 = 10.0;

/// The kind for which the elements of this set are certified that holds a contaminant.
pub(super) fn kind_for(setup: &LifeSetup, contaminant: &Contaminant) -> Option<ElementKind> {
    let held = |kind: &ElementKind| setup.elements.against.contains(kind);
    element_kinds_for(contaminant.substance).into_iter().find(held)
}

/// Adds the life against a gas held by reaction to the answer.
///
/// The best estimate rests on the test as received, the lower bound on the test after the elements
/// stood in humid and dry air; every approved element has passed both.
pub(super) fn reactive(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    (kind, end_ppm): (ElementKind, f64),
    answer: &mut LifeAnswer,
) {
    let inlet_ppm = match end::inlet_ppm(setup, contaminant) {
        Ok(inlet_ppm) => inlet_ppm,
        Err(reason) => return answer.refuse(contaminant, reason),
    };
    let tests = minimum_for(kind, &setup.device, &setup.elements);
    // A test speaks of the gas it was done with, and of no other that the same element takes.
    let own = contaminant.substance.cas().to_string();
    let tests: Vec<&CertificationTest> = tests.iter().filter(|t| t.agent_cas == own).collect();
    let minutes = |test: &&CertificationTest| {
        bench(test).map(|t| reactive_life(&t, inlet_ppm, setup.flow.as_l_per_min(), end_ppm))
    };
    let times: Vec<f64> = tests.iter().filter_map(minutes).collect();
    let Some(best) = times.iter().copied().reduce(f64::max) else {
        let reason = format!("no certification test of {kind} elements was done with it");
        return answer.refuse(contaminant, reason);
    };
    let lower = times.iter().copied().fold(best, f64::min);
    note(contaminant, &tests, answer);
    if tests.iter().all(|test| inlet_ppm * FAR_BELOW < test.challenge_ppm.as_ppm()) {
        let edge = "the level is less than a tenth of that of the certification test; that the elements hold as much of it there is not shown";
        let finding = Finding::caution(&service_life::EDGE).with("edge", edge);
        answer.findings.push(finding.with("contaminant", contaminant.substance.name()));
    }
    let humid = setup.place.relative_humidity.is_none_or(|h| h.as_percent() > TESTED_HUMIDITY);
    if humid || setup.place.temperature.as_celsius() > TESTED_CELSIUS {
        let edge = "the air is warmer or more humid than in the certification test";
        let finding = Finding::caution(&service_life::EDGE).with("edge", edge);
        answer.findings.push(finding.with("contaminant", contaminant.substance.name()));
    }
    answer.contaminants.push(ContaminantLife {
        cas: contaminant.substance.cas(),
        name: contaminant.substance.name().to_owned(),
        inlet_ppm: Some(inlet_ppm),
        end_ppm: Some(end_ppm),
        plateau_ppm: Some(inlet_ppm),
        time_min: Some(Bounds { best, lower }),
        refused: None,
        loading_g_per_g: None,
        humid_share: None,
        limited_by: vec!["least amount held that certification proves"],
        curve: Vec::new(),
    });
}

/// Gases held by reaction spend the same element: each lasts as long as it takes for the parts that
/// all of them spend to make up the whole.
pub(super) fn share(answer: &mut LifeAnswer) {
    let times = || answer.contaminants.iter().filter_map(|gas| gas.time_min);
    let together = |of: fn(Bounds) -> f64| 1.0 / times().map(|time| 1.0 / of(time)).sum::<f64>();
    let all = Bounds { best: together(|time| time.best), lower: together(|time| time.lower) };
    if times().count() < 2 {
        return;
    }
    for gas in answer.contaminants.iter_mut().filter(|gas| gas.time_min.is_some()) {
        gas.time_min = Some(all);
        gas.limited_by.push("other gases that spend the same element");
    }
}

/// A bed of usual make with the least sorbent that the organic-vapour tests prove, every one of
/// which each approved set has passed, and the velocity of the test that proves most, past which
/// its rate is not taken to grow.
pub(super) fn bed_proven(setup: &LifeSetup, answer: &mut LifeAnswer) -> Result<(Bed, f64), String> {
    let kind = ElementKind::OrganicVapour;
    let tests = minimum_for(kind, &setup.device, &setup.elements);
    let usual = bed::usual_bed().map_err(|error| error.to_string())?;
    let mut proven: Option<(Bed, f64)> = None;
    for test in &tests {
        let Some(bench) = bench(test) else { continue };
        let agent = Catalogue::builtin().find(&test.agent_cas).map_err(|e| e.to_string())?;
        let temperature = quantity::Celsius::from_celsius(25.0).map_err(|e| e.to_string())?;
        let (agent, _) = Vapour::of(agent, temperature).map_err(|e| e.to_string())?;
        let air = Air {
            flow_l_per_min: bench.flow_l_per_min,
            temperature_k: temperature.as_kelvin(),
            pressure_kpa: 101.325,
            humidity: 0.5,
        };
        let mass_g = sorbent_proven(&usual, air, &agent, &bench).map_err(|e| e.to_string())?;
        if proven.is_none_or(|(bed, _)| bed.mass_g < mass_g) {
            proven = Some((Bed { mass_g, ..usual }, air.velocity_cm_per_s(&usual)));
        }
    }
    let names: Vec<&CertificationTest> = tests.iter().collect();
    for contaminant in &setup.place.contaminants {
        if contaminant.substance.class() == substance::SubstanceClass::OrganicVapour {
            note(contaminant, &names, answer);
        }
    }
    proven.ok_or_else(|| "no certification test is known for elements mounted so".to_owned())
}

fn bench(test: &CertificationTest) -> Option<CertifiedTest> {
    Some(CertifiedTest {
        challenge_ppm: test.challenge_ppm.as_ppm(),
        flow_l_per_min: test.flow.as_l_per_min(),
        end_ppm: test.penetration_limit_ppm?.as_ppm(),
        minutes: test.minimum_minutes.as_min(),
    })
}

/// Says which tests the life rests on, once for each contaminant.
fn note(contaminant: &Contaminant, tests: &[&CertificationTest], answer: &mut LifeAnswer) {
    let Some(first) = tests.first() else { return };
    let ids = tests.iter().map(|test| test.id.as_str()).collect::<Vec<_>>().join(", ");
    let finding = Finding::note(&service_life::CERTIFICATION_ONLY).citing(&first.citation);
    let name = contaminant.substance.name();
    answer.findings.push(finding.with("contaminant", name).with("test", ids));
    let source = format!("certification minimum: {}, {}", first.citation, first.edition);
    if !answer.sources.contains(&source) {
        answer.sources.push(source);
    }
}
