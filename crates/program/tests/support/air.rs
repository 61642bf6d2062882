use jiff::civil::date;
use program::{AirQuality, CylinderId, Fact, SupplyId, SupplySource, UnitId};

use super::plant::{Plant, quantity, unit};

pub fn supply() -> SupplyId {
    SupplyId::new("compressor")
}

pub fn sampled(monoxide: &str) -> Fact {
    let figures = program::AirFigures {
        oxygen: Some(quantity("20.9 %")),
        hydrocarbons: Some(quantity("1 mg/m3")),
        carbon_monoxide: Some(quantity(monoxide)),
        carbon_dioxide: Some(quantity("500 ppm")),
        odour: Some(false),
        dew_point: Some(quantity("-50 degC")),
        dew_point_at: None,
        ambient: Some(quantity("20 degC")),
    };
    Fact::AirSampled { supply: supply(), figures }
}

/// The supply, as a compressor or cylinders that were bought.
pub fn listed(source: SupplySource) -> Fact {
    Fact::SupplyListed {
        supply: supply(),
        name: "compressor".to_owned(),
        source,
        couplings_apart: true,
        high_temperature_alarm: None,
    }
}

/// A look at the supply: where its intake draws, whether foul air stays out, and whether its lines hold air
/// alone.
pub fn looked_over(intake: &str, intake_clean: Option<bool>, air_alone: bool) -> Fact {
    let (signed, intake) = ("Cy".to_owned(), intake.to_owned());
    Fact::SupplyLookedOver { supply: supply(), signed, intake, intake_clean, air_alone }
}

/// Ada with an airline set, connected to a compressor.
pub fn airline() -> Plant {
    let mut plant = Plant::good();
    plant.of_model("airline");
    plant.add("supply", "2026-04-01T08:00", listed(SupplySource::OilLubricatedCompressor));
    let connected = Fact::SupplyConnected { unit: unit(), supply: supply() };
    plant.add("connected", "2026-04-01T08:10", connected);
    plant.add("look", "2026-04-01T08:20", looked_over("on the roof", Some(true), true));
    let alarm = Fact::CarbonMonoxideAlarmChecked {
        supply: supply(),
        passed: true,
        alarms_at: quantity("10 ppm"),
    };
    plant.add("alarm", "2026-04-20T08:00", alarm);
    let changed = Fact::SorbentBedChanged {
        supply: supply(),
        signed: "Cy".to_owned(),
        serves_until: Some(date(2026, 10, 1)),
    };
    plant.add("bed", "2026-04-20T08:10", changed);
    plant.add("sample", "2026-04-20T09:00", sampled("2 ppm"));
    plant
}

/// The cylinder c1: large enough for the 240 minutes of the set.
pub fn cylinder() -> Fact {
    Fact::CylinderListed {
        cylinder: CylinderId::new("c1"),
        serial: "1".to_owned(),
        marking: "CY02".to_owned(),
        rated: quantity("300 bar"),
        water_volume: quantity("50 L"),
        made: date(2024, 3, 1),
        requalified: date(2024, 3, 1),
        terms: None,
        part: String::new(),
    }
}

/// Ada with a self-contained set that carries the listed cylinder c1, whose air was tested.
pub fn self_contained() -> Plant {
    let mut plant = Plant::good();
    plant.of_model("carried");
    plant.monthly("round", "2026-05-04T07:40");
    plant.add("c", "2026-03-01T08:00", cylinder());
    plant.add("m", "2026-03-01T09:00", mounted("u1"));
    plant.add("f", "2026-05-03T09:00", filled("295 bar", None));
    let tested =
        Fact::BreathingAirTested { unit: unit(), quality: AirQuality::Meets, cylinder: None };
    plant.add("air", "2026-05-03T09:30", tested);
    plant.inspect("inspected-2", "2026-05-04T09:41");
    plant
}

pub fn mounted(unit: &str) -> Fact {
    Fact::CylinderMounted { cylinder: CylinderId::new("c1"), unit: UnitId::new(unit) }
}

pub fn filled(pressure: &str, supply: Option<SupplyId>) -> Fact {
    let (cylinder, pressure) = (CylinderId::new("c1"), quantity(pressure));
    Fact::CylinderFilled { cylinder, pressure, supply, gas: None }
}
