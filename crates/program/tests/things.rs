//! Folding the facts of a year into things: boxes, cylinders, supplies, people with a part in the
//! program, exposure groups, fit tests as measured.

#[cfg(test)]
mod support;

#[cfg(test)]
mod things {
    use jiff::civil::date;
    use program::due::{About, due};
    use program::{
        CylinderId, Fact, FitExercise, FitRecord, Gas, GroupId, ModelId, PersonId, PointFound,
        PointResult, Role, State, StockId, StockItem, TrainingTopic, UnitId,
    };
    use rulebook::fit_test::Mask;
    use rulebook::wearer::FitGave;
    use rulebook::{Decision, Finding, Level, Severity};

    use crate::support::air::{
        airline, filled, listed, looked_over, mounted, sampled, self_contained, supply,
    };
    use crate::support::plant::{Plant, ada, bo, elements, minutes, paint, quantity, unit, until};
    use crate::support::stops;

    fn folded(plant: &Plant) -> State {
        State::from_entries(&plant.entries)
    }

    fn exposure(level: &str, detected: bool) -> Fact {
        Fact::ExposureMeasured {
            group: GroupId::new("painters"),
            cas: "108-88-3".parse().unwrap(),
            level: quantity(level),
            detected,
            sampled: minutes(480.0),
            method: "sorbent tube".to_owned(),
        }
    }

    fn group() -> Fact {
        let tasks = vec![paint()];
        let group = GroupId::new("painters");
        Fact::ExposureGroupDescribed { group, name: "painters".to_owned(), tasks }
    }

    fn toluene(state: &State, plant: &Plant) -> Option<f64> {
        let place = state.place_at(&paint(), plant.now).unwrap();
        let cas = "108-88-3".parse().unwrap();
        let found = place.contaminants.iter().find(|one| one.substance.cas() == cas)?;
        match found.level {
            Level::Known(level) => Some(level.number()),
            Level::Unknown => None,
        }
    }

    #[test]
    fn the_statistics_of_a_group_raise_the_level_of_its_tasks_and_never_lower_it() {
        let mut plant = Plant::good();
        let before = toluene(&folded(&plant), &plant).unwrap();
        plant.add("g", "2026-03-01T08:00", group());
        for (n, level) in
            ["1 ppm", "1.2 ppm", "0.8 ppm", "1 ppm", "1.1 ppm", "0.9 ppm"].into_iter().enumerate()
        {
            plant.add(&format!("low{n}"), "2026-03-02T08:00", exposure(level, true));
        }
        assert_eq!(toluene(&folded(&plant), &plant), Some(before));
        plant.add("high", "2026-03-03T08:00", exposure("900 ppm", true));
        let after = toluene(&folded(&plant), &plant).unwrap();
        // Seven readings: the upper limit of the 95th percentile lies above the highest of them.
        assert!(900.0 < after, "{after}");
    }

    #[test]
    fn what_only_the_group_was_measured_for_is_in_the_air_of_the_task() {
        let mut plant = Plant::good();
        plant.add("g", "2026-03-01T08:00", group());
        let Fact::ExposureMeasured { group, level, detected, sampled, method, .. } =
            exposure("12 ppm", true)
        else {
            unreachable!()
        };
        let cas = "67-64-1".parse().unwrap();
        let acetone = Fact::ExposureMeasured { group, cas, level, detected, sampled, method };
        plant.add("acetone", "2026-03-02T08:00", acetone);
        let place = folded(&plant).place_at(&paint(), plant.now).unwrap();
        let found = place.contaminants.iter().find(|one| one.substance.cas() == cas).unwrap();
        assert!(matches!(found.level, Level::Known(level) if level.number() == 12.0));
    }

    #[test]
    fn who_left_the_program_may_not_wear_until_enrolled_again() {
        let mut plant = Plant::good();
        assert_eq!(plant.verdict().decision, Decision::Allowed);
        let left = Fact::WearerLeft { wearer: ada(), why: "moved on".to_owned() };
        plant.add("left", "2026-04-01T08:00", left);
        assert_eq!(stops(&plant), ["wearer.known"]);
        let again = Fact::WearerEnrolled { wearer: ada(), name: "Ada".to_owned() };
        plant.add("again", "2026-04-02T08:00", again);
        assert_eq!(plant.verdict().decision, Decision::Allowed);
    }

    // Clearance, fit and training of one person are those of no other: 29 CFR 1910.134(e)(1), (f)(1), (k)(3).
    #[test]
    fn an_id_that_two_people_were_enrolled_with_shows_nothing_of_either() {
        let mut plant = Plant::good();
        let enrolled = |name: &str| Fact::WearerEnrolled { wearer: ada(), name: name.to_owned() };
        plant.add("again", "2026-04-02T08:00", enrolled(" ada"));
        assert_eq!(plant.verdict().decision, Decision::Allowed);
        let left = Fact::WearerLeft { wearer: ada(), why: "moved on".to_owned() };
        plant.add("left", "2026-04-01T08:00", left);
        plant.add("other", "2026-04-03T08:00", enrolled("Wren Ouzel"));
        assert_eq!(stops(&plant), ["records.agree"]);
        let doubts = folded(&plant).contradictions_of(&program::Subject::Wearer(ada()));
        assert!(doubts.iter().any(|doubt| doubt.words.contains("Wren Ouzel")), "{doubts:?}");
        // One who took another name has the enrolments corrected.
        for (id, of) in [("name-0", "again"), ("name-1", "enrolled-ada")] {
            plant.add_correction(id, "2026-04-02T08:00", Some(of), enrolled("Wren Ouzel"));
        }
        assert!(!stops(&plant).contains(&"records.agree"), "{:?}", stops(&plant));
    }

    fn measured(in_mask: f64, exercises: u8) -> Fact {
        let exercise = |number| FitExercise {
            number,
            ambient_before: Some(2000.0),
            in_mask: Some(in_mask),
            ambient_after: Some(2000.0),
            ..FitExercise::default()
        };
        Fact::FitMeasured {
            wearer: ada(),
            model: ModelId::new("half"),
            size: "M".to_owned(),
            tester: PersonId::new("tess"),
            record: FitRecord {
                protocol: "QNFT-CNC".to_owned(),
                facepiece: Mask::HalfMask,
                screening_passed: None,
                agent_proved: None,
                made: program::AgentsMade::default(),
                adjusted: None,
                comfortable: None,
                exercises: (1..=exercises).filter(|n| *n != 6).map(exercise).collect(),
            },
            hair_in_seal: false,
            seal_note: String::new(),
            tested_as: None,
            unit: None,
            restored: None,
            instrument: None,
        }
    }

    // Source of the arithmetic: fit factor = outside over inside; equal exercises give their own
    // value as the harmonic mean (29 CFR 1910.134 App. A Part I.C.3).
    #[test]
    fn a_fit_test_as_measured_is_judged_by_its_protocol() {
        let judged = |fact| {
            let mut plant = Plant::good();
            plant.add("fit2", "2026-04-01T08:00", fact);
            let state = folded(&plant);
            let test = state.wearer(&ada()).unwrap().latest_fit_test.clone().unwrap();
            (test.passed, test.gave, test.missing)
        };
        let (passed, gave, _) = judged(measured(10.0, 8));
        let FitGave::Factor(fit_factor) = gave else { panic!("{gave:?}") };
        assert!(passed && (fit_factor - 200.0).abs() < 1e-9, "{fit_factor}");
        assert!(!judged(measured(40.0, 8)).0, "a factor of 50 is below the mark of 100");
        let (passed, gave, missing) = judged(measured(10.0, 5));
        assert_eq!((passed, gave), (false, FitGave::NoFactor));
        assert!(
            missing.starts_with("7 (bending over") && missing.ends_with("8 (normal breathing)")
        );
        assert!(!judged(measured(-1.0, 8)).0, "a count below zero is none");
    }

