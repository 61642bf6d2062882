//! The change schedule of a task with one kind of element.

use jiff::Timestamp;
use quantity::{LitrePerMin, Minutes, QuantityError};
use rulebook::{AirSource, Device, Facepiece, Finding, service_life};
use serde::Serialize;
use sorbent::{BedParts, Spread};

use crate::entry::WorkRate;
use crate::ids::{ElementTypeId, EntryId, TaskId};
use crate::life::{End, LifeAnswer, LifeMethod, LifeSetup, Reactions, Schedule, Work, of};
use crate::reuse::{self, Drawn};
use crate::state::{ElementType, State};
use crate::usual_shift;

/// A change schedule and what it rests on.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TaskSchedule {
    /// The kind of element.
    pub element_type: ElementTypeId,
    /// Flow through one set, by the work rate or the blower.
    pub flow: LitrePerMin,
    /// When to change: the computed schedule, or a stricter one that was adopted.
    pub schedule: Schedule,
    /// The computation.
    pub life: LifeAnswer,
    /// The entry that adopted a schedule, where one is in force.
    pub adopted: Option<EntryId>,
}

/// The change schedule of `task` for a `device` that carries elements of `element_type`, on the
/// readings known at `now`. None where the task or the kind of element is not known, or the device
/// brings its own air. Of a blower the least flow counts at which such a device is certified, and the answer
/// says so: a verdict on one set knows what was measured on it.
///
/// Where the task tells its usual shift in segments, the bed is marched through it from the worst moment at
/// which a set is opened, and minutes of wear count in that order. One set serves one shift, or as many as a
/// named person accepted on a calibrated calculation. An adopted schedule counts where it is stricter than
/// the computed one, never where it is laxer.
#[must_use]
pub fn for_task(
    state: &State,
    task: &TaskId,
    element_type: &ElementTypeId,
    device: &Device,
    now: Timestamp,
) -> Option<TaskSchedule> {
    for_set(state, (task, element_type), device, None, now)
}

/// The same, where `blower` is the greatest flow that one is known to draw through the elements: it counts
/// where it is above the least at which such a device is certified.
pub(crate) fn for_set(
    state: &State,
    (task, element_type): (&TaskId, &ElementTypeId),
    device: &Device,
    blower: Option<LitrePerMin>,
    now: Timestamp,
) -> Option<TaskSchedule> {
    let described = state.task(task)?;
    let kind = state.element_type(element_type)?;
    if !device.air_source.purifies_air() {
        return None;
    }
    let faster = |flow: LitrePerMin| match blower {
        Some(blower) if flow.as_l_per_min() < blower.as_l_per_min() => blower,
        _ => flow,
    };
    let flow = faster(flow_of(device, described.spec.work_rate).ok()?);
    let most = faster(flow_of(device, described.hardest_work()).ok()?);
    let drawn = Drawn { air_source: device.air_source, flow: most };
    let recorded = reuse::accepted(state, (task, element_type), drawn, now);
    let shifts = recorded.as_ref().and_then(|taken| taken.as_ref().ok()).map_or(1, |t| t.shifts);
    let setup = LifeSetup {
        place: state.place_at(task, now)?,
        device: device.clone(),
        elements: kind.elements.clone(),
        bed: bed_of(kind),
        flow,
        end: End::default(),
        wear: Some(described.spec.wear_per_shift),
        shifts,
        method: LifeMethod::Full,
        spread: spread_of(kind),
        work: Work { recorded, ..calibrated_work(kind) },
    };
    let mut life = if described.segments.is_empty() {
        of(&setup)
    } else {
        usual_shift::life(&setup, described, &state.design_at(task, now)?)
    };
    life.findings.extend(told_of_blower(device, blower, flow));
    life.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    let mut schedule = life.schedule.clone();
    let stricter = described.schedules.get(element_type).filter(|adopted| {
        adopted.max_wear.as_min() < schedule.max_wear.as_min() || adopted.shifts < schedule.shifts
    });
    if let Some(adopted) = stricter {
        schedule = tightened(schedule, adopted.max_wear, adopted.shifts);
    }
    let adopted = stricter.map(|adopted| adopted.at.entry.clone());
    Some(TaskSchedule { element_type: element_type.clone(), flow, schedule, life, adopted })
}

