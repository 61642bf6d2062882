//! Every class of respirator, each judged for one place.

use super::case::{Case, Hazard, hazards};
use super::element_kind::kinds_for;
use super::{Assessment, assess_among};
use crate::place::Place;
use crate::{
    AirSource, Device, ElementKind, Elements, Facepiece, FilterClass, FilterLevel, FilterSeries,
    Mounting,
};

/// Judges every class for the place: each pairing of air source and facepiece of the table of
/// protection factors, those without a factor included; filtering facepieces of every class; gas
/// masks; airline units with an auxiliary supply; hoods with their maker's evidence; units for
/// escape only. What purifies air is given the elements that the contaminants ask for. The order
/// is that of the table.
#[must_use]
pub fn list(place: &Place) -> Vec<Assessment> {
    let hazards = hazards(place);
    let fitting = Fitting::of(place, &hazards);
    let mut units = table_classes(&fitting);
    units.extend(filtering_facepieces());
    units.extend(gas_masks(&fitting));
    units.extend(with_auxiliary());
    units.extend(shown_hoods(&fitting));
    units.extend(escape_units(&fitting));
    units
        .iter()
        .map(|(device, elements)| assess_among(place, &hazards, device, elements.as_ref()))
        .collect()
}

type Unit = (Device, Option<Elements>);

/// The elements that the contaminants ask for.
struct Fitting {
    against: Vec<ElementKind>,
    filter: bool,
}

impl Fitting {
    fn of(place: &Place, hazards: &[Hazard<'_>]) -> Self {
        let device = plain(AirSource::AirPurifying, Facepiece::HalfMask);
        let case = Case { place, hazards, device: &device, elements: None, factor: None };
        let mut against: Vec<ElementKind> =
            case.gases().filter_map(|hazard| kinds_for(hazard).first().copied()).collect();
        against.sort_unstable();
        against.dedup();
        // With nothing for gas a filter is fitted all the same: such a unit carries something.
        let filter = case.needs_filter() || against.is_empty();
        Self { against, filter }
    }

    fn elements(&self, source: AirSource, mounting: Mounting) -> Option<Elements> {
        let series = match source {
            AirSource::AirPurifying => FilterSeries::P,
            AirSource::PoweredAirPurifying => FilterSeries::HE,
            _ => return None,
        };
        let filter = self.filter.then_some(FilterClass { series, level: FilterLevel::L100 });
        Some(Elements {
            against: self.against.clone(),
            filter,
            mounting,
            end_of_service_indicator: false,
        })
    }
}

/// The rated time with which a self-contained unit is listed: the least for dangerous air.
const LISTED_MINUTES: u32 = 30;

fn plain(air_source: AirSource, facepiece: Facepiece) -> Device {
    Device {
        air_source,
        facepiece,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: air_source.is_self_contained().then_some(LISTED_MINUTES),
    }
}

fn table_classes(fitting: &Fitting) -> Vec<Unit> {
    let pairs = AirSource::ALL
        .into_iter()
        .flat_map(|source| Facepiece::ALL.into_iter().map(move |face| (source, face)));
    pairs
        .map(|(source, face)| (plain(source, face), fitting.elements(source, Mounting::Cartridge)))
        .collect()
}

fn filtering_facepieces() -> Vec<Unit> {
    let levels = [FilterLevel::L95, FilterLevel::L99, FilterLevel::L100];
    let classes = [FilterSeries::N, FilterSeries::R, FilterSeries::P]
        .into_iter()
        .flat_map(|series| levels.into_iter().map(move |level| FilterClass { series, level }));
    classes
        .map(|filter| {
            let mut device = plain(AirSource::AirPurifying, Facepiece::HalfMask);
            device.filtering_facepiece = true;
            let elements = Elements {
                against: Vec::new(),
                filter: Some(filter),
                mounting: Mounting::Cartridge,
                end_of_service_indicator: false,
            };
            (device, Some(elements))
        })
        .collect()
}

fn gas_masks(fitting: &Fitting) -> Vec<Unit> {
    [Mounting::CanisterFrontOrBack, Mounting::CanisterChin]
        .into_iter()
        .map(|mounting| {
            let source = AirSource::AirPurifying;
            (plain(source, Facepiece::FullFacepiece), fitting.elements(source, mounting))
        })
        .collect()
}

fn with_auxiliary() -> Vec<Unit> {
    [AirSource::SuppliedAirPressureDemand, AirSource::SuppliedAirContinuousFlow]
        .into_iter()
        .map(|source| {
            let mut device = plain(source, Facepiece::FullFacepiece);
            device.auxiliary_self_contained = true;
            (device, None)
        })
        .collect()
}

fn shown_hoods(fitting: &Fitting) -> Vec<Unit> {
    [AirSource::PoweredAirPurifying, AirSource::SuppliedAirContinuousFlow]
        .into_iter()
        .map(|source| {
            let mut device = plain(source, Facepiece::HelmetOrHood);
            device.maker_shows_factor_1000 = true;
            (device, fitting.elements(source, Mounting::Cartridge))
        })
        .collect()
}

fn escape_units(fitting: &Fitting) -> Vec<Unit> {
    let kinds = [
        (AirSource::SelfContainedPressureDemand, Facepiece::FullFacepiece),
        (AirSource::SelfContainedPressureDemand, Facepiece::HelmetOrHood),
        (AirSource::AirPurifying, Facepiece::FullFacepiece),
        (AirSource::AirPurifying, Facepiece::HelmetOrHood),
    ];
    kinds
        .into_iter()
        .map(|(source, face)| {
            let mut device = plain(source, face);
            device.escape_only = true;
            (device, fitting.elements(source, Mounting::CanisterEscape))
        })
        .collect()
}
