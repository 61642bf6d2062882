//! Rule `elements.mounting`: do the elements on the set go with a set of this class?

use super::UnitFacts;
use crate::{AirSource, Authority, Device, Facepiece, Finding, Mounting, Rule};

/// # What it asks
/// Do the elements on the set go with a set of this class?
/// # Why
/// A gas mask with a canister is a full facepiece, and a canister for escape is for leaving only: on
/// another set they were never tested.
/// # Citation
/// 42 CFR 84.110(a) (from memory, unconfirmed).
/// # Example that passes
/// A canister at the chin of a full facepiece.
/// # Example that stops
/// A canister for escape on a half mask for work.
/// # Remedy
/// Fit elements made for this set, or take a set made for them.
/// # Limits
/// Knows how the kind of element was listed as mounted. Cartridges and filters go with every set here,
/// and a canister at front or back with a blower; which kinds the maker approves is asked of the model.
pub static RULE: Rule = Rule {
    id: "elements.mounting",
    asks: "Do the elements on the set go with a set of this class?",
    why: "A gas mask with a canister is a full facepiece, and a canister for escape is for leaving \
           only: on another set they were never tested.",
    citation: "42 CFR 84.110(a) (from memory, unconfirmed)",
    authority: Authority::Memory,
    says: "the elements `{kind}`, a {mounting}, do not go with this set: {class}",
    remedy: "fit elements made for this set, or take a set made for these elements",
};

/// Asks the rule of `facts`.
#[must_use]
pub fn check(facts: &UnitFacts<'_>) -> Option<Finding> {
    let elements = facts.elements_in_use()?;
    let finding = found(facts.device.as_ref()?, elements.kind, elements.mounting?)?;
    Some(finding.resting_on(elements.entry))
}

/// What stands against elements of `kind`, mounted so, on a `device`.
#[must_use]
pub fn found(device: &Device, kind: &str, mounting: Mounting) -> Option<Finding> {
    let full = device.facepiece == Facepiece::FullFacepiece;
    let goes = match mounting {
        Mounting::Cartridge => true,
        Mounting::CanisterFrontOrBack => {
            full || device.air_source == AirSource::PoweredAirPurifying
        }
        Mounting::CanisterChin => full && device.air_source == AirSource::AirPurifying,
        Mounting::CanisterEscape => device.escape_only,
    };
    if goes {
        return None;
    }
    let class = format!("{}, {}", device.air_source, device.facepiece);
    let finding = Finding::stop(&RULE).with("kind", kind).with("mounting", mounting);
    Some(finding.with("class", class))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::unit::sample;

    fn mounted(mounting: Mounting, facepiece: Facepiece, expected: Option<&str>) {
        sample::check(
            |facts| {
                sample::device(facts).facepiece = facepiece;
                sample::elements(facts).mounting = Some(mounting);
            },
            check,
            expected,
        );
    }

    #[test]
    fn the_examples_of_the_doc_hold() {
        mounted(Mounting::CanisterChin, Facepiece::FullFacepiece, None);
        mounted(Mounting::CanisterEscape, Facepiece::HalfMask, Some("elements.mounting"));
    }

    #[test]
    fn no_canister_goes_with_a_half_mask_for_work() {
        mounted(Mounting::CanisterChin, Facepiece::HalfMask, Some("elements.mounting"));
        mounted(Mounting::CanisterFrontOrBack, Facepiece::HalfMask, Some("elements.mounting"));
        mounted(Mounting::CanisterFrontOrBack, Facepiece::FullFacepiece, None);
        mounted(Mounting::CanisterEscape, Facepiece::FullFacepiece, Some("elements.mounting"));
    }
}
