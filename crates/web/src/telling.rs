//! An entry in a sentence, with the names that people know.

mod of_air;
mod of_site;
mod of_standby;
mod of_unit;
mod pictures;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use program::fit_sheet::FitSheet;
use program::state::State;
use program::{
    Clearance, ElementTypeId, Entry, Fact, FitRecord, InspectionOccasion, PersonId, Renewal,
    SeriousSign, SiteId, Subject, TaskId, TrainingTopic, UnitId,
};
use rulebook::AirborneForm;
use rulebook::wearer::FitGave;
use substance::Catalogue;

use crate::fields::Fields;
use crate::wording;

pub(crate) use of_site::role;
pub(crate) use pictures::{Picture, pictures};

/// The name of a kind of elements.
fn elements(state: &State, kind: &ElementTypeId) -> String {
    state.element_type(kind).map_or_else(|| kind.to_string(), |known| known.name.clone())
}

/// The name of a person, or the id where there is none.
pub(crate) fn person(state: &State, id: &PersonId) -> String {
    let name = |id: &PersonId| {
        let other = || state.person(id).map(|person| person.name.as_str());
        state.wearer(id).map(|wearer| wearer.name.as_str()).or_else(other)
    };
    let Some(own) = name(id) else { return id.to_string() };
    let all = state.wearers().map(|(id, _)| id).chain(state.people().map(|(id, _)| id));
    told_apart(own, id.as_str(), all.filter(|other| *other != id).filter_map(name))
}

/// A name, with the id behind it where `others` hold the same name.
fn told_apart<'n>(own: &str, id: &str, mut others: impl Iterator<Item = &'n str>) -> String {
    if others.any(|other| other == own) { format!("{own} ({id})") } else { own.to_owned() }
}

/// The name of a task, or its id.
pub(crate) fn task(state: &State, id: &TaskId) -> String {
    state.task(id).map_or_else(|| id.to_string(), |task| task.spec.name.clone())
}

/// The name of a site, or its id; both where another site has that name.
pub(crate) fn site(state: &State, id: &SiteId) -> String {
    let Some(own) = state.site(id) else { return id.to_string() };
    let others = state.sites().filter(|(other, _)| *other != id);
    told_apart(&own.name, id.as_str(), others.map(|(_, site)| site.name.as_str()))
}

/// The clock of a site.
pub(crate) fn zone(state: &State, id: &SiteId) -> TimeZone {
    state.site(id).and_then(|site| site.time_zone.clone()).unwrap_or(TimeZone::UTC)
}

/// What a wearer noticed.
pub(crate) const fn sign(sign: SeriousSign) -> &'static str {
    match sign {
        SeriousSign::Smell => "a smell",
        SeriousSign::Taste => "a taste",
        SeriousSign::Irritation => "irritation of eyes, nose or throat",
        SeriousSign::Resistance => "hard breathing",
    }
}

/// How a contaminant is in the air.
pub(crate) const fn form(form: AirborneForm) -> &'static str {
    match form {
        AirborneForm::Vapour => "gas or vapour",
        AirborneForm::Particle => "particle",
        AirborneForm::VapourAndParticle => "vapour and particle",
    }
}

/// A written recommendation in a few words.
pub(crate) fn clearance(clearance: &Clearance) -> String {
    match clearance {
        Clearance::Cleared => "may wear any respirator".to_owned(),
        Clearance::NotCleared => "may not wear a respirator".to_owned(),
        Clearance::ClearedFor { air_sources, limits } => {
            let sources = air_sources.iter().map(ToString::to_string).collect::<Vec<_>>();
            let limits = if limits.is_empty() { String::new() } else { format!("; {limits}") };
            format!("may wear {} only{limits}", sources.join(", "))
        }
    }
}

/// What a person was trained in.
pub(crate) const fn topic(topic: TrainingTopic) -> &'static str {
    match topic {
        TrainingTopic::Wear => "wearing",
        TrainingTopic::Care => "cleaning and inspecting",
        TrainingTopic::Repair => "repair",
        TrainingTopic::RegulatorRepair => "repair of regulators and alarms",
        TrainingTopic::FitTesting => "fit testing",
        TrainingTopic::AirSupply => "filling cylinders and caring for air supplies",
        TrainingTopic::Rescue => "standing by and rescue",
        TrainingTopic::Administration => "running the program",
    }
}

