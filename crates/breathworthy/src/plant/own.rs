//! The daily life of respirators that one wearer keeps.

use program::{Fact, InspectionOccasion, TaskId};
use quantity::Minutes;

use super::care::{self, Fresh};
use super::listed::{Crew, Member, Rack, Task, Unit, UnitOdd};
use super::scene::{Career, Moment, Scene, person, unit};

/// Shifts start here, give or take.
const SHIFT_STARTS: i64 = 6 * 60 + 10;
const HOME: i64 = 13 * 60 + 30;
/// Wears between two baths.
const BATH_AFTER: u32 = 5;
/// How often wear is entered ten times too long, and put right that day.
const SLIP_SHARE: f64 = 0.004;
/// How often wear is entered late, from a telephone without a connection.
const LATE_SHARE: f64 = 0.03;

/// One respirator in the hands of the one who keeps it.
struct Keeping<'a> {
    who: &'a str,
    task: &'a Task,
    rack: &'a Rack,
    unit: &'a Unit,
    /// A facepiece that is itself the filter is inspected and discarded, never cleaned.
    is_filter: bool,
    /// Wears that one set of elements serves.
    uses: u32,
    used: u32,
    since_bath: u32,
}

pub(super) fn wear(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for crew in listed.crews_of(site).filter(|crew| crew.pool.is_empty()) {
        for member in &crew.members {
            wear_one(scene, crew, member)?;
        }
    }
    Ok(())
}

/// One wearer's respirators, one after the other over equal parts of the time.
fn wear_one(scene: &mut Scene<'_>, crew: &Crew, member: &Member) -> anyhow::Result<()> {
    let career = scene.careers.get(&member.name).copied();
    let career = career.unwrap_or(Career { from: 4, until: i64::MAX });
    let days: Vec<i64> =
        scene.calendar.workdays().into_iter().filter(|day| *day <= career.from).collect();
    let part = days.len().div_ceil(member.units.len().max(1)).max(1);
    for (number, (tag, days)) in member.units.iter().zip(days.chunks(part)).enumerate() {
        let mut keeping = keeping(scene, crew, member, tag)?;
        let Some(&first) = days.first() else { continue };
        take_over(scene, &keeping, first)?;
        let last = number + 1 == member.units.len();
        let closing = if last { closing_day(scene, &keeping)? } else { 0 };
        for &day in days.iter().skip(1).filter(|day| **day > closing && career.holds(**day)) {
            if scene.happens(crew.share) {
                shift(scene, &mut keeping, day)?;
            }
        }
        match days.last() {
            Some(&end) if !last => give_up(scene, &keeping, end)?,
            _ if closing < first => close(scene, &keeping, closing)?,
            _ => {}
        }
    }
    Ok(())
}

fn keeping<'a>(
    scene: &Scene<'a>,
    crew: &'a Crew,
    member: &'a Member,
    tag: &str,
) -> anyhow::Result<Keeping<'a>> {
    let (rack, unit) = scene.listed.unit(tag)?;
    let kind = rack.element.as_deref().map(|kind| scene.listed.element_type(kind)).transpose()?;
    Ok(Keeping {
        who: &member.name,
        task: scene.listed.task(&crew.task)?,
        rack,
        unit,
        is_filter: scene.listed.model(&rack.model)?.device.filtering_facepiece,
        uses: kind.map_or(u32::MAX, |kind| kind.uses),
        used: 0,
        since_bath: 0,
    })
}

/// The last care before today, early enough for what goes wrong after it.
fn closing_day(scene: &mut Scene<'_>, keeping: &Keeping<'_>) -> anyhow::Result<i64> {
    let workday = if keeping.unit.odd.is_some() { 4 } else { scene.between(2, 4) };
    scene.calendar.last_workday(workday)
}

fn take_over(scene: &mut Scene<'_>, keeping: &Keeping<'_>, back: i64) -> anyhow::Result<()> {
    let when = Moment { back, minute: SHIFT_STARTS - 30 };
    let tag = &keeping.unit.tag;
    let usual = keeping.rack.element.as_deref();
    let kind = if keeping.is_filter { keeping.rack.fitted_to(keeping.unit) } else { usual };
    if let Some(kind) = kind {
        let fresh = Fresh::stock(scene, when, kind);
        care::fit(scene, when, tag, &fresh)?;
    }
    let before = InspectionOccasion::BeforeUse;
    care::inspect(scene, when.later(4), tag, (before, Ok(())))?;
    issue(scene, keeping, when.later(10))
}

fn issue(scene: &mut Scene<'_>, keeping: &Keeping<'_>, when: Moment) -> anyhow::Result<()> {
    let fact = Fact::Issued { unit: unit(&keeping.unit.tag), wearer: person(keeping.who) };
    scene.bench(when, fact).map(drop)
}