    #[test]
    fn an_unfinished_fit_test_names_its_missing_exercises_and_no_factor() {
        let mut plant = Plant::good();
        plant.add("fit2", "2026-04-01T08:00", measured(10.0, 4));
        let verdict = plant.verdict();
        let stops = verdict.findings.iter().filter(|f| f.severity == Severity::Stop);
        let of_fit = stops.filter(|f| f.rule.id.starts_with("fit."));
        let said: Vec<String> = of_fit.map(Finding::text).collect();
        assert_eq!(said.len(), 1, "{said:?}");
        assert!(said[0].contains("5 (talking aloud)") && !said[0].contains("factor"), "{said:?}");
    }

    #[test]
    fn a_fit_measured_in_air_that_moved_is_said_and_stops_nothing() {
        let cautions = |outside: [f64; 2]| {
            let mut plant = Plant::good();
            let mut fact = measured(10.0, 8);
            if let Fact::FitMeasured { record, .. } = &mut fact {
                for (done, count) in record.exercises.iter_mut().zip(outside.into_iter().cycle()) {
                    (done.ambient_before, done.ambient_after) = (Some(count), Some(count));
                }
            }
            let shown = Fact::RoleGiven {
                person: PersonId::new("tess"),
                name: "Tess".to_owned(),
                role: Role::FitTester,
                shown: "course".to_owned(),
                until: None,
            };
            plant.add("tester", "2026-01-05T08:00", shown);
            plant.add("fit2", "2026-04-01T08:00", fact);
            let verdict = plant.verdict();
            assert_eq!(verdict.decision, Decision::Allowed);
            let said = verdict.findings.into_iter().filter(|f| f.rule.id == "fit.steady");
            said.map(|finding| finding.text()).collect::<Vec<_>>()
        };
        assert!(cautions([2000.0, 2100.0]).is_empty());
        let said = cautions([2000.0, 9000.0]);
        assert!(
            said[0].ends_with(
                "lay between 2000 and 9000 during the test, more than a factor of two apart"
            ),
            "{said:?}"
        );
    }

    #[test]
    fn a_facepiece_taken_from_its_box_is_kept_by_one_wearer_and_leaves_one_less() {
        let mut plant = Plant::good();
        let stock = StockId::new("box-1");
        let item = StockItem::Facepieces { model: ModelId::new("n95"), size: "M".to_owned() };
        let received = Fact::StockReceived {
            stock: stock.clone(),
            item,
            lot: "L7".to_owned(),
            count: 20,
            shelf_life_until: Some(date(2028, 1, 31)),
        };
        plant.add("box", "2026-03-01T08:00", received);
        let taken = Fact::FacepieceTaken {
            unit: UnitId::new("ff-1"),
            stock: stock.clone(),
            model: ModelId::new("n95"),
            size: "M".to_owned(),
            wearer: bo(),
        };
        plant.add("taken", "2026-03-02T08:00", taken);
        let state = folded(&plant);
        assert_eq!(state.stock(&stock).unwrap().left, 19);
        let piece = state.unit(&UnitId::new("ff-1")).unwrap();
        assert!(piece.holders.contains_key(&bo()) && !piece.shared);
        assert_eq!(piece.taken_from, Some(stock));
    }

    #[test]
    fn a_facepiece_is_its_own_filter_and_has_the_last_day_of_its_box() {
        let plant = |last_day| {
            let mut plant = Plant::good();
            plant.take_from_a_box("M", last_day);
            plant
        };
        // Nothing was fitted: the filter stands in the listing of the model, the day on the box.
        let mut good = plant(Some("2026-05-04"));
        assert!(stops(&good).contains(&"elements.fitted"), "{:?}", stops(&good));
        good.approve("dust-mask", &["p100"]);
        assert_eq!(stops(&good), [""; 0]);
        let mut endless = plant(None);
        endless.approve("dust-mask", &["p100"]);
        assert_eq!(stops(&endless), [""; 0]);

        let mut old = plant(Some("2026-05-03"));
        old.approve("dust-mask", &["p100"]);
        assert_eq!(stops(&old), ["elements.shelf-life"]);
        // Whether its filter is named or not.
        let mut unnamed = old.clone();
        unnamed.approve("dust-mask", &[]);
        assert!(stops(&unnamed).contains(&"elements.shelf-life"), "{:?}", stops(&unnamed));
        let due = program::due::due(&folded(&unnamed), old.now);
        let of_mask = |due: &program::due::Due| {
            due.about == program::due::About::Unit(unit())
                && due.finding.rule.id == "elements.shelf-life"
        };
        assert!(due.iter().any(of_mask), "{due:?}");
        // Another day recorded for it renews nothing, not even by choice.
        old.add("renewed", "2026-05-04T07:10", elements("p100", "2026-05-04T07:05"));
        old.inspect("inspected-again", "2026-05-04T07:40");
        assert_eq!(stops(&old), ["elements.shelf-life"]);
        old.edit_spec(|spec| spec.voluntary = true);
        old.edit("reading-paint", |fact| {
            if let Fact::ReadingTaken { concentration, .. } = fact {
                *concentration = Some(quantity("1 mg/m3"));
            }
        });
        let told = Fact::VoluntaryInformationGiven { wearer: ada() };
        old.add("told", "2026-03-12T08:00", told);
        assert_eq!(stops(&old), ["elements.shelf-life"]);
    }

    #[test]
    fn the_wear_of_a_facepiece_is_all_its_wear() {
        let mut plant = Plant::good();
        plant.take_from_a_box("M", Some("2028-01-31"));
        plant.approve("dust-mask", &["p100"]);
        plant.worn("worn", "2026-05-04T07:05", (ada(), plant.ask.task.clone(), 400.0));
        assert_eq!(stops(&plant), ["elements.within-schedule"]);
        plant.add("renewed", "2026-05-04T07:10", elements("p100", "2026-05-04T07:05"));
        assert_eq!(stops(&plant), ["elements.within-schedule"]);
    }

    #[test]
    fn a_facepiece_take_from_a_box_of_another_size_is_a_contradiction() {
        let mut plant = Plant::good();
        plant.take_from_a_box("L", Some("2028-01-31"));
        plant.approve("dust-mask", &["p100"]);
        assert_eq!(stops(&plant), ["records.agree"]);
        let words: Vec<String> =
            folded(&plant).contradictions().into_iter().map(|one| one.words).collect();
        assert!(words[0].contains("cannot come from the box `box-1`"), "{words:?}");
    }

    #[test]
    fn a_facepiece_without_a_last_day_is_a_caution() {
        let mut plant = Plant::good();
        plant.take_from_a_box("M", Some("2028-01-31"));
        plant.approve("dust-mask", &["p100"]);
        plant.remove("box");
        let verdict = plant.verdict();
        let said = verdict.findings.iter().find(|one| one.rule.id == "facepiece.use-by-known");
        assert_eq!(said.unwrap().severity, rulebook::Severity::Caution);
    }

    #[test]
    fn one_lot_with_two_last_days_is_a_contradiction_that_the_earlier_day_settles() {
        let mut plant = Plant::good();
        plant.shelf_life("2026-05-03");
        plant.add("fitted-anew", "2026-05-04T07:20", elements("ov", "2026-05-04T07:19"));
        let state = folded(&plant);
        let all = state.contradictions();
        assert!(!all[0].unsettled && all[0].words.contains("the earlier day counts"), "{all:?}");
    }

    #[test]
    fn who_has_a_part_in_the_program_need_not_wear_to_be_trained() {
        let mut plant = Plant::good();
        let rhea = PersonId::new("rhea");
        let topic = TrainingTopic::Repair;
        let trained = Fact::Trained { wearer: rhea.clone(), topic, understood: true };
        plant.add("trained", "2026-03-01T08:00", trained);
        let unknown = |plant: &Plant| {
            folded(plant).contradictions().iter().any(|one| one.words.contains("`rhea`"))
        };
        assert!(unknown(&plant));
        let given = Fact::RoleGiven {
            person: rhea.clone(),
            name: "Rhea".to_owned(),
            role: Role::Repairer,
            shown: "course of the maker".to_owned(),
            until: None,
        };
        plant.add("role", "2026-03-02T08:00", given);
        assert!(!unknown(&plant));
        let state = folded(&plant);
        let person = state.person(&rhea).unwrap();
        assert!(person.parts().any(|held| held.role == Role::Repairer));
        assert!(person.training.contains_key(&TrainingTopic::Repair));
    }

