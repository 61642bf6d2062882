//! Cylinders, tests of the air, moisture and hoses.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use quantity::{Celsius, DewPoint, Kilopascal, KilopascalGauge, LitrePerMin, Litres, Percent, Ppm};
use rulebook::breathing_air::{
    Airline, Cylinder, Duration, Hose, Moisture, PrintedTerms, Report, Supply, Wear,
    air_compressibility, check_hose, cylinder_rules, dew_point_of, duration, grade_d, hose_limits,
    judge_report, listable, longest_period, printed_terms, water_mg_per_m3, water_ppm,
    water_vapour_pa,
};
use rulebook::interval::Every;
use rulebook::{Finding, Severity};
use support::assert_worded;

fn kpa(value: f64) -> Kilopascal {
    Kilopascal::from_kpa(value).unwrap()
}

fn celsius(value: f64) -> Celsius {
    Celsius::from_celsius(value).unwrap()
}

/// The rows of a table without quoted commas before the columns asked for.
fn rows(table: &str) -> Vec<Vec<String>> {
    let lines = table.lines().skip(1);
    lines.map(|line| line.split(',').map(str::to_owned).collect()).collect()
}

fn number(row: &[String], column: usize) -> f64 {
    row[column].parse().unwrap()
}

fn ids(findings: &[Finding], severity: Severity) -> Vec<&'static str> {
    findings.iter().for_each(assert_worded);
    findings.iter().filter(|f| f.severity == severity).map(|f| f.rule.id).collect()
}

// Source: data/checks/air_compressibility.csv, another program's solution of the reference equation
// of dry air (CoolProp 8.0.0), printed to 1e-5: half of that is the tolerance.
#[test]
fn compressibility_is_that_of_the_reference_table_to_its_printed_digits() {
    let rows = rows(include_str!("../../../data/checks/air_compressibility.csv"));
    for row in &rows {
        let pressure = kpa(number(row, 0) * 100.0);
        let z = air_compressibility(celsius(number(row, 1)), pressure).unwrap();
        assert!((z - number(row, 2)).abs() < 0.51e-5, "{row:?}: {z}");
    }
    assert_eq!(rows.len(), 96);
}

// Another method: a multi-fluid mixture model of nitrogen, oxygen and argon
// (data/checks/air_mixture.csv). The two differ by what neither knows better.
#[test]
fn compressibility_lies_within_0_15_percent_of_a_mixture_model() {
    for row in &rows(include_str!("../../../data/checks/air_mixture.csv")) {
        let pressure = kpa(number(row, 0) * 100.0);
        let z = air_compressibility(celsius(number(row, 1)), pressure).unwrap();
        assert!((z / number(row, 2) - 1.0).abs() < 1.5e-3, "{row:?}: {z}");
    }
}

#[test]
fn thin_air_is_an_ideal_gas_and_odd_states_are_refused() {
    let z = air_compressibility(celsius(20.0), kpa(0.1)).unwrap();
    assert!((z - 1.0).abs() < 1e-6, "{z}");
    for (t, p) in [(-60.0, 100.0), (80.0, 100.0), (20.0, 0.0), (20.0, 50_000.0)] {
        let error = air_compressibility(celsius(t), kpa(p)).unwrap_err().to_string();
        assert!(error.contains("outside the range"), "{error}");
    }
}

fn lasts(litres: f64, bar: f64, temperature: f64, minute_volume: f64) -> Duration {
    let cylinder = Cylinder {
        volume: Litres::from_l(litres).unwrap(),
        charge: KilopascalGauge::from_kpa(bar * 100.0).unwrap(),
        rated: None,
        temperature: celsius(temperature),
        unit: None,
    };
    duration(&cylinder, &wear(minute_volume, 25.0)).unwrap()
}

fn wear(minute_volume: f64, alarm: f64) -> Wear {
    Wear {
        minute_volume: LitrePerMin::from_l_per_min(minute_volume).unwrap(),
        alarm: Percent::from_percent(alarm).unwrap(),
        ambient: kpa(101.325),
    }
}

