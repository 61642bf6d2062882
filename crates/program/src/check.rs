//! Whether what an entry says can be so: asked of every entry that a person makes here, before it is
//! kept.
//!
//! Entries that came from elsewhere, and those of old, are read whatever they say; where they speak of
//! what cannot be, the state tells it as a contradiction.

mod words;

use jiff::Timestamp;
use jiff::civil::Date;
use quantity::{Kilopascal, Minutes};
use rulebook::breathing_air::{RATED_KPA, WATER_VOLUME_L, printed_terms};
use rulebook::fit_test::{LONGEST_CALIBRATION_MONTHS, TestedAs};
use rulebook::interval::DAY_MIN;
use rulebook::is_invisible;
use rulebook::unit::{elements_mounting, model_approved};
use rulebook::{
    AirSource, Device, ElementKind, Elements, assigned, element_kinds_for, may_show_factor_1000,
};
use substance::Catalogue;

use crate::entry::{AirFigures, BedSpec, Every, Fact, ReuseCalculation, StockItem};
use crate::ids::{ElementTypeId, EntryId, ModelId, SiteId, UnitId};
use crate::reaction::CalibratedReactions;
use crate::standby::problems;
use crate::state::{At, FitTest, Posting, State, Subject};
use crate::usual_shift;

pub use words::cylinder_on_words;
pub(crate) use words::{
    cylinder_words, elements_words, is_fed, kind_words, no_such_size, not_from_that_box,
    period_words, tested_facepiece_words,
};

/// The most shifts that one set of elements may be said to serve: a month of them. Common practice, no
/// source.
pub const MOST_SHIFTS: u32 = 31;

/// The most elements that one respirator carries. Common practice, no source: two or three on most.
pub const MOST_ELEMENTS: u32 = 6;

/// The most pieces of one box or lot. Common practice, no source: a pallet of them holds some thousands.
pub const MOST_IN_A_BOX: u32 = 20_000;

/// How far a figure of a bed may lie from what its calibration found, as a part of it: the rounding of a
/// person who writes it down.
const SAME_CARBON: f64 = 0.02;

/// Something in a fact that cannot be so.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Problem {
    /// Where it stands in the fact: keys joined by dots, such as `terms.life_ends`; `when` for the time
    /// at which the fact happened.
    pub field: &'static str,
    /// What cannot be so.
    pub what: String,
    /// What puts it right.
    pub remedy: String,
}

/// Refuses what cannot be so of a fact that is said to have `happened` at `site`, with every reason.
///
/// What is not known to `state`, such as a model that was never listed, is no reason to refuse.
pub fn check_fact(
    state: &State,
    (site, happened): (&SiteId, Timestamp),
    fact: &Fact,
) -> Result<(), Vec<Problem>> {
    let day = state.day_at(site, happened);
    let mut found = Found(Vec::new());
    found.of_id(state, site, fact);
    found.of_listing(state, day, fact);
    found.of_use(state, (happened, day), fact);
    if found.0.is_empty() { Ok(()) } else { Err(found.0) }
}

/// Refuses what cannot stand on a tag or in a list as the name of a thing: signs that nobody sees or that
/// no tag carries, white space other than single spaces, and what begins like a path. Common practice, no
/// source.
pub fn sound_id(text: &str) -> Result<(), String> {
    let odd = |letter: &char| is_invisible(*letter) || "<>\"\\`".contains(*letter);
    let shown = text.escape_debug();
    if let Some(letter) = text.chars().find(odd) {
        let (letter, why) = match is_invisible(letter) {
            true => (letter.escape_unicode().to_string(), "which nobody sees on a tag"),
            false => (letter.to_string(), "which no tag carries"),
        };
        return Err(format!(
            "`{shown}` holds `{letter}`, {why}\nwrite it anew, with letters, digits and simple signs such as - alone"
        ));
    }
    if text.split_whitespace().collect::<Vec<_>>().join(" ") != text {
        return Err(format!(
            "`{shown}` holds white space that nobody can tell apart\nwrite single spaces, and none in front or behind"
        ));
    }
    if text.starts_with(['.', '/']) {
        return Err(format!(
            "`{text}` does not begin like a tag\nwrite a letter or a digit in front"
        ));
    }
    Ok(())
}

