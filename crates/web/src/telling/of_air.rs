//! What happened to cylinders and supplies of breathing air.

use program::state::State;
use program::{AirFigures, Fact, Gas, SupplyId};

use crate::wording::{self, bar};

/// None where the fact tells of something else.
pub(super) fn told(state: &State, fact: &Fact) -> Option<String> {
    let passed = |passed: bool| if passed { "passed" } else { "FAILED" };
    Some(match fact {
        Fact::CylinderListed { cylinder, rated, .. } => {
            format!("Cylinder {cylinder} listed, rated at {}", bar(*rated))
        }
        Fact::CylinderMounted { cylinder, unit } => {
            format!("Cylinder {cylinder} mounted on {unit}")
        }
        Fact::CylinderFilled { cylinder, pressure, supply: from, gas } => {
            let from = from.as_ref().map(|id| format!(" from {}", supply(state, id)));
            let with = match gas {
                Some(Gas::Oxygen) => " with OXYGEN",
                Some(Gas::Air) | None => "",
            };
            let from = from.unwrap_or_default();
            format!("Cylinder {cylinder} filled{with} to {}{from}", bar(*pressure))
        }
        Fact::CylinderGauged { cylinder, read } => {
            format!("Cylinder {cylinder} read at {}", bar(*read))
        }
        Fact::CylinderRequalified { cylinder, passed: well, mark } => {
            format!("Requalification of cylinder {cylinder} {}: {mark}", passed(*well))
        }
        Fact::CylinderWithdrawn { cylinder, why } => {
            format!("Cylinder {cylinder} taken out of service for good: {why}")
        }
        Fact::SupplyListed { name, .. } => format!("Supply of breathing air {name} listed"),
        Fact::SupplyConnected { unit, supply: to } => {
            format!("{unit} connected to {}", supply(state, to))
        }
        Fact::AirSampled { supply: of, figures: reported } => {
            format!("Air of {} sampled: {}", supply(state, of), figures(reported))
        }
        Fact::CarbonMonoxideTested { supply: of, found, method } => {
            let of = supply(state, of);
            format!("Air of {of} tested for carbon monoxide alone: {found} found ({method})")
        }
        Fact::SupplyLookedOver { supply: of, signed, intake, intake_clean, air_alone } => {
            let of = supply(state, of);
            let clean = match intake_clean {
                Some(true) => "no foul air gets in",
                Some(false) => "FOUL AIR CAN GET IN",
                None => "whether foul air gets in is not told",
            };
            let at = match intake.as_str() {
                "" => String::new(),
                at => format!("intake {at}: {clean}; "),
            };
            let alone = if *air_alone { "breathing air alone" } else { "ANOTHER GAS is put" };
            format!("{of} looked over by {signed}: {at}{alone} in its lines")
        }
        Fact::AirBought { supply: of, certificate } => {
            let with = match certificate.trim() {
                "" => "WITHOUT a certificate of analysis".to_owned(),
                certificate => format!("with certificate {certificate}"),
            };
            format!("Air bought for {}, {with}", supply(state, of))
        }
        Fact::OxygenCertified { cylinder, certificate, meets } => {
            let meets = if *meets { "meets" } else { "does NOT meet" };
            format!(
                "Oxygen in cylinder {cylinder} {meets} the pharmacopoeia, by certificate {certificate}"
            )
        }
        Fact::SorbentBedChanged { supply: of, signed, serves_until } => {
            let until = serves_until.map(|day| format!(", serves until {}", wording::day(day)));
            format!(
                "Bed or filter of {} changed, tag signed {signed}{}",
                supply(state, of),
                until.unwrap_or_default()
            )
        }
        Fact::CarbonMonoxideAlarmChecked { supply: of, passed: well, alarms_at } => {
            let (of, well) = (supply(state, of), passed(*well));
            format!("Check of the carbon monoxide alarm of {of} {well}, alarms at {alarms_at}")
        }
        _ => return None,
    })
}

/// The name of a supply, or its id.
pub(crate) fn supply(state: &State, id: &SupplyId) -> String {
    state.supply(id).map_or_else(|| id.to_string(), |supply| supply.name.clone())
}

/// The figures that were reported.
fn figures(figures: &AirFigures) -> String {
    let said = [
        figures.oxygen.map(|figure| format!("oxygen {figure}")),
        figures.hydrocarbons.map(|figure| format!("hydrocarbons {figure}")),
        figures.carbon_monoxide.map(|figure| format!("carbon monoxide {figure}")),
        figures.carbon_dioxide.map(|figure| format!("carbon dioxide {figure}")),
        figures.odour.map(|smelled| if smelled { "an odour" } else { "no odour" }.to_owned()),
        figures.dew_point.map(|figure| format!("dew point {figure}")),
    ];
    let said: Vec<String> = said.into_iter().flatten().collect();
    if said.is_empty() { "no figure reported".to_owned() } else { said.join(", ") }
}
