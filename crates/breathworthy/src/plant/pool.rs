//! The daily life of shared respirators: out in the morning, home and clean by the afternoon.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::Context;
use program::{Fact, InspectionOccasion, TaskId};
use quantity::Minutes;

use super::care::{self, Fresh};
use super::listed::{Crew, Member, Model, Rack, UnitOdd};
use super::scene::{Moment, Scene, person, unit};

const SHIFT_STARTS: i64 = 6 * 60 + 10;
/// Respirators that end up odd are left on the rack for this many days before.
const LEFT_ALONE: i64 = 75;

/// One outing of a shared respirator.
#[derive(Clone, Copy)]
pub(super) struct Outing<'a> {
    pub(super) crew: &'a Crew,
    pub(super) member: &'a Member,
    pub(super) tag: &'a str,
    pub(super) rack: &'a Rack,
    pub(super) model: &'a Model,
}

pub(super) fn wear(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for crew in listed.crews_of(site).filter(|crew| !crew.pool.is_empty()) {
        let mut used = BTreeMap::new();
        for day in scene.calendar.workdays() {
            wear_day(scene, crew, day, &mut used)?;
        }
    }
    Ok(())
}

/// The outings of one crew on one day; no respirator goes out twice.
fn wear_day<'a>(
    scene: &mut Scene<'a>,
    crew: &'a Crew,
    day: i64,
    used: &mut BTreeMap<&'a str, u32>,
) -> anyhow::Result<()> {
    let mut out = BTreeSet::new();
    for member in &crew.members {
        let career = scene.careers.get(&member.name);
        let present = career.is_some_and(|career| career.holds(day));
        if !present || !scene.happens(crew.share) {
            continue;
        }
        let mut free = Vec::new();
        for tag in crew.pool.iter().filter(|tag| !out.contains(*tag)) {
            if is_free(scene, tag, &member.size, day)? {
                free.push(tag);
            }
        }
        let Some(tag) = scene.one_of(&free) else { continue };
        out.insert(tag);
        let (rack, _) = scene.listed.unit(tag)?;
        let model = scene.listed.model(&rack.model)?;
        let outing = Outing { crew, member, tag, rack, model };
        let when = Moment { back: day, minute: SHIFT_STARTS + scene.between(0, 40) };
        let home = go_out(scene, outing, when)?;
        care::wash(scene, home.later(12), tag)?;
        change_elements(scene, outing, home.later(28), used)?;
        make_ready(scene, outing, home.later(34))?;
    }
    Ok(())
}

fn is_free(scene: &Scene<'_>, tag: &str, size: &str, day: i64) -> anyhow::Result<bool> {
    let (_, unit) = scene.listed.unit(tag)?;
    let never =
        matches!(unit.odd, Some(UnitOdd::AirNever | UnitOdd::FlowNever | UnitOdd::CylinderNever));
    let odd = unit.odd.is_some() || unit.fits.is_some();
    Ok(unit.size == size && !never && (!odd || day > LEFT_ALONE))
}

/// Checked, issued, inspected, worn and returned; the moment of the return.
pub(super) fn go_out(
    scene: &mut Scene<'_>,
    outing: Outing<'_>,
    when: Moment,
) -> anyhow::Result<Moment> {
    let Outing { crew, member, tag, .. } = outing;
    let wearer = person(&member.name);
    let fact = Fact::Issued { unit: unit(tag), wearer: wearer.clone() };
    scene.bench(when.later(3), fact)?;
    let fact = care::inspected(tag, InspectionOccasion::BeforeUse, Ok(()));
    scene.door(when.later(8), &member.name, fact)?;
    let task = scene.listed.task(&crew.task)?;
    let minutes = (task.spec.wear_per_shift.as_min() * scene.amount(0.5, 1.0)).round();
    let time = Minutes::from_min(minutes)?;
    let end = when.later(220 + scene.between(0, 60));
    let task = TaskId::new(&task.id);
    let fact = Fact::Worn { unit: unit(tag), wearer: wearer.clone(), task, time };
    scene.door(end, &member.name, fact)?;
    let home = end.later(15);
    scene.bench(home, Fact::Returned { unit: unit(tag), wearer })?;
    Ok(home)
}

/// New elements where the fitted set has served its wears, while the respirator is apart.
fn change_elements<'a>(
    scene: &mut Scene<'a>,
    outing: Outing<'a>,
    when: Moment,
    used: &mut BTreeMap<&'a str, u32>,
) -> anyhow::Result<()> {
    let Some(kind) = outing.rack.element.as_deref() else { return Ok(()) };
    let served = used.entry(outing.tag).or_default();
    *served += 1;
    if *served < scene.listed.element_type(kind)?.uses {
        return Ok(());
    }
    *served = 0;
    care::discard(scene, when, outing.tag, "end of schedule")?;
    let fresh = Fresh::stock(scene, when, kind);
    care::fit(scene, when.later(3), outing.tag, &fresh)
}

/// The inspection that ends the care, then a full cylinder or a strong blower where there is one:
/// a repair during the inspection may have changed both.
fn make_ready(scene: &mut Scene<'_>, outing: Outing<'_>, when: Moment) -> anyhow::Result<()> {
    care::inspect_cleaned(scene, when, outing.tag)?;
    let last = when.later(30);
    if let Some(least) = outing.model.least_flow {
        let part = scene.amount(1.04, 1.2);
        care::check_flow(scene, last, outing.tag, (least, part))?;
    }
    if let Some(rated) = outing.model.cylinder {
        let percent = scene.amount(98.0, 100.0);
        care::read_cylinder(scene, last, outing.tag, (rated, percent))?;
    }
    Ok(())
}

/// The crew whose pool this respirator belongs to, and the first healthy wearer of its size.
pub(super) fn wearer_of<'a>(
    scene: &Scene<'a>,
    tag: &str,
) -> anyhow::Result<(&'a Crew, &'a Member)> {
    let (_, one) = scene.listed.unit(tag)?;
    let crews = scene.listed.crews_of(scene.site);
    let mut in_pool = crews.filter(|crew| crew.pool.iter().any(|in_pool| in_pool == tag));
    let crew = in_pool.next().context("in no crew's pool")?;
    let mut healthy = crew.members.iter().filter(|member| member.odd.is_none());
    let member = healthy.find(|member| member.size == one.size);
    Ok((crew, member.context("no healthy wearer of its size")?))
}
