//! Facts in which every rule of this folder passes, to be changed one at a time.

use jiff::civil::date;
use quantity::Ppm;

use super::{AlarmCheck, BedTag, CylinderFacts, Look, Source, SupplyFacts, SupplyTest};
use crate::Finding;
use crate::interval::Every;

/// Changes one thing in the good facts and expects the rule `expected`, or nothing.
pub(super) fn check<F: Good>(
    change: impl FnOnce(&mut F),
    rule: fn(&F) -> Option<Finding>,
    expected: Option<&str>,
) {
    let mut facts = F::good();
    assert_eq!(rule(&facts), None, "the good facts pass");
    change(&mut facts);
    let found = rule(&facts);
    assert_eq!(found.as_ref().map(|finding| finding.rule.id), expected);
    if let Some(finding) = found {
        let said = format!("{} / {}", finding.text(), finding.remedy());
        assert!(!said.contains(['{', '}']), "{said}");
    }
}

pub(super) fn look<'f>(facts: &'f mut SupplyFacts<'static>) -> &'f mut Look<'static> {
    facts.look.as_mut().unwrap()
}

/// Facts that pass every rule asked of them.
pub(super) trait Good {
    fn good() -> Self;
}

impl Good for SupplyFacts<'static> {
    fn good() -> Self {
        Self {
            supply: "compressor 1",
            day: date(2026, 5, 4),
            source: Source::OilLubricatedCompressor,
            air_test: Some(SupplyTest {
                day: date(2026, 3, 1),
                meets: true,
                only_incomplete: false,
                dry: Some(true),
                entry: "e1",
            }),
            air_test_counts: Every::Months(6),
            certificate: None,
            bought_without: None,
            bed_tag: Some(BedTag {
                day: date(2026, 3, 2),
                signed: "Bo",
                serves_until: Some(date(2026, 9, 1)),
                entry: "e2",
            }),
            high_temperature_alarm: false,
            monoxide_alarm: Some(AlarmCheck {
                day: date(2026, 4, 30),
                passed: true,
                sounds_at: Ppm::from_ppm(10.0).unwrap(),
                entry: "e3",
            }),
            alarm_check_counts: Every::Months(1),
            monoxide_test: None,
            monoxide_test_counts: Every::Months(1),
            look: Some(Look {
                day: date(2026, 3, 1),
                intake: "on the roof, away from every exhaust",
                intake_clean: Some(true),
                air_alone: true,
                entry: "e5",
            }),
            couplings_apart: true,
            entry: "e4",
        }
    }
}

impl Good for CylinderFacts<'static> {
    fn good() -> Self {
        Self {
            cylinder: "S-1",
            day: date(2026, 6, 1),
            made: date(2016, 6, 30),
            requalified: Some(date(2021, 6, 30)),
            requalified_every: Some(Every::Months(60)),
            period_unconfirmed: false,
            life_ends: Some(date(2031, 6, 30)),
            life_unconfirmed: false,
            life_by_permit: true,
            withdrawn: None,
            oxygen: None,
            air: None,
            failed: None,
            entry: "e1",
        }
    }
}
