//! Records that lie ahead, and records of what cannot be so.

#[cfg(test)]
mod support;

#[cfg(test)]
mod records {
    use program::check::check_fact;
    use program::{
        Clearance, CylinderId, CylinderTerms, ElementTypeId, Every, Fact, FitMethod, ModelId,
        PersonId, Role, SiteId, State, UnitId,
    };
    use rulebook::Decision;

    use crate::support::air::{airline, filled, sampled, self_contained, supply};
    use crate::support::plant::{
        Plant, ada, elements, fit_test, minutes, paint, quantity, spec, strip, unit, until,
    };
    use crate::support::stops;

    const AHEAD: &str = "2026-06-04T08:00";

    #[test]
    fn what_an_answer_rests_on_and_is_dated_ahead_stops_it() {
        let ahead = |mut plant: Plant, fact: Fact| {
            assert_eq!(plant.verdict().decision, Decision::Allowed);
            plant.add("ahead", AHEAD, fact);
            stops(&plant).contains(&"records.not-ahead")
        };
        assert!(ahead(airline(), sampled("2 ppm")), "the supply behind the set");
        assert!(ahead(self_contained(), filled("299 bar", None)), "the cylinder on the set");
        let (person, role) = (PersonId::new("cy"), Role::FitTester);
        let given = |person: PersonId| {
            let (name, shown) = ("Cy".to_owned(), "course".to_owned());
            Fact::RoleGiven { person, name, role, shown, until: None }
        };
        let group = |tasks| {
            let (group, name) = (program::GroupId::new("g"), "painters".to_owned());
            Fact::ExposureGroupDescribed { group, name, tasks }
        };
        let mut grouped = Plant::good();
        grouped.add("group", "2026-03-01T08:00", group(vec![paint()]));
        assert!(
            ahead(grouped, group(vec![strip()])),
            "the group whose readings speak for the task"
        );
        let mut repaired = Plant::good();
        repaired.add("held", "2026-03-01T08:00", Fact::Held { unit: unit(), why: "?".into() });
        repaired.add(
            "released",
            "2026-03-01T09:00",
            Fact::Released { unit: unit(), done: "new strap".into() },
        );
        assert!(ahead(repaired, given(person.clone())), "who released the set");
        assert!(!ahead(Plant::good(), given(person)), "somebody who has no part in this answer");
        let policy = Fact::PolicySet { rule: "fit.in-date".to_owned(), every: Every::Months(6) };
        assert!(ahead(Plant::good(), policy), "the policy of the site");
        let written = Fact::ProgramWritten { version: "2".into(), kept_at: "office".into() };
        assert!(!ahead(Plant::good(), written), "the written program does not bear on a wear");
        let mut listed = Plant::good();
        let again = listed.entries.iter().find(|e| e.id.as_str() == "model-half").unwrap();
        let again = again.fact.clone();
        assert!(ahead(listed.clone(), again), "the model of the set");
        listed.remove("model-hood");
        let other = Plant::good();
        let other = other.entries.iter().find(|e| e.id.as_str() == "model-hood").unwrap();
        assert!(!ahead(listed, other.fact.clone()), "another model");
    }

    #[test]
    fn a_reading_ahead_in_another_task_where_the_elements_were_worn_stops() {
        let mut plant = Plant::good();
        plant.worn("stripped", "2026-05-04T07:12", (ada(), strip(), 5.0));
        let reading = crate::support::plant::reading(&strip(), "1 ppm");
        plant.add("ahead", AHEAD, reading);
        assert_eq!(stops(&plant), ["records.not-ahead"]);
    }

