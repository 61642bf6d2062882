//! The first days: what the site lists, and the readings taken from then on.

use program::{ElementTypeId, Fact, InspectionOccasion, ModelId, TaskId};
use quantity::{Concentration, MgPerM3, Minutes, Ppm};

use super::care::{self, Fresh};
use super::listed::{Contaminant, Kept, Rack, Task};
use super::scene::{Moment, Scene, unit};

/// The working day before today on which the sites opened their ledgers.
const OPENING: i64 = 302;
const FIVE_IN_THE_MORNING: i64 = 5 * 60;
/// Working days from one reading to the next.
const READING_EVERY: i64 = 32;

pub(super) fn open(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let back = scene.calendar.last_workday(OPENING)?;
    let mut when = Moment { back, minute: FIVE_IN_THE_MORNING };
    let name = scene.site.name.clone();
    let time_zone = scene.site.time_zone.clone();
    scene.desk(when, Fact::SiteOpened { name, time_zone })?;
    for fact in catalogue(scene) {
        when = when.later(2);
        scene.desk(when, fact)?;
    }
    receive(scene, back)?;
    let (listed, site) = (scene.listed, scene.site);
    for task in listed.tasks.iter().filter(|task| task.site == site.id) {
        measure(scene, task)?;
    }
    Ok(())
}

/// Element types, the models that are approved with them, and tasks.
fn catalogue(scene: &Scene<'_>) -> Vec<Fact> {
    let models = scene.listed.models.iter().map(|model| Fact::ModelListed {
        model: ModelId::new(&model.id),
        name: model.name.clone(),
        device: model.device.clone(),
        sizes: model.sizes.clone(),
        approval: model.approval.clone(),
        approved_elements: model.approved_elements.iter().map(ElementTypeId::new).collect(),
        approved_cylinders: model.approved_cylinders.clone(),
    });
    let kinds = scene.listed.element_types.iter().map(|kind| Fact::ElementTypeListed {
        element_type: ElementTypeId::new(&kind.id),
        name: kind.name.clone(),
        elements: kind.elements.clone(),
        count: kind.count,
        bed: kind.bed.clone(),
        reactions: kind.reactions.clone(),
    });
    let here = scene.listed.tasks.iter().filter(|task| task.site == scene.site.id);
    let tasks = here.map(described);
    kinds.chain(models).chain(tasks).collect()
}

fn described(listed: &Task) -> Fact {
    let (task, spec) = (TaskId::new(&listed.id), listed.spec.clone());
    let segments = listed.segments.clone();
    if segments.is_empty() {
        Fact::TaskDescribed { task, spec }
    } else {
        Fact::TaskDescribedBySegments { task, spec, segments }
    }
}

/// Every respirator is received, fitted with its elements and inspected.
fn receive(scene: &mut Scene<'_>, back: i64) -> anyhow::Result<()> {
    let mut when = Moment { back, minute: FIVE_IN_THE_MORNING + 90 };
    let (listed, site) = (scene.listed, scene.site);
    for rack in listed.racks_of(site) {
        for one in &rack.list {
            receive_one(scene, when, rack, &one.tag)?;
            when = when.later(8);
        }
    }
    Ok(())
}

fn receive_one(scene: &mut Scene<'_>, when: Moment, rack: &Rack, tag: &str) -> anyhow::Result<()> {
    let (_, one) = scene.listed.unit(tag)?;
    let serial = format!("invented-{:06}", scene.between(1, 999_999));
    let fact = Fact::UnitReceived {
        unit: unit(tag),
        model: ModelId::new(&rack.model),
        size: one.size.clone(),
        serial,
        shared: rack.kept == Kept::Shared,
        emergency: rack.kept == Kept::Emergency,
    };
    scene.desk(when, fact)?;
    if let Some(kind) = rack.element.as_deref().filter(|_| rack.kept != Kept::Own) {
        let fresh = Fresh::stock(scene, when, kind);
        care::fit(scene, when.later(3), tag, &fresh)?;
    }
    care::inspect(scene, when.later(5), tag, (InspectionOccasion::BeforeUse, Ok(())))
}

/// Readings every six weeks or so, and the schedules adopted from the first of them.
fn measure(scene: &mut Scene<'_>, task: &Task) -> anyhow::Result<()> {
    let mut workday = OPENING - 2;
    while workday > 0 {
        let back = scene.calendar.last_workday(workday)?;
        let mut when = Moment { back, minute: 14 * 60 + scene.between(0, 40) };
        for contaminant in &task.contaminants {
            let fact = reading(scene, task, contaminant)?;
            scene.desk(when, fact)?;
            when = when.later(3);
        }
        workday -= READING_EVERY + scene.between(0, 4);
    }
    let back = scene.calendar.last_workday(OPENING - 3)?;
    let mut when = Moment { back, minute: 10 * 60 };
    for schedule in &task.schedule {
        let fact = Fact::ScheduleAdopted {
            task: TaskId::new(&task.id),
            element_type: ElementTypeId::new(&schedule.element_type),
            max_wear: schedule.max_wear,
            shifts: schedule.shifts,
        };
        scene.desk(when, fact)?;
        when = when.later(2);
    }
    Ok(())
}

fn reading(scene: &mut Scene<'_>, task: &Task, contaminant: &Contaminant) -> anyhow::Result<Fact> {
    let concentration = between(scene, contaminant)?;
    let sampled = match concentration {
        Some(_) => Some(Minutes::from_min(scene.amount(20.0, 120.0).round())?),
        None => None,
    };
    Ok(Fact::ReadingTaken {
        task: TaskId::new(&task.id),
        cas: contaminant.cas,
        concentration,
        form: contaminant.form,
        sampled,
        method: contaminant.method.clone(),
    })
}

/// A concentration between the two listed, to two figures; none where none is listed.
fn between(
    scene: &mut Scene<'_>,
    contaminant: &Contaminant,
) -> anyhow::Result<Option<Concentration>> {
    let (Some(low), Some(high)) = (contaminant.low, contaminant.high) else {
        return Ok(None);
    };
    let number = scene.amount(low.number(), high.number());
    Ok(Some(match (low, high) {
        (Concentration::Ppm(_), Concentration::Ppm(_)) => {
            Concentration::Ppm(Ppm::from_ppm(number.round())?)
        }
        (Concentration::Mass(_), Concentration::Mass(_)) => {
            let tenths = (number * 10.0).round() / 10.0;
            Concentration::Mass(MgPerM3::from_mg_per_m3(tenths)?)
        }
        _ => anyhow::bail!("`{}`: low and high need one unit", contaminant.cas),
    }))
}
