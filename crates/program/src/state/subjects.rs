use crate::entry::{Entry, Fact};
use crate::ids::{
    CylinderId, ElementTypeId, EntryId, GroupId, ModelId, PersonId, PlaceId, SiteId, StockId,
    SupplyId, TaskId, UnitId,
};

macro_rules! subjects {
    ($($(#[$doc:meta])* $name:ident($id:ident) = $number:literal)+) => {
        /// One thing that entries are about.
        #[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub enum Subject {
            $($(#[$doc])* $name($id),)+
        }

        impl Subject {
            /// Its kind, as a number that never changes.
            ///
            /// INVARIANT (kinds): the numbers grow in the order of the kinds.
            #[must_use]
            pub const fn kind(&self) -> u8 {
                match self {
                    $(Self::$name(_) => $number,)+
                }
            }

            /// Its id as text.
            #[must_use]
            pub fn id(&self) -> &str {
                match self {
                    $(Self::$name(id) => id.as_str(),)+
                }
            }

            /// The thing of this kind and id; none where no kind has that number.
            #[must_use]
            pub fn of(kind: u8, id: &str) -> Option<Self> {
                match kind {
                    $($number => Some(Self::$name($id::new(id))),)+
                    _ => None,
                }
            }
        }
    };
}

subjects! {
    /// A site.
    Site(SiteId) = 1
    /// A model of respirator.
    Model(ModelId) = 2
    /// A kind of element.
    ElementType(ElementTypeId) = 3
    /// A respirator.
    Unit(UnitId) = 4
    /// A person: as a wearer, and with a part in the program.
    Person(PersonId) = 5
    /// A task.
    Task(TaskId) = 6
    /// A cylinder.
    Cylinder(CylinderId) = 7
    /// A supply of air.
    Supply(SupplyId) = 8
    /// A place of storage.
    Place(PlaceId) = 9
    /// A box of what is used up.
    Stock(StockId) = 10
    /// An exposure group.
    Group(GroupId) = 11
    /// The entries that correct each other, by the id of one of them.
    Correction(EntryId) = 200
}

/// How an entry bears on a thing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Bearing {
    /// Without it the thing is not what it is.
    Folded,
    /// It speaks of the thing and changes nothing of it.
    Named,
    /// What it changes is judged by the thing: a set by its model.
    RestsOn,
}

impl Entry {
    /// The things on which this entry bears.
    #[must_use]
    pub fn subjects(&self) -> Vec<(Bearing, Subject)> {
        let about = Subjects::of(self);
        // What happens to a set or a cylinder is told with who, where and what for.
        let happens_to_another = about.unit.is_some() || about.cylinder.is_some();
        let told = if happens_to_another { Bearing::Named } else { Bearing::Folded };
        let mut all = Vec::with_capacity(4);
        let mut add = |bearing, thing: Option<Subject>| all.extend(thing.map(|it| (bearing, it)));
        add(Bearing::Folded, about.site.cloned().map(Subject::Site));
        add(Bearing::Folded, about.model.cloned().map(Subject::Model));
        add(Bearing::Folded, about.element_type.cloned().map(Subject::ElementType));
        add(Bearing::Folded, about.unit.cloned().map(Subject::Unit));
        add(told, about.wearer.or(about.person).cloned().map(Subject::Person));
        add(told, about.task.cloned().map(Subject::Task));
        add(Bearing::Folded, about.cylinder.cloned().map(Subject::Cylinder));
        add(told, about.supply.cloned().map(Subject::Supply));
        add(told, about.place.cloned().map(Subject::Place));
        add(Bearing::Folded, about.stock.cloned().map(Subject::Stock));
        add(Bearing::Folded, about.group.cloned().map(Subject::Group));
        match &self.fact {
            Fact::UnitReceived { model, .. }
            | Fact::FacepieceTaken { model, .. }
            | Fact::FitTested { model, .. }
            | Fact::FitMeasured { model, .. } => {
                add(Bearing::RestsOn, Some(Subject::Model(model.clone())));
            }
            Fact::ElementsFitted { element_type, .. }
            | Fact::ScheduleAdopted { element_type, .. } => {
                add(Bearing::RestsOn, Some(Subject::ElementType(element_type.clone())));
            }
            // The air of a task is also what its groups measured.
            Fact::ExposureGroupDescribed { tasks, .. } => {
                tasks
                    .iter()
                    .for_each(|task| add(Bearing::Folded, Some(Subject::Task(task.clone()))));
            }
            _ => {}
        }
        all
    }

    /// Whether every duty at the site can be another one because of this entry: its calendar or
    /// its policy changed.
    #[must_use]
    pub const fn changes_the_site(&self) -> bool {
        matches!(self.fact, Fact::SiteOpened { .. } | Fact::PolicySet { .. })
    }
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
            Fact::ModelListed { model, .. } | Fact::MakerInstructionsNoted { model, .. } => {
                Self { model: Some(model), ..none }
            }
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
            | Fact::FitTested { wearer, .. }
            | Fact::FitMeasured { wearer, .. }
            | Fact::VoluntaryInformationGiven { wearer } => Self { wearer: Some(wearer), ..none },
            Fact::TaskDescribed { task, .. }
            | Fact::ReadingTaken { task, .. }
            | Fact::ScheduleAdopted { task, .. }
            | Fact::ReuseAccepted { task, .. } => Self { task: Some(task), ..none },
            Fact::ExposureGroupDescribed { group, .. } | Fact::ExposureMeasured { group, .. } => {
                Self { group: Some(group), ..none }
            }
            Fact::PlaceListed { place, .. } => Self { place: Some(place), ..none },
            Fact::StockReceived { stock, .. } | Fact::StockCounted { stock, .. } => {
                Self { stock: Some(stock), ..none }
            }
            Fact::FacepieceTaken { unit, stock, wearer, .. } => {
                Self { unit: Some(unit), stock: Some(stock), wearer: Some(wearer), ..none }
            }
            care => Self::of_use(care),
        }
    }

    /// Of facts about a set, a cylinder or a supply in use.
    fn of_use(fact: &'e Fact) -> Self {
        let none = Self::default();
        match fact {
            Fact::CylinderListed { cylinder, .. }
            | Fact::CylinderGauged { cylinder, .. }
            | Fact::CylinderRequalified { cylinder, .. }
            | Fact::CylinderWithdrawn { cylinder, .. } => Self { cylinder: Some(cylinder), ..none },
            Fact::CylinderFilled { cylinder, supply, .. } => {
                Self { cylinder: Some(cylinder), supply: supply.as_ref(), ..none }
            }
            Fact::CylinderMounted { cylinder, unit } => {
                Self { cylinder: Some(cylinder), unit: Some(unit), ..none }
            }
            Fact::SupplyListed { supply, .. }
            | Fact::AirSampled { supply, .. }
            | Fact::SorbentBedChanged { supply, .. }
            | Fact::CarbonMonoxideAlarmChecked { supply, .. } => {
                Self { supply: Some(supply), ..none }
            }
            Fact::SupplyConnected { unit, supply } => {
                Self { unit: Some(unit), supply: Some(supply), ..none }
            }
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
            | Fact::RepairTested { unit, .. }
            | Fact::Released { unit, .. }
            | Fact::ReleasedBy { unit, .. }
            | Fact::Retired { unit, .. }
            | Fact::CylinderRead { unit, .. }
            | Fact::BreathingAirTested { unit, .. }
            | Fact::BatteryChecked { unit, .. }
            | Fact::PoweredFlowChecked { unit, .. } => Self { unit: Some(unit), ..none },
            _ => none,
        }
    }
}