    #[test]
    fn one_failed_point_fails_an_inspection_and_a_list_without_points_shows_nothing() {
        let inspected = |points: Vec<PointFound>| {
            let mut plant = Plant::good();
            let occasion = program::InspectionOccasion::BeforeUse;
            let fact = Fact::InspectedByPoints {
                unit: unit(),
                occasion,
                points,
                signed: "A. Maker".to_owned(),
                remedy: String::new(),
                serial: "S1".to_owned(),
            };
            plant.add("points", "2026-05-04T09:45", fact);
            let state = folded(&plant);
            let inspection = state.unit(&unit()).unwrap().inspected.clone().unwrap();
            (inspection.passed, inspection.found)
        };
        let point = |id: &str, result| PointFound {
            point: id.to_owned(),
            result,
            note: "torn".to_owned(),
            picture: None,
        };
        let (pass, fail) = (point("straps", PointResult::Pass), point("valves", PointResult::Fail));
        assert_eq!(inspected(vec![pass.clone()]), (true, String::new()));
        assert_eq!(inspected(vec![pass, fail]), (false, "valves: torn".to_owned()));
        assert!(!inspected(Vec::new()).0);
    }

    #[test]
    fn an_inspection_by_points_counts_when_every_point_was_looked_at() {
        let with = |leave_out: usize| {
            let mut plant = Plant::good();
            let state = folded(&plant);
            let device = state.model(&ModelId::new("half")).unwrap().device.clone();
            let occasion = rulebook::checklist::Occasion::BeforeUse;
            let all = rulebook::checklist::points(&device, false, occasion);
            assert!(5 < all.len(), "{}", all.len());
            let found = all.iter().skip(leave_out).map(|point| PointFound {
                point: point.id.clone(),
                result: PointResult::Pass,
                note: String::new(),
                picture: None,
            });
            let fact = Fact::InspectedByPoints {
                unit: unit(),
                occasion: program::InspectionOccasion::BeforeUse,
                points: found.collect(),
                signed: "Ada".to_owned(),
                remedy: String::new(),
                serial: "s1".to_owned(),
            };
            plant.add("points", "2026-05-04T09:45", fact);
            stops(&plant)
        };
        assert_eq!(with(0), [""; 0]);
        let stopped = with(1);
        assert!(stopped.contains(&"unit.inspection-passed"), "{stopped:?}");
        assert!(stopped.contains(&"care.out-of-service"), "{stopped:?}");
    }

    // Grade D: at most 10 ppm carbon monoxide, 29 CFR 1910.134(i)(1)(ii)(C).
    #[test]
    fn the_supply_behind_an_airline_set_is_asked_at_the_door() {
        assert_eq!(stops(&airline()), [""; 0]);
        let mut plant = airline();
        plant.add("bad", "2026-05-03T09:00", sampled("11 ppm"));
        let stopped = stops(&plant);
        for id in ["supply.air-tested", "unit.breathing-air"] {
            assert!(stopped.contains(&id), "{stopped:?}");
        }
        let mut plant = airline();
        plant.remove("alarm");
        assert!(stops(&plant).contains(&"supply.carbon-monoxide"), "{:?}", stops(&plant));
        let mut plant = airline();
        plant.remove("bed");
        assert_eq!(stops(&plant), ["supply.sorbent-tag"]);
    }

    fn monoxide(found: &str) -> Fact {
        let (supply, method) = (supply(), "direct-reading meter".to_owned());
        Fact::CarbonMonoxideTested { supply, found: quantity(found), method }
    }

    #[test]
    fn carbon_monoxide_alone_stops_a_supply_and_is_no_full_test() {
        let with = |tests: &[(&str, Fact)]| {
            let mut plant = airline();
            for (number, (when, fact)) in tests.iter().enumerate() {
                plant.add(&format!("t-{number}"), when, fact.clone());
            }
            stops(&plant)
        };
        let (first, then) = ("2026-05-03T09:00", "2026-05-03T10:00");
        assert_eq!(with(&[(first, monoxide("10 ppm"))]), [""; 0]);
        assert_eq!(with(&[(first, monoxide("11 ppm"))]), ["supply.monoxide-low"]);
        assert_eq!(with(&[(first, monoxide("11 ppm")), (then, monoxide("2 ppm"))]), [""; 0]);
        assert_eq!(with(&[(first, monoxide("11 ppm")), (then, sampled("2 ppm"))]), [""; 0]);
        // A full test that failed stays failed whatever is found of carbon monoxide alone.
        let failed = with(&[(first, sampled("11 ppm")), (then, monoxide("2 ppm"))]);
        assert!(failed.contains(&"supply.air-tested"), "{failed:?}");
        // Nor does it stand in for one that was never made.
        let mut plant = airline();
        plant.remove("sample");
        plant.add("alone", first, monoxide("2 ppm"));
        assert!(stops(&plant).contains(&"supply.air-tested"), "{:?}", stops(&plant));
        // Where no alarm watches it is the test that is asked for each month.
        let mut plant = airline();
        plant.remove("alarm");
        plant.edit("supply", |fact| {
            if let Fact::SupplyListed { high_temperature_alarm, .. } = fact {
                *high_temperature_alarm = Some(true);
            }
        });
        plant.move_to("sample", "2026-03-20T09:00");
        assert_eq!(stops(&plant), ["supply.carbon-monoxide"]);
        plant.add("alone", first, monoxide("2 ppm"));
        assert_eq!(stops(&plant), [""; 0]);
    }

    #[test]
    fn a_site_may_ask_for_more_and_never_for_less() {
        let with = |every| {
            let mut plant = Plant::good();
            let rule = "training.in-date".to_owned();
            plant.add("policy", "2026-01-02T08:00", Fact::PolicySet { rule, every });
            plant.move_to("training", "2026-03-02T08:00");
            stops(&plant)
        };
        assert_eq!(with(program::Every::Months(3)), [""; 0]);
        assert_eq!(with(program::Every::Months(2)), ["training.in-date"]);
        assert_eq!(with(program::Every::Months(24)), [""; 0], "a laxer policy changes nothing");
        let mut plant = Plant::good();
        let rule = "training.in-date".to_owned();
        let every = program::Every::Months(24);
        plant.add("policy", "2026-01-02T08:00", Fact::PolicySet { rule, every });
        plant.move_to("training", "2025-05-03T08:00");
        assert_eq!(stops(&plant), ["training.in-date"]);
    }

    fn read(rated: &str, read: &str) -> Fact {
        Fact::CylinderRead { unit: unit(), rated: quantity(rated), read: quantity(read) }
    }

