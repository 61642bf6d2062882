//! A correction by somebody who does not run the program lifts nothing.

#[cfg(test)]
mod support;

#[cfg(test)]
mod corrected {
    use program::due::{Days, duties};
    use program::{
        AirQuality, Clearance, Fact, FitMethod, InspectionOccasion, PersonId, PlaceId, Renewal,
        Role, SealCheck, State, Subject, TrainingTopic, UnitId,
    };
    use proptest::prelude::*;
    use rulebook::{Decision, Finding, Severity};

    use crate::support::air::{airline, filled, sampled, self_contained, supply};
    use crate::support::corrections::corrected;
    use crate::support::plant::{
        Plant, ada, bo, fit_test, minutes, paint, quantity, reading, unit, until,
    };
    use crate::support::{plain, stops};

    /// What only a correction puts right.
    const BY_ANY: [&str; 2] = ["records.agree", "records.not-ahead"];

    /// Something that stands in the way, how somebody corrects it away, and what puts it right.
    struct Slip {
        plant: Plant,
        wrong: Fact,
        corrected: Fact,
        rule: &'static str,
        right: Vec<Fact>,
    }

    fn slip(
        plant: Plant,
        (wrong, corrected): (Fact, Fact),
        rule: &'static str,
        right: &[Fact],
    ) -> Slip {
        Slip { plant, wrong, corrected, rule, right: right.to_vec() }
    }

    /// What is no matter of the set, the wearer or the task that is asked about.
    fn elsewhere() -> Fact {
        Fact::Stored { unit: UnitId::new("another"), place: PlaceId::new("shelf") }
    }

    fn inspected() -> Fact {
        let (occasion, found) = (InspectionOccasion::BeforeUse, String::new());
        Fact::Inspected { unit: unit(), occasion, passed: true, found }
    }

    fn powered() -> Plant {
        let mut plant = Plant::good();
        plant.of_model("powered");
        plant.add("flow", "2026-05-04T07:31", flow("180 L/min"));
        plant.add("battery", "2026-05-04T07:32", battery(true));
        plant
    }

    fn flow(found: &str) -> Fact {
        let (flow, least) = (quantity(found), quantity("115 L/min"));
        Fact::PoweredFlowChecked { unit: unit(), flow, least }
    }

    fn battery(passed: bool) -> Fact {
        Fact::BatteryChecked { unit: unit(), passed, found: "9 V".to_owned() }
    }

    fn shared() -> Plant {
        let mut plant = Plant::good();
        plant.shared();
        plant
    }

    fn disinfected(agent: &str) -> Fact {
        Fact::Disinfected { unit: unit(), agent: agent.to_owned(), contact: minutes(2.0) }
    }

    fn air(quality: AirQuality) -> Fact {
        Fact::BreathingAirTested { unit: unit(), quality, cylinder: None }
    }

    fn read(bar: &str) -> Fact {
        Fact::CylinderRead { unit: unit(), rated: quantity("300 bar"), read: quantity(bar) }
    }

    fn cleared(clearance: Clearance, until: Option<&str>) -> Fact {
        let until = until.map(crate::support::plant::until);
        Fact::ClearanceGiven { wearer: ada(), clearance, until }
    }

