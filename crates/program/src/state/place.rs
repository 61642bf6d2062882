use jiff::Timestamp;
use jiff::civil::Date;
use jiff::tz::TimeZone;
use quantity::Concentration;
use rulebook::ask::Interval;
use rulebook::{AirborneForm, Contaminant, Level, Place, Purpose};
use substance::{Catalogue, Substance};

use super::{Reading, State, Task};
use crate::entry::TaskSpec;
use crate::ids::TaskId;

impl State {
    /// The air of a task in the terms of the rules, counted back from its latest reading.
    ///
    /// Per contaminant the level is the highest reading of the twelve months up to the latest
    /// reading of the task: a cautious choice until exposure statistics take its place. It is
    /// unknown where there is no such reading, where the latest says that it is there without a
    /// number, or where readings cannot be compared (fibres with a mass). It is in the air in
    /// every state in which it was found. A contaminant that is not in the catalogue makes the
    /// whole air unknown. For the air as far as it is known on a given day, see
    /// [`State::place_at`].
    #[must_use]
    pub fn place_of(&self, task: &TaskId) -> Option<Place> {
        let task = self.task(task)?;
        let zone = self.zone_of(task);
        let latest = task.readings.last().map_or(task.described.when, |reading| reading.at.when);
        Some(place(task, &zone, day(latest, &zone)))
    }

    /// The same, counted back from `now`: what was last measured longer ago is unknown.
    #[must_use]
    pub fn place_at(&self, task: &TaskId, now: Timestamp) -> Option<Place> {
        let task = self.task(task)?;
        let zone = self.zone_of(task);
        Some(place(task, &zone, day(now, &zone)))
    }

    /// Where the site's own time zone is not known a verdict stops anyhow; here any will do.
    fn zone_of(&self, task: &Task) -> TimeZone {
        self.site(&task.site).and_then(|site| site.time_zone.clone()).unwrap_or(TimeZone::UTC)
    }
}

fn day(when: Timestamp, zone: &TimeZone) -> Date {
    zone.to_datetime(when).date()
}

fn place(task: &Task, zone: &TimeZone, today: Date) -> Place {
    let spec = &task.spec;
    let outdated = |reading: &Reading| Interval::Year.last_day(day(reading.at.when, zone)) < today;
    let mut unheard_of = false;
    let mut contaminants = Vec::new();
    for (cas, found) in &task.contaminants {
        let Some(substance) = Catalogue::builtin().get(*cas) else {
            unheard_of = true;
            continue;
        };
        let counted = task.readings_of(found, outdated);
        let level = level(counted.clone(), substance, spec).map_or(Level::Unknown, Level::Known);
        let form = form(counted).unwrap_or(found.form);
        contaminants.push(Contaminant { substance, level, form, site_limit: None });
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
    let same = std::mem::discriminant(&a) == std::mem::discriminant(&b);
    let (number_a, number_b) = if same {
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
