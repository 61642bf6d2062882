//! What is due for a wearer.

use jiff::Timestamp;
use jiff::civil::Date;
use rulebook::wearer::{
    FitTestFact, TrainingFact, WearerFacts, fit_agent, fit_complete, fit_in_date, fit_instrument,
    fit_negative_pressure, fit_passed, fit_protocol, fit_renewal, fit_tested, medical_air_source,
    medical_cleared, medical_given, medical_in_date, medical_information, medical_renewal,
    medical_written, seal_hair_seen, training_given, training_in_date, training_renewal,
    training_understood,
};
use rulebook::{Authority, Rule};
use rulebook::{Finding, Severity};

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::entry::{Fact, Renewal, TrainingTopic};
use crate::ids::{EntryId, PersonId, SiteId, UnitId};
use crate::state::{At, ClearanceRecord, FitTest, Model, State, Unit, Wearer};

type Check = fn(&WearerFacts<'_>) -> Option<Finding>;

/// # What it asks
/// Is every issued set in the hands of somebody who is in the program?
/// # Why
/// Nobody sees to the training, the clearance and the fit of who is not in it.
/// # Citation
/// 29 CFR 1910.134(c)(1), (h)(1).
/// # Remedy
/// Take the set back, or enrol the person.
/// # Limits
/// None.
pub static IN_PROGRAM: Rule = Rule {
    id: "due.holder-in-program",
    asks: "Is every issued set in the hands of somebody who is in the program?",
    why: "Nobody sees to the training, the clearance and the fit of who is not in it.",
    citation: "29 CFR 1910.134(c)(1), (h)(1)",
    authority: Authority::Read,
    says: "{unit} is in the hands of {who}, who {why}",
    remedy: "take it back, or enrol the person again",
};

/// What a wearer needs whatever is worn.
const CHECKS: [(DueKind, Check); 10] = [
    (DueKind::FitTest, seal_hair_seen::found),
    (DueKind::Clearance, medical_given::check),
    (DueKind::Clearance, medical_in_date::check),
    (DueKind::Clearance, medical_renewal::check),
    (DueKind::Clearance, medical_information::check),
    (DueKind::Clearance, medical_written::check),
    (DueKind::Training, training_given::check),
    (DueKind::Training, training_in_date::check),
    (DueKind::Training, training_renewal::check),
    (DueKind::Training, training_understood::check),
];

/// What shows that a test cannot count, however it came out.
const VOID: [Check; 4] =
    [fit_protocol::check, fit_negative_pressure::check, fit_agent::check, fit_instrument::check];

fn void(facts: &WearerFacts<'_>) -> impl Iterator<Item = Finding> {
    let found = VOID.iter().filter_map(|check| check(facts));
    found.filter(|finding| finding.severity == Severity::Stop)
}

/// Why a fit test that is about to be recorded cannot count, however it came out, and what it does not say.
#[must_use]
pub fn against_fit_test(
    state: &State,
    (site, happened): (&SiteId, Timestamp),
    fact: &Fact,
) -> Vec<Finding> {
    let (Fact::FitTested { wearer, .. } | Fact::FitMeasured { wearer, .. }) = fact else {
        return Vec::new();
    };
    let at = At { entry: EntryId::new(""), when: happened, step: 0 };
    let (Some(wearer), Some(test)) = (state.wearer(wearer), FitTest::of(fact, at)) else {
        return Vec::new();
    };
    let calendar = Calendar::of(state, site);
    let day = calendar.day(happened);
    let facts = facts(state, wearer, Some(&test), (&calendar, day));
    let open = [fit_agent::check(&facts), fit_instrument::check(&facts)].into_iter().flatten();
    void(&facts).chain(open.filter(|finding| finding.severity < Severity::Stop)).collect()
}

pub(super) fn duties(
    state: &State,
    (id, wearer): (&PersonId, &Wearer),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    let asked = CHECKS.iter().map(|(kind, check)| {
        (*kind, found(|day| check(&facts(state, wearer, None, (calendar, day)))))
    });
    // A test that failed is not out of date: it says that this model and size do not fit.
    let tests = wearer.fit_tests.values().filter(|test| test.passed);
    let tests = tests.map(|test| {
        let ask = |day| {
            let facts = facts(state, wearer, Some(test), (calendar, day));
            void(&facts)
                .next()
                .or_else(|| fit_renewal::check(&facts))
                .or_else(|| fit_in_date::check(&facts))
        };
        (DueKind::FitTest, found(ask))
    });
    for (kind, found) in asked.chain(tests) {
        let about = (kind, About::Wearer(id.clone()));
        all.extend(Duty::of(about, Some(wearer.site.clone()), found));
    }
}

/// What those to whom a set was issued lack for having it: a place in the program, a clearance for this
/// kind, a fit test with its model and size that passed; since the day of the issue, or since that was
/// lost.
pub(super) fn of_holders(
    state: &State,
    (unit_id, unit): (&UnitId, &Unit),
    calendar: &Calendar,
    all: &mut Vec<Duty>,
) {
    for (id, issued) in &unit.holders {
        let mut add = |kind, finding: Finding, since: Timestamp| {
            let since = Some(calendar.day(since.max(issued.when)));
            let finding = Finding { since, ..finding.resting_on(&issued.entry) };
            let about = (kind, About::Wearer(id.clone()));
            all.extend(Duty::of(about, Some(unit.site.clone()), vec![finding]));
        };
        let out = Finding::stop(&IN_PROGRAM).with("unit", unit_id);
        match state.wearer(id) {
            None => {
                let why = "was never enrolled";
                add(DueKind::Care, out.with("who", id).with("why", why), issued.when);
            }
            Some(Wearer { name, left: Some(left), .. }) => {
                let out = out.with("who", name).with("why", "left the program");
                add(DueKind::Care, out.resting_on(&left.at.entry), left.at.when);
            }
            Some(wearer) => of_holder(state, (unit, wearer), calendar, &mut add),
        }
    }
}

fn of_holder(
    state: &State,
    (unit, wearer): (&Unit, &Wearer),
    calendar: &Calendar,
    add: &mut impl FnMut(DueKind, Finding, Timestamp),
) {
    let model = state.model(&unit.model);
    let test = wearer.fit_test(&unit.model, &unit.size);
    let clearance = wearer.clearance.as_ref();
    let facts = WearerFacts {
        device: model.map(|model| model.device.clone()),
        model: model.map_or("", |model| &model.name),
        size: &unit.size,
        clearance: clearance.map(ClearanceRecord::fact),
        ..facts(state, wearer, test, (calendar, Date::MAX))
    };
    let given = clearance.map_or(Timestamp::MIN, |given| given.at.when);
    let refused = medical_cleared::check(&facts).or_else(|| medical_air_source::check(&facts));
    if let Some(finding) = refused {
        add(DueKind::Clearance, finding, given);
    }
    let lacks = fit_tested::check(&facts)
        .or_else(|| fit_complete::check(&facts))
        .or_else(|| fit_passed::check(&facts));
    if let Some(finding) = lacks.filter(|_| !by_choice(wearer, model)) {
        add(DueKind::FitTest, finding, test.map_or(Timestamp::MIN, |test| test.at.when));
    }
}

/// Whether a filtering facepiece can only be meant for wear by choice, which asks for no fit test: its
/// wearer was given the advice for that, and was never fit tested with anything.
fn by_choice(wearer: &Wearer, model: Option<&Model>) -> bool {
    let filtering = model.is_some_and(|model| model.device.filtering_facepiece);
    filtering && wearer.voluntary_information.is_some() && wearer.fit_tests.is_empty()
}

/// The facts of a wearer on a day, with the set of `test` where one is asked about.
fn facts<'a>(
    state: &'a State,
    wearer: &'a Wearer,
    test: Option<&'a FitTest>,
    (calendar, day): (&Calendar, Date),
) -> WearerFacts<'a> {
    let model = test.and_then(|test| state.model(&test.model));
    let clearance = wearer.clearance.as_ref();
    let training = wearer.training.get(&TrainingTopic::Wear);
    WearerFacts {
        wearer: &wearer.name,
        enrolled: true,
        left: None,
        device: model.map(|model| model.device.clone()),
        model: model.map_or("", |model| &model.name),
        approved: model.and_then(|model| state.approved(model)),
        size: test.map_or("", |test| &test.size),
        day,
        test_counts: state.every(&wearer.site, "fit.in-date"),
        training_counts: state.every(&wearer.site, "training.in-date"),
        clearance: clearance.map(ClearanceRecord::fact),
        fit_test: test.map(|test| FitTestFact {
            day: calendar.day(test.at.when),
            gave: test.gave,
            passed: test.passed,
            run_by: test.run_by(),
            tested_as: test.tested_as,
            agents: test.agents(calendar.zone()),
            made_with: test.made_with(state, calendar.zone()),
            missing: &test.missing,
            seal_note: &test.seal_note,
            unsteady: &test.unsteady,
            entry: test.at.entry.as_str(),
        }),
        hair_in_seal: None,
        hair_seen: wearer.hair_seen(),
        fit_renewal: wearer.asked_anew(Renewal::FitTest, test.map(|test| &test.at)),
        medical_renewal: wearer.asked_anew(Renewal::Clearance, clearance.map(|given| &given.at)),
        training_renewal: wearer.asked_anew(Renewal::Training, training.map(|done| &done.at)),
        training: training.map(|done| TrainingFact {
            day: calendar.day(done.at.when),
            understood: done.understood,
            entry: done.at.entry.as_str(),
        }),
        information: None,
        voluntary: false,
        needed_factor: None,
    }
}
