//! Breathing air: how long a cylinder lasts, whether a report meets Grade D, whether a hose keeps its
//! limits.

use askama::Template;
use axum::extract::State;
use quantity::{
    Celsius, Centimetres, DewPoint, Kilopascal, KilopascalGauge, LitrePerMin, Litres, MgPerM3,
    OxygenPercent, Percent, Ppm,
};
use rulebook::breathing_air::{
    AirError, AirFigure, Airline, Cylinder, Duration, Hose, HoseAnswer, Moisture, Report,
    ReportAnswer, Supply, Wear, check_hose, duration, judge_report,
};

use super::{Answer, Part, SheetPage, Table};
use crate::app::AppState;
use crate::component::{Choice, Field, Findings, Verdict};
use crate::fields::Fields;
use crate::shell::Page;
use crate::wording;

const SUPPLIES: [(&str, &str); 3] =
    [("", "no report"), ("cylinder", "cylinders"), ("compressor", "a compressor")];

const AIRLINES: [(&str, &str); 5] = [
    ("", "no hose"),
    ("type-a", "Type A: hose with a blower"),
    ("type-b", "Type B: hose without a blower"),
    ("type-c-continuous", "Type C: compressed air, continuous flow"),
    ("type-c-demand", "Type C: compressed air, on demand"),
];

/// `GET /air`.
pub(crate) async fn show(State(app): State<AppState>, mut fields: Fields) -> Page {
    let mut sheet = SheetPage::new(
        &app,
        "Breathing air",
        "/air",
        "Fill in what you ask of: a cylinder, a report of the air, a hose, or all of them.",
    );
    if fields.filled("volume").is_some() || fields.filled("gauge").is_some() {
        sheet.answers.extend(cylinder(&mut fields));
    }
    if fields.filled("supply").is_some() {
        sheet.answers.extend(report(&mut fields));
    }
    if fields.filled("airline").is_some() {
        sheet.answers.extend(hose(&mut fields));
    }
    sheet.parts = vec![of_cylinder(&fields)?, of_report(&fields)?, of_hose(&fields)?];
    sheet.drawn(&fields)
}

fn of_cylinder(fields: &Fields) -> Result<Part, askama::Error> {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint).render();
    let fields = vec![
        text("volume", "Water volume", "as stamped, such as 6.8 L")?,
        text("gauge", "Gauge", "what it shows, such as 290 bar")?,
        text("rated", "Rated pressure", "as stamped, such as 300 bar")?,
        text("breathed", "Air breathed in a minute", "such as 40 L/min")?,
        text("temperature", "Temperature of the air in it", "left empty: 20 degC")?,
        text("alarm", "Left when the alarm sounds", "left empty: 25 %")?,
        text("ambient", "Pressure of the place", "left empty: 101.325 kPa")?,
    ];
    Ok(Part { legend: "How long a cylinder lasts", hint: "", fields })
}

fn of_report(fields: &Fields) -> Result<Part, askama::Error> {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint).render();
    let odours = [("", "not reported"), ("no", "no"), ("yes", "yes")];
    let fields = vec![
        Choice::of(fields, ("supply", "The air comes from"), SUPPLIES).render()?,
        text("oxygen", "Oxygen", "such as 20.9 %")?,
        text("hydrocarbons", "Condensed hydrocarbons", "such as 0.5 mg/m3")?,
        text("carbon_monoxide", "Carbon monoxide", "such as 2 ppm")?,
        text("carbon_dioxide", "Carbon dioxide", "such as 420 ppm")?,
        Choice::of(fields, ("odour", "A noticeable odour"), odours).render()?,
        text("dew_point", "Dew point", "such as -50 degC")?,
        text("dew_point_at", "Measured under a pressure of", "left empty: at one atmosphere")?,
        text("water", "or water", "instead of a dew point, such as 20 ppm")?,
        text("place", "Temperature of the place", "of a compressor, such as 20 degC")?,
    ];
    Ok(Part {
        legend: "Report of the air",
        hint: "A figure that is not reported is not met.",
        fields,
    })
}

