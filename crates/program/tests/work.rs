//! Patterns of work, reuse, calibration and variants, as case files tell them.
//!
//! Sources are named beside each check; where none is named the check is one of meaning: what a case
//! says is what is computed.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

use std::sync::Arc;

use program::calibrate::WrittenReport;
use program::case::WrittenCase;
use program::life::{LifeAnswer, LifeMethod, compute_sampled};
use program::what_if::what_if;

const CASE: &str = r#"
[cartridge]
elements = 2
sorbent_mass = "26 g"
bed_area = "38.5 cm2"
bulk_density = "0.44 g/cm3"
granule = "0.11 cm"
micropore_volume = "0.454 cm3/g"
[air]
flow = "53.3 L/min"
temperature = "22 degC"
relative_humidity = "50 %"
[[contaminant]]
name = "toluene"
concentration = "400 ppm"
[end]
penetration = "20 ppm"
[place]
oxygen = "20.9 %"
oil_aerosol = false
irritates_eyes = false
"#;

const ON: &str = "[[segment]]\nduration = \"30 min\"\n";
const LUNCH: &str = "[[segment]]\nduration = \"45 min\"\nmask = \"off\"\nstorage = \"sealed\"\n";

fn life(case: &str) -> Result<LifeAnswer, String> {
    let written = WrittenCase::read(case).map_err(|error| error.to_string())?;
    compute_sampled(&written, LifeMethod::Full, Some(1), &Arc::default())
        .map_err(|error| error.to_string())
}

fn ids(answer: &LifeAnswer) -> Vec<&'static str> {
    answer.findings.iter().map(|finding| finding.rule.id).collect()
}

fn best(answer: &LifeAnswer) -> f64 {
    answer.life_min.unwrap().best
}

#[test]
fn one_steady_segment_is_the_case_without_it() {
    let told = life(&format!("{CASE}{ON}")).unwrap();
    let plain = life(&format!("{CASE}[work]\nwear = \"30 min\"\n")).unwrap();
    assert_eq!((told.life_min, &told.schedule), (plain.life_min, &plain.schedule));
    assert!(told.bed.is_none() && told.sampled.is_some());
}

// Limit: work cut into pieces by breaks too short to move anything lasts as long in use.
#[test]
fn breaks_do_not_count_as_use() {
    let long = ON.replace("30 min", "2 h");
    let broken = life(&format!("{CASE}{long}{LUNCH}{long}")).unwrap();
    let steady = life(&format!("method = \"bed\"\n{CASE}")).unwrap();
    let (broken_min, steady_min) = (best(&broken), best(&steady));
    assert!((broken_min / steady_min - 1.0).abs() < 0.02, "{broken_min} {steady_min}");
    let bed = broken.bed.unwrap();
    assert_eq!((bed.worn_min, bed.restarts.len()), (240.0, 1));
    assert!(bed.contaminants[0].balance_error.abs() < 1e-8);
    assert!(bed.contaminants[0].grid_error_min.unwrap() < 0.01 * broken_min);
    let bounds = broken.life_min.unwrap();
    assert!(0.4 * bounds.best < bounds.lower && bounds.lower < bounds.best, "{bounds:?}");
    assert!(!broken.contaminants[0].curve.is_empty());
}

// What an element certified against a gas held by reaction does overnight is not computed, and not
// said to be.
#[test]
fn the_nights_of_a_gas_held_by_reaction_are_not_said_to_be_computed() {
    let case = include_str!("../../../docs/cases/pickling.toml");
    let answer =
        life(&case.replace("wear = \"2 h\"", "wear = \"20 min\"\nshifts_before_change = 2"));
    let answer = answer.unwrap();
    assert!(answer.bed.is_none() && !ids(&answer).contains(&"service-life.reuse-computed"));
    // It boils far below 65 degC: a single shift, as for any vapour that does.
    assert_eq!(answer.schedule.shifts, 1, "{:?}", answer.schedule);
    assert!(ids(&answer).contains(&"change.low-boiling"), "{:?}", ids(&answer));
}

