//! Which exposure limit governs a contaminant, and which level is immediately dangerous.

use std::fmt;

use quantity::{Concentration, FibresPerCm3, MgPerM3, Ppm};
use serde::Serialize;
use substance::{LimitKind, Mark, Substance};

use crate::place::{AirborneForm, Contaminant, DustInAir, NamedDust, Place};
use crate::substance_rules::{self, SubstanceRule};

/// A limit, with where it stands.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FoundLimit {
    /// What sort of limit, in plain words: "legal limit, shift average".
    pub sort: LimitSort,
    /// The limit.
    pub value: Concentration,
    /// Where it is printed.
    pub source: String,
    /// It is known but its source was not read: confirm it before relying on it.
    pub unconfirmed: bool,
}

/// What sort of limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum LimitSort {
    /// Set by law, over a shift.
    LegalShift,
    /// Set by law, over minutes.
    LegalShort,
    /// Set by law, at no time.
    LegalCeiling,
    /// Recommended, over a shift.
    RecommendedShift,
    /// Recommended, over minutes.
    RecommendedShort,
    /// Recommended, at no time.
    RecommendedCeiling,
    /// Set by the site.
    Site,
    /// Immediately dangerous to life or health.
    ImmediatelyDangerous,
}

impl fmt::Display for LimitSort {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::LegalShift => "legal limit, shift average",
            Self::LegalShort => "legal short-term limit",
            Self::LegalCeiling => "legal ceiling",
            Self::RecommendedShift => "recommended limit, shift average",
            Self::RecommendedShort => "recommended short-term limit",
            Self::RecommendedCeiling => "recommended ceiling",
            Self::Site => "limit set by the site",
            Self::ImmediatelyDangerous => "immediately dangerous level",
        })
    }
}

/// The limit that asks for the highest protection factor: the lowest of legal, recommended and
/// site limits, shift averages, ceilings and short-term limits alike. None where none is known, or
/// none can be compared with how the level was measured.
///
/// Source of the figures: `data/exposure_limits.csv`, `data/substance_rules.csv`.
#[must_use]
pub fn governing(contaminant: &Contaminant, place: &Place) -> Option<FoundLimit> {
    Air::of_contaminant(contaminant, place).governing().map(|pair| pair.0)
}

/// The lowest level that is immediately dangerous; none where none is known.
///
/// Source of the figures: `data/exposure_limits.csv`.
#[must_use]
pub fn immediately_dangerous(contaminant: &Contaminant, place: &Place) -> Option<FoundLimit> {
    Air::of_contaminant(contaminant, place).dangerous().map(|pair| pair.0)
}

/// A limit as printed: in one unit or in two.
#[derive(Debug, Clone)]
struct PrintedLimit {
    sort: LimitSort,
    ppm: Option<Ppm>,
    mass: Option<MgPerM3>,
    fibres: Option<FibresPerCm3>,
    source: String,
    unconfirmed: bool,
}

/// The limits of one contaminant and what is needed to compare them with its level.
pub(crate) struct Air<'a> {
    place: &'a Place,
    molar_mass: Option<f64>,
    form: AirborneForm,
    probe: Vec<Concentration>,
    limits: Vec<PrintedLimit>,
    dangerous: Vec<PrintedLimit>,
}

impl<'a> Air<'a> {
    pub(crate) fn of_contaminant(contaminant: &Contaminant, place: &'a Place) -> Self {
        let substance = contaminant.substance;
        let mut limits = printed(substance, false);
        let cas = substance.cas().to_string();
        limits.extend(substance_rules::for_cas(&cas).flat_map(rule_limits));
        limits.extend(contaminant.site_limit.map(site_limit));
        Self {
            place,
            molar_mass: molar_mass(substance),
            form: contaminant.form,
            probe: probe(contaminant.level.known(), contaminant.form),
            limits,
            dangerous: printed(substance, true),
        }
    }

