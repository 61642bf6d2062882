use jiff::Timestamp;
use jiff::civil::{Date, date};
use program::verdict::may_wear_with;
use program::{
    Ask, CalibratedReactions, Clearance, ElementTypeId, Entry, EntryId, Fact, FitMethod,
    InspectionOccasion, ModelId, PersonId, Role, ScheduleBound, SiteId, State, StockId, StockItem,
    TaskId, TaskSpec, TrainingTopic, UnitId, Verdict, WorkRate,
};
use quantity::Minutes;
use rulebook::{
    AirSource, AirborneForm, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel,
    FilterSeries, Finding, Mounting,
};

/// Monday morning at the site.
pub const NOW: &str = "2026-05-04T08:00:00Z";

/// Entries, a question and the change schedule that the tests assume.
#[derive(Debug, Clone)]
pub struct Plant {
    pub entries: Vec<Entry>,
    pub ask: Ask,
    pub now: Timestamp,
    /// Longest wear by task, minutes, and shifts; none where no schedule can be had.
    pub schedule: fn(&TaskId) -> Option<(f64, u8)>,
    added: u32,
}

pub fn minutes(value: f64) -> Minutes {
    Minutes::from_min(value).unwrap()
}

pub fn quantity<Q: std::str::FromStr<Err: std::fmt::Debug>>(text: &str) -> Q {
    text.parse().unwrap()
}

/// The instant of a time written at the site, which is two hours ahead in summer and one in winter.
fn at(when: &str) -> Timestamp {
    let local: jiff::civil::DateTime = when.parse().unwrap();
    local.in_tz("Europe/Madrid").unwrap().timestamp()
}

pub fn unit() -> UnitId {
    UnitId::new("u1")
}

pub fn ada() -> PersonId {
    PersonId::new("ada")
}

pub fn bo() -> PersonId {
    PersonId::new("bo")
}

pub fn paint() -> TaskId {
    TaskId::new("paint")
}

pub fn strip() -> TaskId {
    TaskId::new("strip")
}

/// What a health professional was told of the half mask and the painting.
pub fn told() -> program::ProfessionalTold {
    program::ProfessionalTold {
        air_sources: vec![AirSource::AirPurifying],
        respirators: "half mask with two cartridges, 0.4 kg".into(),
        wear: "2 h a day, five days a week; no rescue, no escape".into(),
        effort: "moderate".into(),
        worn_beside: "coverall, gloves".into(),
        climate: "5 to 35 degC, 20 to 80 % humidity".into(),
        program_copy: true,
        standard_copy: true,
    }
}

impl Plant {
    /// Ada may wear the half mask u1 for painting.
    pub fn good() -> Self {
        let ask = Ask { wearer: ada(), unit: unit(), task: paint(), planned_wear: None };
        let schedule = |_: &TaskId| Some((480.0, 1));
        let now = NOW.parse().unwrap();
        let mut plant = Self { entries: Vec::new(), ask, now, schedule, added: 0 };
        plant.list();
        plant.people();
        plant.tasks();
        plant.set();
        plant
    }

    fn list(&mut self) {
        let site = Fact::SiteOpened { name: "North".into(), time_zone: "Europe/Madrid".into() };
        self.add("site", "2025-01-02T08:00", site);
        for (id, device) in devices() {
            let model = ModelId::new(id);
            let (name, approval) = (format!("model {id}"), "invented 1".to_owned());
            let sizes = vec!["M".to_owned()];
            let (approved_elements, approved_cylinders) = (Vec::new(), Vec::new());
            let fact = Fact::ModelListed {
                model,
                name,
                device,
                sizes,
                approval,
                approved_elements,
                approved_cylinders,
            };
            self.add(&format!("model-{id}"), "2025-01-02T09:00", fact);
        }
        for (id, against, filter) in [
            ("ov", vec![ElementKind::OrganicVapour], None),
            ("p100", Vec::new(), Some(FilterLevel::L100)),
        ] {
            let filter = filter.map(|level| FilterClass { series: FilterSeries::P, level });
            let mounting = Mounting::Cartridge;
            let elements = Elements { against, filter, mounting, end_of_service_indicator: false };
            let element_type = ElementTypeId::new(id);
            let name = format!("element {id}");
            let reactions = CalibratedReactions::default();
            let fact = Fact::ElementTypeListed {
                element_type,
                name,
                elements,
                count: 2,
                bed: None,
                reactions,
            };
            self.add(&format!("kind-{id}"), "2025-01-02T09:30", fact);
        }
    }

