use std::borrow::Cow;

use jiff::civil::Date;
use quantity::{Celsius, Kilopascal, LitrePerMin, Litres, MgPerLitre, Minutes};

use crate::ask::Noted;
use crate::breathing_air::Charge;
use crate::fit_test::TestedAs;
use crate::interval::Every;
use crate::{Device, Mounting};

/// What the rules ask about one set, for one wearer, one task and one day.
#[derive(Debug, Clone, PartialEq)]
pub struct UnitFacts<'a> {
    /// The tag, as it was asked for.
    pub unit: &'a str,
    /// Whether a set with this tag was received.
    pub received: bool,
    /// Its model, as it was received.
    pub model: &'a str,
    /// What it is, where its model is listed.
    pub device: Option<Device>,
    /// What its model is listed with as its approval number, where it is listed.
    pub approval: Option<&'a str>,
    /// Whether several wearers use it.
    pub shared: bool,
    /// Whether it is kept for emergencies.
    pub emergency: bool,
    /// Who asks.
    pub wearer: &'a str,
    /// Name of who asks.
    pub wearer_name: &'a str,
    /// The last day of the planned wear, at the site.
    pub day: Date,
    /// Minutes of wear that are planned.
    pub planned_min: f64,
    /// How the air of a cylinder is breathed in the task, where that is known.
    pub breathing: Option<Breathing>,
    /// Why it was retired.
    pub retired: Option<Noted<'a>>,
    /// Why it is held.
    pub held: Option<Noted<'a>>,
    /// What was changed on it for a fit test and not put back since.
    pub changed_for_test: Option<Changed<'a>>,
    /// In whose hands it is: everyone to whom it was issued and from whom it did not come back.
    pub holders: Vec<Use<'a>>,
    /// Who used it since it was last cleaned and then disinfected.
    pub used_since_disinfected: Vec<Use<'a>>,
    /// Who ever used it.
    pub used_ever: Vec<Use<'a>>,
    /// Who used it and was followed only by disinfections that nothing shows to disinfect.
    pub doubtfully_disinfected: Vec<DoubtfulDisinfection<'a>>,
    /// Its latest disinfection.
    pub disinfection: Option<DisinfectionFact<'a>>,
    /// Its latest inspection on any occasion.
    pub inspection: Option<InspectionFact<'a>>,
    /// How long an inspection counts at this site.
    pub inspection_counts: Every,
    /// Its latest monthly round.
    pub monthly_round: Option<Round<'a>>,
    /// How long a monthly round counts at this site.
    pub round_counts: Every,
    /// The cylinder that was mounted on it last.
    pub mounted: Option<MountedFact<'a>>,
    /// The latest reading of its cylinder.
    pub cylinder: Option<CylinderFact<'a>>,
    /// How long a reading of a cylinder counts at this site.
    pub reading_counts: Every,
    /// The latest test of the air it supplies.
    pub air_test: Option<AirTest<'a>>,
    /// Whether it is connected to a line.
    pub on_line: bool,
    /// The latest test of the air in the cylinder that it carries beside the line.
    pub auxiliary_air: Option<AirTest<'a>>,
    /// The latest check of its blower.
    pub powered_flow: Option<FlowFact<'a>>,
    /// Until when a filtering facepiece serves, where that is known.
    pub use_by: Option<UseBy<'a>>,
    /// What is fitted to it, or the filter that a facepiece is made of.
    pub elements: Option<ElementFacts<'a>>,
    /// The life of what is fitted to it in this task, where a schedule is known.
    pub life: Option<LifeFacts<'a>>,
    /// What was sensed inside it and not put right; the words name the sign.
    pub sensed: Option<Noted<'a>>,
}

impl UnitFacts<'_> {
    /// What is fitted to it, unless it brings its own air: then whatever is recorded on it, such as
    /// a filter from a fit test, cleans nothing.
    #[must_use]
    pub fn elements_in_use(&self) -> Option<&ElementFacts<'_>> {
        let brings_air =
            self.device.as_ref().is_some_and(|device| !device.air_source.purifies_air());
        self.elements.as_ref().filter(|_| !brings_air)
    }
}

/// How the air of a cylinder is breathed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breathing {
    /// Air breathed in a minute at the work of the task.
    pub minute_volume: LitrePerMin,
    /// Pressure of the place.
    pub ambient: Kilopascal,
    /// Temperature of the place.
    pub temperature: Celsius,
}

/// A change to a facepiece for a fit test.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Changed<'a> {
    /// What it was tested as.
    pub tested_as: TestedAs,
    /// The entry.
    pub entry: &'a str,
}

/// Someone who holds or used a set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Use<'a> {
    /// Who.
    pub person: &'a str,
    /// Name to show.
    pub name: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// A disinfection.
#[derive(Debug, Clone, PartialEq)]
pub struct DisinfectionFact<'a> {
    /// Time in contact.
    pub contact: Minutes,
    /// How strong the bath was, where it is more than twice as strong as printed and its maker does
    /// not approve it.
    pub strong: Option<MgPerLitre>,
    /// The entry.
    pub entry: &'a str,
}