    pub(crate) fn of_dust(dust: &DustInAir, place: &'a Place) -> Self {
        let mut limits: Vec<PrintedLimit> =
            substance_rules::for_dust(dust.dust).flat_map(rule_limits).collect();
        limits.extend(dust.site_limit.map(site_limit));
        let form = AirborneForm::Particle;
        let probe = probe(dust.level.known(), form);
        Self { place, molar_mass: None, form, probe, limits, dangerous: Vec::new() }
    }

    /// Whether any exposure limit is known, comparable or not.
    pub(crate) fn has_limit(&self) -> bool {
        !self.limits.is_empty()
    }

    /// Whether an immediately dangerous level is known, comparable or not.
    pub(crate) fn has_dangerous(&self) -> bool {
        !self.dangerous.is_empty()
    }

    /// The governing limit, and the factor needed per unit of the level as it was measured.
    pub(crate) fn governing(&self) -> Option<(FoundLimit, f64)> {
        self.strictest(&self.limits)
    }

    /// The lowest immediately dangerous level, and the ratio to it per unit of the level.
    pub(crate) fn dangerous(&self) -> Option<(FoundLimit, f64)> {
        self.strictest(&self.dangerous)
    }

    /// The volume fraction of a level, where it can be told.
    pub(crate) fn ppm_of(&self, level: Concentration) -> Option<Ppm> {
        match (level, self.molar_mass) {
            (Concentration::Ppm(ppm), _) => Some(ppm),
            (Concentration::Mass(_), Some(molar_mass)) => {
                level.to_ppm(molar_mass, self.place.temperature, self.place.pressure)?.ok()
            }
            _ => None,
        }
    }

    /// The mass per volume of a level, where it can be told.
    pub(crate) fn mass_of(&self, level: Concentration) -> Option<MgPerM3> {
        match (level, self.molar_mass) {
            (Concentration::Mass(mass), _) => Some(mass),
            (Concentration::Ppm(_), Some(molar_mass)) => {
                level.to_mg_per_m3(molar_mass, self.place.temperature, self.place.pressure)?.ok()
            }
            _ => None,
        }
    }

    /// The unit in which the level was measured, or would be.
    pub(crate) fn unit(&self) -> Option<Concentration> {
        self.probe.first().copied()
    }

    fn strictest(&self, limits: &[PrintedLimit]) -> Option<(FoundLimit, f64)> {
        self.probe.iter().find_map(|unit| {
            limits
                .iter()
                .filter_map(|limit| self.ratio(*unit, limit))
                .max_by(|a, b| a.1.total_cmp(&b.1))
        })
    }

    /// How many times the limit one `unit` of the level is. A vapour is compared in ppm first,
    /// since mg/m3 beside a printed ppm is approximate (29 CFR 1910.1000 Table Z-1 note a); a
    /// particle in mg/m3 first.
    fn ratio(&self, unit: Concentration, limit: &PrintedLimit) -> Option<(FoundLimit, f64)> {
        let by_ppm = || {
            let (ppm, own) = (limit.ppm?, self.ppm_of(unit)?);
            positive_ratio(own.as_ppm(), ppm.as_ppm(), Concentration::Ppm(ppm))
        };
        let by_mass = || {
            let (mass, own) = (limit.mass?, self.mass_of(unit)?);
            positive_ratio(own.as_mg_per_m3(), mass.as_mg_per_m3(), Concentration::Mass(mass))
        };
        let by_fibres = || {
            let Concentration::Fibres(own) = unit else { return None };
            let fibres = limit.fibres?;
            let value = Concentration::Fibres(fibres);
            positive_ratio(own.as_f_per_cm3(), fibres.as_f_per_cm3(), value)
        };
        let found = if self.form == AirborneForm::Particle {
            by_fibres().or_else(by_mass).or_else(by_ppm)
        } else {
            by_ppm().or_else(by_mass)
        };
        found.map(|(ratio, value)| (limit.found(value), ratio))
    }
}

