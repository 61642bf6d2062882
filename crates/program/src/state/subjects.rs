use std::collections::BTreeSet;

use crate::alike;
use crate::entry::{Entry, Fact, Role, StockItem};
use crate::ids::{
    CylinderId, ElementTypeId, EntryId, GroupId, InstrumentId, ModelId, PersonId, PlaceId, SiteId,
    StockId, SupplyId, TaskId, UnitId,
};
use crate::standby;

/// One thing that entries are about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Subject {
    /// A site.
    Site(SiteId),
    /// A model of respirator.
    Model(ModelId),
    /// A kind of element.
    ElementType(ElementTypeId),
    /// A respirator.
    Unit(UnitId),
    /// A wearer.
    Wearer(PersonId),
    /// A task.
    Task(TaskId),
    /// Somebody with a part in the program.
    Person(PersonId),
    /// A cylinder.
    Cylinder(CylinderId),
    /// A supply of air.
    Supply(SupplyId),
    /// A place of storage.
    Place(PlaceId),
    /// A box.
    Stock(StockId),
    /// An exposure group.
    Group(GroupId),
    /// Elements of one kind and lot, on whatever set.
    Lot(String),
    /// Who stands by outside immediately dangerous air on one day of universal time, such as `2026-05-04`.
    Watch(String),
    /// An instrument for fit tests.
    Instrument(InstrumentId),
    /// The entries that correct each other, by the id of one of them.
    Correction(EntryId),
}

impl Subject {
    /// The elements of this kind and lot.
    pub(crate) fn lot(kind: &ElementTypeId, lot: &str) -> Self {
        Self::Lot(format!("{kind} \u{b7} {}", alike::lot(lot)))
    }

    /// Its kind, as a number that never changes and grows in the order of the kinds.
    #[must_use]
    pub const fn kind(&self) -> u8 {
        match self {
            Self::Site(_) => 1,
            Self::Model(_) => 2,
            Self::ElementType(_) => 3,
            Self::Unit(_) => 4,
            Self::Wearer(_) => 5,
            Self::Task(_) => 6,
            Self::Person(_) => 7,
            Self::Cylinder(_) => 8,
            Self::Supply(_) => 9,
            Self::Place(_) => 10,
            Self::Stock(_) => 11,
            Self::Group(_) => 12,
            Self::Lot(_) => 13,
            Self::Watch(_) => 14,
            Self::Instrument(_) => 15,
            Self::Correction(_) => 200,
        }
    }

    /// Its id as text.
    #[must_use]
    pub fn id(&self) -> &str {
        match self {
            Self::Site(id) => id.as_str(),
            Self::Model(id) => id.as_str(),
            Self::ElementType(id) => id.as_str(),
            Self::Unit(id) => id.as_str(),
            Self::Wearer(id) => id.as_str(),
            Self::Task(id) => id.as_str(),
            Self::Person(id) => id.as_str(),
            Self::Cylinder(id) => id.as_str(),
            Self::Supply(id) => id.as_str(),
            Self::Place(id) => id.as_str(),
            Self::Stock(id) => id.as_str(),
            Self::Group(id) => id.as_str(),
            Self::Lot(id) | Self::Watch(id) => id,
            Self::Instrument(id) => id.as_str(),
            Self::Correction(id) => id.as_str(),
        }
    }

    /// The thing of this kind and id; none where no kind has that number.
    #[must_use]
    pub fn of(kind: u8, id: &str) -> Option<Self> {
        Some(match kind {
            1 => Self::Site(SiteId::new(id)),
            2 => Self::Model(ModelId::new(id)),
            3 => Self::ElementType(ElementTypeId::new(id)),
            4 => Self::Unit(UnitId::new(id)),
            5 => Self::Wearer(PersonId::new(id)),
            6 => Self::Task(TaskId::new(id)),
            7 => Self::Person(PersonId::new(id)),
            8 => Self::Cylinder(CylinderId::new(id)),
            9 => Self::Supply(SupplyId::new(id)),
            10 => Self::Place(PlaceId::new(id)),
            11 => Self::Stock(StockId::new(id)),
            12 => Self::Group(GroupId::new(id)),
            13 => Self::Lot(id.to_owned()),
            14 => Self::Watch(id.to_owned()),
            15 => Self::Instrument(InstrumentId::new(id)),
            200 => Self::Correction(EntryId::new(id)),
            _ => return None,
        })
    }
}