/// Whether a day is of our time: what lies before 1950 or after 2200 is a slip of the pen. Common
/// practice, no source.
#[must_use]
pub fn is_of_our_time(day: Date) -> bool {
    (1950..=2200).contains(&day.year())
}

/// Whether one wear, one sampling or the wear planned on one shift can be that long: more than nothing,
/// and no longer than a day.
#[must_use]
pub fn is_within_a_day(time: Minutes) -> bool {
    0.0 < time.as_min() && time.as_min() <= f64::from(DAY_MIN)
}

/// Whether a model is a filtering facepiece, where it is listed.
fn is_facepiece(state: &State, model: &ModelId) -> Option<bool> {
    Some(state.model(model)?.device.filtering_facepiece)
}

/// Whether one respirator can carry so many elements.
fn carried(elements: u8) -> bool {
    (1..=MOST_ELEMENTS).contains(&u32::from(elements))
}

/// The thing that a fact makes known, and where its id stands in the fact; of a site in the words
/// before it.
fn made_known(site: &SiteId, fact: &Fact) -> Option<(&'static str, Subject)> {
    Some(match fact {
        Fact::SiteOpened { .. } => ("name", Subject::Site(site.clone())),
        Fact::ModelListed { model, .. } => ("model", Subject::Model(model.clone())),
        Fact::ElementTypeListed { element_type, .. } => {
            ("element_type", Subject::ElementType(element_type.clone()))
        }
        Fact::UnitReceived { unit, .. } | Fact::FacepieceTaken { unit, .. } => {
            ("unit", Subject::Unit(unit.clone()))
        }
        Fact::WearerEnrolled { wearer, .. } => ("wearer", Subject::Wearer(wearer.clone())),
        Fact::RoleGiven { person, .. } => ("person", Subject::Person(person.clone())),
        Fact::TaskDescribed { task, .. } | Fact::TaskDescribedBySegments { task, .. } => {
            ("task", Subject::Task(task.clone()))
        }
        Fact::CylinderListed { cylinder, .. } => ("cylinder", Subject::Cylinder(cylinder.clone())),
        Fact::SupplyListed { supply, .. } => ("supply", Subject::Supply(supply.clone())),
        Fact::PlaceListed { place, .. } => ("place", Subject::Place(place.clone())),
        Fact::StockReceived { stock, .. } | Fact::FitAgentPrepared { stock, .. } => {
            ("stock", Subject::Stock(stock.clone()))
        }
        Fact::InstrumentListed { instrument, .. } => {
            ("instrument", Subject::Instrument(instrument.clone()))
        }
        Fact::ExposureGroupDescribed { group, .. } => ("group", Subject::Group(group.clone())),
        _ => return None,
    })
}

struct Found(Vec<Problem>);

impl Found {
    fn add(&mut self, field: &'static str, what: impl Into<String>, remedy: impl Into<String>) {
        self.0.push(Problem { field, what: what.into(), remedy: remedy.into() });
    }

    /// The id of a thing that is new: as it can stand on a tag, and not one that looks like another.
    fn of_id(&mut self, state: &State, site: &SiteId, fact: &Fact) {
        let Some((field, thing)) = made_known(site, fact) else { return };
        let known = match &thing {
            Subject::Person(id) => state.person(id).is_some(),
            other => state.knows(other),
        };
        if known {
            return;
        }
        if let Err(why) = sound_id(thing.id()) {
            let (what, remedy) = why.split_once('\n').unwrap_or((&why, ""));
            self.add(field, what, remedy);
        }
        // One person has one id, with a part in the program and as a wearer.
        let elsewhere = match &thing {
            Subject::Person(id) => Some(Subject::Wearer(id.clone())),
            Subject::Wearer(id) => Some(Subject::Person(id.clone())),
            _ => None,
        };
        let things = [Some(&thing), elsewhere.as_ref()].into_iter().flatten();
        if let Some(twin) = things.flat_map(|thing| state.twins(thing)).next() {
            let (id, twin) = (thing.id().escape_debug(), twin.id().escape_debug());
            let what = format!("`{id}` looks like `{twin}`, which is known already");
            self.add(field, what, format!("write `{twin}` where that one is meant, or another id"));
        }
    }

