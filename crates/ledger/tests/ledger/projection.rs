//! What is derived from the entries, against the same answers from every entry.

use jiff::{SignedDuration, Timestamp};
use ledger::{DueQuestion, Ledger};
use program::due::{DAYS_AHEAD, Due, Urgency, due};
use program::{AirQuality, Entry, Fact, ModelId, SiteId, State, SupplySource, UnitId, may_wear};
use proptest::strategy::{Strategy, ValueTree};
use proptest::test_runner::TestRunner;

use crate::air::{filled, sampled, self_contained, supply};
use crate::plant::{NOW, Plant, bo, elements, minutes, paint};
use crate::random::{asks, plants};
use crate::sample::Sample;

/// Plants that are the same in every run; a third of what comes later is entered at another site,
/// which was never opened.
pub fn random_plants(count: usize) -> Vec<Vec<Entry>> {
    let mut runner = TestRunner::deterministic();
    let strategy = plants();
    let mut plant = || strategy.new_tree(&mut runner).unwrap().current();
    let elsewhere = |mut plant: Plant| {
        let later = plant.entries.iter_mut().filter(|entry| entry.id.as_str().starts_with('r'));
        later.step_by(3).for_each(|entry| entry.site = SiteId::new("south"));
        plant.entries
    };
    (0..count).map(|_| elsewhere(plant())).collect()
}

/// Appends entries in their order, those of one site together.
pub async fn append(ledger: &Ledger, entries: &[Entry]) {
    for of_site in entries.chunk_by(|a, b| a.site == b.site) {
        ledger.append(&of_site[0].site, of_site).await.unwrap();
    }
}

fn everything() -> DueQuestion {
    DueQuestion {
        site: None,
        kind: None,
        days: DAYS_AHEAD,
        skip: 0,
        limit: usize::MAX,
        of_each_kind: false,
    }
}

fn instants() -> impl Iterator<Item = Timestamp> {
    let now: Timestamp = NOW.parse().unwrap();
    [-300, 0, 25, 200].into_iter().map(move |days| now + SignedDuration::from_hours(24 * days + 15))
}

async fn answers_agree(ledger: &Ledger, entries: &[Entry]) {
    let whole = State::from_entries(entries);
    for now in instants() {
        let answer = ledger.due(&everything(), now).await.unwrap();
        let direct = due(&whole, now);
        assert_eq!(answer.first, direct);
        for count in &answer.counts {
            let same = |due: &&Due| (due.kind, due.urgency) == (count.kind, count.urgency);
            assert_eq!(count.duties, direct.iter().filter(same).count() as u64);
        }
        let total: u64 = answer.counts.iter().map(|count| count.duties).sum();
        assert_eq!(total, direct.len() as u64);
    }
    let now = NOW.parse().unwrap();
    for ask in asks().step_by(5) {
        let told = ledger.may_wear(&ask, now).await.unwrap();
        assert_eq!(told, may_wear(&whole, &ask, now).from_guarded(&[]));
    }
}

async fn answers_are_those_of_every_entry_and_rebuilding_changes_nothing(sample: Sample) {
    for entries in random_plants(6) {
        let sample = Sample::new(sample.database).await;
        // Derived in steps, as entries come in.
        for (step, some) in entries.chunks(9).enumerate() {
            append(&sample.ledger, some).await;
            if step % 2 == 0 {
                sample.ledger.catch_up().await.unwrap();
            }
        }
        answers_agree(&sample.ledger, &entries).await;
        let before = sample.ledger.projection_digest().await.unwrap();
        assert_eq!(sample.ledger.rebuild().await.unwrap(), entries.len() as u64);
        assert_eq!(sample.ledger.projection_digest().await.unwrap(), before);
        sample.ledger.close().await;
    }
}

/// What was worn of elements on another set is read with those of the set they were moved to.
async fn wear_of_moved_elements_is_read_from_the_set_they_came_from(sample: Sample) {
    let mut plant = Plant::good();
    let other = UnitId::new("u2");
    let on_other = |fact: Fact| match fact {
        Fact::ElementsFitted { element_type, lot, shelf_life_until, opened, .. } => {
            let unit = UnitId::new("u2");
            Fact::ElementsFitted { unit, element_type, lot, shelf_life_until, opened }
        }
        other => other,
    };
    let received = Fact::UnitReceived {
        unit: other.clone(),
        model: ModelId::new("half"),
        size: "M".into(),
        serial: "s2".into(),
        shared: false,
        emergency: false,
    };
    plant.add("received-2", "2026-01-12T08:00", received);
    plant.add("fitted-2", "2026-05-04T01:00", on_other(elements("ov", "2026-05-04T00:55")));
    let (wearer, task, time) = (bo(), paint(), minutes(300.0));
    let worn = Fact::Worn { unit: other.clone(), wearer, task, time };
    plant.add("worn-2", "2026-05-04T06:00", worn);
    let off = Fact::ElementsDiscarded { unit: other, why: "moved".into() };
    plant.add("off", "2026-05-04T06:30", off);
    plant.remove("fitted");
    plant.add("moved", "2026-05-04T07:00", elements("ov", "2026-05-04T00:56"));
    append(&sample.ledger, &plant.entries).await;
    let now = NOW.parse().unwrap();
    let told = sample.ledger.may_wear(&plant.ask, now).await.unwrap();
    let all = State::from_entries(&plant.entries);
    assert_eq!(told, may_wear(&all, &plant.ask, now).from_guarded(&[]));
    let state = sample.ledger.state_for(&plant.ask, now).await.unwrap();
    assert!(state.unit(&UnitId::new("u2")).is_some());
}

