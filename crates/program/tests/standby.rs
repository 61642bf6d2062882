//! Who stands by outside immediately dangerous air, and inside fires.

#[cfg(test)]
mod support;

#[cfg(test)]
mod standby {
    use std::collections::BTreeSet;

    use jiff::SignedDuration;
    use program::check::check_fact;
    use program::{
        EntryId, Fact, ModelId, Part, PersonId, Retrieval, SiteId, State, Subject, TaskId,
        TrainingTopic, UnitId, may_wear,
    };
    use rulebook::standby::Contact;
    use rulebook::{Decision, Severity};

    use crate::support::plant::{Plant, ada, bo, minutes, paint, quantity, strip, unit};
    use crate::support::standby::{at_fire, posted, posting, u2};
    use crate::support::stops;

    fn guarded() -> Plant {
        let mut plant = Plant::good();
        plant.danger_until("2026-05-04T15:00");
        plant
    }

    fn stops_with(change: impl FnOnce(&mut Plant)) -> Vec<&'static str> {
        let mut plant = guarded();
        change(&mut plant);
        stops(&plant)
    }

    fn text(plant: &Plant, rule: &str) -> String {
        let found = plant.verdict().findings;
        found.into_iter().find(|one| one.rule.id == rule).map(|one| one.text()).unwrap_or_default()
    }

    #[test]
    fn the_verdict_turns_with_the_posting_and_back_after_it() {
        let mut plant = Plant::good();
        plant.danger();
        assert_eq!(stops(&plant), ["standby.posted"]);
        plant.add("posted", "2026-05-04T09:45", posting("2026-05-04T15:00"));
        assert_eq!(stops(&plant), [""; 0]);
        // The wear of four hours must end before the posting does.
        plant.now += SignedDuration::from_mins(60);
        assert_eq!(stops(&plant), [""; 0]);
        plant.now += SignedDuration::from_mins(1);
        assert_eq!(stops(&plant), ["standby.posted"]);
        let said = text(&plant, "standby.posted");
        assert!(said.contains("until 2026-05-04 15:00"), "{said}");
        plant.ask.planned_wear = Some(minutes(30.0));
        assert_eq!(stops(&plant), [""; 0]);
        plant.now += SignedDuration::from_hours(4);
        assert_eq!(stops(&plant), ["standby.posted"]);
        // Half a day later nothing is known of it any more.
        plant.now += SignedDuration::from_hours(8);
        assert!(text(&plant, "standby.posted").starts_with("nobody is recorded"));
    }

    #[test]
    fn every_cause_of_such_air_asks_for_it() {
        let air = |change: fn(&mut Plant)| {
            let mut plant = Plant::good();
            plant.danger();
            plant.edit_spec(|spec| spec.immediately_dangerous = false);
            change(&mut plant);
            stops(&plant)
        };
        assert_eq!(air(|_| {}), [""; 0]);
        let causes: [fn(&mut Plant); 7] = [
            |p| p.edit_spec(|spec| spec.oxygen = Some(quantity("19.4 %"))),
            |p| p.edit_spec(|spec| spec.oxygen = None),
            |p| p.edit_spec(|spec| spec.atmosphere_unknown = true),
            |p| p.edit_spec(|spec| spec.immediately_dangerous = true),
            |p| p.remove("reading-paint"),
            |p| p.move_to("reading-paint", "2025-05-03T08:00"),
            |p| {
                p.add(
                    "high",
                    "2026-04-01T08:00",
                    crate::support::plant::reading(&paint(), "600 ppm"),
                )
            },
        ];
        for change in causes {
            assert_eq!(air(change), ["standby.posted"]);
        }
        let fire = air(|p| p.edit_spec(|spec| spec.interior_fire = true));
        assert_eq!(fire, ["standby.posted"]);
    }

    #[test]
    fn what_is_posted_is_asked_part_by_part() {
        let with = |fact: Fact| {
            let mut plant = Plant::good();
            plant.danger();
            plant.add("posted", "2026-05-04T09:45", fact);
            stops(&plant)
        };
        assert_eq!(with(posted(|_| {})), [""; 0]);
        assert_eq!(with(posted(|one| one.contact.clear())), ["standby.contact"]);
        assert_eq!(with(posted(|one| one.notify.clear())), ["standby.notified"]);
        assert_eq!(with(posted(|one| one.help.clear())), ["standby.notified"]);
        // What nobody sees tells nothing.
        let unseen = with(posted(|one| *one.notify = "\u{200b}\u{2800}".into()));
        assert_eq!(unseen, ["standby.notified"]);
        let blank = Retrieval::Otherwise { means: "stretcher".into(), why: " ".into() };
        assert_eq!(with(posted(|one| *one.retrieval = blank)), ["standby.retrieval"]);
        assert_eq!(
            with(posted(|one| *one.inside = vec![PersonId::new("dee")])),
            ["standby.inside"]
        );
        assert_eq!(with(posted(|one| *one.inside = vec![ada()])), [""; 0]);
        let nobody = with(posted(|one| {
            one.outside.clear();
            one.sets.clear();
        }));
        assert_eq!(nobody, ["standby.enough", "records.agree"]);
        let no_set = with(posted(|one| one.sets.clear()));
        assert_eq!(no_set, ["records.agree", "standby.equipped"]);
        let unknown = with(posted(|one| *one.outside = vec![PersonId::new("eve")]));
        assert_eq!(unknown, ["standby.trained", "standby.ready"]);
    }

    #[test]
    fn who_stands_outside_could_go_in() {
        let ready = ["standby.ready"];
        assert_eq!(stops_with(|p| p.remove("bo-cleared")), ready);
        assert_eq!(stops_with(|p| p.remove("bo-fit")), ready);
        assert_eq!(stops_with(|p| p.remove("bo-wear")), ready);
        assert_eq!(stops_with(|p| p.remove("u2-round")), ready);
        assert_eq!(stops_with(|p| p.remove("u2-air")), ready);
        assert_eq!(stops_with(|p| p.remove("u2-issued")), ready);
        let held = Fact::Held { unit: u2(), why: "strap".into() };
        assert_eq!(stops_with(|p| p.add("held", "2026-05-04T09:00", held)), ready);
        let retired = Fact::Retired { unit: u2(), why: "old".into() };
        assert_eq!(stops_with(|p| p.add("gone", "2026-05-04T09:00", retired)), ready);
        // The next one goes home with the posting, not with the wear: rated for less is no reason.
        let trained =
            |understood| Fact::Trained { wearer: bo(), topic: TrainingTopic::Rescue, understood };
        assert_eq!(
            stops_with(|p| p.add("again", "2026-05-01T08:00", trained(false))),
            ["standby.trained"]
        );
        assert_eq!(stops_with(|p| p.move_to("bo-rescue", "2025-05-04T08:00")), [""; 0]);
        assert_eq!(stops_with(|p| p.move_to("bo-rescue", "2025-05-03T08:00")), ["standby.trained"]);
        let every = program::Every::Days(7);
        let policy = Fact::PolicySet { rule: "standby.trained".into(), every };
        assert_eq!(
            stops_with(|p| p.add("policy", "2026-01-02T08:00", policy)),
            ["standby.trained"]
        );
    }

    #[test]
    fn a_finding_of_who_stands_by_names_the_reason_and_its_entries() {
        let mut plant = guarded();
        plant.add("held", "2026-05-04T09:00", Fact::Held { unit: u2(), why: "strap torn".into() });
        let found = plant.verdict().findings;
        let ready = found.iter().find(|one| one.rule.id == "standby.ready").unwrap();
        assert!(ready.text().starts_with("Bo could not go in with u2: "), "{}", ready.text());
        assert!(ready.text().contains("strap torn"), "{}", ready.text());
        assert!(["posted", "held"].iter().all(|id| ready.evidence.iter().any(|one| one == id)));
    }

    #[test]
    fn a_set_at_hand_outside_serves_nobody_else() {
        let one_place = ["standby.one-place"];
        // Ada would go in with the set that Bo has at hand, and nobody has in hands.
        let shared = |p: &mut Plant| {
            p.remove("u2-issued");
            p.ask.unit = u2();
            let change = |fact: &mut Fact| {
                if let Fact::UnitReceived { shared, .. } = fact {
                    *shared = true;
                }
            };
            p.entries.iter_mut().for_each(|entry| change(&mut entry.fact));
        };
        let told = stops_with(shared);
        assert!(told.contains(&one_place[0]), "{told:?}");
        // The set that she would wear, or that Bo has, is at hand for another task.
        let dee = PersonId::new("dee");
        for set in [unit(), u2(), UnitId::new("U2")] {
            let other = posted(|one| {
                (*one.task, *one.outside) = (strip(), vec![dee.clone()]);
                *one.sets = vec![set.clone()];
            });
            let told = stops_with(|p| p.add("other", "2026-05-04T09:50", other.clone()));
            assert_eq!(told, one_place, "{set}");
            let ended = Fact::StandbyEnded { task: strip(), why: "done".into() };
            let after = stops_with(|p| {
                p.add("other", "2026-05-04T09:50", other);
                p.add("ended", "2026-05-04T09:52", ended);
            });
            assert_eq!(after, [""; 0], "{set}");
        }
    }

    #[test]
    fn an_id_that_only_looks_like_another_counts_as_that() {
        let bo_there = posted(|one| {
            (*one.task, *one.outside) = (strip(), vec![PersonId::new("BO")]);
            *one.sets = vec![UnitId::new("u4")];
        });
        let told = stops_with(|p| p.add("other", "2026-05-04T09:50", bo_there));
        assert_eq!(told, ["standby.one-place"]);
        let ended = Fact::StandbyEnded {
            task: TaskId::new(paint().as_str().to_uppercase()),
            why: "done".into(),
        };
        let told = stops_with(|p| p.add("ended", "2026-05-04T09:50", ended));
        assert_eq!(told, ["standby.posted"]);
        // One person does not go into a fire as two.
        for twin in ["ada", "Ada", "ADA"] {
            let mut plant = Plant::fire();
            let twice = at_fire(|one| *one.inside = vec![ada(), PersonId::new(twin)]);
            plant.add("alone", "2026-05-04T09:50", twice);
            assert!(stops(&plant).contains(&"records.agree"), "{twin}: {:?}", stops(&plant));
        }
    }

    #[test]
    fn nobody_is_at_two_places() {
        let other = posted(|one| *one.task = strip());
        assert_eq!(
            stops_with(|p| p.add("other", "2026-05-04T09:50", other.clone())),
            ["standby.one-place"]
        );
        let inside = posted(|one| {
            (*one.task, *one.outside, *one.inside) =
                (strip(), vec![PersonId::new("dee")], vec![bo()]);
            *one.sets = vec![UnitId::new("u4")];
        });
        assert_eq!(
            stops_with(|p| p.add("other", "2026-05-04T09:50", inside)),
            ["standby.one-place"]
        );
        let ended = Fact::StandbyEnded { task: strip(), why: "done".into() };
        let after = stops_with(|p| {
            p.add("other", "2026-05-04T09:50", other.clone());
            p.add("ended", "2026-05-04T09:52", ended);
        });
        assert_eq!(after, [""; 0]);
        // Who stands by does no other task either, whatever its air.
        let mut plant = guarded();
        plant.add("other", "2026-05-04T09:50", other.clone());
        plant.ask.wearer = bo();
        assert!(stops(&plant).contains(&"standby.one-place"));
        // Records that put one person at two places are told, and are over when the postings are.
        plant.add("again", "2026-05-04T09:51", posted(|one| one.inside.push(ada())));
        let told = State::from_entries(&plant.entries).contradictions();
        let said: Vec<&str> = told.iter().map(|one| one.words.as_str()).collect();
        assert!(said.iter().any(|words| words.contains("`bo` stands by for task")), "{said:?}");
    }

    #[test]
    fn a_fire_asks_for_two_and_two_and_carried_air() {
        assert_eq!(stops(&Plant::fire()), [""; 0]);
        let with = |fact: Fact| {
            let mut plant = Plant::fire();
            plant.edit("posted", |kept| *kept = fact);
            stops(&plant)
        };
        let one_outside = at_fire(|one| {
            one.outside.truncate(1);
            one.sets.truncate(1);
        });
        assert_eq!(with(one_outside), ["standby.enough"]);
        assert_eq!(with(at_fire(|one| *one.other_role = vec![bo()])), [""; 0]);
        let both = at_fire(|one| one.other_role.clone_from(one.outside));
        assert_eq!(with(both), ["standby.enough"]);
        assert_eq!(with(at_fire(|one| one.inside.truncate(1))), ["standby.together"]);
        let line = at_fire(|one| *one.together = vec![Contact::SignalLine]);
        assert_eq!(with(line), ["standby.together"]);
        let mut airline = Plant::fire();
        airline.edit("model-carried", |fact| {
            if let Fact::ModelListed { device, .. } = fact {
                device.air_source = rulebook::AirSource::SuppliedAirPressureDemand;
                device.auxiliary_self_contained = true;
            }
        });
        let found = stops(&airline);
        assert!(found.contains(&"danger.interior-fire"), "{found:?}");
        assert!(found.contains(&"standby.equipped"), "{found:?}");
    }

    #[test]
    fn a_site_may_ask_for_more_people_outside_and_never_for_less() {
        let asked =
            |number| stops_with(move |p| p.edit_spec(|spec| spec.standby_outside = Some(number)));
        assert_eq!(asked(2), ["standby.enough"]);
        assert_eq!(asked(1), [""; 0]);
        assert_eq!(asked(0), [""; 0]);
        let mut fire = Plant::fire();
        fire.edit_spec(|spec| spec.standby_outside = Some(1));
        fire.edit("posted", |fact| {
            *fact = at_fire(|one| {
                one.outside.truncate(1);
                one.sets.truncate(1);
            });
        });
        assert_eq!(stops(&fire), ["standby.enough"]);
    }

    #[test]
    fn a_unit_for_escape_is_not_stopped_for_want_of_somebody_outside() {
        let mut plant = Plant::good();
        plant.danger();
        plant.edit("model-carried", |fact| {
            if let Fact::ModelListed { device, .. } = fact {
                device.escape_only = true;
            }
        });
        let found = plant.verdict();
        assert_eq!(found.decision, Decision::Stop, "nobody goes in with it");
        assert!(found.findings.iter().all(|one| !one.rule.id.starts_with("standby.")));
    }

    #[test]
    fn a_correction_lifts_nothing() {
        let mut plant = Plant::good();
        plant.danger();
        let short = posting("2026-05-04T11:00");
        plant.add("posted", "2026-05-04T09:45", short);
        let longer = posting("2026-05-04T15:00");
        plant.add_correction("longer", "2026-05-04T09:45", Some("posted"), longer.clone());
        plant.by("longer", "ada");
        assert!(stops(&plant).contains(&"standby.posted"));
        plant.add("anew", "2026-05-04T09:55", longer);
        assert_eq!(stops(&plant), [""; 0]);
    }

    #[test]
    fn what_cannot_be_so_is_refused_and_told() {
        let mut plant = Plant::good();
        plant.danger();
        let state = State::from_entries(&plant.entries);
        let happened = "2026-05-04T07:45:00Z".parse().unwrap();
        let refused = |fact: &Fact| {
            let told = check_fact(&state, (&SiteId::new("north"), happened), fact);
            let fields = told.err().into_iter().flatten().map(|problem| problem.field);
            fields.collect::<BTreeSet<_>>().into_iter().collect::<Vec<_>>()
        };
        assert_eq!(refused(&posting("2026-05-04T15:00")), [""; 0]);
        let cases = [
            (posting("2026-05-04T09:45"), "until"),
            (posting("2026-05-04T21:46"), "until"),
            (posted(|one| *one.inside = vec![bo()]), "inside"),
            (posted(|one| one.sets.clear()), "sets"),
            (posted(|one| *one.other_role = vec![ada()]), "other_role"),
        ];
        for (fact, field) in cases {
            assert_eq!(refused(&fact), [field], "{fact:?}");
            let mut imported = plant.clone();
            imported.add("posted", "2026-05-04T09:45", fact);
            assert!(stops(&imported).contains(&"records.agree"));
            let told = State::from_entries(&imported.entries).contradictions();
            let posted = EntryId::new("posted");
            assert!(told.iter().any(|one| one.entries == [posted.clone()] && one.unsettled));
        }
        let twice = posted(|one| {
            (*one.outside, *one.sets) = (vec![bo(), bo()], vec![u2(), u2()]);
        });
        assert_eq!(refused(&twice), ["outside", "sets"]);
    }

    #[test]
    fn a_posting_changes_neither_the_people_nor_the_set_nor_the_task() {
        let plant = guarded();
        let entry = plant.entries.iter().find(|entry| entry.id.as_str() == "posted").unwrap();
        let parts = entry.subjects();
        let folded: Vec<&Subject> = parts
            .iter()
            .filter(|(part, _)| *part == Part::Folded)
            .map(|(_, thing)| thing)
            .collect();
        assert_eq!(folded, [&Subject::Watch("2026-05-04".into())]);
        for named in [Subject::Task(paint()), Subject::Wearer(bo()), Subject::Unit(u2())] {
            assert!(parts.contains(&(Part::Named, named)));
        }
        let state = State::from_entries(&plant.entries);
        for thing in [Subject::Task(paint()), Subject::Wearer(bo()), Subject::Unit(u2())] {
            assert!(state.history(&thing).any(|one| one.id == entry.id), "{thing:?}");
        }
    }

    #[test]
    fn a_posting_of_the_night_stands_past_midnight() {
        let mut plant = guarded();
        plant.ask.planned_wear = Some(minutes(30.0));
        plant.remove("posted");
        plant.add("night", "2026-05-04T22:00", posting("2026-05-05T06:00"));
        plant.now = "2026-05-05T00:30:00Z".parse().unwrap();
        let found = stops(&plant);
        assert!(!found.iter().any(|rule| rule.starts_with("standby.")), "{found:?}");
    }

    #[test]
    fn the_computed_verdict_asks_the_same() {
        let plant = guarded();
        let state = State::from_entries(&plant.entries);
        let verdict = may_wear(&state, &plant.ask, plant.now);
        assert_eq!(verdict.decision, Decision::Allowed);
        for rule in rulebook::standby::rules() {
            assert!(verdict.checked.contains(&rule.id), "{}", rule.id);
        }
        let mut cautions = verdict.findings.iter().filter(|one| one.severity == Severity::Caution);
        assert!(cautions.any(|one| one.rule.id == "danger.declared"));
        let of_unit = state.unit(&unit()).map(|set| set.model.clone());
        assert_eq!(of_unit, Some(ModelId::new("carried")));
    }
}