/// What a fit test gave. A factor is rounded down, so that one below its mark is not told as the mark.
pub(crate) fn fit_gave(gave: FitGave) -> String {
    match gave {
        FitGave::PassOrFail => "by taste, smell or irritation".to_owned(),
        FitGave::Factor(factor) => format!("fit factor {}", (factor * 10.0).floor() / 10.0),
        FitGave::NoFactor => "measured, without an overall fit factor".to_owned(),
    }
}

/// What happened, in a sentence without its time and place.
pub(crate) fn told(state: &State, entry: &Entry) -> String {
    match &entry.fact {
        Fact::SiteOpened { name, time_zone } => {
            format!("Site {name} opened, on the clock of {time_zone}")
        }
        Fact::ModelListed { name, .. } => format!("Model {name} listed"),
        Fact::ElementTypeListed { name, count, .. } => {
            format!("Elements {name} listed, {count} to a set")
        }
        Fact::WearerEnrolled { name, .. } => format!("{name} enrolled"),
        Fact::TaskDescribed { spec, .. } => {
            format!("Task {} described: {} of wear per shift", spec.name, spec.wear_per_shift)
        }
        Fact::TaskDescribedBySegments { spec, segments, .. } => {
            let parts = match segments.len() {
                0 => String::new(),
                count => format!(", in {}", wording::count(count, "segment", "segments")),
            };
            let wear = spec.wear_per_shift;
            format!("Task {} described: {wear} of wear per shift{parts}", spec.name)
        }
        Fact::ReadingTaken { .. } | Fact::ScheduleAdopted { .. } => of_task(state, &entry.fact),
        Fact::ClearanceGiven { .. }
        | Fact::ClearanceWritten { .. }
        | Fact::MedicalInformationGiven { .. }
        | Fact::FitTested { .. }
        | Fact::Trained { .. }
        | Fact::FitMeasured { .. }
        | Fact::WearerLeft { .. }
        | Fact::RenewalAsked { .. }
        | Fact::SealHairSeen { .. }
        | Fact::VoluntaryInformationGiven { .. } => of_wearer(state, &entry.fact),
        Fact::Issued { unit, wearer } => format!("{unit} issued to {}", person(state, wearer)),
        Fact::Returned { unit, wearer } => format!("{unit} returned by {}", person(state, wearer)),
        Fact::Worn { unit, wearer, task: done, time } => {
            format!(
                "{unit} worn by {} for {}: {}",
                person(state, wearer),
                task(state, done),
                wording::minutes(time.as_min())
            )
        }
        Fact::BreakthroughSensed { unit, wearer, task: done, sign: sensed } => {
            format!(
                "{} noticed {} inside {unit} during {}",
                person(state, wearer),
                sign(*sensed),
                task(state, done)
            )
        }
        Fact::StandbyPosted { .. } | Fact::StandbyEnded { .. } => of_standby::told(state, entry),
        other => elsewhere(state, other),
    }
}

/// What is told in the files beside this one.
fn elsewhere(state: &State, fact: &Fact) -> String {
    let told = [of_unit::told(state, fact), of_site::told(state, fact), of_air::told(state, fact)];
    told.into_iter().flatten().next().unwrap_or_default()
}

fn of_task(state: &State, fact: &Fact) -> String {
    match fact {
        Fact::ReadingTaken { cas, concentration, form: state_of, sampled, method, .. } => {
            let name = Catalogue::builtin()
                .get(*cas)
                .map_or_else(|| cas.to_string(), |s| s.name().to_owned());
            let level = concentration
                .map_or_else(|| "present, level not known".to_owned(), |c| c.to_string());
            let sampled =
                sampled.map(|time| format!(", sampled {}", wording::minutes(time.as_min())));
            format!(
                "Reading of {name}: {level} as {}{} ({method})",
                form(*state_of),
                sampled.unwrap_or_default()
            )
        }
        Fact::ScheduleAdopted { element_type, max_wear, shifts, .. } => {
            let name = elements(state, element_type);
            let shifts = wording::count(usize::from(*shifts), "shift", "shifts");
            format!(
                "Change schedule adopted for {name}: at most {}, {shifts}",
                wording::minutes(max_wear.as_min())
            )
        }
        _ => String::new(),
    }
}