/// A supply is behind the cylinder that was filled from it, and that behind the set that carries it.
async fn a_set_is_judged_anew_when_the_supply_that_filled_its_cylinder_is_sampled(sample: Sample) {
    let mut plant = self_contained();
    let listed = Fact::SupplyListed {
        supply: supply(),
        name: "compressor".to_owned(),
        source: SupplySource::OilFreeCompressor,
        couplings_apart: true,
        high_temperature_alarm: None,
    };
    plant.add("supply", "2026-04-01T08:00", listed);
    plant.add("sample", "2026-04-20T09:00", sampled("2 ppm"));
    plant.add("f2", "2026-05-03T11:00", filled("295 bar", Some(supply())));
    append(&sample.ledger, &plant.entries).await;
    let due_of_set = async || {
        let due = sample.ledger.due(&everything(), NOW.parse().unwrap()).await.unwrap().first;
        due.iter().any(|due| due.finding.rule.id == "unit.breathing-air")
    };
    assert!(!due_of_set().await);
    plant.add("bad", "2026-05-03T12:00", sampled("50 ppm"));
    append(&sample.ledger, &plant.entries[plant.entries.len() - 1..]).await;
    assert!(due_of_set().await);
    answers_agree(&sample.ledger, &plant.entries).await;
}

async fn things_that_look_alike_are_judged_anew_together(sample: Sample) {
    let mut plant = Plant::good();
    append(&sample.ledger, &plant.entries).await;
    let told = async || {
        let due = sample.ledger.due(&everything(), NOW.parse().unwrap()).await.unwrap().first;
        due.iter().any(|due| due.finding.text().contains("told apart by nothing"))
    };
    assert!(!told().await);
    // One that comes before the other in the order of ids, and one that comes after it.
    for (nth, twin) in ["U1", "u1\u{200b}"].into_iter().enumerate() {
        let held = Fact::Held { unit: program::UnitId::new(twin), why: "torn".to_owned() };
        plant.add(&format!("held-{nth}"), "2026-05-04T07:40", held);
        append(&sample.ledger, &plant.entries[plant.entries.len() - 1..]).await;
        assert!(told().await, "{twin:?}");
        answers_agree(&sample.ledger, &plant.entries).await;
        let called = sample.ledger.called(4, "\u{ff35}1").await.unwrap();
        assert!(called.iter().any(|one| one.id == "u1"), "{called:?}");
    }
    let before = sample.ledger.projection_digest().await.unwrap();
    sample.ledger.rebuild().await.unwrap();
    assert_eq!(sample.ledger.projection_digest().await.unwrap(), before);
}

async fn a_correction_that_lifts_nothing_is_judged_anew_with_who_runs_the_program(sample: Sample) {
    let mut plant = self_contained();
    let air = |quality| Fact::BreathingAirTested {
        unit: program::UnitId::new("u1"),
        quality,
        cylinder: None,
    };
    plant.add("failed", "2026-05-04T07:40", air(AirQuality::Fails));
    append(&sample.ledger, &plant.entries).await;
    plant.add_correction("lifted", "2026-05-04T07:40", Some("failed"), air(AirQuality::Meets));
    append(&sample.ledger, &plant.entries[plant.entries.len() - 1..]).await;
    let told = async || {
        let due = sample.ledger.due(&everything(), NOW.parse().unwrap()).await.unwrap().first;
        let rules: Vec<&str> = due.iter().map(|due| due.finding.rule.id).collect();
        ["records.corrected", "unit.breathing-air"].map(|rule| rules.contains(&rule))
    };
    assert_eq!(told().await, [true, true]);
    answers_agree(&sample.ledger, &plant.entries).await;
    plant.administrator("cy");
    append(&sample.ledger, &plant.entries[plant.entries.len() - 1..]).await;
    assert_eq!(told().await, [false, false]);
    answers_agree(&sample.ledger, &plant.entries).await;
}

