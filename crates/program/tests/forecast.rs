//! What a site will use up: what is known comes back, what is not known is said.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::collections::BTreeMap;

use jiff::{SignedDuration, Timestamp};
use program::forecast::{Ask, Basis, Forecast, ForecastError, Item, Need, forecast};
use program::schedule::for_task;
use program::{
    CalibratedReactions, CylinderId, ElementTypeId, Entry, EntryId, Fact, ModelId, PersonId,
    SiteId, State, StockId, StockItem, TaskId, TaskSpec, UnitId, WorkRate,
};
use rulebook::{
    AirSource, AirborneForm, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel,
    FilterSeries, Mounting,
};

/// A Monday at noon.
fn now() -> Timestamp {
    "2026-06-01T12:00:00Z".parse().unwrap()
}

#[derive(Default)]
struct Plant(Vec<Entry>);

impl Plant {
    /// A site with half masks, cartridges of two to a set, and a task with an adopted schedule.
    fn new() -> Self {
        let mut plant = Self::default();
        let opened = Fact::SiteOpened { name: "North".into(), time_zone: "UTC".into() };
        plant.add(700, opened);
        plant.model("half", false);
        plant.model("dust", true);
        plant.element("ov", vec![ElementKind::OrganicVapour], None);
        plant.element("p100", Vec::new(), Some(FilterLevel::L100));
        plant.add(600, Fact::TaskDescribed { task: TaskId::new("spray"), spec: spec() });
        plant.unit("u1", "half");
        plant
    }

    /// A fact so many days ago, at noon.
    fn add(&mut self, days: i64, fact: Fact) -> EntryId {
        let id = EntryId::new(format!("e{}", self.0.len()));
        let happened = now() - SignedDuration::from_hours(days * 24);
        self.0.push(Entry {
            id: id.clone(),
            site: SiteId::new("north"),
            happened,
            entered: happened,
            by: PersonId::new("cy"),
            device: "bench".into(),
            corrects: None,
            fact,
        });
        id
    }

    fn model(&mut self, id: &str, filtering_facepiece: bool) {
        let device = Device {
            air_source: AirSource::AirPurifying,
            facepiece: Facepiece::HalfMask,
            filtering_facepiece,
            escape_only: false,
            auxiliary_self_contained: false,
            maker_shows_factor_1000: false,
            rated_minutes: None,
        };
        let (model, name) = (ModelId::new(id), format!("Model {id}"));
        let (sizes, approval) = (vec!["M".into()], "invented 1".into());
        let (approved_elements, approved_cylinders) = (Vec::new(), Vec::new());
        self.add(
            650,
            Fact::ModelListed {
                model,
                name,
                device,
                sizes,
                approval,
                approved_elements,
                approved_cylinders,
            },
        );
    }

    fn element(&mut self, id: &str, against: Vec<ElementKind>, filter: Option<FilterLevel>) {
        let filter = filter.map(|level| FilterClass { series: FilterSeries::P, level });
        let mounting = Mounting::Cartridge;
        let elements = Elements { against, filter, mounting, end_of_service_indicator: false };
        let (element_type, name) = (ElementTypeId::new(id), format!("Element {id}"));
        let reactions = CalibratedReactions::default();
        self.add(
            650,
            Fact::ElementTypeListed {
                element_type,
                name,
                elements,
                count: 2,
                bed: None,
                reactions,
            },
        );
    }

    fn unit(&mut self, tag: &str, model: &str) {
        let fact = Fact::UnitReceived {
            unit: UnitId::new(tag),
            model: ModelId::new(model),
            size: "M".into(),
            serial: "s".into(),
            shared: false,
            emergency: false,
        };
        self.add(640, fact);
    }

    fn fit(&mut self, days: i64, kind: &str, lot: &str) -> EntryId {
        let opened = now() - SignedDuration::from_hours(days * 24);
        let fact = Fact::ElementsFitted {
            unit: UnitId::new("u1"),
            element_type: ElementTypeId::new(kind),
            lot: lot.into(),
            shelf_life_until: "2030-01-01".parse().unwrap(),
            opened,
        };
        self.add(days, fact)
    }

    fn worn(&mut self, days: i64) {
        let fact = Fact::Worn {
            unit: UnitId::new("u1"),
            wearer: PersonId::new("ada"),
            task: TaskId::new("spray"),
            time: "2 h".parse().unwrap(),
        };
        self.add(days, fact);
    }