/// What an entry is to a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// It is folded into the thing: without it the thing is not what it is.
    Folded,
    /// It speaks of the thing and changes nothing of it.
    Named,
    /// What it changes is judged by the thing: a set by its model.
    RestsOn,
}

impl Entry {
    /// The things that this entry has a part in.
    #[must_use]
    pub fn subjects(&self) -> Vec<(Part, Subject)> {
        let about = Subjects::of(self);
        // What happens to a set is told with who and what for, and changes neither.
        // A fit test is the wearer's, whichever set was on the face.
        let of_set = about.unit.is_some() && !matches!(self.fact, Fact::FitMeasured { .. });
        // Who stands by outside changes neither the task nor the people and sets that it names.
        let watch = self.watch();
        let with = if of_set || watch.is_some() { Part::Named } else { Part::Folded };
        // A supply or a place is what it is whoever is connected or kept there.
        let at_hand = if about.unit.is_some() || about.cylinder.is_some() {
            Part::Named
        } else {
            Part::Folded
        };
        let mut all = self.leans_on();
        all.extend(watch.map(|day| (Part::Folded, Subject::Watch(day))));
        let (people, sets) = self.posted();
        all.extend(people.into_iter().map(|id| (Part::Named, Subject::Wearer(id.clone()))));
        all.extend(sets.into_iter().map(|id| (Part::Named, Subject::Unit(id.clone()))));
        // Whether a set fits is judged by who has it; who had it before is not looked at.
        if let Fact::Issued { wearer, .. } | Fact::FacepieceTaken { wearer, .. } = &self.fact {
            all.push((Part::RestsOn, Subject::Wearer(wearer.clone())));
        }
        // Where elements were before is told by what was fitted of their lot.
        if let Fact::ElementsFitted { element_type, lot, .. } = &self.fact {
            all.push((Part::RestsOn, Subject::lot(element_type, lot)));
        }
        let mut add = |part, thing: Option<Subject>| all.extend(thing.map(|thing| (part, thing)));
        add(Part::Folded, about.site.cloned().map(Subject::Site));
        add(Part::Folded, about.model.cloned().map(Subject::Model));
        add(Part::Folded, about.element_type.cloned().map(Subject::ElementType));
        add(Part::Folded, about.unit.cloned().map(Subject::Unit));
        add(Part::Folded, about.person.cloned().map(Subject::Person));
        add(Part::Folded, about.cylinder.cloned().map(Subject::Cylinder));
        add(Part::Folded, about.stock.cloned().map(Subject::Stock));
        add(Part::Folded, about.group.cloned().map(Subject::Group));
        add(Part::Folded, about.instrument.cloned().map(Subject::Instrument));
        add(with, about.wearer.cloned().map(Subject::Wearer));
        add(with, about.task.cloned().map(Subject::Task));
        add(at_hand, about.supply.cloned().map(Subject::Supply));
        add(at_hand, about.place.cloned().map(Subject::Place));
        all
    }

    /// The day of universal time whose standby this entry changes.
    pub(super) fn watch(&self) -> Option<String> {
        let changes = matches!(self.fact, Fact::StandbyPosted { .. } | Fact::StandbyEnded { .. });
        changes.then(|| standby::day(self.happened))
    }

    /// The people and the sets that are named as standing by, and who goes in under their eyes; each once.
    pub(super) fn posted(&self) -> (BTreeSet<&PersonId>, BTreeSet<&UnitId>) {
        match &self.fact {
            Fact::StandbyPosted { outside, inside, sets, .. } => {
                (outside.iter().chain(inside).collect(), sets.iter().collect())
            }
            _ => (BTreeSet::new(), BTreeSet::new()),
        }
    }

