//! Verdicts, against a corpus of cases and against a second, plain reading of the duties.

#[cfg(test)]
mod support;

#[cfg(test)]
mod verdict {
    use program::{Fact, InspectionOccasion, State};
    use proptest::prelude::*;
    use rulebook::{Decision, Severity};

    use crate::support::cases::{self, Case};
    use crate::support::plant::{Plant, fit_test, unit, until};
    use crate::support::random::plants_with_baths;
    use crate::support::{plain, seen, stops};

    #[test]
    fn each_case_gives_its_decision_and_its_findings() {
        let mut wrong = Vec::new();
        for case in cases::all() {
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            let verdict = plant.verdict();
            let of = |stops: bool| {
                let some =
                    verdict.findings.iter().filter(|f| (f.severity == Severity::Stop) == stops);
                let mut ids: Vec<&str> = some.map(|finding| finding.rule.id).collect();
                ids.sort_unstable();
                ids.dedup();
                ids
            };
            let mut stops = case.stops.to_vec();
            stops.sort_unstable();
            let said = of(false);
            if verdict.decision != case.decision
                || of(true) != stops
                || !case.says.iter().all(|id| said.contains(id))
            {
                wrong.push(format!(
                    "{}: {:?}, stops {:?}, says {said:?}",
                    case.name,
                    verdict.decision,
                    of(true)
                ));
            }
        }
        assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    }

    #[test]
    fn the_plain_reading_decides_each_case_alike() {
        for case in cases::all() {
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            let allowed = case.decision == Decision::Allowed;
            assert_eq!(plain::may_wear(&plant), allowed, "{}", case.name);
        }
    }

    #[test]
    fn every_rule_is_asked_whatever_the_others_find() {
        let asked = Plant::good().verdict().checked;
        let own = [rulebook::ask::rules(), rulebook::wearer::rules(), rulebook::unit::rules()];
        let all = own.into_iter().flatten().chain(rulebook::rules_of_selection());
        // Whoever keeps the records asks whether they are guarded.
        for rule in all.filter(|rule| rule.id != rulebook::ask::guarded::RULE.id) {
            assert!(asked.contains(&rule.id), "{} is not asked", rule.id);
        }
        for case in cases::all() {
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            let verdict = plant.verdict();
            let mine: Vec<_> = asked.iter().filter(|id| !verdict.checked.contains(id)).collect();
            let judged = mine.is_empty();
            let unknown = ["task.known", "unit.known", "unit.model-listed"];
            let has = |id: &&str| verdict.findings.iter().any(|finding| finding.rule.id == *id);
            assert!(judged || unknown.iter().any(has), "{}: {mine:?} not asked", case.name);
        }
    }

    #[test]
    fn every_finding_has_words_a_remedy_and_a_citation() {
        for case in cases::all() {
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            for finding in plant.verdict().findings {
                let said =
                    format!("{} / {} / {}", finding.text(), finding.remedy(), finding.citation());
                assert!(!said.contains(['{', '}']) && !finding.remedy().is_empty(), "{said}");
                assert!(!finding.citation().is_empty(), "{said}");
            }
        }
    }

    #[test]
    fn a_finding_rests_on_the_entries_it_speaks_of() {
        for (name, rule, entries) in [
            ("a later fit test failed", "fit.passed", vec!["fit-failed"]),
            ("a fit test of next year", "records.not-ahead", vec!["fit-ahead"]),
            (
                "cleaned after the inspection",
                "unit.inspected-before-use",
                vec!["inspected", "cleaned-6"],
            ),
            ("worn this morning, too little left", "elements.within-schedule", vec!["ada-wore-4"]),
            ("in two pairs of hands", "unit.in-right-hands", vec!["issued-too"]),
        ] {
            let case = cases::all().into_iter().find(|case| case.name == name).unwrap();
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            let verdict = plant.verdict();
            let found = verdict.findings.iter().find(|finding| finding.rule.id == rule).unwrap();
            assert_eq!(found.evidence, entries, "{name}");
        }
    }

    #[test]
    fn a_remedy_names_model_size_and_wearer() {
        let mut plant = Plant::good();
        plant.remove("fit");
        let verdict = plant.verdict();
        let found = verdict.findings.iter().find(|f| f.rule.id == "fit.tested").unwrap();
        assert_eq!(found.remedy(), "fit test model half size M for Ada");
    }

    #[test]
    fn correcting_a_good_fact_to_a_bad_one_stops() {
        for when in ["2026-02-03T08:00", "2026-01-01T08:00"] {
            let mut plant = Plant::good();
            let failed = fit_test("half", program::FitMethod::Qualitative, false);
            plant.add_correction("fit-corrected", when, Some("fit"), failed);
            assert_eq!(plant.verdict().decision, Decision::Stop);
            plant.entries.reverse();
            assert_eq!(plant.verdict().decision, Decision::Stop, "the correction arrives first");
        }
    }

