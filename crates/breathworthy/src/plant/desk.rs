//! What an administrator keeps beside the respirators: people with a part in the program, the
//! written program and its evaluation, places, what is in store, exposure groups, and an instrument for
//! fit tests.

use program::{
    ActionId, ElementTypeId, Every, Fact, GroupId, InstrumentId, ModelId, PlaceId, Role, SparePart,
    StockId, StockItem, TaskId, TrainingTopic,
};
use quantity::{Concentration, Minutes, Ppm};
use rulebook::fit_test::FitInstrument;
use rulebook::storage::Harm;

use super::listed::{Kept, Task};
use super::scene::{Moment, Scene, person, unit};

/// Working days before today: the first weeks, the middle of the year, and lately.
const FIRST: i64 = 300;
const MIDDLE: i64 = 150;
const LATELY: i64 = 20;

/// Readings of one exposure group.
const READINGS: i64 = 8;

pub(super) fn keep(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    people(scene)?;
    program(scene)?;
    places(scene)?;
    instructions(scene)?;
    stores(scene)?;
    duties(scene)?;
    instrument(scene)?;
    groups(scene)
}

/// What only a person can show was shown at the start, but for the last few of the list.
fn duties(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let all = rulebook::duties::all().iter().filter(|duty| duty.is_shown_by_a_person());
    let all: Vec<&rulebook::duties::Duty> = all.collect();
    let shown = all.iter().take(all.len().saturating_sub(3));
    let facts = shown.map(|duty| Fact::DutyShown {
        duty: duty.id.clone(),
        how: "invented: seen by the administrator, paper in the program office".to_owned(),
        until: None,
    });
    let facts = facts.collect();
    enter(scene, FIRST - 8, facts)
}

/// Facts entered at the desk, five minutes apart from ten o'clock on.
fn enter(scene: &mut Scene<'_>, workday: i64, facts: Vec<Fact>) -> anyhow::Result<()> {
    let back = scene.calendar.last_workday(workday)?;
    let mut when = Moment { back, minute: 10 * 60 };
    for fact in facts {
        scene.desk(when, fact)?;
        when = when.later(5);
    }
    Ok(())
}

/// The administrator and the technicians, trained in the first weeks and again after half a year.
fn people(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let site = scene.site;
    let given = |name: &str, role, shown: &str| Fact::RoleGiven {
        person: person(name),
        name: name.to_owned(),
        role,
        shown: shown.to_owned(),
        until: None,
    };
    let mut facts =
        vec![given(&site.administrator, Role::Administrator, "course in hygiene, ten years here")];
    for name in &site.technicians {
        for role in [Role::CareTechnician, Role::Repairer, Role::AirTechnician, Role::FitTester] {
            facts.push(given(name, role, "course of two days, shown at the bench"));
        }
    }
    enter(scene, FIRST, facts)?;
    let trained =
        |name: &String, topic| Fact::Trained { wearer: person(name), topic, understood: true };
    for workday in [FIRST, MIDDLE] {
        let mut facts = vec![trained(&site.administrator, TrainingTopic::Administration)];
        for name in &site.technicians {
            let topics = [
                TrainingTopic::Care,
                TrainingTopic::Repair,
                TrainingTopic::AirSupply,
                TrainingTopic::FitTesting,
            ];
            facts.extend(topics.map(|topic| trained(name, topic)));
        }
        enter(scene, workday - 1, facts)?;
    }
    Ok(())
}

fn program(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let responsible = person(&scene.site.administrator);
    let until = scene.calendar.date(-30)?;
    let action = ActionId::new("bins-at-the-door");
    let written = Fact::ProgramWritten {
        version: "third issue".to_owned(),
        kept_at: "shelf of the program office".to_owned(),
    };
    let policy = Fact::PolicySet { rule: "training.in-date".to_owned(), every: Every::Months(11) };
    enter(scene, FIRST - 3, vec![written, policy])?;
    let consulted = Fact::WorkersConsulted {
        who: "nine wearers of two shifts".to_owned(),
        said: "fit is good; new cartridges are far from the booth".to_owned(),
    };
    let evaluated = Fact::ProgramEvaluated {
        found: "schedules kept; used filters lie about at the door of the booth".to_owned(),
    };
    let opened = |id: &ActionId, what: &str| Fact::ActionOpened {
        action: id.clone(),
        what: what.to_owned(),
        responsible: responsible.clone(),
        until,
    };
    let nearer = ActionId::new("cartridges-nearer");
    let facts = vec![
        consulted,
        evaluated,
        opened(&action, "closed bins for used filters at the door of the booth"),
        opened(&nearer, "a cabinet with cartridges beside the booth"),
    ];
    enter(scene, LATELY, facts)?;
    let done = "cabinet hung and filled".to_owned();
    enter(scene, LATELY - 8, vec![Fact::ActionClosed { action: nearer, done }])
}