    #[test]
    fn the_cylinder_that_a_set_carries_decides_and_no_other() {
        assert_eq!(stops(&self_contained()), [""; 0]);
        let with = |change: &dyn Fn(&mut Plant)| {
            let mut plant = self_contained();
            change(&mut plant);
            stops(&plant)
        };
        let full = ["unit.cylinder-full"];
        let at = "2026-05-04T09:42";
        assert_eq!(with(&|p| p.add("low", at, read("300 bar", "260 bar"))), full);
        // A rating typed lower makes no little air a full cylinder.
        assert_eq!(with(&|p| p.add("low", at, read("10 bar", "10 bar"))), full);
        // What is above its rating is let down and never filled; what fills it anew was not tested.
        let over = |bar: &str| with(&|p: &mut Plant| p.add("over", at, read("300 bar", bar)));
        for bar in ["302 bar", "315 bar"] {
            assert_eq!(over(bar), [""; 0], "{bar}");
        }
        for bar in ["316 bar", "330 bar", "900 bar"] {
            assert_eq!(over(bar), ["unit.cylinder-overfilled"], "{bar}");
        }
        let anew = with(&|p| p.add("anew", at, filled("295 bar", None)));
        assert_eq!(anew, ["unit.breathing-air"]);
        // It went on to another set, and came back after it was breathed from there.
        let away = with(&|p| p.add("away", at, mounted("u2")));
        assert_eq!(away, ["unit.cylinder-known", "unit.cylinder-full"]);
        let back = with(&|p| {
            p.add("away", "2026-05-03T10:00", mounted("u2"));
            p.add("back", "2026-05-03T11:00", mounted("u1"));
        });
        // Its air was tested on this set since it was filled.
        assert_eq!(back, ["unit.cylinder-full"]);
        let withdrawn = |p: &mut Plant| {
            let (cylinder, why) = (CylinderId::new("c1"), "dented".to_owned());
            p.add("w", at, Fact::CylinderWithdrawn { cylinder, why });
        };
        assert_eq!(with(&withdrawn), ["supply.cylinder-in-service"]);
        // That it was another cylinder puts this one back only where who runs the program says so.
        let undone = |p: &mut Plant| {
            withdrawn(p);
            let (cylinder, why) = (CylinderId::new("c9"), "dented".to_owned());
            let fact = Fact::CylinderWithdrawn { cylinder, why };
            p.add_correction("w2", "2026-05-04T09:43", Some("w"), fact);
        };
        assert_eq!(with(&undone), ["records.corrected", "supply.cylinder-in-service"]);
        let tested = with(&|p| {
            undone(p);
            let (cylinder, mark) = (CylinderId::new("c1"), "05 26".to_owned());
            let fact = Fact::CylinderRequalified { cylinder, passed: true, mark };
            p.add("rq", "2026-05-04T09:50", fact);
        });
        assert_eq!(tested, ["records.corrected", "supply.cylinder-in-service"]);
        let by_administrator = with(&|p| {
            undone(p);
            p.administrator("cy");
        });
        assert_eq!(by_administrator, [""; 0]);
        let unlisted = |p: &mut Plant| p.remove("c");
        assert!(with(&unlisted).contains(&"unit.cylinder-known"), "{:?}", with(&unlisted));
    }

