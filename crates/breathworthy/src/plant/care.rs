//! What is done to a respirator at the bench.

use jiff::Timestamp;
use program::{AirQuality, ElementTypeId, Fact, InspectionOccasion};
use quantity::{Kilopascal, LitrePerMin, Minutes};

use super::scene::{Moment, Scene, unit};

/// Strength and contact time are one of the choices of 29 CFR 1910.134 Appendix B-2.
const BATH: &str = "hypochlorite solution, 50 ppm chlorine at 43 degC";
const CONTACT_MIN: f64 = 2.0;

/// How often an inspection at cleaning finds something that is repaired on the spot.
const REPAIR_SHARE: f64 = 0.02;

const REPAIRS: [(&str, &str); 4] = [
    ("inhalation valve curled", "new inhalation valve fitted"),
    ("head strap frayed", "new head strap fitted"),
    ("exhalation valve seat scratched", "new exhalation valve and seat fitted"),
    ("gasket of the left connector missing", "new gasket fitted, connector tight"),
];

/// Elements to fit and the day back on which their shelf life ends.
pub(super) struct Fresh<'a> {
    pub(super) kind: &'a str,
    pub(super) shelf_ends: i64,
}

impl<'a> Fresh<'a> {
    /// New stock: its shelf life ends years after it is fitted.
    pub(super) fn stock(scene: &mut Scene<'_>, when: Moment, kind: &'a str) -> Self {
        Self { kind, shelf_ends: when.back - scene.between(900, 1300) }
    }
}

pub(super) fn fit(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    fresh: &Fresh<'_>,
) -> anyhow::Result<()> {
    let opened = scene.calendar.at(when.back, when.minute)?;
    let fact = fitted(scene, tag, fresh, opened)?;
    scene.bench(when, fact).map(drop)
}

/// The fact that elements were fitted whose seal was `opened` then.
pub(super) fn fitted(
    scene: &mut Scene<'_>,
    tag: &str,
    fresh: &Fresh<'_>,
    opened: Timestamp,
) -> anyhow::Result<Fact> {
    let shelf_life_until = scene.calendar.date(fresh.shelf_ends)?;
    Ok(Fact::ElementsFitted {
        unit: unit(tag),
        element_type: ElementTypeId::new(fresh.kind),
        // One lot has one last day.
        lot: format!("lot {}-{}", shelf_life_until.strftime("%y%j"), scene.between(1000, 9999)),
        shelf_life_until,
        opened,
    })
}

pub(super) fn discard(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    why: &str,
) -> anyhow::Result<()> {
    let fact = Fact::ElementsDiscarded { unit: unit(tag), why: why.to_owned() };
    scene.bench(when, fact).map(drop)
}

/// Cleaning and disinfection, 10 minutes each.
pub(super) fn wash(scene: &mut Scene<'_>, when: Moment, tag: &str) -> anyhow::Result<()> {
    scene.bench(when, Fact::Cleaned { unit: unit(tag) })?;
    dip(scene, when.later(10), tag, (BATH, CONTACT_MIN))
}

/// A stay in a bath of something, so many minutes.
pub(super) fn dip(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    (agent, contact_min): (&str, f64),
) -> anyhow::Result<()> {
    let (agent, contact) = (agent.to_owned(), Minutes::from_min(contact_min)?);
    scene.bench(when, Fact::Disinfected { unit: unit(tag), agent, contact }).map(drop)
}

/// The inspection at the end of cleaning, with a repair once in a while; 25 minutes at most.
pub(super) fn inspect_cleaned(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
) -> anyhow::Result<()> {
    let mut last = when;
    if scene.happens(REPAIR_SHARE) {
        let (found, done) = scene.one_of(&REPAIRS).unwrap_or(("worn", "replaced"));
        let at = InspectionOccasion::AtCleaning;
        inspect(scene, when, tag, (at, Err(found)))?;
        let why = found.to_owned();
        scene.bench(when.later(3), Fact::Held { unit: unit(tag), why })?;
        let done = done.to_owned();
        scene.bench(when.later(20), Fact::Released { unit: unit(tag), done })?;
        last = when.later(25);
    }
    inspect(scene, last, tag, (InspectionOccasion::AtCleaning, Ok(())))
}

/// An inspection at the bench, with what was found where it failed.
pub(super) fn inspect(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    (occasion, outcome): (InspectionOccasion, Result<(), &str>),
) -> anyhow::Result<()> {
    scene.bench(when, inspected(tag, occasion, outcome)).map(drop)
}

pub(super) fn inspected(
    tag: &str,
    occasion: InspectionOccasion,
    outcome: Result<(), &str>,
) -> Fact {
    let found = outcome.err().unwrap_or("every point in order").to_owned();
    Fact::Inspected { unit: unit(tag), occasion, passed: outcome.is_ok(), found }
}

/// A reading of the cylinder, as percent of its rated pressure.
pub(super) fn read_cylinder(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    (rated, percent): (Kilopascal, f64),
) -> anyhow::Result<()> {
    let read = Kilopascal::from_kpa((rated.as_kpa() * percent / 100.0).round())?;
    scene.bench(when, Fact::CylinderRead { unit: unit(tag), rated, read }).map(drop)
}

/// A check of the flow, as part of the least flow.
pub(super) fn check_flow(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    (least, part): (LitrePerMin, f64),
) -> anyhow::Result<()> {
    let flow = LitrePerMin::from_l_per_min((least.as_l_per_min() * part).round())?;
    scene.bench(when, Fact::PoweredFlowChecked { unit: unit(tag), flow, least }).map(drop)
}

pub(super) fn test_air(
    scene: &mut Scene<'_>,
    when: Moment,
    tag: &str,
    quality: AirQuality,
) -> anyhow::Result<()> {
    scene
        .bench(when, Fact::BreathingAirTested { unit: unit(tag), quality, cylinder: None })
        .map(drop)
}
