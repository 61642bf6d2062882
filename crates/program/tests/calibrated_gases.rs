//! Gases held by reaction on which a laboratory report was calibrated: the lines that are found, and what
//! becomes of them in a case, a listing and a schedule.
//!
//! Where no source is named the check is one of meaning: a life comes back to the times it was found
//! from, what is less sure or worse does not last longer, and nobody guesses.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

#[cfg(test)]
mod support;

#[cfg(test)]
mod gases {
    use std::sync::Arc;

    use program::calibrate::{CalibrationAnswer, WrittenReport};
    use program::case::WrittenCase;
    use program::check::check_fact;
    use program::life::{LifeAnswer, LifeMethod, compute_sampled};
    use program::schedule::{TaskSchedule, for_task};
    use program::{CalibratedReactions, ElementTypeId, Fact, ModelId, SiteId, State};
    use rulebook::ElementKind;

    use crate::support::plant::{Plant, minutes, paint, quantity, reading_of};

    const REPORT: &str = include_str!("../../../docs/cases/laboratory-report-gases.toml");
    const CHLORINE: &str = "7782-50-5";

    fn calibrated(report: &str) -> Result<CalibrationAnswer, String> {
        let written = WrittenReport::read(report).map_err(|error| error.to_string())?;
        written.calibrate().map_err(|error| error.to_string())
    }

    fn lines() -> String {
        calibrated(REPORT).unwrap().case_lines
    }

    /// The report as a case at the conditions of its tests.
    fn case(gas: &str, level: &str, end: &str) -> String {
        format!(
            "[cartridge]\ncertified_for = \"{gas}\"\nelements = 2\n[respirator]\nfacepiece = \"full-facepiece\"\n[air]\nflow = \"64 L/min\"\ntemperature = \"25 degC\"\nrelative_humidity = \"50 %\"\n[[contaminant]]\nname = \"{gas}\"\nconcentration = \"{level}\"\n[end]\npenetration = \"{end}\"\n"
        )
    }

    fn life(text: &str, samples: Option<usize>) -> Result<LifeAnswer, String> {
        let written = WrittenCase::read(text).map_err(|error| error.to_string())?;
        let life = compute_sampled(&written, LifeMethod::Full, samples, &Arc::default());
        life.map_err(|error| error.to_string())
    }

    fn times(text: &str) -> (f64, f64) {
        let life = life(text, None).unwrap().contaminants.remove(0);
        let time = life.time_min.unwrap_or_else(|| panic!("{life:?}"));
        assert!(time.lower <= time.best, "{time:?}");
        (time.best, time.lower)
    }

    fn said(text: &str) -> String {
        let life = life(text, None).unwrap();
        life.findings.iter().map(|finding| finding.text() + "\n").collect()
    }

    #[test]
    fn a_report_of_gases_needs_no_bed_and_its_lines_are_read_back() {
        let answer = calibrated(REPORT).unwrap();
        assert!(answer.carbon.is_none() && answer.gases.len() == 2, "{answer:?}");
        let all: CalibratedReactions = answer.case_lines.parse().unwrap();
        assert_eq!(all.to_string(), answer.case_lines);
        for (gas, found) in all.gases().iter().zip(&answer.gases) {
            assert!((gas.capacity.as_g() / found.capacity - 1.0).abs() < 1e-5);
            assert!((gas.rate.as_l_per_g_min() / found.rate - 1.0).abs() < 1e-5);
            assert_eq!(gas.report, answer.report);
        }
        assert_eq!(answer.beside.len(), 5);
        assert!(answer.misfit < 0.03, "{answer:?}");
        // Chlorine: 61 min to half at 32 L/min of 1450 mg/m3 (500 ppm at 25 degC).
        let whole = 61.0 * 32.0 * 1.45e-3;
        assert!((answer.gases[0].capacity / whole - 1.0).abs() < 0.05, "{:?}", answer.gases[0]);
    }

    #[test]
    fn vapours_and_gases_of_one_report_are_found_together() {
        let vapours = include_str!("../../../docs/cases/laboratory-report.toml");
        let (_, gases) = REPORT.split_once("[[time]]").unwrap();
        let both = format!("{vapours}\n[[time]]{gases}");
        let (alone, together) = (calibrated(vapours).unwrap(), calibrated(&both).unwrap());
        assert_eq!(alone.carbon, together.carbon);
        assert!(together.case_lines.starts_with(&alone.case_lines));
        assert_eq!(together.gases, calibrated(REPORT).unwrap().gases);
        assert_eq!(together.beside.len(), alone.beside.len() + 5);
        let told = serde_json::to_value(&together).unwrap();
        assert!(told["rate_factor"].is_number() && told["gases"][0]["capacity"].is_number());
        let bare = vapours.replace("sorbent_mass = \"35 g\"", "");
        let why = calibrated(&bare).unwrap_err();
        assert!(why.contains("sorbent_mass") && why.contains("time"), "{why}");
    }