fn of_hose(fields: &Fields) -> Result<Part, askama::Error> {
    let text = |name, label, hint| Field::text(fields, name, label).hint(hint).render();
    let no_yes = [("", "no"), ("yes", "yes")];
    let fields = vec![
        Choice::of(fields, ("airline", "Type of airline"), AIRLINES).render()?,
        text("length", "Length of the hose", "such as 30 m")?,
        text("inlet", "Pressure at the inlet", "such as 6 bar")?,
        Choice::of(fields, ("relief", "A relief device limits the pressure"), no_yes).render()?,
        text("flow", "Flow at the facepiece", "such as 120 L/min")?,
        Choice::of(fields, ("loose", "The facepiece fits loosely"), no_yes).render()?,
    ];
    Ok(Part { legend: "Hose", hint: "", fields })
}

/// Reads a field that may stay empty for `otherwise`.
fn or<T>(fields: &mut Fields, name: &str, otherwise: &str) -> Option<T>
where
    T: std::str::FromStr,
    T::Err: ToString,
{
    match fields.filled(name) {
        None => otherwise.parse().ok(),
        Some(_) => fields.read(name),
    }
}

fn cylinder(fields: &mut Fields) -> Option<Answer> {
    for (name, ask) in [
        ("volume", "read the water volume on the cylinder, such as 6.8 L"),
        ("gauge", "say what the gauge shows, such as 290 bar"),
        ("breathed", "say how much is breathed, such as 40 L/min"),
    ] {
        fields.need(name, ask);
    }
    let (volume, charge) =
        (fields.read::<Litres>("volume"), fields.read::<KilopascalGauge>("gauge"));
    let rated = fields.read::<KilopascalGauge>("rated");
    let minute_volume = fields.read::<LitrePerMin>("breathed");
    let temperature = or::<Celsius>(fields, "temperature", "20 degC");
    let alarm = or::<Percent>(fields, "alarm", "25 %");
    let ambient = or::<Kilopascal>(fields, "ambient", "101.325 kPa");
    if fields.filled("rated").is_some() && rated.is_none() {
        return None;
    }
    let unit = KilopascalGauge::unit_in(fields.get("gauge"));
    let (volume, charge, temperature) = (volume?, charge?, temperature?);
    let cylinder = Cylinder { volume, charge, rated, temperature, unit };
    let wear = Wear { minute_volume: minute_volume?, alarm: alarm?, ambient: ambient? };
    match duration(&cylinder, &wear) {
        Ok(lasts) => Some(lasting(&lasts)),
        Err(error) => {
            let field = match error {
                AirError::NoVolume(_) => "volume",
                AirError::AlarmAtOnce(_) => "alarm",
                AirError::NoAmbient(_) => "ambient",
                AirError::OutOfRange { .. } => "temperature",
                AirError::Beyond { figure: AirFigure::MinuteVolume, .. } => "breathed",
                AirError::Beyond { figure: AirFigure::WaterVolume, .. } => "volume",
                AirError::Beyond { figure: AirFigure::Ambient, .. } => "ambient",
                AirError::Beyond { figure: AirFigure::Rating, .. } => "rated",
                _ => "gauge",
            };
            fields.refuse(field, error.to_string());
            None
        }
    }
}

fn lasting(lasts: &Duration) -> Answer {
    let time = |time: quantity::Minutes| wording::minutes(time.as_min());
    Answer {
        verdict: None,
        headline: vec![format!(
            "{} to the alarm, {} to the end",
            time(lasts.to_alarm),
            time(lasts.to_empty)
        )],
        figures: vec![
            ("after the alarm".to_owned(), time(lasts.after_alarm)),
            ("the alarm sounds at".to_owned(), lasts.cylinder.told(lasts.alarm_pressure)),
            ("usable air".to_owned(), format!("{:.0} L", lasts.usable_air_l)),
            ("an ideal gas would give".to_owned(), format!("{:.0} L", lasts.ideal_free_air_l)),
        ],
        table: None,
        lines: None,
        findings: Findings::of(&lasts.findings),
        method: lasts.method.to_owned(),
        sources: lasts.sources.clone(),
        links: Vec::new(),
    }
}