    /// Facts that list a thing or give somebody a part.
    fn of_listing(&mut self, state: &State, day: Date, fact: &Fact) {
        match fact {
            Fact::ModelListed { device, approval, approved_elements, .. } => {
                if !model_approved::is_number(approval) {
                    let remedy = "write the number on its approval label";
                    self.add("approval", format!("`{approval}` is no approval number"), remedy);
                }
                self.device(device);
                self.approved(state, device, approved_elements);
            }
            Fact::ElementTypeListed { elements, count, bed, reactions, .. } => {
                for (field, what, remedy) in kind_words(*count, bed.as_ref()) {
                    self.add(field, what, remedy);
                }
                self.bed(bed.as_ref());
                self.reactions(elements, reactions);
            }
            Fact::CylinderListed { .. } => self.of_cylinder(day, fact),
            Fact::TaskDescribed { spec, .. } => {
                self.within_a_day("spec.wear_per_shift", spec.wear_per_shift);
            }
            Fact::TaskDescribedBySegments { task, spec, segments } => {
                self.within_a_day("spec.wear_per_shift", spec.wear_per_shift);
                let measured = state.measured_in(task);
                for (what, remedy) in usual_shift::problems((spec, segments), &measured) {
                    self.add("segments", what, remedy);
                }
            }
            Fact::StockReceived { item, count, .. } => {
                self.pieces(*count);
                if let StockItem::Facepieces { model, size } = item {
                    self.size(state, "item.facepieces.size", (model, size));
                    self.facepiece(state, "item.facepieces.model", model);
                }
            }
            Fact::UnitReceived { model, size, shared, .. } => {
                self.size(state, "size", (model, size));
                if *shared && is_facepiece(state, model) == Some(true) {
                    let what = "a filtering facepiece has one wearer only";
                    self.add("shared", what, "write no, and give each wearer another");
                }
            }
            Fact::FacepieceTaken { model, size, stock, .. } => {
                self.size(state, "size", (model, size));
                self.facepiece(state, "model", model);
                if let Some(what) = not_from_that_box(state, stock, (model, size)) {
                    self.add("stock", what, "look at the name of the box, the model and the size");
                }
            }
            Fact::RoleGiven { until: Some(until), .. }
            | Fact::ClearanceGiven { until: Some(until), .. }
            | Fact::ClearanceWritten { until: Some(until), .. }
            | Fact::InstrumentCalibrated { until: Some(until), .. }
                if *until < day =>
            {
                let what = format!("it ended on {until}, before it was given");
                self.add("until", what, "look at both days");
            }
            Fact::PolicySet { every, .. } => self.policy(*every),
            _ => {}
        }
    }

    /// Facts about what is in use.
    fn of_use(&mut self, state: &State, (happened, day): (Timestamp, Date), fact: &Fact) {
        match fact {
            Fact::FitTested { model, size, .. } => self.size(state, "size", (model, size)),
            Fact::FitMeasured { model, size, .. } => {
                self.size(state, "size", (model, size));
                self.negative_pressure(state, happened, fact);
            }
            Fact::ElementsFitted { unit, element_type, opened, .. } => {
                self.elements(state, unit, element_type);
                if happened < *opened {
                    let what = "the seal was opened after they were fitted";
                    self.add("opened", what, "look at both times");
                }
            }
            Fact::InstrumentListed { calibration_months: Some(months), .. } => {
                self.calibration_months(*months);
            }
            Fact::CylinderRead { rated, .. } => self.rating(*rated),
            Fact::BatteryChecked { unit, .. } | Fact::PoweredFlowChecked { unit, .. } => {
                self.powered(state, unit);
            }
            Fact::AirSampled { figures, .. } if *figures == AirFigures::default() => {
                let remedy = "write the figures of the report, those of Grade D at least";
                self.add("figures.oxygen", "a sample without any figure shows nothing", remedy);
            }
            Fact::Worn { time, .. } => self.within_a_day("time", *time),
            Fact::StandbyPosted { .. } => self.standby(happened, fact),
            Fact::ExposureMeasured { level, sampled, .. } => {
                self.within_a_day("sampled", *sampled);
                if level.number() <= 0.0 {
                    let what = format!("{level} is no reading: no logarithm exists of zero");
                    let remedy = "write the level above which it is detected, and no for detected";
                    self.add("level", what, remedy);
                }
            }
            Fact::ScheduleAdopted { max_wear, shifts, .. } => {
                self.shifts("shifts", *shifts);
                if max_wear.as_min() <= 0.0 {
                    self.add("max_wear", "no wear at all is no schedule", "write how long");
                }
            }
            Fact::ReuseAccepted { shifts, calculation, .. } => {
                self.shifts("shifts", *shifts);
                if let Some(calculation) = calculation {
                    self.reuse(calculation);
                }
            }
            Fact::CylinderRequalified { cylinder, .. } => {
                let made = state.cylinder(cylinder).map(|known| known.made);
                if let Some(made) = made.filter(|made| day < *made) {
                    let what = format!("it was tested before it was made on {made}");
                    self.add("when", what, "look at the day of the test and at its listing");
                }
            }
            _ => {}
        }
    }