    fn due_of_set(plant: &Plant) -> Vec<&'static str> {
        let state = State::from_entries(&plant.entries);
        let of_set = program::due::duties(&state, &program::Subject::Unit(unit()));
        let day = program::due::Days::at(&state, None, plant.now, 0);
        let due = of_set.iter().filter_map(|duty| duty.at(&day));
        due.filter(|due| due.urgency == program::due::Urgency::Now)
            .map(|due| due.finding.rule.id)
            .collect()
    }

    /// What is found on the set with a cylinder of so many bar and litres, filled to its rating, whose
    /// listing and gauge say so; by the verdict and among what is due.
    fn with_cylinder(rated: &str, litres: &str) -> (Vec<&'static str>, Vec<&'static str>) {
        let mut plant = self_contained();
        plant.edit("c", |fact| {
            if let Fact::CylinderListed { rated: own, water_volume, .. } = fact {
                (*own, *water_volume) = (quantity(rated), quantity(litres));
            }
        });
        plant.add("full", "2026-05-04T09:42", read(rated, rated));
        (stops(&plant), due_of_set(&plant))
    }

    // 29 CFR 1910.134(i)(9) and (d)(1)(ii): the cylinder that the approval names.
    #[test]
    fn a_cylinder_of_too_little_pressure_or_water_stops_and_is_due() {
        assert_eq!(with_cylinder("300 bar", "50 L"), (vec![], vec![]));
        let small = || vec!["unit.cylinder-suits"];
        assert_eq!(with_cylinder("100 bar", "50 L"), (small(), small()));
        assert_eq!(with_cylinder("300 bar", "6.8 L"), (small(), small()));
        // As large as the minutes ask for, and of a lower rating than the set was read with before.
        let mut lower = self_contained();
        lower.add("before", "2026-04-01T09:00", read("310 bar", "305 bar"));
        assert_eq!(stops(&lower), small());
    }

    #[test]
    fn a_set_of_which_no_cylinder_is_known_stops_and_is_due() {
        let mut plant = self_contained();
        plant.remove("m");
        plant.add("read", "2026-05-04T09:42", read("300 bar", "299 bar"));
        assert_eq!(stops(&plant), ["unit.cylinder-known"]);
        assert_eq!(due_of_set(&plant), ["unit.cylinder-known"]);
    }

    #[test]
    fn air_that_nobody_tested_or_that_failed_and_a_withdrawn_cylinder_are_due_on_the_set() {
        let with = |change: &dyn Fn(&mut Plant)| {
            let mut plant = self_contained();
            change(&mut plant);
            (stops(&plant), due_of_set(&plant))
        };
        let air = || (vec!["unit.breathing-air"], vec!["unit.breathing-air"]);
        assert_eq!(with(&|p| p.remove("air")), air());
        let failed = |p: &mut Plant| {
            let quality = program::AirQuality::Fails;
            let tested = Fact::BreathingAirTested { unit: unit(), quality, cylinder: None };
            p.add("bad", "2026-05-04T08:00", tested);
        };
        assert_eq!(with(&failed), air());
        let withdrawn = |p: &mut Plant| {
            let (cylinder, why) = (CylinderId::new("c1"), "dented".to_owned());
            p.add("w", "2026-05-04T08:00", Fact::CylinderWithdrawn { cylinder, why });
        };
        let id = || vec!["supply.cylinder-in-service"];
        assert_eq!(with(&withdrawn), (id(), id()));
    }

    // 29 CFR 1910.134(i)(4)(ii): the figures of a certificate of analysis count as a sample.
    #[test]
    fn a_certificate_of_purchased_air_counts_and_one_without_figures_was_not_complete() {
        let bought = |figures: program::AirFigures| {
            let mut plant = self_contained();
            let listed = Fact::SupplyListed {
                supply: supply(),
                name: "bought cylinders".to_owned(),
                source: program::SupplySource::Cylinders,
                couplings_apart: true,
                high_temperature_alarm: None,
            };
            plant.add("supply", "2026-04-01T08:00", listed);
            plant.add("sample", "2026-04-20T09:00", Fact::AirSampled { supply: supply(), figures });
            plant.add("f2", "2026-05-03T11:00", filled("295 bar", Some(supply())));
            plant.verdict().findings
        };
        let Fact::AirSampled { figures, .. } = sampled("2 ppm") else { panic!("no sample") };
        let stop = |finding: &&rulebook::Finding| finding.severity == rulebook::Severity::Stop;
        assert_eq!(bought(figures).iter().filter(stop).count(), 0);
        let empty = bought(program::AirFigures::default());
        let told: Vec<String> = empty.iter().filter(stop).map(rulebook::Finding::text).collect();
        assert!(told.iter().any(|text| text.contains("was not complete")), "{told:?}");
        assert!(!told.iter().any(|text| text.contains("failed")), "{told:?}");
    }

    #[test]
    fn filling_a_cylinder_that_is_out_of_service_out_of_date_or_overfilled_gives_pause() {
        let said = |plant: &Plant, fact: &Fact| {
            let state = State::from_entries(&plant.entries);
            program::supply::gives_pause(&state, plant.now, fact).map(|found| found.rule.id)
        };
        let mut plant = self_contained();
        assert_eq!(said(&plant, &filled("300 bar", None)), None);
        assert_eq!(said(&plant, &filled("320 bar", None)), Some("unit.cylinder-overfilled"));
        plant.edit("c", |fact| {
            if let Fact::CylinderListed { made, requalified, .. } = fact {
                (*made, *requalified) = (until("2014-03-01"), until("2019-03-01"));
            }
        });
        assert_eq!(said(&plant, &filled("300 bar", None)), Some("supply.cylinder-requalified"));
        let (cylinder, why) = (CylinderId::new("c1"), "dented".to_owned());
        plant.add("w", "2026-05-04T08:00", Fact::CylinderWithdrawn { cylinder, why });
        assert_eq!(said(&plant, &filled("300 bar", None)), Some("supply.cylinder-in-service"));
        assert_eq!(said(&plant, &mounted("u1")), Some("supply.cylinder-in-service"));
    }

    // Source: 29 CFR 1910.134(i)(2).
    #[test]
    fn oxygen_never_goes_where_compressed_air_was() {
        let rule = "supply.oxygen-after-air";
        let oxygen = || match filled("295 bar", None) {
            Fact::CylinderFilled { cylinder, pressure, supply, .. } => {
                Fact::CylinderFilled { cylinder, pressure, supply, gas: Some(Gas::Oxygen) }
            }
            other => other,
        };
        let of = |plant: &Plant| {
            let findings = plant.verdict().findings;
            findings.iter().find(|found| found.rule.id == rule).map(|found| found.severity)
        };
        let is_due = |plant: &Plant, about: About| {
            let all = due(&folded(plant), plant.now);
            all.iter().any(|due| {
                due.about == about
                    && due.finding.rule.id == rule
                    && due.finding.severity == Severity::Stop
            })
        };
        let pause = |plant: &Plant, fact: &Fact| {
            program::supply::gives_pause(&folded(plant), plant.now, fact).map(|found| found.rule.id)
        };
        let (of_cylinder, of_set) = (About::Cylinder(CylinderId::new("c1")), About::Unit(unit()));
        // The cylinder was filled with air before.
        let mut plant = self_contained();
        assert_eq!(of(&plant), None);
        assert_eq!(pause(&plant, &oxygen()), Some(rule));
        plant.add("o2", "2026-05-03T12:00", oxygen());
        assert_eq!(of(&plant), Some(Severity::Stop));
        assert!(is_due(&plant, of_cylinder.clone()) && !is_due(&plant, of_set.clone()));
        // What is filled on top of oxygen mixes with it; once it was let out, it is out of it.
        plant.add("air-again", "2026-05-03T13:00", filled("295 bar", None));
        assert_eq!(of(&plant), Some(Severity::Stop));
        plant.add("empty", "2026-05-03T12:30", gauged("2 bar"));
        assert_eq!(of(&plant), None);
        // A cylinder that never held air, on a set that did.
        let mut plant = self_contained();
        plant.edit("f", |fact| *fact = oxygen());
        assert_eq!(of(&plant), Some(Severity::Stop), "its air was tested");
        assert!(is_due(&plant, of_set.clone()) && !is_due(&plant, of_cylinder));
        assert_eq!(pause(&plant, &mounted("u1")), Some(rule));
        // Neither of them: nothing shows that they are made for it.
        plant.remove("air");
        assert_eq!(of(&plant), Some(Severity::Caution));
        assert!(!is_due(&plant, of_set));
        // Another cylinder of air was on the set before.
        let other = CylinderId::new("c0");
        let mut first = crate::support::air::cylinder();
        if let Fact::CylinderListed { cylinder, .. } = &mut first {
            *cylinder = other.clone();
        }
        plant.add("c-0", "2026-01-10T08:00", first);
        let mut fact = filled("295 bar", None);
        if let Fact::CylinderFilled { cylinder, .. } = &mut fact {
            *cylinder = other.clone();
        }
        plant.add("f-0", "2026-01-10T09:00", fact);
        let on = Fact::CylinderMounted { cylinder: other, unit: unit() };
        plant.add("m-0", "2026-01-10T10:00", on);
        assert_eq!(of(&plant), Some(Severity::Stop));
    }

    fn gauged(read: &str) -> Fact {
        Fact::CylinderGauged { cylinder: CylinderId::new("c1"), read: quantity(read) }
    }

    /// A set whose cylinder was filled from a compressor on 1 May, on top of it on 3 May; carbon monoxide was
    /// found as told before each.
    fn topped_up(first: &str, then: &str) -> Plant {
        let mut plant = self_contained();
        plant.remove("air");
        let listed = crate::support::air::listed(program::SupplySource::Cylinders);
        plant.add("supply", "2026-04-01T08:00", listed);
        plant.add("sample-1", "2026-04-20T09:00", sampled(first));
        plant.edit("f", |fact| *fact = filled("295 bar", Some(supply())));
        plant.add("f-0", "2026-05-01T09:00", filled("295 bar", Some(supply())));
        plant.add("sample-2", "2026-05-02T09:00", sampled(then));
        plant
    }

    // 29 CFR 1910.134(i)(1)(ii); that gases mix and do not push each other out is physics.
    #[test]
    fn what_is_filled_on_top_of_bad_air_does_not_make_it_good() {
        let rule = "unit.breathing-air";
        let stopped = |plant: &Plant| {
            let both = (stops(plant).contains(&rule), due_of_set(plant).contains(&rule));
            assert_eq!(both.0, both.1);
            both.0
        };
        assert!(!stopped(&topped_up("2 ppm", "2 ppm")));
        let mut plant = topped_up("60 ppm", "2 ppm");
        assert!(stopped(&plant));
        // Read empty in between.
        let mut emptied = plant.clone();
        emptied.add("low", "2026-05-02T10:00", gauged("20 bar"));
        assert!(stopped(&emptied));
        emptied.add("empty", "2026-05-02T11:00", gauged("1 bar"));
        assert!(!stopped(&emptied));
        // Or its own air found to be fit.
        let tested = |cylinder: Option<CylinderId>, quality| Fact::BreathingAirTested {
            unit: unit(),
            quality,
            cylinder,
        };
        plant.add("own", "2026-05-03T09:30", tested(None, program::AirQuality::Meets));
        assert!(!stopped(&plant));
        // What failed in the cylinder itself, told with its tag or on the set that carried it.
        for cylinder in [Some(CylinderId::new("c1")), None] {
            let mut plant = topped_up("2 ppm", "2 ppm");
            plant.add("bad", "2026-05-02T09:00", tested(cylinder, program::AirQuality::Fails));
            assert!(stopped(&plant));
            plant.add("empty", "2026-05-02T11:00", gauged("0 bar"));
            assert!(!stopped(&plant));
        }
    }

    // 29 CFR 1910.134(i)(1)(ii).
    #[test]
    fn what_is_filled_on_top_of_air_that_nobody_knows_does_not_make_it_known() {
        let rule = "unit.breathing-air";
        let stopped = |plant: &Plant| {
            let both = (stops(plant).contains(&rule), due_of_set(plant).contains(&rule));
            assert_eq!(both.0, both.1);
            both.0
        };
        let never_sampled = program::SupplyId::new("other");
        let listed = Fact::SupplyListed {
            supply: never_sampled.clone(),
            name: "Other".to_owned(),
            source: program::SupplySource::OilFreeCompressor,
            couplings_apart: true,
            high_temperature_alarm: None,
        };
        for from in [None, Some(never_sampled), Some(program::SupplyId::new("nowhere"))] {
            let mut plant = topped_up("2 ppm", "2 ppm");
            plant.add("other", "2026-04-01T08:00", listed.clone());
            plant.edit("f-0", |fact| *fact = filled("150 bar", from.clone()));
            assert!(stopped(&plant), "{from:?}");
            // Read empty in between, or tested before or after it was filled up, with its tag or on its set.
            let mut emptied = plant.clone();
            emptied.add("empty", "2026-05-02T11:00", gauged("0 bar"));
            assert!(!stopped(&emptied), "{from:?}");
            for cylinder in [Some(CylinderId::new("c1")), None] {
                for (when, stops) in [
                    ("2026-04-30T10:00", true),
                    ("2026-05-02T10:00", false),
                    ("2026-05-03T23:00", false),
                ] {
                    let mut tested = plant.clone();
                    let (quality, cylinder) = (program::AirQuality::Meets, cylinder.clone());
                    let own = Fact::BreathingAirTested { unit: unit(), quality, cylinder };
                    tested.add("own", when, own);
                    assert_eq!(stopped(&tested), stops, "{from:?} {when}");
                }
            }
        }
    }

    #[test]
    fn of_two_samples_of_one_instant_the_worse_counts() {
        let found = |ppm: &str| Fact::CarbonMonoxideTested {
            supply: supply(),
            found: quantity(ppm),
            method: "detector tube".into(),
        };
        for (good, bad, rule) in [
            (sampled("2 ppm"), sampled("60 ppm"), "supply.air-tested"),
            (sampled("2 ppm"), found("60 ppm"), "supply.monoxide-low"),
            (found("2 ppm"), found("60 ppm"), "supply.monoxide-low"),
        ] {
            for ids in [["a", "b"], ["b", "a"]] {
                let mut plant = airline();
                for (id, fact) in ids.into_iter().zip([&good, &bad]) {
                    plant.add(id, "2026-05-03T08:00", fact.clone());
                    let last = plant.entries.last_mut().unwrap();
                    last.entered = last.happened;
                }
                assert!(stops(&plant).contains(&rule), "{rule} {ids:?} {:?}", stops(&plant));
            }
        }
    }

    // Source: 29 CFR 1910.134(i)(5)(i), (i)(8).
    #[test]
    fn what_was_filled_where_foul_air_came_in_stays_foul_when_the_intake_is_clean_again() {
        let rule = "unit.breathing-air";
        for foul in [
            looked_over("at the dock", Some(false), true),
            looked_over("on the roof", Some(true), false),
        ] {
            let mut plant = topped_up("2 ppm", "2 ppm");
            plant.edit("supply", |fact| {
                *fact = listed(program::SupplySource::OilLubricatedCompressor);
            });
            plant.add("clean", "2026-04-20T10:00", looked_over("on the roof", Some(true), true));
            assert!(!stops(&plant).contains(&rule), "{:?}", stops(&plant));
            plant.add("foul", "2026-04-25T10:00", foul);
            plant.add("mended", "2026-05-01T12:00", looked_over("on the roof", Some(true), true));
            assert!(stops(&plant).contains(&rule), "{:?}", stops(&plant));
            assert!(due_of_set(&plant).contains(&rule));
            plant.add("empty", "2026-05-02T11:00", gauged("1 bar"));
            assert!(!stops(&plant).contains(&rule), "{:?}", stops(&plant));
        }
    }

    // 29 CFR 1910.134(i)(4)(iii).
    #[test]
    fn water_in_a_cylinder_stays_under_what_is_filled_on_top() {
        let rule = "supply.cylinder-air-dry";
        let mut plant = topped_up("2 ppm", "2 ppm");
        assert!(!stops(&plant).contains(&rule), "{:?}", stops(&plant));
        plant.edit("sample-1", |fact| {
            if let Fact::AirSampled { figures, .. } = fact {
                figures.dew_point = Some(quantity("-20 degC"));
            }
        });
        assert!(stops(&plant).contains(&rule), "{:?}", stops(&plant));
        let mut untold = plant.clone();
        untold.edit("sample-1", |fact| {
            if let Fact::AirSampled { figures, .. } = fact {
                figures.dew_point = None;
            }
        });
        assert!(stops(&untold).contains(&rule), "{:?}", stops(&untold));
        plant.add("empty", "2026-05-02T11:00", gauged("0 bar"));
        assert!(!stops(&plant).contains(&rule));
    }

    // Who carries all air on the back breathes that, whatever the set is told to be connected to.
    #[test]
    fn a_self_contained_set_is_judged_by_its_cylinder_and_no_line() {
        let rule = "unit.breathing-air";
        let mut plant = topped_up("60 ppm", "2 ppm");
        plant.remove("f");
        let connected = Fact::SupplyConnected { unit: unit(), supply: supply() };
        plant.add("line", "2026-05-03T10:00", connected);
        assert!(stops(&plant).contains(&rule));
        assert!(due_of_set(&plant).contains(&rule));
        // Filled by nobody.
        plant.remove("f-0");
        assert!(stops(&plant).contains(&rule));
    }

    // Source: 29 CFR 1910.134(i)(4)(ii).
    #[test]
    fn a_purchase_of_air_without_its_certificate_stops() {
        let rule = "supply.certificate";
        let bought = |certificate: &str| Fact::AirBought {
            supply: supply(),
            certificate: certificate.to_owned(),
        };
        let mut plant = airline();
        plant.edit("supply", |fact| *fact = listed(program::SupplySource::Cylinders));
        let is_due = |plant: &Plant| {
            due(&folded(plant), plant.now).iter().any(|due| due.finding.rule.id == rule)
        };
        assert!(!stops(&plant).contains(&rule) && !is_due(&plant));
        plant.add("with", "2026-04-25T08:00", bought("311, lot 8"));
        assert!(!stops(&plant).contains(&rule));
        plant.add("without", "2026-04-26T08:00", bought(" "));
        assert!(stops(&plant).contains(&rule) && is_due(&plant));
        // The air of it was sampled.
        plant.add("sample-2", "2026-04-27T08:00", sampled("2 ppm"));
        assert!(!stops(&plant).contains(&rule) && !is_due(&plant));
        plant.add("without-2", "2026-04-28T08:00", bought("\u{200b}"));
        assert!(stops(&plant).contains(&rule));
        plant.add("with-2", "2026-04-29T08:00", bought("312"));
        assert!(!stops(&plant).contains(&rule));
    }

    // Source: 29 CFR 1910.134(i)(1)(i).
    #[test]
    fn oxygen_without_its_certificate_stops() {
        let rule = "supply.oxygen-certified";
        let oxygen = || {
            let (cylinder, pressure) = (CylinderId::new("c1"), quantity("295 bar"));
            Fact::CylinderFilled { cylinder, pressure, supply: None, gas: Some(Gas::Oxygen) }
        };
        let certified = |meets| Fact::OxygenCertified {
            cylinder: CylinderId::new("c1"),
            certificate: "1207, lot 33".to_owned(),
            meets,
        };
        let stopped = |plant: &Plant| {
            let is_due = due(&folded(plant), plant.now).iter().any(|due| {
                due.about == About::Cylinder(CylinderId::new("c1")) && due.finding.rule.id == rule
            });
            let stopped = stops(plant).contains(&rule);
            assert_eq!(stopped, is_due);
            stopped
        };
        let mut plant = self_contained();
        assert!(!stopped(&plant), "air needs none");
        plant.edit("f", |fact| *fact = oxygen());
        assert!(stopped(&plant));
        let pause = program::supply::gives_pause(&folded(&plant), plant.now, &mounted("u1"));
        assert!(pause.is_some());
        // One that was read before says nothing of what was filled since.
        plant.add("old", "2026-05-03T08:00", certified(true));
        assert!(stopped(&plant));
        plant.add("good", "2026-05-03T10:00", certified(true));
        assert!(!stopped(&plant));
        plant.add("bad", "2026-05-03T11:00", certified(false));
        assert!(stopped(&plant));
        plant.add("good-2", "2026-05-03T12:00", certified(true));
        assert!(!stopped(&plant));
        plant.add("again", "2026-05-03T13:00", oxygen());
        assert!(stopped(&plant));
        // What is put on top of oxygen that nobody certified does not make it good; emptied, it goes out.
        plant.add("more", "2026-05-03T14:00", oxygen());
        plant.add("good-3", "2026-05-03T15:00", certified(true));
        assert!(stopped(&plant));
        plant.add("empty", "2026-05-03T13:30", gauged("0 bar"));
        assert!(!stopped(&plant));
    }

    // Source: 29 CFR 1910.134(i)(5)(i), (i)(8).
    #[test]
    fn a_compressor_at_which_nobody_looked_stops_and_so_does_foul_air_at_its_intake() {
        let (sited, alone) = ("supply.sited", "supply.air-alone");
        let with = |look: Option<Fact>| {
            let mut plant = airline();
            match look {
                Some(fact) => plant.edit("look", |old| *old = fact.clone()),
                None => plant.remove("look"),
            }
            let of_supply = due(&folded(&plant), plant.now);
            let is_due = |id: &&'static str| of_supply.iter().any(|due| due.finding.rule.id == *id);
            let stopped = stops(&plant);
            assert!(stopped.iter().all(is_due), "{stopped:?}");
            stopped
        };
        assert_eq!(with(Some(looked_over("on the roof", Some(true), true))), [""; 0]);
        assert_eq!(with(None), [sited]);
        assert_eq!(with(Some(looked_over("", Some(true), true))), [sited]);
        assert_eq!(with(Some(looked_over("at the dock", Some(false), true))), [sited]);
        assert_eq!(with(Some(looked_over("at the dock", None, true))), [sited]);
        assert_eq!(with(Some(looked_over("on the roof", Some(true), false))), [alone]);
        // Nothing is drawn in where cylinders feed the line; nobody looked at the line.
        let mut plant = airline();
        plant.remove("look");
        plant.edit("supply", |fact| *fact = listed(program::SupplySource::Cylinders));
        assert_eq!(stops(&plant), [""; 0]);
        let found = plant.verdict().findings;
        assert!(found.iter().any(|found| found.rule.id == alone));
        // A look that is dated ahead shows nothing yet.
        let mut plant = airline();
        plant.move_to("look", "2026-05-06T20:00");
        assert!(stops(&plant).contains(&sited), "{:?}", stops(&plant));
    }

    // 29 CFR 1910.134(i)(1)(ii): the air of the cylinder beside a line is breathed when the line fails.
    #[test]
    fn the_air_of_the_cylinder_beside_a_line_is_asked_too() {
        let rule = "unit.auxiliary-air";
        let mut plant = airline();
        let stopped = |plant: &Plant| stops(plant).contains(&rule);
        assert!(!stopped(&plant), "a set without a cylinder");
        plant.edit("model-airline", |fact| {
            if let Fact::ModelListed { device, .. } = fact {
                device.auxiliary_self_contained = true;
            }
        });
        assert!(stopped(&plant), "no cylinder is known");
        plant.add("c", "2026-03-01T08:00", crate::support::air::cylinder());
        plant.add("m", "2026-04-01T09:00", mounted("u1"));
        plant.add("f", "2026-05-03T09:00", filled("295 bar", None));
        assert!(stopped(&plant), "its air was not tested");
        // A test that names no cylinder speaks of the line.
        let tested = |cylinder: Option<CylinderId>, quality| Fact::BreathingAirTested {
            unit: unit(),
            quality,
            cylinder,
        };
        plant.add("line", "2026-05-03T09:30", tested(None, program::AirQuality::Meets));
        assert!(stopped(&plant));
        let own = Some(CylinderId::new("c1"));
        plant.add("own", "2026-05-03T09:40", tested(own.clone(), program::AirQuality::Meets));
        assert!(!stopped(&plant));
        plant.add("bad", "2026-05-03T09:50", tested(own, program::AirQuality::Fails));
        assert!(stopped(&plant));
        let due = due(&folded(&plant), plant.now);
        let of_set = |due: &&program::due::Due| due.about == About::Unit(unit());
        assert!(due.iter().filter(of_set).any(|due| due.finding.rule.id == rule));
        // Filled from the compressor that was sampled, on top of what failed, and then empty.
        plant.add("f2", "2026-05-03T10:00", filled("295 bar", Some(supply())));
        assert!(stopped(&plant));
        plant.add("empty", "2026-05-03T09:55", gauged("0 bar"));
        assert!(!stopped(&plant));
        // What is in the cylinder is not the air of a line that hangs on no supply, nor of one never tested.
        let line = "unit.breathing-air";
        assert!(!stops(&plant).contains(&line) && !due_of_set(&plant).contains(&line));
        let own = Some(CylinderId::new("c1"));
        plant.add("own-2", "2026-05-03T10:30", tested(own, program::AirQuality::Meets));
        let is_connection =
            |entry: &program::Entry| matches!(entry.fact, Fact::SupplyConnected { .. });
        let mut loose = plant.clone();
        loose.entries.retain(|entry| !is_connection(entry));
        let others = stops(&plant);
        let more: Vec<&str> = stops(&loose).into_iter().filter(|id| !others.contains(id)).collect();
        assert_eq!(more, [line]);
        assert!(due_of_set(&loose).contains(&line), "{:?}", due_of_set(&loose));
        let mut untested = plant.clone();
        untested.entries.retain(|entry| !matches!(entry.fact, Fact::AirSampled { .. }));
        untested.remove("line");
        assert!(stops(&untested).contains(&line), "{:?}", stops(&untested));
    }

    #[test]
    fn a_withdrawal_of_a_stored_cylinder_that_was_corrected_is_due() {
        let of_cylinder = |plant: &Plant| {
            let all = due(&folded(plant), plant.now).into_iter();
            let own = all.filter(|due| due.about == About::Cylinder(CylinderId::new("c1")));
            own.map(|due| due.finding.rule.id).collect::<Vec<_>>()
        };
        let rule = "supply.cylinder-in-service";
        let mut plant = Plant::good();
        plant.add("c", "2026-03-01T08:00", crate::support::air::cylinder());
        plant.add("f", "2026-05-03T09:00", filled("295 bar", None));
        let sound = of_cylinder(&plant);
        assert!(!sound.contains(&rule), "{sound:?}");
        let (cylinder, why) = (CylinderId::new("c1"), "dented".to_owned());
        plant.add("w", "2026-05-03T10:00", Fact::CylinderWithdrawn { cylinder, why });
        assert!(!of_cylinder(&plant).contains(&rule), "it is out of service as it should be");
        let read =
            Fact::CylinderGauged { cylinder: CylinderId::new("c1"), read: quantity("295 bar") };
        plant.add_correction("back", "2026-05-03T10:00", Some("w"), read);
        let found = of_cylinder(&plant);
        assert!(found.contains(&rule), "{found:?}");
        // The administrator may put it back.
        plant.administrator("mo");
        plant.by("back", "mo");
        let found = of_cylinder(&plant);
        assert!(!found.contains(&rule), "{found:?}");
    }

    #[test]
    fn one_person_has_one_id_with_a_part_and_as_a_wearer() {
        use program::check::check_fact;
        let plant = Plant::good();
        let state = folded(&plant);
        let refused = |fact: &Fact| {
            let found = check_fact(&state, (&plant.entries[0].site, plant.now), fact);
            found.is_err()
        };
        let given = |id: &str| Fact::RoleGiven {
            person: PersonId::new(id),
            name: "Somebody".to_owned(),
            role: Role::FitTester,
            shown: "course".to_owned(),
            until: None,
        };
        let enrolled = |id: &str| Fact::WearerEnrolled {
            wearer: PersonId::new(id),
            name: "Somebody".to_owned(),
        };
        // Ada wears; Cy has a part in the program.
        assert!(refused(&given("ADA")) && !refused(&given("ada")));
        assert!(refused(&enrolled("CY")) && !refused(&enrolled("cy")));
        assert!(!refused(&given("dot")) && !refused(&enrolled("dot")));
    }

    #[test]
    fn a_set_filled_from_air_that_failed_stops() {
        let mut plant = self_contained();
        plant.add("supply", "2026-04-01T08:00", listed(program::SupplySource::OilFreeCompressor));
        plant.add("sample", "2026-04-20T09:00", sampled("50 ppm"));
        plant.add("f2", "2026-05-03T10:00", filled("295 bar", Some(supply())));
        let stopped = stops(&plant);
        for id in ["supply.air-tested", "unit.breathing-air"] {
            assert!(stopped.contains(&id), "{stopped:?}");
        }
        // A good sample says nothing of what is in the cylinder already; filled empty after it, it is good.
        plant.add("sample-2", "2026-05-03T12:00", sampled("2 ppm"));
        let stopped = stops(&plant);
        assert!(stopped.contains(&"unit.breathing-air"), "{stopped:?}");
        assert!(!stopped.contains(&"supply.air-tested"), "{stopped:?}");
        plant.add("f3", "2026-05-03T13:00", filled("295 bar", Some(supply())));
        plant.add("empty", "2026-05-03T12:30", gauged("0 bar"));
        let stopped = stops(&plant);
        assert!(!stopped.contains(&"unit.breathing-air"), "{stopped:?}");
    }

    // 29 CFR 1910.134(i)(1): the air that is breathed is of Grade D at least, whatever its source was.
    #[test]
    fn air_that_failed_in_a_cylinder_stays_in_it_until_it_is_let_out_or_passes() {
        let mut plant = self_contained();
        plant.add("supply", "2026-04-01T08:00", listed(program::SupplySource::OilFreeCompressor));
        plant.add("sample", "2026-04-20T09:00", sampled("2 ppm"));
        plant.add("f2", "2026-05-03T10:00", filled("295 bar", Some(supply())));
        let stopped = |plant: &Plant| stops(plant).contains(&"unit.breathing-air");
        assert!(!stopped(&plant));
        let tested = |quality| Fact::BreathingAirTested { unit: unit(), quality, cylinder: None };
        plant.add("failed", "2026-05-03T11:00", tested(program::AirQuality::Fails));
        assert!(stopped(&plant));
        // Neither a good sample of the supply nor taking it off and putting it back changes the air in it.
        plant.add("sample-2", "2026-05-03T12:00", sampled("2 ppm"));
        assert!(stopped(&plant));
        plant.add("away", "2026-05-03T12:10", mounted("u2"));
        plant.add("back", "2026-05-03T12:20", mounted("u1"));
        assert!(stopped(&plant));
        let mut passed = plant.clone();
        passed.add("passed", "2026-05-03T13:00", tested(program::AirQuality::Meets));
        assert!(!stopped(&passed));
        plant.add("f3", "2026-05-03T13:00", filled("295 bar", Some(supply())));
        assert!(stopped(&plant));
        plant.add("empty", "2026-05-03T12:50", gauged("0 bar"));
        assert!(!stopped(&plant));
    }

    // 29 CFR 1910.134(i)(1): the air goes with the cylinder, whichever set it is tested on.
    #[test]
    fn what_a_test_said_of_the_air_in_a_cylinder_goes_with_it_to_another_set() {
        let tested_elsewhere = |quality| {
            let mut plant = self_contained();
            plant.remove("air");
            plant.add("f2", "2026-05-03T10:00", filled("295 bar", None));
            plant.add("away", "2026-05-03T10:10", mounted("u2"));
            let (unit, cylinder) = (UnitId::new("u2"), Some(CylinderId::new("c1")));
            let tested = Fact::BreathingAirTested { unit, quality, cylinder };
            plant.add("tested", "2026-05-03T10:20", tested);
            plant.add("back", "2026-05-03T10:30", mounted("u1"));
            plant
        };
        let stopped = |plant: &Plant| stops(plant).contains(&"unit.breathing-air");
        assert!(!stopped(&tested_elsewhere(program::AirQuality::Meets)));
        let mut failed = tested_elsewhere(program::AirQuality::Fails);
        assert!(stopped(&failed));
        assert!(due_of_set(&failed).contains(&"unit.breathing-air"));
        failed.add("f3", "2026-05-03T11:00", filled("295 bar", None));
        failed.add(
            "passed",
            "2026-05-03T11:10",
            Fact::BreathingAirTested {
                unit: unit(),
                quality: program::AirQuality::Meets,
                cylinder: Some(CylinderId::new("c1")),
            },
        );
        assert!(!stopped(&failed));
    }

    #[test]
    fn the_steps_of_a_cleaning_make_a_shared_set_fit_for_the_next() {
        let step = |step| Fact::CareStepDone { unit: unit(), step };
        let water = quantity("40 degC");
        let cleaned = |leave_out: usize| {
            let mut plant = Plant::good();
            plant.shared();
            plant.add("bo", "2026-05-03T08:00", Fact::Returned { unit: unit(), wearer: bo() });
            let steps = [
                step(program::CareStep::TakenApart),
                step(program::CareStep::Washed { cleaner: "mild soap".to_owned(), water }),
                step(program::CareStep::Rinsed { water }),
                Fact::Disinfected {
                    unit: unit(),
                    agent: "hypochlorite, 50 ppm".to_owned(),
                    contact: minutes(2.0),
                },
                step(program::CareStep::Rinsed { water }),
                step(program::CareStep::Dried),
                step(program::CareStep::Reassembled),
            ];
            for (n, fact) in steps.into_iter().enumerate().filter(|(n, _)| *n != leave_out) {
                plant.add(&format!("step{n}"), &format!("2026-05-03T09:{:02}", 10 * n / 2), fact);
            }
            stops(&plant)
        };
        assert_eq!(cleaned(9), [""; 0]);
        for (left_out, rule) in [
            (1, "unit.disinfected-between-wearers"),
            (3, "unit.disinfected-between-wearers"),
            (5, "care.order"),
            (6, "care.order"),
        ] {
            assert!(cleaned(left_out).contains(&rule), "{left_out}: {:?}", cleaned(left_out));
        }
    }

    #[test]
    fn an_inspection_of_another_serial_number_shows_nothing() {
        let mut plant = Plant::good();
        let device = folded(&plant).model(&ModelId::new("half")).unwrap().device.clone();
        let occasion = rulebook::checklist::Occasion::BeforeUse;
        let points = rulebook::checklist::points(&device, false, occasion);
        let point = |point: &&rulebook::checklist::Point| PointFound {
            point: point.id.clone(),
            result: PointResult::Pass,
            note: String::new(),
            picture: None,
        };
        let fact = Fact::InspectedByPoints {
            unit: unit(),
            occasion: program::InspectionOccasion::BeforeUse,
            points: points.iter().map(point).collect(),
            signed: "Ada".to_owned(),
            remedy: String::new(),
            serial: "another".to_owned(),
        };
        plant.add("points", "2026-05-04T09:45", fact);
        assert!(stops(&plant).contains(&"unit.inspection-passed"), "{:?}", stops(&plant));
        let state = folded(&plant);
        let own = state.unit(&unit()).unwrap();
        assert!(program::inspection::of_another_serial(own, "another").is_some());
        // A facepiece from a box carries no number of its own.
        let mut boxed = Plant::good();
        boxed.take_from_a_box("M", None);
        let state = folded(&boxed);
        let facepiece = state.unit(&unit()).unwrap();
        assert_eq!(program::inspection::of_another_serial(facepiece, "u1"), None);
    }

    #[test]
    fn a_seal_that_did_not_hold_stops_until_it_does() {
        let checked = |passed| Fact::SealChecked {
            unit: unit(),
            wearer: ada(),
            passed,
            way: program::SealCheck::Both,
        };
        let mut plant = Plant::good();
        plant.add("seal", "2026-05-04T09:46", checked(false));
        assert_eq!(stops(&plant), ["donning.seal-check"]);
        plant.add("seal-2", "2026-05-04T09:48", checked(true));
        assert_eq!(stops(&plant), [""; 0]);
    }

    // Source: 49 CFR 180.209(a) Table 1: five years for the steel of row CY02.
    #[test]
    fn a_cylinder_past_its_requalification_is_due() {
        let listed = Fact::CylinderListed {
            cylinder: CylinderId::new("c1"),
            serial: "1".to_owned(),
            marking: "CY02".to_owned(),
            rated: quantity("20000 kPa"),
            water_volume: quantity("6 L"),
            made: date(2018, 3, 1),
            requalified: date(2021, 5, 1),
            terms: None,
            part: String::new(),
        };
        let mut plant = Plant::good();
        plant.add("c", "2026-03-01T08:00", listed);
        let due = |plant: &Plant| {
            let all = program::due::due(&folded(plant), plant.now);
            let cylinders =
                all.into_iter().filter(|due| due.kind == program::due::DueKind::Cylinder);
            cylinders.map(|due| (due.finding.rule.id, due.since)).collect::<Vec<_>>()
        };
        assert_eq!(due(&plant), [("supply.cylinder-requalified", Some(date(2026, 5, 2)))]);
        let (cylinder, mark) = (CylinderId::new("c1"), "05 26".to_owned());
        let passed = Fact::CylinderRequalified { cylinder, passed: true, mark };
        plant.add("q", "2026-05-03T08:00", passed);
        assert_eq!(due(&plant), []);
    }

    #[test]
    fn entries_about_a_cylinder_nobody_listed_are_a_contradiction() {
        let mut plant = Plant::good();
        let cylinder = CylinderId::new("c1");
        let read = quantity("20000 kPa");
        plant.add("gauged", "2026-03-01T08:00", Fact::CylinderGauged { cylinder, read });
        let said = folded(&plant).contradictions();
        assert!(said.iter().any(|one| one.words.contains("the cylinder `c1`")), "{said:?}");
    }
}