// Several vapours end together before each alone; one ends at its own level and no other.
#[test]
fn the_rule_for_mixtures_counts_several_and_not_one() {
    let second = "[[contaminant]]\nname = \"n-butyl acetate\"\nconcentration = \"100 ppm\"\n";
    let work = format!("{}{LUNCH}", ON.replace("30 min", "4 h"));
    let of_limits = CASE.replace("[end]\npenetration = \"20 ppm\"\n", "");
    let both = life(&format!("{of_limits}{second}{work}")).unwrap();
    let together = both.bed.as_ref().unwrap().mixture_min.unwrap().best;
    let alone = both.contaminants.iter().map(|c| c.time_min.unwrap().best);
    assert!(together <= alone.fold(f64::INFINITY, f64::min) && together == best(&both));
    let high = CASE.replace("20 ppm", "300 ppm");
    let one = life(&format!("{high}{work}")).unwrap();
    assert!(one.bed.as_ref().unwrap().mixture_min.is_none());
    assert_eq!(best(&one), one.contaminants[0].time_min.unwrap().best);
}

#[test]
fn lighter_work_and_lower_levels_last_longer() {
    let hard = life(&format!("{CASE}{}{LUNCH}", ON.replace("30 min", "4 h"))).unwrap();
    let light =
        ON.replace("30 min", "8 h") + "work_rate = \"light\"\nlevel = { toluene = \"300 ppm\" }\n";
    let light = life(&format!("{CASE}{light}{LUNCH}")).unwrap();
    // A life goes as the inverse of flow and nearly of level: 53.3/35 x 400/300.
    assert!(best(&light) > 1.7 * best(&hard), "{} {}", best(&light), best(&hard));
}

#[test]
fn a_pattern_that_is_over_first_ends_the_schedule() {
    let short = life(&format!("{CASE}{ON}{LUNCH}{ON}")).unwrap();
    assert!(best(&short).is_infinite() && ids(&short).contains(&"service-life.pattern-over"));
    assert!(short.schedule.max_wear.as_min() <= 60.0, "{:?}", short.schedule);
    assert!(short.schedule.limited_by.contains("pattern"), "{:?}", short.schedule);
}

#[test]
fn bad_segments_are_refused_by_name_with_the_remedy() {
    let with = |segment: &str| life(&format!("{CASE}{ON}{segment}")).unwrap_err();
    let cases = [
        ("mask = \"off\"", "storage = \"sealed\""),
        ("storage = \"open\"", "mask = \"off\""),
        ("level = { toluene = \"500 ppm\" }", "highest level"),
        ("level = { benzene = \"5 ppm\" }", "[[contaminant]]"),
        ("level = { toluene = \"unknown\" }", "highest level"),
        ("level = { toluene = \"10 ppm\", \"108-88-3\" = \"200 ppm\" }", "tells already"),
        ("level = { Toluene = \"10 ppm\", toluene = \"9 ppm\" }", "tells already"),
        ("flow = \"40 L/min\"\nwork_rate = \"light\"", "one of the two"),
        ("mask = \"clean-air\"\nlevel = { toluene = \"5 ppm\" }", "mask = \"on\""),
        ("mask = \"on\"\nhumidity = \"50 %\"", "humidity"),
        ("flow = 40", "unit"),
    ];
    for (segment, says) in cases {
        let refused = with(&format!("[[segment]]\nduration = \"9 min\"\n{segment}\n"));
        assert!(refused.contains(says), "{segment}: {refused}");
    }
    let never = life(&format!("{CASE}{LUNCH}{LUNCH}")).unwrap_err();
    assert!(never.contains("mask is on in no segment"), "{never}");
    let steady = life(&format!("method = \"steady\"\n{CASE}{ON}{LUNCH}")).unwrap_err();
    assert!(steady.contains("leave method out"), "{steady}");
    let impossible = CALIBRATED.replace("-0.5", "-1.5");
    let refused = life(&format!("{CASE}{impossible}")).unwrap_err();
    assert!(refused.contains("between -1 and 1"), "{refused}");
    let no_time = with("[[segment]]\nduration = \"0 min\"\n");
    assert!(no_time.contains("segment 2 lasts no time"), "{no_time}");
}