    fn people(&mut self) {
        for person in [ada(), bo()] {
            let name = if person == ada() { "Ada" } else { "Bo" }.to_owned();
            let id = person.to_string();
            let enrolled = Fact::WearerEnrolled { wearer: person.clone(), name };
            self.add(&format!("enrolled-{id}"), "2025-02-03T08:00", enrolled);
        }
        let (person, name) = (PersonId::new("cy"), "Cy".to_owned());
        let (role, shown) = (Role::Repairer, "course of the maker".to_owned());
        let fact = Fact::RoleGiven { person: person.clone(), name, role, shown, until: None };
        self.add("role-cy", "2025-02-03T08:00", fact);
        let (topic, understood) = (TrainingTopic::Repair, true);
        let fact = Fact::Trained { wearer: person, topic, understood };
        self.add("repair-training", "2026-02-02T09:00", fact);
        let clearance = Clearance::Cleared;
        let fact = Fact::ClearanceGiven { wearer: ada(), clearance, until: None };
        self.add("clearance", "2025-02-10T08:00", fact);
        let fact = Fact::Trained { wearer: ada(), topic: TrainingTopic::Wear, understood: true };
        self.add("training", "2026-02-02T08:00", fact);
        self.add("fit", "2026-02-03T08:00", fit_test("half", FitMethod::Qualitative, true));
    }

    fn tasks(&mut self) {
        for task in [paint(), strip()] {
            let id = task.to_string();
            let fact = Fact::TaskDescribed { task: task.clone(), spec: spec() };
            self.add(&format!("task-{id}"), "2025-03-03T08:00", fact);
            self.add(&format!("reading-{id}"), "2026-03-02T08:00", reading(&task, "40 ppm"));
        }
    }

    fn set(&mut self) {
        let fact = Fact::UnitReceived {
            unit: unit(),
            model: ModelId::new("half"),
            size: "M".into(),
            serial: "s1".into(),
            shared: false,
            emergency: false,
        };
        self.add("received", "2026-01-12T08:00", fact);
        self.add("issued", "2026-05-04T06:00", Fact::Issued { unit: unit(), wearer: ada() });
        self.add("fitted", "2026-05-04T07:00", elements("ov", "2026-05-04T06:55"));
        self.inspect("inspected", "2026-05-04T07:30");
    }

    pub fn add(&mut self, id: &str, when: &str, fact: Fact) {
        self.add_correction(id, when, None, fact);
    }

    pub fn add_correction(&mut self, id: &str, when: &str, corrects: Option<&str>, fact: Fact) {
        let happened = at(when);
        self.added += 1;
        let delay = jiff::SignedDuration::from_secs(60 + i64::from(self.added));
        self.entries.push(Entry {
            id: EntryId::new(id),
            site: SiteId::new("north"),
            happened,
            entered: happened + delay,
            by: PersonId::new("cy"),
            device: "bench".into(),
            corrects: corrects.map(EntryId::new),
            fact,
        });
    }

    /// Has somebody else enter an entry.
    pub fn by(&mut self, id: &str, person: &str) {
        for entry in self.entries.iter_mut().filter(|entry| entry.id.as_str() == id) {
            entry.by = PersonId::new(person);
        }
    }

    /// Gives somebody the administration of the program of the site.
    pub fn administrator(&mut self, person: &str) {
        let (id, name) = (format!("runs-{person}"), person.to_owned());
        let (person, role, shown) =
            (PersonId::new(person), Role::Administrator, "course".to_owned());
        let fact = Fact::RoleGiven { person, name, role, shown, until: None };
        self.add(&id, "2025-02-03T08:00", fact);
    }

    pub fn inspect(&mut self, id: &str, when: &str) {
        let (occasion, found) = (InspectionOccasion::BeforeUse, String::new());
        self.add(id, when, Fact::Inspected { unit: unit(), occasion, passed: true, found });
    }

