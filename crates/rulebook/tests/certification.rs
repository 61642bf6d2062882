//! 42 CFR 84.207 Table 11, 84.126 Tables 5 to 7, 84.1157(f) and 84.190(a).
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    reason = "a test that cannot read its own data must fail"
)]

mod support;

use std::collections::BTreeSet;

use rulebook::{
    CertificationTest, ElementKind as Kind, Facepiece, Mounting, max_use, minimum, minimum_for,
    minimum_powered,
};
use support::{elements, full_facepiece, half_mask, powered};

/// Id, challenge, flow, penetration, minutes, conditioned.
type Summary<'a> = (&'a str, f64, f64, Option<f64>, f64, bool);

fn summary(tests: &[CertificationTest]) -> Vec<Summary<'_>> {
    tests
        .iter()
        .map(|t| {
            (
                t.id.as_str(),
                t.challenge_ppm.as_ppm(),
                t.flow.as_l_per_min(),
                t.penetration_limit_ppm.map(|ppm| ppm.as_ppm()),
                t.minimum_minutes.as_min(),
                t.conditioned,
            )
        })
        .collect()
}

// 42 CFR 84.207 Table 11: challenge, penetration and minutes of each type.
#[test]
fn cartridges_hold_what_table_11_prints() {
    let printed = [
        (Kind::Ammonia, ["CT001", "CT002"], 1000.0, 50.0, 50.0),
        (Kind::Chlorine, ["CT003", "CT004"], 500.0, 5.0, 35.0),
        (Kind::HydrogenChloride, ["CT005", "CT006"], 500.0, 5.0, 50.0),
        (Kind::Methylamine, ["CT007", "CT008"], 1000.0, 10.0, 25.0),
        (Kind::OrganicVapour, ["CT009", "CT010"], 1000.0, 5.0, 50.0),
        (Kind::SulfurDioxide, ["CT011", "CT012"], 500.0, 5.0, 30.0),
    ];
    for (kind, ids, challenge, penetration, minutes) in printed {
        let tests = minimum(kind, Mounting::Cartridge);
        let expected = [
            (ids[0], challenge, 64.0, Some(penetration), minutes, false),
            (ids[1], challenge, 32.0, Some(penetration), minutes, true),
        ];
        assert_eq!(summary(&tests), expected);
    }
}

// 42 CFR 84.1157(f): powered units, the conditioned test alone.
#[test]
fn powered_units_hold_the_same_at_32_litres() {
    let kinds = [
        (Kind::Ammonia, "CT013", "CT014", 50.0),
        (Kind::Chlorine, "CT015", "CT016", 35.0),
        (Kind::HydrogenChloride, "CT017", "CT018", 50.0),
        (Kind::Methylamine, "CT019", "CT020", 25.0),
        (Kind::OrganicVapour, "CT021", "CT022", 50.0),
        (Kind::SulfurDioxide, "CT023", "CT024", 30.0),
    ];
    for (kind, tight, loose, minutes) in kinds {
        for (id, is_loose) in [(tight, false), (loose, true)] {
            let tests = minimum_powered(kind, is_loose);
            assert_eq!(tests.len(), 1, "{id}");
            assert_eq!(tests[0].id, id);
            assert_eq!(tests[0].minimum_minutes.as_min(), minutes, "{id}");
            assert_eq!(tests[0].flow.as_l_per_min(), 32.0);
            assert!(tests[0].edition.contains("2015"));
        }
    }
}

// 42 CFR 84.126 Tables 5, 6, 7. The doubtful 50,000 ppm of CT033 stays as printed and is not used.
#[test]
fn canisters_hold_what_tables_5_to_7_print() {
    let acid = minimum(Kind::AcidGas, Mounting::CanisterFrontOrBack);
    let ids: Vec<&str> = acid.iter().map(|t| t.id.as_str()).collect();
    assert_eq!(ids, ["CT025", "CT026", "CT027", "CT028"]);
    assert!(acid.iter().all(|t| t.challenge_ppm.as_ppm() == 20000.0));

    let chin = minimum(Kind::SulfurDioxide, Mounting::CanisterChin);
    assert_eq!(
        summary(&chin),
        [
            ("CT033", 5000.0, 64.0, Some(5.0), 12.0, false),
            ("CT034", 5000.0, 32.0, Some(5.0), 12.0, true)
        ]
    );
    assert_eq!(chin[0].printed_challenge_ppm.as_ppm(), 50000.0);
    assert!(chin[0].doubt.is_some() && chin[1].doubt.is_none());

    let ammonia = minimum(Kind::Ammonia, Mounting::CanisterFrontOrBack);
    assert!(ammonia.iter().all(|t| t.challenge_ppm.as_ppm() == 30000.0));

    let monoxide = minimum(Kind::CarbonMonoxide, Mounting::CanisterEscape);
    assert_eq!(monoxide.len(), 3);
    for test in &monoxide {
        assert_eq!(test.minimum_minutes.as_min(), 60.0);
        assert!(test.penetration_limit_ppm.is_none() && test.note.contains("385 cm3"));
    }
}