    // Which of two came last is not told where both carry the same instants, as in a list that was turned into
    // entries by the day: an answer must not hang on the ids.
    #[test]
    fn of_two_entries_of_one_instant_the_one_that_takes_more_away_counts() {
        let cleared = |clearance| Fact::ClearanceGiven { wearer: ada(), clearance, until: None };
        let trained = |understood| {
            let topic = program::TrainingTopic::Wear;
            Fact::Trained { wearer: ada(), topic, understood }
        };
        let fit = |passed, fit_factor| Fact::FitTested {
            wearer: ada(),
            model: ModelId::new("half"),
            size: "M".into(),
            method: FitMethod::Quantitative { fit_factor },
            passed,
            hair_in_seal: false,
            seal_note: String::new(),
        };
        let hair = |there| Fact::SealHairSeen { wearer: ada(), there };
        let asked = Fact::RenewalAsked { wearer: ada(), of: program::Renewal::FitTest };
        for (good, bad, rule) in [
            (cleared(Clearance::Cleared), cleared(Clearance::NotCleared), "medical.cleared"),
            (trained(true), trained(false), "training.understood"),
            (fit(true, 500.0), fit(false, 20.0), "fit.passed"),
            (fit(true, 500.0), asked, "fit.renewal-asked"),
            (hair(false), hair(true), "seal.hair-seen"),
        ] {
            for ids in [["a", "b"], ["b", "a"]] {
                let mut plant = Plant::good();
                for (id, fact) in ids.into_iter().zip([&good, &bad]) {
                    plant.add(id, "2026-05-03T08:00", fact.clone());
                    let last = plant.entries.last_mut().unwrap();
                    last.entered = last.happened;
                }
                assert!(stops(&plant).contains(&rule), "{rule} {ids:?}");
            }
        }
    }

