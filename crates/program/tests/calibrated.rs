//! What a calibration finds of a carbon counts wherever a life is computed.

#[cfg(test)]
mod support;

#[cfg(test)]
mod calibrated {
    use program::calibrate::WrittenReport;
    use program::case::WrittenCase;
    use program::check::check_fact;
    use program::life::{LifeMethod, compute};
    use program::schedule::{TaskSchedule, for_task};
    use program::{BedSpec, CalibratedCarbon, ElementTypeId, Fact, ModelId, SiteId, State};

    use crate::support::plant::{Plant, minutes, paint, quantity, reading_of};
    use crate::support::stops;

    const TOLUENE: &str = "108-88-3";
    const SLOW: &str = "[cartridge]\nmicropore_volume = \"0.5 cm3/g\"\nreference_energy = \"17.5 kJ/mol\"\nrate_factor = 0.4\naffinity = { toluene = 0.95 }\n\n[uncertainty]\nmicropore_volume = \"4 %\"\nreference_energy = \"3 %\"\nrate = \"12 %\"\ncorrelation = { volume_energy = -0.5, volume_rate = 0.1, energy_rate = -0.2, report = \"invented report 7\" }\n";

    fn bed(calibrated: Option<&str>) -> BedSpec {
        BedSpec {
            sorbent_mass: quantity("30 g"),
            bed_area: quantity("60 cm2"),
            bulk_density: quantity("0.44 g/cm3"),
            granule: quantity("0.11 cm"),
            micropore_volume: quantity("0.5 cm3/g"),
            reference_energy: None,
            calibrated: calibrated.map(quantity::<CalibratedCarbon>),
        }
    }

