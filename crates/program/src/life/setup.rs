use std::collections::BTreeMap;

use quantity::{Celsius, LitrePerMin, Minutes};
use rulebook::is_blank;
use rulebook::{Contaminant, Device, ElementKind, Elements, Mounting, Place, element_kinds_for};
use sorbent::{BedParts, DEFAULT_GRANULE_CM, Spread, Vapour};
use substance::{Cas, Catalogue, Substance};
use toml::Spanned;

use sorbent::march::SegmentKind;

use super::End;
use super::work::{self, Reactions, Work, WorkSegment};
use crate::carbon::{OWN_FACTOR, RATE_FACTOR, REFERENCE_ENERGY, triangle};
use crate::case::{CartridgePart, Case, CaseError, WrittenCase, WrittenMethod};
use crate::check::{MOST_SHIFTS, is_within_a_day};
use crate::reaction::{CalibratedReaction, CalibratedReactions, ReactionLinesError};

/// Bulk density of any sorbent poured into a bed, g/cm³: outside of it a number was mistyped. Common
/// practice, no source.
const BULK_DENSITY: (f64, f64) = (0.1, 1.2);

/// Which equations to use.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LifeMethod {
    /// All the physics there is.
    Full,
    /// The published correlation of 1994 alone, for comparison with published tables.
    Wood1994,
    /// The same physics with the bed marched through its work.
    Bed,
}

/// Everything a life rests on.
#[derive(Debug, Clone)]
pub struct LifeSetup {
    /// The place.
    pub place: Place,
    /// The respirator.
    pub device: Device,
    /// What its elements are certified against.
    pub elements: Elements,
    /// Their beds, where they are known.
    pub bed: Option<BedParts>,
    /// Flow through all elements together.
    pub flow: LitrePerMin,
    /// What ends the life.
    pub end: End,
    /// Planned wear on one shift.
    pub wear: Option<Minutes>,
    /// How many shifts one set is meant to serve; at least one.
    pub shifts: u8,
    /// By which equations.
    pub method: LifeMethod,
    /// How sure the inputs are.
    pub spread: Spread,
    /// What only a marched bed needs to know.
    pub work: Work,
}

/// The set-up a written case tells of.
pub(super) fn from_case(written: &WrittenCase, method: LifeMethod) -> Result<LifeSetup, CaseError> {
    let case = &written.case;
    let place = written.place()?;
    if !case.respirator.air_source.purifies_air() {
        let source = case.respirator.air_source;
        let message = format!(
            "a {source} respirator brings its air; only elements that purify air have a service life"
        );
        return Err(written.missing("respirator", &message));
    }
    let flow = case.air.flow.ok_or_else(|| {
        let units = LitrePerMin::accepted_units();
        written.missing(
            "air",
            &format!("give the flow through all elements: flow = \"...\" ({units})"),
        )
    })?;
    let humidity = place.relative_humidity.ok_or_else(|| {
        written.missing("air", "give the humidity of the air: relative_humidity = \"50 %\"")
    })?;
    let cartridge = case.cartridge.as_ref();
    let bed = match cartridge {
        Some(part) => bed_of(written, part)?,
        None => None,
    };
    let elements = elements_of(written, &place, bed.is_some())?;
    let shifts = shifts_of(written)?;
    let mut setup = LifeSetup {
        device: device_of(case),
        elements,
        place,
        bed,
        flow,
        end: End::of(case),
        wear: wear_of(written)?,
        shifts: shifts.unwrap_or(1),
        method,
        spread: spread_of(case, bed.is_some()),
        work: work_of(written)?,
    };
    if case.uncertainty.correlation.is_some() && setup.spread.calibrated.is_none() {
        let message = "no three quantities can be correlated so\n  give the correlations as a calibration printed them, each between -1 and 1";
        return Err(written.missing("uncertainty", message));
    }
    let usual = (flow, humidity);
    let segments = work::segments(written, (&setup.place, &setup.device), usual)?;
    if shifts.is_none() {
        setup.shifts = work::worn_each(&segments).len().max(1).try_into().unwrap_or(u8::MAX);
    }
    let marched = setup.take(segments, case.method.as_ref().map(|m| *m.get_ref()));
    work::refuse_steady(written, marched)?;
    Ok(setup)
}