/// With which flow of a blower was computed.
fn told_of_blower(
    device: &Device,
    blower: Option<LitrePerMin>,
    flow: LitrePerMin,
) -> Option<Finding> {
    if blower.is_none() && blower_floor(device).is_none() {
        return None;
    }
    let finding = match blower {
        Some(_) => Finding::note(&service_life::BLOWER).with(
            "flow",
            format!("{flow}, the greatest that a blower is known to draw through these elements"),
        ),
        None => Finding::caution(&service_life::BLOWER)
            .with("flow", format!("{flow}, the least at which such a set is certified")),
    };
    Some(finding)
}

/// A schedule cut down to what the site adopted.
fn tightened(computed: Schedule, max_wear: Minutes, shifts: u8) -> Schedule {
    let least = max_wear.as_min().min(computed.max_wear.as_min());
    Schedule {
        text: format!("change the elements after at most {least} min of wear, as the site adopted"),
        max_wear: Minutes::from_min(least).unwrap_or_default(),
        shifts: shifts.min(computed.shifts),
        limited_by: "schedule adopted by the site".to_owned(),
    }
}

/// Flow through one set of elements.
///
/// A wearer's breath by work rate: light 35 L/min (common working pace), moderate 53.3 (the flow of
/// the historic cartridge tests), heavy 65; a blower 115 L/min on a tight-fitting facepiece, 170 on
/// a loose one.
///
/// Source: `data/breathing_rates.csv` BR02, BR03, BR12 and
/// `data/respirator_performance_limits.csv` PL020, PL021 (all read).
pub fn flow_of(device: &Device, work_rate: WorkRate) -> Result<LitrePerMin, QuantityError> {
    blower_floor(device).map_or_else(|| breath_of(work_rate), Ok)
}

/// The least flow at which a device with a blower is certified; none of one without.
pub(crate) fn blower_floor(device: &Device) -> Option<LitrePerMin> {
    if device.air_source != AirSource::PoweredAirPurifying {
        return None;
    }
    let loose = matches!(device.facepiece, Facepiece::HelmetOrHood | Facepiece::LooseFitting);
    LitrePerMin::from_l_per_min(if loose { 170.0 } else { 115.0 }).ok()
}

/// A wearer's breath by work rate, as [`flow_of`] says.
pub(crate) fn breath_of(work_rate: WorkRate) -> Result<LitrePerMin, QuantityError> {
    LitrePerMin::from_l_per_min(match work_rate {
        WorkRate::Light => 35.0,
        WorkRate::Moderate => 53.3,
        WorkRate::Heavy => 65.0,
    })
}

fn bed_of(kind: &ElementType) -> Option<BedParts> {
    let bed = kind.bed.as_ref()?;
    let mut parts = BedParts {
        elements: kind.count,
        sorbent_mass: bed.sorbent_mass,
        bed_area: bed.bed_area,
        bulk_density: bed.bulk_density,
        granule: bed.granule,
        micropore_volume: bed.micropore_volume,
        reference_energy: bed.reference_energy,
    };
    if let Some(carbon) = &bed.calibrated {
        carbon.fill(&mut parts);
    }
    Some(parts)
}

fn spread_of(kind: &ElementType) -> Spread {
    let Some(bed) = &kind.bed else { return Spread::CERTIFIED_ONLY };
    bed.calibrated.as_ref().map_or(Spread::USUAL, |carbon| carbon.spread(Spread::USUAL))
}

/// What a calibration of these elements tells beyond their bed.
fn calibrated_work(kind: &ElementType) -> Work {
    let carbon = kind.bed.as_ref().and_then(|bed| bed.calibrated.as_ref());
    let reactions = Reactions { elements: kind.count, gases: kind.reactions.clone() };
    let plain = Work { reactions, ..Work::default() };
    carbon.map_or(plain.clone(), |carbon| Work {
        calibration: Some(carbon.report.clone()),
        rate_factor: Some(carbon.rate_factor),
        affinities: carbon.affinities.clone(),
        packings: carbon.packings.clone(),
        ..plain
    })
}
