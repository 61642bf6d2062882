use crate::entry::{Entry, Fact};
use crate::ids::{ElementTypeId, EntryId, ModelId, PersonId, SiteId, TaskId, UnitId};

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
    /// The entries that correct each other, by the id of one of them.
    Correction(EntryId),
}

impl Subject {
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
        let with = if about.unit.is_some() { Part::Named } else { Part::Folded };
        let folded = [
            about.site.cloned().map(Subject::Site),
            about.model.cloned().map(Subject::Model),
            about.element_type.cloned().map(Subject::ElementType),
            about.unit.cloned().map(Subject::Unit),
        ];
        let told =
            [about.wearer.cloned().map(Subject::Wearer), about.task.cloned().map(Subject::Task)];
        let rests_on = match &self.fact {
            Fact::UnitReceived { model, .. } | Fact::FitTested { model, .. } => {
                Some(Subject::Model(model.clone()))
            }
            Fact::ElementsFitted { element_type, .. }
            | Fact::ScheduleAdopted { element_type, .. } => {
                Some(Subject::ElementType(element_type.clone()))
            }
            _ => None,
        };
        let folded = folded.into_iter().flatten().map(|thing| (Part::Folded, thing));
        let told = told.into_iter().flatten().map(|thing| (with, thing));
        let rests_on = rests_on.into_iter().map(|thing| (Part::RestsOn, thing));
        folded.chain(told).chain(rests_on).collect()
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
    pub(super) task: Option<&'e TaskId>,
}

impl<'e> Subjects<'e> {
    pub(super) fn of(entry: &'e Entry) -> Self {
        let none = Self::default();
        match &entry.fact {
            Fact::SiteOpened { .. } => Self { site: Some(&entry.site), ..none },
            Fact::ModelListed { model, .. } => Self { model: Some(model), ..none },
            Fact::ElementTypeListed { element_type, .. } => {
                Self { element_type: Some(element_type), ..none }
            }
            Fact::WearerEnrolled { wearer, .. }
            | Fact::ClearanceGiven { wearer, .. }
            | Fact::FitTested { wearer, .. }
            | Fact::Trained { wearer, .. }
            | Fact::VoluntaryInformationGiven { wearer } => Self { wearer: Some(wearer), ..none },
            Fact::TaskDescribed { task, .. }
            | Fact::ReadingTaken { task, .. }
            | Fact::ScheduleAdopted { task, .. } => Self { task: Some(task), ..none },
            Fact::Issued { unit, wearer } | Fact::Returned { unit, wearer } => {
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
            | Fact::Disinfected { unit, .. }
            | Fact::Inspected { unit, .. }
            | Fact::Held { unit, .. }
            | Fact::Released { unit, .. }
            | Fact::Retired { unit, .. }
            | Fact::CylinderRead { unit, .. }
            | Fact::BreathingAirTested { unit, .. }
            | Fact::PoweredFlowChecked { unit, .. } => Self { unit: Some(unit), ..none },
        }
    }
}