/// A disinfection after a use, with something that nothing shows to disinfect.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct DoubtfulDisinfection<'a> {
    /// The use before it.
    pub used: Use<'a>,
    /// With what, as it was written.
    pub agent: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// An inspection.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InspectionFact<'a> {
    /// The day at the site.
    pub day: Date,
    /// Whether it was done on the day of the wear, or in the shift before it.
    pub for_this_wear: bool,
    /// Whether every point passed.
    pub passed: bool,
    /// What was found.
    pub found: Cow<'a, str>,
    /// The entry.
    pub entry: &'a str,
    /// What happened to the set since, so that another is due; the words are a past participle.
    pub overtaken_by: Option<Noted<'a>>,
}

/// A monthly round.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Round<'a> {
    /// The day at the site.
    pub day: Date,
    /// The entry.
    pub entry: &'a str,
}

/// A cylinder that was mounted on a set.
#[derive(Debug, Clone, PartialEq)]
pub struct MountedFact<'a> {
    /// The tag on it.
    pub cylinder: &'a str,
    /// The other set on which it was mounted since.
    pub gone_to: Option<&'a str>,
    /// How it was listed, if it was.
    pub listed: Option<ListedCylinder<'a>>,
    /// The part numbers of the cylinders that the approval of the set names; empty where none were
    /// named.
    pub named: Vec<&'a str>,
    /// The highest rated pressure with which a cylinder of the set was read.
    pub read_as: Option<Kilopascal>,
    /// The entry that mounted it.
    pub entry: &'a str,
}

/// A cylinder as it was listed.
#[derive(Debug, Clone, PartialEq)]
pub struct ListedCylinder<'a> {
    /// Its rated pressure.
    pub rated: Kilopascal,
    /// How much water it holds.
    pub water_volume: Litres,
    /// Its part number; empty where it was not told.
    pub part: &'a str,
    /// The entry.
    pub entry: &'a str,
}

/// A reading of a cylinder.
#[derive(Debug, Clone, PartialEq)]
pub struct CylinderFact<'a> {
    /// The day at the site.
    pub day: Date,
    /// The pressure read.
    pub read: Kilopascal,
    /// The rated pressure.
    pub rated: Kilopascal,
    /// The entry.
    pub entry: &'a str,
    /// What happened to the set since, so that another reading is due.
    pub overtaken_by: Option<Noted<'a>>,
}

impl CylinderFact<'_> {
    /// What the reading asks for.
    #[must_use]
    pub fn charge(&self) -> Charge {
        Charge::of_part_of_rated(self.read.as_kpa() / self.rated.as_kpa())
    }
}

/// A test of breathing air.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AirTest<'a> {
    /// At least Grade D.
    pub meets: bool,
    /// Whether figures are missing and none that was reported is outside its limit.
    pub only_incomplete: bool,
    /// The entry.
    pub entry: &'a str,
}

/// A check of a blower.
#[derive(Debug, Clone, PartialEq)]
pub struct FlowFact<'a> {
    /// The day at the site.
    pub day: Date,
    /// Whether it was done on the day of the wear, or in the shift before it.
    pub for_this_wear: bool,
    /// The flow found.
    pub found: LitrePerMin,
    /// The least flow the maker asks for.
    pub least: LitrePerMin,
    /// The entry.
    pub entry: &'a str,
    /// What happened to the set since, so that another check is due.
    pub overtaken_by: Option<Noted<'a>>,
}

/// Elements on a set.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ElementFacts<'a> {
    /// Their kind, as it was fitted.
    pub kind: &'a str,
    /// Whether the kind is listed.
    pub listed: bool,
    /// Whether the kind is certified against any gas or vapour.
    pub against_gas: bool,
    /// How it is mounted, where the kind is listed.
    pub mounting: Option<Mounting>,
    /// The kinds that the listing of the model names as approved with it.
    pub named: Vec<&'a str>,
    /// The maker's lot.
    pub lot: &'a str,
    /// Last day of their shelf life; none where none is known, or it does not end.
    pub shelf_life_until: Option<Date>,
    /// The day their seal was opened.
    pub opened: Date,
    /// The entry that fitted them.
    pub entry: &'a str,
}

/// Until when a filtering facepiece serves.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct UseBy<'a> {
    /// The last day; none where it does not end.
    pub until: Option<Date>,
    /// The entry.
    pub entry: &'a str,
}

/// How far elements are through their change schedule, in minutes of this task.
#[derive(Debug, Clone, PartialEq)]
pub struct LifeFacts<'a> {
    /// Wear so far; wear in another task is scaled by the two schedules.
    pub used_min: f64,
    /// Planned wear.
    pub planned_min: f64,
    /// The longest wear the schedule allows.
    pub allowed_min: f64,
    /// The number of the coming shift, counted from when they were fitted.
    pub shift: u32,
    /// How many shifts the schedule allows.
    pub shifts_allowed: u32,
    /// Whether their seal was opened for the coming shift.
    pub opened_this_shift: bool,
    /// What limits the schedule.
    pub limited_by: String,
    /// The entries of the wear so far.
    pub worn: Vec<&'a str>,
}
