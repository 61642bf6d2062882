//! One respirator judged for one place: the facts that the selection rules ask.

use quantity::{Concentration, Ppm};
use substance::{Substance, SubstanceClass};

use crate::limits::{Air, FoundLimit};
use crate::place::{AirborneForm, Handling, Level, Place, Purpose};
use crate::substance_rules::{self, Applies, ClassPattern, SubstanceRule, Terms, Trigger, Worn};
use crate::{Device, Elements, Finding, Rule};

/// What one thing in the air means here, worked out once for all rules.
pub(crate) struct Hazard<'a> {
    pub(crate) name: String,
    pub(crate) cas: Option<String>,
    pub(crate) substance: Option<&'static Substance>,
    pub(crate) level: Level,
    pub(crate) form: AirborneForm,
    pub(crate) air: Air<'a>,
    pub(crate) limit: Option<FoundLimit>,
    pub(crate) dangerous: Option<FoundLimit>,
    /// How many times the governing limit one unit of the level is.
    pub(crate) per_limit: Option<f64>,
    /// How many times the immediately dangerous level one unit of the level is.
    pub(crate) per_dangerous: Option<f64>,
    pub(crate) rules: Vec<&'static SubstanceRule>,
}

impl Hazard<'_> {
    /// The protection factor needed; none where level or limit is not known.
    pub(crate) fn needed(&self) -> Option<f64> {
        Some(self.level.known()?.number() * self.per_limit?)
    }

    /// The level is known to be at or above the immediately dangerous one.
    pub(crate) fn reaches_dangerous(&self) -> bool {
        let ratio = || Some(self.level.known()?.number() * self.per_dangerous?);
        ratio().is_some_and(|ratio| 1.0 <= ratio)
    }

    /// The level as a volume fraction, where it can be told.
    pub(crate) fn ppm(&self) -> Option<Ppm> {
        self.air.ppm_of(self.level.known()?)
    }

    pub(crate) fn class(&self) -> Option<SubstanceClass> {
        self.substance.map(Substance::class)
    }

    /// Whether an element against gas is needed. What is a gas or vapour by nature is taken for both
    /// where only particles were entered: a mist or dust of it gives off its vapour.
    pub(crate) fn needs_gas_element(&self) -> bool {
        self.form != AirborneForm::Particle || self.form_is_doubtful()
    }

    /// Only particles were entered for what is a gas or vapour by nature.
    pub(crate) fn form_is_doubtful(&self) -> bool {
        let by_nature = self.class().is_some_and(|class| class != SubstanceClass::Particulate);
        self.form == AirborneForm::Particle && by_nature
    }

    /// Only vapour was entered for what makes particles as well, as a rule.
    pub(crate) fn particles_are_likely(&self) -> bool {
        let likely = self.substance.is_some_and(Substance::also_particulate);
        self.form == AirborneForm::Vapour && likely
    }

    pub(crate) fn needs_filter(&self) -> bool {
        self.form != AirborneForm::Vapour
    }

    /// The level as text, for a finding.
    pub(crate) fn level_text(&self) -> String {
        self.level.known().map_or_else(|| String::from("a level not known"), round)
    }
}

/// A concentration with as many digits as a person reads.
pub(crate) fn round(concentration: Concentration) -> String {
    let number = significant(concentration.number());
    match concentration {
        Concentration::Ppm(_) => format!("{number} ppm"),
        Concentration::Mass(_) => format!("{number} mg/m3"),
        Concentration::Fibres(_) => format!("{number} f/cm3"),
    }
}

/// Four significant digits, without a trailing zero.
pub(crate) fn significant(number: f64) -> String {
    if number == 0.0 || 1000.0 <= number.abs() {
        return format!("{number:.0}");
    }
    let digits = (1..=9).find(|digits| 10_f64.powi(4 - digits) <= number.abs()).unwrap_or(9);
    let digits = usize::try_from(digits - 1).unwrap_or(0);
    let text = format!("{number:.digits$}");
    if text.contains('.') {
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    } else {
        text
    }
}

/// Everything in the air of a place.
pub(crate) fn hazards(place: &Place) -> Vec<Hazard<'_>> {
    let substances = place.contaminants.iter().map(|contaminant| {
        let substance = contaminant.substance;
        let cas = substance.cas().to_string();
        let rules = substance_rules::for_cas(&cas).collect();
        let air = Air::of_contaminant(contaminant, place);
        let (name, substance) = (substance.name().to_string(), Some(substance));
        build(
            Known { name, cas: Some(cas), substance, rules },
            contaminant.level,
            contaminant.form,
            air,
        )
    });
    let dusts = place.dusts.iter().map(|dust| {
        let rules = substance_rules::for_dust(dust.dust).collect();
        let known = Known { name: dust.dust.to_string(), cas: None, substance: None, rules };
        build(known, dust.level, AirborneForm::Particle, Air::of_dust(dust, place))
    });
    substances.chain(dusts).collect()
}

struct Known {
    name: String,
    cas: Option<String>,
    substance: Option<&'static Substance>,
    rules: Vec<&'static SubstanceRule>,
}

fn build<'a>(known: Known, level: Level, form: AirborneForm, air: Air<'a>) -> Hazard<'a> {
    let (limit, per_limit) = air.governing().unzip();
    let (dangerous, per_dangerous) = air.dangerous().unzip();
    Hazard {
        name: known.name,
        cas: known.cas,
        substance: known.substance,
        level,
        form,
        air,
        limit,
        dangerous,
        per_limit,
        per_dangerous,
        rules: known.rules,
    }
}

