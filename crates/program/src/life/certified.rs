//! Life from the least that a certification bench test proves.

use quantity::{Celsius, RelHumidity};
use rulebook::{
    CertificationTest, Contaminant, ElementKind, Finding, element_kinds_for, minimum_for,
    service_life,
};
use sorbent::march::SegmentKind;
use sorbent::{
    Air, Bed, CertifiedTest, Sampling, Spread, Vapour, explore, reactive_life, sorbent_proven,
};
use substance::Catalogue;

use super::answer::{Bounds, ContaminantLife, LifeAnswer};
use super::work::flows;
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

/// What certification proves of the life against a gas held by reaction.
pub(super) struct Proven {
    /// The tests that were done with this gas; at least one.
    pub(super) tests: Vec<CertificationTest>,
    /// The highest level that enters, ppm.
    inlet_ppm: f64,
    /// The best estimate rests on the test as received, the lower bound on the test after the elements
    /// stood in humid and dry air, every one of which each approved element has passed, and on what is
    /// uncertain of level and flow.
    pub(super) time: Bounds,
    /// What the bound rests on.
    limited_by: Vec<&'static str>,
}

/// The tests of elements of this kind that were done with this gas: they speak of no other that the
/// same element takes.
pub(super) fn own_tests(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    kind: ElementKind,
) -> Vec<CertificationTest> {
    let own = contaminant.substance.cas().to_string();
    let mut tests = minimum_for(kind, &setup.device, &setup.elements);
    tests.retain(|test| test.agent_cas == own);
    tests
}

/// What certification proves of the life against a gas to an end level, ppm, or why it proves nothing.
pub(super) fn proven(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    (kind, end_ppm): (ElementKind, f64),
) -> Result<Proven, String> {
    let (inlet_ppm, exposures) = exposures(setup, contaminant)?;
    let tests = own_tests(setup, contaminant, kind);
    let benches: Vec<CertifiedTest> = tests.iter().filter_map(bench).collect();
    let least = |moved: (f64, f64)| {
        let times = benches.iter().map(|test| time_in_use(test, &exposures, end_ppm, moved));
        times.fold(f64::INFINITY, f64::min)
    };
    let times = benches.iter().map(|test| time_in_use(test, &exposures, end_ppm, (1.0, 1.0)));
    let best = times
        .reduce(f64::max)
        .ok_or_else(|| format!("no certification test of {kind} elements was done with it"))?;
    let (lower, limited_by) = bound(setup, &least);
    Ok(Proven { tests, inlet_ppm, time: Bounds { best, lower: lower.min(best) }, limited_by })
}

/// Adds the life against a gas held by reaction, as certification proves it, to the answer.
pub(super) fn reactive(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    (kind, end_ppm): (ElementKind, f64),
    answer: &mut LifeAnswer,
) {
    let Proven { tests, inlet_ppm, time, limited_by } =
        match proven(setup, contaminant, (kind, end_ppm)) {
            Ok(proven) => proven,
            Err(reason) => return answer.refuse(contaminant, reason),
        };
    note(contaminant, &tests, answer);
    tell_not_shared(setup, contaminant, answer);
    tell_edges(setup, contaminant, (&tests, inlet_ppm), answer);
    answer.contaminants.push(ContaminantLife {
        limited_by,
        ..ContaminantLife::reacting(contaminant, (inlet_ppm, end_ppm), time)
    });
}

/// Says of a gas held by reaction, where samples were asked for, that no parts of its variance are told.
pub(super) fn tell_not_shared(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    answer: &mut LifeAnswer,
) {
    if setup.work.samples.is_some() {
        let finding = Finding::note(&service_life::NOT_SHARED);
        answer.findings.push(finding.with("contaminant", contaminant.substance.name()));
    }
}

/// A stretch of wear: minutes, level that enters in ppm, flow in L/min.
type Exposure = (f64, f64, f64);

/// The highest level that enters, and the stretches of wear of the pattern, or one of any length.
fn exposures(setup: &LifeSetup, contaminant: &Contaminant) -> Result<(f64, Vec<Exposure>), String> {
    let inlet_ppm = end::inlet_ppm(setup, contaminant)?;
    let same = |c: &Contaminant| c.substance.cas() == contaminant.substance.cas();
    let place = setup.place.contaminants.iter().position(same);
    let of = |segment: &super::WorkSegment| {
        let level = place.and_then(|place| segment.levels.get(place)).copied();
        let level = level.unwrap_or(contaminant.level);
        let ppm = end::level_ppm(setup, contaminant, level, segment.temperature)?;
        Ok((segment.duration.as_min(), ppm, segment.flow.as_l_per_min()))
    };
    // Clean air spends nothing, and its minutes are no wear.
    let worn = setup.work.segments.iter().filter(|segment| segment.kind == SegmentKind::On);
    let mut told = worn.map(of).collect::<Result<Vec<Exposure>, String>>()?;
    if setup.work.comes_again {
        // Wherever in its usual shift a set is opened, it takes up no more than if what brings most came first.
        let brings = |(_, ppm, flow): &Exposure| ppm * flow;
        told.sort_by(|a, b| brings(b).total_cmp(&brings(a)));
    }
    let enters = told.iter().any(|(_, ppm, _)| *ppm > 0.0);
    let steady = vec![(1.0, inlet_ppm, setup.flow.as_l_per_min())];
    Ok((inlet_ppm, if enters { told } else { steady }))
}