fn of_wearer(state: &State, fact: &Fact) -> String {
    match fact {
        Fact::ClearanceGiven { .. }
        | Fact::ClearanceWritten { .. }
        | Fact::MedicalInformationGiven { .. } => of_clearance(state, fact),
        Fact::FitTested { wearer, model, size, method: how, passed, hair_in_seal, seal_note } => {
            let model =
                state.model(model).map_or_else(|| model.to_string(), |model| model.name.clone());
            let result = if *passed { "passed" } else { "failed" };
            let hair = if *hair_in_seal { ", hair in the seal" } else { "" };
            let note = if seal_note.is_empty() { String::new() } else { format!(", {seal_note}") };
            format!(
                "Fit test of {} with {model} size {size} {result} ({}{hair}{note})",
                person(state, wearer),
                fit_gave(how.gave())
            )
        }
        Fact::Trained { wearer, topic: what, understood } => {
            let shown = if *understood { "understood" } else { "not yet understood" };
            format!("{} trained in {}: {shown}", person(state, wearer), topic(*what))
        }
        Fact::FitMeasured { .. } => fit_measured(state, fact).unwrap_or_default(),
        Fact::WearerLeft { wearer, why } => {
            format!("{} left the program: {why}", person(state, wearer))
        }
        Fact::SealHairSeen { wearer, there } => {
            let seen = if *there { "Hair seen" } else { "No hair seen" };
            format!("{seen} on {} where a mask seals", person(state, wearer))
        }
        Fact::RenewalAsked { wearer, of } => {
            let what = match of {
                Renewal::FitTest => "fit test",
                Renewal::Clearance => "medical evaluation",
                Renewal::Training => "training",
            };
            format!("A new {what} of {} was asked for", person(state, wearer))
        }
        Fact::VoluntaryInformationGiven { wearer } => {
            format!("{} was given the advice for wearing by choice", person(state, wearer))
        }
        _ => String::new(),
    }
}

/// What a health professional was told and wrote.
fn of_clearance(state: &State, fact: &Fact) -> String {
    match fact {
        Fact::ClearanceGiven { wearer, clearance: given, until } => {
            format!("Medical clearance: {} {}", person(state, wearer), cleared(given, *until))
        }
        Fact::ClearanceWritten { wearer, professional, clearance: given, until, copy_given } => {
            let by = match professional.as_str() {
                "" => String::new(),
                name => format!(", by {name}"),
            };
            let copy = if *copy_given { "a copy given" } else { "no word of a copy" };
            format!(
                "Medical clearance: {} {}{by}, {copy}",
                person(state, wearer),
                cleared(given, *until)
            )
        }
        Fact::MedicalInformationGiven { wearer, professional, told } => {
            let missing = match told.missing().join(", ") {
                missing if missing.is_empty() => missing,
                missing => format!("; not given: {missing}"),
            };
            format!(
                "{professional} was told of the respirator and the work of {}: {}{missing}",
                person(state, wearer),
                told.respirators
            )
        }
        _ => String::new(),
    }
}

/// What a clearance says, and until when it holds.
pub(crate) fn cleared(given: &Clearance, until: Option<Date>) -> String {
    let until = until.map(|day| format!(", until {}", wording::day(day)));
    format!("{}{}", clearance(given), until.unwrap_or_default())
}

/// A fit test as it was measured.
fn fit_measured(state: &State, fact: &Fact) -> Option<String> {
    let Fact::FitMeasured {
        wearer,
        model,
        size,
        tester,
        record,
        hair_in_seal,
        seal_note,
        tested_as,
        unit,
        restored,
        instrument,
    } = fact
    else {
        return None;
    };
    let (how, passed) = judged(record);
    let model = state.model(model).map_or_else(|| model.to_string(), |model| model.name.clone());
    let result = if passed { "passed" } else { "failed" };
    let hair = if *hair_in_seal { ", hair in the seal" } else { "" };
    let note = if seal_note.is_empty() { String::new() } else { format!(", {seal_note}") };
    let (who, tester) = (person(state, wearer), person(state, tester));
    let way = tested_as.map(|way| format!(", on {way}")).unwrap_or_default();
    let set = match (unit, restored) {
        (Some(unit), Some(true)) => format!("; {unit} was put back"),
        (Some(unit), _) => format!("; {unit} was on the face"),
        (None, _) => String::new(),
    };
    let with = instrument.as_ref().map(|id| {
        let name = state.instrument(id).map_or(id.as_str(), |known| &known.name);
        format!(" with {name}")
    });
    let with = with.unwrap_or_default();
    Some(format!(
        "Fit test of {who} with {model} size {size} {result} ({}, {how}{hair}{note}{way}), by {tester}{with}{set}",
        record.protocol
    ))
}

