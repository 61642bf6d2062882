//! Folding entries: corrections, contradictions, and the air of a task.

#[cfg(test)]
mod support;

#[cfg(test)]
mod state {
    use program::{Entry, EntryId, Fact, FitMethod, PersonId, State, TrainingTopic, UnitId};
    use rulebook::{AirborneForm, Level};

    use crate::support::plant::{Plant, ada, bo, fit_test, paint, reading, reading_of, unit};
    use crate::support::seen;

    fn folded(plant: &Plant) -> State {
        State::from_entries(&plant.entries)
    }

    fn backwards(plant: &Plant) -> State {
        State::from_entries(plant.entries.iter().rev())
    }

    fn trained(understood: bool) -> Fact {
        Fact::Trained { wearer: ada(), topic: TrainingTopic::Care, understood }
    }

    fn said(state: &State) -> Vec<String> {
        state.contradictions().into_iter().map(|one| one.words).collect()
    }

    #[test]
    fn the_same_entry_twice_adds_nothing() {
        let plant = Plant::good();
        let mut state = folded(&plant);
        let before = (state.len(), seen(&state));
        plant.entries.iter().for_each(|entry| state.apply(entry));
        assert_eq!((state.len(), seen(&state)), before);
        assert!(said(&state).is_empty(), "{:?}", said(&state));
    }

    #[test]
    fn two_entries_under_one_id_are_a_contradiction_and_the_earlier_counts() {
        let mut plant = Plant::good();
        plant.add("care", "2026-03-02T08:00", trained(true));
        plant.add("care", "2026-03-01T08:00", trained(false));
        for state in [folded(&plant), backwards(&plant)] {
            assert_eq!(said(&state), ["two different entries carry the id `care`"]);
            let wearer = state.wearer(&ada()).unwrap();
            assert!(!wearer.training[&TrainingTopic::Care].understood);
        }
    }

    #[test]
    fn a_corrected_entry_stays_visible_and_no_longer_counts() {
        let mut plant = Plant::good();
        let failed = fit_test("half", FitMethod::Qualitative, false);
        plant.add_correction("fit-corrected", "2026-02-03T09:00", Some("fit"), failed);
        for state in [folded(&plant), backwards(&plant)] {
            let wearer = state.wearer(&ada()).unwrap();
            let test = wearer.latest_fit_test.as_ref().unwrap();
            assert!(!test.passed && test.at.entry.as_str() == "fit-corrected");
            let history: Vec<&Entry> = state.history_of_wearer(&ada()).collect();
            let shown = |id: &str| history.iter().any(|entry| entry.id.as_str() == id);
            assert!(shown("fit") && shown("fit-corrected"));
            let instead = state.counted_instead_of(&EntryId::new("fit")).unwrap();
            assert_eq!(instead.id.as_str(), "fit-corrected");
            assert!(state.counted_instead_of(&EntryId::new("fit-corrected")).is_none());
            assert!(said(&state).is_empty(), "{:?}", said(&state));
        }
    }

    #[test]
    fn a_correction_can_move_a_fact_to_another_set() {
        let mut plant = Plant::good();
        plant.add("wash", "2026-05-01T08:00", Fact::Cleaned { unit: unit() });
        let other = Fact::Cleaned { unit: UnitId::new("u2") };
        plant.add_correction("wash-2", "2026-05-01T08:00", Some("wash"), other);
        for state in [folded(&plant), backwards(&plant)] {
            assert!(state.unit(&unit()).unwrap().cleaned.is_none());
            let words = "there are entries about the respirator `u2`, which nobody made known";
            assert_eq!(said(&state), [words]);
        }
    }

    #[test]
    fn entries_that_correct_each_other_are_kept_and_told() {
        let mut plant = Plant::good();
        plant.add_correction("ring-1", "2026-03-01T08:00", Some("ring-2"), trained(true));
        plant.add_correction("ring-2", "2026-03-02T08:00", Some("ring-1"), trained(false));
        plant.add_correction("self", "2026-03-03T08:00", Some("self"), trained(true));
        for state in [folded(&plant), backwards(&plant)] {
            let words = said(&state);
            assert_eq!(words.len(), 2, "{words:?}");
            assert!(words.iter().all(|words| words.contains("in a ring")), "{words:?}");
            // Something of them still counts: a fact must not vanish by being corrected.
            assert!(state.wearer(&ada()).unwrap().training.contains_key(&TrainingTopic::Care));
        }
    }

    #[test]
    fn a_correction_of_what_is_not_here_counts_and_is_told_until_it_arrives() {
        let mut plant = Plant::good();
        plant.add_correction("late", "2026-03-02T08:00", Some("early"), trained(false));
        let mut state = folded(&plant);
        assert_eq!(said(&state), ["entry `late` corrects `early`, which is not here"]);
        assert!(!state.wearer(&ada()).unwrap().training[&TrainingTopic::Care].understood);
        plant.add("early", "2026-03-03T08:00", trained(true));
        state.apply(plant.entries.last().unwrap());
        assert!(said(&state).is_empty(), "{:?}", said(&state));
        assert!(!state.wearer(&ada()).unwrap().training[&TrainingTopic::Care].understood);
    }