    /// Whether every duty at the site can be another one because of this entry: its calendar, its
    /// policy or who runs its program changed.
    #[must_use]
    pub const fn changes_the_site(&self) -> bool {
        self.changes_the_calendar()
            || matches!(
                self.fact,
                Fact::RoleGiven { role: Role::Administrator, .. }
                    | Fact::RoleEnded { role: Role::Administrator, .. }
            )
    }

    /// Whether every date at the site can be another one because of this entry.
    pub(crate) const fn changes_the_calendar(&self) -> bool {
        matches!(self.fact, Fact::SiteOpened { .. } | Fact::PolicySet { .. })
    }

    /// The things that what this entry changes is judged by, and those it speaks of beside.
    pub(crate) fn leans_on(&self) -> Vec<(Part, Subject)> {
        // Who has no part in the program may be known as a wearer.
        let person = |id: &PersonId| {
            let (person, wearer) = (Subject::Person(id.clone()), Subject::Wearer(id.clone()));
            vec![(Part::RestsOn, person), (Part::RestsOn, wearer)]
        };
        let mut all = match &self.fact {
            // Whether a fit test could count is judged by what its model takes.
            Fact::ModelListed { approved_elements, .. } => {
                let rests_on =
                    |kind: &ElementTypeId| (Part::RestsOn, Subject::ElementType(kind.clone()));
                approved_elements.iter().map(rests_on).collect()
            }
            // A box is told by the name of what lies in it.
            Fact::UnitReceived { model, .. }
            | Fact::FitTested { model, .. }
            | Fact::StockReceived { item: StockItem::Facepieces { model, .. }, .. } => {
                vec![(Part::RestsOn, Subject::Model(model.clone()))]
            }
            // A facepiece has the last day of its box.
            Fact::FacepieceTaken { model, stock, .. } => vec![
                (Part::RestsOn, Subject::Model(model.clone())),
                (Part::RestsOn, Subject::Stock(stock.clone())),
            ],
            // Whether it counts is judged by the set that was on the face and by what it was made with.
            Fact::FitMeasured { model, tester, unit, instrument, .. } => {
                let with = tested_with(model, unit.as_ref(), instrument.as_ref());
                person(tester).into_iter().chain(with).collect()
            }
            Fact::ElementsFitted { element_type, .. }
            | Fact::ScheduleAdopted { element_type, .. }
            | Fact::StockReceived { item: StockItem::Elements(element_type), .. } => {
                vec![(Part::RestsOn, Subject::ElementType(element_type.clone()))]
            }
            Fact::Repaired { by, .. } | Fact::ReleasedBy { by, .. } => person(by),
            Fact::ReuseAccepted { by, element_type, .. } => {
                let of_kind = (Part::RestsOn, Subject::ElementType(element_type.clone()));
                person(by).into_iter().chain([of_kind]).collect()
            }
            Fact::Released { .. } => person(&self.by),
            Fact::RoleGiven { person, .. } | Fact::RoleEnded { person, .. } => {
                // Who runs the program is a part of it.
                let site = (Part::Folded, Subject::Site(self.site.clone()));
                vec![(Part::Named, Subject::Wearer(person.clone())), site]
            }
            Fact::CylinderMounted { cylinder, .. } => {
                vec![(Part::RestsOn, Subject::Cylinder(cylinder.clone()))]
            }
            Fact::SupplyConnected { supply, .. } => {
                vec![(Part::RestsOn, Subject::Supply(supply.clone()))]
            }
            // What a set breathes from a cylinder is judged by the supply that filled it.
            Fact::CylinderFilled { supply: Some(supply), .. } => {
                vec![(Part::RestsOn, Subject::Supply(supply.clone()))]
            }
            Fact::Stored { place, .. } => vec![(Part::RestsOn, Subject::Place(place.clone()))],
            // The readings of the group count for each of its tasks.
            Fact::ExposureGroupDescribed { group, tasks, .. } => {
                let of_task = |task: &TaskId| (Part::Folded, Subject::Task(task.clone()));
                let group = (Part::RestsOn, Subject::Group(group.clone()));
                tasks.iter().map(of_task).chain([group]).collect()
            }
            _ => Vec::new(),
        };
        // Who may release a set may take back that it was held.
        if self.corrects.is_some() {
            all.extend(person(&self.by));
        }
        all
    }
}

