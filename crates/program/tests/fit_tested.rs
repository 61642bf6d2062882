//! How a fit test was run: without the air that a facepiece is fed with, and by a protocol that serves it.

#[cfg(test)]
mod support;

#[cfg(test)]
mod fit_tested {
    use program::check::check_fact;
    use program::due::{About, against_fit_test, due};
    use program::{AgentsMade, EntryId, Fact, FitMethod, ModelId, SiteId, State, StockId, UnitId};
    use rulebook::fit_test::{FitAgent, TestedAs};
    use rulebook::{AirSource, Severity};

    use crate::support::fit::{half_by, measured};
    use crate::support::plant::{Plant, ada, bo, fit_test, quantity, unit};
    use crate::support::stops;

    const WITHOUT_AIR: &str = "fit.negative-pressure";
    const RESTORED: &str = "unit.restored";

    fn folded(plant: &Plant) -> State {
        State::from_entries(&plant.entries)
    }

    /// The rules of what is due about one thing.
    fn told(plant: &Plant, about: &About) -> Vec<&'static str> {
        let all = due(&folded(plant), plant.now).into_iter().filter(|due| due.about == *about);
        all.map(|due| due.finding.rule.id).collect()
    }

    fn said(plant: &Plant, rule: &str) -> Option<Severity> {
        let findings = plant.verdict().findings;
        findings.iter().find(|finding| finding.rule.id == rule).map(|finding| finding.severity)
    }

    // Source: 29 CFR 1910.134(f)(8), (i) and (ii).
    #[test]
    fn a_facepiece_fed_with_air_is_fit_tested_without_it() {
        use TestedAs::{AirOn, OwnConverted, OwnWithAdapter, ProbedSurrogate, Surrogate};
        for model in ["powered", "airline", "airline-demand", "carried"] {
            for (protocol, way, stopped) in [
                ("QNFT-CNC", Some(OwnWithAdapter), false),
                ("QNFT-CNC", Some(ProbedSurrogate), false),
                ("QNFT-CNC", Some(OwnConverted), true),
                ("QNFT-CNC", Some(Surrogate), true),
                ("QNFT-CNC", Some(AirOn), true),
                ("QNFT-CNC", None, true),
                ("QLFT-BIT", Some(OwnConverted), false),
                ("QLFT-BIT", Some(Surrogate), false),
                ("QLFT-BIT", Some(AirOn), true),
                ("QLFT-BIT", None, true),
            ] {
                let mut plant = Plant::good();
                plant.of_model(model);
                plant.add("measured", "2026-04-03T08:00", measured(model, protocol, way));
                let found = stops(&plant);
                let case = format!("{model} {protocol} {way:?}: {found:?}");
                assert_eq!(found.contains(&WITHOUT_AIR), stopped, "{case}");
                let due = told(&plant, &About::Wearer(ada()));
                assert_eq!(due.contains(&WITHOUT_AIR), stopped, "{case}");
                // It is told before it is recorded, unless what lacks is asked anyhow.
                let site = &plant.entries[0].site;
                let fact = measured(model, protocol, way);
                let before = against_fit_test(&folded(&plant), (site, plant.now), &fact);
                let before = before.iter().any(|finding| finding.rule.id == WITHOUT_AIR);
                assert_eq!(before, stopped, "{case}");
            }
        }
    }

    #[test]
    fn a_test_whose_outcome_alone_is_known_is_a_caution_and_stops_nothing() {
        for model in ["powered", "airline", "carried"] {
            let mut plant = Plant::good();
            plant.of_model(model);
            assert_eq!(said(&plant, WITHOUT_AIR), Some(Severity::Caution), "{model}");
            assert!(!told(&plant, &About::Wearer(ada())).contains(&WITHOUT_AIR), "{model}");
        }
        assert_eq!(said(&Plant::good(), WITHOUT_AIR), None);
    }

    // What was entered before it was asked is put right by a correction that says it.
    #[test]
    fn a_record_that_does_not_say_how_is_put_right_by_one_that_does() {
        let mut plant = Plant::good();
        plant.of_model("powered");
        let way = Some(TestedAs::ProbedSurrogate);
        plant.add("measured", "2026-04-03T08:00", measured("powered", "QNFT-CNC", None));
        let finding = plant.verdict().findings.into_iter().find(|f| f.rule.id == WITHOUT_AIR);
        let finding = finding.unwrap();
        assert!(finding.remedy().contains("administrator"), "{}", finding.remedy());
        assert_eq!(finding.evidence, ["measured"]);
        let said = measured("powered", "QNFT-CNC", way);
        plant.add_correction("said", "2026-04-03T08:00", Some("measured"), said.clone());
        assert!(stops(&plant).contains(&WITHOUT_AIR), "a correction alone lifts nothing");
        let mut by_administrator = plant.clone();
        by_administrator.administrator("mo");
        by_administrator.by("said", "mo");
        assert!(!stops(&by_administrator).contains(&WITHOUT_AIR));
        plant.add("again", "2026-04-04T08:00", said);
        assert!(!stops(&plant).contains(&WITHOUT_AIR), "a test that says it does");
    }

    // Source: 29 CFR 1910.134(f)(8)(iii).
    #[test]
    fn a_set_changed_for_a_fit_test_is_not_worn_until_it_is_put_back() {
        for restored in [None, Some(false), Some(true)] {
            let mut plant = Plant::good();
            plant.of_model("powered");
            let mut fact = measured("powered", "QNFT-CNC", Some(TestedAs::OwnWithAdapter));
            if let Fact::FitMeasured { restored: told, .. } = &mut fact {
                *told = restored;
            }
            plant.add("measured", "2026-05-04T07:30", fact);
            let open = restored != Some(true);
            assert_eq!(stops(&plant).contains(&RESTORED), open, "{restored:?}");
            assert_eq!(told(&plant, &About::Unit(unit())).contains(&RESTORED), open);
            let back = Fact::Restored { unit: unit(), done: "adapter off".to_owned() };
            plant.add("back", "2026-05-04T07:40", back);
            let found = stops(&plant);
            assert!(!found.contains(&RESTORED), "{found:?}");
            assert!(!told(&plant, &About::Unit(unit())).contains(&RESTORED));
            // What was put together anew is looked at before it is worn.
            assert!(found.contains(&"unit.inspected-before-use"), "{found:?}");
        }
    }

    #[test]
    fn a_set_that_was_on_a_face_for_a_fit_test_is_not_issued_to_another_undisinfected() {
        let mut plant = Plant::good();
        plant.of_model("powered");
        plant.shared();
        plant.add("measured", "2026-04-03T08:00", measured("powered", "QNFT-CNC", None));
        let users = |plant: &Plant| {
            let state = folded(plant);
            let users = state.unit(&unit()).unwrap().used_since_disinfected.clone();
            (users.contains_key(&ada()), program::care::against_issue(&state, &unit(), &bo()))
        };
        let (used, _) = users(&plant);
        assert!(!used, "no set was named");
        let way = Some(TestedAs::OwnWithAdapter);
        plant.add("again", "2026-05-04T07:30", measured("powered", "QNFT-CNC", way));
        let (used, against) = users(&plant);
        assert!(used && against.is_some());
    }

    #[test]
    fn what_a_fit_test_of_such_a_facepiece_lacks_is_refused_where_it_is_entered() {
        let mut plant = Plant::good();
        plant.of_model("powered");
        let state = folded(&plant);
        let fields = |fact: &Fact| -> Vec<&'static str> {
            let found = check_fact(&state, (&SiteId::new("north"), plant.now), fact);
            found.err().into_iter().flatten().map(|problem| problem.field).collect()
        };
        assert_eq!(fields(&measured("powered", "QNFT-CNC", None)), ["tested_as"]);
        let mut fact = measured("powered", "QNFT-CNC", Some(TestedAs::OwnWithAdapter));
        assert_eq!(fields(&fact), [""; 0]);
        if let Fact::FitMeasured { unit, .. } = &mut fact {
            *unit = None;
        }
        assert_eq!(fields(&fact), ["unit"]);
        let mut fact = measured("half", "QNFT-CNC", Some(TestedAs::ProbedSurrogate));
        assert_eq!(fields(&fact), ["tested_as"]);
        if let Fact::FitMeasured { tested_as, restored, unit, .. } = &mut fact {
            (*tested_as, *restored, *unit) = (None, Some(true), Some(UnitId::new("u1")));
        }
        assert_eq!(fields(&fact), ["restored", "unit"]);
    }

    const AGREE: &str = "records.agree";

    /// A powered set u1, and others beside it: u2 of another model, u3 of another size.
    fn powered_and_others() -> Plant {
        let mut plant = Plant::good();
        plant.of_model("powered");
        plant.edit("model-powered", |fact| {
            if let Fact::ModelListed { sizes, .. } = fact {
                sizes.push("L".to_owned());
            }
        });
        for (tag, model, size) in [("u2", "half", "M"), ("u3", "powered", "L")] {
            let (model, size) = (ModelId::new(model), size.to_owned());
            let received = Fact::UnitReceived {
                unit: UnitId::new(tag),
                model,
                size,
                serial: tag.to_owned(),
                shared: false,
                emergency: false,
            };
            plant.add(tag, "2026-01-12T08:00", received);
        }
        plant
    }

    // What a form refuses may come from elsewhere: then the records do not agree.
    // Source: 29 CFR 1910.134(f)(8).
    #[test]
    fn a_fit_test_whose_facepiece_cannot_have_been_on_the_face_stops_wherever_it_came_from() {
        use TestedAs::{AirOn, OwnConverted, OwnWithAdapter, ProbedSurrogate, Surrogate};
        let own = Some(OwnWithAdapter);
        let when = "2026-05-03T08:00";
        for (model, way, tag, when, agrees) in [
            ("powered", own, Some("u1"), when, true),
            ("powered", own, None, when, false),
            ("powered", Some(OwnConverted), None, when, false),
            ("powered", own, Some("u2"), when, false),
            ("powered", own, Some("u3"), when, false),
            ("powered", own, Some("nobody's"), when, false),
            ("powered", own, Some("u1"), "2026-01-11T08:00", false),
            ("powered", own, Some("u1"), "2026-01-12T07:00", true),
            ("powered", Some(ProbedSurrogate), None, when, true),
            ("powered", Some(ProbedSurrogate), Some("u1"), when, true),
            ("powered", Some(ProbedSurrogate), Some("u2"), when, false),
            ("half", None, None, when, true),
            ("half", None, Some("u2"), when, true),
            ("half", None, Some("u1"), when, false),
            ("half", Some(Surrogate), None, when, false),
            ("half", Some(AirOn), None, when, false),
            ("half", own, Some("u2"), when, false),
        ] {
            let mut plant = powered_and_others();
            if model == "half" {
                plant.ask.unit = UnitId::new("u2");
            }
            let protocol = if way == Some(OwnConverted) { "QLFT-BIT" } else { "QNFT-CNC" };
            let mut fact = measured(model, protocol, way);
            if let Fact::FitMeasured { unit, .. } = &mut fact {
                *unit = tag.map(UnitId::new);
            }
            plant.remove("fit");
            plant.add("measured", when, fact);
            let case = format!("{model} {way:?} {tag:?} {when}");
            let found = plant.verdict().findings;
            let doubts = found.iter().filter(|found| found.rule.id == AGREE);
            let doubts: Vec<&str> =
                doubts.flat_map(|found| &found.evidence).map(|e| &**e).collect();
            let told = if agrees { Vec::new() } else { vec!["measured"] };
            assert_eq!(doubts, told, "{case}: {found:?}");
            let listed = folded(&plant).contradictions();
            let rests = |entry: &EntryId| entry.as_str() == "measured";
            assert_eq!(listed.iter().any(|one| one.entries.iter().any(rests)), !agrees, "{case}");
        }
    }

    #[test]
    fn a_set_that_was_retired_before_a_fit_test_was_not_on_the_face() {
        for (retired, agrees) in [("2026-05-03T09:00", true), ("2026-05-03T07:00", false)] {
            let mut plant = powered_and_others();
            plant.edit("u3", |fact| {
                if let Fact::UnitReceived { size, .. } = fact {
                    "M".clone_into(size);
                }
            });
            let mut fact = measured("powered", "QNFT-CNC", Some(TestedAs::OwnWithAdapter));
            if let Fact::FitMeasured { unit, .. } = &mut fact {
                *unit = Some(UnitId::new("u3"));
            }
            plant.add("measured", "2026-05-03T08:00", fact);
            let retire = Fact::Retired { unit: UnitId::new("u3"), why: "worn out".to_owned() };
            plant.add("retired", retired, retire);
            assert_eq!(stops(&plant).contains(&AGREE), !agrees, "{retired}");
        }
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.2, B.5 and C.2.
    #[test]
    fn a_protocol_whose_elements_the_model_does_not_take_is_told_before_and_is_due() {
        let rule = "fit.protocol";
        for (approved, protocol, against) in [
            (Some("ov"), "QLFT-SMOKE", true),
            (Some("ov"), "QLFT-IAA", false),
            (Some("p100"), "QLFT-IAA", true),
            (Some("p100"), "QLFT-SMOKE", false),
            (None, "QLFT-SMOKE", false),
        ] {
            let mut plant = Plant::good();
            if let Some(kind) = approved {
                plant.approve("half", &[kind]);
            }
            plant.edit("kind-p100", |fact| {
                if let Fact::ElementTypeListed { elements, .. } = fact {
                    elements.filter = Some(quantity("P100"));
                }
            });
            let fact = half_by(protocol);
            let site = plant.entries[0].site.clone();
            let before = against_fit_test(&folded(&plant), (&site, plant.now), &fact);
            assert_eq!(before.iter().any(|f| f.rule.id == rule), against, "{protocol}");
            plant.add("measured", "2026-04-03T08:00", fact);
            let due = told(&plant, &About::Wearer(ada())).contains(&rule);
            assert_eq!(due, against, "{protocol} {approved:?}");
            // A model that names no elements is a caution at the wear.
            let worn = said(&plant, rule);
            assert_eq!(worn == Some(Severity::Stop), against, "{protocol} {approved:?}");
        }
    }

    fn half_with(protocol: &str, made: AgentsMade) -> Fact {
        let mut fact = half_by(protocol);
        if let Fact::FitMeasured { record, .. } = &mut fact {
            record.made = made;
        }
        fact
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.2(a)(3) and (5), B.3(a)(14), B.4(a)(14); the site lies in
    // Madrid, two hours ahead in summer.
    #[test]
    fn a_test_with_what_was_past_its_time_stops_and_one_that_does_not_say_is_a_caution() {
        let rule = "fit.agent-fresh";
        let at = |when: &str| Some(when.parse().unwrap());
        let odour = |stock: &str, odour: &str| AgentsMade {
            stock: at(stock),
            odour: at(odour),
            nebuliser: None,
        };
        let filled = |when: &str| AgentsMade { nebuliser: at(when), ..AgentsMade::default() };
        let (stop, caution) = (Some(Severity::Stop), Some(Severity::Caution));
        let none = AgentsMade::default();
        for (protocol, made, expected) in [
            ("QLFT-IAA", odour("2026-04-01T08:00:00Z", "2026-04-03T05:00:00Z"), None),
            ("QLFT-IAA", odour("2026-03-20T08:00:00Z", "2026-04-03T05:00:00Z"), stop),
            ("QLFT-IAA", odour("2026-04-01T08:00:00Z", "2026-04-02T15:00:00Z"), stop),
            ("QLFT-IAA", none, caution),
            ("QLFT-SAC", filled("2026-04-03T05:00:00Z"), None),
            ("QLFT-SAC", filled("2026-04-02T15:00:00Z"), stop),
            ("QLFT-BIT", filled("2026-04-03T05:30:00Z"), None),
            // Filled after the test.
            ("QLFT-BIT", filled("2026-04-03T09:00:00Z"), stop),
            ("QLFT-BIT", none, caution),
            ("QLFT-SMOKE", none, None),
            ("QNFT-CNC", none, None),
        ] {
            let mut plant = Plant::good();
            let fact = half_with(protocol, made);
            let site = plant.entries[0].site.clone();
            let then = "2026-04-03T06:00:00Z".parse().unwrap();
            let before = against_fit_test(&folded(&plant), (&site, then), &fact);
            let before = before.iter().find(|found| found.rule.id == rule);
            assert_eq!(before.map(|found| found.severity), expected, "{protocol} {made:?}");
            plant.add("measured", "2026-04-03T08:00", fact);
            assert_eq!(said(&plant, rule), expected, "{protocol} {made:?}");
            let due = told(&plant, &About::Wearer(ada())).contains(&rule);
            assert_eq!(due, expected == stop, "{protocol} {made:?}");
        }
    }

    // Source: 29 CFR 1910.134 App. A Part I.B.2(a)(3) and (5), B.3(a)(14); by hand from the calendar.
    #[test]
    fn a_solution_past_its_time_is_due_until_it_is_made_anew_or_thrown_away() {
        let bottle = StockId::new("bottle-1");
        for (agent, first_day) in [
            (FitAgent::StockSolution, "2026-04-09"),
            (FitAgent::OdourSolution, "2026-04-02"),
            (FitAgent::SaccharinNebuliser, "2026-04-02"),
            (FitAgent::BitterNebuliser, "2026-04-02"),
        ] {
            let mut plant = Plant::good();
            let made = || Fact::FitAgentPrepared { stock: bottle.clone(), agent };
            plant.add("made", "2026-04-01T08:00", made());
            let found = |plant: &Plant| {
                let all = due(&folded(plant), plant.now).into_iter();
                let own = all.filter(|due| due.about == About::Stock(bottle.clone()));
                own.map(|due| (due.finding.rule.id, due.since.map(|day| day.to_string())))
                    .collect::<Vec<_>>()
            };
            assert_eq!(found(&plant), [("fit-test.agent-renewed", Some(first_day.to_owned()))]);
            let mut again = plant.clone();
            again.add("again", "2026-05-04T08:00", made());
            let soon = found(&again);
            assert!(
                soon.iter().all(|(_, since)| since.as_deref() > Some("2026-05-04")),
                "{soon:?}"
            );
            let left = Fact::StockCounted { stock: bottle.clone(), count: 0 };
            plant.add("emptied", "2026-05-04T08:00", left);
            assert_eq!(found(&plant), []);
        }
    }

    // Source: 29 CFR 1910.134 App. A Part I.A.14(b).
    #[test]
    fn an_adjustment_during_the_test_voids_it_and_says_why() {
        for (adjusted, comfortable, passed) in [
            (Some(false), Some(true), true),
            (None, None, true),
            (Some(true), Some(true), false),
            (Some(false), Some(false), false),
        ] {
            let mut plant = Plant::good();
            let mut fact = half_by("QNFT-CNC");
            if let Fact::FitMeasured { record, .. } = &mut fact {
                (record.adjusted, record.comfortable) = (adjusted, comfortable);
            }
            plant.add("measured", "2026-04-03T08:00", fact);
            let found = stops(&plant);
            assert_eq!(!found.contains(&"fit.passed"), passed, "{adjusted:?} {found:?}");
            let state = folded(&plant);
            let note = &state.wearer(&ada()).unwrap().latest_fit_test.as_ref().unwrap().seal_note;
            assert_eq!(note.is_empty(), passed, "{note}");
        }
    }

    #[test]
    fn a_negative_pressure_mask_is_asked_nothing_of_this() {
        let mut plant = Plant::good();
        let state = folded(&plant);
        let source = state.model(&ModelId::new("half")).unwrap().device.air_source;
        assert_eq!(source, AirSource::AirPurifying);
        plant.edit("fit", |fact| *fact = fit_test("half", FitMethod::Qualitative, true));
        assert_eq!(said(&plant, WITHOUT_AIR), None);
    }
}