    #[test]
    fn what_a_report_cannot_tell_is_refused_by_name() {
        let (head, _) = REPORT.split_once("[[time]]").unwrap();
        let time = |gas: &str, part: &str, minutes: &str| {
            format!(
                "[[time]]\ncontaminant = \"{gas}\"\nconcentration = \"500 ppm\"\npenetration = \"{part}\"\nminutes = \"{minutes} min\"\n"
            )
        };
        let held = |gas: &str, amount: &str| {
            format!("[[held]]\ncontaminant = \"{gas}\"\namount = \"{amount}\"\n")
        };
        let first = time("chlorine", "1 %", "44");
        for (rows, wanted) in [
            (first.clone(), "cannot be told apart"),
            (first.clone() + &time("chlorine", "1 %", "46"), "cannot be told apart"),
            (first.clone() + &time("chlorine", "10 %", "40"), "contradict each other"),
            (first.clone() + &time("chlorine", "10 %", "44.5"), "too little"),
            (first.clone() + &time("chlorine", "60 %", "70"), "more than half"),
            (first.clone() + &time("chlorine", "10 %", "0"), "cannot be"),
            (first.clone() + &held("chlorine", "0 g"), "cannot be"),
            (first.clone() + &held("chlorine", "1 g"), "Chlorine"),
            (held("chlorine", "2 g"), "no time was measured"),
            (time("carbon monoxide", "1 %", "44"), "not held by a reaction"),
            (held("toluene", "2 g"), "not held by a reaction"),
            (time("chlorin", "1 %", "44"), "chlorin"),
            (String::new(), "holds no measured time"),
        ] {
            let why = calibrated(&format!("{head}{rows}")).expect_err(&rows);
            assert!(why.contains(wanted), "{rows}: {why}");
        }
        let none = format!("{head}{first}{}", held("chlorine", "2.8 g"))
            .replace("elements = 2", "elements = 0");
        assert!(calibrated(&none).unwrap_err().contains("no elements"));
    }

    #[test]
    fn a_life_at_the_conditions_of_the_report_is_the_time_that_was_found() {
        for (gas, level, end, found) in [
            ("chlorine", "500 ppm", "1 %", 44.0),
            ("chlorine", "500 ppm", "10 %", 52.0),
            ("ammonia", "1000 ppm", "50 ppm", 58.0),
        ] {
            let (best, lower) = times(&format!("{}{}", case(gas, level, end), lines()));
            assert!((best / found - 1.0).abs() < 0.03, "{gas} to {end}: {best}");
            assert!((0.35..0.75).contains(&(lower / best)), "{gas} to {end}: {lower} of {best}");
        }
        // Half as many elements of the same make see twice the flow each.
        let one = format!("{}{}", case("chlorine", "500 ppm", "1 %"), lines())
            .replace("elements = 2", "elements = 1");
        assert!(times(&one).0 < 22.0 * 1.03);
    }

    #[test]
    fn worse_or_less_sure_never_lasts_longer() {
        let with = |from: &str, to: &str| {
            let text = format!("{}{}", case("chlorine", "200 ppm", "0.5 ppm"), lines());
            let changed = text.replace(from, to);
            assert!(changed != text || from == to, "{from}");
            times(&changed)
        };
        let (best, lower) = with("", "");
        for (from, to) in [
            ("\"200 ppm\"", "\"260 ppm\""),
            ("flow = \"64 L/min\"\nt", "flow = \"90 L/min\"\nt"),
            ("\"0.5 ppm\"", "\"0.1 ppm\""),
        ] {
            let (worse, bound) = with(from, to);
            assert!(worse < best && bound < lower, "{to}: {worse} {bound} {best} {lower}");
        }
        // A slower flow than any tested spends less and is credited with no longer contact.
        let (slow, _) = with("flow = \"64 L/min\"\nt", "flow = \"32 L/min\"\nt");
        assert!((slow / (2.0 * best) - 1.0).abs() < 1e-9, "{slow} {best}");
        let text = format!("{}{}", case("chlorine", "200 ppm", "0.5 ppm"), lines());
        let unsure = |key: &str| {
            let line = text.lines().find(|line| line.starts_with(key)).unwrap();
            times(&text.replace(line, &format!("{key} = \"45 %\"")))
        };
        for key in ["capacity_error", "rate_error"] {
            let (same, bound) = unsure(key);
            assert!(same == best && bound < lower, "{key}: {bound} {lower}");
        }
        let blower = text
            .replace("[respirator]\n", "[respirator]\nair_source = \"powered-air-purifying\"\n");
        assert!(lower < times(&blower).1, "a breath comes and goes");
    }

