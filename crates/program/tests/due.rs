//! Duties that come of who has a set in hands, and of how it was disinfected.

#[cfg(test)]
mod support;

#[cfg(test)]
mod due {
    use jiff::civil::Date;
    use program::care::against_issue;
    use program::due::{About, DueKind, Since, due_of, duties};
    use program::state::Happening;
    use program::verdict::may_wear_with;
    use program::{
        CareStep, Clearance, ElementTypeId, Fact, FitMethod, ModelId, PersonId, State, Subject,
        TaskId, TrainingTopic, UnitId,
    };
    use proptest::prelude::*;
    use rulebook::{AirSource, Finding, Severity};
    use std::collections::BTreeSet;

    use crate::support::cases;

    use crate::support::plant::{
        Plant, ada, bo, fit_test, minutes, paint, quantity, strip, unit, until,
    };
    use crate::support::random::{asks, plants, plants_with_baths};
    use crate::support::stops;

    /// The duties of the set but for shelf life and contradictions, by the rule, what they are about and since when.
    fn of_set(plant: &Plant) -> Vec<(&'static str, About, Since)> {
        let state = State::from_entries(&plant.entries);
        let told = |duty: program::due::Duty| {
            let days = program::due::Days { today: Date::MAX, ahead: Date::MAX };
            let rule = duty.at(&days).unwrap().finding.rule.id;
            (rule, duty.about, duty.since)
        };
        let all = duties(&state, &Subject::Unit(unit())).into_iter();
        let beside = [DueKind::ShelfLife, DueKind::Contradiction];
        all.filter(|duty| !beside.contains(&duty.kind)).map(told).collect()
    }

    fn size(plant: &mut Plant, other: &str) {
        plant.edit("received", |fact| {
            if let Fact::UnitReceived { size, .. } = fact {
                *size = other.to_owned();
            }
        });
    }

    #[test]
    fn a_set_issued_in_another_size_than_tested_is_a_duty_of_its_wearer_since_that_day() {
        let mut plant = Plant::good();
        assert_eq!(of_set(&plant), []);
        size(&mut plant, "L");
        let day = Since::Day(until("2026-05-04"));
        assert_eq!(of_set(&plant), [("fit.tested", About::Wearer(ada()), day)]);
        let state = State::from_entries(&plant.entries);
        let all = program::due::due(&state, plant.now);
        let told = all.iter().find(|due| due.finding.rule.id == "fit.tested").unwrap();
        assert_eq!(told.kind, DueKind::FitTest);
        assert_eq!(told.finding.text(), "Ada has no fit test with model half size L");
        assert_eq!(told.finding.evidence, ["issued"]);
        plant.add("back", "2026-05-04T07:45", Fact::Returned { unit: unit(), wearer: ada() });
        assert_eq!(of_set(&plant), []);
    }

    #[test]
    fn a_beard_is_due_of_its_wearer_until_it_is_recorded_as_gone() {
        let mut plant = Plant::good();
        let seen = |plant: &Plant| {
            let state = State::from_entries(&plant.entries);
            let all = program::due::due(&state, plant.now);
            let told = all.into_iter().find(|due| due.finding.rule.id == "seal.hair-seen");
            told.map(|due| (due.about, due.finding.evidence))
        };
        assert_eq!(seen(&plant), None);
        let look = |there| Fact::SealHairSeen { wearer: ada(), there };
        plant.add("beard", "2026-05-03T08:00", look(true));
        assert_eq!(seen(&plant), Some((About::Wearer(ada()), vec!["beard".to_owned()])));
        plant.add("gone", "2026-05-03T09:00", look(false));
        assert_eq!(seen(&plant), None);
    }

    #[test]
    fn a_cylinder_that_the_approval_does_not_name_is_due() {
        let mut plant = crate::support::air::self_contained();
        let found = |plant: &Plant| {
            let state = State::from_entries(&plant.entries);
            let all = program::due::due(&state, plant.now);
            all.iter().any(|due| {
                due.finding.rule.id == "unit.cylinder-approved" && due.kind == DueKind::Cylinder
            })
        };
        assert!(!found(&plant));
        plant.approve_cylinders("carried", &["p-1"]);
        assert!(found(&plant));
    }

