use std::collections::BTreeSet;

use jiff::Timestamp;
use program::{Ask, Entry, PersonId, State, TaskId, UnitId, Verdict, may_wear};
use rulebook::{Decision, Severity};
use serde::Deserialize;

use super::entries;
use super::listed::Listed;

/// A working day, a Saturday in summer, just past midnight at either site in winter and in summer,
/// a leap day, and the days after a new year.
const INSTANTS: [&str; 7] = [
    "2026-03-04T15:00:00Z",
    "2026-07-11T20:30:00Z",
    "2025-11-17T06:20:00Z",
    "2026-08-05T05:20:00Z",
    "2026-08-05T07:10:00Z",
    "2028-02-29T08:05:00Z",
    "2027-01-02T18:00:00Z",
];

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Triples {
    triple: Vec<Triple>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Triple {
    wearer: String,
    unit: String,
    task: String,
    expect: Expect,
    #[serde(default)]
    stops: Vec<String>,
    why: String,
}

#[derive(Debug, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Expect {
    MayWear,
    Stop,
}

fn triples() -> Vec<Triple> {
    let all: Triples = toml::from_str(include_str!("../../../../demo/triples.toml")).unwrap();
    all.triple
}

fn now(text: &str) -> Timestamp {
    text.parse().unwrap()
}

fn plant(seed: u64, text: &str) -> Vec<Entry> {
    entries(seed, now(text)).unwrap()
}

fn answer(state: &State, triple: (&str, &str, &str), text: &str) -> Verdict {
    let (wearer, unit, task) = triple;
    let ask = Ask {
        wearer: PersonId::new(wearer),
        unit: UnitId::new(unit),
        task: TaskId::new(task),
        planned_wear: None,
    };
    may_wear(state, &ask, now(text))
}

fn stops(verdict: &Verdict) -> Vec<&'static str> {
    let stops = verdict.findings.iter().filter(|finding| finding.severity == Severity::Stop);
    stops.map(|finding| finding.rule.id).collect()
}

#[test]
fn each_triple_gets_the_answer_that_is_written_beside_it() {
    for (seed, text) in (1..).zip(INSTANTS) {
        let state = State::from_entries(&plant(seed, text));
        for triple in triples() {
            let Triple { wearer, unit, task, expect, stops: expected, why } = &triple;
            let verdict = answer(&state, (wearer, unit, task), text);
            let stops = stops(&verdict);
            let about = format!("{wearer}, {unit}, {task} at {text}: {why}; found {stops:?}");
            assert_eq!(*expect == Expect::MayWear, stops.is_empty(), "{about}");
            assert_eq!(*expect == Expect::MayWear, expected.is_empty(), "{about}");
            for id in expected {
                assert!(stops.contains(&id.as_str()), "{about}; expected {id}");
            }
        }
    }
}

#[test]
fn the_table_of_the_readme_agrees_with_the_triples() {
    let readme = include_str!("../../../../demo/README.md");
    let rows: Vec<Vec<&str>> = readme
        .lines()
        .map(|line| line.split('|').map(|cell| cell.trim().trim_matches('`')).collect())
        .filter(|cells: &Vec<&str>| {
            cells.len() == 7 && (cells[4] == "may wear" || cells[4] == "stop")
        })
        .collect();
    assert!(rows.len() >= 15, "{}", rows.len());
    for row in rows {
        let same = |t: &Triple| (t.wearer.as_str(), &*t.unit, &*t.task) == (row[1], row[2], row[3]);
        let triple = triples().into_iter().find(same).unwrap_or_else(|| panic!("{row:?}"));
        assert_eq!(triple.expect == Expect::MayWear, row[4] == "may wear", "{row:?}");
        assert_eq!(triple.why, row[5]);
    }
}

/// Some cannot be found in a plant whose entries speak only of what is listed. Nobody in it is asked for a
/// renewal, every recommendation came with its copy, and its fit tests are written down without their protocols
/// and counts.
#[test]
fn every_finding_about_a_wearer_or_a_set_occurs() {
    let text = INSTANTS[0];
    let state = State::from_entries(&plant(7, text));
    let ask = |t: &Triple| answer(&state, (&t.wearer, &t.unit, &t.task), text);
    let verdicts: Vec<Verdict> = triples().iter().map(ask).collect();
    let told = verdicts.iter().flat_map(|verdict| &verdict.findings);
    let found: BTreeSet<&str> =
        told.filter(|finding| finding.severity > Severity::Note).map(|f| f.rule.id).collect();
    let rules = [rulebook::wearer::rules(), rulebook::unit::rules()].concat();
    let missing: Vec<&str> =
        rules.iter().map(|rule| rule.id).filter(|id| !found.contains(id)).collect();
    let renewals = ["medical.renewal-asked", "fit.renewal-asked", "training.renewal-asked"];
    let (asked, others): (Vec<&str>, Vec<&str>) =
        missing.into_iter().partition(|id| renewals.contains(id));
    assert_eq!(asked, renewals);
    assert_eq!(
        others,
        [
            "medical.written",
            "fit.complete",
            "fit.protocol",
            "fit.agent-fresh",
            "fit.instrument",
            "fit.steady",
            "seal.hair-seen",
            "unit.model-listed",
            "unit.model-approved",
            "unit.restored",
            "unit.disinfectant-strong",
            "unit.cylinder-approved",
            "unit.auxiliary-air",
            "elements.listed"
        ]
    );
    assert!(found.contains("records.agree") && found.contains("task.known"));
}