/// The model, the set and the instrument of a fit test.
fn tested_with<'e>(
    model: &'e ModelId,
    unit: Option<&'e UnitId>,
    instrument: Option<&'e InstrumentId>,
) -> impl Iterator<Item = (Part, Subject)> + use<'e> {
    let set = unit.cloned().map(Subject::Unit);
    let with = instrument.cloned().map(Subject::Instrument);
    let all = [Some(Subject::Model(model.clone())), set, with];
    all.into_iter().flatten().map(|thing| (Part::RestsOn, thing))
}

/// The things an entry is about.
#[derive(Default)]
pub(super) struct Subjects<'e> {
    pub(super) site: Option<&'e SiteId>,
    pub(super) model: Option<&'e ModelId>,
    pub(super) element_type: Option<&'e ElementTypeId>,
    pub(super) unit: Option<&'e UnitId>,
    pub(super) wearer: Option<&'e PersonId>,
    /// Somebody with a part in the program.
    pub(super) person: Option<&'e PersonId>,
    pub(super) task: Option<&'e TaskId>,
    pub(super) cylinder: Option<&'e CylinderId>,
    pub(super) supply: Option<&'e SupplyId>,
    pub(super) place: Option<&'e PlaceId>,
    pub(super) stock: Option<&'e StockId>,
    pub(super) group: Option<&'e GroupId>,
    pub(super) instrument: Option<&'e InstrumentId>,
}

impl<'e> Subjects<'e> {
    pub(super) fn of(entry: &'e Entry) -> Self {
        let none = Self::default();
        match &entry.fact {
            Fact::SiteOpened { .. }
            | Fact::PolicySet { .. }
            | Fact::ProgramWritten { .. }
            | Fact::ProgramEvaluated { .. }
            | Fact::WorkersConsulted { .. }
            | Fact::ActionOpened { .. }
            | Fact::ActionClosed { .. }
            | Fact::DutyShown { .. } => Self { site: Some(&entry.site), ..none },
            Fact::ModelListed { model, .. }
            | Fact::MakerInstructionsNoted { model, .. }
            | Fact::MakersSealCheckShown { model, .. } => Self { model: Some(model), ..none },
            Fact::ElementTypeListed { element_type, .. } => {
                Self { element_type: Some(element_type), ..none }
            }
            Fact::RoleGiven { person, .. } | Fact::RoleEnded { person, .. } => {
                Self { person: Some(person), ..none }
            }
            // Who repairs, tests or fills need not wear.
            Fact::Trained { wearer, .. } => {
                Self { wearer: Some(wearer), person: Some(wearer), ..none }
            }
            Fact::WearerEnrolled { wearer, .. }
            | Fact::WearerLeft { wearer, .. }
            | Fact::ClearanceGiven { wearer, .. }
            | Fact::ClearanceWritten { wearer, .. }
            | Fact::MedicalInformationGiven { wearer, .. }
            | Fact::FitTested { wearer, .. }
            | Fact::RenewalAsked { wearer, .. }
            | Fact::SealHairSeen { wearer, .. }
            | Fact::VoluntaryInformationGiven { wearer } => Self { wearer: Some(wearer), ..none },
            Fact::FitMeasured { wearer, unit, .. } => {
                Self { wearer: Some(wearer), unit: unit.as_ref(), ..none }
            }
            Fact::TaskDescribed { task, .. }
            | Fact::TaskDescribedBySegments { task, .. }
            | Fact::ReadingTaken { task, .. }
            | Fact::ScheduleAdopted { task, .. }
            | Fact::ReuseAccepted { task, .. }
            | Fact::StandbyPosted { task, .. }
            | Fact::StandbyEnded { task, .. } => Self { task: Some(task), ..none },
            Fact::ExposureGroupDescribed { group, .. } | Fact::ExposureMeasured { group, .. } => {
                Self { group: Some(group), ..none }
            }
            Fact::PlaceListed { place, .. } | Fact::PlaceDescribed { place, .. } => {
                Self { place: Some(place), ..none }
            }
            Fact::StockReceived { stock, .. }
            | Fact::StockCounted { stock, .. }
            | Fact::FitAgentPrepared { stock, .. } => Self { stock: Some(stock), ..none },
            Fact::FacepieceTaken { unit, stock, wearer, .. } => {
                Self { unit: Some(unit), stock: Some(stock), wearer: Some(wearer), ..none }
            }
            care => Self::of_use(care),
        }
    }