    fn reading(&mut self) {
        let fact = Fact::ReadingTaken {
            task: TaskId::new("spray"),
            cas: "108-88-3".parse().unwrap(),
            concentration: Some("20 ppm".parse().unwrap()),
            form: AirborneForm::Vapour,
            sampled: Some("8 h".parse().unwrap()),
            method: "charcoal tube".into(),
        };
        self.add(100, fact);
    }

    fn adopted(&mut self, kind: &str, wear: &str, shifts: u8) {
        let fact = Fact::ScheduleAdopted {
            task: TaskId::new("spray"),
            element_type: ElementTypeId::new(kind),
            max_wear: wear.parse().unwrap(),
            shifts,
        };
        self.add(500, fact);
    }

    fn stock(&mut self, days: i64, id: &str, (item, count): (StockItem, u32), until: Option<&str>) {
        let (stock, lot) = (StockId::new(id), format!("lot-{id}"));
        let shelf_life_until = until.map(|day| day.parse().unwrap());
        self.add(days, Fact::StockReceived { stock, item, lot, count, shelf_life_until });
    }

    fn ask(&self, weeks: u32, plan: &[(&str, f64)]) -> Result<Forecast, ForecastError> {
        let plan: BTreeMap<TaskId, f64> =
            plan.iter().map(|(task, shifts)| (TaskId::new(task), *shifts)).collect();
        let site = SiteId::new("north");
        let ask = Ask { site: &site, weeks, plan: &plan, now: now() };
        forecast(&State::from_entries(&self.0), &ask)
    }

    fn need(&self, item: &StockItem, plan: &[(&str, f64)]) -> Need {
        let all = self.ask(13, plan).unwrap();
        let item = Item::Stock(item.clone());
        all.needs.into_iter().find(|need| need.item == item).unwrap()
    }
}

fn spec() -> TaskSpec {
    TaskSpec {
        name: "Spraying".into(),
        wear_per_shift: "4 h".parse().unwrap(),
        work_rate: WorkRate::Moderate,
        temperature: "22 degC".parse().unwrap(),
        relative_humidity: "50 %".parse().unwrap(),
        pressure: "101.325 kPa".parse().unwrap(),
        oxygen: Some("20.9 %".parse().unwrap()),
        oil_aerosol: Some(false),
        irritates_eyes: Some(false),
        immediately_dangerous: false,
        atmosphere_unknown: false,
        interior_fire: false,
        standby_outside: None,
        voluntary: false,
    }
}

fn elements(kind: &str) -> StockItem {
    StockItem::Elements(ElementTypeId::new(kind))
}

#[test]
fn a_known_use_comes_back() {
    let mut plant = Plant::new();
    for week in 0..26 {
        for day in [1, 3, 5] {
            plant.fit(week * 7 + day, "p100", "lot");
        }
    }
    let need = plant.need(&elements("p100"), &[]);
    // Three sets of two a week, for thirteen weeks.
    assert_eq!((need.expected, need.basis), (78.0, Basis::History));
    assert_eq!(need.history_per_week, Some(6.0));
    assert_eq!(need.schedule_per_week, None);
    assert!(need.low < 78.0 && 78.0 < need.high, "{need:?}");
    assert_eq!(plant.ask(13, &[]).unwrap().history_weeks, 26);
    let fewer = plant.ask(1, &[]).unwrap();
    assert_eq!(fewer.needs[0].expected, 6.0);
}

#[test]
fn without_a_history_the_figure_is_that_of_the_schedule_and_says_so() {
    let mut plant = Plant::new();
    plant.adopted("ov", "8 h", 1);
    let need = plant.need(&elements("ov"), &[("spray", 10.0)]);
    assert_eq!((need.expected, need.basis), (260.0, Basis::Schedule));
    assert_eq!(need.history_per_week, None);
    assert!(need.notes.iter().any(|note| note.contains("no change is on record")), "{need:?}");
    assert!(need.low < 260.0 && 260.0 < need.high, "{need:?}");
    assert!(plant.ask(13, &[]).unwrap().needs.is_empty());
}

