//! Rule `standby.equipped`: has who stands by a set at hand for going in?

use super::PostedFacts;
use crate::{Authority, Finding, Rule};

/// # What it asks
/// Has who stands by a set at hand for going in?
/// # Why
/// Without air of their own rescuers go down too.
/// # Citation
/// 29 CFR 1910.134(g)(3)(vi)(A).
/// # Example that passes
/// A self-contained set with positive pressure.
/// # Example that stops
/// A half mask; one set for two; an airline set at a fire.
/// # Remedy
/// Give each a set of their own that is for such air.
/// # Limits
/// Whether the set is ready is asked by a rule of its own.
pub static RULE: Rule = Rule {
    id: "standby.equipped",
    asks: "Has who stands by a set at hand for going in?",
    why: "Without air of their own rescuers go down too.",
    citation: "29 CFR 1910.134(g)(3)(vi)(A)",
    authority: Authority::Read,
    says: "{who} {state}",
    remedy: "give {who} a self-contained set with full facepiece and positive pressure, or \
          outside a fire an airline set of that kind with an auxiliary self-contained supply, \
          and record the posting anew",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &PostedFacts<'_>) -> Option<Finding> {
    let finding = Finding::stop(&RULE).with("who", facts.who).resting_on(facts.entry);
    let Some(set) = facts.set else {
        return Some(finding.with("state", "has no set at hand that nobody else has"));
    };
    let state = match facts.device {
        None => format!("has {set} at hand, of which nothing is known"),
        Some(device) if !device.is_for_danger() => {
            format!("has {set} at hand, which is not for going into such air")
        }
        Some(device) if facts.fire && !device.air_source.is_self_contained() => {
            format!("has {set} at hand, which is not self-contained")
        }
        Some(_) => return None,
    };
    Some(finding.with("state", state))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standby::sample::{self, CARRIED};
    use crate::{AirSource, Device, Facepiece};

    static AIRLINE: Device = Device {
        air_source: AirSource::SuppliedAirPressureDemand,
        auxiliary_self_contained: true,
        ..CARRIED
    };

    #[test]
    fn the_examples_of_the_doc_hold() {
        sample::of_posted(|facts| facts.set = None, check, Some(RULE.id));
        sample::of_posted(|facts| facts.device = None, check, Some(RULE.id));
        static HALF: Device = Device { facepiece: Facepiece::HalfMask, ..CARRIED };
        static DEMAND: Device = Device { air_source: AirSource::SelfContainedDemand, ..CARRIED };
        static ESCAPE: Device = Device { escape_only: true, ..CARRIED };
        static NO_BOTTLE: Device = Device { auxiliary_self_contained: false, ..AIRLINE };
        for device in [&HALF, &DEMAND, &ESCAPE, &NO_BOTTLE, &AIRLINE] {
            sample::of_posted(|facts| facts.device = Some(device), check, Some(RULE.id));
        }
        let at_a_tank = |facts: &mut PostedFacts<'_>| {
            (facts.fire, facts.device) = (false, Some(&AIRLINE));
        };
        sample::of_posted(at_a_tank, check, None);
    }
}