// Source: data/checks/cylinder_air_examples.csv, computed two ways.
#[test]
fn cylinders_last_as_the_examples_print() {
    let rows = rows(include_str!("../../../data/checks/cylinder_air_examples.csv"));
    for row in &rows {
        let lasts = lasts(number(row, 1), number(row, 2), number(row, 3), number(row, 8));
        assert_eq!(format!("{:.1}", lasts.ideal_free_air_l), row[5], "{row:?}");
        assert_eq!(format!("{:.1}", lasts.free_air_l), row[6], "{row:?}");
        assert_eq!(format!("{:.4}", lasts.free_air_l / lasts.ideal_free_air_l), row[7], "{row:?}");
        assert_eq!(format!("{:.2}", lasts.to_empty.as_min()), row[9], "{row:?}");
        assert_eq!(format!("{:.2}", lasts.alarm_pressure.as_kpa() / 100.0), row[11], "{row:?}");
        assert_eq!(format!("{:.2}", lasts.to_alarm.as_min()), row[12], "{row:?}");
        let both = lasts.to_alarm.as_min() + lasts.after_alarm.as_min();
        assert!((both / lasts.to_empty.as_min() - 1.0).abs() < 1e-12);
    }
    assert_eq!(rows.len(), 6);
}

// Source: 42 CFR 84.83(f): the alarm keeps a part of the rated time, whatever the charge is. The alarm
// of a full one sounds at 66.91 bar (`data/checks/cylinder_air_examples.csv` CY01).
#[test]
fn the_alarm_of_a_cylinder_that_is_not_full_sounds_where_that_of_a_full_one_does() {
    let bar = |bar: f64| KilopascalGauge::from_kpa(bar * 100.0).unwrap();
    let at = |charge: f64| {
        let volume = Litres::from_l(6.8).unwrap();
        let rated = Some(bar(300.0));
        let cylinder =
            Cylinder { volume, charge: bar(charge), rated, temperature: celsius(20.0), unit: None };
        duration(&cylinder, &wear(40.0, 25.0)).unwrap()
    };
    let (full, half, low) = (at(300.0), at(150.0), at(60.0));
    assert_eq!(format!("{:.2}", full.to_alarm.as_min()), "34.13");
    for lasts in [&full, &half] {
        assert_eq!(format!("{:.2}", lasts.alarm_pressure.as_kpa() / 100.0), "66.91");
        assert!((lasts.after_alarm.as_min() / full.after_alarm.as_min() - 1.0).abs() < 1e-9);
    }
    assert!(half.to_alarm < full.to_alarm && low.to_alarm.as_min() == 0.0, "{half:?} {low:?}");
    assert!(low.after_alarm < full.after_alarm);
}

