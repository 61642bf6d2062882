//! This morning: sets get fresh elements, blowers are checked, and what goes wrong today goes
//! wrong.

use anyhow::Context;
use program::{Fact, InspectionOccasion};
use quantity::LitrePerMin;

use super::care::{self, Fresh};
use super::listed::{Kept, Model, Rack, Unit, UnitOdd};
use super::pool;
use super::scene::{Scene, person, unit};

/// The part of the least flow that a weak blower gives.
const WEAK: f64 = 0.82;

pub(super) fn prepare(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for rack in listed.racks_of(site).filter(|rack| matches!(rack.kept, Kept::Own | Kept::Shared)) {
        let model = listed.model(&rack.model)?;
        for one in rack.list.iter().filter(|one| !left_as_it_is(model, one)) {
            refresh(scene, (rack, model, one))?;
        }
        for one in &rack.list {
            go_wrong(scene, model, one).with_context(|| format!("respirator `{}`", one.tag))?;
        }
    }
    Ok(())
}

/// A facepiece that is itself the filter is not refitted; what is odd about the others would be put
/// right by fresh elements or an inspection.
fn left_as_it_is(model: &Model, one: &Unit) -> bool {
    let odd = matches!(
        one.odd,
        Some(
            UnitOdd::Retired
                | UnitOdd::NotInspected
                | UnitOdd::NotCleaned
                | UnitOdd::OpenedEarlier
                | UnitOdd::WornPastSchedule
                | UnitOdd::Sensed
                | UnitOdd::NoElements
        )
    );
    model.device.filtering_facepiece || odd
}

fn refresh(
    scene: &mut Scene<'_>,
    (rack, model, one): (&Rack, &Model, &Unit),
) -> anyhow::Result<()> {
    let tag = one.tag.as_str();
    if let Some(kind) = rack.fitted_to(one) {
        refit(scene, one, kind)?;
    }
    if model.least_flow.is_some() {
        let found = "charged over night".to_owned();
        let checked = Fact::BatteryChecked { unit: unit(&one.tag), passed: true, found };
        scene.today(113, None, checked)?;
    }
    if let Some(least) = model.least_flow
        && one.odd != Some(UnitOdd::FlowNever)
    {
        let part = scene.amount(1.05, 1.2);
        check_flow(scene, 112, tag, (least, part))?;
    }
    scene.today(110, None, care::inspected(tag, InspectionOccasion::BeforeUse, Ok(())))
}

/// Fresh elements; of an old lot where that is the odd thing.
fn refit(scene: &mut Scene<'_>, one: &Unit, kind: &str) -> anyhow::Result<()> {
    let why = "new elements for the shift".to_owned();
    scene.today(118, None, Fact::ElementsDiscarded { unit: unit(&one.tag), why })?;
    let shelf_ends = match one.odd {
        Some(UnitOdd::ShelfLifePassed) => 12,
        _ => -scene.between(900, 1300),
    };
    let opened = scene.ago(115)?;
    let fresh = Fresh { kind, shelf_ends };
    let fact = care::fitted(scene, &one.tag, &fresh, opened)?;
    scene.today(115, None, fact)
}

fn check_flow(
    scene: &mut Scene<'_>,
    minutes: i64,
    tag: &str,
    (least, part): (LitrePerMin, f64),
) -> anyhow::Result<()> {
    let flow = LitrePerMin::from_l_per_min((least.as_l_per_min() * part).round())?;
    scene.today(minutes, None, Fact::PoweredFlowChecked { unit: unit(tag), flow, least })
}

fn go_wrong(scene: &mut Scene<'_>, model: &Model, one: &Unit) -> anyhow::Result<()> {
    let tag = one.tag.as_str();
    match one.odd {
        Some(UnitOdd::Held) => {
            let why = "crack in the filter holder, waits for a part".to_owned();
            scene.today(40, None, Fact::Held { unit: unit(tag), why })
        }
        Some(UnitOdd::InspectionFailed) => {
            let failed = Err("exhalation valve does not close");
            scene.today(40, None, care::inspected(tag, InspectionOccasion::BeforeUse, failed))
        }
        Some(UnitOdd::FlowLow) => {
            let least = model.least_flow.context("a weak blower needs `least_flow`")?;
            check_flow(scene, 40, tag, (least, WEAK))
        }
        Some(UnitOdd::InOtherHands) => {
            let (_, member) = pool::wearer_of(scene, tag)?;
            let (wearer, name) = (person(&member.name), Some(member.name.as_str()));
            scene.today(58, None, Fact::Issued { unit: unit(tag), wearer })?;
            scene.today(54, name, care::inspected(tag, InspectionOccasion::BeforeUse, Ok(())))
        }
        _ => Ok(()),
    }
}