/// A respirator, a place, and what the one means in the other.
pub(crate) struct Case<'a> {
    pub(crate) place: &'a Place,
    pub(crate) hazards: &'a [Hazard<'a>],
    pub(crate) device: &'a Device,
    pub(crate) elements: Option<&'a Elements>,
    /// The assigned factor, where there is one.
    pub(crate) factor: Option<f64>,
}

impl<'a> Case<'a> {
    pub(crate) fn purifies(&self) -> bool {
        self.device.air_source.purifies_air()
    }

    pub(crate) fn for_escape(&self) -> bool {
        self.place.purpose == Purpose::Escape
    }

    pub(crate) fn worn(&self) -> Worn<'a> {
        Worn { device: self.device, elements: self.elements, goggles: self.place.gas_proof_goggles }
    }

    pub(crate) fn is_one_of(&self, classes: &[ClassPattern]) -> bool {
        classes.iter().any(|class| class.matches(self.worn()))
    }

    /// Full facepiece with positive pressure, self-contained or with an auxiliary self-contained
    /// supply. To leave an area, any supply that goes along.
    ///
    /// Source: 29 CFR 1910.134(d)(2)(i)(A)-(B), (d)(2)(ii).
    pub(crate) fn ready_for_danger(&self) -> bool {
        match self.for_escape() {
            true => self.device.carries_cylinder(),
            false => self.device.is_for_danger(),
        }
    }

    /// A finding that stops every unit but those for immediately dangerous air, for which it is a
    /// caution.
    pub(crate) fn stop_unless_ready(&self, rule: &'static Rule) -> Finding {
        if self.ready_for_danger() { Finding::caution(rule) } else { Finding::stop(rule) }
    }

    /// Any reason to take the air for immediately dangerous.
    pub(crate) fn is_dangerous(&self) -> bool {
        is_dangerous(self.place, self.hazards)
    }

    /// The hazards against which this unit needs an element for gas; none where it brings its air.
    pub(crate) fn gases(&self) -> impl Iterator<Item = &Hazard<'a>> {
        let purifies = self.purifies();
        self.hazards.iter().filter(move |hazard| purifies && hazard.needs_gas_element())
    }

    /// Whether this unit needs a particulate filter here. Oil in the air is a particle too.
    pub(crate) fn needs_filter(&self) -> bool {
        let particles = self.hazards.iter().any(Hazard::needs_filter);
        self.purifies() && (particles || self.place.oil_aerosol == Some(true))
    }

    /// Whether a row speaks of this unit in this place at all.
    pub(crate) fn is_asked(&self, rule: &SubstanceRule, hazard: &Hazard<'_>) -> bool {
        let terms = &rule.terms;
        let applies = match terms.applies {
            Applies::Any => true,
            Applies::Work => !self.for_escape(),
            Applies::Escape => self.for_escape(),
        };
        applies && self.is_one_of(&terms.concerns) && self.is_triggered(rule, terms, hazard)
    }

    /// What cannot be told counts as triggered.
    fn is_triggered(&self, rule: &SubstanceRule, terms: &Terms, hazard: &Hazard<'_>) -> bool {
        match terms.trigger {
            Trigger::Always => true,
            Trigger::Gas => hazard.needs_gas_element(),
            Trigger::Particles => hazard.needs_filter(),
            Trigger::Band => in_band(rule, hazard.ppm()),
            Trigger::Multiple(times) => hazard.needed().is_none_or(|needed| times < needed),
            Trigger::WithAcidGas => {
                let acid = |h: &Hazard<'_>| h.class() == Some(SubstanceClass::AcidGas);
                hazard.form != AirborneForm::Particle || self.hazards.iter().any(acid)
            }
            Trigger::Opening => self.place.handling == Some(Handling::OpeningSystems),
            Trigger::Cleanup => self.place.handling == Some(Handling::Cleanup),
        }
    }

    /// Whether a row for leaving the area names this class against this hazard.
    pub(crate) fn named_for_escape(&self, hazard: &Hazard<'_>) -> bool {
        let names = |rule: &&SubstanceRule| {
            rule.terms.applies == Applies::Escape && self.is_one_of(&rule.terms.accepts)
        };
        self.for_escape() && hazard.rules.iter().copied().any(|rule| names(&rule))
    }
}

/// Any reason to take the air of a place for immediately dangerous.
pub(crate) fn is_dangerous(place: &Place, hazards: &[Hazard<'_>]) -> bool {
    place.declared_immediately_dangerous
        || place.atmosphere_unknown
        || place.interior_fire
        || place.purpose == Purpose::EmergencyEntry
        || super::oxygen_deficient::is_dangerous(place)
        || hazards.iter().any(|h| h.level == Level::Unknown || h.reaches_dangerous())
}

/// Whether a level lies in the line of a table by concentration; a level that is not known lies in
/// the highest line.
fn in_band(rule: &SubstanceRule, level: Option<Ppm>) -> bool {
    let above = rule.above.map_or(0.0, Ppm::as_ppm);
    match (level, rule.up_to) {
        (Some(level), Some(up_to)) => {
            let level = level.as_ppm();
            (above < level || above == 0.0) && level <= up_to.as_ppm()
        }
        (Some(level), None) => above < level.as_ppm(),
        (None, up_to) => up_to.is_none(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_written_as_a_person_reads_them() {
        let written = |text: &str| round(text.parse().unwrap());
        assert_eq!(written("0.0500 mg/m3"), "0.05 mg/m3");
        assert_eq!(written("123.456 ppm"), "123.5 ppm");
        assert_eq!(written("1.23456 ppm"), "1.235 ppm");
        assert_eq!(written("20000 ppm"), "20000 ppm");
        assert_eq!(written("0 ppm"), "0 ppm");
    }
}
