use std::collections::{BTreeMap, BTreeSet};

use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::{Concentration, Minutes};
use rulebook::ask::Interval;
use rulebook::{AirborneForm, Contaminant, Level, Place, Purpose};
use substance::{Cas, Catalogue, Substance, SubstanceClass};

use super::{At, Group, Reading, State, Task};
use crate::entry::TaskSpec;
use crate::exposure::{self, Readings};
use crate::ids::TaskId;
use crate::usual_shift::level_in;

/// The readings of one contaminant that count for a task.
pub(crate) struct Samples<'s> {
    /// Name of the contaminant.
    pub(crate) name: &'static str,
    /// How long the longest was sampled; none where it is not written of any.
    pub(crate) longest: Option<Minutes>,
    /// Their entries.
    pub(crate) entries: Vec<&'s str>,
}

impl State {
    /// The air of a task in the terms of the rules, counted back from its latest reading.
    ///
    /// Per contaminant the level is the highest reading of the twelve months up to the latest
    /// reading of the task, or the design concentration of an exposure group that speaks for the
    /// task where that is higher. It is unknown where there is no such reading, where the latest says that it is there without a
    /// number, or where readings cannot be compared (fibres with a mass). It is in the air in
    /// every state in which it was found. A contaminant that is not in the catalogue makes the
    /// whole air unknown. Where a segment of the usual
    /// shift has a higher level, that is the level. For the air as far as it is known on a given day, see
    /// [`State::place_at`].
    #[must_use]
    pub fn place_of(&self, id: &TaskId) -> Option<Place> {
        let task = self.task(id)?;
        let zone = self.zone_of(task);
        let latest = task.readings.last().map_or(task.described.when, |reading| reading.at.when);
        let groups = self.groups_of(id);
        Some(raised(place((task, &groups), &zone, day(latest, &zone)), task))
    }

    /// The same, counted back from `now`: what was last measured longer ago is unknown.
    #[must_use]
    pub fn place_at(&self, id: &TaskId, now: Timestamp) -> Option<Place> {
        let task = self.task(id)?;
        let zone = self.zone_of(task);
        let groups = self.groups_of(id);
        Some(raised(place((task, &groups), &zone, day(now, &zone)), task))
    }

    /// The same without what the segments of the usual shift tell: the levels of the readings alone.
    #[must_use]
    pub fn design_at(&self, id: &TaskId, now: Timestamp) -> Option<Place> {
        let task = self.task(id)?;
        let zone = self.zone_of(task);
        Some(place((task, &self.groups_of(id)), &zone, day(now, &zone)))
    }

    /// What was ever found in the air of a task, by its own readings and those of the groups that speak for it.
    pub(crate) fn measured_in(&self, id: &TaskId) -> BTreeSet<Cas> {
        let own = self.task(id).into_iter().flat_map(|task| task.contaminants.keys().copied());
        let groups = self.groups_of(id).into_iter().flat_map(|group| &group.measured);
        own.chain(groups.map(|one| one.cas)).collect()
    }