    #[test]
    fn contradictions_of_a_set_are_told_with_their_entries() {
        let mut plant = Plant::good();
        plant.add("to-bo", "2026-05-04T06:10", Fact::Issued { unit: unit(), wearer: bo() });
        let eve = PersonId::new("eve");
        plant.add("from-eve", "2026-05-04T06:20", Fact::Returned { unit: unit(), wearer: eve });
        plant.add(
            "gone",
            "2026-05-04T06:30",
            Fact::Retired { unit: unit(), why: "worn out".into() },
        );
        plant.worn("after", "2026-05-04T06:40", (bo(), paint(), 10.0));
        plant.remove("model-half");
        plant.remove("kind-ov");
        let state = folded(&plant);
        let told: Vec<(String, Vec<String>)> = state
            .contradictions()
            .into_iter()
            .map(|one| (one.words, one.entries.iter().map(ToString::to_string).collect()))
            .collect();
        let has = |words: &str, entries: &[&str]| {
            assert!(told.iter().any(|(w, e)| w == words && e == entries), "{words}: {told:?}");
        };
        has("`u1` was issued to bo while ada had it", &["issued", "to-bo"]);
        has("eve gave `u1` back without having it", &["from-eve"]);
        has("`u1` was worn after it was retired", &["gone", "after"]);
        has("respirator `u1` is of model `half`, never listed", &["received"]);
        has("respirator `u1` carries elements `ov`, never listed", &["fitted"]);
        has("there are entries about the wearer `eve`, which nobody made known", &["from-eve"]);
    }

    #[test]
    fn the_air_of_a_task_is_its_highest_recent_reading() {
        let mut plant = Plant::good();
        plant.add("r-high", "2025-09-01T08:00", reading(&paint(), "90 ppm"));
        plant.add("r-old", "2025-03-01T08:00", reading(&paint(), "400 ppm"));
        let level = |plant: &Plant, now: &str| {
            let place = folded(plant).place_at(&paint(), now.parse().unwrap()).unwrap();
            match place.contaminants[0].level {
                Level::Known(level) => level.to_string(),
                Level::Unknown => "unknown".to_owned(),
            }
        };
        assert_eq!(level(&plant, "2026-05-04T08:00:00Z"), "90 ppm");
        assert_eq!(level(&plant, "2026-09-02T08:00:00Z"), "40 ppm");
        assert_eq!(level(&plant, "2027-03-03T08:00:00Z"), "unknown");
        // Counted back from the latest reading itself, that reading is never too old.
        let place = folded(&plant).place_of(&paint()).unwrap();
        assert!(matches!(place.contaminants[0].level, Level::Known(_)));
        plant.add("r-unmeasured", "2026-04-01T08:00", reading(&paint(), "?"));
        assert_eq!(level(&plant, "2026-05-04T08:00:00Z"), "unknown");
        plant.add("r-measured", "2026-04-02T08:00", reading(&paint(), "10 ppm"));
        assert_eq!(level(&plant, "2026-05-04T08:00:00Z"), "90 ppm");
        // 500 mg/m3 of toluene are more than 90 ppm.
        plant.add("r-mass", "2026-04-03T08:00", reading(&paint(), "500 mg/m3"));
        assert_eq!(level(&plant, "2026-05-04T08:00:00Z"), "500 mg/m3");
        plant.add("r-fibres", "2026-04-04T08:00", reading(&paint(), "0.1 f/cm3"));
        assert_eq!(level(&plant, "2026-05-04T08:00:00Z"), "unknown");
    }

    #[test]
    fn the_day_of_a_reading_is_a_day_at_the_site() {
        let mut plant = Plant::good();
        plant.remove("reading-paint");
        // 23:30 on 3 May in Madrid is still 3 May there, though 21:30 the same day in UTC.
        plant.add("r-late", "2025-05-03T23:30", reading(&paint(), "40 ppm"));
        let known = |now: &str| {
            let place = folded(&plant).place_at(&paint(), now.parse().unwrap()).unwrap();
            place.contaminants[0].level != Level::Unknown
        };
        assert!(known("2026-05-03T21:59:00Z"));
        assert!(!known("2026-05-03T22:01:00Z"), "the day ends at midnight of the site");
    }

    #[test]
    fn a_contaminant_is_in_every_state_in_which_it_was_found() {
        let mut plant = Plant::good();
        let mut mist = reading(&paint(), "20 ppm");
        if let Fact::ReadingTaken { form, .. } = &mut mist {
            *form = AirborneForm::Particle;
        }
        plant.add("r-mist", "2026-04-01T08:00", mist);
        plant.add("r-hexane", "2026-04-01T09:00", reading_of("110-54-3", &paint(), "20 ppm"));
        let place = folded(&plant).place_of(&paint()).unwrap();
        let forms: Vec<AirborneForm> = place.contaminants.iter().map(|c| c.form).collect();
        assert_eq!(forms, [AirborneForm::VapourAndParticle, AirborneForm::Vapour]);
    }
}