#[test]
fn every_one_of_the_57_rows_is_reached() {
    let mountings = [
        Mounting::Cartridge,
        Mounting::CanisterFrontOrBack,
        Mounting::CanisterChin,
        Mounting::CanisterEscape,
    ];
    let mut reached = BTreeSet::new();
    for kind in Kind::ALL {
        for mounting in mountings {
            reached.extend(minimum(kind, mounting).into_iter().map(|t| t.id));
        }
        for loose in [false, true] {
            reached.extend(minimum_powered(kind, loose).into_iter().map(|t| t.id));
        }
    }
    let expected: BTreeSet<String> = (1..=57).map(|n| format!("CT{n:03}")).collect();
    assert_eq!(reached, expected);
}

#[test]
fn a_kind_without_a_printed_test_has_none() {
    for kind in [Kind::MercuryVapour, Kind::Formaldehyde, Kind::EthyleneOxide, Kind::Butadiene] {
        assert!(minimum(kind, Mounting::Cartridge).is_empty(), "{kind}");
    }
    assert!(minimum(Kind::CarbonMonoxide, Mounting::Cartridge).is_empty());
}

// Combination rules beside Table 11 and under Tables 5 and 6.
#[test]
fn several_types_of_gas_shorten_the_minutes() {
    let minutes = |kind, mounting, against: &[Kind]| {
        let device = if mounting == Mounting::Cartridge { half_mask() } else { full_facepiece() };
        let tests = minimum_for(kind, &device, &elements(mounting, against, None));
        tests.iter().map(|t| t.minimum_minutes.as_min()).fold(f64::INFINITY, f64::min)
    };
    use Mounting::{CanisterEscape, CanisterFrontOrBack, Cartridge};
    let acid = [Kind::Chlorine, Kind::SulfurDioxide];
    let all = [Kind::AcidGas, Kind::OrganicVapour, Kind::Ammonia, Kind::CarbonMonoxide];
    let two = [Kind::OrganicVapour, Kind::Chlorine];
    for (kind, mounting, against, expected) in [
        (Kind::OrganicVapour, Cartridge, &[Kind::OrganicVapour][..], 50.0),
        (Kind::OrganicVapour, Cartridge, &two, 25.0),
        (Kind::Chlorine, Cartridge, &two, 17.5),
        (Kind::Chlorine, Cartridge, &acid, 35.0),
        (Kind::Ammonia, Cartridge, &[Kind::Ammonia, Kind::Methylamine], 25.0),
        (Kind::OrganicVapour, CanisterFrontOrBack, &two, 12.0),
        (Kind::OrganicVapour, CanisterFrontOrBack, &all, 6.0),
        (Kind::CarbonMonoxide, CanisterFrontOrBack, &all, 60.0),
        (Kind::OrganicVapour, CanisterEscape, &all, 12.0),
    ] {
        assert_eq!(minutes(kind, mounting, against), expected, "{kind} {against:?}");
    }
    let ov = elements(Cartridge, &[Kind::OrganicVapour], None);
    assert!(minimum_for(Kind::Ammonia, &half_mask(), &ov).is_empty(), "not certified for it");
    let hood = minimum_for(Kind::OrganicVapour, &powered(Facepiece::HelmetOrHood), &ov);
    assert_eq!(hood[0].id, "CT022");
}

// 42 CFR 84.190(a).
#[test]
fn the_highest_level_of_each_cartridge_is_as_printed() {
    for (kind, id, ppm) in [
        (Kind::Ammonia, "MU1", 300.0),
        (Kind::Chlorine, "MU2", 10.0),
        (Kind::HydrogenChloride, "MU3", 50.0),
        (Kind::Methylamine, "MU4", 100.0),
        (Kind::OrganicVapour, "MU5", 1000.0),
        (Kind::SulfurDioxide, "MU6", 50.0),
        (Kind::VinylChloride, "MU7", 10.0),
        (Kind::AcidGas, "MU2", 10.0),
    ] {
        let row = max_use(kind).unwrap();
        assert_eq!((row.id.as_str(), row.ppm.as_ppm()), (id, ppm), "{kind}");
        assert_eq!(row.citation, "42 CFR 84.190(a)");
    }
    assert!(max_use(Kind::MercuryVapour).is_none());
}
