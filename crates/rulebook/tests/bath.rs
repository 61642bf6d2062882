//! 29 CFR 1910.134 App. B-2 Part I.
#![allow(clippy::unwrap_used, reason = "a test that cannot read its own data must fail")]

mod support;

use quantity::{GramsPerCm3, Percent};
use rulebook::Severity;
use rulebook::bath::{Agent, Bath, ChlorineBasis, Request, Strength, make, recipe};
use support::assert_worded;

fn percent(value: f64) -> Percent {
    Percent::from_percent(value).unwrap()
}

/// Ten litres of 5.25 % bleach at 43 degC.
fn ten_litres() -> Request {
    Request {
        bath: "10 L".parse().unwrap(),
        agent: Agent::Hypochlorite,
        product: Strength::MassPerVolume(percent(5.25)),
        chlorine_basis: ChlorineBasis::SodiumHypochlorite,
        target: None,
        temperature: Some("43 degC".parse().unwrap()),
        contact: None,
        approved_by_maker: false,
    }
}

fn ids(bath: &Bath, severity: Severity) -> Vec<&'static str> {
    bath.findings.iter().for_each(assert_worded);
    bath.findings.iter().filter(|f| f.severity == severity).map(|f| f.rule.id).collect()
}

// App. B-2 I.D.1 and D.2 print 1 mL of laundry bleach and 0.8 mL of tincture to a litre of water for
// 50 ppm. Household bleach of the time held 5.25 % sodium hypochlorite (common practice, no source).
#[test]
fn the_printed_recipes_are_recovered() {
    let bath = make(&ten_litres()).unwrap();
    let (ml, per_ml) = recipe(Agent::Hypochlorite).printed_ml.unwrap();
    let printed = 10_000.0 * ml / (ml + per_ml);
    assert!((bath.product_ml / printed - 1.0).abs() < 2e-3, "{}", bath.product_ml);
    assert_eq!(bath.target.as_mg_per_l(), 50.0);
    assert_eq!(bath.contact.as_min(), 2.0);
    assert!((bath.product.as_l() + bath.water.as_l() - 10.0).abs() < 1e-12);
    assert!(ids(&bath, Severity::Stop).is_empty());

    // 6.25 g of iodine in 100 mL is what 0.8 mL to a litre needs, between the 6 and 8 g printed.
    let product = Strength::MassPerVolume(percent(6.25));
    let bath = make(&Request { agent: Agent::Iodine, product, ..ten_litres() }).unwrap();
    assert!((bath.product_ml - 8.0).abs() < 1e-9, "{}", bath.product_ml);
}

// Balance: what goes in with the product is what the bath holds.
#[test]
fn the_mass_of_what_disinfects_is_kept() {
    for (strength, basis) in [
        (0.5, ChlorineBasis::AvailableChlorine),
        (5.25, ChlorineBasis::SodiumHypochlorite),
        (12.5, ChlorineBasis::AvailableChlorine),
    ] {
        for litres in ["0.5 L", "10 L", "5 US gal"] {
            let request = Request {
                bath: litres.parse().unwrap(),
                product: Strength::MassPerVolume(percent(strength)),
                chlorine_basis: basis,
                ..ten_litres()
            };
            let bath = make(&request).unwrap();
            let grams_in = bath.product.as_l() * bath.active_g_per_l;
            let grams_held = bath.bath.as_l() * bath.target.as_mg_per_l() / 1e3;
            assert!((grams_in / grams_held - 1.0).abs() < 1e-12);
        }
    }
    // By mass: 5 % of 1.08 g/mL are 54 g/L; as chlorine 51.4 g/L.
    let density = GramsPerCm3::from_g_per_cm3(1.08).unwrap();
    let by_mass = Request { product: Strength::MassPerMass(percent(5.0), density), ..ten_litres() };
    assert!((make(&by_mass).unwrap().active_g_per_l - 51.435).abs() < 1e-3);
}

#[test]
fn heat_time_strength_and_approval_are_findings() {
    let check = |change: fn(&mut Request), severity, id: &str| {
        let mut request = ten_litres();
        change(&mut request);
        let bath = make(&request).unwrap();
        let found = ids(&bath, severity);
        assert_eq!(found.contains(&id), !id.is_empty(), "{id}: {found:?}");
    };
    let stop = Severity::Stop;
    check(|r| r.temperature = Some("44 degC".parse().unwrap()), stop, "bath.temperature");
    check(|r| r.temperature = None, Severity::Caution, "bath.temperature-not-given");
    check(|r| r.contact = Some("1 min".parse().unwrap()), stop, "bath.contact");
    check(|r| r.target = Some("20 ppm".parse().unwrap()), stop, "bath.target-low");
    check(|r| r.target = Some("200 mg/L".parse().unwrap()), Severity::Caution, "bath.target-high");
    check(
        |r| r.product = Strength::MassPerVolume(percent(8.25)),
        Severity::Note,
        "bath.recipe-differs",
    );
    check(
        |r| {
            r.agent = Agent::ApprovedCleaner;
            r.target = Some("200 ppm".parse().unwrap());
        },
        stop,
        "bath.maker-approval",
    );
    for (given, stops) in [("110 degF", false), ("43 degC", false), ("111 degF", true)] {
        let request = Request { temperature: Some(given.parse().unwrap()), ..ten_litres() };
        assert_eq!(!ids(&make(&request).unwrap(), stop).is_empty(), stops, "{given}");
    }
    let longer = Request { contact: Some("10 min".parse().unwrap()), ..ten_litres() };
    assert_eq!(make(&longer).unwrap().contact.as_min(), 10.0);
}

#[test]
fn impossible_baths_are_refused_by_name() {
    let check = |change: fn(&mut Request), said: &str| {
        let mut request = ten_litres();
        change(&mut request);
        let error = make(&request).unwrap_err().to_string();
        assert!(error.contains(said), "{error}");
    };
    check(|r| r.bath = "0 L".parse().unwrap(), "is no bath");
    check(|r| r.product = Strength::MassPerVolume(percent(0.0)), "no strength");
    check(|r| r.product = Strength::MassPerVolume(percent(0.004)), "weaker than the bath");
    check(|r| r.product = Strength::MassPerVolume(percent(65.0)), "dry product");
    check(|r| r.target = Some("0 ppm".parse().unwrap()), "does not disinfect");
    check(|r| r.agent = Agent::ApprovedCleaner, "its label directs");
    check(|r| r.bath = "5000 L".parse().unwrap(), "a bath of 5000 L is outside 0.1 L to 1000 L");
    check(|r| r.bath = "20 mL".parse().unwrap(), "a bath of 0.02 L is outside");
    check(|r| r.target = Some("6000 ppm".parse().unwrap()), "a bath of 6000 mg/L is outside");
    check(|r| r.temperature = Some("120 degC".parse().unwrap()), "a temperature of 120 degC");
    check(|r| r.temperature = Some("-5 degC".parse().unwrap()), "a temperature of -5 degC");
    check(|r| r.contact = Some("48 h".parse().unwrap()), "a contact of 2880 min");
    check(
        |r| {
            r.agent = Agent::Iodine;
            r.product = Strength::MassPerVolume(percent(40.0));
        },
        "a product of 400 g/L is outside 0 g/L to 200 g/L",
    );
    check(
        |r| {
            let heavy = GramsPerCm3::from_g_per_cm3(3.0).unwrap();
            r.product = Strength::MassPerMass(percent(5.0), heavy);
        },
        "a density of 3 g/cm3",
    );
}