    /// Of facts about a set in use, and of equipment beside it.
    fn of_use(fact: &'e Fact) -> Self {
        let none = Self::default();
        match fact {
            Fact::Stored { unit, place } => Self { unit: Some(unit), place: Some(place), ..none },
            Fact::Issued { unit, wearer }
            | Fact::Returned { unit, wearer }
            | Fact::SealChecked { unit, wearer, .. } => {
                Self { unit: Some(unit), wearer: Some(wearer), ..none }
            }
            Fact::Worn { unit, wearer, task, .. }
            | Fact::BreakthroughSensed { unit, wearer, task, .. } => {
                Self { unit: Some(unit), wearer: Some(wearer), task: Some(task), ..none }
            }
            Fact::UnitReceived { unit, .. }
            | Fact::ElementsFitted { unit, .. }
            | Fact::ElementsDiscarded { unit, .. }
            | Fact::Cleaned { unit }
            | Fact::CareStepDone { unit, .. }
            | Fact::Disinfected { unit, .. }
            | Fact::Inspected { unit, .. }
            | Fact::InspectedByPoints { unit, .. }
            | Fact::Held { unit, .. }
            | Fact::Repaired { unit, .. }
            | Fact::Restored { unit, .. }
            | Fact::RepairTested { unit, .. }
            | Fact::Released { unit, .. }
            | Fact::ReleasedBy { unit, .. }
            | Fact::Retired { unit, .. }
            | Fact::CylinderRead { unit, .. }
            | Fact::BatteryChecked { unit, .. }
            | Fact::PoweredFlowChecked { unit, .. } => Self { unit: Some(unit), ..none },
            other => Self::of_equipment(other),
        }
    }

    /// Of facts about a cylinder, a supply or an instrument.
    fn of_equipment(fact: &'e Fact) -> Self {
        let none = Self::default();
        match fact {
            Fact::InstrumentListed { instrument, .. }
            | Fact::InstrumentCalibrated { instrument, .. }
            | Fact::InstrumentChecked { instrument, .. }
            | Fact::InstrumentWithdrawn { instrument, .. } => {
                Self { instrument: Some(instrument), ..none }
            }
            Fact::CylinderListed { cylinder, .. }
            | Fact::CylinderGauged { cylinder, .. }
            | Fact::OxygenCertified { cylinder, .. }
            | Fact::CylinderRequalified { cylinder, .. }
            | Fact::CylinderWithdrawn { cylinder, .. } => Self { cylinder: Some(cylinder), ..none },
            Fact::CylinderFilled { cylinder, supply, .. } => {
                Self { cylinder: Some(cylinder), supply: supply.as_ref(), ..none }
            }
            Fact::CylinderMounted { cylinder, unit } => {
                Self { cylinder: Some(cylinder), unit: Some(unit), ..none }
            }
            Fact::BreathingAirTested { unit, cylinder, .. } => {
                Self { unit: Some(unit), cylinder: cylinder.as_ref(), ..none }
            }
            Fact::SupplyListed { supply, .. }
            | Fact::AirSampled { supply, .. }
            | Fact::SupplyLookedOver { supply, .. }
            | Fact::AirBought { supply, .. }
            | Fact::CarbonMonoxideTested { supply, .. }
            | Fact::SorbentBedChanged { supply, .. }
            | Fact::CarbonMonoxideAlarmChecked { supply, .. } => {
                Self { supply: Some(supply), ..none }
            }
            Fact::SupplyConnected { unit, supply } => {
                Self { unit: Some(unit), supply: Some(supply), ..none }
            }
            _ => none,
        }
    }
}