    #[test]
    fn so_is_one_of_another_model_and_one_that_failed_to_fit() {
        let mut plant = Plant::good();
        plant.edit("fit", |fact| *fact = fit_test("half-b", FitMethod::Qualitative, true));
        assert_eq!(of_set(&plant)[0].0, "fit.tested");
        let mut plant = Plant::good();
        let failed = fit_test("half", FitMethod::Qualitative, false);
        plant.add("failed", "2026-05-09T08:00", failed);
        let day = Since::Day(until("2026-05-09"));
        assert_eq!(of_set(&plant), [("fit.passed", About::Wearer(ada()), day)]);
        plant.of_model("hood");
        assert_eq!(of_set(&plant), []);
    }

    #[test]
    fn a_filtering_facepiece_of_somebody_who_only_wears_by_choice_needs_none() {
        let mut plant = Plant::good();
        plant.of_model("dust-mask");
        plant.remove("fit");
        assert_eq!(of_set(&plant)[0].0, "fit.tested");
        let given = Fact::VoluntaryInformationGiven { wearer: ada() };
        plant.add("advice", "2026-01-02T08:00", given);
        assert_eq!(of_set(&plant), []);
    }

    /// A shared set that Bo wore and gave back, washed, put into a bath, and inspected.
    fn bathed(agent: &str, contact: f64) -> Plant {
        let mut plant = Plant::good();
        plant.shared();
        plant.remove("issued");
        bath(&mut plant, agent, contact);
        plant
    }

    fn bath(plant: &mut Plant, agent: &str, contact: f64) {
        plant.add("bo-back", "2026-05-01T10:00", Fact::Returned { unit: unit(), wearer: bo() });
        plant.add("cleaned", "2026-05-01T11:00", Fact::Cleaned { unit: unit() });
        let (agent, contact) = (agent.to_owned(), minutes(contact));
        let fact = Fact::Disinfected { unit: unit(), agent, contact };
        plant.add("bath", "2026-05-01T12:00", fact);
    }