    /// What is refused of a fact said to have happened on 4 May 2026, by field.
    fn refused(plant: &Plant, fact: &Fact) -> Vec<&'static str> {
        let state = State::from_entries(&plant.entries);
        let said = (&SiteId::new("north"), plant.now);
        let problems = check_fact(&state, said, fact).err().unwrap_or_default();
        for problem in &problems {
            assert!(!problem.what.is_empty() && !problem.remedy.is_empty(), "{problem:?}");
        }
        problems.into_iter().map(|problem| problem.field).collect()
    }

    fn tagged(tag: &str) -> Fact {
        let mut fact = received("half", "M");
        if let Fact::UnitReceived { unit, .. } = &mut fact {
            *unit = UnitId::new(tag);
        }
        fact
    }

    // Unicode Standard Annex 15: forms of one letter; the rest is common practice, no source.
    #[test]
    fn a_tag_that_holds_what_nobody_sees_or_that_looks_like_another_is_refused_by_name() {
        let said = |tag: &str| {
            let state = State::from_entries(&Plant::good().entries);
            let said = (&SiteId::new("north"), Plant::good().now);
            let problems = check_fact(&state, said, &tagged(tag)).err().unwrap_or_default();
            problems
                .into_iter()
                .map(|one| format!("{}: {}", one.what, one.remedy))
                .collect::<String>()
        };
        assert_eq!(said("u7"), "");
        assert_eq!(said("Half mask 7"), "");
        for (tag, what) in [
            ("u7\u{200b}", "`\\u{200b}`, which nobody sees on a tag"),
            ("u\u{ad}7", "`\\u{ad}`, which nobody sees"),
            ("\u{202e}u7", "which nobody sees"),
            ("u\u{0}7", "which nobody sees"),
            ("Half  mask 7", "white space that nobody can tell apart"),
            ("Half\u{a0}mask 7", "white space that nobody can tell apart"),
            ("U1", "`U1` looks like `u1`, which is known already"),
            ("\u{ff55}1", "looks like `u1`, which is known already"),
            ("u\u{ff11}", "write `u1` where that one is meant"),
        ] {
            assert!(said(tag).contains(what), "{tag:?}: {}", said(tag));
        }
        let mut plant = Plant::good();
        for (field, fact) in [
            ("wearer", Fact::WearerEnrolled { wearer: PersonId::new("ADA"), name: "Ada".into() }),
            ("task", Fact::TaskDescribed { task: program::TaskId::new("Paint"), spec: spec() }),
        ] {
            assert_eq!(refused(&plant, &fact), [field]);
        }
        // What was kept of old stays as it is.
        plant.add("old", "2026-01-12T08:00", tagged("u7\u{200b}"));
        assert_eq!(refused(&plant, &tagged("u7\u{200b}")), [""; 0]);
    }

    #[test]
    fn a_tag_from_elsewhere_that_looks_like_another_is_a_contradiction_until_one_is_corrected() {
        for twin in ["U1", "u1\u{200b}", "\u{ff55}1", "u\u{ff11}"] {
            let mut plant = Plant::good();
            let held = |tag: &str| Fact::Held { unit: UnitId::new(tag), why: "torn".into() };
            plant.add("held", "2026-05-04T07:40", held(twin));
            assert_eq!(stops(&plant), ["records.agree"], "{twin:?}");
            let state = State::from_entries(&plant.entries);
            let words: Vec<String> =
                state.contradictions().into_iter().map(|one| one.words).collect();
            assert!(words.iter().any(|words| words.contains("told apart by nothing")), "{words:?}");
            plant.add_correction("meant", "2026-05-04T07:40", Some("held"), held("u1"));
            let meant = stops(&plant);
            assert!(!meant.contains(&"records.agree"), "{meant:?}");
            assert!(meant.contains(&"unit.not-held"), "{meant:?}");
        }
        let mut plant = Plant::good();
        let other = Fact::WearerEnrolled { wearer: PersonId::new("Ada"), name: "Ada".into() };
        plant.add("twin", "2026-05-04T07:40", other);
        assert_eq!(stops(&plant), ["records.agree"]);
    }

    #[test]
    fn a_fit_test_of_a_size_written_otherwise_is_one_of_that_size() {
        let mut plant = Plant::good();
        let mut failed = fit_test("half", FitMethod::Qualitative, false);
        if let Fact::FitTested { size, .. } = &mut failed {
            *size = "m".to_owned();
        }
        plant.add("failed", "2026-05-04T07:40", failed);
        assert_eq!(stops(&plant), ["fit.passed"]);
    }

    fn received(model: &str, size: &str) -> Fact {
        Fact::UnitReceived {
            unit: UnitId::new("u7"),
            model: ModelId::new(model),
            size: size.into(),
            serial: "s7".into(),
            shared: false,
            emergency: false,
        }
    }

    fn cylinder(made: &str, requalified: &str, terms: Option<CylinderTerms>) -> Fact {
        Fact::CylinderListed {
            cylinder: CylinderId::new("c7"),
            serial: "7".to_owned(),
            marking: if terms.is_some() { "CY16" } else { "CY02" }.to_owned(),
            rated: quantity("300 bar"),
            water_volume: quantity("6 L"),
            made: until(made),
            requalified: until(requalified),
            terms,
            part: String::new(),
        }
    }

    fn terms(every: Every, life_ends: &str) -> Option<CylinderTerms> {
        let (stands_in, life_ends) = ("permit 1".to_owned(), Some(until(life_ends)));
        Some(CylinderTerms { every, life_ends, stands_in, confirmed: true })
    }

    #[test]
    fn what_cannot_be_so_is_refused_with_its_field() {
        let plant = Plant::good();
        let check = |fact: Fact, fields: &[&str]| {
            assert_eq!(refused(&plant, &fact), fields, "{fact:?}");
        };
        check(received("half", "M"), &[]);
        check(received("half", "XXL"), &["size"]);
        check(received("never-listed", "XXL"), &[]);
        let mut test = fit_test("half", FitMethod::Qualitative, true);
        check(test.clone(), &[]);
        if let Fact::FitTested { size, .. } = &mut test {
            *size = "L".into();
        }
        check(test, &["size"]);
        let months = Every::Months(60);
        check(cylinder("2024-03-01", "2024-03-01", None), &[]);
        check(cylinder("2024-03-01", "2023-03-01", None), &["requalified"]);
        check(cylinder("2027-03-01", "2027-03-01", None), &["made", "requalified"]);
        let lived = terms(months, "2025-01-01");
        check(cylinder("2010-03-01", "2025-03-01", lived), &["terms.life_ends"]);
        let never = terms(Every::Months(0), "2030-01-01");
        check(cylinder("2024-03-01", "2024-03-01", never), &["terms.every.months"]);
        let mut permit = cylinder("2024-03-01", "2024-03-01", terms(months, "2030-01-01"));
        check(permit.clone(), &[]);
        if let Fact::CylinderListed { terms, .. } = &mut permit {
            *terms = None;
        }
        check(permit, &["terms.every.months"]);
        let policy = |every| Fact::PolicySet { rule: "fit.in-date".to_owned(), every };
        check(policy(Every::Days(0)), &["every.days"]);
        check(policy(Every::Months(0)), &["every.months"]);
        check(policy(Every::Days(1)), &[]);
        let (task, element_type) = (paint(), ElementTypeId::new("ov"));
        let adopted = |shifts, wear| Fact::ScheduleAdopted {
            task: task.clone(),
            element_type: element_type.clone(),
            max_wear: minutes(wear),
            shifts,
        };
        check(adopted(1, 60.0), &[]);
        check(adopted(0, 60.0), &["shifts"]);
        check(adopted(200, 0.0), &["shifts", "max_wear"]);
        check(elements("ov", "2026-05-04T06:55"), &[]);
        check(elements("ov", "2026-05-04T12:00"), &["opened"]);
        let mut spec = spec();
        spec.wear_per_shift = minutes(0.0);
        check(Fact::TaskDescribed { task: task.clone(), spec }, &["spec.wear_per_shift"]);
        let worn = Fact::Worn { unit: unit(), wearer: ada(), task, time: minutes(3000.0) };
        check(worn, &["time"]);
        let mut carried = Plant::good();
        carried.of_model("carried");
        let on_carried = elements("ov", "2026-05-04T06:55");
        assert_eq!(refused(&carried, &on_carried), ["element_type"]);
    }

    #[test]
    fn a_cylinder_or_a_sample_of_air_that_cannot_be_so_is_refused_with_its_field() {
        let plant = Plant::good();
        let check = |fact: Fact, fields: &[&str]| {
            assert_eq!(refused(&plant, &fact), fields, "{fact:?}");
        };
        // Longer than any period that is printed, for any kind of cylinder.
        let rare = terms(Every::Months(600), "2038-01-01");
        check(cylinder("2024-03-01", "2024-03-01", rare), &["terms.every.months"]);
        let sized = |of: (&str, &str)| {
            let mut listed = cylinder("2024-03-01", "2024-03-01", None);
            if let Fact::CylinderListed { rated, water_volume, .. } = &mut listed {
                (*rated, *water_volume) = (quantity(of.0), quantity(of.1));
            }
            listed
        };
        check(sized(("300 bar", "6.8 L")), &[]);
        check(sized(("300 bar", "0.0068 L")), &["water_volume"]);
        check(sized(("3 bar", "6.8 L")), &["rated"]);
        check(sized(("510 bar", "510 L")), &["rated", "water_volume"]);
        let (rated, read) = (quantity("3 bar"), quantity("3 bar"));
        check(Fact::CylinderRead { unit: unit(), rated, read }, &["rated"]);
        let measured = |level: &str| Fact::ExposureMeasured {
            group: program::GroupId::new("g"),
            cas: quantity("108-88-3"),
            level: quantity(level),
            detected: true,
            sampled: minutes(400.0),
            method: "tube".into(),
        };
        check(measured("0.5 ppb"), &[]);
        check(measured("0 ppm"), &["level"]);
        let (supply, figures) = (supply(), program::AirFigures::default());
        check(Fact::AirSampled { supply, figures }, &["figures.oxygen"]);
    }

    #[test]
    fn of_the_sites_of_a_wear_the_strictest_policy_counts() {
        let policy = |every| Fact::PolicySet { rule: "training.in-date".to_owned(), every };
        let elsewhere = |plant: &mut Plant, ids: &[&str]| {
            let moved = |entry: &&mut program::Entry| ids.contains(&entry.id.as_str());
            plant.entries.iter_mut().filter(moved).for_each(|e| e.site = SiteId::new("south"));
        };
        let opened = Fact::SiteOpened { name: "South".into(), time_zone: "Europe/Madrid".into() };
        for (of_south, every, stopped) in [
            (&["south", "task-paint"][..], Every::Months(12), false),
            (&["south", "task-paint"], Every::Days(1), true),
            (&["south", "task-paint", "policy"], Every::Days(1), true),
            (&["south", "received", "policy"], Every::Days(1), true),
        ] {
            let mut plant = Plant::good();
            plant.add("south", "2025-01-03T08:00", opened.clone());
            plant.add("policy", "2026-01-02T08:00", policy(every));
            elsewhere(&mut plant, of_south);
            let stops = stops(&plant);
            assert_eq!(stops.contains(&"training.in-date"), stopped, "{of_south:?}: {stops:?}");
        }
    }

    #[test]
    fn what_arrives_all_the_same_is_told_and_allows_no_wear() {
        let told = |plant: &Plant, words: &str| {
            let state = State::from_entries(&plant.entries);
            let all = state.contradictions();
            assert!(all.iter().any(|one| one.unsettled && one.words.contains(words)), "{all:?}");
        };
        let mut plant = Plant::good();
        for id in ["received", "fit"] {
            plant.edit(id, |fact| match fact {
                Fact::UnitReceived { size, .. } | Fact::FitTested { size, .. } => {
                    *size = "XXL".into();
                }
                _ => {}
            });
        }
        assert_eq!(stops(&plant), ["records.agree"]);
        told(&plant, "`u1`: model half does not come in the size `XXL`");
        told(&plant, "fit test of `ada`");

        let mut plant = self_contained();
        plant.add("cartridges", "2026-05-04T07:00", elements("ov", "2026-05-04T06:55"));
        plant.inspect("inspected-3", "2026-05-04T09:45");
        assert_eq!(stops(&plant), ["records.agree"]);
        told(&plant, "a self-contained set takes no cartridges");

        let mut plant = self_contained();
        plant.edit("c", |fact| {
            if let Fact::CylinderListed { requalified, made, .. } = fact {
                (*made, *requalified) = (until("2025-03-01"), until("2024-03-01"));
            }
        });
        assert_eq!(stops(&plant), ["records.agree"]);
        told(&plant, "cylinder `c1`: it was tested on 2024-03-01, before it was made");

        let mut plant = self_contained();
        plant.edit("c", |fact| {
            if let Fact::CylinderListed { terms: own, marking, .. } = fact {
                *own = terms(Every::Months(600), "2034-01-01");
                *marking = "CY16".to_owned();
            }
        });
        assert_eq!(stops(&plant), ["records.agree", "supply.cylinder-requalified"]);
        told(&plant, "no cylinder is tested only each");

        let mut plant = Plant::good();
        plant.edit_spec(|spec| spec.wear_per_shift = minutes(0.0));
        assert_eq!(stops(&plant), ["records.agree"]);

        let mut plant = Plant::good();
        let policy = Fact::PolicySet { rule: "fit.in-date".to_owned(), every: Every::Days(0) };
        plant.add("policy", "2026-01-02T08:00", policy);
        told(&plant, "can never be kept");
        assert_eq!(stops(&plant), ["fit.in-date"], "it stops what it can, and lets nothing pass");
    }
}