    pub fn monthly(&mut self, id: &str, when: &str) {
        let (occasion, found) = (InspectionOccasion::Monthly, String::new());
        self.add(id, when, Fact::Inspected { unit: unit(), occasion, passed: true, found });
    }

    pub fn worn(&mut self, id: &str, when: &str, wear: (PersonId, TaskId, f64)) {
        let (wearer, task, time) = (wear.0, wear.1, minutes(wear.2));
        self.add(id, when, Fact::Worn { unit: unit(), wearer, task, time });
    }

    pub fn remove(&mut self, id: &str) {
        self.entries.retain(|entry| entry.id.as_str() != id);
    }

    /// Changes the fact of an entry, if it is there.
    pub fn edit(&mut self, id: &str, change: impl FnOnce(&mut Fact)) {
        if let Some(entry) = self.entries.iter_mut().find(|entry| entry.id.as_str() == id) {
            change(&mut entry.fact);
        }
    }

    pub fn move_to(&mut self, id: &str, when: &str) {
        for entry in self.entries.iter_mut().filter(|entry| entry.id.as_str() == id) {
            entry.entered = at(when) + (entry.entered - entry.happened);
            entry.happened = at(when);
        }
    }

    /// Makes u1 a set of another model, with a passed fit test where one is needed.
    pub fn of_model(&mut self, id: &str) {
        self.edit("received", |fact| {
            if let Fact::UnitReceived { model, .. } = fact {
                *model = ModelId::new(id);
            }
        });
        if id == "carried" {
            self.remove("fitted");
        }
        let method = FitMethod::Quantitative { fit_factor: 2000.0 };
        self.edit("fit", |fact| *fact = fit_test(id, method, true));
    }

    pub fn shared(&mut self) {
        self.edit("received", |fact| {
            if let Fact::UnitReceived { shared, .. } = fact {
                *shared = true;
            }
        });
    }

    /// Names the part numbers of the cylinders that a model is approved with.
    pub fn approve_cylinders(&mut self, model: &str, parts: &[&str]) {
        self.edit(&format!("model-{model}"), |fact| {
            if let Fact::ModelListed { approved_cylinders, .. } = fact {
                *approved_cylinders = parts.iter().map(|part| (*part).to_owned()).collect();
            }
        });
    }

    /// Names the kinds of elements that a model is approved with.
    pub fn approve(&mut self, model: &str, kinds: &[&str]) {
        self.edit(&format!("model-{model}"), |fact| {
            if let Fact::ModelListed { approved_elements, .. } = fact {
                *approved_elements = kinds.iter().copied().map(ElementTypeId::new).collect();
            }
        });
    }

    pub fn mount(&mut self, kind: &str, how: Mounting) {
        self.edit(&format!("kind-{kind}"), |fact| {
            if let Fact::ElementTypeListed { elements, .. } = fact {
                elements.mounting = how;
            }
        });
    }

    /// Makes u1 a dust mask that Ada took from a box with this last day, and inspected.
    pub fn take_from_a_box(&mut self, size: &str, last_day: Option<&str>) {
        self.of_model("dust-mask");
        for id in ["received", "issued", "fitted"] {
            self.remove(id);
        }
        let (model, stock) = (ModelId::new("dust-mask"), StockId::new("box-1"));
        let item = StockItem::Facepieces { model: model.clone(), size: size.into() };
        let shelf_life_until = last_day.map(until);
        let lot = "lot 9".to_owned();
        let received =
            Fact::StockReceived { stock: stock.clone(), item, lot, count: 20, shelf_life_until };
        self.add("box", "2026-01-10T08:00", received);
        let size = "M".to_owned();
        let taken = Fact::FacepieceTaken { unit: unit(), stock, model, size, wearer: ada() };
        self.add("taken", "2026-05-04T07:00", taken);
        // Particles alone: against a vapour it would be of no use.
        self.edit("reading-paint", |fact| {
            *fact = Fact::ReadingTaken {
                task: paint(),
                cas: quantity("13463-67-7"),
                concentration: Some(quantity("20 mg/m3")),
                form: AirborneForm::Particle,
                sampled: Some(minutes(240.0)),
                method: "filter".into(),
            }
        });
    }

