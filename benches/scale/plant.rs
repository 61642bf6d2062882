//! An invented plant of any size; the same number gives the same entries.

use jiff::{SignedDuration, Timestamp};
use program::{
    Ask, Clearance, ElementTypeId, Entry, EntryId, Fact, FitMethod, InspectionOccasion, ModelId,
    PersonId, SeriousSign, SiteId, TaskId, TaskSpec, TrainingTopic, UnitId, WorkRate,
};
use quantity::Minutes;
use rulebook::{AirSource, AirborneForm, Device, ElementKind, Elements, Facepiece, Mounting};

/// Entries in one batch.
const BATCH: u64 = 5000;

/// Respirators of one person.
const UNITS_OF_A_PERSON: u64 = 5;

/// What happens to each respirator, one round after another through the whole plant.
const ROUNDS: u64 = 9;

#[derive(Clone, Copy)]
pub struct Plant {
    pub units: u64,
}

/// The instant as of which it is asked.
pub fn now() -> Timestamp {
    "2026-11-25T16:00:00Z".parse().unwrap()
}

fn today() -> jiff::civil::Date {
    jiff::tz::TimeZone::UTC.to_datetime(now()).date()
}

/// A number that looks drawn by lot, the same each time.
fn lot(of: u64, salt: u64) -> u64 {
    let mut mixed = (of ^ salt.wrapping_mul(0x9e37_79b9_7f4a_7c15)).wrapping_add(0x1234_5678_9abc);
    for shift in [30, 27, 31] {
        mixed = (mixed ^ (mixed >> shift)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    }
    mixed ^ (mixed >> 29)
}

fn quantity<Q: std::str::FromStr<Err: std::fmt::Debug>>(text: &str) -> Q {
    text.parse().unwrap()
}

impl Plant {
    fn tasks(self) -> u64 {
        self.units / 1000 + 10
    }

    fn sites(self) -> u64 {
        (self.units / BATCH).clamp(1, 20)
    }

    /// The site of a respirator; those of one person are of one site.
    pub fn site(self, unit: u64) -> SiteId {
        SiteId::new(format!("site-{}", unit / BATCH % self.sites()))
    }

    pub fn entries(self) -> u64 {
        self.batches().map(|batch| batch.len() as u64).sum()
    }

    /// Every entry, in the order in which it was entered.
    pub fn batches(self) -> impl Iterator<Item = Vec<Entry>> {
        let listed = (0..self.sites()).map(move |site| self.listed(site));
        let split = |count: u64| {
            (0..count).step_by(BATCH as usize).map(move |first| first..(first + BATCH).min(count))
        };
        let people = (0..4).flat_map(move |round| {
            // So many people belong to the respirators of one batch.
            split(self.units).map(move |units| {
                let people = units.start / UNITS_OF_A_PERSON..units.end.div_ceil(UNITS_OF_A_PERSON);
                people.map(|person| self.of_person(person, round)).collect()
            })
        });
        let units = (0..ROUNDS).flat_map(move |round| {
            split(self.units)
                .map(move |units| units.map(|unit| self.of_unit(unit, round)).collect())
        });
        listed.chain(people).chain(units).filter(|batch: &Vec<Entry>| !batch.is_empty())
    }

    /// Questions about respirators drawn by lot, and the people who hold them.
    pub fn asks(self, count: u64) -> impl Iterator<Item = Ask> {
        (0..count).map(move |number| {
            let unit = lot(number, 77) % self.units;
            Ask {
                wearer: person(unit / UNITS_OF_A_PERSON),
                unit: tag(unit),
                task: self.task_of(unit),
                planned_wear: None,
            }
        })
    }

    fn task_of(self, unit: u64) -> TaskId {
        TaskId::new(format!("task-{}", unit / UNITS_OF_A_PERSON % self.tasks()))
    }

    /// A site opens and lists what it uses; the first one does so for all.
    fn listed(self, site: u64) -> Vec<Entry> {
        let id = SiteId::new(format!("site-{site}"));
        let zones = ["Europe/Madrid", "America/Chicago", "Asia/Tokyo", "UTC"];
        let time_zone = zones[(site % 4) as usize].to_owned();
        let mut facts = vec![Fact::SiteOpened { name: format!("Invented site {site}"), time_zone }];
        if site == 0 {
            facts.extend((0..6).map(listed_model));
            facts.push(listed_elements());
            for number in 0..self.tasks() {
                let task = TaskId::new(format!("task-{number}"));
                facts.push(Fact::TaskDescribed { task: task.clone(), spec: spec() });
                facts.push(Fact::ReadingTaken {
                    task: task.clone(),
                    cas: quantity("108-88-3"),
                    concentration: Some(quantity("40 ppm")),
                    form: AirborneForm::Vapour,
                    sampled: None,
                    method: "tube".into(),
                });
                let (element_type, max_wear) = (ElementTypeId::new("ov"), minutes(240.0));
                facts.push(Fact::ScheduleAdopted { task, element_type, max_wear, shifts: 1 });
            }
        }
        let days = 40;
        let entry = |(number, fact)| {
            made(format!("l-{site}-{number}"), &id, (days, number as u64), None, fact)
        };
        facts.into_iter().enumerate().map(entry).collect()
    }

    fn of_person(self, number: u64, round: u64) -> Entry {
        let wearer = person(number);
        let draw = lot(number, round + 100);
        let days = 5 + draw % 390;
        let fact = match round {
            0 => Fact::WearerEnrolled { name: format!("Invented person {number}"), wearer },
            1 => {
                let day = today();
                let ahead = jiff::Span::new().days((draw % 500) as i64 - 40);
                let until = (draw.is_multiple_of(3)).then(|| day.checked_add(ahead).unwrap());
                Fact::ClearanceGiven { wearer, clearance: Clearance::Cleared, until }
            }
            2 => Fact::Trained { wearer, topic: TrainingTopic::Wear, understood: true },
            _ => Fact::FitTested {
                wearer,
                model: model(number % 4),
                size: "M".into(),
                method: FitMethod::Quantitative { fit_factor: 400.0 },
                passed: true,
                hair_in_seal: false,
                seal_note: String::new(),
            },
        };
        let site = self.site(number * UNITS_OF_A_PERSON);
        made(format!("p-{number}-{round}"), &site, (days, number), None, fact)
    }

    fn of_unit(self, number: u64, round: u64) -> Entry {
        let unit = tag(number);
        let wearer = person(number / UNITS_OF_A_PERSON);
        let draw = lot(number, round);
        let occasion = if draw % 50 < 25 && number.is_multiple_of(50) {
            InspectionOccasion::Monthly
        } else {
            InspectionOccasion::BeforeUse
        };
        let fact = match round {
            0 => Fact::UnitReceived {
                unit,
                model: model(number / UNITS_OF_A_PERSON % 4 + if number % 50 == 1 { 2 } else { 0 }),
                size: "M".into(),
                serial: format!("s{number}"),
                shared: number.is_multiple_of(20),
                emergency: number.is_multiple_of(50),
            },
            1 => {
                let day = today();
                let ahead = jiff::Span::new().days((draw % 1500) as i64 - 20);
                Fact::ElementsFitted {
                    unit,
                    element_type: ElementTypeId::new("ov"),
                    lot: format!("lot {}", number % 300),
                    shelf_life_until: day.checked_add(ahead).unwrap(),
                    opened: now() - SignedDuration::from_hours(2),
                }
            }
            2 => Fact::Issued { unit, wearer },
            3 | 7 => {
                let found = String::new();
                Fact::Inspected { unit, occasion, passed: !draw.is_multiple_of(200), found }
            }
            4 | 8 if draw.is_multiple_of(500) => {
                let task = self.task_of(number);
                Fact::BreakthroughSensed { unit, wearer, task, sign: SeriousSign::Smell }
            }
            4 | 8 => {
                let task = self.task_of(number);
                Fact::Worn { unit, wearer, task, time: minutes(20.0) }
            }
            5 => Fact::Cleaned { unit },
            _ if draw.is_multiple_of(300) => Fact::Held { unit, why: "strap worn through".into() },
            _ => Fact::Disinfected {
                unit,
                agent: "hypochlorite, 50 ppm".into(),
                contact: minutes(2.0),
            },
        };
        let days = (ROUNDS - round) * 30 + draw % 20;
        // Now and then an entry puts the one before it right.
        let corrects = (round == 7 && draw % 500 == 3).then(|| format!("u-{number}-3"));
        made(format!("u-{number}-{round}"), &self.site(number), (days, number), corrects, fact)
    }
}

fn tag(unit: u64) -> UnitId {
    UnitId::new(format!("R-{unit:07}"))
}

fn person(number: u64) -> PersonId {
    PersonId::new(format!("person-{number}"))
}

fn model(number: u64) -> ModelId {
    ModelId::new(format!("model-{number}"))
}

fn minutes(value: f64) -> Minutes {
    Minutes::from_min(value).unwrap()
}

/// An entry so many days ago.
fn made(
    id: String,
    site: &SiteId,
    (days, second): (u64, u64),
    corrects: Option<String>,
    fact: Fact,
) -> Entry {
    let ago = SignedDuration::from_secs((days * 86_400 + second % 40_000) as i64);
    let happened = now() - ago;
    Entry {
        id: EntryId::new(id),
        site: site.clone(),
        happened,
        entered: happened,
        by: PersonId::new("bench"),
        device: "bench".into(),
        corrects: corrects.map(EntryId::new),
        fact,
    }
}

fn listed_model(number: u64) -> Fact {
    let carried = number >= 4;
    Fact::ModelListed {
        model: model(number),
        name: format!("invented model {number}"),
        device: Device {
            air_source: if carried {
                AirSource::SelfContainedPressureDemand
            } else {
                AirSource::AirPurifying
            },
            facepiece: if carried { Facepiece::FullFacepiece } else { Facepiece::HalfMask },
            filtering_facepiece: false,
            escape_only: false,
            auxiliary_self_contained: false,
            maker_shows_factor_1000: false,
            rated_minutes: carried.then_some(30),
        },
        sizes: vec!["M".into()],
        approval: "invented 1".into(),
        approved_elements: Vec::new(),
        approved_cylinders: Vec::new(),
    }
}

fn listed_elements() -> Fact {
    Fact::ElementTypeListed {
        element_type: ElementTypeId::new("ov"),
        name: "invented cartridge".into(),
        elements: Elements {
            against: vec![ElementKind::OrganicVapour],
            filter: None,
            mounting: Mounting::Cartridge,
            end_of_service_indicator: false,
        },
        count: 2,
        bed: None,
        reactions: program::CalibratedReactions::default(),
    }
}

fn spec() -> TaskSpec {
    TaskSpec {
        name: "invented task".into(),
        wear_per_shift: minutes(60.0),
        work_rate: WorkRate::Moderate,
        temperature: quantity("22 degC"),
        relative_humidity: quantity("50 %"),
        pressure: quantity("101.325 kPa"),
        oxygen: Some(quantity("20.9 %")),
        oil_aerosol: Some(false),
        irritates_eyes: Some(false),
        immediately_dangerous: false,
        atmosphere_unknown: false,
        interior_fire: false,
        standby_outside: None,
        voluntary: false,
    }
}