#[test]
fn what_was_never_used_is_told_as_not_known_and_a_roster_beyond_all_wearers_gives_pause() {
    let mut plant = Plant::new();
    let cleaner = StockItem::Supplies("Cleaner".into());
    plant.stock(30, "b-1", (cleaner.clone(), 4), None);
    let need = plant.need(&cleaner, &[]);
    assert_eq!((need.known, need.in_stock, need.buy), (false, Some(4.0), None));
    assert!(need.notes.iter().any(|note| note.contains("is not known")), "{need:?}");
    for id in ["ash", "elm"] {
        let fact = Fact::WearerEnrolled { wearer: PersonId::new(id), name: id.into() };
        plant.add(600, fact);
    }
    assert!(plant.ask(13, &[("spray", 42.0)]).unwrap().cautions.is_empty());
    let beyond = plant.ask(13, &[("spray", 43.0)]).unwrap().cautions;
    assert!(beyond[0].contains("`spray`, more than the 2 wearers"), "{beyond:?}");
}

#[test]
fn the_wear_of_the_last_weeks_stands_for_the_roster() {
    let mut plant = Plant::new();
    plant.reading();
    plant.fit(300, "ov", "old");
    for week in 0..13 {
        for day in 1..=5 {
            // Two wears of one person on one day are one shift.
            plant.worn(week * 7 + day);
            plant.worn(week * 7 + day);
        }
    }
    let state = State::from_entries(&plant.0);
    let device = &state.model(&ModelId::new("half")).unwrap().device;
    let kind = ElementTypeId::new("ov");
    let found = for_task(&state, &TaskId::new("spray"), &kind, device, now()).unwrap();
    let most = found.schedule.max_wear.as_min();
    assert!(most > 0.0, "{:?}", found.life.findings);
    // Five shifts of four hours a week, two pieces to a set, each set for one shift at most.
    let sets = (240.0 / most).ceil();
    let need = plant.need(&elements("ov"), &[]);
    assert!((need.schedule_per_week.unwrap() - 10.0 * sets).abs() < 1e-9, "{need:?}");
    assert_eq!((need.basis, need.history_per_week), (Basis::Schedule, None));
    assert!(need.notes[0].contains("5.0 shifts a week worn"), "{need:?}");
    let planned = plant.need(&elements("ov"), &[("spray", 10.0)]);
    assert!((planned.schedule_per_week.unwrap() - 20.0 * sets).abs() < 1e-9, "{planned:?}");
    assert_eq!(planned.basis, Basis::Schedule);
}

#[test]
fn pieces_put_back_and_entries_corrected_are_no_use() {
    let mut plant = Plant::new();
    plant.fit(20, "p100", "lot");
    let before = plant.need(&elements("p100"), &[]).history_per_week.unwrap();
    let mut again = plant.0.last().unwrap().clone();
    again.id = EntryId::new("again");
    again.happened = now() - SignedDuration::from_hours(10 * 24);
    plant.0.push(again);
    assert_eq!(plant.need(&elements("p100"), &[]).history_per_week.unwrap(), before);
    let wrong = plant.fit(5, "p100", "other");
    let mut right = plant.0.last().unwrap().clone();
    right.id = EntryId::new("right");
    right.corrects = Some(wrong);
    right.fact = Fact::Held { unit: UnitId::new("u1"), why: "not changed at all".into() };
    plant.0.push(right);
    assert_eq!(plant.need(&elements("p100"), &[]).history_per_week.unwrap(), before);
}

#[test]
fn a_young_ledger_is_not_taken_for_a_plant_that_used_nothing_before() {
    let mut plant = Plant::new();
    for day in [1, 4, 8, 11, 15, 18, 22, 25] {
        plant.fit(day, "p100", "lot");
    }
    let all = plant.ask(4, &[]).unwrap();
    assert_eq!((all.history_weeks, all.needs[0].expected), (4, 16.0));
}

#[test]
fn what_is_in_stock_is_held_against_the_need_while_it_may_be_used() {
    let mut plant = Plant::new();
    for week in 0..26 {
        plant.fit(week * 7 + 1, "p100", "lot");
    }
    plant.stock(400, "a", (elements("p100"), 500), Some("2026-05-01"));
    let need = plant.need(&elements("p100"), &[]);
    assert_eq!((need.in_stock, need.buy), (Some(0.0), Some(need.high)));
    assert_eq!(need.buy_by.unwrap().to_string(), "2026-06-01");
    plant.stock(300, "b", (elements("p100"), 500), None);
    let need = plant.need(&elements("p100"), &[]);
    assert_eq!((need.in_stock, need.buy, need.buy_by), (Some(500.0), Some(0.0), None));
    // Enough for some weeks, and it ends before the thirteen are over.
    plant.0.pop();
    plant.stock(300, "c", (elements("p100"), 500), Some("2026-06-29"));
    let need = plant.need(&elements("p100"), &[]);
    assert_eq!(need.buy_by.unwrap().to_string(), "2026-06-29");
    assert!(need.buy.unwrap() > 0.0 && need.buy.unwrap() < need.high, "{need:?}");
}