impl LifeSetup {
    /// A vapour as the carbon of this set-up holds it, and where its properties come from.
    pub(super) fn vapour(&self, substance: &Substance) -> Result<(Vapour, Vec<String>), String> {
        self.vapour_at(substance, self.place.temperature)
    }

    /// The same at a temperature.
    pub(super) fn vapour_at(
        &self,
        substance: &Substance,
        temperature: Celsius,
    ) -> Result<(Vapour, Vec<String>), String> {
        let of = Vapour::of(substance, temperature);
        let (vapour, mut sources) = of.map_err(|error| error.to_string())?;
        let mut told = |factors: &[(Cas, f64)], what: &str, over: &str| {
            let found = factors.iter().find(|(cas, _)| *cas == substance.cas());
            let Some((_, factor)) = found else { return 1.0 };
            let name = substance.name();
            sources.push(format!(
                "{what} of {name}: {factor} times that of its {over}, told of this carbon"
            ));
            *factor
        };
        let affinity = told(&self.work.affinities, "affinity", "polarisation");
        let packing = told(&self.work.packings, "density in the pores", "liquid");
        let vapour = vapour.held(affinity, packing);
        Ok((vapour, sources))
    }

    /// Humidity of the air in which the elements were kept before first use, as a part of saturation.
    pub(super) fn stored_humidity(&self) -> f64 {
        let told = self.work.stored_humidity.or(self.place.relative_humidity);
        told.map_or(1.0, quantity::RelHumidity::as_fraction)
    }

    /// How often the pattern is gone through: until all shifts are.
    pub(super) fn rounds(&self) -> usize {
        usize::from(self.shifts).div_ceil(self.work.worn_each.len().max(1)).max(1)
    }

    /// Shifts in all of these rounds.
    pub(super) fn shifts_marched(&self) -> u8 {
        let each = self.work.worn_each.len().max(1);
        u8::try_from(self.rounds() * each).unwrap_or(u8::MAX)
    }

    /// Minutes of wear that are planned by the end of so many shifts; none where none are planned.
    pub(super) fn worn_by(&self, shifts: u8) -> Option<f64> {
        let each = &self.work.worn_each;
        if each.is_empty() {
            return self.wear.map(|wear| wear.as_min() * f64::from(shifts));
        }
        Some(each.iter().cycle().take(usize::from(shifts)).sum())
    }

    /// Takes over the pattern of work; whether its bed is to be marched. One steady stretch on a bed no
    /// damper than its air needs no march: its air becomes that of the place.
    fn take(&mut self, segments: Vec<WorkSegment>, asked: Option<WrittenMethod>) -> bool {
        let nights = self.shifts > 1 && (self.wear.is_some() || !segments.is_empty());
        let steady = match segments.as_slice() {
            [] => true,
            [one] => one.kind == SegmentKind::On,
            _ => false,
        };
        if let Some(first) = segments.first().filter(|_| steady) {
            self.flow = first.flow;
            self.wear = Some(first.duration);
            self.place.temperature = first.temperature;
            self.place.relative_humidity = Some(first.humidity);
            for (contaminant, level) in self.place.contaminants.iter_mut().zip(&first.levels) {
                contaminant.level = *level;
            }
        }
        if !steady {
            // What is not marched, a gas held by reaction, is judged by the fastest flow.
            let flows = segments.iter().filter(|s| work::flows(s.kind)).map(|s| s.flow);
            let faster = |a: LitrePerMin, b: LitrePerMin| {
                if b.as_l_per_min() > a.as_l_per_min() { b } else { a }
            };
            self.flow = flows.fold(self.flow, faster);
            self.work.worn_each = work::worn_each(&segments);
            let longest = self.work.worn_each.iter().copied().fold(0.0, f64::max);
            self.work.segments = segments;
            self.wear = Minutes::from_min(longest).ok();
        }
        let air = self.place.relative_humidity.map_or(1.0, quantity::RelHumidity::as_fraction);
        let marched = !steady || nights || self.stored_humidity() > air;
        let bed = marched || asked == Some(WrittenMethod::Bed);
        if bed && self.method == LifeMethod::Full && asked != Some(WrittenMethod::Steady) {
            self.method = LifeMethod::Bed;
        }
        marched
    }
}

