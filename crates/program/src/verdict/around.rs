//! What stands around a set and its wearer: the supply it is connected to, its cylinder, its
//! repairs, the check of the seal and the person who tested the fit.

use jiff::Timestamp;
use rulebook::ask::{Check, records_agree};
use rulebook::cleaning;
use rulebook::donning::{DonningFacts, SealCheck, powered_ready, seal_check};
use rulebook::storage::{not_deformed, protected};
use rulebook::supply::{checks, cylinder_checks};
use rulebook::tester::{ShownAble, TesterFacts, competent};
use rulebook::{AirSource, Device, Finding, Rule};

use super::{Subject, latest_by_any_clock};
use crate::entry::{Role, SealCheck as Way};
use crate::state::{Happening, Shown};
use crate::supply::{mounted_facts, supply_behind, supply_facts};
use crate::upkeep;

/// What was asked, and everything found.
#[derive(Default)]
pub(super) struct Around {
    pub(super) asked: Vec<&'static str>,
    pub(super) found: Vec<Finding>,
}

impl Around {
    fn put<F: ?Sized>(&mut self, checks: &[Check<F>], facts: &F) {
        for check in checks {
            self.add(check.rule, (check.run)(facts));
        }
    }

    fn add(&mut self, rule: &Rule, found: Option<Finding>) {
        self.asked.push(rule.id);
        self.found.extend(found);
    }
}

pub(super) fn around(subject: &Subject<'_>) -> Around {
    let mut all = Around::default();
    of_supply(subject, &mut all);
    of_cylinder(subject, &mut all);
    if let Some(unit) = subject.unit.filter(|unit| !unit.repairs.is_empty()) {
        all.asked.extend(rulebook::repair::checks().map(|check| check.rule.id));
        all.found.extend(upkeep::of_repair(subject.state, &subject.ask.unit, unit));
    }
    if let Some(unit) = subject.unit {
        all.asked.extend(cleaning::checks().map(|check| check.rule.id));
        all.found.extend(upkeep::of_washing(subject.state, &subject.ask.unit, unit));
        all.asked.extend([protected::RULE.id, not_deformed::RULE.id]);
        all.found.extend(upkeep::harmed_in_store(subject.state, unit));
    }
    of_seal(subject, &mut all);
    of_battery(subject, &mut all);
    of_tester(subject, &mut all);
    all
}

/// The supply behind a set that brings its air.
fn of_supply(subject: &Subject<'_>, all: &mut Around) {
    let brings_air = subject.device().is_some_and(|device| !device.air_source.purifies_air());
    let unit = subject.unit.filter(|_| brings_air);
    let behind = unit.and_then(|unit| supply_behind(subject.state, unit));
    let Some((id, at, supply)) = behind else { return };
    let Some(supply) = supply else {
        let what = format!("the air of the set is of supply `{id}`, never listed");
        let finding = Finding::stop(&records_agree::RULE).with("what", what);
        return all.add(&records_agree::RULE, Some(finding.resting_on(&at.entry)));
    };
    let today = subject.instant.day(subject.instant.now);
    let mut facts = supply_facts(subject.state, supply, subject.instant.zone());
    facts.day = subject.instant.last_day;
    // What is dated ahead shows nothing yet.
    facts.air_test = facts.air_test.filter(|test| test.day <= today);
    facts.bed_tag = facts.bed_tag.filter(|tag| tag.day <= today);
    facts.monoxide_alarm = facts.monoxide_alarm.filter(|check| check.day <= today);
    facts.monoxide_test = facts.monoxide_test.filter(|test| test.day <= today);
    facts.look = facts.look.filter(|look| look.day <= today);
    all.put(&checks(), &facts);
}

