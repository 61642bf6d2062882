//! Elements that were worn on another set, and blowers that move more air than they must.

#[cfg(test)]
mod support;

#[cfg(test)]
mod moved {
    use program::{
        BedSpec, ElementTypeId, Fact, ModelId, State, TaskId, UnitId, Verdict, may_wear,
    };
    use rulebook::Decision;

    use crate::support::plant::{
        Plant, ada, bo, elements, fit_test, minutes, paint, quantity, reading_of, unit,
    };

    fn other() -> UnitId {
        UnitId::new("u2")
    }

    /// A fact of u1 told of u2.
    fn on_other(mut fact: Fact) -> Fact {
        match &mut fact {
            Fact::ElementsFitted { unit, .. } | Fact::UnitReceived { unit, .. } => *unit = other(),
            _ => unreachable!("a fact of another kind"),
        }
        fact
    }

    /// Elements opened on u2 and worn there for `worn` min until 9 o'clock, and a second half mask beside u1.
    fn two_sets(model: &str, worn: f64) -> Plant {
        let mut plant = Plant::good();
        plant.remove("fitted");
        plant.remove("inspected");
        let received = Fact::UnitReceived {
            unit: other(),
            model: ModelId::new(model),
            size: "M".into(),
            serial: "s2".into(),
            shared: false,
            emergency: false,
        };
        plant.add("received-2", "2026-01-12T08:00", received);
        plant.add("fitted-2", "2026-05-04T00:10", on_other(elements("ov", "2026-05-04T00:05")));
        let (wearer, task, time) = (bo(), paint(), minutes(worn));
        plant.add("worn-2", "2026-05-04T05:10", Fact::Worn { unit: other(), wearer, task, time });
        plant
    }

    /// The same elements, as this opening tells, on u1 at 9 o'clock.
    fn moved(opened: &str, off: bool) -> Plant {
        let mut plant = two_sets("half", 300.0);
        if off {
            let why = "strap broke".to_owned();
            plant.add("off", "2026-05-04T08:55", Fact::ElementsDiscarded { unit: other(), why });
        }
        plant.add("fitted", "2026-05-04T09:00", elements("ov", opened));
        plant.inspect("inspected", "2026-05-04T09:30");
        plant
    }

    fn asked(mut plant: Plant, planned: f64) -> Verdict {
        plant.ask.planned_wear = Some(minutes(planned));
        plant.verdict()
    }