/// What a case tells of the nights, of the calibration and of who accepts reuse.
fn work_of(written: &WrittenCase) -> Result<Work, CaseError> {
    let case = &written.case;
    let factor = case.cartridge.as_ref().and_then(|part| part.rate_factor.as_ref());
    if let Some(factor) = factor {
        factor_within(written, (factor, "rate_factor"), "a rate factor", RATE_FACTOR)?;
    }
    let stored = case.cartridge.as_ref().and_then(|part| part.stored_humidity);
    Ok(Work {
        stored_humidity: stored.or(case.air.relative_humidity),
        between_shifts: case.work.between_shifts,
        storage: case.work.storage,
        accepted: case.reuse.as_ref().map(|accepted| accepted.get_ref().clone()),
        calibration: calibration_of(case),
        rate_factor: factor.map(|factor| *factor.get_ref()),
        affinities: factors_of(written, "affinity", |part| &part.affinity)?,
        packings: factors_of(written, "packing", |part| &part.packing)?,
        reactions: reactions_of(written)?,
        ..Work::default()
    })
}

/// What a case tells of gases held by reaction.
///
/// Refuses what no calibration prints, by its table, and such gases where nobody says how many elements
/// share the flow.
fn reactions_of(written: &WrittenCase) -> Result<Reactions, CaseError> {
    let mut all: Vec<CalibratedReaction> = Vec::new();
    let Some(last) = written.case.reaction.last() else { return Ok(Reactions::default()) };
    for part in &written.case.reaction {
        let refuse = |error: ReactionLinesError| written.at(part, "reaction", error.to_string());
        all.push(part.get_ref().clone().try_into().map_err(refuse)?);
    }
    let refuse = |error: ReactionLinesError| written.at(last, "reaction", error.to_string());
    let gases = CalibratedReactions::of(all).map_err(refuse)?;
    let Some(cartridge) = &written.case.cartridge else {
        let message = "a gas held by reaction spends elements
  say in [cartridge] how many share the flow, elements = 2, and certified_for as their label says";
        return Err(written.at(last, "reaction", message.to_owned()));
    };
    Ok(Reactions { elements: elements_count(written, cartridge)?, gases })
}

/// The report of the calibration that a case tells of; none where it lacks anything that only a
/// calibration yields, as a covariance in which nothing goes together.
fn calibration_of(case: &Case) -> Option<String> {
    let (cartridge, told) = (case.cartridge.as_ref()?, &case.uncertainty);
    let correlation = told.correlation.as_ref()?;
    let deviations = [told.micropore_volume, told.reference_energy, told.rate];
    let unsure = |part: Option<quantity::Percent>| part.is_some_and(|p| p.as_fraction() > 0.0);
    let whole = cartridge.micropore_volume.is_some()
        && cartridge.reference_energy.is_some()
        && cartridge.rate_factor.is_some()
        && deviations.into_iter().all(unsure)
        && correlation.numbers() != [0.0; 3];
    let report = correlation.report.as_ref().filter(|report| !is_blank(report));
    report.filter(|_| whole).cloned()
}

/// Refuses a factor that no calibration finds.
fn factor_within(
    written: &WrittenCase,
    (told, key): (&Spanned<f64>, &str),
    what: &str,
    (lowest, highest): (f64, f64),
) -> Result<(), CaseError> {
    let factor = *told.get_ref();
    if lowest <= factor && factor <= highest {
        return Ok(());
    }
    let message = format!(
        "{what} of {factor} is outside {lowest} to {highest}\n  give what a calibration found, or leave it out"
    );
    Err(written.at(told, key, message))
}

/// The factors that a calibration found for vapours, under `key`.
fn factors_of(
    written: &WrittenCase,
    key: &str,
    factors: fn(&CartridgePart) -> &BTreeMap<String, Spanned<f64>>,
) -> Result<Vec<(Cas, f64)>, CaseError> {
    let cartridge = written.case.cartridge.as_ref();
    let has_bed = cartridge.is_some_and(|part| part.sorbent_mass.is_some());
    let told = cartridge.into_iter().flat_map(factors);
    let mut all: Vec<(Cas, f64)> = Vec::new();
    for (name, factor) in told {
        let refuse = |message: String| written.at(factor, key, message);
        if !has_bed {
            return Err(refuse(format!(
                "{key} is that of a known carbon\n  describe the bed it was found on, or leave it out"
            )));
        }
        let substance = Catalogue::builtin().find(name).map_err(|e| refuse(e.to_string()))?;
        factor_within(written, (factor, key), &format!("a {key} of {name}"), OWN_FACTOR)?;
        if all.iter().any(|(cas, _)| *cas == substance.cas()) {
            let name = substance.name();
            return Err(refuse(format!("{key} of {name} is told twice\n  keep one of the two")));
        }
        all.push((substance.cas(), *factor.get_ref()));
    }
    Ok(all)
}

