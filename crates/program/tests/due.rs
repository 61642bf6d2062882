//! Duties that come of who has a set in hands, and of how it was disinfected.

#[cfg(test)]
mod support;

#[cfg(test)]
mod due {
    use jiff::civil::Date;
    use program::care::against_issue;
    use program::due::{About, DueKind, Since, duties};
    use program::{Fact, FitMethod, ModelId, State, Subject};

    use crate::support::plant::{Plant, ada, bo, fit_test, minutes, unit, until};
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
}