    fn size(&mut self, state: &State, field: &'static str, (model, size): (&ModelId, &str)) {
        let Some(known) = state.model(model) else { return };
        if known.sizes.is_empty() || known.sizes.iter().any(|listed| listed == size) {
            return;
        }
        let remedy = format!("write one of: {}", known.sizes.join(", "));
        self.add(field, format!("{} does not come in the size `{size}`", known.name), remedy);
    }

    /// Gases of a calibration that the elements are certified against.
    fn reactions(&mut self, elements: &Elements, reactions: &CalibratedReactions) {
        for gas in reactions.gases() {
            let Some(substance) = Catalogue::builtin().get(gas.gas) else { continue };
            let held = |kind: &ElementKind| elements.against.contains(kind);
            if !element_kinds_for(substance).iter().any(held) {
                let what = format!("they are not certified against {}", substance.name());
                let remedy = "leave its table out, or put right what they are certified against";
                self.add("reactions", what, remedy);
            }
        }
    }

    /// Months between two calibrations that a maker can ask for.
    fn calibration_months(&mut self, months: u16) {
        if !(1..=LONGEST_CALIBRATION_MONTHS).contains(&months) {
            let what = format!("no maker asks for a calibration each {months} months");
            let remedy = format!(
                "write 1 to {LONGEST_CALIBRATION_MONTHS} as its maker names, or leave it empty"
            );
            self.add("calibration_months", what, remedy);
        }
    }

    /// A facepiece that is fed with air is tested without it; one that was changed for that is named.
    fn negative_pressure(&mut self, state: &State, happened: Timestamp, fact: &Fact) {
        let Fact::FitMeasured { model, tested_as, restored, .. } = fact else { return };
        let listed = state.model(model).filter(|model| is_fed(&model.device));
        if let Some(model) = listed.filter(|_| tested_as.is_none()) {
            let what = format!("{} is fed with air, and is tested without it", model.name);
            self.add("tested_as", what, "say which facepiece was tested, and how");
        }
        if restored.is_some() && !tested_as.is_some_and(TestedAs::changes_own) {
            let what = "nothing was changed that is to be put back";
            self.add("restored", what, "leave it empty, or look at what was tested");
        }
        let at = At { entry: EntryId::new(""), when: happened, step: 0 };
        let words = FitTest::of(fact, at).map(|test| tested_facepiece_words(state, &test));
        for (field, what, remedy) in words.into_iter().flatten() {
            self.add(field, what, remedy);
        }
    }

    /// A bed whose carbon is that of its calibration.
    fn bed(&mut self, bed: Option<&BedSpec>) {
        let Some((bed, carbon)) = bed.and_then(|bed| Some((bed, bed.calibrated.as_ref()?))) else {
            return;
        };
        let same = |told: f64, found: f64| (told / found - 1.0).abs() < SAME_CARBON;
        let remedy = "write what the calibration found, or leave the calibration out";
        let (told, found) = (bed.micropore_volume, carbon.micropore_volume);
        if !same(told.as_cm3_per_g(), found.as_cm3_per_g()) {
            let what = format!("the calibration found {found} and not {told}");
            self.add("bed.micropore_volume", what, remedy);
        }
        let found = carbon.reference_energy;
        if let Some(told) = bed.reference_energy
            && !same(told.as_kj_per_mol(), found.as_kj_per_mol())
        {
            let what = format!("the calibration found {found} and not {told}");
            self.add("bed.reference_energy", what, remedy);
        }
    }

