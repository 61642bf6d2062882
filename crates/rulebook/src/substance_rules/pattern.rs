//! A class of respirator written in one phrase of the terms table.

use std::str::FromStr;

use crate::{AirSource, Device, ElementKind, Elements, Facepiece, Mounting};

/// A class of respirator, such as `negative:full:front-or-back:with-organic-vapour/butadiene`:
/// where the air comes from, what covers the face, then any number of further demands.
///
/// | part | words |
/// |---|---|
/// | air | `any`, `purifying` (`negative` without a blower, `powered` with one), `supplying`, `airline`, `airline-demand`, `airline-continuous`, `airline-pressure-demand`, `airline-positive` (the last two), `self-contained`, `self-contained-demand`, `self-contained-pressure-demand` |
/// | face | `any`, `half-or-quarter`, `half`, `full`, `half-or-full`, `hood`, `not-half`, `tight`, `filtering` |
/// | further | `cartridge`, `canister`, `front-or-back`, `chin`, `escape-canister`, `filter`, `auxiliary`, `goggles`, `with-` and kinds of element joined by `/`, one of which is needed |
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct ClassPattern {
    air: &'static [AirSource],
    face: Face,
    demands: Vec<Demand>,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Face {
    OneOf(&'static [Facepiece]),
    Filtering,
}

#[derive(Debug, Clone, PartialEq)]
enum Demand {
    Mounted(&'static [Mounting]),
    Filter,
    Auxiliary,
    Goggles,
    With(Vec<ElementKind>),
}

/// A respirator as a pattern sees it.
#[derive(Clone, Copy)]
pub(crate) struct Worn<'a> {
    pub(crate) device: &'a Device,
    pub(crate) elements: Option<&'a Elements>,
    pub(crate) goggles: bool,
}

impl ClassPattern {
    pub(crate) fn matches(&self, worn: Worn<'_>) -> bool {
        let face = match self.face {
            Face::OneOf(faces) => faces.contains(&worn.device.facepiece),
            Face::Filtering => worn.device.filtering_facepiece,
        };
        self.air.contains(&worn.device.air_source)
            && face
            && self.demands.iter().all(|demand| demand.is_met(worn))
    }
}

impl Demand {
    fn is_met(&self, worn: Worn<'_>) -> bool {
        match self {
            Self::Mounted(mountings) => {
                worn.elements.is_some_and(|elements| mountings.contains(&elements.mounting))
            }
            Self::Filter => worn.elements.is_some_and(|elements| elements.filter.is_some()),
            Self::Auxiliary => worn.device.auxiliary_self_contained,
            Self::Goggles => worn.goggles,
            Self::With(kinds) => worn
                .elements
                .is_some_and(|elements| kinds.iter().any(|kind| elements.against.contains(kind))),
        }
    }
}

impl FromStr for ClassPattern {
    type Err = String;

    fn from_str(phrase: &str) -> Result<Self, String> {
        let unknown = |word: &str| format!("`{word}` in `{phrase}` is no known word");
        let mut words = phrase.split(':').map(str::trim);
        let air = words.next().unwrap_or_default();
        let face = words.next().unwrap_or_default();
        Ok(Self {
            air: air_sources(air).ok_or_else(|| unknown(air))?,
            face: faces(face).ok_or_else(|| unknown(face))?,
            demands: words
                .map(|word| demand(word).ok_or_else(|| unknown(word)))
                .collect::<Result<_, _>>()?,
        })
    }
}

fn air_sources(word: &str) -> Option<&'static [AirSource]> {
    use AirSource::{
        AirPurifying, PoweredAirPurifying, SelfContainedDemand, SelfContainedPressureDemand,
        SuppliedAirContinuousFlow, SuppliedAirDemand, SuppliedAirPressureDemand,
    };
    Some(match word {
        "any" => &AirSource::ALL,
        "purifying" => &[AirPurifying, PoweredAirPurifying],
        "negative" => &[AirPurifying],
        "powered" => &[PoweredAirPurifying],
        "supplying" => &[
            SuppliedAirDemand,
            SuppliedAirContinuousFlow,
            SuppliedAirPressureDemand,
            SelfContainedDemand,
            SelfContainedPressureDemand,
        ],
        "airline" => &[SuppliedAirDemand, SuppliedAirContinuousFlow, SuppliedAirPressureDemand],
        "airline-demand" => &[SuppliedAirDemand],
        "airline-continuous" => &[SuppliedAirContinuousFlow],
        "airline-pressure-demand" => &[SuppliedAirPressureDemand],
        "airline-positive" => &[SuppliedAirContinuousFlow, SuppliedAirPressureDemand],
        "self-contained" => &[SelfContainedDemand, SelfContainedPressureDemand],
        "self-contained-demand" => &[SelfContainedDemand],
        "self-contained-pressure-demand" => &[SelfContainedPressureDemand],
        _ => return None,
    })
}

fn faces(word: &str) -> Option<Face> {
    use Facepiece::{FullFacepiece, HalfMask, HelmetOrHood, LooseFitting, QuarterMask};
    Some(match word {
        "any" => Face::OneOf(&Facepiece::ALL),
        "half-or-quarter" => Face::OneOf(&[HalfMask, QuarterMask]),
        "half" => Face::OneOf(&[HalfMask]),
        "full" => Face::OneOf(&[FullFacepiece]),
        "half-or-full" => Face::OneOf(&[HalfMask, FullFacepiece]),
        "hood" => Face::OneOf(&[HelmetOrHood]),
        "not-half" => Face::OneOf(&[FullFacepiece, HelmetOrHood, LooseFitting]),
        "tight" => Face::OneOf(&[HalfMask, FullFacepiece]),
        "filtering" => Face::Filtering,
        _ => return None,
    })
}

fn demand(word: &str) -> Option<Demand> {
    use Mounting::{CanisterChin, CanisterEscape, CanisterFrontOrBack, Cartridge};
    Some(match word {
        "cartridge" => Demand::Mounted(&[Cartridge]),
        "canister" => Demand::Mounted(&[CanisterFrontOrBack, CanisterChin, CanisterEscape]),
        "front-or-back" => Demand::Mounted(&[CanisterFrontOrBack]),
        "chin" => Demand::Mounted(&[CanisterChin]),
        "escape-canister" => Demand::Mounted(&[CanisterEscape]),
        "filter" => Demand::Filter,
        "auxiliary" => Demand::Auxiliary,
        "goggles" => Demand::Goggles,
        _ => {
            let kinds = word.strip_prefix("with-")?.split('/').map(element_kind);
            Demand::With(kinds.collect::<Option<_>>()?)
        }
    })
}

fn element_kind(word: &str) -> Option<ElementKind> {
    ElementKind::ALL
        .into_iter()
        .find(|kind| kind.to_string().trim_start_matches("1,3-").replace(' ', "-") == word)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_element_has_a_word() {
        for kind in ElementKind::ALL {
            let word = kind.to_string().trim_start_matches("1,3-").replace(' ', "-");
            assert_eq!(element_kind(&word), Some(kind));
        }
    }

    #[test]
    fn an_unknown_word_is_named() {
        for phrase in ["some:any", "any:some", "any:any:some", "any:any:with-some", "any"] {
            assert!(phrase.parse::<ClassPattern>().is_err(), "{phrase}");
        }
    }
}