async fn a_page_is_the_beginning_of_the_whole_answer(sample: Sample) {
    let mut entries = random_plants(3).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let now: Timestamp = NOW.parse().unwrap();
    let direct = due(&State::from_entries(&entries), now);
    assert!(direct.len() > 5);
    for limit in 0..=direct.len() {
        let question = DueQuestion { limit, ..everything() };
        assert_eq!(sample.ledger.due(&question, now).await.unwrap().first, direct[..limit]);
    }
    let (kind, site) = (direct[0].kind, SiteId::new("north"));
    let question = DueQuestion { kind: Some(kind), site: Some(site.clone()), ..everything() };
    let mut some = direct.clone();
    some.retain(|due| due.kind == kind && due.site.as_ref() == Some(&site));
    assert_eq!(sample.ledger.due(&question, now).await.unwrap().first, some);
    // The time zone of a site changes its days: they are derived anew.
    let opened = entries.iter().find(|entry| entry.id.as_str() == "site").unwrap().clone();
    let fact = program::Fact::SiteOpened { name: "North".into(), time_zone: "Asia/Tokyo".into() };
    let moved = Entry {
        id: program::EntryId::new("moved"),
        corrects: Some(opened.id.clone()),
        fact,
        ..opened
    };
    append(&sample.ledger, std::slice::from_ref(&moved)).await;
    entries.push(moved);
    answers_agree(&sample.ledger, &entries).await;
}

async fn several_derive_at_once_and_agree(sample: Sample) {
    let entries = random_plants(4).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let others = [0; 3].map(|_| Ledger::open(&sample.target));
    let mut at_once = tokio::task::JoinSet::new();
    for other in others {
        let other = other.await.unwrap();
        at_once.spawn(async move { other.projection_digest().await.unwrap() });
    }
    let digests = at_once.join_all().await;
    sample.ledger.rebuild().await.unwrap();
    let alone = sample.ledger.projection_digest().await.unwrap();
    assert!(digests.iter().all(|digest| *digest == alone));
    let over = |due: &Due| due.urgency == Urgency::Over;
    let told = sample.ledger.due(&everything(), NOW.parse().unwrap()).await.unwrap();
    assert!(told.first.is_sorted_by_key(|due| (due.kind, over(due))));
}

async fn answers_stay_the_same_while_another_derives_anew(sample: Sample) {
    let entries = random_plants(4).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let now: Timestamp = NOW.parse().unwrap();
    let before = sample.ledger.due(&everything(), now).await.unwrap();
    assert!(before.first.len() > 5);
    let other = Ledger::open(&sample.target).await.unwrap();
    let rebuilding = tokio::spawn(async move {
        for _ in 0..20 {
            other.rebuild().await.unwrap();
        }
    });
    while !rebuilding.is_finished() {
        assert_eq!(sample.ledger.due(&everything(), now).await.unwrap(), before);
    }
    rebuilding.await.unwrap();
}

async fn what_was_derived_by_other_rules_is_derived_anew(sample: Sample) {
    let entries = random_plants(2).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let fresh = sample.ledger.projection_digest().await.unwrap();
    let change = "UPDATE projected SET derived = 'older rules'; DELETE FROM due; DELETE FROM about";
    sample.behind_its_back(change).await.unwrap();
    assert_eq!(sample.ledger.projection_digest().await.unwrap(), fresh);
}

async fn what_was_damaged_is_put_right_by_rebuilding(sample: Sample) {
    let entries = random_plants(2).pop().unwrap();
    append(&sample.ledger, &entries).await;
    let fresh = sample.ledger.projection_digest().await.unwrap();
    for damage in [
        "DELETE FROM about",
        "DELETE FROM about WHERE thing > 0",
        "UPDATE about SET latest = 5",
        "INSERT INTO about SELECT thing + 1, first, latest, positions FROM about",
        "UPDATE due SET since = since + 30000000",
        "DELETE FROM due WHERE nth = 0",
        "INSERT INTO due VALUES ('', 3, 0, 4, 'none', 0), ('zz', 3, 0, 4, 'none', 0)",
        "UPDATE due_count SET duties = duties + 1",
        "DELETE FROM due_count",
        "INSERT INTO due_count VALUES ('', 3, 0, 7), ('zz', 3, 0, 7)",
        "UPDATE things SET sorted = 'zz' || sorted",
        "UPDATE things SET name = 'another', worn = 'another'",
        "DELETE FROM things WHERE kind > 3",
        "INSERT INTO things VALUES (0, '', 0, '', 'none', '', '', ''), (99, '', 0, '', '', '', '', '')",
    ] {
        sample.behind_its_back(damage).await.unwrap();
        assert_ne!(sample.ledger.projection_digest().await.unwrap(), fresh, "{damage}");
        sample.ledger.rebuild().await.unwrap();
        assert_eq!(sample.ledger.projection_digest().await.unwrap(), fresh, "{damage}");
    }
}

on_both! {
    answers_are_those_of_every_entry_and_rebuilding_changes_nothing
    wear_of_moved_elements_is_read_from_the_set_they_came_from
    a_set_is_judged_anew_when_the_supply_that_filled_its_cylinder_is_sampled
    things_that_look_alike_are_judged_anew_together
    a_correction_that_lifts_nothing_is_judged_anew_with_who_runs_the_program
    a_page_is_the_beginning_of_the_whole_answer
    several_derive_at_once_and_agree
    answers_stay_the_same_while_another_derives_anew
    what_was_derived_by_other_rules_is_derived_anew
    what_was_damaged_is_put_right_by_rebuilding
}