    #[test]
    fn segments_spend_what_is_held_and_rests_give_nothing_back() {
        let text =
            |segments: &str| format!("{}{}{segments}", case("chlorine", "500 ppm", "1 %"), lines());
        let on = |minutes: &str, more: &str| {
            format!("[[segment]]\nduration = \"{minutes} min\"\n{more}\n")
        };
        let off = "[[segment]]\nduration = \"600 min\"\nmask = \"off\"\nstorage = \"sealed\"\n";
        let (steady, bound) = times(&text(""));
        let (split, split_bound) =
            times(&text(&[on("7", ""), off.to_owned(), on("5", "")].concat()));
        assert!((split / steady - 1.0).abs() < 2e-3 && (split_bound / bound - 1.0).abs() < 5e-3);
        let half = [on("4", ""), on("4", "level = { chlorine = \"0 ppm\" }")].concat();
        let (every_other, _) = times(&text(&half));
        assert!((2.0 * steady - 4.0..=2.0 * steady + 4.0).contains(&every_other), "{every_other}");
        let usual = "level = { chlorine = \"400 ppm\" }";
        let (usual, burst) = ([on("22", usual)].concat(), [on("20", usual), on("2", "")].concat());
        let to_level = |segments: &str| {
            times(&format!("{}{}{segments}", case("chlorine", "500 ppm", "5 ppm"), lines())).0
        };
        assert!(to_level(&burst) < to_level(&usual));
    }

    #[test]
    fn air_that_the_report_does_not_show_is_bounded_by_certification() {
        let text = format!("{}{}", case("chlorine", "500 ppm", "1 %"), lines());
        let humid = text.replace(
            "relative_humidity = \"50 %\"\n[[cont",
            "relative_humidity = \"80 %\"\n[[cont",
        );
        let by_certification = case("chlorine", "500 ppm", "1 %")
            .replace("relative_humidity = \"50 %\"", "relative_humidity = \"80 %\"");
        let ((_, lower), (_, proven)) = (times(&humid), times(&by_certification));
        assert!(lower <= proven && lower <= times(&text).1, "{lower} {proven}");
        assert!(said(&humid).contains("more humid than in the report"), "{}", said(&humid));
        assert!(!said(&text).contains("than in the report"), "{}", said(&text));
        // Of a gas that no certification test was done with, nothing is shown at all.
        let bromide = REPORT.replace("\"chlorine\"", "\"hydrogen bromide\"");
        let lines = calibrated(&bromide).unwrap().case_lines;
        let bromide = |humidity: &str| {
            let text = case("hydrogen bromide", "50 ppm", "1 ppm")
                .replace("certified_for = \"hydrogen bromide\"", "certified_for = \"acid gas\"")
                .replace("50 %\"\n[[cont", &format!("{humidity} %\"\n[[cont"));
            life(&format!("{text}{lines}"), None).unwrap().contaminants.remove(0)
        };
        assert!(bromide("50").time_min.is_some(), "{:?}", bromide("50"));
        let why = bromide("80").refused.unwrap();
        assert!(why.contains("more humid than in the report"), "{why}");
    }

    #[test]
    fn edges_and_a_report_that_contradicts_certification_are_said() {
        let text = |level: &str, end: &str| format!("{}{}", case("chlorine", level, end), lines());
        assert!(said(&text("20 ppm", "1 ppm")).contains("less than a tenth of the lowest"));
        assert!(said(&text("700 ppm", "10 ppm")).contains("higher than any in the report"));
        assert!(said(&text("500 ppm", "0.1 %")).contains("less passes at the end level"));
        let weak = text("500 ppm", "1 %").replace(
            lines().lines().find(|line| line.starts_with("capacity =")).unwrap(),
            "capacity = \"1.2 g\"",
        );
        assert!(said(&weak).contains("look whether these are the elements"), "{}", said(&weak));
        assert!(!said(&text("500 ppm", "1 %")).contains("look whether"));
        let answer = life(&text("500 ppm", "1 %"), Some(600)).unwrap();
        assert!(answer.findings.iter().any(|f| f.rule.id == "service-life.not-shared"));
        assert!(answer.sources.iter().any(|source| source.contains("report 23 of 2026-04-16")));
        assert!(!answer.findings.iter().any(|f| f.rule.id == "service-life.certification-only"));
        let curve = &answer.contaminants[0].curve;
        assert!(curve.len() > 50 && curve.windows(2).all(|pair| pair[0].ppm <= pair[1].ppm));
    }

