//! A respirator in words.

use crate::{AirSource, Device, Elements, Facepiece, Mounting};

/// The unit in the words of the trade: "half mask with organic vapour cartridges and P100 filter".
#[must_use]
pub fn describe(device: &Device, elements: Option<&Elements>) -> String {
    let mut text = body(device);
    if let Some(elements) = elements.filter(|_| device.air_source.purifies_air()) {
        text.push_str(&with_elements(device, elements));
    }
    if device.auxiliary_self_contained {
        text.push_str(", with auxiliary self-contained supply");
    }
    if device.maker_shows_factor_1000 && device.facepiece == Facepiece::HelmetOrHood {
        text.push_str(", factor 1000 shown by the maker");
    }
    if device.escape_only {
        text.push_str(", for escape only");
    }
    text
}

fn body(device: &Device) -> String {
    let face = device.facepiece;
    match device.air_source {
        AirSource::AirPurifying if device.filtering_facepiece => {
            String::from("filtering facepiece")
        }
        AirSource::AirPurifying => face.to_string(),
        AirSource::PoweredAirPurifying => format!("powered unit, {face}"),
        AirSource::SuppliedAirDemand => format!("airline on demand, {face}"),
        AirSource::SuppliedAirContinuousFlow => format!("airline with continuous flow, {face}"),
        AirSource::SuppliedAirPressureDemand => format!("airline with pressure demand, {face}"),
        AirSource::SelfContainedDemand => format!("self-contained on demand, {face}"),
        AirSource::SelfContainedPressureDemand => {
            format!("self-contained with pressure demand, {face}")
        }
    }
}

fn with_elements(device: &Device, elements: &Elements) -> String {
    let filter = elements.filter.map(|filter| filter.to_string());
    if let Some(filter) = filter.as_ref().filter(|_| device.filtering_facepiece) {
        return format!(" {filter}");
    }
    let carrier = match elements.mounting {
        Mounting::Cartridge => "cartridges",
        Mounting::CanisterFrontOrBack => "front or back mounted canister",
        Mounting::CanisterChin => "chin canister",
        Mounting::CanisterEscape => "escape canister",
    };
    let kinds: Vec<String> = elements.against.iter().map(ToString::to_string).collect();
    let gas = (!kinds.is_empty()).then(|| format!("{} {carrier}", kinds.join(" and ")));
    let filter = filter.map(|filter| format!("{filter} filter"));
    let parts: Vec<String> = gas.into_iter().chain(filter).collect();
    if parts.is_empty() {
        String::from(" without elements")
    } else {
        format!(" with {}", parts.join(" and "))
    }
}
