//! The rounds of every four weeks: emergency and self-contained sets, cylinders, breathing air,
//! and the flow of powered units on the shelf.

use program::{AirQuality, InspectionOccasion};
use quantity::Kilopascal;

use super::care;
use super::listed::{Kept, Model, Rack, Unit, UnitOdd};
use super::scene::{Moment, Scene};

/// The last round was this many days ago, each other one this many days earlier.
const LAST_ROUND: i64 = 9;
const EVERY: i64 = 28;
const ROUNDS: i64 = 15;
/// Rounds start when what went out in the morning is home.
const STARTS: i64 = 16 * 60;

pub(super) fn walk(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    for round in 0..ROUNDS {
        let back = scene.calendar.workday_by(LAST_ROUND + EVERY * round);
        let mut when = Moment { back, minute: STARTS };
        let (listed, site) = (scene.listed, scene.site);
        for rack in listed.racks_of(site) {
            let model = listed.model(&rack.model)?;
            for unit in &rack.list {
                visit(scene, (rack, model, unit), round, when)?;
                when = when.later(2);
            }
        }
    }
    Ok(())
}

/// What one respirator gets on the round that is `round` rounds before the last one.
fn visit(
    scene: &mut Scene<'_>,
    (rack, model, unit): (&Rack, &Model, &Unit),
    round: i64,
    when: Moment,
) -> anyhow::Result<()> {
    let tag = unit.tag.as_str();
    let source = model.device.air_source;
    let missed = unit.odd == Some(UnitOdd::MonthlyOverdue) && round < 2;
    let shelf_turn = rack.kept == Kept::Spare && round % 3 == 0;
    if (rack.kept == Kept::Emergency || model.cylinder.is_some() || shelf_turn) && !missed {
        care::inspect(scene, when, tag, (InspectionOccasion::Monthly, Ok(())))?;
    }
    if let Some(rated) = model.cylinder {
        read_cylinder(scene, unit, round, (when.later(3), rated))?;
    }
    // The air in cylinders is tested with every third filling, about.
    if !source.purifies_air()
        && (!source.is_self_contained() || round % 3 == 0)
        && let Some(quality) = air_of(unit, round)
    {
        care::test_air(scene, when.later(6), tag, quality)?;
    }
    if let Some(least) = model.least_flow
        && rack.kept != Kept::Shared
        && unit.odd != Some(UnitOdd::FlowNever)
    {
        let part = scene.amount(1.05, 1.2);
        care::check_flow(scene, when.later(9), tag, (least, part))?;
    }
    Ok(())
}

/// The cylinder of one set; the low one and the overfilled one show themselves on the last round.
fn read_cylinder(
    scene: &mut Scene<'_>,
    unit: &Unit,
    round: i64,
    (when, rated): (Moment, Kilopascal),
) -> anyhow::Result<()> {
    let percent = match unit.odd {
        Some(UnitOdd::CylinderNever) => return Ok(()),
        Some(UnitOdd::CylinderLow) if round == 0 => 85.0,
        Some(UnitOdd::CylinderWrong) if round == 0 => 107.0,
        _ => scene.amount(93.0, 100.0),
    };
    care::read_cylinder(scene, when, &unit.tag, (rated, percent))
}

/// What the test of the air says; none where it was left out.
fn air_of(unit: &Unit, round: i64) -> Option<AirQuality> {
    match unit.odd {
        Some(UnitOdd::AirNever) => None,
        Some(UnitOdd::AirFailed) if round == 0 => Some(AirQuality::Fails),
        _ => Some(AirQuality::Meets),
    }
}