fn take_back(scene: &mut Scene<'_>, keeping: &Keeping<'_>, when: Moment) -> anyhow::Result<()> {
    let fact = Fact::Returned { unit: unit(&keeping.unit.tag), wearer: person(keeping.who) };
    scene.bench(when, fact).map(drop)
}

fn shift(scene: &mut Scene<'_>, keeping: &mut Keeping<'_>, back: i64) -> anyhow::Result<()> {
    let when = Moment { back, minute: SHIFT_STARTS + scene.between(0, 40) };
    let tag = &keeping.unit.tag;
    if let Some(kind) = keeping.rack.element.as_deref().filter(|_| keeping.used >= keeping.uses) {
        care::discard(scene, when, tag, "end of schedule")?;
        let fresh = Fresh::stock(scene, when, kind);
        care::fit(scene, when.later(3), tag, &fresh)?;
        keeping.used = 0;
    }
    let fact = care::inspected(tag, InspectionOccasion::BeforeUse, Ok(()));
    scene.door(when.later(7), keeping.who, fact)?;
    keeping.used += 1;
    keeping.since_bath += 1;
    let bath = keeping.since_bath > BATH_AFTER && !keeping.is_filter;
    let end = when.later(300 + scene.between(0, 60));
    stop_of_wear(scene, keeping, end, bath)?;
    if bath {
        keeping.since_bath = 0;
        let home = Moment { back, minute: HOME };
        take_back(scene, keeping, home)?;
        care::wash(scene, home.later(10), tag)?;
        care::inspect_cleaned(scene, home.later(35), tag)?;
        issue(scene, keeping, home.later(70))?;
    }
    Ok(())
}

/// The wear of one shift, entered when it ends: rightly, late, or wrongly and then put right.
fn stop_of_wear(
    scene: &mut Scene<'_>,
    keeping: &Keeping<'_>,
    end: Moment,
    bath: bool,
) -> anyhow::Result<()> {
    let planned = keeping.task.spec.wear_per_shift.as_min();
    let minutes = (planned * scene.amount(0.5, 1.0)).round();
    let right = worn(keeping, minutes)?;
    if scene.happens(SLIP_SHARE) {
        let slip = worn(keeping, minutes * 10.0)?;
        let wrong = scene.door(end, keeping.who, slip)?;
        return scene.correct(wrong, end, Moment { back: end.back, minute: 16 * 60 }, right);
    }
    let key = scene.door(end, keeping.who, right)?;
    if !bath && scene.happens(LATE_SHARE) {
        scene.journal.delay(key, jiff::SignedDuration::from_mins(95));
    }
    Ok(())
}

fn worn(keeping: &Keeping<'_>, minutes: f64) -> anyhow::Result<Fact> {
    Ok(Fact::Worn {
        unit: unit(&keeping.unit.tag),
        wearer: person(keeping.who),
        task: TaskId::new(&keeping.task.id),
        time: Minutes::from_min(minutes)?,
    })
}

/// A filtering facepiece that is worn out is handed in and retired.
fn give_up(scene: &mut Scene<'_>, keeping: &Keeping<'_>, back: i64) -> anyhow::Result<()> {
    let when = Moment { back, minute: HOME };
    take_back(scene, keeping, when)?;
    let why = "soiled, harder to breathe through".to_owned();
    scene.bench(when.later(5), Fact::Retired { unit: unit(&keeping.unit.tag), why }).map(drop)
}

/// The last care: washed, fitted with what it carries today, inspected, issued again.
fn close(scene: &mut Scene<'_>, keeping: &Keeping<'_>, back: i64) -> anyhow::Result<()> {
    let home = Moment { back, minute: HOME };
    let tag = &keeping.unit.tag;
    take_back(scene, keeping, home)?;
    if !keeping.is_filter {
        care::wash(scene, home.later(10), tag)?;
        refit(scene, keeping, home.later(25))?;
    }
    care::inspect(scene, home.later(35), tag, (InspectionOccasion::AtCleaning, Ok(())))?;
    issue(scene, keeping, home.later(70))
}

fn refit(scene: &mut Scene<'_>, keeping: &Keeping<'_>, when: Moment) -> anyhow::Result<()> {
    let tag = &keeping.unit.tag;
    if keeping.rack.element.is_some() {
        care::discard(scene, when, tag, "weekly care")?;
    }
    let Some(kind) = keeping.rack.fitted_to(keeping.unit) else { return Ok(()) };
    if keeping.unit.odd == Some(UnitOdd::NoElements) {
        return Ok(());
    }
    let fresh = Fresh::stock(scene, when, kind);
    care::fit(scene, when.later(3), tag, &fresh)
}
