//! Carbon monoxide, which ordinary elements do not hold.

use substance::SubstanceClass;

use super::case::Case;
use crate::{Authority, ElementKind, Finding, Mounting, Rule};

/// # What it asks
/// Is there a canister certified for carbon monoxide where that gas is?
/// # Why
/// Carbon monoxide passes every sorbent; only the catalyst of a gas mask canister changes it, and it has no smell.
/// # Citation
/// 42 CFR 84.126 Tables 5 to 7.
/// # Example that passes
/// A gas mask canister certified for carbon monoxide.
/// # Example that stops
/// An organic vapour cartridge.
/// # Remedy
/// Use supplied air or such a canister.
/// # Limits
/// Such a canister fails in damp air once its drier is spent.
pub static CARBON_MONOXIDE: Rule = Rule {
    id: "element.carbon-monoxide",
    asks: "Is there a canister certified for carbon monoxide where that gas is?",
    why: "Carbon monoxide passes every sorbent; only the catalyst of a gas mask canister changes it, and it has no smell.",
    citation: "42 CFR 84.126 Tables 5 to 7",
    authority: Authority::Read,
    says: "{substance} passes an ordinary element; only a gas mask canister certified for it holds it",
    remedy: "use supplied or self-contained air, or a gas mask canister certified for carbon monoxide",
};

pub(crate) fn check(case: &Case<'_>) -> Vec<Finding> {
    let held = case.elements.is_some_and(|elements| {
        elements.against.contains(&ElementKind::CarbonMonoxide)
            && elements.mounting != Mounting::Cartridge
    });
    let gases = case.gases().filter(|h| h.class() == Some(SubstanceClass::CarbonMonoxide) && !held);
    gases.map(|h| Finding::stop(&CARBON_MONOXIDE).with("substance", &h.name)).collect()
}
