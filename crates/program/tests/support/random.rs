use program::{
    Ask, Clearance, CylinderId, ElementTypeId, Entry, Fact, FitMethod, GroupId, InspectionOccasion,
    ModelId, PersonId, PlaceId, Role, SeriousSign, StockId, StockItem, SupplyId, TaskId,
    TrainingTopic, UnitId,
};
use proptest::prelude::*;

use super::plant::{Plant, minutes, reading, spec, until};

const UNITS: [&str; 3] = ["u1", "u2", "u3"];
const WEARERS: [&str; 4] = ["ada", "bo", "cleo", "nobody-enrolled"];
const TASKS: [&str; 3] = ["paint", "strip", "never-described"];
const MODELS: [&str; 4] = ["half", "carried", "hood", "never-listed"];
const KINDS: [&str; 3] = ["ov", "p100", "never-listed"];

/// What one random entry is made of.
#[derive(Debug, Clone, Copy)]
pub struct Draw {
    what: usize,
    which: (usize, usize, usize, usize),
    /// Days after 2025-01-05, and the hour.
    when: (i64, i64),
    /// The entry that it corrects, counted back from it; or one that is not there.
    corrects: Option<usize>,
    yes: bool,
}

/// A plant that began well, and then whatever comes.
pub fn plants() -> impl Strategy<Value = Plant> {
    let which = (0..12_usize, 0..12_usize, 0..12_usize, 0..12_usize);
    let corrects = prop::option::weighted(0.15, 0..12_usize);
    let draw = (0..35_usize, which, (0..700_i64, 0..24_i64), corrects, prop::bool::weighted(0.7));
    let draw = draw.prop_map(|(what, which, when, corrects, yes)| Draw {
        what,
        which,
        when,
        corrects,
        yes,
    });
    prop::collection::vec(draw, 0..40).prop_map(|draws| {
        let mut plant = Plant::good();
        for (number, draw) in draws.into_iter().enumerate() {
            add(&mut plant, number, draw);
        }
        plant
    })
}

/// Every question that can be asked of such a plant.
pub fn asks() -> impl Iterator<Item = Ask> {
    let unit = UNITS.into_iter().map(UnitId::new);
    let with_wearer =
        unit.flat_map(|unit| WEARERS.map(|wearer| (unit.clone(), PersonId::new(wearer))));
    with_wearer.flat_map(|(unit, wearer)| {
        TASKS.map(|task| Ask {
            wearer: wearer.clone(),
            unit: unit.clone(),
            task: TaskId::new(task),
            planned_wear: None,
        })
    })
}

fn add(plant: &mut Plant, number: usize, draw: Draw) {
    let corrects = draw.corrects.map(|back| {
        let target = plant.entries.len().checked_sub(back + 1);
        target.map_or("not-here".to_owned(), |at| plant.entries[at].id.to_string())
    });
    let day = until("2025-01-05").checked_add(jiff::Span::new().days(draw.when.0)).unwrap();
    let when = format!("{day}T{:02}:10", draw.when.1);
    // Daylight saving skips an hour on one night, and a time in it is moved by the calendar.
    plant.add_correction(&format!("r{number}"), &when, corrects.as_deref(), fact(draw));
}

fn pick<T: Copy>(all: &[T], index: usize) -> T {
    all[index % all.len()]
}