    fn plant(with: BedSpec) -> Plant {
        let mut plant = Plant::good();
        plant.edit_spec(|spec| spec.wear_per_shift = minutes(60.0));
        plant.edit("reading-paint", |fact| *fact = reading_of(TOLUENE, &paint(), "300 ppm"));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { bed, .. } = fact {
                *bed = Some(with);
            }
        });
        plant
    }

    fn schedule(plant: &Plant) -> TaskSchedule {
        let state = State::from_entries(&plant.entries);
        let device = state.model(&ModelId::new("half")).unwrap().device.clone();
        for_task(&state, &paint(), &ElementTypeId::new("ov"), &device, plant.now).unwrap()
    }

    /// The same bed, air and work as a case file.
    fn case(plant: &Plant, calibrated: &str) -> WrittenCase {
        let state = State::from_entries(&plant.entries);
        let spec = &state.task(&paint()).unwrap().spec;
        let (found, unsure) = calibrated.split_once("\n\n").unwrap();
        let text = format!(
            "{found}\nelements = 2\nsorbent_mass = \"30 g\"\nbed_area = \"60 cm2\"\nbulk_density = \"0.44 g/cm3\"\ngranule = \"0.11 cm\"\n{unsure}[air]\nflow = \"{}\"\ntemperature = \"{}\"\nrelative_humidity = \"{}\"\npressure = \"{}\"\n[[contaminant]]\ncas = \"{TOLUENE}\"\nconcentration = \"300 ppm\"\n[work]\nwear = \"60 min\"\n",
            schedule(plant).flow,
            spec.temperature,
            spec.relative_humidity,
            spec.pressure
        );
        WrittenCase::read(&text).unwrap()
    }

    // More elements or more sorbent than anybody carries make every life longer. Common practice, no source.
    #[test]
    fn elements_that_nobody_could_wear_are_refused_and_a_contradiction_where_they_arrive() {
        let listed = |many: u8, grams: &str| {
            let mut plant = Plant::good();
            plant.edit("kind-ov", |fact| {
                if let Fact::ElementTypeListed { count, bed: told, .. } = fact {
                    *count = many;
                    *told = Some(BedSpec { sorbent_mass: quantity(grams), ..bed(None) });
                }
            });
            let kind = plant.entries.iter().find(|e| e.id.as_str() == "kind-ov").unwrap();
            let state = State::from_entries(&Plant::good().entries);
            let said = (&SiteId::new("north"), plant.now);
            let problems = check_fact(&state, said, &kind.fact).err().unwrap_or_default();
            let refused: Vec<&str> = problems.iter().map(|problem| problem.field).collect();
            (refused, stops(&plant).contains(&"records.agree"))
        };
        assert_eq!(listed(2, "45 g"), (vec![], false));
        assert_eq!(listed(2, "700 g"), (vec![], false));
        assert_eq!(listed(2, "4500 g"), (vec!["bed.sorbent_mass"], true));
        for many in [0, 7, 255] {
            assert_eq!(listed(many, "45 g"), (vec!["count"], true), "{many}");
        }
    }

    // A slow carbon lasts less, and the task page must not tell more of it than the case file does.
    #[test]
    fn a_schedule_rests_on_the_calibration_as_its_case_does() {
        let slow = plant(bed(Some(SLOW)));
        let of_task = schedule(&slow).life;
        let of_case = compute(&case(&slow, SLOW), LifeMethod::Full).unwrap();
        assert_eq!(of_task.contaminants, of_case.contaminants);
        assert!(of_task.life_min.is_some());
        assert!(of_task.sources.iter().any(|source| source.contains("invented report 7")));
        let blind = schedule(&plant(bed(None))).life.life_min.unwrap();
        let bound = of_task.life_min.unwrap().lower;
        assert!(bound < 0.7 * blind.lower, "{bound} {}", blind.lower);
    }

    #[test]
    fn entries_of_old_read_as_before_and_new_ones_as_they_were_written() {
        let old = r#"{"sorbent_mass":"30 g","bed_area":"60 cm2","bulk_density":"0.44 g/cm3","granule":"0.11 cm","micropore_volume":"0.5 cm3/g","reference_energy":null}"#;
        let plain: BedSpec = serde_json::from_str(old).unwrap();
        assert_eq!(plain, bed(None));
        assert_eq!(serde_json::to_string(&plain).unwrap(), old);
        let kept = serde_json::to_string(&bed(Some(SLOW))).unwrap();
        assert_eq!(serde_json::from_str::<BedSpec>(&kept).unwrap(), bed(Some(SLOW)));
    }

    #[test]
    fn a_bed_that_is_not_that_of_its_calibration_is_refused() {
        let plant = plant(bed(None));
        let state = State::from_entries(&plant.entries);
        let listed = plant.entries.iter().find(|entry| entry.id.as_str() == "kind-ov").unwrap();
        let refused = |with: BedSpec| {
            let mut fact = listed.fact.clone();
            if let Fact::ElementTypeListed { bed, .. } = &mut fact {
                *bed = Some(with);
            }
            let site = (&SiteId::new("site"), listed.happened);
            let problems = check_fact(&state, site, &fact).err().unwrap_or_default();
            problems.iter().map(|problem| problem.field).collect::<Vec<_>>()
        };
        assert!(refused(bed(Some(SLOW))).is_empty());
        let other = BedSpec { micropore_volume: quantity("0.6 cm3/g"), ..bed(Some(SLOW)) };
        assert_eq!(refused(other), ["bed.micropore_volume"]);
        let other = BedSpec { reference_energy: Some(quantity("20 kJ/mol")), ..bed(Some(SLOW)) };
        assert_eq!(refused(other), ["bed.reference_energy"]);
    }

    // What `calibrate` prints is what a listing takes.
    #[test]
    fn the_lines_of_a_calibration_are_a_carbon() {
        let report = include_str!("../../../docs/cases/laboratory-report.toml");
        let found = WrittenReport::read(report).unwrap().calibrate().unwrap();
        let carbon: CalibratedCarbon = found.case_lines.parse().unwrap();
        assert_eq!(carbon.report, found.report);
        assert!((carbon.rate_factor / found.carbon.unwrap().rate_factor - 1.0).abs() < 1e-3);
    }
}