    fn says<'v>(verdict: &'v Verdict, rule: &str) -> Option<&'v rulebook::Finding> {
        verdict.findings.iter().find(|finding| finding.rule.id == rule)
    }

    const ELSEWHERE: &str = "service-life.worn-elsewhere";

    // The schedule of the plant is 480 min.
    #[test]
    fn wear_on_another_set_counts_where_its_elements_were_moved() {
        for opened in ["2026-05-04T00:05", "2026-05-04T00:06", "2026-05-04T00:50"] {
            let stopped = asked(moved(opened, true), 200.0);
            assert!(says(&stopped, "elements.within-schedule").is_some(), "{:?}", stopped.findings);
            let told = says(&stopped, ELSEWHERE).unwrap();
            assert!(told.text().contains("300 min on `u2`"), "{}", told.text());
            assert!(told.evidence.iter().any(|id| id == "worn-2"));
            assert!(says(&asked(moved(opened, true), 150.0), "elements.within-schedule").is_none());
        }
    }

    #[test]
    fn new_elements_of_the_same_lot_are_new() {
        for (opened, off) in [
            // Opened as they were fitted, or a little before.
            ("2026-05-04T09:00", true),
            ("2026-05-04T08:58", true),
            // Opened long after those on the other set.
            ("2026-05-04T08:30", true),
        ] {
            let verdict = asked(moved(opened, off), 400.0);
            assert!(says(&verdict, ELSEWHERE).is_none(), "{opened}: {:?}", verdict.findings);
            assert_eq!(verdict.decision, Decision::Allowed, "{opened}: {:?}", verdict.findings);
        }
    }

    /// The same as `moved`, and other elements fitted to the first set at that time.
    fn fitted_anew(opened: &str, when: &str) -> Plant {
        let mut plant = moved(opened, false);
        plant.add("anew-2", when, on_other(elements("ov", when)));
        plant
    }

    // A lot is written off the box by one person and by another.
    #[test]
    fn a_lot_that_is_written_with_other_signs_is_the_same_lot() {
        for (there, here) in [("L-41", "l41"), ("L 41", "L-41"), ("l/41", " L41")] {
            let mut plant = moved("2026-05-04T00:05", true);
            for (id, told) in [("fitted-2", there), ("fitted", here)] {
                plant.edit(id, |fact| {
                    if let Fact::ElementsFitted { lot, .. } = fact {
                        *lot = told.into();
                    }
                });
            }
            let stopped = asked(plant, 200.0);
            let within = says(&stopped, "elements.within-schedule");
            assert!(within.is_some(), "{there} {here}: {:?}", stopped.findings);
        }
    }

    #[test]
    fn wear_counts_whenever_the_other_set_got_its_next_elements() {
        for when in ["2026-05-04T08:40", "2026-05-04T09:00", "2026-05-04T09:14", "2026-05-04T09:50"]
        {
            for opened in ["2026-05-04T00:05", "2026-05-04T00:50"] {
                let stopped = asked(fitted_anew(opened, when), 200.0);
                let within = says(&stopped, "elements.within-schedule");
                assert!(within.is_some(), "{when}: {:?}", stopped.findings);
                assert!(says(&stopped, ELSEWHERE).unwrap().text().contains("300 min on `u2`"));
                let fits = asked(fitted_anew(opened, when), 150.0);
                assert!(says(&fits, "elements.within-schedule").is_none(), "{when}");
            }
            // Of a pack that was opened more than an hour later.
            let verdict = asked(fitted_anew("2026-05-04T01:06", when), 400.0);
            assert_eq!(verdict.decision, Decision::Allowed, "{when}: {:?}", verdict.findings);
            let mut another = fitted_anew("2026-05-04T00:05", when);
            another.edit("fitted", |fact| {
                if let Fact::ElementsFitted { lot, .. } = fact {
                    *lot = "another".into();
                }
            });
            let verdict = asked(another, 400.0);
            assert!(says(&verdict, ELSEWHERE).is_none(), "{when}: {:?}", verdict.findings);
            assert!(says(&verdict, "elements.within-schedule").is_none());
        }
        // Thrown away there later.
        let mut plant = moved("2026-05-04T00:05", false);
        let why = "full".to_owned();
        plant.add("off", "2026-05-04T09:40", Fact::ElementsDiscarded { unit: other(), why });
        assert!(says(&asked(plant, 200.0), "elements.within-schedule").is_some());
    }

    #[test]
    fn what_was_sensed_there_counts_up_to_the_fitting_here() {
        let (early, late) = ("2026-05-04T08:00", "2026-05-04T09:30");
        for (times, spent) in [(vec![early], true), (vec![late], false), (vec![early, late], true)]
        {
            let mut plant = fitted_anew("2026-05-04T00:05", "2026-05-04T09:50");
            let (wearer, task) = (bo(), paint());
            let sign = program::SeriousSign::Smell;
            let sensed = Fact::BreakthroughSensed { unit: other(), wearer, task, sign };
            for when in &times {
                plant.add(when, when, sensed.clone());
            }
            let verdict = asked(plant, 1.0);
            let within = says(&verdict, "elements.within-schedule");
            assert_eq!(within.is_some(), spent, "{times:?}: {:?}", verdict.findings);
        }
    }

    #[test]
    fn those_on_their_set_still_count_where_they_were_opened_at_the_same_instant() {
        let verdict = asked(moved("2026-05-04T00:05", false), 200.0);
        assert!(says(&verdict, "elements.within-schedule").is_some(), "{:?}", verdict.findings);
        let told = says(&verdict, ELSEWHERE).unwrap().text();
        assert!(told.contains("on it still, but opened at the same instant"), "{told}");
    }

    #[test]
    fn others_of_a_pack_that_are_on_their_set_still_are_told_and_not_counted() {
        let verdict = asked(moved("2026-05-04T00:06", false), 400.0);
        assert!(says(&verdict, ELSEWHERE).unwrap().text().contains("on it still"));
        assert!(says(&verdict, "elements.within-schedule").is_none(), "{:?}", verdict.findings);
    }

    #[test]
    fn what_was_sensed_through_moved_elements_leaves_nothing() {
        let mut plant = moved("2026-05-04T00:05", true);
        let (wearer, task) = (bo(), paint());
        let sign = program::SeriousSign::Smell;
        let sensed = Fact::BreakthroughSensed { unit: other(), wearer, task, sign };
        plant.add("sensed", "2026-05-04T05:20", sensed);
        let verdict = asked(plant, 1.0);
        assert!(says(&verdict, "elements.within-schedule").is_some(), "{:?}", verdict.findings);
    }

    #[test]
    fn an_opening_that_differs_by_a_minute_renews_nothing_on_its_own_set() {
        for (between, opened) in [(false, "06:56"), (true, "06:56"), (true, "06:55")] {
            let mut plant = Plant::good();
            plant.worn("worn", "2026-05-04T07:40", (ada(), paint(), 300.0));
            if between {
                // Others were on it meanwhile.
                plant.add("between", "2026-05-04T07:50", elements("p100", "2026-05-04T07:50"));
            }
            let opened = format!("2026-05-04T{opened}");
            plant.add("again", "2026-05-04T09:00", elements("ov", &opened));
            plant.inspect("looked", "2026-05-04T09:30");
            let verdict = asked(plant, 200.0);
            assert!(says(&verdict, "elements.within-schedule").is_some(), "{:?}", verdict.findings);
        }
    }

    /// Toluene on a bed, in a helmet with a blower that was found to give so much.
    fn powered(flows: &[(&str, &str)]) -> Plant {
        let mut plant = Plant::good();
        plant.of_model("powered");
        plant.edit("reading-paint", |fact| *fact = reading_of("108-88-3", &paint(), "275 ppm"));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { bed, .. } = fact {
                *bed = Some(BedSpec {
                    sorbent_mass: quantity("100 g"),
                    bed_area: quantity("100 cm2"),
                    bulk_density: quantity("0.44 g/cm3"),
                    granule: quantity("0.11 cm"),
                    micropore_volume: quantity("0.454 cm3/g"),
                    reference_energy: None,
                    calibrated: None,
                });
            }
        });
        for (when, flow) in flows {
            let flow = Fact::PoweredFlowChecked {
                unit: unit(),
                flow: quantity(flow),
                least: quantity("170 L/min"),
            };
            plant.add(when, when, flow);
        }
        plant
    }

    /// Minutes that the schedule allows on u1.
    fn allowed(plant: &Plant) -> f64 {
        let state = State::from_entries(&plant.entries);
        let schedule = program::schedule::for_task(
            &state,
            &TaskId::new("paint"),
            &ElementTypeId::new("ov"),
            &state.model(&ModelId::new("powered")).unwrap().device.clone(),
            plant.now,
        );
        let least = schedule.unwrap().schedule.max_wear.as_min();
        // The longest wear that is not past the schedule.
        let fits = |planned: &f64| {
            let mut asked = plant.ask.clone();
            asked.planned_wear = Some(minutes(*planned));
            let verdict = may_wear(&state, &asked, plant.now);
            says(&verdict, "elements.within-schedule").is_none()
        };
        (1..=720).map(f64::from).take_while(fits).last().unwrap_or(0.0).min(least)
    }

    #[test]
    fn the_greatest_flow_measured_since_the_elements_were_fitted_counts() {
        let floor = allowed(&powered(&[("2026-05-04T07:50", "170 L/min")]));
        let strong = allowed(&powered(&[("2026-05-04T07:50", "300 L/min")]));
        // A life goes down faster than the flow goes up.
        assert!(0.0 < strong && strong <= floor * 170.0 / 300.0, "{strong} of {floor}");
        // The battery runs down: what the elements took up before stays.
        let spent =
            powered(&[("2026-05-04T07:40", "300 L/min"), ("2026-05-04T07:50", "180 L/min")]);
        assert_eq!(allowed(&spent).to_bits(), strong.to_bits());
        // Before the change it was another set of elements.
        let before =
            powered(&[("2026-05-04T06:40", "300 L/min"), ("2026-05-04T07:50", "170 L/min")]);
        assert_eq!(allowed(&before).to_bits(), floor.to_bits());
    }

    #[test]
    fn elements_from_a_blower_are_judged_by_its_flow_on_a_mask_without_one() {
        let mut plant = powered(&[]);
        plant.edit("received", |fact| {
            if let Fact::UnitReceived { model, .. } = fact {
                *model = ModelId::new("half");
            }
        });
        plant.edit("fit", |fact| {
            let method = program::FitMethod::Quantitative { fit_factor: 2000.0 };
            *fact = fit_test("half", method, true);
        });
        let with = |from: &str| {
            let mut plant = plant.clone();
            plant.remove("fitted");
            plant.entries.extend(
                two_sets(from, 10.0).entries.into_iter().filter(|e| e.id.as_str().ends_with("-2")),
            );
            let why = "moved".to_owned();
            plant.add("off", "2026-05-04T06:50", Fact::ElementsDiscarded { unit: other(), why });
            plant.add("fitted", "2026-05-04T07:00", elements("ov", "2026-05-04T00:05"));
            let state = State::from_entries(&plant.entries);
            let most = |planned: &f64| {
                let mut asked = plant.ask.clone();
                asked.planned_wear = Some(minutes(*planned));
                says(&may_wear(&state, &asked, plant.now), "elements.within-schedule").is_none()
            };
            (1..=720).step_by(7).map(f64::from).take_while(most).last().unwrap_or(0.0)
        };
        let (breathed, blown) = (with("half"), with("powered"));
        assert!(blown < breathed / 2.0, "{blown} of {breathed}");
    }
}
