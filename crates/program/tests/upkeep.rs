//! Repairs that are still to be judged, and the terms of cylinders and supplies.

#[cfg(test)]
mod support;

#[cfg(test)]
mod upkeep {
    use program::{CylinderTerms, Every, Fact, PersonId, RepairScope, SparePart, TrainingTopic};
    use rulebook::Severity;
    use rulebook::storage::Harm;

    use crate::support::air::{airline, sampled, self_contained};
    use crate::support::plant::{Plant, unit, until};
    use crate::support::stops;

    fn part(number: &str) -> SparePart {
        SparePart { number: number.to_owned(), name: "strap".to_owned() }
    }

    /// The half mask with one part approved for it.
    fn with_parts() -> Plant {
        let mut plant = Plant::good();
        let noted = Fact::MakerInstructionsNoted {
            model: program::ModelId::new("half"),
            parts: vec![part("P1")],
            forbidden_cleaners: Vec::new(),
            approved_disinfectants: Vec::new(),
            stands_in: "manual".to_owned(),
        };
        plant.add("parts", "2026-01-02T08:00", noted);
        plant
    }

    /// Adds what happens at the bench, a minute apart, and an inspection behind it.
    fn at_bench(plant: &mut Plant, facts: Vec<Fact>) {
        let count = facts.len();
        for (n, fact) in facts.into_iter().enumerate() {
            plant.add(&format!("bench-{n}"), &format!("2026-05-04T07:{:02}", 31 + n), fact);
        }
        plant.inspect("inspected-last", &format!("2026-05-04T07:{:02}", 31 + count));
    }

    fn held() -> Fact {
        Fact::Held { unit: unit(), why: "strap torn".to_owned() }
    }

    fn repaired(number: &str) -> Fact {
        Fact::Repaired {
            unit: unit(),
            by: PersonId::new("cy"),
            scope: RepairScope::Ordinary,
            parts: vec![part(number)],
            instructions: "manual, page 12".to_owned(),
        }
    }

    fn tested() -> Fact {
        Fact::RepairTested { unit: unit(), passed: true, how: "tightness".to_owned() }
    }

    fn released() -> Fact {
        Fact::ReleasedBy { unit: unit(), by: PersonId::new("cy"), done: "strap".to_owned() }
    }

    #[test]
    fn an_earlier_bad_repair_stops_until_a_complete_release_after_a_good_one() {
        let with = |facts: Vec<Fact>| {
            let mut plant = with_parts();
            at_bench(&mut plant, facts);
            stops(&plant)
        };
        let (good, bad) = (|| repaired("P1"), || repaired("X9"));
        assert_eq!(with(vec![held(), good(), tested(), released()]), [""; 0]);
        assert_eq!(with(vec![held(), bad(), tested(), released()]), ["repair.parts"]);
        let both =
            with(vec![held(), bad(), tested(), released(), held(), good(), tested(), released()]);
        assert_eq!(both, ["repair.parts"], "a part that is not made for the set is still in it");
        let mut by_maker = with_parts();
        let topic = TrainingTopic::RegulatorRepair;
        let trained = Fact::Trained { wearer: PersonId::new("cy"), topic, understood: true };
        by_maker.add("of-maker", "2026-01-02T08:00", trained);
        at_bench(
            &mut by_maker,
            vec![held(), bad(), tested(), released(), held(), good(), tested(), released()],
        );
        assert_eq!(stops(&by_maker), [""; 0], "whom the maker trained answers for the whole set");
        // The good repair came after the bad one and was released without a test.
        let untested = with(vec![held(), bad(), good(), released()]);
        assert!(untested.contains(&"repair.parts"), "{untested:?}");
        let twice = with(vec![held(), good(), bad(), tested(), released()]);
        assert_eq!(twice, ["repair.parts"], "the last one before the release is bad");
        let mut later = with_parts();
        let facts = vec![held(), bad(), tested(), released(), held(), good(), tested()];
        at_bench(&mut later, facts);
        let stopped = stops(&later);
        assert!(stopped.contains(&"repair.parts"), "not released yet: {stopped:?}");
    }

