//! What stands around a set and its wearer: the supply it is connected to, its cylinder, its latest
//! repair, the check of the seal and the person who tested the fit.

use jiff::Timestamp;
use rulebook::Finding;
use rulebook::donning::{DonningFacts, PoweredCheck, SealCheck, powered_ready, seal_check};
use rulebook::supply::{checks, cylinder_checks};
use rulebook::tester::{ShownAble, TesterFacts, competent};

use super::Subject;
use crate::entry::{Role, SealCheck as Way};
use crate::supply::{cylinder_facts, supply_facts};
use crate::upkeep;

/// The rules asked here.
pub(super) fn rules() -> Vec<&'static str> {
    let of_supply = checks().map(|check| check.rule.id);
    let of_cylinder = cylinder_checks().map(|check| check.rule.id);
    let of_repair = rulebook::repair::checks().map(|check| check.rule.id);
    let others = [seal_check::RULE.id, powered_ready::RULE.id, competent::RULE.id];
    of_supply.into_iter().chain(of_cylinder).chain(of_repair).chain(others).collect()
}

/// Everything found there.
pub(super) fn found(subject: &Subject<'_>) -> Vec<Finding> {
    let mut all = of_air(subject);
    if let Some(unit) = subject.unit {
        all.extend(upkeep::of_repair(subject.state, &subject.ask.unit, unit));
    }
    all.extend(of_seal(subject));
    all.extend(of_battery(subject));
    all.extend(of_tester(subject));
    all
}

fn of_air(subject: &Subject<'_>) -> Vec<Finding> {
    let (state, zone) = (subject.state, subject.instant.zone());
    let mut all = Vec::new();
    let Some(unit) = subject.unit else { return all };
    let brings_air = subject.device().is_some_and(|device| !device.air_source.purifies_air());
    let supply = unit.connected.as_ref().and_then(|(id, _)| state.supply(id));
    if let Some(supply) = supply.filter(|_| brings_air) {
        let mut facts = supply_facts(state, supply, zone);
        facts.day = subject.instant.last_day;
        all.extend(checks().iter().filter_map(|check| (check.run)(&facts)));
    }
    let mounted = unit.mounted.as_ref().and_then(|(id, _)| Some((id, state.cylinder(id)?)));
    if let Some((id, cylinder)) = mounted {
        let mut facts = cylinder_facts((id.as_str(), cylinder), zone);
        facts.day = subject.instant.last_day;
        all.extend(cylinder_checks().iter().filter_map(|check| (check.run)(&facts)));
    }
    all
}

/// A failed check of the seal stands in the way until one holds; that one is made is asked at the
/// door.
fn of_seal(subject: &Subject<'_>) -> Option<Finding> {
    let latest = subject.unit?.seal_checked.get(&subject.ask.wearer)?;
    let shown = |site: &crate::ids::SiteId| {
        subject.state.site(site).is_some_and(|site| site.shown.contains_key(OWN_WAY))
    };
    let seal_check = Some(SealCheck {
        passed: latest.passed,
        makers_own: latest.way == Way::Makers,
        shown_equal: subject.unit.is_some_and(|unit| shown(&unit.site)),
        entry: latest.at.entry.as_str(),
    });
    let tight_fitting = subject.device().is_some_and(|d| d.facepiece.is_tight_fitting());
    let facts =
        DonningFacts { tight_fitting, seal_check, powered: None, filtering_facepiece: None };
    seal_check::check(&facts)
}

/// The duty to show that a maker's own seal check is as good as the printed ones.
const OWN_WAY: &str = "D232";

/// A battery found too weak stands in the way; its flow is asked by a rule of its own.
fn of_battery(subject: &Subject<'_>) -> Option<Finding> {
    let latest = subject.unit?.battery_checked.as_ref()?;
    let powered = Some(PoweredCheck { battery: Some(latest.passed), flow: Some(true) });
    let facts =
        DonningFacts { tight_fitting: false, seal_check: None, powered, filtering_facepiece: None };
    powered_ready::check(&facts).map(|finding| finding.resting_on(&latest.at.entry))
}

/// Whether the person who tested the fit was able to, where that person is written down.
fn of_tester(subject: &Subject<'_>) -> Option<Finding> {
    let unit = subject.unit?;
    let test = subject.wearer?.fit_test(&unit.model, &unit.size)?;
    let tester = test.tester.as_ref()?;
    let person = subject.state.person(tester);
    let held = person.and_then(|person| person.roles.get(&Role::FitTester));
    let day = |when: Timestamp| subject.instant.day(when);
    let facts = TesterFacts {
        tester: person.map_or(tester.as_str(), |person| &person.name),
        day: day(test.at.when),
        shown: held.map(|held| ShownAble {
            from: day(held.at.when),
            until: held.until,
            entry: held.at.entry.as_str(),
        }),
        stock_solution_made: None,
        odour_solution_made: None,
        entry: test.at.entry.as_str(),
    };
    competent::check(&facts)
}
