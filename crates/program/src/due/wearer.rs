//! What is due for a wearer.

use jiff::civil::Date;
use rulebook::Finding;
use rulebook::wearer::{
    Allows, ClearanceFact, FitTestFact, TrainingFact, WearerFacts, fit_in_date, fit_renewal,
    medical_given, medical_in_date, medical_renewal, training_given, training_in_date,
    training_renewal,
};

use super::days::{Calendar, found};
use super::{About, DueKind, Duty};
use crate::entry::{Renewal, TrainingTopic};
use crate::ids::PersonId;
use crate::state::{FitTest, State, Wearer};

type Check = fn(&WearerFacts<'_>) -> Option<Finding>;

/// What a wearer needs whatever is worn.
const CHECKS: [(DueKind, Check); 6] = [
    (DueKind::Clearance, medical_given::check),
    (DueKind::Clearance, medical_in_date::check),
    (DueKind::Clearance, medical_renewal::check),
    (DueKind::Training, training_given::check),
    (DueKind::Training, training_in_date::check),
    (DueKind::Training, training_renewal::check),
];

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
            fit_renewal::check(&facts).or_else(|| fit_in_date::check(&facts))
        };
        (DueKind::FitTest, found(ask))
    });
    for (kind, found) in asked.chain(tests) {
        let about = (kind, About::Wearer(id.clone()));
        all.extend(Duty::of(about, Some(wearer.site.clone()), found));
    }
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
        device: model.map(|model| model.device.clone()),
        model: model.map_or("", |model| &model.name),
        size: test.map_or("", |test| &test.size),
        day,
        test_counts: state.every(&wearer.site, "fit.in-date"),
        training_counts: state.every(&wearer.site, "training.in-date"),
        clearance: clearance.map(|given| ClearanceFact {
            allows: Allows::Any,
            until: given.until,
            entry: given.at.entry.as_str(),
        }),
        fit_test: test.map(|test| FitTestFact {
            day: calendar.day(test.at.when),
            fit_factor: None,
            passed: test.passed,
            seal_note: &test.seal_note,
            entry: test.at.entry.as_str(),
        }),
        hair_in_seal: None,
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