    /// The findings on the cylinder of a set that is otherwise good.
    fn cylinder(marking: &str, terms: Option<CylinderTerms>) -> Vec<(&'static str, String)> {
        let mut plant = self_contained();
        let (of, own) = (marking.to_owned(), terms);
        plant.edit("c", |fact| {
            if let Fact::CylinderListed { marking, terms, made, requalified, .. } = fact {
                (*marking, *terms) = (of, own);
                (*made, *requalified) = (until("2014-03-01"), until("2022-03-01"));
            }
        });
        let found = plant.verdict().findings.into_iter();
        let found =
            found.filter(|f| f.rule.id.starts_with("supply.") && Severity::Note < f.severity);
        // Nobody told from where it was filled.
        let found = found.filter(|finding| finding.rule.id != "supply.cylinder-air-dry");
        found.map(|finding| (finding.rule.id, finding.text())).collect()
    }

    fn terms(years: u16, life_ends: &str, confirmed: bool) -> Option<CylinderTerms> {
        let (every, life_ends) = (Every::Months(years * 12), Some(until(life_ends)));
        Some(CylinderTerms { every, life_ends, stands_in: "permit 1".to_owned(), confirmed })
    }

    // Sources: 49 CFR 180.209(a) Table 1 for CY02 (five years, read) and CY16 (as the permit says);
    // CY20 (five years, 15 years) is from memory.
    #[test]
    fn a_wrapped_cylinder_is_judged_by_its_permit_and_what_nobody_read_is_said_to_be_so() {
        let ids = |found: Vec<(&'static str, String)>| {
            found.into_iter().map(|(id, _)| id).collect::<Vec<_>>()
        };
        assert_eq!(
            ids(cylinder("CY16", None)),
            ["supply.cylinder-requalified", "supply.cylinder-terms"]
        );
        assert_eq!(ids(cylinder("CY16", terms(5, "2029-03-01", true))), [""; 0]);
        assert_eq!(ids(cylinder("CY16", terms(5, "2029-03-01", false))), ["supply.cylinder-terms"]);
        assert_eq!(
            ids(cylinder("CY16", terms(3, "2029-03-01", true))),
            ["supply.cylinder-requalified"]
        );
        assert_eq!(ids(cylinder("CY16", terms(5, "2026-01-01", true))), ["supply.cylinder-life"]);
        // From memory: in date, and said to be from memory; the site may read more than that.
        assert_eq!(ids(cylinder("CY20", None)), ["supply.cylinder-terms"]);
        assert_eq!(ids(cylinder("CY20", terms(5, "2034-03-01", true))), [""; 0]);
        // Terms that no usual cylinder has are told, whoever read them.
        assert_eq!(ids(cylinder("CY20", terms(12, "2034-03-01", true))), ["supply.cylinder-terms"]);
        // A period longer than any that is printed is not believed: five years, from memory, count.
        assert_eq!(ids(cylinder("CY20", terms(50, "2034-03-01", true))), ["supply.cylinder-terms"]);
        let period = "supply.cylinder-requalified";
        assert_eq!(ids(cylinder("CY16", terms(50, "2034-03-01", true))), [period]);
        // A composite cylinder has an end of its life, and one that was not entered is in doubt.
        let endless = |mut own: Option<CylinderTerms>| {
            own.as_mut().unwrap().life_ends = None;
            own
        };
        let no_end = cylinder("CY16", endless(terms(5, "2034-03-01", true)));
        assert_eq!(ids(no_end.clone()), ["supply.cylinder-terms"]);
        assert!(no_end[0].1.contains("was not entered"), "{no_end:?}");
        assert_eq!(ids(cylinder("CY16", terms(5, "2060-03-01", true))), ["supply.cylinder-terms"]);
        let past = cylinder("CY21", None);
        assert_eq!(ids(past.clone()), ["supply.cylinder-requalified", "supply.cylinder-terms"]);
        assert!(past[0].1.contains("unconfirmed"), "{past:?}");
        // What was read in the table is never made laxer: 4 years and 2 months lie within five years.
        assert_eq!(ids(cylinder("CY02", terms(10, "2034-03-01", true))), [""; 0]);
        assert_eq!(
            ids(cylinder("CY02", terms(4, "2034-03-01", true))),
            ["supply.cylinder-requalified"]
        );
        // The thin steel of aircraft has its period in one row and its life, from memory, in another.
        let thin = ids(cylinder("CY09", None));
        assert_eq!(thin, ["supply.cylinder-requalified", "supply.cylinder-terms"]);
    }