/// The cylinder that is mounted on the set.
fn of_cylinder(subject: &Subject<'_>, all: &mut Around) {
    let carries = subject.device().is_none_or(Device::carries_cylinder);
    let mounted = subject.unit.filter(|_| carries).and_then(|unit| unit.mounted.as_ref());
    let Some((id, _)) = mounted else { return };
    // That a cylinder was never listed is asked by a rule of the set.
    let Some(cylinder) = subject.state.cylinder(id) else { return };
    let of_set = (&subject.ask.unit, (id, cylinder));
    let mut facts = mounted_facts(subject.state, of_set, subject.instant.zone());
    facts.day = subject.instant.last_day;
    all.put(&cylinder_checks(), &facts);
}

/// A failed check of the seal stands in the way until one holds; that one is made is asked at the
/// door.
fn of_seal(subject: &Subject<'_>, all: &mut Around) {
    let Some(unit) = subject.unit else { return };
    let Some(latest) = unit.seal_checked.get(&subject.ask.wearer) else { return };
    let site = subject.state.site(&unit.site);
    // What is dated ahead shows nothing yet.
    let by_now = |shown: &&Shown| shown.at.when <= latest_by_any_clock(subject.instant.now);
    let duty = site.and_then(|site| site.shown.get(OWN_WAY)).filter(by_now);
    let of_model = subject.model.and_then(|model| model.seal_check_shown.as_ref());
    let of_model = of_model.filter(|at| at.when <= latest_by_any_clock(subject.instant.now));
    let seal_check = Some(SealCheck {
        passed: latest.passed,
        makers_own: latest.way == Way::Makers,
        shown_equal: of_model.is_some()
            || duty.is_some_and(|shown| shown.holds_on(subject.instant.last_day)),
        entry: latest.at.entry.as_str(),
    });
    let tight_fitting = subject.device().is_some_and(|d| d.facepiece.is_tight_fitting());
    let facts = DonningFacts { tight_fitting, seal_check, powered: None };
    all.add(&seal_check::RULE, seal_check::check(&facts));
}

/// The battery of a powered unit: checked on the day of the wear or in the shift before it, and after whatever may have drawn on
/// it.
fn of_battery(subject: &Subject<'_>, all: &mut Around) {
    let powered = AirSource::PoweredAirPurifying;
    let device = subject.device().filter(|device| device.air_source == powered);
    let Some((unit, _)) = subject.unit.zip(device) else { return };
    let before_use = unit.battery_checked.as_ref().filter(|check| {
        let for_this = subject.instant.is_for_this_wear(check.at.when);
        for_this && unit.happened_after(&check.at, &DRAWS_ON_BATTERY).is_none()
    });
    all.add(&powered_ready::RULE, upkeep::battery(unit, before_use));
}

/// After these a battery may be empty.
const DRAWS_ON_BATTERY: [Happening; 3] =
    [Happening::Worn, Happening::Reported, Happening::Released];

/// The duty to show that a maker's own seal check is as good as the printed ones, as it was recorded before
/// it had an entry of its own.
const OWN_WAY: &str = "D232";

/// Whether the person who tested the fit was able to, where that person is written down.
fn of_tester(subject: &Subject<'_>, all: &mut Around) {
    let worn = subject.wearer.zip(subject.unit);
    let test = worn.and_then(|(wearer, unit)| wearer.fit_test(&unit.model, &unit.size));
    let Some((test, tester)) = test.and_then(|test| Some((test, test.tester.as_ref()?))) else {
        return;
    };
    let person = subject.state.person(tester);
    let held = person.and_then(|person| person.held_at(Role::FitTester, test.at.when));
    let day = |when: Timestamp| subject.instant.day(when);
    let facts = TesterFacts {
        tester: person.map_or(tester.as_str(), |person| &person.name),
        day: day(test.at.when),
        shown: held.map(|held| ShownAble {
            from: day(held.at.when),
            until: held.until,
            entry: held.at.entry.as_str(),
        }),
        entry: test.at.entry.as_str(),
    };
    all.add(&competent::RULE, competent::check(&facts));
}