    fn warned(plant: &Plant) -> Option<&'static str> {
        let state = State::from_entries(&plant.entries);
        against_issue(&state, &unit(), &ada()).map(|finding| finding.rule.id)
    }

    #[test]
    fn a_doubtful_disinfection_is_a_duty_and_warns_before_the_set_is_issued() {
        for (agent, contact, rule) in [
            ("hypochlorite, 50 ppm", 2.0, None),
            ("hypochlorite, 10 ppm", 2.0, Some("unit.disinfectant")),
            ("hypochlorite, 1:1000", 2.0, Some("unit.disinfectant")),
            ("vinegar", 2.0, Some("unit.disinfectant")),
            ("hypochlorite, 50 ppm", 1.0, Some("unit.disinfection-contact")),
            ("hypochlorite, 50 ppm", 0.0, Some("unit.disinfection-contact")),
        ] {
            let plant = bathed(agent, contact);
            let told: Vec<&str> = of_set(&plant).into_iter().map(|(rule, ..)| rule).collect();
            assert_eq!(told, rule.into_iter().collect::<Vec<_>>(), "{agent}, {contact} min");
            // Of a dip the order of the steps speaks first.
            let dipped = rule.filter(|_| contact < 2.0).map(|_| "care.disinfect-first");
            assert_eq!(warned(&plant), dipped.or(rule), "{agent}, {contact} min");
            assert_eq!(stops(&plant).contains(&rule.unwrap_or("none")), rule.is_some());
        }
        // Too short and with nothing that is shown to disinfect: both are told.
        let told: Vec<&str> =
            of_set(&bathed("vinegar", 1.0)).into_iter().map(|(rule, ..)| rule).collect();
        assert_eq!(told, ["unit.disinfection-contact", "unit.disinfectant"]);
        let mut plant = bathed("bath salts", 2.0);
        let approved = Fact::MakerInstructionsNoted {
            model: ModelId::new("half"),
            parts: Vec::new(),
            forbidden_cleaners: Vec::new(),
            approved_disinfectants: vec!["bath salts".to_owned()],
            stands_in: "manual".to_owned(),
        };
        plant.add("approved", "2026-01-02T08:00", approved);
        assert_eq!((of_set(&plant), warned(&plant)), (Vec::new(), None));
    }

    // 29 CFR 1910.134 App. B-2 I.E: what remains of a strong bath harms skin and facepiece.
    #[test]
    fn a_set_of_ones_own_out_of_an_absurd_bath_is_cautioned_and_due_until_it_is_looked_at() {
        for (agent, expected) in [
            ("hypochlorite, 50 ppm", false),
            ("hypochlorite, 300 ppm", true),
            ("hypochlorite, 5 %", true),
            ("iodine, 2 %", true),
        ] {
            let mut plant = Plant::good();
            plant.worn("worn", "2026-05-04T06:10", (ada(), paint(), 10.0));
            plant.add("cleaned", "2026-05-04T06:20", Fact::Cleaned { unit: unit() });
            let bath =
                Fact::Disinfected { unit: unit(), agent: agent.to_owned(), contact: minutes(2.0) };
            plant.add("bath", "2026-05-04T07:40", bath);
            assert_eq!(told(&plant).contains(&"unit.disinfectant-strong"), expected, "{agent}");
            plant.inspect("looked", "2026-05-04T07:50");
            assert!(!told(&plant).contains(&"unit.disinfectant-strong"), "{agent}");
            let verdict = plant.verdict();
            let said = |f: &&Finding| f.rule.id == "unit.disinfectant-strong";
            let caution = verdict.findings.iter().find(said).map(|found| found.severity);
            assert_eq!(caution, expected.then_some(Severity::Caution), "{agent}");
            assert_eq!(stops(&plant), [""; 0], "{agent}");
        }
    }

    #[test]
    fn a_set_of_one_wearer_that_was_only_dipped_goes_to_nobody_else() {
        let mut plant = Plant::good();
        plant.move_to("issued", "2026-05-02T08:00");
        bath(&mut plant, "hypochlorite, 50 ppm", 0.0);
        let stops = stops(&plant);
        for rule in ["unit.disinfection-contact", "unit.disinfected-between-wearers"] {
            assert!(stops.contains(&rule), "{stops:?}");
        }
        let told: Vec<&str> = of_set(&plant).into_iter().map(|(rule, ..)| rule).collect();
        assert!(told.contains(&"unit.disinfection-contact"), "{told:?}");
        // For Bo alone it is clean enough.
        plant.edit("issued", |fact| *fact = Fact::Issued { unit: unit(), wearer: bo() });
        let told: Vec<&str> = of_set(&plant).into_iter().map(|(rule, ..)| rule).collect();
        assert!(!told.contains(&"unit.disinfection-contact"), "{told:?}");
    }

    /// The rules of what is due on the set, of any kind but shelf life and contradictions.
    fn told(plant: &Plant) -> Vec<&'static str> {
        of_set(plant).into_iter().map(|(rule, ..)| rule).collect()
    }

    #[test]
    fn a_weak_blower_and_a_weak_battery_are_due() {
        let mut plant = Plant::good();
        plant.of_model("powered");
        let checked = |flow: &str| Fact::PoweredFlowChecked {
            unit: unit(),
            flow: quantity(flow),
            least: quantity("115 L/min"),
        };
        assert!(!told(&plant).contains(&"unit.powered-flow"), "a check is asked before the wear");
        plant.add("flow", "2026-05-04T07:40", checked("120 L/min"));
        assert!(!told(&plant).contains(&"unit.powered-flow"));
        plant.add("flow-2", "2026-05-04T07:41", checked("10 L/min"));
        assert!(told(&plant).contains(&"unit.powered-flow"));
        plant.worn("worn", "2026-05-04T07:42", (ada(), paint(), 10.0));
        assert!(told(&plant).contains(&"unit.powered-flow"), "still weak after a wear");
        let (passed, found) = (false, "9 V".to_owned());
        plant.add(
            "battery",
            "2026-05-04T07:43",
            Fact::BatteryChecked { unit: unit(), passed, found },
        );
        assert!(told(&plant).contains(&"donning.powered-ready"), "{:?}", told(&plant));
    }

    #[test]
    fn elements_worn_as_long_as_their_adopted_schedule_allows_are_due() {
        let with = |wears: &[(&str, TaskId, f64)]| {
            let mut plant = Plant::good();
            for (task, longest) in [(paint(), 100.0), (strip(), 50.0)] {
                let (element_type, max_wear) = (ElementTypeId::new("ov"), minutes(longest));
                let id = format!("adopted-{task}");
                let fact = Fact::ScheduleAdopted { task, element_type, max_wear, shifts: 1 };
                plant.add(&id, "2026-03-03T08:00", fact);
            }
            for (when, task, time) in wears {
                plant.worn(when, when, (ada(), task.clone(), *time));
            }
            told(&plant).contains(&"due.elements-used-up")
        };
        assert!(!with(&[("2026-05-04T07:40", paint(), 99.0)]));
        assert!(with(&[("2026-05-04T07:40", paint(), 100.0)]));
        assert!(with(&[("2026-05-04T07:40", paint(), 150.0)]));
        // Half of the one and half of the other schedule.
        assert!(with(&[("2026-05-04T07:40", paint(), 50.0), ("2026-05-04T08:40", strip(), 25.0)]));
        assert!(!with(&[("2026-05-04T07:40", paint(), 50.0), ("2026-05-04T08:40", strip(), 24.0)]));
        let mut plant = Plant::good();
        plant.worn("long", "2026-05-04T07:40", (ada(), paint(), 400.0));
        assert!(!told(&plant).contains(&"due.elements-used-up"), "no schedule was adopted");
    }

    #[test]
    fn training_that_was_not_understood_is_due_of_the_wearer() {
        let mut plant = Plant::good();
        let trained =
            Fact::Trained { wearer: ada(), topic: TrainingTopic::Wear, understood: false };
        let of_ada = |plant: &Plant| -> Vec<(DueKind, Since)> {
            let all = duties(&State::from_entries(&plant.entries), &Subject::Wearer(ada()));
            all.into_iter()
                .map(|duty| (duty.kind, duty.since))
                .filter(|(kind, _)| *kind == DueKind::Training)
                .collect()
        };
        assert_eq!(of_ada(&plant).len(), 1, "the year ends at some time");
        plant.add("not-understood", "2026-04-01T08:00", trained);
        assert!(
            of_ada(&plant).contains(&(DueKind::Training, Since::Always)),
            "{:?}",
            of_ada(&plant)
        );
    }

    #[test]
    fn who_must_not_have_a_set_in_hands_is_due_since_that_day() {
        let day = |day: &str| Since::Day(until(day));
        let mut plant = Plant::good();
        let refused =
            Fact::ClearanceGiven { wearer: ada(), clearance: Clearance::NotCleared, until: None };
        plant.add("refused", "2026-05-06T08:00", refused);
        assert_eq!(of_set(&plant), [("medical.cleared", About::Wearer(ada()), day("2026-05-06"))]);
        let mut plant = Plant::good();
        let (air_sources, limits) = (vec![AirSource::PoweredAirPurifying], String::new());
        plant.edit("clearance", |fact| {
            if let Fact::ClearanceGiven { clearance, .. } = fact {
                *clearance = Clearance::ClearedFor { air_sources, limits };
            }
        });
        assert_eq!(
            of_set(&plant),
            [("medical.air-source", About::Wearer(ada()), day("2026-05-04"))]
        );
        let mut plant = Plant::good();
        plant.add(
            "left",
            "2026-05-07T08:00",
            Fact::WearerLeft { wearer: ada(), why: "moved".into() },
        );
        let gone = [("due.holder-in-program", About::Wearer(ada()), day("2026-05-07"))];
        assert_eq!(of_set(&plant), gone);
        plant.add("back", "2026-05-08T08:00", Fact::Returned { unit: unit(), wearer: ada() });
        assert_eq!(of_set(&plant), []);
        let mut plant = Plant::good();
        let wearer = PersonId::new("nobody");
        plant.edit("issued", |fact| *fact = Fact::Issued { unit: unit(), wearer: wearer.clone() });
        assert_eq!(told(&plant), ["due.holder-in-program"]);
    }

    #[test]
    fn a_set_of_several_that_was_used_is_due_until_it_is_clean() {
        type Change = fn(&mut Plant);
        let cases: [(&str, Change); 2] = [
            ("unit.disinfected-between-wearers", Plant::shared),
            ("unit.emergency-disinfected", Plant::emergency),
        ];
        for (rule, keep) in cases {
            let mut plant = Plant::good();
            keep(&mut plant);
            plant.remove("issued");
            plant.worn("worn", "2026-05-03T08:00", (bo(), paint(), 10.0));
            assert!(told(&plant).contains(&rule), "{:?}", told(&plant));
            plant.add("washed", "2026-05-03T09:00", Fact::Cleaned { unit: unit() });
            assert!(told(&plant).contains(&rule), "washed only");
            let (agent, contact) = ("hypochlorite, 50 ppm".to_owned(), minutes(2.0));
            plant.add(
                "bath",
                "2026-05-03T10:00",
                Fact::Disinfected { unit: unit(), agent, contact },
            );
            assert!(!told(&plant).contains(&rule), "{:?}", told(&plant));
        }
        // In the hands of the one who wears it, it is in use.
        let mut plant = Plant::good();
        plant.shared();
        plant.worn("worn", "2026-05-04T07:40", (ada(), paint(), 10.0));
        assert_eq!(told(&plant), [""; 0]);
    }

    #[test]
    fn what_the_maker_forbids_is_due_until_a_complete_release() {
        let mut plant = Plant::good();
        let noted = Fact::MakerInstructionsNoted {
            model: ModelId::new("half"),
            parts: Vec::new(),
            forbidden_cleaners: vec!["acetone".to_owned()],
            approved_disinfectants: Vec::new(),
            stands_in: "manual".to_owned(),
        };
        plant.add("noted", "2026-01-02T08:00", noted);
        let (cleaner, water) = ("Acetone".to_owned(), quantity("30 degC"));
        let step = CareStep::Washed { cleaner, water };
        plant.add("washed", "2026-05-04T06:10", Fact::CareStepDone { unit: unit(), step });
        assert!(told(&plant).contains(&"cleaning.cleaner"));
        plant.inspect("looked", "2026-05-04T09:00");
        assert!(
            told(&plant).contains(&"cleaning.cleaner"),
            "an inspection before use is not enough"
        );
        assert!(stops(&plant).contains(&"cleaning.cleaner"), "{:?}", stops(&plant));
        plant.add(
            "released",
            "2026-05-04T09:10",
            Fact::Released { unit: unit(), done: "-".into() },
        );
        assert!(!told(&plant).contains(&"cleaning.cleaner"));
        assert!(!stops(&plant).contains(&"cleaning.cleaner"));
        plant.by("released", "ada");
        assert!(told(&plant).contains(&"cleaning.cleaner"), "released by an untrained person");
    }

    #[test]
    fn a_correction_that_undoes_a_hold_is_due_as_well() {
        let mut plant = Plant::good();
        let held = |tag: &str| Fact::Held { unit: UnitId::new(tag), why: "torn".to_owned() };
        plant.add("held", "2026-05-04T07:10", held("u1"));
        plant.add_correction("undone", "2026-05-04T07:10", Some("held"), held("u7"));
        assert!(!told(&plant).contains(&"care.undone-by-correction"), "by a person who repairs");
        plant.by("undone", "ada");
        assert!(told(&plant).contains(&"care.undone-by-correction"));
        let state = State::from_entries(&plant.entries);
        let record = program::care::of(&state, &unit()).unwrap();
        let finding = record.stands_in_the_way().unwrap();
        assert_eq!(finding.evidence, ["held", "undone"]);
        assert!(
            finding.text().contains("Ada, without current repair training"),
            "{}",
            finding.text()
        );
        // Whoever has the training may correct it once more.
        plant.add_correction("again", "2026-05-04T07:10", Some("undone"), held("u8"));
        assert!(!told(&plant).contains(&"care.undone-by-correction"));
    }

    /// Rules that stop a wear whoever asks and are no duty of the set on its own.
    const AT_THE_WEAR: [&str; 15] = [
        // Who takes it, and what is done before each wear.
        "unit.in-right-hands",
        "unit.inspected-before-use",
        "unit.inspection-recent",
        // A set that nobody received or that is out of the books.
        "unit.known",
        "unit.in-service",
        // Told as a contradiction.
        "unit.model-listed",
        "elements.listed",
        // Told of the task, or a matter of this shift.
        "elements.schedule-known",
        "elements.within-schedule",
        "elements.shifts",
        "elements.opened-this-shift",
        // Fitted before the wear, and again when the wear is over.
        "elements.fitted",
        "elements.suit-model",
        // The air is told of its supply and its cylinder.
        "unit.breathing-air",
        // Longer than the cylinder lasts: a matter of the task.
        "unit.within-rated-time",
    ];

    /// Rules of which one duty is told for all: what is to be done is the same.
    const TOLD_TOGETHER: [&[&str]; 2] = [
        &["unit.not-held", "care.out-of-service", "care.undone-by-correction"],
        &[
            "unit.disinfection-contact",
            "unit.disinfectant",
            "unit.disinfected-between-wearers",
            "unit.emergency-disinfected",
        ],
    ];

    /// What stops every wear of a set, whoever asks and for whatever task, and is not due on it.
    fn silent(plant: &Plant) -> Vec<(UnitId, &'static str)> {
        let state = State::from_entries(&plant.entries);
        let now = plant.now;
        let mut silent = Vec::new();
        let day = |when: jiff::Timestamp| when.in_tz("Europe/Madrid").unwrap().date();
        let of_today = |when: jiff::Timestamp| day(when) == day(now);
        for (id, unit) in state.units().filter(|(_, unit)| unit.retired.is_none()) {
            let of_unit = asks().filter(|ask| ask.unit == *id);
            let stops = of_unit.map(|ask| {
                let verdict = may_wear_with(&state, &ask, now, &|_, task, _| plant.bound(task));
                let stop = |finding: &Finding| finding.severity == Severity::Stop;
                let found = verdict.findings.into_iter().filter(stop);
                found.map(|finding| finding.rule.id).collect::<BTreeSet<_>>()
            });
            let alone = stops.reduce(|a, b| &a & &b).unwrap_or_default();
            let of_set = ["unit.", "elements.", "care.", "repair.", "cleaning.", "donning.powered"];
            let alone =
                alone.into_iter().filter(|rule| of_set.iter().any(|of| rule.starts_with(of)));
            let told: Vec<&str> = due_of(&state, [Subject::Unit(id.clone())], (now, 0))
                .into_iter()
                .map(|due| due.finding.rule.id)
                .collect();
            // The blower is checked before each wear; one that is weak is due.
            let asked = unit
                .flow_checked
                .as_ref()
                .is_none_or(|checked| unit.happened_after(&checked.at, &Happening::ALL).is_some());
            let asked = asked || unit.flow_checked.as_ref().is_some_and(|c| !of_today(c.at.when));
            // So is the battery.
            let sound = unit.battery_checked.as_ref().is_none_or(|checked| checked.passed);
            let at_the_wear = |rule: &&str| {
                AT_THE_WEAR.contains(rule)
                    || asked && *rule == "unit.powered-flow"
                    || sound && *rule == "donning.powered-ready"
            };
            let is_told = |rule: &&str| {
                let together = TOLD_TOGETHER.iter().filter(|all| all.contains(rule));
                told.contains(rule) || together.copied().flatten().any(|one| told.contains(one))
            };
            let untold = alone.filter(|rule| !is_told(rule) && !at_the_wear(rule));
            silent.extend(untold.map(|rule| (id.clone(), rule)));
        }
        silent
    }

    #[test]
    fn what_stops_every_wear_of_a_set_is_due_on_it_in_each_case() {
        for case in cases::all() {
            let mut plant = Plant::good();
            (case.change)(&mut plant);
            assert_eq!(silent(&plant), [], "{}", case.name);
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 100, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn what_stops_every_wear_of_a_set_is_due_on_it(plant in plants()) {
            prop_assert_eq!(silent(&plant), []);
        }

        #[test]
        fn so_it_is_after_any_baths(plant in plants_with_baths()) {
            prop_assert_eq!(silent(&plant), []);
        }
    }
}
