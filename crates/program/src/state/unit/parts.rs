use std::collections::BTreeMap;

use quantity::{Kilopascal, LitrePerMin, Minutes};

use crate::entry::{
    AirQuality, Fact, InspectionOccasion, PointFound, PointResult, RepairScope, SealCheck,
    SeriousSign, SparePart,
};
use crate::ids::{CylinderId, PersonId};
use crate::state::At;

/// Why a set is held or was retired.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Reason {
    /// The reason, as written.
    pub why: String,
    /// Where that stands.
    pub at: At,
}

/// A disinfection.
#[derive(Debug, Clone, PartialEq)]
pub struct Disinfection {
    /// With what.
    pub agent: String,
    /// How long it was in contact.
    pub contact: Minutes,
    /// Where that stands.
    pub at: At,
}

/// A use of a set that was followed by disinfections with things that nothing shows to disinfect but
/// the word of the maker.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DoubtfullyDisinfected {
    /// The latest use.
    pub used: At,
    /// The latest disinfection with each thing, by its name as it was written.
    pub with: BTreeMap<String, At>,
}

/// An inspection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Inspection {
    /// On which occasion.
    pub occasion: InspectionOccasion,
    /// Whether every point passed.
    pub passed: bool,
    /// What was found.
    pub found: String,
    /// The list of points, where it was inspected by one.
    pub checklist: Option<Checklist>,
    /// Where that stands.
    pub at: At,
}

/// A filled list of points.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Checklist {
    /// What was found at each point.
    pub points: Vec<PointFound>,
    /// Who inspected, by name or signature.
    pub signed: String,
    /// The remedial action.
    pub remedy: String,
    /// The serial number or another identification, as read from the set.
    pub serial: String,
}

impl Inspection {
    /// The inspection that `fact` tells of; none of another fact. It passed where no point failed,
    /// whether or not every point was looked at; a list without a single point shows nothing.
    pub(crate) fn of(fact: &Fact, at: &At) -> Option<Self> {
        match fact {
            Fact::Inspected { occasion, passed, found, .. } => Some(Self {
                occasion: *occasion,
                passed: *passed,
                found: found.clone(),
                checklist: None,
                at: at.clone(),
            }),
            Fact::InspectedByPoints { occasion, points, signed, remedy, serial, .. } => {
                let failed = points.iter().filter(|point| point.result == PointResult::Fail);
                let found: Vec<String> = failed.map(PointFound::words).collect();
                let checklist = Checklist {
                    points: points.clone(),
                    signed: signed.clone(),
                    remedy: remedy.clone(),
                    serial: serial.clone(),
                };
                Some(Self {
                    occasion: *occasion,
                    passed: found.is_empty() && !points.is_empty(),
                    found: found.join("; "),
                    checklist: Some(checklist),
                    at: at.clone(),
                })
            }
            _ => None,
        }
    }
}

/// A reading of a cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct CylinderReading {
    /// Its rated pressure, as it was read.
    pub rated: Kilopascal,
    /// The highest rated pressure ever read on this set: a lower one would make a little air look like
    /// a full cylinder.
    pub rated_at_most: Kilopascal,
    /// The pressure read.
    pub read: Kilopascal,
    /// Where that stands.
    pub at: At,
}

/// A test of breathing air.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AirTested {
    /// What it said.
    pub quality: AirQuality,
    /// The cylinder that was mounted then, where nothing else fed the set.
    pub of: Option<CylinderId>,
    /// Where that stands.
    pub at: At,
}

/// A check of a blower.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowCheck {
    /// The flow found.
    pub flow: LitrePerMin,
    /// The least flow the maker asks for.
    pub least: LitrePerMin,
    /// Where that stands.
    pub at: At,
}

/// A check of a battery.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatteryCheck {
    /// Whether it is charged and sound.
    pub passed: bool,
    /// What was found.
    pub found: String,
    /// Where that stands.
    pub at: At,
}

/// A check of the seal on donning.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SealChecked {
    /// Whether it held.
    pub passed: bool,
    /// How it was checked.
    pub way: SealCheck,
    /// Where that stands.
    pub at: At,
}

/// A repair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Repair {
    /// Who repaired.
    pub by: PersonId,
    /// How deep the repair went.
    pub scope: RepairScope,
    /// The parts put in.
    pub parts: Vec<SparePart>,
    /// The maker's instructions that were followed.
    pub instructions: String,
    /// Where that stands.
    pub at: At,
}

/// A test after a repair.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RepairTest {
    /// Whether it passed.
    pub passed: bool,
    /// How it was tested.
    pub how: String,
    /// Where that stands.
    pub at: At,
}

/// A release.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Release {
    /// Who released the set; who entered it, where no one else is named.
    pub by: PersonId,
    /// Why it had been held, where it was.
    pub held: Option<Reason>,
    /// Where that stands.
    pub at: At,
}

/// Something smelled, tasted or felt inside a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Sensed {
    /// What.
    pub sign: SeriousSign,
    /// By whom.
    pub wearer: PersonId,
    /// Where that stands.
    pub at: At,
}

/// Something that happens to a set, after which it must be looked at again.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Happening {
    /// It was worn.
    Worn,
    /// Something was sensed inside it.
    Reported,
    /// It was given back.
    Returned,
    /// It was cleaned.
    Cleaned,
    /// It was disinfected.
    Disinfected,
    /// Elements were fitted.
    Fitted,
    /// Elements were taken off.
    Stripped,
    /// It was released after having been held.
    Released,
    /// A step of its cleaning was done.
    InCare,
    /// It was repaired.
    Repaired,
    /// It was put back after a fit test.
    Restored,
}

impl Happening {
    /// Every kind.
    pub const ALL: [Self; 11] = [
        Self::Worn,
        Self::Reported,
        Self::Returned,
        Self::Cleaned,
        Self::Disinfected,
        Self::Fitted,
        Self::Stripped,
        Self::Released,
        Self::InCare,
        Self::Repaired,
        Self::Restored,
    ];

    /// The kind that `fact` is of.
    pub(super) fn of(fact: &Fact) -> Option<Self> {
        Some(match fact {
            Fact::Worn { .. } => Self::Worn,
            Fact::BreakthroughSensed { .. } => Self::Reported,
            Fact::Returned { .. } => Self::Returned,
            Fact::Cleaned { .. } => Self::Cleaned,
            Fact::Disinfected { .. } => Self::Disinfected,
            Fact::ElementsFitted { .. } => Self::Fitted,
            Fact::ElementsDiscarded { .. } => Self::Stripped,
            Fact::Released { .. } | Fact::ReleasedBy { .. } => Self::Released,
            Fact::CareStepDone { .. } => Self::InCare,
            Fact::Repaired { .. } => Self::Repaired,
            Fact::FitMeasured { restored: Some(true), .. } | Fact::Restored { .. } => {
                Self::Restored
            }
            _ => return None,
        })
    }

    /// What was done to it, as a past participle.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Worn => "worn",
            Self::Reported => "reported for something sensed inside it",
            Self::Returned => "given back",
            Self::Cleaned => "cleaned",
            Self::Disinfected => "disinfected",
            Self::Fitted => "fitted with elements",
            Self::Stripped => "stripped of its elements",
            Self::Released => "released",
            Self::InCare => "taken through a step of cleaning",
            Self::Repaired => "repaired",
            Self::Restored => "put back after a fit test",
        }
    }
}
