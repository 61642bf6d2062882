//! The end of the history: each respirator is left as `demo/plant.toml` lists it.

use anyhow::Context;
use program::{Fact, InspectionOccasion, SeriousSign, TaskId};
use quantity::Minutes;

use super::care::{self, Fresh};
use super::listed::{Crew, Kept, Member, Rack, Unit, UnitOdd};
use super::pool::{self, Outing};
use super::scene::{Moment, Scene, person, unit};

const MORNING: i64 = 6 * 60 + 20;
/// A contact time below that of the bath's instructions, in what is no disinfectant.
const TOO_SHORT_MIN: f64 = 1.0;
const VINEGAR: &str = "vinegar in warm water";

pub(super) fn end_as_listed(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for rack in listed.racks_of(site) {
        for one in &rack.list {
            if let Some(odd) = one.odd {
                end(scene, rack, one, odd).with_context(|| format!("respirator `{}`", one.tag))?;
            }
        }
    }
    Ok(())
}

/// What the last days add for this oddity. The others show in what was left out before, or go wrong
/// this morning.
fn end(scene: &mut Scene<'_>, rack: &Rack, one: &Unit, odd: UnitOdd) -> anyhow::Result<()> {
    let yesterday = Moment { back: scene.calendar.last_workday(1)?, minute: MORNING };
    let tag = one.tag.as_str();
    match odd {
        UnitOdd::Retired => {
            let why = "face seal hardened".to_owned();
            scene.bench(yesterday, Fact::Retired { unit: unit(tag), why }).map(drop)
        }
        UnitOdd::NotInspected => care::wash(scene, yesterday.later(540), tag),
        UnitOdd::HungBack => hang_back(scene, tag, yesterday),
        UnitOdd::NotCleaned | UnitOdd::NotDisinfected | UnitOdd::ShortContact => {
            come_home(scene, one, odd)
        }
        UnitOdd::ShelfLifePassed if rack.kept != Kept::Own => outlive_shelf(scene, rack, one),
        UnitOdd::WornPastSchedule => overwear(scene, tag),
        UnitOdd::Sensed => sense(scene, tag, yesterday),
        _ => Ok(()),
    }
}

/// An emergency set that was used, looked over and hung back without a bath.
fn hang_back(scene: &mut Scene<'_>, tag: &str, when: Moment) -> anyhow::Result<()> {
    let crew = scene.listed.crews_of(scene.site).next().context("the site has no crew")?;
    let member = crew.members.iter().find(|member| member.odd.is_none());
    let member = member.context("no healthy wearer")?;
    let wearer = person(&member.name);
    scene.door(when, &member.name, Fact::Issued { unit: unit(tag), wearer: wearer.clone() })?;
    let used = worn(tag, crew, member, Minutes::from_min(6.0)?);
    scene.door(when.later(20), &member.name, used)?;
    scene.bench(when.later(30), Fact::Returned { unit: unit(tag), wearer })?;
    let kind = scene.listed.unit(tag)?.0.element.as_deref();
    if let Some(kind) = kind {
        care::discard(scene, when.later(35), tag, "used in an alarm")?;
        let fresh = Fresh::stock(scene, when, kind);
        care::fit(scene, when.later(38), tag, &fresh)?;
    }
    care::inspect(scene, when.later(41), tag, (InspectionOccasion::Monthly, Ok(())))
}

/// Worn on the last working day and not looked after, or washed and not disinfected, or dipped too
/// briefly into what is no disinfectant.
fn come_home(scene: &mut Scene<'_>, one: &Unit, odd: UnitOdd) -> anyhow::Result<()> {
    let when = Moment { back: scene.calendar.last_workday(1)?, minute: MORNING };
    let (crew, member) = pool::wearer_of(scene, &one.tag)?;
    let (rack, _) = scene.listed.unit(&one.tag)?;
    let model = scene.listed.model(&rack.model)?;
    let home = pool::go_out(scene, Outing { crew, member, tag: &one.tag, rack, model }, when)?;
    if odd == UnitOdd::NotCleaned {
        return Ok(());
    }
    scene.bench(home.later(15), Fact::Cleaned { unit: unit(&one.tag) })?;
    if odd == UnitOdd::ShortContact {
        care::dip(scene, home.later(17), &one.tag, (VINEGAR, TOO_SHORT_MIN))?;
    }
    if let Some(kind) = rack.element.as_deref() {
        care::discard(scene, home.later(20), &one.tag, "end of schedule")?;
        let fresh = Fresh::stock(scene, home, kind);
        care::fit(scene, home.later(23), &one.tag, &fresh)?;
    }
    let at = InspectionOccasion::AtCleaning;
    care::inspect(scene, home.later(40), &one.tag, (at, Ok(())))
}

/// Elements fitted a year ago whose shelf life ended a fortnight ago.
fn outlive_shelf(scene: &mut Scene<'_>, rack: &Rack, one: &Unit) -> anyhow::Result<()> {
    let kind = rack.fitted_to(one).context("no element to outlive its shelf life")?;
    let when = Moment { back: scene.calendar.last_workday(250)?, minute: MORNING };
    care::discard(scene, when, &one.tag, "seal broken")?;
    care::fit(scene, when.later(3), &one.tag, &Fresh { kind, shelf_ends: 15 })
}

/// Worn for the whole shift on three days without new elements.
fn overwear(scene: &mut Scene<'_>, tag: &str) -> anyhow::Result<()> {
    for workday in [3, 2, 1] {
        let back = scene.calendar.last_workday(workday)?;
        let (crew, member) = keeper(scene, tag)?;
        let before = care::inspected(tag, InspectionOccasion::BeforeUse, Ok(()));
        scene.door(Moment { back, minute: MORNING }, &member.name, before)?;
        let time = scene.listed.task(&crew.task)?.spec.wear_per_shift;
        let end = Moment { back, minute: MORNING + 300 };
        scene.door(end, &member.name, worn(tag, crew, member, time))?;
        care::inspect(scene, end.later(20), tag, (InspectionOccasion::BeforeUse, Ok(())))?;
    }
    Ok(())
}

/// Something was smelled after half an hour, and the wearer left the area.
fn sense(scene: &mut Scene<'_>, tag: &str, when: Moment) -> anyhow::Result<()> {
    let (crew, member) = keeper(scene, tag)?;
    let before = care::inspected(tag, InspectionOccasion::BeforeUse, Ok(()));
    scene.door(when, &member.name, before)?;
    let time = Minutes::from_min(30.0)?;
    scene.door(when.later(40), &member.name, worn(tag, crew, member, time))?;
    let fact = Fact::BreakthroughSensed {
        unit: unit(tag),
        wearer: person(&member.name),
        task: TaskId::new(&crew.task),
        sign: SeriousSign::Smell,
    };
    scene.door(when.later(43), &member.name, fact).map(drop)
}

fn worn(tag: &str, crew: &Crew, member: &Member, time: Minutes) -> Fact {
    let task = TaskId::new(&crew.task);
    Fact::Worn { unit: unit(tag), wearer: person(&member.name), task, time }
}

/// The wearer who keeps this respirator.
fn keeper<'a>(scene: &Scene<'a>, tag: &str) -> anyhow::Result<(&'a Crew, &'a Member)> {
    let members = |crew: &'a Crew| crew.members.iter().map(move |member| (crew, member));
    let mut all = scene.listed.crews_of(scene.site).flat_map(members);
    let found = all.find(|(_, member)| member.units.iter().any(|kept| kept == tag));
    found.context("nobody keeps it")
}