fn report(fields: &mut Fields) -> Option<Answer> {
    let supply = match fields.get("supply") {
        "cylinder" => Supply::Cylinder,
        _ => Supply::Compressor,
    };
    let dew_point = fields.read::<DewPoint>("dew_point");
    let under = fields.read::<KilopascalGauge>("dew_point_at");
    let water = fields.read::<Ppm>("water");
    if dew_point.is_some() && water.is_some() {
        fields.refuse("water", "give the dew point or the water, not both");
    }
    if dew_point.is_none() && under.is_some() {
        fields.refuse("dew_point", "the dew point itself is missing");
    }
    let asked = Report {
        supply,
        oxygen: fields.read::<OxygenPercent>("oxygen"),
        hydrocarbons: fields.read::<MgPerM3>("hydrocarbons"),
        carbon_monoxide: fields.read::<Ppm>("carbon_monoxide"),
        carbon_dioxide: fields.read::<Ppm>("carbon_dioxide"),
        odour: match fields.get("odour") {
            "yes" => Some(true),
            "no" => Some(false),
            _ => None,
        },
        moisture: match (dew_point, under, water) {
            (Some(point), Some(under), _) => Some(Moisture::UnderPressure(point, under)),
            (Some(point), None, _) => Some(Moisture::DewPoint(point)),
            (None, _, Some(water)) => Some(Moisture::Water(water)),
            (None, _, None) => None,
        },
        ambient: fields.read::<Celsius>("place"),
    };
    if fields.has_errors() {
        return None;
    }
    match judge_report(&asked) {
        Ok(judged) => Some(of_air(&judged)),
        Err(error) => {
            let field = if water.is_some() { "water" } else { "dew_point" };
            fields.refuse(field, error.to_string());
            None
        }
    }
}

fn of_air(judged: &ReportAnswer) -> Answer {
    let rows = judged.figures.iter().map(|figure| {
        let measured = figure.measured.clone().unwrap_or_else(|| "not reported".to_owned());
        vec![figure.what.to_owned(), measured, figure.limit.clone(), figure.citation.to_owned()]
    });
    let word = if judged.meets { "Fit to breathe" } else { "Not fit to breathe" };
    let line = match judged.supply {
        Supply::Cylinder => "air from cylinders",
        Supply::Compressor => "air from a compressor",
    };
    Answer {
        verdict: Some(Verdict { allowed: judged.meets, word, line: line.to_owned() }),
        headline: Vec::new(),
        figures: Vec::new(),
        table: Some(Table {
            heads: vec!["Figure", "Reported", "Limit", "Source"],
            rows: rows.collect(),
        }),
        lines: None,
        findings: Findings::of(&judged.findings),
        method: judged.method.to_owned(),
        sources: judged.sources.clone(),
        links: Vec::new(),
    }
}

fn hose(fields: &mut Fields) -> Option<Answer> {
    let airline = match fields.get("airline") {
        "type-a" => Airline::TypeA,
        "type-b" => Airline::TypeB,
        "type-c-continuous" => Airline::TypeCContinuous,
        _ => Airline::TypeCDemand,
    };
    fields.need("length", "say how long the hose is, such as 30 m");
    let length = fields.read::<Centimetres>("length");
    let pressure = fields.read::<KilopascalGauge>("inlet");
    let flow = fields.read::<LitrePerMin>("flow");
    if ["inlet", "flow"].iter().any(|name| fields.why_wrong(name).is_some()) {
        return None;
    }
    let asked = Hose {
        airline,
        length: length?,
        pressure,
        relief_device: fields.get("relief") == "yes",
        flow: flow.map(|flow| (flow, fields.get("loose") == "yes")),
    };
    match check_hose(&asked) {
        Ok(checked) => Some(of_checked(&checked)),
        Err(error) => {
            fields.refuse("length", error.to_string());
            None
        }
    }
}

fn of_checked(checked: &HoseAnswer) -> Answer {
    let word = if checked.meets { "The hose keeps its limits" } else { "The hose breaks a limit" };
    Answer {
        verdict: Some(Verdict { allowed: checked.meets, word, line: checked.airline.to_string() }),
        headline: Vec::new(),
        figures: Vec::new(),
        table: None,
        lines: None,
        findings: Findings::of(&checked.findings),
        method: "each figure against its limit, equal passes".to_owned(),
        sources: checked.sources.clone(),
        links: Vec::new(),
    }
}