/// The respirator a case tells of.
pub(crate) fn device_of(case: &Case) -> Device {
    Device {
        air_source: case.respirator.air_source,
        facepiece: case.respirator.facepiece,
        filtering_facepiece: false,
        escape_only: false,
        auxiliary_self_contained: false,
        maker_shows_factor_1000: false,
        rated_minutes: None,
    }
}

/// What the elements of a case are certified against: what is said, or organic vapours where a bed of
/// carbon is described.
///
/// Refuses elements of which neither is told, where something in the air needs more than a filter.
fn elements_of(written: &WrittenCase, place: &Place, has_bed: bool) -> Result<Elements, CaseError> {
    let cartridge = written.case.cartridge.as_ref();
    let told = cartridge.and_then(|part| part.certified_for.as_ref());
    let needed = |c: &Contaminant| !element_kinds_for(c.substance).is_empty();
    let against = match told {
        Some(kinds) => kinds.kinds().to_vec(),
        None if has_bed => vec![ElementKind::OrganicVapour],
        None if place.contaminants.iter().any(needed) => {
            let message = "nothing says what the elements hold\n  give certified_for = \"organic vapour\" in [cartridge], as their label says, or describe their bed";
            return Err(written.missing("cartridge", message));
        }
        None => Vec::new(),
    };
    Ok(Elements {
        against,
        filter: cartridge.and_then(|part| part.filter),
        mounting: cartridge.and_then(|part| part.mounting).unwrap_or(Mounting::Cartridge),
        end_of_service_indicator: false,
    })
}

/// The wear that is planned on one shift.
///
/// Refuses a wear of nothing or of more than a day, and one beside segments, which tell it too.
fn wear_of(written: &WrittenCase) -> Result<Option<Minutes>, CaseError> {
    let Some(wear) = &written.case.work.wear else { return Ok(None) };
    if !is_within_a_day(*wear.get_ref()) {
        let message = format!(
            "a wear of {} is none of one shift\n  give more than 0 min and no more than a day, such as wear = \"4 h\"",
            wear.get_ref()
        );
        return Err(written.at(wear, "wear", message));
    }
    if !written.case.segment.is_empty() {
        let message =
            "the segments tell how long the elements are worn\n  leave wear out, or the segments";
        return Err(written.at(wear, "wear", message.to_owned()));
    }
    Ok(Some(*wear.get_ref()))
}

/// How many shifts one set is meant to serve, where that is told.
fn shifts_of(written: &WrittenCase) -> Result<Option<u8>, CaseError> {
    let Some(told) = &written.case.work.shifts_before_change else { return Ok(None) };
    let most = i64::from(MOST_SHIFTS);
    let fits = u8::try_from(*told.get_ref()).ok().filter(|_| (1..=most).contains(told.get_ref()));
    let refused = || {
        let message = format!(
            "one set of elements does not serve {} shifts\n  write 1 to {most}",
            told.get_ref()
        );
        written.at(told, "shifts_before_change", message)
    };
    fits.map(Some).ok_or_else(refused)
}

