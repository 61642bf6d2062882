//! Air that is immediately dangerous, with somebody who stands by outside.

use program::{
    AirQuality, Clearance, CylinderId, Fact, FitMethod, InspectionOccasion, ModelId, PersonId,
    Retrieval, TaskId, TrainingTopic, UnitId,
};
use rulebook::standby::Contact;

use proptest::prelude::*;

use super::air;
use super::plant::{Plant, ada, bo, fit_test, paint, quantity, unit};
use super::random::{add, draws};

/// The set that Bo has at hand.
pub fn u2() -> UnitId {
    UnitId::new("u2")
}

/// The instant of a time at the site on the day of the question.
fn at(when: &str) -> jiff::Timestamp {
    let local: jiff::civil::DateTime = when.parse().unwrap();
    local.in_tz("Europe/Madrid").unwrap().timestamp()
}

/// Bo stands outside with u2 until a time at the site.
pub fn posting(until: &str) -> Fact {
    Fact::StandbyPosted {
        task: paint(),
        outside: vec![bo()],
        sets: vec![u2()],
        other_role: Vec::new(),
        inside: Vec::new(),
        contact: vec![Contact::Voice],
        together: Vec::new(),
        retrieval: Retrieval::Equipment { what: "tripod and winch".into() },
        notify: "shift lead, radio 2".into(),
        help: "site rescue team".into(),
        until: at(until),
    }
}

/// The posting with something changed.
pub fn posted(change: impl FnOnce(&mut Posted<'_>)) -> Fact {
    let mut fact = posting("2026-05-04T15:00");
    let Fact::StandbyPosted {
        task,
        outside,
        sets,
        other_role,
        inside,
        contact,
        together,
        retrieval,
        notify,
        help,
        ..
    } = &mut fact
    else {
        unreachable!()
    };
    change(&mut Posted {
        task,
        outside,
        sets,
        other_role,
        inside,
        contact,
        together,
        retrieval,
        notify,
        help,
    });
    fact
}

/// The parts of a posting.
pub struct Posted<'f> {
    pub task: &'f mut TaskId,
    pub outside: &'f mut Vec<PersonId>,
    pub sets: &'f mut Vec<UnitId>,
    pub other_role: &'f mut Vec<PersonId>,
    pub inside: &'f mut Vec<PersonId>,
    pub contact: &'f mut Vec<Contact>,
    pub together: &'f mut Vec<Contact>,
    pub retrieval: &'f mut Retrieval,
    pub notify: &'f mut String,
    pub help: &'f mut String,
}

impl Plant {
    /// Ada goes into immediately dangerous air with a self-contained set; Bo is ready to stand outside, and
    /// nobody posted him.
    pub fn danger(&mut self) {
        self.edit_spec(|spec| spec.immediately_dangerous = true);
        self.of_model("carried");
        self.add("c1", "2026-03-01T08:00", air::cylinder());
        self.set_for_danger(&unit(), "c1");
        self.ready(&bo(), &u2());
    }

    /// Cleared, tested, trained and with a set of their own that is ready.
    pub fn ready(&mut self, person: &PersonId, set: &UnitId) {
        let clearance = Clearance::Cleared;
        let cleared = Fact::ClearanceGiven { wearer: person.clone(), clearance, until: None };
        self.add(&format!("{person}-cleared"), "2026-02-10T08:00", cleared);
        let trained = |topic| Fact::Trained { wearer: person.clone(), topic, understood: true };
        self.add(&format!("{person}-wear"), "2026-02-02T08:30", trained(TrainingTopic::Wear));
        self.add(&format!("{person}-rescue"), "2026-02-02T09:30", trained(TrainingTopic::Rescue));
        let mut tested = fit_test("carried", FitMethod::Quantitative { fit_factor: 2000.0 }, true);
        if let Fact::FitTested { wearer, .. } = &mut tested {
            *wearer = person.clone();
        }
        self.add(&format!("{person}-fit"), "2026-02-03T09:00", tested);
        let received = Fact::UnitReceived {
            unit: set.clone(),
            model: ModelId::new("carried"),
            size: "M".into(),
            serial: format!("serial {set}"),
            shared: false,
            emergency: false,
        };
        self.add(&format!("{set}-received"), "2026-01-12T08:00", received);
        let issued = Fact::Issued { unit: set.clone(), wearer: person.clone() };
        self.add(&format!("{set}-issued"), "2026-05-04T06:00", issued);
        let cylinder = format!("cylinder-{set}");
        let mut listed = air::cylinder();
        if let Fact::CylinderListed { cylinder: id, serial, .. } = &mut listed {
            (*id, *serial) = (CylinderId::new(&cylinder), format!("serial {cylinder}"));
        }
        self.add(&format!("{cylinder}-listed"), "2026-03-01T08:00", listed);
        self.set_for_danger(set, &cylinder);
    }