    /// A device of a class that there is, with the marks that such a device can carry.
    fn device(&mut self, device: &Device) {
        // A unit for escape only is in no line of the table.
        let finding = assigned(device).err();
        if let Some(finding) = finding.filter(|finding| finding.rule.id != "factor.escape-only") {
            self.add("device.facepiece", finding.text(), finding.remedy());
        }
        let carries_air = device.air_source.is_self_contained() || device.auxiliary_self_contained;
        if device.rated_minutes.is_some_and(|minutes| minutes == 0 || DAY_MIN < minutes) {
            let remedy = "write the minutes on its approval label";
            self.add("device.rated_minutes", "no supply is rated for that long", remedy);
        } else if device.rated_minutes.is_some() && !carries_air {
            let what =
                format!("a unit that carries no air has no rated time: {}", device.air_source);
            self.add("device.rated_minutes", what, "leave it empty, or put the air source right");
        }
        if device.maker_shows_factor_1000 && !may_show_factor_1000(device) {
            let (source, facepiece) = (device.air_source, device.facepiece);
            let what =
                format!("the table has no factor of 1000 for this class: {source}, {facepiece}");
            let remedy =
                "that mark is for a helmet or hood with a blower or continuous flow: write no";
            self.add("device.maker_shows_factor_1000", what, remedy);
        }
    }

    /// The kinds of element that a model is approved with: none where it takes none, and of a filtering
    /// facepiece only the filter that it is made of.
    fn approved(&mut self, state: &State, device: &Device, kinds: &[ElementTypeId]) {
        let field = "approved_elements";
        if let Some(what) = elements_words(device).filter(|_| !kinds.is_empty()) {
            self.add(field, what, "leave it empty");
        }
        if device.filtering_facepiece && 1 < kinds.len() {
            let remedy = "name the one kind of filter that it is made of";
            self.add(field, "a filtering facepiece is made of one kind of filter", remedy);
        }
        for kind in kinds {
            let Some(known) = state.element_type(kind) else { continue };
            let misfit = elements_mounting::found(device, kind.as_str(), known.elements.mounting);
            let on_facepiece = device.filtering_facepiece && !known.elements.against.is_empty();
            if let Some(finding) = misfit {
                self.add(field, finding.text(), "look at the kind of element and at the model");
            } else if on_facepiece {
                let what = "a filtering facepiece takes no cartridge";
                self.add(field, what, "name the filter that it is made of");
            }
        }
    }

    fn pieces(&mut self, count: u32) {
        if !(1..=MOST_IN_A_BOX).contains(&count) {
            let remedy = format!("write how many came in this box or lot, 1 to {MOST_IN_A_BOX}");
            self.add("count", format!("no box holds {count} pieces"), remedy);
        }
    }

    fn facepiece(&mut self, state: &State, field: &'static str, model: &ModelId) {
        if is_facepiece(state, model) == Some(false) {
            let name = state.model(model).map_or(model.as_str(), |known| &known.name);
            let remedy =
                "name a filtering facepiece; any other respirator is received with its tag";
            self.add(field, format!("{name} is no filtering facepiece"), remedy);
        }
    }

    /// Battery and flow are those of a blower.
    fn powered(&mut self, state: &State, unit: &UnitId) {
        let model = state.unit(unit).and_then(|unit| state.model(&unit.model));
        let source = model.map(|model| model.device.air_source);
        if let Some(source) = source.filter(|known| *known != AirSource::PoweredAirPurifying) {
            let what = format!("`{unit}` has no blower: it is {source}");
            self.add("unit", what, "look at the tag, and at the listing of its model");
        }
    }

