//! The air of supplied-air and self-contained sets: compressors, cylinders, and what is done to them.

use jiff::ToSpan;
use program::{AirFigures, CylinderId, Fact, Gas, SupplyId, SupplySource};
use quantity::{Celsius, DewPoint, Kilopascal, Litres, MgPerM3, OxygenPercent, Ppm};

use super::listed::{Model, Unit, UnitOdd};
use super::scene::{Moment, Scene, unit};

/// Days back of the first and the last visit, and from one to the next.
const FIRST: i64 = 420;
const LAST: i64 = 12;
const EVERY: i64 = 30;

/// The row of the table of cylinders that an invented steel cylinder is marked by.
const MARKING: &str = "CY02";

pub(super) fn keep(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let supply = SupplyId::new(format!("{}-compressor", scene.site.id));
    let mut when = Moment { back: scene.calendar.workday_by(FIRST - 2), minute: 17 * 60 };
    let listed = Fact::SupplyListed {
        supply: supply.clone(),
        name: "Breathing-air compressor in the plant room".to_owned(),
        source: SupplySource::OilLubricatedCompressor,
        couplings_apart: true,
        high_temperature_alarm: None,
    };
    scene.desk(when, listed)?;
    let look = Fact::SupplyLookedOver {
        supply: supply.clone(),
        signed: scene.site.administrator.clone(),
        intake: "on the roof, upwind of every exhaust".to_owned(),
        intake_clean: Some(true),
        air_alone: true,
    };
    when = when.later(1);
    scene.desk(when, look)?;
    for rack in scene.listed.racks_of(scene.site) {
        let model = scene.listed.model(&rack.model)?;
        for one in &rack.list {
            when = when.later(2);
            let source = model.device.air_source;
            let odd = matches!(one.odd, Some(UnitOdd::AirNever | UnitOdd::AirFailed));
            if !source.purifies_air() && !source.is_self_contained() && !odd {
                let supply = supply.clone();
                scene.desk(when, Fact::SupplyConnected { unit: unit(&one.tag), supply })?;
            }
            let listed = one.odd != Some(UnitOdd::CylinderNever);
            if let Some(rated) = model.cylinder.filter(|_| listed) {
                cylinder(scene, when, one, (model, rated))?;
                // What is carried beside a line is filled from it.
                if model.device.auxiliary_self_contained {
                    let filled = Fact::CylinderFilled {
                        cylinder: cylinder_of(one),
                        pressure: rated,
                        supply: Some(supply.clone()),
                        gas: Some(Gas::Air),
                    };
                    scene.desk(when.later(3), filled)?;
                }
            }
        }
    }
    let mut back = FIRST - 10;
    while back > LAST {
        visit(scene, &supply, back)?;
        back -= EVERY;
    }
    visit(scene, &supply, LAST)
}

/// The cylinder of one set: steel, a few years old, requalified in its time.
fn cylinder(
    scene: &mut Scene<'_>,
    when: Moment,
    one: &Unit,
    (model, rated): (&Model, Kilopascal),
) -> anyhow::Result<()> {
    let tag = one.tag.as_str();
    let cylinder = cylinder_of(one);
    let made = scene.calendar.date(FIRST)?.first_of_month();
    let made = made.checked_sub(scene.between(6, 18).months())?;
    let litres = match one.odd {
        Some(UnitOdd::CylinderWrong) => 2.0,
        _ if model.device.auxiliary_self_contained => 1.1,
        _ => 6.0,
    };
    let listed = Fact::CylinderListed {
        cylinder: cylinder.clone(),
        serial: format!("invented-c{:05}", scene.between(1, 99_999)),
        marking: MARKING.to_owned(),
        rated,
        water_volume: Litres::from_l(litres)?,
        made,
        requalified: made,
        terms: None,
        part: model.approved_cylinders.first().cloned().unwrap_or_default(),
    };
    scene.desk(when, listed)?;
    scene.desk(when.later(2), Fact::CylinderMounted { cylinder, unit: unit(tag) }).map(drop)
}

fn cylinder_of(one: &Unit) -> CylinderId {
    CylinderId::new(format!("{}-cyl", one.tag))
}

/// Once a month: a sample of the air, the alarm, and each third time a new bed.
fn visit(scene: &mut Scene<'_>, supply: &SupplyId, back: i64) -> anyhow::Result<()> {
    let when = Moment { back: scene.calendar.workday_by(back), minute: 18 * 60 };
    let supply = supply.clone();
    let figures = AirFigures {
        oxygen: Some(OxygenPercent::from_percent(20.9)?),
        hydrocarbons: Some(MgPerM3::from_mg_per_m3(scene.amount(0.2, 1.5))?),
        carbon_monoxide: Some(Ppm::from_ppm(scene.amount(0.5, 4.0).round())?),
        carbon_dioxide: Some(Ppm::from_ppm(scene.amount(350.0, 700.0).round())?),
        odour: Some(false),
        dew_point: Some(DewPoint::from_celsius(-52.0)?),
        dew_point_at: None,
        ambient: Some(Celsius::from_celsius(21.0)?),
    };
    scene.bench(when, Fact::AirSampled { supply: supply.clone(), figures })?;
    let alarm = Fact::CarbonMonoxideAlarmChecked {
        supply: supply.clone(),
        passed: true,
        alarms_at: Ppm::from_ppm(10.0)?,
    };
    scene.bench(when.later(10), alarm)?;
    if back % 90 < EVERY {
        let signed = scene.site.technicians.first().unwrap_or(&scene.site.administrator).clone();
        let serves_until = Some(scene.calendar.date(back - 180)?);
        scene.bench(when.later(20), Fact::SorbentBedChanged { supply, signed, serves_until })?;
    }
    Ok(())
}
