//! Reuse that a named person accepted on a calibrated calculation.

#[cfg(test)]
mod support;

#[cfg(test)]
mod reuse {
    use program::schedule::{TaskSchedule, for_task};
    use program::{
        BedSpec, ElementTypeId, Fact, ModelId, PersonId, ReuseCalculation, Role, State, may_wear,
    };
    use rulebook::{AirSource, Decision};

    use crate::support::plant::{
        Plant, ada, elements, minutes, paint, quantity, reading, reading_of,
    };

    fn calculation(shifts: u8, bound: f64) -> ReuseCalculation {
        let report = "report 7 of 2026-04-02 (invented)".to_owned();
        ReuseCalculation {
            report,
            shifts,
            bound: minutes(bound),
            calibrated: true,
            air_source: Some(AirSource::AirPurifying),
            flow: Some(quantity("53.3 L/min")),
            elements: Some(2),
        }
    }

    fn accepted(shifts: u8, calculation: Option<ReuseCalculation>) -> Fact {
        Fact::ReuseAccepted {
            task: paint(),
            element_type: ElementTypeId::new("ov"),
            shifts,
            by: PersonId::new("cy"),
            basis: "breakthrough test".to_owned(),
            calculation,
        }
    }

    /// Two hours a shift among a weak vapour, on elements with a known bed.
    fn plant(cas: &str) -> Plant {
        let mut plant = Plant::good();
        plant.edit_spec(|spec| spec.wear_per_shift = minutes(60.0));
        plant.edit("role-cy", |fact| {
            if let Fact::RoleGiven { role, .. } = fact {
                *role = Role::Administrator;
            }
        });
        plant.edit("reading-paint", |fact| *fact = reading_of(cas, &paint(), "20 ppm"));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { bed, .. } = fact {
                *bed = Some(BedSpec {
                    sorbent_mass: quantity("60 g"),
                    bed_area: quantity("60 cm2"),
                    bulk_density: quantity("0.44 g/cm3"),
                    granule: quantity("0.11 cm"),
                    micropore_volume: quantity("0.5 cm3/g"),
                    reference_energy: None,
                    calibrated: None,
                });
            }
        });
        plant
    }

    fn schedule(plant: &Plant) -> TaskSchedule {
        let state = State::from_entries(&plant.entries);
        let device = state.model(&ModelId::new("half")).unwrap().device.clone();
        for_task(&state, &paint(), &ElementTypeId::new("ov"), &device, plant.now).unwrap()
    }

    fn says(schedule: &TaskSchedule, id: &str) -> bool {
        schedule.life.findings.iter().any(|finding| finding.rule.id == id)
    }

    const TOLUENE: &str = "108-88-3";
    /// Boils at 69 degC.
    const HEXANE: &str = "110-54-3";

    #[test]
    fn an_acceptance_counts_up_to_what_was_computed_and_accepted() {
        let with = |fact: Fact| {
            let mut plant = plant(TOLUENE);
            plant.add("reuse", "2026-04-10T08:00", fact);
            schedule(&plant)
        };
        assert_eq!(schedule(&plant(TOLUENE)).schedule.shifts, 1);
        let three = with(accepted(3, Some(calculation(5, 600.0))));
        assert_eq!(three.schedule.shifts, 3);
        assert!(says(&three, "service-life.reuse-accepted"), "{:?}", three.life.findings);
        assert_eq!(with(accepted(5, Some(calculation(2, 600.0)))).schedule.shifts, 2);
        // The bound of the calculation holds two wears of an hour.
        let bound = with(accepted(5, Some(calculation(5, 150.0))));
        assert_eq!((bound.schedule.shifts, bound.schedule.max_wear.as_min()), (2, 150.0));
        assert!(bound.schedule.limited_by.contains("calculation of reuse"));
    }

    #[test]
    fn an_acceptance_without_its_calculation_or_after_a_change_lifts_nothing() {
        let lapsed = |fact: Fact, change: fn(&mut Plant)| {
            let mut plant = plant(TOLUENE);
            plant.add("reuse", "2026-04-10T08:00", fact);
            change(&mut plant);
            let found = schedule(&plant);
            found.schedule.shifts == 1 && says(&found, "service-life.reuse-not-lifted")
        };
        let good = || accepted(3, Some(calculation(3, 600.0)));
        assert!(!lapsed(good(), |_| {}));
        assert!(lapsed(accepted(3, None), |_| {}), "the old record");
        let guessed = ReuseCalculation { calibrated: false, ..calculation(3, 600.0) };
        assert!(lapsed(accepted(3, Some(guessed)), |_| {}));
        assert!(lapsed(good(), |plant| plant.remove("role-cy")), "who has no part");
        assert!(lapsed(good(), |plant| {
            plant.add("more", "2026-04-20T08:00", reading(&paint(), "25 ppm"));
        }));
        assert!(!lapsed(good(), |plant| {
            plant.add("less", "2026-04-20T08:00", reading(&paint(), "15 ppm"));
        }));
        assert!(lapsed(good(), |plant| {
            plant.add("other", "2026-04-20T08:00", reading_of(HEXANE, &paint(), "1 ppm"));
        }));
        // A result of the laboratory that came after the calculation, for a day before it.
        assert!(lapsed(good(), |plant| {
            plant.add("late", "2026-04-05T08:00", reading_of(HEXANE, &paint(), "1 ppm"));
            let late = plant.entries.last_mut().unwrap();
            late.entered = "2026-04-20T08:00:00Z".parse().unwrap();
        }));
        assert!(lapsed(good(), |plant| plant.move_to("task-paint", "2026-04-20T08:00")));
        assert!(lapsed(good(), |plant| plant.move_to("kind-ov", "2026-04-20T08:00")));
    }

    #[test]
    fn an_acceptance_speaks_only_of_the_kind_of_set_and_the_flow_it_was_calculated_for() {
        let on = |model: &str, change: fn(&mut ReuseCalculation)| {
            let mut plant = plant(TOLUENE);
            let mut calculation = calculation(3, 600.0);
            change(&mut calculation);
            plant.add("reuse", "2026-04-10T08:00", accepted(3, Some(calculation)));
            let state = State::from_entries(&plant.entries);
            let device = state.model(&ModelId::new(model)).unwrap().device.clone();
            let kind = ElementTypeId::new("ov");
            let found = for_task(&state, &paint(), &kind, &device, plant.now).unwrap();
            let told = says(&found, "service-life.reuse-not-lifted");
            assert_eq!(told, found.schedule.shifts == 1, "{:?}", found.life.findings);
            found.schedule.shifts
        };
        assert_eq!(on("half", |_| {}), 3);
        assert_eq!(on("full", |_| {}), 3);
        assert_eq!(on("powered", |_| {}), 1);
        assert_eq!(on("hood", |c| c.flow = Some(quantity("200 L/min"))), 1);
        assert_eq!(on("half", |c| c.air_source = Some(AirSource::PoweredAirPurifying)), 1);
        assert_eq!(on("half", |c| c.flow = Some(quantity("40 L/min"))), 1);
        assert_eq!(on("half", |c| c.elements = Some(1)), 1);
        for missing in [
            |c: &mut ReuseCalculation| c.air_source = None,
            |c: &mut ReuseCalculation| c.flow = None,
            |c: &mut ReuseCalculation| c.elements = None,
        ] {
            assert_eq!(on("half", missing), 1);
        }
    }

    #[test]
    fn nobody_accepts_reuse_but_who_runs_the_program_then() {
        for other in [Role::Repairer, Role::FitTester, Role::Supervisor, Role::CareTechnician] {
            let mut plant = plant(TOLUENE);
            plant.add("reuse", "2026-04-10T08:00", accepted(3, Some(calculation(3, 600.0))));
            plant.edit("role-cy", |fact| {
                if let Fact::RoleGiven { role, .. } = fact {
                    *role = other;
                }
            });
            assert_eq!(schedule(&plant).schedule.shifts, 1, "{other:?}");
        }
        let until = |day: &str| -> Option<jiff::civil::Date> { Some(day.parse().unwrap()) };
        for (day, expected) in [("2026-04-09", 1), ("2026-04-10", 3)] {
            let mut plant = plant(TOLUENE);
            plant.add("reuse", "2026-04-10T08:00", accepted(3, Some(calculation(3, 600.0))));
            plant.edit("role-cy", |fact| {
                if let Fact::RoleGiven { until: last, .. } = fact {
                    *last = until(day);
                }
            });
            assert_eq!(schedule(&plant).schedule.shifts, expected, "{day}");
        }
    }

    #[test]
    fn no_acceptance_makes_one_shift_longer_than_a_long_one() {
        for cas in ["71-43-2", HEXANE] {
            let mut plant = plant(cas);
            plant.edit("reading-paint", |fact| *fact = reading_of(cas, &paint(), "0.2 ppm"));
            plant.add("reuse", "2026-04-10T08:00", accepted(9, Some(calculation(9, 9999.0))));
            let found = schedule(&plant).schedule;
            assert!(found.max_wear.as_min() <= 720.0 * f64::from(found.shifts), "{found:?}");
            plant.ask.planned_wear = Some(minutes(1200.0));
            let stops = crate::support::stops(&plant);
            assert!(stops.contains(&"elements.within-schedule"), "{cas}: {stops:?}");
        }
    }

    #[test]
    fn the_floor_for_low_boiling_vapours_is_lifted_and_a_rule_of_the_substance_is_not() {
        let with = |cas: &str, level: &str| {
            let mut plant = plant(cas);
            plant.edit("reading-paint", |fact| *fact = reading_of(cas, &paint(), level));
            plant.add("reuse", "2026-04-10T08:00", accepted(2, Some(calculation(2, 600.0))));
            schedule(&plant)
        };
        let acetone = with("67-64-1", "300 ppm");
        let low = acetone.life.findings.iter().any(|f| f.rule.id == "change.low-boiling");
        assert!(!low, "{:?}", acetone.life.findings);
        // 29 CFR 1910.1028: elements against benzene are changed at the start of each shift.
        let benzene = with("71-43-2", "5 ppm");
        assert!(says(&benzene, "change.substance-rule"), "{:?}", benzene.life.findings);
        assert!(benzene.schedule.shifts <= 1);
    }

    #[test]
    fn the_verdict_follows_the_acceptance_and_a_stricter_schedule_of_the_site() {
        let ask = |accept: bool, adopt: bool| {
            let mut plant = plant(TOLUENE);
            plant.move_to("fitted", "2026-05-03T07:00");
            plant.edit("fitted", |fact| *fact = elements("ov", "2026-05-03T06:55"));
            plant.worn("wore", "2026-05-03T08:00", (ada(), paint(), 60.0));
            if accept {
                let fact = accepted(2, Some(calculation(2, 600.0)));
                plant.add("reuse", "2026-04-10T08:00", fact);
            }
            if adopt {
                let (task, element_type) = (paint(), ElementTypeId::new("ov"));
                let max_wear = minutes(120.0);
                let fact = Fact::ScheduleAdopted { task, element_type, max_wear, shifts: 1 };
                plant.add("adopted", "2026-04-11T08:00", fact);
            }
            let state = State::from_entries(&plant.entries);
            let verdict = may_wear(&state, &plant.ask, plant.now);
            let stops: Vec<&str> = verdict
                .findings
                .iter()
                .filter(|f| f.severity == rulebook::Severity::Stop)
                .map(|f| f.rule.id)
                .collect();
            assert_eq!(verdict.decision == Decision::Stop, !stops.is_empty());
            stops
        };
        assert_eq!(ask(true, false), [""; 0]);
        assert_eq!(ask(false, false), ["elements.shifts", "elements.opened-this-shift"]);
        assert!(ask(true, true).contains(&"elements.shifts"), "the site is stricter");
    }
}