#[test]
fn half_of_the_wearers_may_wear_their_own_set_or_one_of_their_pool() {
    let text = INSTANTS[0];
    let state = State::from_entries(&plant(7, text));
    let listed = Listed::read().unwrap();
    let mut answers = Vec::new();
    for crew in &listed.crews {
        // Who stands outside today does not go in.
        let stands_by = |name: &str| crew.stands_by.as_ref().is_some_and(|one| one.name == name);
        for member in crew.members.iter().filter(|member| !stands_by(&member.name)) {
            let tags = if crew.pool.is_empty() { &member.units } else { &crew.pool };
            let wearer = super::scene::person(&member.name);
            let may = |tag: &String| {
                let verdict = answer(&state, (wearer.as_str(), tag, &crew.task), text);
                verdict.decision == Decision::Allowed
            };
            answers.push(tags.iter().any(may));
        }
    }
    let allowed = answers.iter().filter(|may| **may).count();
    assert!(answers.len() / 2 <= allowed && allowed < answers.len(), "{allowed}");
}

#[test]
fn the_same_seed_and_instant_give_the_same_plant_and_another_seed_another() {
    assert_eq!(plant(7, INSTANTS[0]), plant(7, INSTANTS[0]));
    assert_ne!(plant(7, INSTANTS[0]), plant(8, INSTANTS[0]));
    assert_ne!(plant(7, INSTANTS[0]), plant(7, INSTANTS[1]));
}

#[test]
fn the_plant_is_as_large_as_it_is_said_to_be() {
    for (seed, text) in (1..).zip(INSTANTS) {
        let entries = plant(seed, text);
        assert!((8_000..=16_000).contains(&entries.len()), "{} at {text}", entries.len());
        let state = State::from_entries(&entries);
        assert_eq!(state.units().count(), 150);
        assert_eq!(state.wearers().count(), 67);
        assert_eq!(state.tasks().count(), 12);
        let first = entries.iter().map(|entry| entry.happened).min().unwrap();
        let months = now(text).duration_since(first).as_hours() / (24 * 30);
        assert!((13..=14).contains(&months), "{months}");
    }
}

#[test]
fn entries_are_in_order_and_speak_only_of_what_is_listed() {
    for (seed, text) in (1..).zip(INSTANTS) {
        let entries = plant(seed, text);
        let ids: BTreeSet<&str> = entries.iter().map(|entry| entry.id.as_str()).collect();
        assert_eq!(ids.len(), entries.len());
        assert!(entries.is_sorted_by_key(|entry| (entry.entered, entry.id.as_str())));
        assert!(entries.iter().all(|e| e.happened <= e.entered && e.entered <= now(text)));
        let state = State::from_entries(&entries);
        // The one that is meant to be there: a fit test corrected in two ways.
        let contradictions = state.contradictions();
        assert_eq!(contradictions.len(), 1, "{contradictions:?}");
        for entry in &entries {
            assert!(state.wearer(&entry.by).is_some(), "{} is not enrolled", entry.by);
            if let Some(wrong) = &entry.corrects {
                let wrong = state.entry(wrong).unwrap();
                assert!(wrong.entered <= entry.entered && wrong.happened == entry.happened);
            }
        }
        assert!(entries.iter().filter(|entry| entry.corrects.is_some()).count() > 3);
    }
}

/// Facts about one respirator are entered in the order in which they happened, but for corrections
/// and for wear entered late from a telephone without a connection.
#[test]
fn what_is_entered_of_one_respirator_is_in_the_order_of_events() {
    let entries = plant(7, INSTANTS[0]);
    let mut last: std::collections::BTreeMap<String, Timestamp> = Default::default();
    for entry in entries.iter().filter(|entry| entry.corrects.is_none()) {
        let fact = serde_json::to_value(&entry.fact).unwrap();
        let Some(unit) = fact.get("unit").and_then(|unit| unit.as_str()) else { continue };
        let before = last.insert(unit.to_owned(), entry.happened);
        assert!(before.is_none_or(|before| before <= entry.happened), "{}", entry.id);
    }
}

#[test]
fn the_ends_of_time_are_refused() {
    assert!(entries(7, Timestamp::MIN).is_err());
    assert!(entries(7, Timestamp::MAX).is_err());
}

/// A cartridge on a filtering facepiece is among its oddities.
#[test]
fn nothing_in_the_plant_but_one_oddity_is_what_a_form_would_refuse() {
    let mut all = plant(1, INSTANTS[0]);
    all.sort_by_key(|entry| (entry.happened, entry.entered, entry.id.clone()));
    let state = State::from_entries(&all);
    let refused = all.iter().filter_map(|entry| {
        let said = (&entry.site, entry.happened);
        program::check::check_fact(&state, said, &entry.fact).err()
    });
    let what: BTreeSet<String> = refused.flatten().map(|problem| problem.what).collect();
    let odd = BTreeSet::from(["a filtering facepiece takes no cartridge".to_owned()]);
    assert_eq!(what, odd);
}
