//! Cases that no schedule follows from, and one that the rule of a substance gives it to.

#[cfg(test)]
mod by_rule {
    use program::case::WrittenCase;
    use program::life::{LifeAnswer, LifeMethod, compute};
    use rulebook::Severity;

    /// A bed among a vapour, in a half mask.
    fn life(vapour: &str, level: &str, more: &str) -> LifeAnswer {
        let (cartridge, rest) = more.split_once("---").unwrap_or(("", more));
        let text = format!(
            "[cartridge]
certified_for = [\"organic vapour\", \"1,3-butadiene\"]
elements = 2
sorbent_mass = \"45 g\"
bed_area = \"45 cm2\"
bulk_density = \"0.44 g/cm3\"
granule = \"0.11 cm\"
micropore_volume = \"0.454 cm3/g\"
{cartridge}
[air]
flow = \"35 L/min\"
temperature = \"20 degC\"
relative_humidity = \"50 %\"
[[contaminant]]
name = \"{vapour}\"
concentration = \"{level}\"
[place]
oxygen = \"20.9 %\"
oil_aerosol = false
irritates_eyes = false
{rest}"
        );
        compute(&WrittenCase::read(&text).unwrap(), LifeMethod::Full).unwrap()
    }

    fn severity(answer: &LifeAnswer, rule: &str) -> Option<Severity> {
        answer.findings.iter().find(|finding| finding.rule.id == rule).map(|found| found.severity)
    }

    // The limit of toluene that governs is 10, 20, 50 or 100 ppm by the list: 300 is above each.
    #[test]
    fn an_end_above_the_limit_gives_times_to_compare_and_no_schedule() {
        let rule = "service-life.end-above-limit";
        let above = life("toluene", "400 ppm", "[end]\npenetration = \"300 ppm\"\n");
        assert_eq!(severity(&above, rule), Some(Severity::Stop));
        assert!(above.schedule.max_wear.as_min() <= 0.0, "{}", above.schedule.text);
        assert!(
            above.life_min.is_some_and(|life| life.best > 0.0),
            "the times are told all the same"
        );
        let below = life("toluene", "400 ppm", "[end]\npenetration = \"5 ppm\"\n");
        assert_eq!(severity(&below, rule), None);
        assert!(below.schedule.max_wear.as_min() > 0.0, "{}", below.schedule.text);
    }

    #[test]
    fn factors_without_the_report_of_a_calibration_are_named() {
        let rule = "service-life.uncalibrated";
        assert_eq!(severity(&life("toluene", "200 ppm", ""), rule), None);
        for (key, told) in [
            ("packing", "packing = { toluene = 1.2 }\n---"),
            ("affinity", "affinity = { toluene = 1.1 }\n---"),
            ("rate_factor", "rate_factor = 1.5\n---"),
        ] {
            let found = life("toluene", "200 ppm", told);
            assert_eq!(severity(&found, rule), Some(Severity::Caution), "{key}");
            let text = found.findings.iter().find(|one| one.rule.id == rule).unwrap().text();
            assert!(text.starts_with(key), "{text}");
        }
    }

    // Source: 29 CFR 1910.1051(h)(3)(i) Table 1, `data/substance_rules.csv` SR03 to SR05.
    #[test]
    fn butadiene_is_changed_as_its_rule_says_and_never_later() {
        for (level, minutes) in [("3 ppm", 240.0), ("5 ppm", 240.0), ("8 ppm", 180.0)] {
            let found = life("1,3-butadiene", level, "");
            assert_eq!(found.schedule.max_wear.as_min(), minutes, "{level}: {:?}", found.findings);
            assert_eq!(found.schedule.shifts, 1);
            assert_eq!(severity(&found, "service-life.by-rule-alone"), Some(Severity::Caution));
        }
        // A half mask is not for more than ten times the limit.
        let above = life("1,3-butadiene", "15 ppm", "");
        assert!(above.schedule.max_wear.as_min() <= 0.0, "{}", above.schedule.text);
        // No row of another rule gives minutes.
        for other in ["vinyl chloride", "methanol"] {
            let found = life(other, "3 ppm", "");
            assert!(found.schedule.max_wear.as_min() <= 0.0, "{other}: {}", found.schedule.text);
        }
    }
}