/// Whether a fit test passed as it was measured.
pub(crate) fn fit_passed(record: &FitRecord) -> bool {
    judged(record).1
}

/// How a recorded fit test came out, in words, and whether it passed.
fn judged(record: &FitRecord) -> (String, bool) {
    match FitSheet::of_record(record).and_then(|sheet| sheet.judge()) {
        Ok(answer) => (of_exercises(answer.gave(), answer.missing()), answer.passed()),
        Err(_) => ("cannot be judged".to_owned(), false),
    }
}

/// What a fit test gave, and which exercises are missing.
fn of_exercises(gave: FitGave, missing: &[String]) -> String {
    let gave = fit_gave(gave);
    if missing.is_empty() { gave } else { format!("{gave}; missing: {}", missing.join(", ")) }
}

/// When an inspection was done.
pub(crate) const fn occasion(occasion: InspectionOccasion) -> &'static str {
    match occasion {
        InspectionOccasion::BeforeUse => "before use",
        InspectionOccasion::AtCleaning => "at cleaning",
        InspectionOccasion::Monthly => "monthly round",
    }
}

/// One line of a history.
struct Line {
    id: String,
    when: String,
    words: String,
    by: String,
    /// Another entry counts in its place.
    corrected: bool,
    corrects: String,
    pictures: Vec<Picture>,
}

/// A respirator in a few words: model and size.
pub(crate) fn unit(state: &State, id: &UnitId) -> String {
    let Some(unit) = state.unit(id) else { return id.to_string() };
    state.words_of_size(&unit.model, &unit.size)
}

/// What an entry is about and speaks of.
pub(crate) fn about_and_names(entry: &Entry) -> impl Iterator<Item = Subject> {
    let own = entry.subjects().into_iter().map(|(_, thing)| thing);
    let site = [Subject::Site(entry.site.clone()), Subject::Correction(entry.id.clone())];
    own.chain(site).chain(names(entry))
}

/// The things whose names stand in the words on an entry. A respirator and a cylinder go by their
/// tags.
pub(crate) fn names(entry: &Entry) -> impl Iterator<Item = Subject> {
    let own = entry.subjects().into_iter().map(|(_, thing)| thing);
    let own = own.filter(|thing| !matches!(thing, Subject::Unit(_) | Subject::Cylinder(_)));
    let by = [Subject::Wearer(entry.by.clone()), Subject::Person(entry.by.clone())];
    own.chain(by)
}

/// A history as a list, newest first.
#[derive(askama::Template)]
#[template(path = "parts/history.html")]
pub(crate) struct HistoryPart {
    lines: Vec<Line>,
    /// There are older entries.
    more: bool,
    /// As many as a page shows are shown.
    most: bool,
}

impl HistoryPart {
    /// The latest `shown` entries about a thing.
    pub(crate) fn of(state: &State, thing: &Subject, shown: usize) -> Self {
        let all: Vec<&Entry> = state.history(thing).collect();
        let latest = all.iter().rev().take(shown);
        let lines = latest.map(|entry| Line::of(state, entry)).collect();
        Self { lines, more: all.len() > shown, most: shown == MOST }
    }
}

impl Line {
    fn of(state: &State, entry: &Entry) -> Self {
        Self {
            id: entry.id.to_string(),
            when: wording::moment(entry.happened, &zone(state, &entry.site)),
            words: told(state, entry),
            by: person(state, &entry.by),
            corrected: state.counted_instead_of(&entry.id).is_some(),
            corrects: entry.corrects.as_ref().map(ToString::to_string).unwrap_or_default(),
            pictures: pictures(&entry.fact),
        }
    }
}

/// How many entries a history shows: few at first, more where the address asks for all.
pub(crate) fn shown(fields: &Fields) -> usize {
    if fields.get("history") == "all" { MOST } else { LATEST }
}

/// How many entries a history shows at first.
const LATEST: usize = 25;

/// How many entries a page shows at most.
const MOST: usize = 1000;