    #[test]
    fn one_more_correction_settles_two_that_differ() {
        let mut plant = Plant::good();
        let test = |passed| fit_test("half", program::FitMethod::Qualitative, passed);
        plant.add_correction("rival-a", "2026-02-03T08:00", Some("fit"), test(true));
        plant.add_correction("rival-b", "2026-02-03T08:00", Some("fit"), test(false));
        let ids = |plant: &Plant| {
            let stops =
                plant.verdict().findings.into_iter().filter(|f| f.severity == Severity::Stop);
            stops.map(|finding| finding.rule.id).collect::<Vec<_>>()
        };
        assert_eq!(ids(&plant), ["records.agree", "fit.passed"]);
        plant.add_correction("settled", "2026-02-03T08:00", Some("rival-b"), test(true));
        // Which holds is settled by anybody; that one of them failed is not.
        assert_eq!(ids(&plant), ["records.corrected", "fit.passed"]);
        plant.administrator("cy");
        assert!(ids(&plant).is_empty(), "{:?}", ids(&plant));
    }

    // The schedule of the code itself, on a bed that only certification vouches for.
    #[test]
    fn the_computed_schedule_is_asked_too() {
        let plant = Plant::good();
        let state = State::from_entries(&plant.entries);
        let verdict = program::may_wear(&state, &plant.ask, plant.now);
        for rule in rulebook::rules_of_schedule() {
            assert!(verdict.checked.contains(&rule.id), "{} is not asked", rule.id);
        }
        let asked = program::schedule::for_task(
            &state,
            &plant.ask.task,
            &program::ElementTypeId::new("ov"),
            &state.model(&program::ModelId::new("half")).unwrap().device,
            plant.now,
        );
        let longest = asked.unwrap().schedule.max_wear.as_min();
        let stops = longest < 240.0;
        assert_eq!(verdict.decision == Decision::Stop, stops, "{longest} min");
    }

    /// Any few cases of the corpus at once, each at most once.
    fn some_cases() -> impl Strategy<Value = Vec<usize>> {
        let all: Vec<usize> = (0..cases::all().len()).collect();
        proptest::sample::subsequence(all, 0..5)
    }

    fn changed(which: &[usize]) -> Plant {
        let all: Vec<Case> = cases::all();
        let mut plant = Plant::good();
        for index in which {
            (all[*index].change)(&mut plant);
        }
        plant
    }

    /// Something bad that can befall anyone.
    fn harm(plant: &mut Plant, which: usize) {
        let (occasion, found) = (InspectionOccasion::BeforeUse, "torn".to_owned());
        let unit = unit();
        match which {
            0 => plant.add("harm", "2026-05-04T09:59", Fact::Held { unit, why: "?".into() }),
            1 => {
                let fact = Fact::Inspected { unit, occasion, passed: false, found };
                plant.add("harm", "2026-05-04T09:59", fact);
            }
            2 => plant.add("harm", "2026-05-04T09:59", Fact::Retired { unit, why: "?".into() }),
            _ => plant.edit("fitted", |fact| {
                if let Fact::ElementsFitted { shelf_life_until, .. } = fact {
                    *shelf_life_until = until("2020-01-01");
                }
            }),
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn the_plain_reading_agrees_on_any_few_cases_together(which in some_cases()) {
            let plant = changed(&which);
            let verdict = plant.verdict();
            let names: Vec<&str> = which.iter().map(|index| cases::all()[*index].name).collect();
            let stops: Vec<&str> = verdict.findings.iter()
                .filter(|f| f.severity == Severity::Stop).map(|f| f.rule.id).collect();
            prop_assert_eq!(
                plain::may_wear(&plant), verdict.decision == Decision::Allowed, "{:?}: {:?}", names, stops
            );
        }

        #[test]
        fn the_plain_reading_agrees_on_any_baths_between_two_wearers(plant in plants_with_baths()) {
            let told: Vec<&program::Fact> = plant.entries.iter()
                .filter(|entry| entry.id.as_str().starts_with('b')).map(|entry| &entry.fact).collect();
            prop_assert_eq!(
                plain::may_wear(&plant), plant.verdict().decision == Decision::Allowed,
                "{:?}: {:?}", told, stops(&plant)
            );
        }

        #[test]
        fn the_order_of_arrival_changes_nothing(
            which in some_cases(),
            order in Just(()).prop_perturb(|(), mut random| {
                (0..400).map(|_| random.next_u32()).collect::<Vec<u32>>()
            }),
            twice in 0_usize..20,
        ) {
            let plant = changed(&which);
            let (expected, verdict) = (seen(&State::from_entries(&plant.entries)), plant.verdict());
            let mut shuffled = plant.clone();
            let mut keys = order.into_iter();
            shuffled.entries.sort_by_cached_key(|_| keys.next());
            // Looking in between must not matter either, nor the same entry again.
            let mut state = State::default();
            for (index, entry) in shuffled.entries.iter().enumerate() {
                state.apply(entry);
                if index % 3 == 0 {
                    let _ = seen(&state);
                }
            }
            state.apply(&shuffled.entries[twice % shuffled.entries.len()]);
            prop_assert_eq!(seen(&state), expected);
            prop_assert_eq!(shuffled.verdict(), verdict);
        }

        #[test]
        fn nothing_bad_ever_makes_a_stop_allowed(which in some_cases(), what in 0_usize..4) {
            let mut plant = changed(&which);
            let before = plant.verdict().decision;
            harm(&mut plant, what);
            let after = plant.verdict().decision;
            prop_assert!(before == Decision::Allowed || after == Decision::Stop);
        }
    }
}
