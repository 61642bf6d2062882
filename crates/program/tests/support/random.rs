use program::{
    AirFigures, Ask, Clearance, CylinderId, CylinderTerms, ElementTypeId, Entry, Every, Fact,
    FitMethod, GroupId, InspectionOccasion, InstrumentId, ModelId, PersonId, PlaceId,
    ProfessionalTold, Renewal, ReuseCalculation, Role, SealCheck, SeriousSign, StockId, StockItem,
    SupplyId, SupplySource, TaskId, TrainingTopic, UnitId,
};
use proptest::prelude::*;

use super::plant::{Plant, minutes, reading, spec, until};

const UNITS: [&str; 3] = ["u1", "u2", "u3"];
const WEARERS: [&str; 4] = ["ada", "bo", "cleo", "nobody-enrolled"];
const TASKS: [&str; 3] = ["paint", "strip", "never-described"];
const MODELS: [&str; 4] = ["half", "carried", "hood", "never-listed"];
const CYLINDERS: [&str; 3] = ["c1", "c2", "never-listed"];
const SUPPLIES: [&str; 3] = ["compressor", "bank", "never-listed"];
const SITES: [&str; 3] = ["north", "south", "never-opened"];
const ROLES: [Role; 3] = [Role::Repairer, Role::FitTester, Role::Administrator];
const BATHS: [&str; 8] = [
    "bath",
    "hypochlorite, 50 ppm",
    "hypochlorite, 10 ppm",
    "hypochlorite, 1:1000",
    "vinegar",
    "hypochlorite",
    "hypochlorite, 300 ppm",
    "hypochlorite, 5 %",
];
/// How many kinds of fact [`fact`] draws from.
const KINDS_OF_FACT: usize = 72;
const KINDS: [&str; 3] = ["ov", "p100", "never-listed"];

/// What one random entry is made of.
#[derive(Debug, Clone, Copy)]
pub struct Draw {
    pub what: usize,
    which: (usize, usize, usize, usize),
    /// Days after 2025-01-05, and the hour.
    when: (i64, i64),
    /// The entry that it corrects, counted back from it; or one that is not there.
    corrects: Option<usize>,
    yes: bool,
}

/// A plant that began well, and then whatever comes.
pub fn plants() -> impl Strategy<Value = Plant> {
    prop::collection::vec(draws(), 0..60).prop_map(|draws| {
        let mut plant = Plant::good();
        if draws.len().is_multiple_of(2) {
            plant.approve("half", &["ov"]);
        }
        for (number, draw) in draws.into_iter().enumerate() {
            add(&mut plant, number, draw);
        }
        plant
    })
}

/// Whatever one random entry may be made of.
pub fn draws() -> impl Strategy<Value = Draw> {
    let which = (0..12_usize, 0..12_usize, 0..12_usize, 0..12_usize);
    let corrects = prop::option::weighted(0.15, 0..12_usize);
    let draw =
        (0..KINDS_OF_FACT, which, (0..700_i64, 0..24_i64), corrects, prop::bool::weighted(0.7));
    draw.prop_map(|(what, which, when, corrects, yes)| Draw { what, which, when, corrects, yes })
}

/// A plant that began well, whose set was then worn, washed and put into baths of any kind by two
/// wearers, and inspected at last.
pub fn plants_with_baths() -> impl Strategy<Value = Plant> {
    let step = (0..11_usize, 0..12_usize, 0..16_usize);
    let steps = prop::collection::vec(step, 0..14);
    (steps, 0..3_usize).prop_map(|(steps, keeping)| {
        let mut plant = Plant::good();
        match keeping {
            0 => plant.shared(),
            1 => plant.emergency(),
            _ => {}
        }
        for (number, (what, a, b)) in steps.into_iter().enumerate() {
            let when = format!("2026-05-01T{:02}:{:02}", 6 + number / 2, 30 * (number % 2));
            plant.add(&format!("b{number}"), &when, bench(what, a, b));
        }
        if keeping == 1 {
            plant.monthly("round", "2026-05-04T07:35");
        }
        plant
    })
}

