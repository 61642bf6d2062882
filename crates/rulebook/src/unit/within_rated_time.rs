//! Rule `unit.within-rated-time`: does the carried air last as long as the planned wear?

use quantity::KilopascalGauge;

use super::UnitFacts;
use crate::breathing_air::{Cylinder, Wear, duration, grade_d};
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Does the carried air last as long as the planned wear?
/// # Why
/// A self-contained set gives air for its rated service time at most; hard work uses it faster.
/// # Citation
/// 42 CFR 84.53 (classes of rated service time); of a set whose rating was not entered, the air of its
/// cylinder up to the alarm of 42 CFR 84.83(f), at the breathing of the work.
/// # Example that passes
/// 25 minutes planned, rated for 30.
/// # Example that stops
/// 35 minutes planned, rated for 30; 480 minutes planned on a 6.8 L cylinder of a set without a rating.
/// # Remedy
/// Plan a shorter stay, or take a set with a longer rating or supplied air.
/// # Limits
/// Self-contained sets. The rating is at a set breathing rate: leave when the low-air alarm sounds,
/// whatever time is left. A rated set whose air would by computation be used up before, because the work
/// is hard, is a caution: the breathing of a work is common practice, and the rating stands on a test.
pub static RULE: Rule = Rule {
    id: "unit.within-rated-time",
    asks: "Does the carried air last as long as the planned wear?",
    why: "A self-contained set gives air for its rated service time at most, and hard work uses it \
          faster.",
    citation: "42 CFR 84.53; without a rating, the air up to the alarm of 42 CFR 84.83(f)",
    authority: Authority::Read,
    says: "{planned} min of wear are planned and {state}",
    remedy: "plan a shorter stay, or take a set rated for longer or supplied air; where the minutes \
             of the model were not entered, enter those of its approval",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref().filter(|d| d.air_source.is_self_contained())?;
    let told = |finding: Finding, state: String| {
        Some(finding.with("planned", facts.planned_min).with("state", state))
    };
    let to_alarm = minutes_to_alarm(facts);
    let computed = |minutes: f64| {
        let minutes = minutes.floor();
        format!("at this work the air of its cylinder lasts {minutes} min until the alarm")
    };
    match (device.rated_minutes.map(f64::from), to_alarm) {
        (Some(rated), _) if rated < facts.planned_min => {
            told(Finding::stop(&RULE), format!("this set carries air for {rated} min at most"))
        }
        (Some(_), Some(lasts)) if lasts < facts.planned_min => {
            told(Finding::caution(&RULE), computed(lasts))
        }
        (None, Some(lasts)) if lasts < facts.planned_min => {
            told(Finding::stop(&RULE), computed(lasts))
        }
        (None, None) => {
            let state =
                "neither the rated minutes of this set are known nor what its cylinder holds";
            told(Finding::stop(&RULE), state.to_owned())
        }
        (Some(_), _) | (None, Some(_)) => None,
    }
}

/// How long the air of its cylinder lasts until the alarm at the work of the task; none where volume,
/// pressure or work is not known, or no such air can be.
///
/// The pressure is what was read, and never more than the rated one: a warm cylinder shows too much.
fn minutes_to_alarm(facts: &UnitFacts<'_>) -> Option<f64> {
    let breathing = facts.breathing?;
    let listed = facts.mounted.as_ref()?.listed.as_ref()?;
    let rated = listed.rated.as_kpa();
    let charge = facts.cylinder.as_ref()?.read.as_kpa().min(rated);
    let gauge = |kpa| KilopascalGauge::from_kpa(kpa).ok();
    let cylinder = Cylinder {
        volume: listed.water_volume,
        charge: gauge(charge)?,
        rated: gauge(rated),
        temperature: breathing.temperature,
        unit: None,
    };
    let wear = Wear {
        minute_volume: breathing.minute_volume,
        alarm: grade_d().least_alarm,
        ambient: breathing.ambient,
    };
    Some(duration(&cylinder, &wear).ok()?.to_alarm.as_min())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::{Breathing, sample};
    use crate::{AirSource, Severity};
    use quantity::{Celsius, Kilopascal, LitrePerMin, Litres};

    fn rated_30(facts: &mut UnitFacts<'_>, planned_min: f64) {
        if let Some(device) = &mut facts.device {
            device.air_source = AirSource::SelfContainedPressureDemand;
            device.rated_minutes = Some(30);
        }
        facts.planned_min = planned_min;
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::check(|facts| rated_30(facts, 25.0), check, None);
        sample::check(|facts| rated_30(facts, 30.0), check, None);
        sample::check(|facts| rated_30(facts, 35.0), check, Some("unit.within-rated-time"));
        let unknown = |facts: &mut UnitFacts<'static>| {
            rated_30(facts, 1.0);
            sample::device(facts).rated_minutes = None;
        };
        sample::check(unknown, check, Some("unit.within-rated-time"));
    }

    /// What is found of so many minutes on a full cylinder of so many litres at 207 bar.
    fn found(rated: Option<u32>, litres: f64, breathed: f64, planned: f64) -> Option<Severity> {
        let mut found = None;
        let change = |facts: &mut UnitFacts<'static>| {
            sample::cylinder(facts, 20_700.0, 20_700.0);
            sample::device(facts).rated_minutes = rated;
            facts.planned_min = planned;
            let listed = sample::mounted(facts).listed.as_mut().unwrap();
            listed.water_volume = Litres::from_l(litres).unwrap();
            facts.breathing = Some(Breathing {
                minute_volume: LitrePerMin::from_l_per_min(breathed).unwrap(),
                ambient: Kilopascal::from_kpa(101.3).unwrap(),
                temperature: Celsius::from_celsius(20.0).unwrap(),
            });
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(change, |_| None, None);
        found
    }

    // By hand, with the law of Boyle: 6.8 L at 207 bar are 1408 L, at most 3/4 of it before the alarm of
    // 42 CFR 84.83(f): 19.8 min at 53.3 L/min, and a few percent less by the real gas.
    #[test]
    fn without_a_rating_the_air_of_the_cylinder_counts() {
        let stop = Some(Severity::Stop);
        assert_eq!(found(None, 6.8, 53.3, 480.0), stop);
        assert_eq!(found(None, 6.8, 53.3, 20.0), stop);
        assert_eq!(found(None, 6.8, 53.3, 18.0), None);
        assert_eq!(found(None, 1.0, 53.3, 4.0), stop);
        // Hard work on a rated set.
        assert_eq!(found(Some(30), 6.8, 65.0, 30.0), Some(Severity::Caution));
        assert_eq!(found(Some(30), 6.8, 35.0, 25.0), None);
        assert_eq!(found(Some(30), 6.8, 35.0, 31.0), stop);
    }
}