/// Minutes in use until `test` proves no more, with levels and flows multiplied by `moved`: what enters
/// adds up, gone through as often as need be, to the least that any stretch leaves of what is held.
/// The fastest and the strictest stretch judges all of them, wherever it stands.
fn time_in_use(
    test: &CertifiedTest,
    exposures: &[Exposure],
    end_ppm: f64,
    (level, flow): (f64, f64),
) -> f64 {
    let spent_per_min = |(_, ppm, l_per_min): &Exposure| ppm * level * l_per_min * flow;
    let entering = || exposures.iter().filter(|(_, ppm, _)| *ppm > 0.0);
    let held = entering().map(|exposure| {
        let (_, ppm, l_per_min) = *exposure;
        reactive_life(test, ppm * level, l_per_min * flow, end_ppm) * spent_per_min(exposure)
    });
    let held = held.fold(f64::INFINITY, f64::min);
    let spent = |exposure: &Exposure| exposure.0 * spent_per_min(exposure);
    let each: f64 = exposures.iter().map(spent).sum();
    let rounds = (held / each).floor();
    let mut left = held - rounds * each;
    let mut minutes = rounds * exposures.iter().map(|(minutes, _, _)| minutes).sum::<f64>();
    for exposure in exposures {
        let here = spent(exposure);
        if left < here {
            return minutes + exposure.0 * left / here;
        }
        left -= here;
        minutes += exposure.0;
    }
    minutes
}

/// Copies of a life held by reaction where nothing else is asked.
pub(super) const COPIES: usize = 1_500;

/// How far out the copy lies in which level and flow err at once, in standard deviations: a little past
/// the one-sided 95 % point, for a life falls the faster the further they err.
const FAR_OUT: f64 = 1.8;

/// The time that 95 % of all copies with level and flow moved reach, and what it rests on: by as many as
/// are asked for, else by one in which both err, each as far as it counts.
fn bound(
    setup: &LifeSetup,
    least: &(impl Fn((f64, f64)) -> f64 + Sync),
) -> (f64, Vec<&'static str>) {
    let Spread { concentration, flow, .. } = setup.spread;
    let mut limited_by = vec!["least amount held that certification proves"];
    let unsure = [(concentration, "concentration"), (flow, "air flow")];
    limited_by.extend(unsure.iter().filter(|(by, _)| *by > 0.0).map(|(_, of)| of));
    let moved = |level: f64, air: f64| least(((concentration * level).exp(), (flow * air).exp()));
    let Some(samples) = setup.work.samples else {
        return (adverse(&moved), limited_by);
    };
    let model = |scores: &[f64]| {
        let score = |place: usize| scores.get(place).copied().unwrap_or(0.0);
        vec![moved(score(0), score(1))]
    };
    let explored = explore(2, 1, Sampling::of(samples), &model);
    (explored.outputs.first().map_or(0.0, |life| life.bound), limited_by)
}

/// The time of the copy in which level and flow err together by [`FAR_OUT`], each in the proportion in which
/// it shortens the time by itself.
fn adverse(moved: &impl Fn(f64, f64) -> f64) -> f64 {
    let best = moved(0.0, 0.0);
    // Where one alone ends the life at once, it is as good as all of it.
    let shortening = |time: f64| (best / time.max(f64::MIN_POSITIVE)).ln().max(0.0);
    let (level, air) = (shortening(moved(FAR_OUT, 0.0)), shortening(moved(0.0, FAR_OUT)));
    let both = level.hypot(air);
    if both > 0.0 { moved(FAR_OUT * level / both, FAR_OUT * air / both) } else { best }
}

/// Says where the air lies beyond what the tests show.
fn tell_edges(
    setup: &LifeSetup,
    contaminant: &Contaminant,
    (tests, inlet_ppm): (&[CertificationTest], f64),
    answer: &mut LifeAnswer,
) {
    let mut tell = |edge: &str| {
        let finding = Finding::caution(&service_life::EDGE).with("edge", edge);
        answer.findings.push(finding.with("contaminant", contaminant.substance.name()));
    };
    if tests.iter().all(|test| inlet_ppm * FAR_BELOW < test.challenge_ppm.as_ppm()) {
        tell(
            "the level is less than a tenth of that of the certification test; that the elements hold as much of it there is not shown",
        );
    }
    let place = &setup.place;
    let worn = setup.work.segments.iter().filter(|segment| flows(segment.kind));
    let air = worn.map(|segment| (Some(segment.humidity), segment.temperature));
    let mut air = air.chain([(place.relative_humidity, place.temperature)]);
    let beyond = |(humidity, temperature): (Option<RelHumidity>, Celsius)| {
        humidity.is_none_or(|humidity| humidity.as_percent() > TESTED_HUMIDITY)
            || temperature.as_celsius() > TESTED_CELSIUS
    };
    if air.any(beyond) {
        tell("the air is warmer or more humid than in the certification test");
    }
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
    for contaminant in &setup.place.contaminants {
        if contaminant.substance.class() == substance::SubstanceClass::OrganicVapour {
            note(contaminant, &tests, answer);
        }
    }
    proven.ok_or_else(|| "no certification test is known for elements mounted so".to_owned())
}

/// The figures of a test that ends at a level.
pub(super) fn bench(test: &CertificationTest) -> Option<CertifiedTest> {
    Some(CertifiedTest {
        challenge_ppm: test.challenge_ppm.as_ppm(),
        flow_l_per_min: test.flow.as_l_per_min(),
        end_ppm: test.penetration_limit_ppm?.as_ppm(),
        minutes: test.minimum_minutes.as_min(),
    })
}

/// Says which tests the life rests on, once for each contaminant.
fn note(contaminant: &Contaminant, tests: &[CertificationTest], answer: &mut LifeAnswer) {
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