/// Forty minutes on each of three days.
fn days(contaminant: &str, more: &str) -> LifeAnswer {
    let case = CASE.replace("toluene", contaminant).replace("400 ppm", "60 ppm");
    let work = "[work]\nwear = \"40 min\"\nshifts_before_change = 3\nstorage = \"sealed\"\n";
    let calibrated = more.contains("rate = ");
    let carbon = "[air]".to_owned();
    let carbon = if calibrated { format!("{CARBON}{carbon}") } else { carbon };
    let case = case.replace("[air]", &carbon);
    life(&format!("{case}{work}{more}")).unwrap()
}

const CALIBRATED: &str = "[uncertainty]\nmicropore_volume = \"4 %\"\nreference_energy = \"3 %\"\nrate = \"10 %\"\ncorrelation = { volume_energy = -0.5, volume_rate = 0.0, energy_rate = 0.0, report = \"invented report 17\" }\n";
const CARBON: &str = "reference_energy = \"17.4 kJ/mol\"\nrate_factor = 0.9\n";
const ACCEPTED: &str = "[reuse]\naccepted_by = \"an invented hygienist\"\naccepted_on = \"2026-11-25\"\nreport = \"invented report 17\"\nshifts = 2\n";

#[test]
fn shifts_are_computed_with_their_nights_and_kept_below_what_the_site_allows() {
    let held = days("toluene", "");
    assert_eq!(held.schedule.shifts, 3, "{:?}", held.schedule);
    assert!(ids(&held).contains(&"service-life.reuse-computed"), "{:?}", ids(&held));
    let bed = held.bed.unwrap();
    assert_eq!((bed.shifts, bed.worn_min, bed.restarts.len()), (3, 120.0, 2));
    assert!(bed.restarts.iter().all(|restart| restart.greatest_ppm[0] < 20.0));
}

// Common practice: a vapour that boils below 65 degC is not met with the same elements again. Only
// both, a calibration and a person who accepts it, lift that.
#[test]
fn a_low_boiling_vapour_needs_calibration_and_a_named_person() {
    for more in ["", CALIBRATED] {
        assert_eq!(days("acetone", more).schedule.shifts, 1, "{more}");
    }
    let only_accepted = days("acetone", ACCEPTED);
    assert_eq!(only_accepted.schedule.shifts, 1);
    assert!(ids(&only_accepted).contains(&"service-life.reuse-not-lifted"));
    let unnamed = ACCEPTED.replace("an invented hygienist", " ");
    assert_eq!(days("acetone", &format!("{CALIBRATED}{unnamed}")).schedule.shifts, 1);
    // What is typed without a calibration lacks a part of what one yields.
    for (from, to) in [
        ("volume_energy = -0.5", "volume_energy = 0"),
        (", report = \"invented report 17\"", ""),
        ("invented report 17", "another report"),
        ("micropore_volume = \"4 %\"\n", ""),
        ("reference_energy = \"3 %\"", "reference_energy = \"0 %\""),
    ] {
        let typed = CALIBRATED.replace(from, to);
        assert_ne!(typed, CALIBRATED);
        let typed = days("acetone", &format!("{typed}{ACCEPTED}"));
        assert_eq!(typed.schedule.shifts, 1, "{to}");
        assert!(ids(&typed).contains(&"service-life.reuse-not-lifted"), "{to}");
    }
    let both = days("acetone", &format!("{CALIBRATED}{ACCEPTED}"));
    assert!(both.schedule.shifts <= 2, "never more than was accepted: {:?}", both.schedule);
    assert!(ids(&both).contains(&"service-life.reuse-accepted"), "{:?}", ids(&both));
}

#[test]
fn a_sampled_life_tells_shares_and_how_settled_it_is() {
    let written = WrittenCase::read(CASE).unwrap();
    let answer = compute_sampled(&written, LifeMethod::Full, Some(2_000), &Arc::default()).unwrap();
    let sampled = answer.sampled.unwrap();
    assert!(sampled.samples >= 2_000 && sampled.ends.len() == 2, "{sampled:?}");
    let first = sampled.ends.last().unwrap();
    assert!(
        first.low < first.best && first.best < first.high && first.low_error < 0.05 * first.low
    );
    // The quick bound of the schedule is the 5 % point of the sample, but for what breathing takes off.
    let quick = answer.life_min.unwrap().lower / answer.contaminants[0].breathed.unwrap();
    assert!((quick / first.low - 1.0).abs() < 0.05, "{quick} {}", first.low);
    assert_eq!(sampled.inputs[0].of, "model");
}