#[expect(clippy::too_many_lines, reason = "a plain list of facts")]
fn fact(draw: Draw) -> Fact {
    let unit = UnitId::new(pick(&UNITS, draw.which.0));
    let wearer = PersonId::new(pick(&WEARERS, draw.which.1));
    let task = TaskId::new(pick(&TASKS, draw.which.2));
    let model = ModelId::new(pick(&MODELS, draw.which.3));
    let element_type = ElementTypeId::new(pick(&KINDS, draw.which.3));
    let occasion =
        if draw.yes { InspectionOccasion::Monthly } else { InspectionOccasion::BeforeUse };
    let later = until("2026-04-20").checked_add(jiff::Span::new().days(draw.when.0 / 8)).unwrap();
    match draw.what {
        0 => Fact::UnitReceived {
            unit,
            model,
            size: "M".into(),
            serial: "s".into(),
            shared: draw.yes,
            emergency: !draw.yes,
        },
        1 => Fact::WearerEnrolled { name: wearer.to_string(), wearer },
        2 => Fact::TaskDescribed { task, spec: spec() },
        3 | 4 => Fact::Issued { unit, wearer },
        5 => Fact::Returned { unit, wearer },
        6..=9 => Fact::Worn { unit, wearer, task, time: minutes(30.0) },
        10 => Fact::BreakthroughSensed { unit, wearer, task, sign: SeriousSign::Taste },
        11 => Fact::Cleaned { unit },
        12 => {
            let contact = minutes(2.0);
            Fact::Disinfected { unit, agent: "bath".into(), contact }
        }
        13 | 14 => Fact::Inspected { unit, occasion, passed: draw.yes, found: String::new() },
        15 if draw.yes => Fact::Held { unit, why: "strap".into() },
        15 => Fact::Retired { unit, why: "torn".into() },
        16 => Fact::ElementsFitted {
            unit,
            element_type,
            lot: "lot".into(),
            shelf_life_until: later,
            opened: super::plant::NOW.parse().unwrap(),
        },
        17 => {
            let (rated, read) = ("300 bar", if draw.yes { "295 bar" } else { "200 bar" });
            let (rated, read) = (super::plant::quantity(rated), super::plant::quantity(read));
            Fact::CylinderRead { unit, rated, read }
        }
        18 => Fact::ClearanceGiven { wearer, clearance: Clearance::Cleared, until: Some(later) },
        19 => Fact::Trained { wearer, topic: TrainingTopic::Wear, understood: draw.yes },
        20 => Fact::FitTested {
            wearer,
            model,
            size: "M".into(),
            method: FitMethod::Qualitative,
            passed: draw.yes,
            hair_in_seal: false,
            seal_note: String::new(),
        },
        21 => reading(&task, if draw.yes { "30 ppm" } else { "?" }),
        22 => Fact::ScheduleAdopted { task, element_type, max_wear: minutes(60.0), shifts: 1 },
        23 => Fact::WearerLeft { wearer, why: "moved".into() },
        24 => Fact::RoleGiven {
            person: wearer,
            name: "with a part".into(),
            role: Role::Repairer,
            shown: "course".into(),
            until: None,
        },
        25 => {
            let tasks = if draw.yes { vec![task] } else { Vec::new() };
            Fact::ExposureGroupDescribed { group: GroupId::new("g"), name: "g".into(), tasks }
        }
        26 => Fact::ExposureMeasured {
            group: GroupId::new("g"),
            cas: super::plant::quantity("108-88-3"),
            level: super::plant::quantity("70 ppm"),
            detected: true,
            sampled: minutes(400.0),
            method: "tube".into(),
        },
        27 => Fact::CylinderMounted { cylinder: CylinderId::new("never-listed"), unit },
        28 => Fact::FacepieceTaken {
            unit,
            stock: StockId::new("never-received"),
            model,
            size: "M".into(),
            wearer,
        },
        29 => Fact::SupplyConnected { unit, supply: SupplyId::new("never-listed") },
        30 => Fact::ReleasedBy { unit, by: wearer, done: "new strap".into() },
        31 => Fact::StockReceived {
            stock: StockId::new("box"),
            item: StockItem::Elements(element_type),
            lot: "lot".into(),
            count: 20,
            shelf_life_until: Some(later),
        },
        32 => Fact::Trained { wearer, topic: TrainingTopic::Repair, understood: draw.yes },
        33 => Fact::Stored { unit, place: PlaceId::new("never-listed") },
        _ => Fact::Released { unit, done: "new strap".into() },
    }
}

/// The entries that have a part in a thing, as an index of them would give it: those folded into it
/// or, where asked for, naming it, and all that correct each other with one of them.
pub fn about<'e>(
    all: &'e [Entry],
    trees: &[Vec<&'e Entry>],
    wanted: impl Fn(&Entry) -> bool,
    has_part: impl Fn(&Entry) -> bool,
) -> Vec<&'e Entry> {
    let own = all.iter().filter(|entry| wanted(entry));
    let correcting = trees.iter().filter(|tree| tree.iter().any(|entry| has_part(entry)));
    own.chain(correcting.flatten().copied()).collect()
}