    /// Mounts a cylinder on a set, tests its air, inspects and reads it.
    fn set_for_danger(&mut self, set: &UnitId, cylinder: &str) {
        let mounted =
            Fact::CylinderMounted { cylinder: CylinderId::new(cylinder), unit: set.clone() };
        self.add(&format!("{set}-mounted"), "2026-03-01T09:00", mounted);
        let (quality, cylinder) = (AirQuality::Meets, None);
        let tested = Fact::BreathingAirTested { unit: set.clone(), quality, cylinder };
        self.add(&format!("{set}-air"), "2026-04-20T08:00", tested);
        let (occasion, found) = (InspectionOccasion::Monthly, String::new());
        let round = Fact::Inspected { unit: set.clone(), occasion, passed: true, found };
        self.add(&format!("{set}-round"), "2026-05-04T07:40", round);
        let (rated, read) = (quantity("300 bar"), quantity("280 bar"));
        let read = Fact::CylinderRead { unit: set.clone(), rated, read };
        self.add(&format!("{set}-read"), "2026-05-04T07:45", read);
    }

    /// The same with Bo posted outside until a time at the site.
    pub fn danger_until(&mut self, until: &str) {
        self.danger();
        self.add("posted", "2026-05-04T09:45", posting(until));
    }

    /// Ada and Dee go into a fire, Bo and Fay stand outside.
    pub fn fire() -> Self {
        let mut plant = Self::good();
        plant.danger();
        plant.edit_spec(|spec| spec.interior_fire = true);
        for (id, set) in [("dee", "u4"), ("fay", "u5")] {
            let (wearer, name) = (PersonId::new(id), id.to_owned());
            let enrolled = Fact::WearerEnrolled { wearer: wearer.clone(), name };
            plant.add(&format!("enrolled-{id}"), "2025-02-03T08:00", enrolled);
            plant.ready(&wearer, &UnitId::new(set));
        }
        plant.add("posted", "2026-05-04T09:45", at_fire(|_| {}));
        plant
    }
}

/// The posting outside a fire, with something changed.
pub fn at_fire(change: impl FnOnce(&mut Posted<'_>)) -> Fact {
    posted(|posted| {
        *posted.outside = vec![bo(), PersonId::new("fay")];
        *posted.sets = vec![u2(), UnitId::new("u5")];
        *posted.inside = vec![ada(), PersonId::new("dee")];
        *posted.together = vec![Contact::Voice];
        change(posted);
    })
}

/// A plant with immediately dangerous air, where people are posted and stood down around the question.
pub fn plants_in_danger() -> impl Strategy<Value = Plant> {
    let kinds = [67, 67, 67, 68, 69, 69, 0, 1, 3, 13, 15, 17, 18, 19, 19, 23];
    let step = (draws(), 0..kinds.len(), 0..1500_i64);
    prop::collection::vec(step, 0..14).prop_map(move |steps| {
        let mut plant = Plant::good();
        plant.danger_until("2026-05-04T15:00");
        for (number, (mut draw, kind, back)) in steps.into_iter().enumerate() {
            draw.what = kinds[kind];
            add(&mut plant, number, draw);
            if let Some(entry) = plant.entries.last_mut() {
                // From a day before the question to an hour after it.
                entry.happened = plant.now - jiff::SignedDuration::from_mins(back - 60);
                entry.entered = entry.happened + jiff::SignedDuration::from_secs(61);
            }
        }
        plant
    })
}