    /// The readings with a number that count for the air of a task as of `now`, by contaminant: its own
    /// and those of the groups that speak for it.
    pub(crate) fn samples_at(&self, id: &TaskId, now: Timestamp) -> Vec<Samples<'_>> {
        let Some(task) = self.task(id) else { return Vec::new() };
        let zone = self.zone_of(task);
        let past = |at: &At| Interval::Year.last_day(day(at.when, &zone)) < day(now, &zone);
        let own = task.contaminants.iter().flat_map(|(cas, found)| {
            let counted = task.readings_of(found, |reading| past(&reading.at));
            let known = counted.filter(|reading| reading.concentration.is_some());
            known.map(|reading| (*cas, reading.sampled, &reading.at))
        });
        let of_groups = self.groups_of(id).into_iter().flat_map(|group| &group.measured);
        let of_groups = of_groups.filter(|one| !past(&one.at));
        let of_groups = of_groups.map(|one| (one.cas, Some(one.sampled), &one.at));
        let mut by_cas: BTreeMap<Cas, Samples<'_>> = BTreeMap::new();
        for (cas, sampled, at) in own.chain(of_groups) {
            let Some(substance) = Catalogue::builtin().get(cas) else { continue };
            let name = substance.name();
            let none = Samples { name, longest: None, entries: Vec::new() };
            let samples = by_cas.entry(cas).or_insert(none);
            let longer = |longest: Minutes| sampled.is_none_or(|s| s.as_min() <= longest.as_min());
            if !samples.longest.is_some_and(longer) {
                samples.longest = sampled;
            }
            samples.entries.push(at.entry.as_str());
        }
        by_cas.into_values().collect()
    }

    /// The exposure groups whose readings speak for a task.
    pub(crate) fn groups_of(&self, task: &TaskId) -> Vec<&Group> {
        self.groups().map(|(_, group)| group).filter(|group| group.tasks.contains(task)).collect()
    }

    /// Where the site's own time zone is not known a verdict stops anyhow; here any will do.
    fn zone_of(&self, task: &Task) -> TimeZone {
        self.site(&task.site).and_then(|site| site.time_zone.clone()).unwrap_or(TimeZone::UTC)
    }
}

fn day(when: Timestamp, zone: &TimeZone) -> Date {
    zone.to_datetime(when).date()
}

fn place((task, groups): (&Task, &[&Group]), zone: &TimeZone, today: Date) -> Place {
    let spec = &task.spec;
    let past = |at: &At| Interval::Year.last_day(day(at.when, zone)) < today;
    let outdated = |reading: &Reading| past(&reading.at);
    let mut measured = of_groups(groups, past);
    let mut unheard_of = false;
    let mut contaminants = Vec::new();
    for (cas, found) in &task.contaminants {
        let Some(substance) = Catalogue::builtin().get(*cas) else {
            unheard_of = true;
            continue;
        };
        let counted = task.readings_of(found, outdated);
        let level = match (level(counted.clone(), substance, spec), measured.remove(cas)) {
            (Some(read), Some(design)) => design.and_then(|d| higher(read, d, substance, spec)),
            (read, _) => read,
        };
        let level = level.map_or(Level::Unknown, Level::Known);
        let form = form(counted).unwrap_or(found.form);
        contaminants.push(Contaminant { substance, level, form, site_limit: None });
    }
    // What only the group was measured for is in the air of the task all the same.
    for (cas, design) in measured {
        let Some(substance) = Catalogue::builtin().get(cas) else {
            unheard_of = true;
            continue;
        };
        let level = design.map_or(Level::Unknown, Level::Known);
        let form = presumed_form(substance, design);
        contaminants.push(Contaminant { substance, level, form, site_limit: None });
    }
    // What only a segment names was never measured.
    for (cas, told) in task.segments.iter().flat_map(|segment| &segment.level) {
        let Some(substance) = Catalogue::builtin().get(*cas) else {
            unheard_of = true;
            continue;
        };
        if contaminants.iter().all(|known: &Contaminant| known.substance.cas() != *cas) {
            let form = presumed_form(substance, Some(*told));
            let level = Level::Unknown;
            contaminants.push(Contaminant { substance, level, form, site_limit: None });
        }
    }
    Place {
        contaminants,
        dusts: Vec::new(),
        oxygen: spec.oxygen,
        oxygen_shown_steady: false,
        oil_aerosol: spec.oil_aerosol,
        temperature: spec.temperature,
        pressure: spec.pressure,
        relative_humidity: Some(spec.relative_humidity),
        declared_immediately_dangerous: spec.immediately_dangerous,
        atmosphere_unknown: spec.atmosphere_unknown || unheard_of,
        irritates_eyes: spec.irritates_eyes,
        gas_proof_goggles: false,
        purpose: Purpose::RoutineWork,
        handling: None,
    }
}