/// What happens between two wearers.
fn bench(what: usize, a: usize, b: usize) -> Fact {
    let unit = super::plant::unit();
    let wearer = pick(&[super::plant::ada(), super::plant::bo()].each_ref(), a).clone();
    let bath = || pick(&BATHS, b).to_owned();
    match what {
        0 | 1 => Fact::Returned { unit, wearer },
        2..=4 => Fact::Cleaned { unit },
        9 => Fact::SealChecked { unit, wearer, passed: a < 6, way: SealCheck::Positive },
        5 => Fact::MakerInstructionsNoted {
            model: ModelId::new("half"),
            parts: Vec::new(),
            forbidden_cleaners: Vec::new(),
            approved_disinfectants: if a == 0 { Vec::new() } else { vec![bath()] },
            stands_in: "manual".into(),
        },
        _ => {
            let contact = minutes(pick(&[2.0, 2.5, 1.0], a));
            Fact::Disinfected { unit, agent: bath(), contact }
        }
    }
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

pub fn add(plant: &mut Plant, number: usize, draw: Draw) {
    let corrects = draw.corrects.map(|back| {
        let target = plant.entries.len().checked_sub(back + 1);
        target.map_or("not-here".to_owned(), |at| plant.entries[at].id.to_string())
    });
    let day = until("2025-01-05").checked_add(jiff::Span::new().days(draw.when.0)).unwrap();
    let when = format!("{day}T{:02}:10", draw.when.1);
    // Daylight saving skips an hour on one night, and a time in it is moved by the calendar.
    let (id, by) = (format!("r{number}"), pick(&["cy", "ada"], draw.which.2));
    plant.add_correction(&id, &when, corrects.as_deref(), fact(draw));
    plant.by(&id, by);
    // Now and then another site enters it: a set goes from one to the other, and so does a person.
    if let Some(entry) = plant.entries.last_mut().filter(|_| draw.which.1.is_multiple_of(4)) {
        entry.site = program::SiteId::new(pick(&SITES, draw.which.2));
    }
}

fn pick<T: Copy>(all: &[T], index: usize) -> T {
    all[index % all.len()]
}

/// The fact that is drawn.
#[expect(clippy::too_many_lines, reason = "a plain list of facts")]
pub fn fact(draw: Draw) -> Fact {
    let unit = UnitId::new(pick(&UNITS, draw.which.0));
    let wearer = PersonId::new(pick(&WEARERS, draw.which.1));
    let task = TaskId::new(pick(&TASKS, draw.which.2));
    let model = ModelId::new(pick(&MODELS, draw.which.3));
    let element_type = ElementTypeId::new(pick(&KINDS, draw.which.3));
    let occasion =
        if draw.yes { InspectionOccasion::Monthly } else { InspectionOccasion::BeforeUse };
    let cylinder = CylinderId::new(pick(&CYLINDERS, draw.which.3));
    let supply = SupplyId::new(pick(&SUPPLIES, draw.which.3));
    let later = until("2026-04-20").checked_add(jiff::Span::new().days(draw.when.0 / 8)).unwrap();
    match draw.what {
        0 => Fact::UnitReceived {
            unit,
            model,
            size: pick(&["M", "M", "M", "XXL"], draw.which.1).to_owned(),
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
            let contact = minutes(pick(&[2.0, 2.0, 3.0, 1.0, 0.0], draw.which.1));
            let agent = pick(&BATHS, draw.which.3).to_owned();
            Fact::Disinfected { unit, agent, contact }
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
        19 if draw.which.3 < 4 => {
            let of = [Renewal::FitTest, Renewal::Clearance, Renewal::Training];
            Fact::RenewalAsked { wearer, of: of[draw.which.2 % 3] }
        }
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
        34 if draw.which.0 == 0 => Fact::FitAgentPrepared {
            stock: StockId::new("bottle"),
            agent: rulebook::fit_test::FitAgent::ALL[draw.which.1 % 4],
        },
        34 => {
            let tested_as = draw.yes.then_some(rulebook::fit_test::TestedAs::OwnWithAdapter);
            let exercises = (1..9).map(|number| program::FitExercise {
                number,
                factor: (number != 6).then_some(600.0),
                ..program::FitExercise::default()
            });
            let exercises = exercises.collect();
            Fact::FitMeasured {
                wearer,
                model,
                size: "M".into(),
                tester: PersonId::new("cy"),
                record: program::FitRecord {
                    protocol: "QNFT-CNC".into(),
                    facepiece: rulebook::fit_test::Mask::HalfMask,
                    screening_passed: None,
                    agent_proved: None,
                    made: program::AgentsMade::default(),
                    adjusted: None,
                    comfortable: None,
                    exercises,
                },
                hair_in_seal: false,
                seal_note: String::new(),
                tested_as,
                unit: draw.which.2.is_multiple_of(2).then_some(unit),
                restored: None,
                instrument: draw.yes.then(|| InstrumentId::new("counter")),
            }
        }
        21 => reading(&task, if draw.yes { "30 ppm" } else { "?" }),
        22 => Fact::ScheduleAdopted { task, element_type, max_wear: minutes(60.0), shifts: 1 },
        23 => Fact::WearerLeft { wearer, why: "moved".into() },
        24 => Fact::RoleGiven {
            person: wearer,
            name: "with a part".into(),
            role: pick(&ROLES, draw.which.2),
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
        27 | 35 => Fact::CylinderMounted { cylinder, unit },
        28 => Fact::FacepieceTaken {
            unit,
            stock: StockId::new("never-received"),
            model,
            size: "M".into(),
            wearer,
        },
        29 | 36 => Fact::SupplyConnected { unit, supply },
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
        37 | 38 => Fact::CylinderListed {
            cylinder,
            serial: "c".into(),
            marking: pick(&["CY02", "CY16", "CY20"], draw.which.1).to_owned(),
            rated: super::plant::quantity("300 bar"),
            water_volume: super::plant::quantity("6 L"),
            made: until(if draw.yes { "2022-03-01" } else { "2025-03-01" }),
            requalified: until("2024-03-01"),
            part: pick(&["", "p-1", "p-2"], draw.which.2).to_owned(),
            terms: draw.yes.then(|| CylinderTerms {
                every: Every::Months(60),
                life_ends: Some(later),
                stands_in: "permit".into(),
                confirmed: draw.which.2.is_multiple_of(2),
            }),
        },
        39 => {
            let supply = draw.yes.then_some(supply);
            let pressure = super::plant::quantity("295 bar");
            let gas = (draw.which.2 < 2).then_some(program::Gas::Oxygen);
            Fact::CylinderFilled { cylinder, pressure, supply, gas }
        }
        40 => {
            let read = super::plant::quantity(if draw.yes { "299 bar" } else { "200 bar" });
            Fact::CylinderGauged { cylinder, read }
        }
        41 => Fact::CylinderRequalified { cylinder, passed: draw.yes, mark: "05 26".into() },
        42 if draw.yes => Fact::CylinderGauged { cylinder, read: super::plant::quantity("1 bar") },
        42 => Fact::CylinderWithdrawn { cylinder, why: "dented".into() },
        43 | 44 => Fact::SupplyListed {
            supply,
            name: "supply".into(),
            source: if draw.yes {
                SupplySource::OilLubricatedCompressor
            } else {
                SupplySource::Cylinders
            },
            couplings_apart: draw.which.2 != 0,
            high_temperature_alarm: Some(draw.which.0.is_multiple_of(2)),
        },
        45 => {
            let figures = AirFigures {
                oxygen: Some(super::plant::quantity("20.9 %")),
                carbon_monoxide: draw.yes.then(|| super::plant::quantity("2 ppm")),
                ..AirFigures::default()
            };
            Fact::AirSampled { supply, figures }
        }
        46 => Fact::SorbentBedChanged {
            supply,
            signed: "Cy".into(),
            serves_until: draw.yes.then_some(later),
        },
        47 => {
            let alarms_at = super::plant::quantity("10 ppm");
            Fact::CarbonMonoxideAlarmChecked { supply, passed: draw.yes, alarms_at }
        }
        48 => Fact::RoleEnded { person: wearer, role: pick(&ROLES, draw.which.2) },
        49 => Fact::PolicySet {
            rule: pick(&["fit.in-date", "supply.air-tested", "repair.trained"], draw.which.2)
                .into(),
            every: if draw.yes { Every::Months(2) } else { Every::Days(0) },
        },
        50 => Fact::Repaired {
            unit,
            by: wearer,
            scope: program::RepairScope::Ordinary,
            parts: Vec::new(),
            instructions: if draw.yes { "manual".into() } else { String::new() },
        },
        51 => Fact::RepairTested { unit, passed: draw.yes, how: "tightness".into() },
        52 => Fact::ReuseAccepted {
            task,
            element_type,
            shifts: 2,
            by: wearer,
            basis: "test".into(),
            calculation: draw.yes.then(|| ReuseCalculation {
                report: "report 7".into(),
                shifts: 2,
                bound: minutes(480.0),
                calibrated: true,
                air_source: Some(rulebook::AirSource::AirPurifying),
                flow: Some(super::plant::quantity("60 L/min")),
                elements: Some(2),
            }),
        },
        53 => Fact::SiteOpened {
            name: "site".into(),
            time_zone: if draw.yes { "Europe/Madrid" } else { "America/Chicago" }.into(),
        },
        54 => Fact::MakerInstructionsNoted {
            model,
            parts: Vec::new(),
            forbidden_cleaners: vec![pick(&BATHS, draw.which.1).to_owned()],
            approved_disinfectants: if draw.yes {
                vec![pick(&BATHS, draw.which.2).to_owned()]
            } else {
                Vec::new()
            },
            stands_in: "manual".into(),
        },
        57 => Fact::SealHairSeen { wearer, there: draw.yes },
        55 => Fact::SealChecked { unit, wearer, passed: draw.yes, way: SealCheck::Both },
        56 => Fact::PoweredFlowChecked {
            unit,
            flow: super::plant::quantity(pick(&["180 L/min", "100 L/min"], draw.which.1)),
            least: super::plant::quantity("170 L/min"),
        },
        66 => {
            let certificate = if draw.yes { "lot 8" } else { "" }.into();
            Fact::AirBought { supply, certificate }
        }
        65 => Fact::MakersSealCheckShown { model, how: "compared".into(), signed: "Cy".into() },
        63 => Fact::SupplyLookedOver {
            supply,
            signed: "Cy".into(),
            intake: "roof".into(),
            intake_clean: Some(draw.yes),
            air_alone: draw.which.2 < 9,
        },
        64 => Fact::OxygenCertified { cylinder, certificate: "lot 3".into(), meets: draw.yes },
        61 => Fact::ClearanceWritten {
            wearer,
            professional: pick(&["Dr Quince", "Dr Medlar", ""], draw.which.2).into(),
            clearance: Clearance::Cleared,
            until: Some(later),
            copy_given: draw.yes,
        },
        62 => Fact::MedicalInformationGiven {
            wearer,
            professional: pick(&["Dr Quince", "dr quince", "Dr Medlar"], draw.which.2).into(),
            told: ProfessionalTold { program_copy: draw.yes, ..super::plant::told() },
        },
        58 => Fact::Restored { unit, done: "adapter off".into() },
        59 => Fact::ElementTypeListed {
            element_type,
            name: "kind".into(),
            elements: rulebook::Elements {
                against: if draw.yes {
                    vec![rulebook::ElementKind::OrganicVapour]
                } else {
                    Vec::new()
                },
                filter: (!draw.yes).then(|| super::plant::quantity("P100")),
                mounting: rulebook::Mounting::Cartridge,
                end_of_service_indicator: false,
            },
            count: 2,
            bed: None,
            reactions: program::CalibratedReactions::default(),
        },
        60 => Fact::FitMeasured {
            wearer,
            model,
            size: "M".into(),
            tester: PersonId::new("cy"),
            record: program::FitRecord {
                protocol: pick(&["QLFT-IAA", "QLFT-SMOKE"], draw.which.2).into(),
                facepiece: rulebook::fit_test::Mask::HalfMask,
                screening_passed: Some(true),
                agent_proved: Some(true),
                made: program::AgentsMade::default(),
                adjusted: None,
                comfortable: None,
                exercises: (1..=7)
                    .map(|number| program::FitExercise {
                        number,
                        noticed: Some(false),
                        ..program::FitExercise::default()
                    })
                    .collect(),
            },
            hair_in_seal: false,
            seal_note: String::new(),
            tested_as: None,
            unit: draw.yes.then_some(unit),
            restored: None,
            instrument: draw.yes.then(|| InstrumentId::new("counter")),
        },
        67 | 68 => {
            let also = PersonId::new(pick(&WEARERS, draw.which.3));
            let until: jiff::Timestamp = super::plant::NOW.parse().unwrap();
            Fact::StandbyPosted {
                task,
                outside: vec![wearer],
                sets: vec![unit],
                other_role: Vec::new(),
                inside: if draw.yes { Vec::new() } else { vec![also] },
                contact: vec![rulebook::standby::Contact::Voice],
                together: Vec::new(),
                retrieval: program::Retrieval::Equipment { what: "winch".into() },
                notify: "shift lead".into(),
                help: "rescue team".into(),
                until: until + jiff::SignedDuration::from_hours(pick(&[5, -20, 30], draw.which.3)),
            }
        }
        69 if draw.yes => Fact::Trained { wearer, topic: TrainingTopic::Rescue, understood: true },
        69 => Fact::StandbyEnded { task, why: "done".into() },
        70 => Fact::InstrumentListed {
            instrument: InstrumentId::new("counter"),
            name: "Counter".into(),
            serial: "s".into(),
            serves: rulebook::fit_test::FitInstrument::ALL[draw.which.1 % 4],
            calibration_months: draw.yes.then_some(12),
            checked_before_use: draw.which.2 < 3,
            stands_in: String::new(),
        },
        71 => {
            let instrument = InstrumentId::new("counter");
            let (passed, why) = (draw.yes, String::new());
            match draw.which.1 {
                0..6 => {
                    Fact::InstrumentCalibrated { instrument, passed, certificate: why, until: None }
                }
                6..11 => Fact::InstrumentChecked { instrument, passed, found: why },
                _ => Fact::InstrumentWithdrawn { instrument, why },
            }
        }
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