    #[expect(clippy::too_many_lines, reason = "a plain list of slips")]
    fn slips() -> Vec<Slip> {
        let tasted = |passed| fit_test("half", FitMethod::Qualitative, passed);
        let sealed = |passed| Fact::SealChecked {
            unit: unit(),
            wearer: ada(),
            passed,
            way: SealCheck::Both,
        };
        let worn = |wearer: PersonId, time| Fact::Worn {
            unit: unit(),
            wearer,
            task: paint(),
            time: minutes(time),
        };
        let alarm = |passed| Fact::CarbonMonoxideAlarmChecked {
            supply: supply(),
            passed,
            alarms_at: quantity("10 ppm"),
        };
        let trained =
            |understood| Fact::Trained { wearer: ada(), topic: TrainingTopic::Wear, understood };
        let asked = |of| Fact::RenewalAsked { wearer: ada(), of };
        let clean =
            [Fact::Cleaned { unit: unit() }, disinfected("hypochlorite, 50 ppm"), inspected()];
        let (good, cleared_for_all) = (Plant::good, cleared(Clearance::Cleared, None));
        vec![
            slip(
                self_contained(),
                (air(AirQuality::Fails), air(AirQuality::Meets)),
                "unit.breathing-air",
                &[air(AirQuality::Meets)],
            ),
            slip(
                airline(),
                (sampled("40 ppm"), sampled("2 ppm")),
                "supply.air-tested",
                &[sampled("2 ppm")],
            ),
            slip(airline(), (alarm(false), alarm(true)), "supply.alarm-checked", &[alarm(true)]),
            slip(
                self_contained(),
                (filled("295 bar", None), elsewhere()),
                "unit.breathing-air",
                &[air(AirQuality::Meets)],
            ),
            slip(
                self_contained(),
                (read("250 bar"), read("295 bar")),
                "unit.cylinder-full",
                &[read("295 bar")],
            ),
            slip(
                powered(),
                (flow("100 L/min"), flow("180 L/min")),
                "unit.powered-flow",
                &[flow("180 L/min")],
            ),
            slip(
                powered(),
                (battery(false), battery(true)),
                "donning.powered-ready",
                &[battery(true)],
            ),
            slip(good(), (sealed(false), sealed(true)), "donning.seal-check", &[sealed(true)]),
            slip(good(), (tasted(false), tasted(true)), "fit.passed", &[tasted(true)]),
            slip(good(), (trained(false), trained(true)), "training.understood", &[trained(true)]),
            slip(
                good(),
                (cleared(Clearance::NotCleared, None), cleared_for_all.clone()),
                "medical.cleared",
                std::slice::from_ref(&cleared_for_all),
            ),
            slip(
                good(),
                (cleared(Clearance::Cleared, Some("2026-05-03")), cleared_for_all.clone()),
                "medical.in-date",
                std::slice::from_ref(&cleared_for_all),
            ),
            slip(
                good(),
                (asked(Renewal::Clearance), elsewhere()),
                "medical.renewal-asked",
                &[cleared_for_all],
            ),
            slip(
                good(),
                (asked(Renewal::FitTest), elsewhere()),
                "fit.renewal-asked",
                &[tasted(true)],
            ),
            slip(
                good(),
                (worn(ada(), 400.0), worn(ada(), 4.0)),
                "elements.within-schedule",
                &[crate::support::plant::elements("ov", "2026-05-04T09:50"), inspected()],
            ),
            slip(
                shared(),
                (worn(bo(), 10.0), elsewhere()),
                "unit.disinfected-between-wearers",
                &[
                    Fact::Cleaned { unit: unit() },
                    disinfected("hypochlorite, 50 ppm"),
                    crate::support::plant::elements("ov", "2026-05-04T09:50"),
                    inspected(),
                ],
            ),
            slip(
                good(),
                (reading(&paint(), "?"), reading(&paint(), "40 ppm")),
                "level.unknown",
                &[],
            ),
            slip(
                good(),
                (Fact::WearerLeft { wearer: ada(), why: "moved".into() }, elsewhere()),
                "wearer.known",
                &[Fact::WearerEnrolled { wearer: ada(), name: "Ada".into() }],
            ),
            slip(
                good(),
                (Fact::ElementsDiscarded { unit: unit(), why: "full".into() }, elsewhere()),
                "elements.fitted",
                &[crate::support::plant::elements("ov", "2026-05-04T09:50"), inspected()],
            ),
            {
                let mut plant = shared();
                plant.add(
                    "bo-back",
                    "2026-05-03T08:00",
                    Fact::Returned { unit: unit(), wearer: bo() },
                );
                plant.add("cleaned", "2026-05-03T09:00", Fact::Cleaned { unit: unit() });
                let bath =
                    (disinfected("hypochlorite, 10 ppm"), disinfected("hypochlorite, 50 ppm"));
                slip(plant, bath, "unit.disinfectant", &clean)
            },
        ]
    }

    /// The plant in which the slip stands since a quarter to ten, corrected by Cy, who does not run the program.
    fn corrected_slip(slip: &Slip) -> Plant {
        let mut plant = slip.plant.clone();
        plant.add("wrong", "2026-05-04T09:45", slip.wrong.clone());
        plant.add_correction(
            "corrected",
            "2026-05-04T09:45",
            Some("wrong"),
            slip.corrected.clone(),
        );
        plant
    }