    fn elements(&mut self, state: &State, unit: &UnitId, kind: &ElementTypeId) {
        let device = state.unit(unit).and_then(|unit| state.model(&unit.model));
        let Some(device) = device.map(|model| &model.device) else { return };
        if let Some(what) = elements_words(device) {
            self.add("element_type", what, "look at the tag of the set");
        }
        let against_gas = state.element_type(kind).is_some_and(|k| !k.elements.against.is_empty());
        if device.filtering_facepiece && against_gas {
            let what = "a filtering facepiece takes no cartridge";
            self.add("element_type", what, "look at the tag and at the kind of element");
        }
    }

    fn of_cylinder(&mut self, day: Date, fact: &Fact) {
        let Fact::CylinderListed { marking, rated, water_volume, made, requalified, terms, .. } =
            fact
        else {
            return;
        };
        let life_ends = terms.as_ref().and_then(|terms| terms.life_ends);
        for (field, what) in cylinder_words((*made, *requalified, life_ends), day) {
            self.add(field, what, "look at the dates on the cylinder");
        }
        self.rating(*rated);
        let (least, most) = WATER_VOLUME_L;
        if !(least <= water_volume.as_l() && water_volume.as_l() <= most) {
            let remedy = format!("write what is stamped on it, {least} to {most} L");
            self.add("water_volume", format!("no cylinder holds {water_volume}"), remedy);
        }
        if let Some(what) = terms.as_ref().and_then(|terms| period_words(terms.every)) {
            self.add("terms.every.months", what, "look at the permit, and at months and years");
        }
        match terms.as_ref().map(|terms| terms.every) {
            None if printed_terms(marking).requalified_every.is_none() => {
                let what = format!("the table has no period for {marking}");
                let remedy = "give the period of its permit or maker, and where that stands";
                self.add("terms.every.months", what, remedy);
            }
            Some(Every::Days(0) | Every::Months(0)) => {
                self.add("terms.every.months", "no test is due each moment", "write how many");
            }
            _ => {}
        }
    }

    fn rating(&mut self, rated: Kilopascal) {
        let (least, most) = RATED_KPA;
        if !(least <= rated.as_kpa() && rated.as_kpa() <= most) {
            let remedy = format!("write what is stamped on it, {least} to {most} kPa");
            self.add("rated", format!("no cylinder is rated for {rated}"), remedy);
        }
    }

    fn policy(&mut self, every: Every) {
        let field = match every {
            Every::Days(0) => "every.days",
            Every::Months(0) => "every.months",
            _ => return,
        };
        let what = "every 0 days or months can never be kept";
        self.add(field, what, "write 1 day or more, or leave the policy of the rule");
    }

    fn shifts(&mut self, field: &'static str, shifts: u8) {
        if !(1..=MOST_SHIFTS).contains(&u32::from(shifts)) {
            let what = format!("one set of elements does not serve {shifts} shifts");
            self.add(field, what, format!("write 1 to {MOST_SHIFTS}"));
        }
    }

    fn reuse(&mut self, calculation: &ReuseCalculation) {
        self.shifts("calculation.shifts", calculation.shifts);
        if calculation.air_source.is_some_and(|source| !source.purifies_air()) {
            let what = "a set that brings its own air wears no elements out";
            self.add("calculation.air_source", what, "choose breath or blower");
        }
        if calculation.flow.is_some_and(|flow| flow.as_l_per_min() <= 0.0) {
            let remedy = "write the flow that was calculated with, such as 53.3 L/min";
            self.add("calculation.flow", "no air at all is no calculation", remedy);
        }
        if calculation.elements.is_some_and(|count| !carried(count)) {
            let remedy = format!("write 1 to {MOST_ELEMENTS}");
            self.add("calculation.elements", "no set carries that many elements", remedy);
        }
    }

    fn standby(&mut self, happened: Timestamp, fact: &Fact) {
        let at = At { entry: EntryId::new(""), when: happened, step: 0 };
        let posting = Posting::of(fact, at);
        for (field, what, remedy) in posting.iter().flat_map(problems) {
            self.add(field, what, remedy);
        }
    }

    fn within_a_day(&mut self, field: &'static str, time: Minutes) {
        if !is_within_a_day(time) {
            let what = "it is nothing, or longer than a day";
            self.add(field, what, "write it like 45 min or 2 h");
        }
    }
}