#[test]
fn impossible_cylinders_are_refused_by_name() {
    let bar = |bar: f64| KilopascalGauge::from_kpa(bar * 100.0).unwrap();
    let good = Cylinder {
        volume: Litres::from_l(6.8).unwrap(),
        charge: bar(290.0),
        rated: Some(bar(300.0)),
        temperature: celsius(20.0),
        unit: None,
    };
    assert!(duration(&good, &wear(40.0, 25.0)).is_ok());
    let empty = Litres::from_l(0.0).unwrap();
    let thin = Wear { ambient: kpa(0.0), ..wear(40.0, 25.0) };
    for (cylinder, wear, said) in [
        (
            Cylinder { charge: bar(316.0), ..good },
            wear(40.0, 25.0),
            "above the rating of 30000 kPa",
        ),
        (Cylinder { charge: bar(301.0), ..good }, wear(40.0, 25.0), "and read it again"),
        (Cylinder { charge: bar(0.0), ..good }, wear(40.0, 25.0), "empty cylinder"),
        (good, wear(2.0, 25.0), "a minute volume of 2 L/min is outside 5 to 200 L/min"),
        (good, wear(400.0, 25.0), "a minute volume of 400 L/min is outside"),
        (
            Cylinder { volume: Litres::from_l(900.0).unwrap(), ..good },
            wear(40.0, 25.0),
            "a water volume of 900 L is outside",
        ),
        (
            good,
            Wear { ambient: kpa(5.0), ..wear(40.0, 25.0) },
            "a pressure of the place of 5 kPa is outside 30 to 500 kPa",
        ),
        (Cylinder { volume: empty, ..good }, wear(40.0, 25.0), "holds nothing"),
        (Cylinder { temperature: celsius(90.0), ..good }, wear(40.0, 25.0), "outside the range"),
        (good, wear(40.0, 100.0), "cylinder full"),
        (good, thin, "nobody breathes"),
    ] {
        let error = duration(&cylinder, &wear).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
}

#[test]
fn pressures_are_told_in_the_unit_of_the_gauge() {
    let gauge = |text: &str| text.parse::<KilopascalGauge>().unwrap();
    for (charge, rated, said) in [
        ("310 bar", "300 bar", "of 310 bar is above the rating of 300 bar"),
        ("4600 psi", "4500 psi", "of 4600 psi is above the rating of 4500 psi"),
    ] {
        let cylinder = Cylinder {
            volume: Litres::from_l(6.8).unwrap(),
            charge: gauge(charge),
            rated: Some(gauge(rated)),
            temperature: celsius(20.0),
            unit: KilopascalGauge::unit_in(charge),
        };
        let error = duration(&cylinder, &wear(40.0, 25.0)).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    }
}

// 42 CFR 84.83(f): at least 25 %. 29 CFR 1910.134(h)(3)(iii): filled at 90 % of rated pressure.
#[test]
fn a_late_alarm_stops_and_a_low_cylinder_is_told() {
    let bar = |bar: f64| KilopascalGauge::from_kpa(bar * 100.0).unwrap();
    let cylinder = |charge: f64| Cylinder {
        volume: Litres::from_l(6.8).unwrap(),
        charge: bar(charge),
        rated: Some(bar(300.0)),
        temperature: celsius(20.0),
        unit: None,
    };
    let late = duration(&cylinder(300.0), &wear(40.0, 20.0)).unwrap();
    assert_eq!(ids(&late.findings, Severity::Stop), ["air.alarm-fraction"]);
    assert_eq!(late.alarm.as_percent(), 25.0);
    let low = Some("air.cylinder-low");
    for (charge, told) in [(271.0, None), (270.0, low), (150.0, low), (300.0, None)] {
        let found = duration(&cylinder(charge), &wear(40.0, 33.0)).unwrap().findings;
        assert!(ids(&found, Severity::Stop).is_empty());
        let cautions = ids(&found, Severity::Caution);
        let of_charge = cautions.into_iter().find(|id| id.starts_with("air.cylinder-"));
        assert_eq!(of_charge, told, "{charge}");
    }
}

// Source: data/checks/dew_point.csv, computed with another program (psychrolib 2.5.0), and of it
// checked against a third within 0.3 %.
#[test]
fn dew_points_and_water_convert_as_in_the_reference_table() {
    let rows = rows(include_str!("../../../data/checks/dew_point.csv"));
    for row in &rows {
        let point = DewPoint::from_celsius(number(row, 1)).unwrap();
        let close = |value: f64, column: usize| {
            let off = value / number(row, column) - 1.0;
            assert!(off.abs() < 6e-5, "{row:?}, column {column}: {value}");
        };
        close(water_vapour_pa(point), 4);
        let water = water_ppm(point, kpa(101.325)).unwrap();
        close(water.as_ppm(), 5);
        close(water_mg_per_m3(water, celsius(20.0), kpa(101.325)).unwrap().as_mg_per_m3(), 6);
        let back = dew_point_of(water, kpa(101.325)).unwrap().unwrap();
        assert!((back.as_celsius() - point.as_celsius()).abs() < 1e-9);
        let compressed = water_ppm(point, kpa(30_101.325)).unwrap();
        assert!(
            (compressed.as_ppm() - number(row, 7)).abs() <= 0.6 * last_digit(&row[7]),
            "{row:?}"
        );
        match dew_point_of(compressed, kpa(101.325)).unwrap() {
            Some(there) => assert_eq!(format!("{:.1}", there.as_celsius()), row[8], "{row:?}"),
            None => assert!(row[8].starts_with("below"), "{row:?}"),
        }
    }
    assert_eq!(rows.len(), 10);
}

/// One unit of the last place printed.
fn last_digit(text: &str) -> f64 {
    let places = text.split_once('.').map_or(0, |(_, after)| after.len());
    10_f64.powi(-i32::try_from(places).unwrap())
}

// Steam table value from memory: 611.657 Pa at the triple point.
#[test]
fn ice_and_water_meet_at_the_triple_point() {
    let at = |c: f64| water_vapour_pa(DewPoint::from_celsius(c).unwrap());
    assert!((at(0.01) / at(0.010_001) - 1.0).abs() < 2e-5);
    assert!((at(0.01) - 611.657).abs() < 0.1, "{}", at(0.01));
    assert!(dew_point_of(Ppm::from_ppm(1e6).unwrap(), kpa(200.0)).is_err());
}

fn good_report() -> Report {
    Report {
        supply: Supply::Cylinder,
        oxygen: Some("20.9 %".parse().unwrap()),
        hydrocarbons: Some("0.5 mg/m3".parse().unwrap()),
        carbon_monoxide: Some("2 ppm".parse().unwrap()),
        carbon_dioxide: Some("400 ppm".parse().unwrap()),
        odour: Some(false),
        moisture: Some(Moisture::DewPoint("-55 degC".parse().unwrap())),
        ambient: None,
    }
}

// 29 CFR 1910.134(i)(1)(ii), (i)(4)(iii), (i)(5)(ii): each figure, at and beyond its limit.
#[test]
fn each_figure_of_grade_d_is_held_and_equal_passes() {
    let check = |change: fn(&mut Report), stops: &[&str]| {
        let mut report = good_report();
        change(&mut report);
        let answer = judge_report(&report).unwrap();
        assert_eq!(ids(&answer.findings, Severity::Stop), stops, "{report:?}");
        assert_eq!(answer.meets, stops.is_empty());
    };
    let grade_d = &["air.grade-d"][..];
    check(|_| {}, &[]);
    check(|r| r.oxygen = "19.5 %".parse().ok(), &[]);
    check(|r| r.oxygen = "23.5 %".parse().ok(), &[]);
    check(|r| r.oxygen = "19.4 %".parse().ok(), grade_d);
    check(|r| r.oxygen = "23.6 %".parse().ok(), grade_d);
    check(|r| r.hydrocarbons = "5 mg/m3".parse().ok(), &[]);
    check(|r| r.hydrocarbons = "5.1 mg/m3".parse().ok(), grade_d);
    check(|r| r.carbon_monoxide = "10 ppm".parse().ok(), &[]);
    check(|r| r.carbon_monoxide = "10.1 ppm".parse().ok(), grade_d);
    check(|r| r.carbon_dioxide = "1000 ppm".parse().ok(), &[]);
    check(|r| r.carbon_dioxide = "1001 ppm".parse().ok(), grade_d);
    check(|r| r.odour = Some(true), grade_d);
    check(|r| r.carbon_monoxide = None, &["air.not-reported"]);
    check(|r| r.moisture = None, &["air.not-reported"]);
    check(|r| r.moisture = Some(Moisture::DewPoint("-50 degF".parse().unwrap())), &[]);
    check(|r| r.moisture = Some(Moisture::DewPoint("-45.6 degC".parse().unwrap())), &[]);
    check(
        |r| r.moisture = Some(Moisture::DewPoint("-45 degC".parse().unwrap())),
        &["air.moisture"],
    );
    check(|r| r.moisture = Some(Moisture::Water("66 ppm".parse().unwrap())), &[]);
    check(|r| r.moisture = Some(Moisture::Water("68 ppm".parse().unwrap())), &["air.moisture"]);
    check(|r| r.moisture = Some(Moisture::Water("0 ppm".parse().unwrap())), &[]);
    check(|r| r.supply = Supply::Compressor, &["air.not-reported"]);
    let compressor = |dew: &str| Report {
        supply: Supply::Compressor,
        ambient: "20 degC".parse().ok(),
        moisture: Some(Moisture::DewPoint(dew.parse().unwrap())),
        ..good_report()
    };
    assert!(judge_report(&compressor("14.4 degC")).unwrap().meets);
    assert!(!judge_report(&compressor("14.5 degC")).unwrap().meets);
}

#[test]
fn a_dew_point_under_pressure_is_brought_to_one_atmosphere() {
    let pressure = "200 bar".parse().unwrap();
    let report = Report {
        moisture: Some(Moisture::UnderPressure("10 degC".parse().unwrap(), pressure)),
        ..good_report()
    };
    let answer = judge_report(&report).unwrap();
    let water = answer.water.unwrap().as_ppm();
    assert!((water / (1228.0 / 20.101_325e6 * 1e6) - 1.0).abs() < 1e-3, "{water}");
    assert!(answer.dew_point.unwrap().as_celsius() < -45.6 && answer.meets);
    assert_eq!(ids(&answer.findings, Severity::Caution), ["air.dew-point-under-pressure"]);
}

// 42 CFR 84.148 to 84.150 and subpart J Table 8.
#[test]
fn hoses_are_held_to_length_pressure_and_flow() {
    let hose = |airline, length: &str| Hose {
        airline,
        length: length.parse().unwrap(),
        pressure: None,
        relief_device: false,
        flow: None,
    };
    let stops = |hose: Hose| ids(&check_hose(&hose).unwrap().findings, Severity::Stop);
    let flow = |l_min: f64, loose| Some((LitrePerMin::from_l_per_min(l_min).unwrap(), loose));
    for (length, airline, over) in [
        ("300 ft", Airline::TypeCDemand, false),
        ("91 m", Airline::TypeA, false),
        ("92 m", Airline::TypeCContinuous, true),
        ("75 ft", Airline::TypeB, false),
        ("24 m", Airline::TypeB, true),
    ] {
        assert_eq!(!stops(hose(airline, length)).is_empty(), over, "{length}");
    }
    let demand = hose(Airline::TypeCDemand, "60 m");
    let high = "10 bar".parse().ok();
    assert!(stops(Hose { pressure: "125 psi".parse().ok(), ..demand }).is_empty());
    assert_eq!(stops(Hose { pressure: high, ..demand }), ["air.hose-pressure"]);
    assert!(stops(Hose { pressure: high, relief_device: true, ..demand }).is_empty());
    let continuous = hose(Airline::TypeCContinuous, "60 m");
    assert_eq!(stops(Hose { pressure: high, relief_device: true, ..continuous }).len(), 1);
    for (given, over) in [
        // Printed as 115 L/min (4 cfm) and 170 L/min (6 cfm): either figure passes.
        (flow(4.0 * 28.316_846_592, false), false),
        (flow(113.0, false), true),
        (flow(169.0, true), true),
        (flow(425.0, true), false),
        (flow(426.0, false), true),
    ] {
        assert_eq!(!stops(Hose { flow: given, ..continuous }).is_empty(), over, "{given:?}");
    }
    assert!(check_hose(&hose(Airline::TypeA, "1 mm")).is_err());
    assert!(hose_limits(Airline::TypeA).pressure.is_none());
}

// data/breathing_air.csv, data/cylinders.csv: every figure and row is read.
#[test]
fn the_figures_are_those_printed() {
    let figures = grade_d();
    assert_eq!((figures.oxygen_low.as_percent(), figures.oxygen_high.as_percent()), (19.5, 23.5));
    assert_eq!(figures.refill_at.as_percent(), 90.0);
    assert_eq!(figures.least_alarm.as_percent(), 25.0);
    assert!((figures.compressor_margin_celsius - 5.56).abs() < 5e-3);
    assert!((figures.cylinder_dew_point.as_celsius() + 45.6).abs() < 0.06);
    assert_eq!(cylinder_rules().len(), 29);
    let listed: Vec<&str> = listable().map(|row| row.id.as_str()).collect();
    for id in ["CY02", "CY09", "CY16", "CY20"] {
        assert!(listed.contains(&id), "{id}");
    }
    // The second row of one kind, rules for any cylinder, and what no breathing apparatus has.
    for id in ["CY10", "CY17", "CY24", "CY29", "CY08"] {
        assert!(!listed.contains(&id), "{id}");
    }
    // The thin steel of aircraft: three years read in one row, 24 from memory in the other.
    let thin = printed_terms("CY09");
    assert_eq!(thin.requalified_every, Some((Every::Months(36), false)));
    assert_eq!(thin.serves, Some((Every::Months(288), true)));
    // A permit sets the life of a composite cylinder, and no table knows it; no test is printed rarer
    // than every twelve years.
    let by_permit = PrintedTerms { life_by_permit: true, ..PrintedTerms::default() };
    assert_eq!([printed_terms("CY16"), printed_terms("CY17")], [by_permit; 2]);
    assert!(printed_terms("CY23").life_by_permit && !printed_terms("CY02").life_by_permit);
    assert_eq!(longest_period(), Every::Months(144));
    let steel = cylinder_rules().iter().find(|rule| rule.id == "CY02").unwrap();
    assert_eq!((steel.requalified_every, steel.unconfirmed), (Some(Every::Months(60)), false));
}