    pub fn emergency(&mut self) {
        self.edit("received", |fact| {
            if let Fact::UnitReceived { emergency, .. } = fact {
                *emergency = true;
            }
        });
    }

    pub fn edit_spec(&mut self, change: impl FnOnce(&mut TaskSpec)) {
        self.edit("task-paint", |fact| {
            if let Fact::TaskDescribed { spec, .. } = fact {
                change(spec);
            }
        });
    }

    pub fn bound(&self, task: &TaskId) -> Result<ScheduleBound, Vec<Finding>> {
        let (wear, shifts) = (self.schedule)(task).ok_or_else(Vec::new)?;
        let (limited_by, findings) = ("the test".to_owned(), Vec::new());
        Ok(ScheduleBound { max_wear: minutes(wear), shifts, limited_by, findings })
    }

    pub fn verdict(&self) -> Verdict {
        let state = State::from_entries(&self.entries);
        may_wear_with(&state, &self.ask, self.now, &|_, task, _| self.bound(task))
    }
}

pub fn spec() -> TaskSpec {
    TaskSpec {
        name: "painting".into(),
        wear_per_shift: minutes(240.0),
        work_rate: WorkRate::Moderate,
        temperature: quantity("22 degC"),
        relative_humidity: quantity("50 %"),
        pressure: quantity("101.325 kPa"),
        oxygen: Some(quantity("20.9 %")),
        oil_aerosol: Some(false),
        irritates_eyes: Some(false),
        immediately_dangerous: false,
        atmosphere_unknown: false,
        voluntary: false,
    }
}

/// A reading of toluene.
pub fn reading(task: &TaskId, level: &str) -> Fact {
    reading_of("108-88-3", task, level)
}

pub fn reading_of(cas: &str, task: &TaskId, level: &str) -> Fact {
    Fact::ReadingTaken {
        task: task.clone(),
        cas: quantity(cas),
        concentration: (level != "?").then(|| quantity(level)),
        form: AirborneForm::Vapour,
        sampled: Some(minutes(240.0)),
        method: "charcoal tube".into(),
    }
}

pub fn fit_test(model: &str, method: FitMethod, passed: bool) -> Fact {
    Fact::FitTested {
        wearer: ada(),
        model: ModelId::new(model),
        size: "M".into(),
        method,
        passed,
        hair_in_seal: false,
        seal_note: String::new(),
    }
}

pub fn elements(kind: &str, opened: &str) -> Fact {
    Fact::ElementsFitted {
        unit: unit(),
        element_type: ElementTypeId::new(kind),
        lot: "lot 7".into(),
        shelf_life_until: until("2028-12-31"),
        opened: at(opened),
    }
}

pub fn until(day: &str) -> Date {
    day.parse().unwrap_or(date(1, 1, 1))
}

fn devices() -> Vec<(&'static str, Device)> {
    let device = |air_source, facepiece| Device {
        air_source,
        facepiece,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: Some(240),
    };
    use AirSource::{
        AirPurifying, PoweredAirPurifying, SelfContainedPressureDemand, SuppliedAirDemand,
        SuppliedAirPressureDemand,
    };
    let mut dust_mask = device(AirPurifying, Facepiece::HalfMask);
    dust_mask.filtering_facepiece = true;
    vec![
        ("half", device(AirPurifying, Facepiece::HalfMask)),
        ("half-b", device(AirPurifying, Facepiece::HalfMask)),
        ("full", device(AirPurifying, Facepiece::FullFacepiece)),
        ("powered", device(PoweredAirPurifying, Facepiece::FullFacepiece)),
        ("hood", device(PoweredAirPurifying, Facepiece::LooseFitting)),
        ("airline", device(SuppliedAirPressureDemand, Facepiece::FullFacepiece)),
        ("airline-demand", device(SuppliedAirDemand, Facepiece::FullFacepiece)),
        ("carried", device(SelfContainedPressureDemand, Facepiece::FullFacepiece)),
        ("dust-mask", dust_mask),
    ]
}
