//! Rule `unit.cylinder-suits`: is the cylinder rated and large enough for the set?

use quantity::Kilopascal;

use super::UnitFacts;
use crate::breathing_air::rated_service_time;
use crate::{Authority, Finding, Rule, shown_beside};

/// # What it asks
/// Is the cylinder rated and large enough for the set?
/// # Why
/// The minutes on the approval are those of the cylinder that it names; a smaller one runs out before.
/// # Citation
/// 29 CFR 1910.134(i)(9) and (d)(1)(ii); the rate of breathing is from memory
/// (`data/breathing_rates.csv` BR15).
/// # Example that passes
/// 6.8 L at 300 bar on a set rated for 30 minutes.
/// # Example that stops
/// 2 L at 100 bar on it; or 207 bar on a set whose cylinder was read as rated for 310 bar.
/// # Remedy
/// Mount the cylinder that the approval of the set names.
/// # Limits
/// Which cylinders the approval names asks a rule of its own. Here what the set needs is taken from its minutes, at the rate by which sets
/// are rated, and from the highest rating with which its cylinder was read. Sets that breathe the same air
/// again, with a small cylinder of oxygen, are not known here and stop.
pub static RULE: Rule = Rule {
    id: "unit.cylinder-suits",
    asks: "Is the cylinder rated and large enough for the set?",
    why: "The minutes on the approval are those of the cylinder that it names; a smaller one runs \
          out before.",
    citation: "29 CFR 1910.134(i)(9) and (d)(1)(ii); the rate of breathing is from memory, \
               unconfirmed",
    authority: Authority::Read,
    says: "cylinder {cylinder}: {state}",
    remedy: "mount a cylinder that the approval of the set names; where a figure is wrong, correct \
             the listing of the cylinder, the reading of its gauge or the minutes of the model",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let device = facts.device.as_ref().filter(|device| device.carries_cylinder())?;
    let mounted = facts.mounted.as_ref()?;
    let listed = mounted.listed.as_ref()?;
    let told = |finding: Finding, state: String| {
        let finding = finding.with("cylinder", mounted.cylinder).with("state", state);
        Some(finding.resting_on(mounted.entry).resting_on(listed.entry))
    };
    let rated = listed.rated;
    let read_as = mounted.read_as.filter(|read_as| !is_the_same(*read_as, rated));
    let read_as_words = |read_as| {
        format!(
            "it is rated for {rated}, and the cylinder of this set was read as rated for {read_as}"
        )
    };
    if let Some(read_as) = read_as.filter(|read_as| rated.as_kpa() < read_as.as_kpa()) {
        return told(Finding::stop(&RULE), read_as_words(read_as));
    }
    let minutes = device.rated_minutes;
    let lasts = rated_service_time(listed.water_volume, rated);
    match (minutes, &lasts) {
        (_, Err(_)) => {
            let state = "how long its air lasts cannot be told from its volume and rating";
            told(Finding::stop(&RULE), state.to_owned())
        }
        (Some(minutes), Ok(lasts)) if lasts.as_min() < f64::from(minutes) => {
            let state = format!(
                "full, it lasts {} min at the rate by which sets are rated, and this set is \
                 rated for {minutes} min",
                shown_beside(lasts.as_min(), f64::from(minutes), 0)
            );
            told(Finding::stop(&RULE), state)
        }
        (None, Ok(_)) => {
            let state = "for how many minutes this set is rated was not entered, so that nothing \
                         shows that the cylinder is large enough";
            told(Finding::caution(&RULE), state.to_owned())
        }
        (Some(_), Ok(_)) => told(Finding::caution(&RULE), read_as_words(read_as?)),
    }
}

/// Whether two ratings are one, written in two units: 4500 psi and 310 bar. Common practice, no source.
fn is_the_same(one: Kilopascal, other: Kilopascal) -> bool {
    (one.as_kpa() - other.as_kpa()).abs() <= 0.01 * other.as_kpa()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Severity;
    use crate::unit::sample;
    use quantity::Litres;

    /// The severity of what is found of a cylinder of so many kPa and litres on a set rated for 30
    /// minutes.
    fn found(rated: f64, litres: f64, read_as: Option<f64>) -> Option<Severity> {
        let mut found = None;
        let kpa = |kpa| Kilopascal::from_kpa(kpa).unwrap();
        let run = |facts: &mut UnitFacts<'static>| {
            sample::cylinder(facts, rated, rated);
            sample::device(facts).rated_minutes = Some(30);
            let mounted = sample::mounted(facts);
            mounted.read_as = read_as.map(kpa);
            let listed = mounted.listed.as_mut().unwrap();
            (listed.rated, listed.water_volume) = (kpa(rated), Litres::from_l(litres).unwrap());
            found = check(facts).map(|finding| finding.severity);
        };
        sample::check(run, |_| None, None);
        found
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        let change = |facts: &mut UnitFacts<'static>| {
            sample::cylinder(facts, 10_000.0, 10_000.0);
            sample::mounted(facts).listed.as_mut().unwrap().water_volume =
                Litres::from_l(2.0).unwrap();
        };
        sample::check(change, check, Some("unit.cylinder-suits"));
        assert_eq!(found(30_000.0, 6.8, None), None);
        assert_eq!(found(31_000.0, 6.0, Some(31_000.0)), None);
        assert_eq!(found(31_000.0, 6.0, Some(31_026.0)), None, "4500 psi");
        assert_eq!(found(30_000.0, 6.8, Some(31_000.0)), Some(Severity::Stop));
    }

    #[test]
    fn a_cylinder_of_too_little_pressure_or_volume_stops() {
        // 100 bar and 2 L last 5 minutes at 40 L/min, 150 bar and 6.8 L last 25.
        assert_eq!(found(10_000.0, 2.0, None), Some(Severity::Stop));
        assert_eq!(found(15_000.0, 6.8, None), Some(Severity::Stop));
        assert_eq!(found(20_700.0, 9.0, Some(31_000.0)), Some(Severity::Stop));
        assert_eq!(found(30_000.0, 0.0068, None), Some(Severity::Stop), "no cylinder at all");
        assert_eq!(found(31_000.0, 6.8, Some(20_700.0)), Some(Severity::Caution));
    }
}
