//! The classes by which a filter or sorbent is chosen.

use std::fmt;

use serde::{Deserialize, Serialize};

/// What kind of element, if any, takes the substance out of the air.
///
/// A closed list; the reasoning for each substance is in [`crate::Substance::class_basis`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SubstanceClass {
    /// Held by plain activated carbon.
    OrganicVapour,
    /// Taken up by an acid-gas element.
    AcidGas,
    /// Taken up by an ammonia or amine element.
    AmmoniaAmine,
    /// Needs an element for formaldehyde.
    Formaldehyde,
    /// Needs an element for mercury vapour.
    MercuryVapour,
    /// Needs a canister for ethylene oxide.
    EthyleneOxide,
    /// Needs a canister that oxidises carbon monoxide.
    CarbonMonoxide,
    /// Taken up only by an element certified for this very substance by name.
    NamedElement,
    /// Dust, fume, mist or fibre: taken out by a particle filter.
    Particulate,
    /// No element is known to take it out: supply air.
    NoKnownSorbent,
}

impl SubstanceClass {
    /// All classes, in the order of this list.
    pub const ALL: [Self; 10] = [
        Self::OrganicVapour,
        Self::AcidGas,
        Self::AmmoniaAmine,
        Self::Formaldehyde,
        Self::MercuryVapour,
        Self::EthyleneOxide,
        Self::CarbonMonoxide,
        Self::NamedElement,
        Self::Particulate,
        Self::NoKnownSorbent,
    ];

    /// The stable short form, as in `data/substances.csv`.
    #[must_use]
    pub const fn tag(self) -> &'static str {
        match self {
            Self::OrganicVapour => "organic_vapour",
            Self::AcidGas => "acid_gas",
            Self::AmmoniaAmine => "ammonia_amine",
            Self::Formaldehyde => "formaldehyde",
            Self::MercuryVapour => "mercury_vapour",
            Self::EthyleneOxide => "ethylene_oxide",
            Self::CarbonMonoxide => "carbon_monoxide",
            Self::NamedElement => "named_element",
            Self::Particulate => "particulate",
            Self::NoKnownSorbent => "no_known_sorbent",
        }
    }

    /// The class of a short form; `None` when there is none such.
    #[must_use]
    pub fn from_tag(tag: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|class| class.tag() == tag)
    }
}

impl fmt::Display for SubstanceClass {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OrganicVapour => "organic vapour",
            Self::AcidGas => "acid gas",
            Self::AmmoniaAmine => "ammonia and amines",
            Self::Formaldehyde => "formaldehyde",
            Self::MercuryVapour => "mercury vapour",
            Self::EthyleneOxide => "ethylene oxide",
            Self::CarbonMonoxide => "carbon monoxide",
            Self::NamedElement => "only an element certified for it by name",
            Self::Particulate => "particles",
            Self::NoKnownSorbent => "no known sorbent: supply air",
        })
    }
}

/// Gas, liquid or solid at 25 degC and one atmosphere.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Gas.
    Gas,
    /// Liquid.
    Liquid,
    /// Solid.
    Solid,
}

impl State {
    pub(crate) fn read(text: &str) -> Option<Self> {
        match text {
            "gas" => Some(Self::Gas),
            "liquid" => Some(Self::Liquid),
            "solid" => Some(Self::Solid),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_tag_leads_back_to_its_class() {
        for class in SubstanceClass::ALL {
            assert_eq!(SubstanceClass::from_tag(class.tag()), Some(class));
        }
        assert_eq!(SubstanceClass::from_tag("perfume"), None);
    }
}