    // 29 CFR 1910.134(i)(7): with an alarm for high temperature alone the air is tested often enough.
    #[test]
    fn an_alarm_for_high_temperature_alone_asks_for_tests_of_carbon_monoxide() {
        let with = |alarm: Option<bool>, tested: &str| {
            let mut plant = airline();
            plant.remove("alarm");
            plant.edit("supply", |fact| {
                if let Fact::SupplyListed { high_temperature_alarm, .. } = fact {
                    *high_temperature_alarm = alarm;
                }
            });
            plant.add("monoxide", tested, sampled("2 ppm"));
            stops(&plant)
        };
        assert_eq!(with(Some(true), "2026-05-03T09:00"), [""; 0]);
        assert_eq!(with(None, "2026-05-03T09:00"), ["supply.carbon-monoxide"]);
        assert_eq!(with(Some(false), "2026-05-03T09:00"), ["supply.carbon-monoxide"]);
        let mut old = airline();
        old.remove("alarm");
        old.move_to("sample", "2026-03-20T09:00");
        old.edit("supply", |fact| {
            if let Fact::SupplyListed { high_temperature_alarm, .. } = fact {
                *high_temperature_alarm = Some(true);
            }
        });
        assert_eq!(stops(&old), ["supply.carbon-monoxide"], "tested six weeks ago");
    }

    // 29 CFR 1910.134(h)(2): each point of a place is one of its own.
    #[test]
    fn what_a_place_lacks_is_told_point_by_point() {
        let told = |change: &dyn Fn(&mut Fact)| {
            let mut plant = Plant::good();
            plant.emergency();
            let place = program::PlaceId::new("cabinet");
            let mut fact = Fact::PlaceDescribed {
                place: place.clone(),
                name: "Cabinet".to_owned(),
                keeps_out: Harm::ALL.to_vec(),
                keeps_shape: true,
                within_reach: true,
                marked: true,
            };
            change(&mut fact);
            plant.add("place", "2026-01-03T08:00", fact);
            plant.add("stored", "2026-01-20T08:00", Fact::Stored { unit: unit(), place });
            let state = program::State::from_entries(&plant.entries);
            let found = program::upkeep::of_storage(&state, state.unit(&unit()).unwrap());
            found.iter().map(|finding| (finding.rule.id, finding.text())).collect::<Vec<_>>()
        };
        assert_eq!(told(&|_| {}), []);
        let mut sunny = told(&|fact| {
            if let Fact::PlaceDescribed { keeps_out, .. } = fact {
                keeps_out.retain(|harm| *harm != Harm::Sun);
            }
        });
        let (rule, words) = sunny.pop().unwrap();
        assert!(sunny.is_empty() && words.ends_with("does not protect from sunlight"), "{words}");
        assert_eq!(rule, "storage.protected");
        let of = |change: &dyn Fn(&mut Fact)| {
            told(change).into_iter().map(|(rule, _)| rule).collect::<Vec<_>>()
        };
        let points = |shape, reach, mark| {
            move |fact: &mut Fact| {
                if let Fact::PlaceDescribed { keeps_shape, within_reach, marked, .. } = fact {
                    (*keeps_shape, *within_reach, *marked) = (shape, reach, mark);
                }
            }
        };
        assert_eq!(of(&points(false, true, true)), ["storage.not-deformed"]);
        assert_eq!(of(&points(true, false, true)), ["storage.emergency-accessible"]);
        assert_eq!(of(&points(true, true, false)), ["storage.emergency-marked"]);
    }

    // Source: 29 CFR 1910.134 App. B-1 II.
    #[test]
    fn a_makers_own_seal_check_counts_once_it_was_shown_as_good_as_the_printed_ones() {
        let with = |model: &str, how: &str, when: &str| {
            let mut plant = Plant::good();
            let (wearer, way) = (crate::support::plant::ada(), program::SealCheck::Makers);
            let checked = Fact::SealChecked { unit: unit(), wearer, passed: true, way };
            plant.add("seal", "2026-05-04T09:46", checked);
            let (model, signed) = (program::ModelId::new(model), "Cy".to_owned());
            let fact = Fact::MakersSealCheckShown { model, how: how.to_owned(), signed };
            plant.add("shown", when, fact);
            stops(&plant)
        };
        let stop = ["donning.seal-check"];
        assert_eq!(with("half", "compared, report 12", "2026-02-01T08:00"), [""; 0]);
        assert_eq!(with("half-b", "compared, report 12", "2026-02-01T08:00"), stop);
        assert_eq!(with("half", " ", "2026-02-01T08:00"), stop);
        assert!(with("half", "compared, report 12", "2026-06-01T08:00").contains(&stop[0]));
    }
}