/// A place whose levels are the highest of any segment of the usual shift, where these are higher.
fn raised(mut place: Place, task: &Task) -> Place {
    for contaminant in &mut place.contaminants {
        let Level::Known(design) = contaminant.level else { continue };
        let substance = contaminant.substance;
        let worn = task.segments.iter().filter(|segment| segment.worn_min() > 0.0);
        let mut levels = worn.map(|segment| level_in(segment, substance.cas(), design));
        let highest = levels
            .try_fold(design, |highest, level| higher(highest, level?, substance, &task.spec));
        contaminant.level = highest.map_or(Level::Unknown, Level::Known);
    }
    place
}

/// The design concentration of each contaminant measured on `groups` and not `past`, the highest
/// over the groups; none where readings cannot be compared or no concentration is that high.
fn of_groups(
    groups: &[&Group],
    past: impl Fn(&At) -> bool,
) -> BTreeMap<Cas, Option<Concentration>> {
    let mut designs: BTreeMap<Cas, Option<Concentration>> = BTreeMap::new();
    for group in groups {
        // What was found once is there until it is measured again.
        let mut by_cas: BTreeMap<Cas, Vec<exposure::Reading>> = BTreeMap::new();
        by_cas.extend(group.measured.iter().map(|one| (one.cas, Vec::new())));
        for one in group.measured.iter().filter(|one| !past(&one.at)) {
            let reading = exposure::Reading { level: one.level, detected: one.detected };
            by_cas.entry(one.cas).or_default().push(reading);
        }
        for (cas, readings) in by_cas {
            let design = design(readings);
            let known = designs.entry(cas).or_insert(design);
            *known = match (*known, design) {
                (Some(a), Some(b)) if same_unit(a, b) => {
                    Some(if a.number() < b.number() { b } else { a })
                }
                _ => None,
            };
        }
    }
    designs
}

/// The concentration to plan for by the statistics of one group.
fn design(readings: Vec<exposure::Reading>) -> Option<Concentration> {
    let readings = Readings::new(readings).ok()?;
    exposure::design_concentration(&readings).map(|design| design.level)
}

/// How a contaminant is in the air where nobody said it: a level in ppm is one of vapour, and a mass
/// of what is not a particulate can be both.
fn presumed_form(substance: &Substance, level: Option<Concentration>) -> AirborneForm {
    match level {
        Some(Concentration::Ppm(_)) => AirborneForm::Vapour,
        _ if substance.class() == SubstanceClass::Particulate => AirborneForm::Particle,
        _ => AirborneForm::VapourAndParticle,
    }
}

fn same_unit(a: Concentration, b: Concentration) -> bool {
    std::mem::discriminant(&a) == std::mem::discriminant(&b)
}

/// The highest of `readings`; none where the last has no number or two cannot be compared.
fn level<'t>(
    readings: impl Iterator<Item = &'t Reading> + Clone,
    substance: &Substance,
    spec: &TaskSpec,
) -> Option<Concentration> {
    readings.clone().last()?.concentration?;
    let mut known = readings.filter_map(|reading| reading.concentration);
    let first = known.next()?;
    known.try_fold(first, |highest, next| higher(highest, next, substance, spec))
}

fn higher(
    a: Concentration,
    b: Concentration,
    substance: &Substance,
    spec: &TaskSpec,
) -> Option<Concentration> {
    let (number_a, number_b) = if same_unit(a, b) {
        (a.number(), b.number())
    } else {
        let molar_mass = substance.molar_mass_g_per_mol().ok()?.value;
        let mass =
            |c: Concentration| c.to_mg_per_m3(molar_mass, spec.temperature, spec.pressure)?.ok();
        (mass(a)?.as_mg_per_m3(), mass(b)?.as_mg_per_m3())
    };
    Some(if number_a < number_b { b } else { a })
}

/// Every state in which it was found; none without a reading.
fn form<'t>(mut readings: impl Iterator<Item = &'t Reading>) -> Option<AirborneForm> {
    let first = readings.next()?.form;
    let all_alike = readings.all(|reading| reading.form == first);
    Some(if all_alike { first } else { AirborneForm::VapourAndParticle })
}