impl PrintedLimit {
    fn found(&self, value: Concentration) -> FoundLimit {
        let source = self.source.clone();
        FoundLimit { sort: self.sort, value, source, unconfirmed: self.unconfirmed }
    }
}

fn positive_ratio(own: f64, limit: f64, value: Concentration) -> Option<(f64, Concentration)> {
    (0.0 < limit).then(|| (own / limit, value))
}

/// One unit of the level as it was measured; where it was not, of every unit it may be given in.
fn probe(level: Option<Concentration>, form: AirborneForm) -> Vec<Concentration> {
    let ppm = Ppm::from_ppm(1.0).ok().map(Concentration::Ppm);
    let mass = MgPerM3::from_mg_per_m3(1.0).ok().map(Concentration::Mass);
    let fibres = FibresPerCm3::from_f_per_cm3(1.0).ok().map(Concentration::Fibres);
    let order = match (level, form) {
        (Some(Concentration::Ppm(_)), _) => vec![ppm],
        (Some(Concentration::Mass(_)), _) => vec![mass],
        (Some(Concentration::Fibres(_)), _) => vec![fibres],
        (None, AirborneForm::Particle) => vec![mass, fibres, ppm],
        (None, _) => vec![ppm, mass],
    };
    order.into_iter().flatten().collect()
}

fn molar_mass(substance: &Substance) -> Option<f64> {
    substance.molar_mass_g_per_mol().ok().map(|known| known.value)
}

fn printed(substance: &Substance, dangerous: bool) -> Vec<PrintedLimit> {
    let sorted = substance.limits().iter().map(|limit| PrintedLimit {
        sort: match limit.kind {
            LimitKind::LegalTwa => LimitSort::LegalShift,
            LimitKind::LegalShortTerm | LimitKind::LegalPeak => LimitSort::LegalShort,
            LimitKind::LegalCeiling => LimitSort::LegalCeiling,
            LimitKind::RecommendedTwa => LimitSort::RecommendedShift,
            LimitKind::RecommendedShortTerm => LimitSort::RecommendedShort,
            LimitKind::RecommendedCeiling => LimitSort::RecommendedCeiling,
            LimitKind::ImmediatelyDangerous => LimitSort::ImmediatelyDangerous,
        },
        ppm: limit.ppm,
        mass: limit.mg_per_m3,
        fibres: None,
        source: limit.source.to_string(),
        unconfirmed: limit.mark == Mark::Memory,
    });
    // A limit in words has no figure to compare with.
    sorted
        .filter(|limit| limit.ppm.is_some() || limit.mass.is_some())
        .filter(|limit| (limit.sort == LimitSort::ImmediatelyDangerous) == dangerous)
        .collect()
}

/// The limits printed beside a substance rule.
fn rule_limits(rule: &SubstanceRule) -> impl Iterator<Item = PrintedLimit> + '_ {
    let pairs = [(LimitSort::LegalShift, rule.limit), (LimitSort::LegalShort, rule.short_limit)];
    pairs.into_iter().filter_map(|(sort, limit)| {
        let mut printed = in_one_unit(sort, limit?);
        printed.source = rule.citation.clone();
        printed.unconfirmed = rule.limit_unconfirmed;
        Some(printed)
    })
}

fn site_limit(limit: Concentration) -> PrintedLimit {
    in_one_unit(LimitSort::Site, limit)
}

fn in_one_unit(sort: LimitSort, limit: Concentration) -> PrintedLimit {
    let (mut ppm, mut mass, mut fibres) = (None, None, None);
    match limit {
        Concentration::Ppm(value) => ppm = Some(value),
        Concentration::Mass(value) => mass = Some(value),
        Concentration::Fibres(value) => fibres = Some(value),
    }
    PrintedLimit { sort, ppm, mass, fibres, source: String::from("the site"), unconfirmed: false }
}

impl fmt::Display for NamedDust {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::CokeOvenEmissions => "coke oven emissions",
            Self::CottonDust => "cotton dust",
        })
    }
}
