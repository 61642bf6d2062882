//! Answers from a part of the entries, against the same answers from all of them.

#[cfg(test)]
mod support;

#[cfg(test)]
mod partial {
    use std::collections::BTreeSet;

    use jiff::Timestamp;
    use program::due::{DAYS_AHEAD, Days, due, duties};
    use program::verdict::may_wear_with;
    use program::{
        Ask, ElementTypeId, Entry, Fact, Part, PersonId, SiteId, State, Subject, may_wear, needs,
    };
    use proptest::prelude::*;

    use crate::support::plant::Plant;
    use crate::support::random::{about, asks, plants};
    use crate::support::standby::plants_in_danger;

    /// The state of the entries about `wanted`, and about what `more` adds to it, step by step.
    fn part_of(
        all: &[Entry],
        mut wanted: BTreeSet<Subject>,
        more: impl Fn(&State) -> BTreeSet<Subject>,
    ) -> State {
        let whole = State::from_entries(all);
        let trees = whole.corrections();
        let mut part = State::default();
        let mut read = BTreeSet::new();
        while !wanted.is_empty() {
            for thing in &wanted {
                let folded =
                    |entry: &Entry| entry.subjects().contains(&(Part::Folded, thing.clone()));
                for entry in about(all, &trees, folded, |entry| has_part(entry, thing)) {
                    part.apply(entry);
                }
            }
            read.extend(wanted);
            wanted = more(&part).difference(&read).cloned().collect();
        }
        part
    }

    fn has_part(entry: &Entry, thing: &Subject) -> bool {
        let named =
            entry.subjects().iter().any(|(part, own)| *part != Part::RestsOn && own == thing);
        named
            || matches!(thing, Subject::Correction(id)
            if entry.id == *id || entry.corrects.as_ref() == Some(id))
    }

    fn for_verdict(plant: &Plant, ask: &Ask, now: Timestamp) -> State {
        let of_lot = |part: &State, entry: &Entry| {
            let lots = needs::lots(part, &ask.unit).into_iter();
            lots.filter(|(_, after)| *after < entry.happened)
                .any(|(lot, _)| entry.subjects().contains(&(Part::RestsOn, lot)))
        };
        let mut wanted = BTreeSet::from([Subject::Unit(ask.unit.clone())]);
        let mut part =
            part_of(&plant.entries, wanted.clone(), |part| needs::for_verdict(ask, part, now));
        for entry in plant.entries.iter().filter(|entry| of_lot(&part, entry)) {
            wanted.extend(entry.subjects().into_iter().map(|(_, thing)| thing));
        }
        if 1 < wanted.len() {
            part = part_of(&plant.entries, wanted, |part| needs::for_verdict(ask, part, now));
        }
        let asked: Vec<Subject> = needs::questions(ask, &part, now)
            .into_iter()
            .flat_map(|one| [Subject::Wearer(one.wearer), Subject::Task(one.task)])
            .collect();
        let ahead = needs::named_after(now);
        for entry in plant.entries.iter().filter(|entry| ahead < entry.happened) {
            if asked.iter().any(|thing| has_part(entry, thing)) {
                part.apply(entry);
            }
        }
        part
    }

    fn for_due(plant: &Plant, thing: &Subject) -> State {
        let mut part = part_of(&plant.entries, BTreeSet::from([thing.clone()]), |part| {
            let mut needed = needs::for_due(part.entries());
            needed.append(&mut needs::for_due_as_it_stands(part, [thing]));
            needed
        });
        if !part.knows(thing) {
            plant.entries.iter().filter(|entry| has_part(entry, thing)).for_each(|e| part.apply(e));
        }
        part
    }

    #[test]
    fn who_accepted_reuse_is_needed_for_a_verdict() {
        let mut plant = Plant::good();
        let cy = PersonId::new("cy");
        // The parts that a person has at the site of the task are read with the site.
        let role = plant.entries.iter_mut().find(|entry| entry.id.as_str() == "role-cy");
        role.unwrap().site = SiteId::new("south");
        let knows = |plant: &Plant| for_verdict(plant, &plant.ask, plant.now).person(&cy).is_some();
        assert!(!knows(&plant));
        let fact = Fact::ReuseAccepted {
            task: plant.ask.task.clone(),
            element_type: ElementTypeId::new("ov"),
            shifts: 2,
            by: cy.clone(),
            basis: "test".to_owned(),
            calculation: None,
        };
        plant.add("reuse", "2026-04-10T08:00", fact);
        assert!(knows(&plant));
    }

    fn instants() -> impl Strategy<Value = Timestamp> {
        let start: Timestamp = "2025-01-01T05:00:00Z".parse().unwrap();
        (0..900_i64, 0..24_i64).prop_map(move |(days, hours)| {
            start + jiff::SignedDuration::from_hours(24 * days + hours)
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn a_part_of_the_entries_gives_the_same_verdict_as_all(plant in plants(), now in instants()) {
            let whole = State::from_entries(&plant.entries);
            let schedules = |_: &State, task: &_, _: &_| plant.bound(task);
            for ask in asks() {
                let part = for_verdict(&plant, &ask, now);
                let (few, all) = (
                    may_wear_with(&part, &ask, now, &schedules),
                    may_wear_with(&whole, &ask, now, &schedules),
                );
                prop_assert_eq!(few, all);
            }
        }

        #[test]
        fn a_part_of_the_entries_tells_the_same_of_who_stands_by(plant in plants_in_danger()) {
            let whole = State::from_entries(&plant.entries);
            let schedules = |_: &State, task: &_, _: &_| plant.bound(task);
            for ask in asks() {
                let part = for_verdict(&plant, &ask, plant.now);
                let (few, all) = (
                    may_wear_with(&part, &ask, plant.now, &schedules),
                    may_wear_with(&whole, &ask, plant.now, &schedules),
                );
                prop_assert_eq!(few, all);
            }
        }

        #[test]
        fn a_part_of_the_entries_gives_the_same_computed_schedule_as_all(plant in plants()) {
            let whole = State::from_entries(&plant.entries);
            for ask in asks().filter(|ask| ask.wearer.as_str() == "ada") {
                let part = for_verdict(&plant, &ask, plant.now);
                let (few, all) = (may_wear(&part, &ask, plant.now), may_wear(&whole, &ask, plant.now));
                prop_assert_eq!(few, all);
            }
        }

        #[test]
        fn a_part_of_the_entries_gives_the_same_duties_as_all(plant in plants()) {
            let whole = State::from_entries(&plant.entries);
            for thing in whole.subjects() {
                prop_assert_eq!(
                    duties(&for_due(&plant, &thing), &thing),
                    duties(&whole, &thing),
                    "{:?}", thing
                );
            }
        }

        #[test]
        fn what_is_due_is_what_the_dates_of_the_duties_say(plant in plants(), now in instants()) {
            let whole = State::from_entries(&plant.entries);
            let direct = due(&whole, now);
            let duties = whole.subjects().flat_map(|thing| duties(&whole, &thing));
            let told = duties.filter_map(|duty| {
                duty.at(&Days::at(&whole, duty.site.as_ref(), now, DAYS_AHEAD))
            });
            prop_assert_eq!(told.count(), direct.len());
            prop_assert!(direct.is_sorted_by_key(|due| (due.kind, due.urgency)));
        }
    }
}