    #[test]
    fn lines_that_cannot_be_are_refused_at_their_table() {
        let text = case("chlorine", "500 ppm", "1 %");
        let refused = |text: &str| life(text, None).unwrap_err();
        let twice = format!("{text}{}\n{}", lines(), lines());
        assert!(refused(&twice).contains("told twice"), "{}", refused(&twice));
        let uncounted = format!("{text}{}", lines()).replace("elements = 2\n", "");
        assert!(refused(&uncounted).contains("elements = 2"), "{}", refused(&uncounted));
        let other = format!("{text}{}", lines())
            .replace("contaminant = \"Ammonia\"", "contaminant = \"toluene\"");
        let why = refused(&other);
        assert!(
            why.contains("reaction") && why.contains("toluene") || why.contains("Toluene"),
            "{why}"
        );
        // Lines of a gas that is not there change nothing.
        let sulfur = case("sulfur dioxide", "50 ppm", "1 ppm");
        assert_eq!(times(&sulfur), times(&format!("{sulfur}{}", lines())));
    }

    fn plant(reactions: Option<&str>) -> Plant {
        let mut plant = Plant::good();
        plant.edit_spec(|spec| spec.wear_per_shift = minutes(60.0));
        plant.edit("reading-paint", |fact| *fact = reading_of(CHLORINE, &paint(), "8 ppm"));
        plant.edit("kind-ov", |fact| {
            if let Fact::ElementTypeListed { elements, reactions: kept, .. } = fact {
                elements.against = vec![ElementKind::Chlorine];
                *kept = reactions.map(quantity::<CalibratedReactions>).unwrap_or_default();
            }
        });
        plant
    }

    fn schedule(plant: &Plant) -> TaskSchedule {
        let state = State::from_entries(&plant.entries);
        let device = state.model(&ModelId::new("half")).unwrap().device.clone();
        for_task(&state, &paint(), &ElementTypeId::new("ov"), &device, plant.now).unwrap()
    }

    #[test]
    fn a_schedule_rests_on_the_report_as_its_case_does() {
        let lines = lines();
        let plant = plant(Some(&lines));
        let of_task = schedule(&plant);
        let state = State::from_entries(&plant.entries);
        let spec = &state.task(&paint()).unwrap().spec;
        let text = format!(
            "[cartridge]\ncertified_for = \"chlorine\"\nelements = 2\n[air]\nflow = \"{}\"\ntemperature = \"{}\"\nrelative_humidity = \"{}\"\npressure = \"{}\"\n[[contaminant]]\ncas = \"{CHLORINE}\"\nconcentration = \"8 ppm\"\n[work]\nwear = \"60 min\"\n{lines}",
            of_task.flow, spec.temperature, spec.relative_humidity, spec.pressure
        );
        assert_eq!(of_task.life.contaminants, life(&text, None).unwrap().contaminants);
        let told = |of: &TaskSchedule| of.life.sources.iter().any(|s| s.contains("report 23"));
        assert!(told(&of_task) && !told(&schedule(&super::gases::plant(None))));
    }

    #[test]
    fn entries_of_old_read_as_before_and_new_ones_as_they_were_written() {
        let plain = plant(None);
        let listed = |plant: &Plant| {
            plant.entries.iter().find(|entry| entry.id.as_str() == "kind-ov").unwrap().fact.clone()
        };
        let old = serde_json::to_string(&listed(&plain)).unwrap();
        assert!(!old.contains("reaction"), "{old}");
        assert_eq!(serde_json::from_str::<Fact>(&old).unwrap(), listed(&plain));
        let new = plant(Some(&lines()));
        let kept = serde_json::to_string(&listed(&new)).unwrap();
        assert!(kept.contains("\"reactions\":[{\"contaminant\":\"7782-50-5\""), "{kept}");
        assert_eq!(serde_json::from_str::<Fact>(&kept).unwrap(), listed(&new));
        let broken = kept.replacen("-0.", "-7.", 1);
        assert!(broken == kept || serde_json::from_str::<Fact>(&broken).is_err());
    }

    #[test]
    fn a_listing_of_a_gas_that_the_elements_are_not_certified_against_is_refused() {
        let plant = plant(Some(&lines()));
        let state = State::from_entries(&plant.entries);
        let listed = plant.entries.iter().find(|entry| entry.id.as_str() == "kind-ov").unwrap();
        let refused = |against: Vec<ElementKind>| {
            let mut fact = listed.fact.clone();
            if let Fact::ElementTypeListed { elements, .. } = &mut fact {
                elements.against = against;
            }
            let site = (&SiteId::new("site"), listed.happened);
            let problems = check_fact(&state, site, &fact).err().unwrap_or_default();
            problems.iter().map(|problem| problem.field).collect::<Vec<_>>()
        };
        assert!(refused(vec![ElementKind::Chlorine, ElementKind::Ammonia]).is_empty());
        assert_eq!(refused(vec![ElementKind::Chlorine]), ["reactions"]);
    }
}
