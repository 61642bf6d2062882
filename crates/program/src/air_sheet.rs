//! A test of breathing air and an airline hose as they are written down (TOML).

use quantity::{
    Celsius, Centimetres, DewPoint, KilopascalGauge, LitrePerMin, MgPerM3, OxygenPercent, Ppm,
};
use rulebook::breathing_air::{
    AirError, Airline, Hose, HoseAnswer, Moisture, Report, ReportAnswer, Supply, check_hose,
    judge_report,
};
use serde::{Deserialize, Serialize};
use toml::Spanned;

use crate::case::CaseError;

/// What a sheet came to.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct AirAnswer {
    /// The test of the air, where the sheet holds one.
    pub test: Option<ReportAnswer>,
    /// The hose, where the sheet holds one.
    pub hose: Option<HoseAnswer>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Sheet {
    #[serde(default)]
    test: Option<Spanned<TestPart>>,
    #[serde(default)]
    hose: Option<Spanned<HosePart>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TestPart {
    supply: Supply,
    #[serde(default)]
    oxygen: Option<OxygenPercent>,
    #[serde(default)]
    hydrocarbons: Option<MgPerM3>,
    #[serde(default)]
    carbon_monoxide: Option<Ppm>,
    #[serde(default)]
    carbon_dioxide: Option<Ppm>,
    #[serde(default)]
    odour: Option<bool>,
    #[serde(default)]
    dew_point: Option<Spanned<DewPoint>>,
    #[serde(default)]
    dew_point_measured_at: Option<Spanned<KilopascalGauge>>,
    #[serde(default)]
    water: Option<Spanned<Ppm>>,
    #[serde(default)]
    ambient: Option<Celsius>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct HosePart {
    airline: Airline,
    length: Centimetres,
    #[serde(default)]
    pressure: Option<KilopascalGauge>,
    #[serde(default)]
    relief_device: bool,
    #[serde(default)]
    flow: Option<LitrePerMin>,
    #[serde(default)]
    loose_fitting: bool,
}

/// Reads a sheet and judges what it holds: `[test]` with `supply` (cylinder or compressor), `oxygen`,
/// `hydrocarbons`, `carbon_monoxide`, `carbon_dioxide`, `odour`, and `dew_point` (with
/// `dew_point_measured_at` where under pressure) or `water`, and `ambient` for a compressor; `[hose]`
/// with `airline`, `length`, and where known `pressure`, `relief_device`, `flow`, `loose_fitting`.
///
/// Refuses, with line and key, what cannot be read and what no air can hold.
pub fn judge(text: &str) -> Result<AirAnswer, CaseError> {
    let sheet: Sheet = toml::from_str(text).map_err(|e| CaseError::from_toml(&e, text))?;
    if sheet.test.is_none() && sheet.hose.is_none() {
        let message = "there is neither a test of air nor a hose\n  write a [test] or a [hose]";
        return Err(CaseError::at(text, text.len(), "test", message.to_owned()));
    }
    let refuse = |start: usize, key: &str, error: AirError| {
        CaseError::at(text, start, key, error.to_string())
    };
    let test = sheet.test.map(|part| {
        let report = report(text, part.get_ref())?;
        judge_report(&report).map_err(|error| refuse(part.span().start, "test", error))
    });
    let hose = sheet.hose.map(|part| {
        let hose = hose(part.get_ref());
        check_hose(&hose).map_err(|error| refuse(part.span().start, "hose", error))
    });
    Ok(AirAnswer { test: test.transpose()?, hose: hose.transpose()? })
}

fn report(text: &str, part: &TestPart) -> Result<Report, CaseError> {
    let at =
        |start, key: &str, message: &str| Err(CaseError::at(text, start, key, message.to_owned()));
    let moisture = match (&part.dew_point, &part.dew_point_measured_at, &part.water) {
        (Some(_), _, Some(water)) => {
            let message = "give the dew point or the water, not both";
            return at(water.span().start, "water", message);
        }
        (None, Some(pressure), _) => {
            let message = "the dew point itself is missing\n  give dew_point = \"...\"";
            return at(pressure.span().start, "dew_point_measured_at", message);
        }
        (Some(dew_point), Some(pressure), None) => {
            Some(Moisture::UnderPressure(*dew_point.get_ref(), *pressure.get_ref()))
        }
        (Some(dew_point), None, None) => Some(Moisture::DewPoint(*dew_point.get_ref())),
        (None, None, Some(water)) => Some(Moisture::Water(*water.get_ref())),
        (None, None, None) => None,
    };
    Ok(Report {
        supply: part.supply,
        oxygen: part.oxygen,
        hydrocarbons: part.hydrocarbons,
        carbon_monoxide: part.carbon_monoxide,
        carbon_dioxide: part.carbon_dioxide,
        odour: part.odour,
        moisture,
        ambient: part.ambient,
    })
}

fn hose(part: &HosePart) -> Hose {
    Hose {
        airline: part.airline,
        length: part.length,
        pressure: part.pressure,
        relief_device: part.relief_device,
        flow: part.flow.map(|flow| (flow, part.loose_fitting)),
    }
}