#[test]
fn what_was_fitted_of_a_lot_since_its_box_was_counted_is_no_longer_in_it() {
    let mut plant = Plant::new();
    plant.stock(30, "a", (elements("p100"), 40), None);
    plant.fit(40, "p100", "lot-a");
    plant.fit(20, "p100", "lot-a");
    plant.fit(10, "p100", "another lot");
    assert_eq!(plant.need(&elements("p100"), &[]).in_stock, Some(38.0));
    plant.add(5, Fact::StockCounted { stock: StockId::new("a"), count: 30 });
    assert_eq!(plant.need(&elements("p100"), &[]).in_stock, Some(30.0));
}

#[test]
fn facepieces_taken_supplies_counted_and_cylinders_filled_are_foreseen() {
    let mut plant = Plant::new();
    let dust = StockItem::Facepieces { model: ModelId::new("dust"), size: "M".into() };
    let wipes = StockItem::Supplies("Wipes".into());
    plant.stock(100, "f", (dust.clone(), 50), None);
    plant.stock(56, "w", (wipes.clone(), 100), None);
    plant.add(28, Fact::StockCounted { stock: StockId::new("w"), count: 60 });
    plant.add(1, Fact::StockCounted { stock: StockId::new("w"), count: 60 });
    let listed = Fact::CylinderListed {
        cylinder: CylinderId::new("c1"),
        serial: "s".into(),
        marking: "CY02".into(),
        rated: "31000 kPa".parse().unwrap(),
        water_volume: "6.8 L".parse().unwrap(),
        made: "2024-01-01".parse().unwrap(),
        requalified: "2024-01-01".parse().unwrap(),
        terms: None,
        part: String::new(),
    };
    plant.add(200, listed);
    for week in 0..8 {
        let taken = Fact::FacepieceTaken {
            unit: UnitId::new(format!("d{week}")),
            stock: StockId::new("f"),
            model: ModelId::new("dust"),
            size: "M".into(),
            wearer: PersonId::new("ada"),
        };
        plant.add(week * 7 + 2, taken);
        for day in [3, 4] {
            let (cylinder, supply) = (CylinderId::new("c1"), None);
            let pressure = "31000 kPa".parse().unwrap();
            plant.add(
                week * 7 + day,
                Fact::CylinderFilled { cylinder, pressure, supply, gas: None },
            );
        }
    }
    // A facepiece worn on several days is no more facepieces than were taken.
    plant.unit("own", "dust");
    for days in 1..6 {
        let (unit, wearer) = (UnitId::new("own"), PersonId::new("ada"));
        let (task, time) = (TaskId::new("spray"), "2 h".parse().unwrap());
        plant.add(days, Fact::Worn { unit, wearer, task, time });
    }
    let all = plant.ask(8, &[]).unwrap();
    assert_eq!(all.history_weeks, 8);
    let expected = |item: Item| all.needs.iter().find(|need| need.item == item).unwrap().expected;
    assert_eq!(expected(Item::Stock(dust)), 8.0);
    // Forty in four of the eight weeks that are known.
    assert!((expected(Item::Stock(wipes)) - 40.0).abs() < 1e-9);
    assert_eq!(expected(Item::CylinderFillings), 16.0);
}

#[test]
fn what_cannot_be_foreseen_is_refused_by_name() {
    let plant = Plant::new();
    let refused = |weeks, plan: &[(&str, f64)]| plant.ask(weeks, plan).unwrap_err().to_string();
    assert!(refused(0, &[]).contains("ask for 1 to 104"));
    assert!(refused(105, &[]).contains("105 weeks"));
    assert!(refused(4, &[("nowhere", 1.0)]).contains("no task `nowhere`"));
    assert!(refused(4, &[("spray", f64::NAN)]).contains("no plan"));
    let (site, plan) = (SiteId::new("west"), BTreeMap::new());
    let ask = Ask { site: &site, weeks: 4, plan: &plan, now: now() };
    let error = forecast(&State::from_entries(&plant.0), &ask).unwrap_err();
    assert!(error.to_string().contains("its sites are: north"), "{error}");
}
