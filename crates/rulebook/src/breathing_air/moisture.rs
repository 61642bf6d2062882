//! Water in breathing air: dew point, parts per million, and one from the other.

use quantity::{Celsius, DewPoint, Kilopascal, MgPerM3, Ppm, molar_volume_litres};

use super::AirError;

/// Where ice and liquid water have the same pressure of vapour, K.
const TRIPLE_POINT_KELVIN: f64 = 273.16;

/// Molar mass of water, g/mol (standard atomic weights, from memory).
const WATER_G_PER_MOL: f64 = 18.015_28;

/// Over ice: `c0/T + c1 + c2 T + c3 T^2 + c4 T^3 + c5 T^4 + c6 ln T`, natural logarithm of Pa.
const OVER_ICE: [f64; 7] = [
    -5.674_535_9e3,
    6.392_524_7,
    -9.677_843e-3,
    6.221_570_1e-7,
    2.074_782_5e-9,
    -9.484_024e-13,
    4.163_501_9,
];

/// Over liquid water, the same form.
const OVER_LIQUID: [f64; 7] = [
    -5.800_220_6e3,
    1.391_499_3,
    -4.864_023_9e-2,
    4.176_476_8e-5,
    -1.445_209_3e-8,
    0.0,
    6.545_967_3,
];

/// The pressure of water vapour, Pa, in air whose dew point this is; over ice below the triple point.
///
/// Valid from -100 to 100 degC, the bounds of a dew point. Pure water: the few parts in a thousand
/// by which air at one atmosphere raises it are left out.
///
/// Source: Hyland and Wexler 1983, ASHRAE Transactions 89(2A):500-519, as stored in a general
/// library of moist air (psychrolib 2.5.0; read there). Example: 611.15 Pa at 0 degC.
#[must_use]
pub fn water_vapour_pa(dew_point: DewPoint) -> f64 {
    let kelvin = dew_point.as_kelvin();
    let c = if kelvin <= TRIPLE_POINT_KELVIN { OVER_ICE } else { OVER_LIQUID };
    let [inverse, constant, first, second, third, fourth, logarithm] = c;
    let polynomial = kelvin * (first + kelvin * (second + kelvin * (third + kelvin * fourth)));
    (inverse / kelvin + constant + polynomial + logarithm * kelvin.ln()).exp()
}

/// Water as a volume fraction of air at this absolute pressure, ideal gas.
///
/// Refuses a dew point whose vapour alone is above the pressure.
pub fn water_ppm(dew_point: DewPoint, pressure: Kilopascal) -> Result<Ppm, AirError> {
    if pressure.as_kpa() <= 0.0 {
        return Err(AirError::NoAmbient(pressure));
    }
    Ok(Ppm::from_ppm(water_vapour_pa(dew_point) / (pressure.as_kpa() * 1e3) * 1e6)?)
}

/// The mass of water in a volume of air at this temperature and absolute pressure, ideal gas.
pub fn water_mg_per_m3(
    water: Ppm,
    temperature: Celsius,
    pressure: Kilopascal,
) -> Result<MgPerM3, AirError> {
    let litres = molar_volume_litres(temperature, pressure);
    Ok(MgPerM3::from_mg_per_m3(water.as_ppm() * WATER_G_PER_MOL / litres)?)
}

/// The dew point of air that holds this much water at this absolute pressure; none below -100 degC,
/// where the formula ends.
///
/// Refuses more water than a dew point of 100 degC.
pub fn dew_point_of(water: Ppm, pressure: Kilopascal) -> Result<Option<DewPoint>, AirError> {
    let pa = water.as_ppm() * 1e-6 * pressure.as_kpa() * 1e3;
    let (mut low, mut high) = (-100.0, 100.0);
    if pa < water_vapour_pa(DewPoint::from_celsius(low)?) {
        return Ok(None);
    }
    if pa > water_vapour_pa(DewPoint::from_celsius(high)?) {
        return Err(AirError::TooMuchWater(water.as_ppm() / 1e4));
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if water_vapour_pa(DewPoint::from_celsius(middle)?) < pa {
            low = middle;
        } else {
            high = middle;
        }
    }
    Ok(Some(DewPoint::from_celsius(f64::midpoint(low, high))?))
}
