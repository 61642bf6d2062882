//! 29 CFR 1910.134(d)(3)(i)(A) Table 1 and its notes.

mod support;

use rulebook::{AirSource, Device, Facepiece, assigned};
use support::{assert_worded, device, filtering_facepiece};

/// The printed table, row by row; 0 where the cell is empty.
#[test]
fn each_of_the_35_rows_gives_the_printed_factor_or_stops() {
    use AirSource as A;
    let printed = [
        (A::AirPurifying, [5.0, 10.0, 50.0, 0.0, 0.0]),
        (A::PoweredAirPurifying, [0.0, 50.0, 1000.0, 25.0, 25.0]),
        (A::SuppliedAirDemand, [0.0, 10.0, 50.0, 0.0, 0.0]),
        (A::SuppliedAirContinuousFlow, [0.0, 50.0, 1000.0, 25.0, 25.0]),
        (A::SuppliedAirPressureDemand, [0.0, 50.0, 1000.0, 0.0, 0.0]),
        (A::SelfContainedDemand, [0.0, 10.0, 50.0, 50.0, 0.0]),
        (A::SelfContainedPressureDemand, [0.0, 0.0, 10000.0, 10000.0, 0.0]),
    ];
    let mut row = 0;
    for (source, factors) in printed {
        for (facepiece, factor) in Facepiece::ALL.into_iter().zip(factors) {
            row += 1;
            let id = format!("APF{row:02}");
            match assigned(&device(source, facepiece)) {
                Ok(found) => {
                    assert_eq!((found.factor, found.row_id), (factor, id.as_str()));
                    assert!(found.citation.starts_with("29 CFR 1910.134(d)(3)(i)(A)"));
                }
                Err(finding) => {
                    assert_eq!(factor, 0.0, "{id}");
                    assert_eq!(finding.rule.id, "factor.not-assigned");
                    assert!(finding.citation().contains(&id), "{}", finding.citation());
                    assert_worded(&finding);
                }
            }
        }
    }
    assert_eq!(row, 35);
}

// Note 4: 1000 for a helmet or hood only with the maker's evidence.
#[test]
fn a_hood_has_1000_only_with_evidence_and_evidence_helps_no_other_class() {
    for source in [AirSource::PoweredAirPurifying, AirSource::SuppliedAirContinuousFlow] {
        let hood = device(source, Facepiece::HelmetOrHood);
        assert_eq!(assigned(&hood).unwrap().factor, 25.0);
        let shown = Device { maker_shows_factor_1000: true, ..hood };
        assert_eq!(assigned(&shown).unwrap().factor, 1000.0);
        let loose = Device { facepiece: Facepiece::LooseFitting, ..shown };
        assert_eq!(assigned(&loose).unwrap().factor, 25.0);
    }
    let half = device(AirSource::AirPurifying, Facepiece::HalfMask);
    assert_eq!(assigned(&Device { maker_shows_factor_1000: true, ..half }).unwrap().factor, 10.0);
}

// Note 3: filtering facepieces stand in the half mask row.
#[test]
fn a_filtering_facepiece_is_a_half_mask() {
    let found = assigned(&filtering_facepiece()).unwrap();
    assert_eq!((found.factor, found.row_id), (10.0, "APF02"));
}

// Note 5: no factor for escape only.
#[test]
fn a_unit_for_escape_only_has_no_factor() {
    let unit = device(AirSource::SelfContainedPressureDemand, Facepiece::FullFacepiece);
    let finding = assigned(&Device { escape_only: true, ..unit }).unwrap_err();
    assert_eq!(finding.rule.id, "factor.escape-only");
    assert_worded(&finding);
}

#[test]
fn a_description_that_contradicts_itself_stops() {
    let full = device(AirSource::AirPurifying, Facepiece::FullFacepiece);
    for wrong in [
        Device { filtering_facepiece: true, ..full.clone() },
        Device { auxiliary_self_contained: true, ..full },
        Device { air_source: AirSource::PoweredAirPurifying, ..filtering_facepiece() },
    ] {
        let finding = assigned(&wrong).unwrap_err();
        assert_eq!(finding.rule.id, "device.contradiction");
        assert_worded(&finding);
    }
}
