//! More in the air never makes a refused respirator allowed.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use quantity::{Concentration, Ppm};
use rulebook::{Assessment, Contaminant, Handling, Level, Place, Purpose, assess, list};
use substance::Catalogue;
use support::{airborne, assert_worded, oxygen, place};

/// A repeatable stream of numbers, so that a failure comes back the next time.
struct Stream(u64);

impl Stream {
    fn next(&mut self, below: usize) -> usize {
        self.0 =
            self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap() % below
    }

    fn pick<T: Copy>(&mut self, from: &[T]) -> T {
        from[self.next(from.len())]
    }
}

const FORMS: [rulebook::AirborneForm; 3] = [
    rulebook::AirborneForm::Vapour,
    rulebook::AirborneForm::Particle,
    rulebook::AirborneForm::VapourAndParticle,
];

fn contaminant(stream: &mut Stream) -> Contaminant {
    let all: Vec<&str> = Catalogue::builtin().iter().map(substance::Substance::name).collect();
    // The substances with rules of their own come up as often as all others together.
    let ruled = [
        "benzene",
        "1,3-butadiene",
        "vinyl chloride",
        "formaldehyde",
        "arsenic",
        "lead",
        "ethylene oxide",
        "methylene chloride",
        "benzidine",
        "chlorine",
        "carbon monoxide",
    ];
    let name = if stream.next(2) == 0 { stream.pick(&all) } else { stream.pick(&ruled) };
    let level = ["0.01 ppm", "0.9 ppm", "4 ppm", "12 ppm", "40 ppm", "300 ppm", "2000 ppm", "?"];
    airborne(name, stream.pick(&level), stream.pick(&FORMS))
}

fn sample(stream: &mut Stream) -> Place {
    let count = 1 + stream.next(2);
    let mut place = place((0..count).map(|_| contaminant(stream)).collect());
    place.oxygen = stream.pick(&[Some(20.9), Some(20.9), Some(20.9), Some(19.4), None]).map(oxygen);
    place.oil_aerosol = stream.pick(&[Some(false), Some(true), None]);
    place.irritates_eyes = stream.pick(&[Some(false), Some(true), None]);
    place.purpose = stream.pick(&[
        Purpose::RoutineWork,
        Purpose::RoutineWork,
        Purpose::Escape,
        Purpose::EmergencyEntry,
    ]);
    place.handling = stream.pick(&[
        None,
        Some(Handling::OpeningSystems),
        Some(Handling::Cleanup),
        Some(Handling::ClosedSystem),
    ]);
    place
}

fn raised(contaminant: &Contaminant) -> Option<Contaminant> {
    let Level::Known(Concentration::Ppm(ppm)) = contaminant.level else { return None };
    let level = Level::Known(Concentration::Ppm(Ppm::from_ppm(ppm.as_ppm() * 7.0).unwrap()));
    Some(Contaminant { level, ..*contaminant })
}

/// Each unit refused in `before` stays refused in `after`.
fn assert_no_kinder(before: &[Assessment], after: &Place, what: &str) {
    for unit in before.iter().filter(|unit| !unit.allowed) {
        let again = assess(after, &unit.device, unit.elements.as_ref());
        assert!(!again.allowed, "{what} made {} allowed: {after:?}", unit.title);
    }
}

#[test]
fn adding_a_contaminant_or_raising_a_level_never_allows_what_was_refused() {
    let mut stream = Stream(20_261_125);
    let (mut allowed, mut refused) = (0, 0);
    for _ in 0..250 {
        let place = sample(&mut stream);
        let before = list(&place);
        allowed += before.iter().filter(|unit| unit.allowed).count();
        refused += before.iter().filter(|unit| !unit.allowed).count();
        let mut more = place.clone();
        more.contaminants.push(contaminant(&mut stream));
        assert_no_kinder(&before, &more, "one more contaminant");
        if let Some(higher) = raised(&place.contaminants[0]) {
            let mut after = place.clone();
            after.contaminants[0] = higher;
            assert_no_kinder(&before, &after, "a higher level");
        }
    }
    assert!(300 < allowed && 300 < refused, "the samples show both: {allowed}, {refused}");
}

#[test]
fn every_finding_of_every_sample_is_worded() {
    let mut stream = Stream(7);
    for _ in 0..250 {
        for assessment in list(&sample(&mut stream)) {
            assessment.findings.iter().for_each(assert_worded);
        }
    }
}

// Unknown or immediately dangerous air and lack of oxygen are never answered with a unit that
// purifies air for work: 29 CFR 1910.134(d)(2).
#[test]
fn air_that_may_kill_is_never_answered_with_a_unit_that_purifies_air() {
    let mut stream = Stream(42);
    for _ in 0..250 {
        let mut place = sample(&mut stream);
        place.purpose = Purpose::RoutineWork;
        match stream.next(4) {
            0 => place.atmosphere_unknown = true,
            1 => place.oxygen = Some(oxygen(19.4)),
            2 => place.declared_immediately_dangerous = true,
            _ => place.contaminants[0].level = Level::Unknown,
        }
        for unit in list(&place).iter().filter(|unit| unit.allowed) {
            assert!(!unit.device.air_source.purifies_air(), "{}: {place:?}", unit.title);
        }
    }
}