// Meaning: figures that no cartridge has are told, for a slip of the pen may lengthen a life.
#[test]
fn a_bed_that_no_cartridge_has_is_cautioned() {
    for (usual, odd, told) in [
        ("bed_area = \"38.5 cm2\"", "bed_area = \"1 cm2\"", "bed area"),
        ("micropore_volume = \"0.454", "micropore_volume = \"3", "micropore volume"),
    ] {
        let says = |case: &str| {
            let answer = life(case).unwrap();
            let edges = answer.findings.iter().filter(|f| f.rule.id == "service-life.edge");
            edges.map(|finding| finding.text()).collect::<String>().contains(told)
        };
        assert!(!says(CASE) && says(&CASE.replace(usual, odd)), "{odd}");
    }
}

// Consistency: what is sampled beside a life stands in its schedule where it is the shorter.
#[test]
fn the_schedule_is_not_longer_than_the_bound_sampled_beside_it() {
    let two = format!("{CASE}[[contaminant]]\nname = \"styrene\"\nconcentration = \"60 ppm\"\n");
    for case in [CASE.to_owned(), two] {
        let answer = life(&case).unwrap();
        let sampled = answer.sampled.as_ref().unwrap();
        let bound = sampled.ends.iter().map(|end| end.bound).fold(f64::INFINITY, f64::min);
        assert!(bound > 0.0 && answer.life_min.unwrap().lower <= bound, "{bound}");
        assert!(answer.schedule.max_wear.as_min() <= bound, "{bound}");
    }
}

#[test]
fn variants_stand_side_by_side_and_answer_as_cases_of_their_own() {
    let changes =
        ["air.flow = 35 L/min".to_owned(), "contaminant.1.concentration = 800 ppm".to_owned()];
    let variants = what_if(CASE, &changes, None, &Arc::default()).unwrap();
    let lives: Vec<f64> = variants.iter().map(|variant| best(&variant.life)).collect();
    assert!(lives[1] > lives[0] && lives[2] < lives[0], "{lives:?}");
    let own = WrittenCase::read(&CASE.replace("53.3 L/min", "35 L/min")).unwrap();
    let own = program::life::compute(&own, LifeMethod::Full).unwrap();
    assert_eq!(own.life_min, variants[1].life.life_min);
    let five: Vec<String> = vec!["air.flow = 35 L/min".to_owned(); 5];
    let refused = what_if(CASE, &five, None, &Arc::default()).unwrap_err().to_string();
    assert!(refused.contains("up to 4"), "{refused}");
    // A name between quotes is the name.
    let second = "[[contaminant]]\nname = \"ethyl acetate\"\nconcentration = \"300 ppm\"\n";
    let both = CASE.replace("[end]", &format!("{second}[end]"));
    let level = "level = { \"ethyl acetate\" = \"300 ppm\" }\n";
    let worked = format!("{both}{}{level}", ON.replace("30 min", "4 h"));
    let less = ["segment.1.level.\"ethyl acetate\" = \"30 ppm\"".to_owned()];
    let less = what_if(&worked, &less, Some(1), &Arc::default()).unwrap();
    assert!(best(&less[1].life) > 1.05 * best(&less[0].life));
    for unknown in ["segment.1.level.acetone = 0 ppm", "segment.1.level.\"141-78-6\" = 0 ppm"] {
        let refused = what_if(&worked, &[unknown.to_owned()], Some(1), &Arc::default());
        let refused = refused.unwrap_err().to_string();
        assert!(refused.contains(unknown), "{refused}");
    }
    let wrong = ["air.flwo = 35 L/min".to_owned()];
    let refused = what_if(CASE, &wrong, None, &Arc::default()).unwrap_err().to_string();
    assert!(refused.contains("flwo"), "{refused}");
}