/// A cabinet for what waits, and a marked one for emergencies.
fn places(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let id = |name: &str| PlaceId::new(format!("{}-{name}", scene.site.id));
    let (cabinet, emergency) = (id("cabinet"), id("emergency"));
    let place = |place: &PlaceId, name: &str, for_emergencies| Fact::PlaceDescribed {
        place: place.clone(),
        name: name.to_owned(),
        keeps_out: Harm::ALL.to_vec(),
        keeps_shape: true,
        within_reach: for_emergencies,
        marked: for_emergencies,
    };
    let mut facts = vec![
        place(&cabinet, "Cabinet in the care room", false),
        place(&emergency, "Marked wall boxes at the exits", true),
    ];
    for rack in scene.listed.racks_of(scene.site) {
        let kept = match rack.kept {
            Kept::Emergency => &emergency,
            Kept::Spare => &cabinet,
            Kept::Own | Kept::Shared => continue,
        };
        let stored = rack.list.iter();
        facts.extend(stored.map(|one| Fact::Stored { unit: unit(&one.tag), place: kept.clone() }));
    }
    enter(scene, FIRST - 4, facts)
}

fn instructions(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let part =
        |number: &str, name: &str| SparePart { number: number.to_owned(), name: name.to_owned() };
    let models = scene.listed.models.iter().filter(|model| !model.device.filtering_facepiece);
    let noted = models.map(|model| Fact::MakerInstructionsNoted {
        model: ModelId::new(&model.id),
        parts: vec![
            part(&format!("{}-11 (invented)", model.id), "inhalation valve"),
            part(&format!("{}-12 (invented)", model.id), "exhalation valve"),
            part(&format!("{}-20 (invented)", model.id), "head harness"),
        ],
        forbidden_cleaners: vec!["solvents".to_owned(), "wire brush".to_owned()],
        approved_disinfectants: Vec::new(),
        stands_in: "invented user instructions, page 14".to_owned(),
    });
    let facts = noted.collect();
    enter(scene, FIRST - 5, facts)
}

/// A box of each kind of element and of the filtering facepieces, counted now and then.
fn stores(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let until = scene.calendar.date(-600)?;
    let stock = |scene: &Scene<'_>, id: &str| StockId::new(format!("{}-{id}", scene.site.id));
    let mut received = Vec::new();
    let mut counted = Vec::new();
    let kinds = scene.listed.element_types.iter();
    let items = kinds.map(|kind| (&kind.id, StockItem::Elements(ElementTypeId::new(&kind.id))));
    let facepieces = scene.listed.models.iter().filter(|model| model.device.filtering_facepiece);
    let facepieces = facepieces.map(|model| {
        let (model_id, size) = (ModelId::new(&model.id), "M".to_owned());
        (&model.id, StockItem::Facepieces { model: model_id, size })
    });
    for (id, item) in items.chain(facepieces).collect::<Vec<_>>() {
        let (lot, count) = (format!("lot {}", scene.between(1000, 9999)), 240);
        let stock = stock(scene, id);
        let left = u32::try_from(scene.between(40, 160))?;
        counted.push(Fact::StockCounted { stock: stock.clone(), count: left });
        received.push(Fact::StockReceived {
            stock,
            item,
            lot,
            count,
            shelf_life_until: Some(until),
        });
    }
    enter(scene, FIRST - 6, received)?;
    enter(scene, LATELY, counted)
}

/// A particle counter, calibrated in the first weeks and again half a year later, and looked at lately.
fn instrument(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let instrument = InstrumentId::new(format!("{}-counter", scene.site.id));
    let calibrated = |number: u32| Fact::InstrumentCalibrated {
        instrument: instrument.clone(),
        passed: true,
        certificate: format!("invented certificate {number}"),
        until: None,
    };
    let listed = Fact::InstrumentListed {
        instrument: instrument.clone(),
        name: "Particle counter of the fit room".to_owned(),
        serial: "invented 2041".to_owned(),
        serves: FitInstrument::ParticleCounter,
        calibration_months: Some(12),
        checked_before_use: true,
        stands_in: "invented user instructions, page 12".to_owned(),
    };
    enter(scene, FIRST - 9, vec![listed, calibrated(1)])?;
    enter(scene, MIDDLE - 9, vec![calibrated(2)])?;
    let found = "zero check and filter check held".to_owned();
    let checked = Fact::InstrumentChecked { instrument, passed: true, found };
    enter(scene, LATELY - 9, vec![checked])
}

/// The people of each task with a vapour are one group, measured over a shift.
fn groups(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for task in listed.tasks.iter().filter(|task| task.site == site.id && !task.spec.voluntary) {
        let group = GroupId::new(format!("{}-crew", task.id));
        let name = format!("Crew of {}", task.spec.name.to_lowercase());
        let tasks = vec![TaskId::new(&task.id)];
        let described = Fact::ExposureGroupDescribed { group: group.clone(), name, tasks };
        enter(scene, FIRST - 7, vec![described])?;
        for reading in 0..READINGS {
            let facts = measured(scene, task, &group)?;
            enter(scene, FIRST - 10 - 20 * reading, facts)?;
        }
    }
    Ok(())
}

/// One reading over a shift of each vapour: well below the readings at the task itself.
fn measured(scene: &mut Scene<'_>, task: &Task, group: &GroupId) -> anyhow::Result<Vec<Fact>> {
    let mut facts = Vec::new();
    for contaminant in &task.contaminants {
        let Some(Concentration::Ppm(low)) = contaminant.low else { continue };
        let level = low.as_ppm() * scene.amount(0.22, 0.3);
        facts.push(Fact::ExposureMeasured {
            group: group.clone(),
            cas: contaminant.cas,
            level: Concentration::Ppm(Ppm::from_ppm((level * 100.0).round() / 100.0)?),
            detected: true,
            sampled: Minutes::from_min(480.0)?,
            method: contaminant.method.clone(),
        });
    }
    Ok(facts)
}
