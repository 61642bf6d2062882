use crate::entry::{Entry, Fact};
use crate::ids::{ElementTypeId, ModelId, PersonId, SiteId, TaskId, UnitId};

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