/// The bed of a cartridge table; none where the table tells of no bed at all. Half a bed is
/// refused with the key that is missing.
fn bed_of(written: &WrittenCase, part: &CartridgePart) -> Result<Option<BedParts>, CaseError> {
    let any = part.sorbent_mass.is_some()
        || part.bed_area.is_some()
        || part.bulk_density.is_some()
        || part.micropore_volume.is_some();
    if !any {
        return Ok(None);
    }
    let missing = |key: &str, like: &str| {
        written.missing(
            "cartridge",
            &format!(
                "a bed needs {key} = \"{like}\"; or leave its other keys out and give certified_for"
            ),
        )
    };
    let sorbent_mass = part.sorbent_mass.as_ref().ok_or_else(|| missing("sorbent_mass", "26 g"))?;
    if sorbent_mass.get_ref().as_g() <= 0.0 {
        let message = "a bed without sorbent holds nothing; give the mass in each element";
        return Err(written.at(sorbent_mass, "sorbent_mass", message.to_owned()));
    }
    let bulk_density =
        part.bulk_density.as_ref().ok_or_else(|| missing("bulk_density", "0.44 g/cm3"))?;
    let density = bulk_density.get_ref().as_g_per_cm3();
    within(written, (bulk_density, "bulk_density"), (density, "g/cm3"), BULK_DENSITY)?;
    if let Some(told) = &part.reference_energy {
        let energy = told.get_ref().as_kj_per_mol();
        within(written, (told, "reference_energy"), (energy, "kJ/mol"), REFERENCE_ENERGY)?;
    }
    let granule = match part.granule {
        Some(granule) => granule,
        None => quantity::Centimetres::from_cm(DEFAULT_GRANULE_CM)
            .map_err(|error| missing("granule", &error.to_string()))?,
    };
    Ok(Some(BedParts {
        elements: elements_count(written, part)?,
        sorbent_mass: *sorbent_mass.get_ref(),
        bed_area: part.bed_area.ok_or_else(|| missing("bed_area", "38.5 cm2"))?,
        bulk_density: *bulk_density.get_ref(),
        granule,
        micropore_volume: part
            .micropore_volume
            .ok_or_else(|| missing("micropore_volume", "0.454 cm3/g"))?,
        reference_energy: part.reference_energy.as_ref().map(|told| *told.get_ref()),
    }))
}

/// Refuses a number that no sorbent has.
fn within<T>(
    written: &WrittenCase,
    (told, key): (&Spanned<T>, &str),
    (value, unit): (f64, &str),
    (lowest, highest): (f64, f64),
) -> Result<(), CaseError> {
    if lowest <= value && value <= highest {
        return Ok(());
    }
    let message = format!(
        "{value} {unit} is outside {lowest} to {highest} {unit}, where sorbents lie\n  look at the number and its unit again"
    );
    Err(written.at(told, key, message))
}

fn elements_count(written: &WrittenCase, part: &CartridgePart) -> Result<u8, CaseError> {
    let Some(count) = &part.elements else {
        return Err(
            written.missing("cartridge", "say how many elements share the flow: elements = 2")
        );
    };
    let fits = u8::try_from(*count.get_ref()).ok().filter(|count| (1..=6).contains(count));
    fits.ok_or_else(|| {
        let message = format!("{} elements; a respirator carries 1 to 6", count.get_ref());
        written.at(count, "elements", message)
    })
}

fn spread_of(case: &Case, has_bed: bool) -> Spread {
    let usual = if has_bed { Spread::USUAL } else { Spread::CERTIFIED_ONLY };
    let told = &case.uncertainty;
    let part = |told: Option<quantity::Percent>, usual: f64| {
        told.map_or(usual, quantity::Percent::as_fraction)
    };
    let temperature_k = told
        .temperature
        .map_or(usual.temperature_k, |part| part.as_fraction() * case.air.temperature.as_kelvin());
    let spread = Spread {
        concentration: part(told.concentration, usual.concentration),
        flow: part(told.flow, usual.flow),
        sorbent_mass: part(told.sorbent_mass, usual.sorbent_mass),
        micropore_volume: part(told.micropore_volume, usual.micropore_volume),
        reference_energy: part(told.reference_energy, usual.reference_energy),
        rate: part(told.rate, usual.rate),
        temperature_k,
        humidity: part(told.relative_humidity, usual.humidity),
        bed_area: part(told.bed_area, usual.bed_area),
        bulk_density: part(told.bulk_density, usual.bulk_density),
        granule: part(told.granule, usual.granule),
        pressure: part(told.pressure, usual.pressure),
        calibrated: None,
    };
    let deviations = [spread.micropore_volume, spread.reference_energy, spread.rate];
    let correlation = told.correlation.as_ref();
    let calibrated = correlation.and_then(|told| triangle(deviations, told.numbers()));
    Spread { calibrated, ..spread }
}