const REPORT: &str = include_str!("../../../docs/cases/laboratory-report.toml");

#[test]
fn a_report_becomes_lines_that_a_case_file_takes() {
    let found = WrittenReport::read(REPORT).unwrap().calibrate().unwrap();
    assert_eq!(found.beside.len(), 4);
    assert!(found.misfit < 0.1, "{found:?}");
    let [cartridge, uncertainty] = ["[cartridge]\n", "[uncertainty]\n"];
    let (bed, sure) = found.case_lines.split_once(uncertainty).unwrap();
    let bed = bed.strip_prefix(cartridge).unwrap();
    let case = CASE
        .replace("micropore_volume = \"0.454 cm3/g\"\n", bed)
        .replace("[end]", &format!("{uncertainty}{sure}[end]"));
    let answer = life(&case).unwrap();
    let bounds = answer.life_min.unwrap();
    assert!(0.0 < bounds.lower && bounds.lower < bounds.best, "{bounds:?}");
}

/// Isotherms of a carbon that holds acetone less and toluene more than their polarisations say.
const ISOTHERMS: [(&str, [(f64, f64); 3]); 2] = [
    ("acetone", [(0.05, 0.060), (0.5, 0.150), (5.0, 0.270)]),
    ("toluene", [(0.005, 0.270), (0.05, 0.325), (0.5, 0.370)]),
];

// What a report tells of a vapour changes the life of the case that takes it over, by either method, and
// only where it is told of a described bed.
#[test]
fn what_a_report_tells_of_a_vapour_is_taken_over_by_the_case() {
    let mut report = REPORT.to_owned();
    for (name, points) in ISOTHERMS {
        for (kpa, loading) in points {
            report += &format!(
                "\n[[loading]]\ncontaminant = \"{name}\"\npressure = \"{kpa} kPa\"\nloading = \"{loading} g/g\"\nerror = \"10 %\"\n"
            );
        }
    }
    let found = WrittenReport::read(&report).unwrap().calibrate().unwrap();
    let carbon = found.carbon.unwrap();
    let names = |factors: &[(String, f64)]| factors.iter().map(|f| f.0.clone()).collect::<Vec<_>>();
    assert_eq!(names(&carbon.affinities), ["Acetone", "Toluene"]);
    assert_eq!(names(&carbon.packings), ["Acetone", "Toluene"]);
    let told = |line: &str| CASE.replace("[air]", &format!("{line}\n[air]"));
    let plain = best(&life(CASE).unwrap());
    for (key, factor) in [("affinity", carbon.affinities[1].1), ("packing", carbon.packings[1].1)] {
        let starts = format!("{key} = ");
        let line = found.case_lines.lines().find(|line| line.starts_with(&starts)).unwrap();
        let by = best(&life(&told(line)).unwrap()) / plain - 1.0;
        assert!(by * (factor - 1.0) > 0.0, "{key}: {by} {factor}");
        for method in ["", "method = \"bed\"\n"] {
            let of = |factor: f64| {
                let case = told(&format!("{key} = {{ toluene = {factor} }}"));
                best(&life(&format!("{method}{case}")).unwrap())
            };
            assert!(of(0.8) < 0.98 * of(1.0) && of(1.0) < 0.99 * of(1.1), "{key} {method}");
        }
    }
    let refused = life(&told("affinity = { toluene = 3.0 }")).unwrap_err();
    assert!(refused.contains("outside 0.5 to 2"), "{refused}");
    let refused = life(&told("affinity = { tolouene = 1.1 }")).unwrap_err();
    assert!(refused.contains("tolouene"), "{refused}");
}