    // 29 CFR 1910.134(c)(3): a qualified administrator oversees the program.
    #[test]
    fn what_stood_in_the_way_stays_until_it_is_put_right_or_the_administrator_corrects_it() {
        for slip in slips() {
            let plant = corrected_slip(&slip);
            let found = stops(&plant);
            for rule in [slip.rule, "records.corrected"] {
                assert!(found.contains(&rule), "{:?}: {found:?}, not {rule}", slip.wrong);
            }
            let mut again = plant.clone();
            for (nth, fact) in slip.right.iter().enumerate() {
                again.add(
                    &format!("right-{nth}"),
                    &format!("2026-05-04T09:{}", 50 + nth),
                    fact.clone(),
                );
            }
            assert!(
                slip.right.is_empty() || stops(&again).is_empty(),
                "{:?}: {:?}",
                slip.wrong,
                stops(&again)
            );
            let mut by_administrator = plant.clone();
            by_administrator.administrator("cy");
            let mut never = slip.plant.clone();
            never.add("corrected", "2026-05-04T09:45", slip.corrected.clone());
            assert_eq!(stops(&by_administrator), stops(&never), "{:?}", slip.wrong);
            // Of another site, after giving it back, or by a correction, nobody runs the program here.
            for spoil in [of_another_site, ended, by_correction] {
                let mut plant = by_administrator.clone();
                spoil(&mut plant);
                assert!(
                    stops(&plant).contains(&slip.rule),
                    "{:?}: {:?}",
                    slip.wrong,
                    stops(&plant)
                );
            }
        }
    }

    fn of_another_site(plant: &mut Plant) {
        plant.entries.iter_mut().filter(|one| one.id.as_str() == "runs-cy").for_each(|one| {
            one.site = program::SiteId::new("south");
        });
    }

    fn ended(plant: &mut Plant) {
        let person = PersonId::new("cy");
        plant.add(
            "gone",
            "2026-05-01T08:00",
            Fact::RoleEnded { person, role: Role::Administrator },
        );
    }

    fn by_correction(plant: &mut Plant) {
        plant.add("shelf", "2025-02-03T08:00", elsewhere());
        plant.entries.iter_mut().filter(|one| one.id.as_str() == "runs-cy").for_each(|one| {
            one.corrects = Some(program::EntryId::new("shelf"));
        });
    }

    #[test]
    fn who_corrected_and_what_stands_in_the_way_is_told_in_the_verdict_and_is_due() {
        let slip = slips().swap_remove(0);
        let plant = corrected_slip(&slip);
        let verdict = plant.verdict();
        let of = |rule: &str| verdict.findings.iter().find(|one| one.rule.id == rule).unwrap();
        let told = of("records.corrected");
        assert!(told.text().starts_with("Cy, who does not run the program"), "{}", told.text());
        assert!(told.text().ends_with(&of("unit.breathing-air").text()), "{}", told.text());
        assert_eq!(told.evidence, ["wrong", "corrected"]);
        assert_eq!(of("unit.breathing-air").evidence, ["wrong", "corrected"]);
        let state = State::from_entries(&plant.entries);
        let days = Days { today: until("2026-05-04"), ahead: until("2026-05-04") };
        let due: Vec<&str> = duties(&state, &Subject::Unit(unit()))
            .iter()
            .filter_map(|duty| Some(duty.at(&days)?.finding.rule.id))
            .collect();
        assert!(
            due.contains(&"records.corrected") && due.contains(&"unit.breathing-air"),
            "{due:?}"
        );
    }

    #[test]
    fn the_plain_reading_decides_each_slip_alike() {
        // It knows neither batteries nor who left, and of a supply and of filling nothing.
        let kind = |fact: &Fact| serde_json::to_value(fact).unwrap()["kind"].clone();
        let unread = ["battery-checked.1", "wearer-left.1"];
        let read = |slip: &Slip| {
            plain::may_wear(&slip.plant) && !unread.iter().any(|other| kind(&slip.wrong) == *other)
        };
        let all: Vec<Slip> = slips().into_iter().filter(read).collect();
        assert!(10 < all.len(), "{}", all.len());
        for slip in all {
            let mut plant = corrected_slip(&slip);
            assert!(!plain::may_wear(&plant), "{:?}", slip.wrong);
            plant.administrator("cy");
            assert_eq!(plain::may_wear(&plant), stops(&plant).is_empty(), "{:?}", slip.wrong);
        }
    }

    fn standing(plant: &Plant) -> Vec<&'static str> {
        let stop = |finding: &Finding| finding.severity == Severity::Stop;
        let found = plant.verdict().findings.into_iter().filter(stop).map(|found| found.rule.id);
        found.filter(|rule| !BY_ANY.contains(rule)).collect()
    }

    proptest! {
        #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn one_correction_by_anybody_makes_no_may_wear_of_a_stop((before, after) in corrected()) {
            let stood = standing(&before);
            let decision = after.verdict().decision;
            prop_assert!(
                stood.is_empty() || decision == Decision::Stop,
                "{stood:?} were lifted by {:?}", after.entries.last()
            );
        }
    }
}
