use crate::entry::{Entry, Fact};
use crate::ids::{
    CylinderId, ElementTypeId, GroupId, ModelId, PersonId, PlaceId, SiteId, StockId, SupplyId,
    TaskId, UnitId,
};

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