#[test]
fn a_table_of_times_joins_the_report_and_bad_rows_are_refused_by_line() {
    let table = "contaminant,concentration,penetration,minutes\ntoluene,500 ppm,1 %,138 min\n";
    let mut report = WrittenReport::read(REPORT).unwrap();
    report.add_times(table).unwrap();
    assert_eq!(report.calibrate().unwrap().beside.len(), 5);
    let mut report = WrittenReport::read(REPORT).unwrap();
    let refused = report.add_times(&table.replace("138 min", "138")).unwrap_err().to_string();
    assert!(refused.starts_with("line 2"), "{refused}");
    let mut report = WrittenReport::read(REPORT).unwrap();
    report.add_times(&table.replace("138 min", "400 min")).unwrap();
    let refused = report.calibrate().unwrap_err().to_string();
    assert!(refused.contains("contradict"), "{refused}");
    let beyond = REPORT.replacen("penetration = \"10 %\"", "penetration = \"80 %\"", 1);
    let refused = WrittenReport::read(&beyond).unwrap().calibrate().unwrap_err().to_string();
    assert!(refused.contains("more than half"), "{refused}");
}

// A refusal names the measurement that it is of, and a gas held by reaction by its name.
#[test]
fn a_report_is_refused_at_the_line_that_is_wrong() {
    let refused = |from: &str, to: &str| {
        let report = REPORT.replacen(from, to, 1);
        assert_ne!(report, REPORT);
        WrittenReport::read(&report).unwrap().calibrate().unwrap_err()
    };
    let line_of = |starts: &str, nth: usize| {
        let mut lines = REPORT.lines().zip(1..).filter(|(line, _)| line.starts_with(starts));
        lines.nth(nth).unwrap().1
    };
    let backwards = refused("minutes = \"60 min\"", "minutes = \"40 min\"");
    assert!(backwards.message.contains("contradict each other"), "{backwards}");
    assert_eq!(backwards.line, line_of("[[time]]", 1), "{backwards}");
    let point = refused("318 mg/g", "30 mg/g");
    assert!(point.message.contains("contradicts what else is known"), "{point}");
    let toluene = line_of("[[time]]", 2);
    assert!([toluene, line_of("[[loading]]", 0)].contains(&point.line), "{point}");
    let ammonia = refused("contaminant = \"toluene\"", "contaminant = \"ammonia\"");
    assert!(ammonia.message.starts_with("Ammonia") && ammonia.message.contains("told apart"));
    assert_eq!(ammonia.line, toluene, "{ammonia}");
    let point = REPORT.rsplit_once("\"toluene\"").unwrap();
    let point = format!("{}\"ammonia\"{}", point.0, point.1);
    let point = WrittenReport::read(&point).unwrap().calibrate().unwrap_err();
    assert!(point.message.contains("no organic vapour"), "{point}");
    assert_eq!(point.line, line_of("[[loading]]", 0), "{point}");
}

// A pattern that is over within a minute ends no life.
#[test]
fn a_pattern_of_seconds_is_not_said_to_be_the_end_of_the_elements() {
    let short = life(&format!("{CASE}{}", ON.replace("30 min", "20 s") + LUNCH)).unwrap();
    assert!(!ids(&short).contains(&"service-life.too-short"), "{:?}", ids(&short));
    assert!(short.schedule.text.contains("over within a minute"), "{:?}", short.schedule);
    assert_eq!(short.schedule.max_wear.as_min(), 0.0);
}

// The march breath by breath: the bound counts what breathing takes off, once, and a blower draws
// steadily.
#[test]
fn breath_is_told_and_counted_once() {
    let blown = CASE.to_owned() + "[respirator]\nair_source = \"powered-air-purifying\"\n";
    for work in ["", &format!("{}{LUNCH}{ON}", ON.replace("30 min", "5 h"))] {
        let breathed = life(&format!("{CASE}{work}")).unwrap();
        let steady = life(&format!("{blown}{work}")).unwrap();
        let ratio = breathed.contaminants[0].breathed.unwrap();
        assert!((0.8..1.0).contains(&ratio), "{ratio}");
        assert!(ids(&breathed).contains(&"service-life.breathed"));
        assert_eq!(steady.contaminants[0].breathed, None);
        assert_eq!(best(&breathed), best(&steady));
        let [breathed, steady] = [breathed, steady].map(|life| life.life_min.unwrap().lower);
        assert!((breathed / (steady * ratio) - 1.0).abs() < 1e-9, "{breathed} {steady} {ratio}");
    }
}
