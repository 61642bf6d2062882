//! The usual shift of a task in segments: whether it can be so, and the life that follows.
//!
//! The levels that readings give are the anchor. A segment tells its own as a part of them or beside
//! them, and its highest is that by which respirators are selected. A schedule counts the shorter of two
//! lives: with the levels of the segments, and with the level of the readings in each of them; so levels of
//! segments shorten a schedule and never stretch it. Work, temperature, humidity and rests of the segments count
//! as told.

use std::collections::BTreeSet;

use quantity::{Concentration, FibresPerCm3, MgPerM3, Minutes, Ppm};
use rulebook::{Contaminant, Finding, Level, Place, service_life};
use sorbent::march::SegmentKind;
use substance::{Cas, Catalogue};

use crate::case::{Mask, Storage};
use crate::check::is_within_a_day;
use crate::entry::{TaskSegment, TaskSpec};
use crate::life::{LifeAnswer, LifeMethod, LifeSetup, WorkSegment, of};
use crate::schedule::{blower_floor, flow_of};
use crate::state::Task;

/// Most segments of a shift: more of them is no usual shift. Common practice, no source.
pub(crate) const MOST_SEGMENTS: usize = 24;

/// Shortest segment, min. Common practice, no source: nobody times the usual shift closer.
const SHORTEST_MIN: f64 = 1.0;

/// Highest share of the level of the readings: a peak above it is no longer of the same air. A judgement,
/// no source.
const MOST_SHARE: f64 = 100.0;

/// How far the wear of the segments may lie from that which the task plans, min.
const SAME_WEAR_MIN: f64 = 1.0;

/// What cannot be so of the segments of a task, each with what puts it right. A contaminant in a segment must be
/// among those `measured`, where anything was.
pub(crate) fn problems(
    (spec, segments): (&TaskSpec, &[TaskSegment]),
    measured: &BTreeSet<Cas>,
) -> Vec<(String, &'static str)> {
    if segments.is_empty() {
        return Vec::new();
    }
    let numbered = segments.iter().zip(1..);
    let of_each = numbered.flat_map(|(segment, number): (_, u32)| {
        let all = of_segment(segment).into_iter().chain(of_levels(segment, measured));
        all.map(move |(what, remedy)| (format!("segment {number}: {what}"), remedy))
    });
    let of_all = of_shift(spec, segments).into_iter();
    of_each.chain(of_all).collect()
}

fn of_segment(segment: &TaskSegment) -> Vec<(String, &'static str)> {
    let mut all = Vec::new();
    let mut add = |what: &str, remedy| all.push((what.to_owned(), remedy));
    if segment.duration.as_min() <= 0.0 {
        add("it lasts no time", "leave it out, or say how long");
    } else if segment.duration.as_min() < SHORTEST_MIN {
        add("it is shorter than a minute", "put it to the segment beside it");
    }
    match (segment.mask, segment.storage) {
        (Mask::Off, None) => add(
            "the mask is off and nothing says how the elements are kept",
            "write sealed or open behind it",
        ),
        (Mask::Off, Some(_)) | (_, None) => {}
        (_, Some(_)) => add("storage is told while air passes", "leave it out, or write off"),
    }
    if segment.mask != Mask::On && (segment.share.is_some() || !segment.level.is_empty()) {
        add("a level is told while the mask is not on", "leave it out, or write on");
    }
    if segment.share.is_some_and(|share| !(0.0..=MOST_SHARE).contains(&share)) {
        add("its share of the level is none", "write 0 to 10000 %");
    }
    all
}

fn of_levels(segment: &TaskSegment, measured: &BTreeSet<Cas>) -> Vec<(String, &'static str)> {
    let of = |(cas, level): (&Cas, &Concentration)| {
        let known = Catalogue::builtin().get(*cas);
        let name = known.map_or_else(|| cas.to_string(), |known| known.name().to_owned());
        if !measured.is_empty() && !measured.contains(cas) {
            let what = format!("{name} was not found in the air of this task");
            return Some((what, "record a reading of it first, or leave it out"));
        }
        let fibres = matches!(level, Concentration::Fibres(_));
        fibres.then(|| (format!("{level} of {name} is no level of a vapour"), "leave it out"))
    };
    segment.level.iter().filter_map(of).collect()
}

fn of_shift(spec: &TaskSpec, segments: &[TaskSegment]) -> Vec<(String, &'static str)> {
    let mut all = Vec::new();
    if segments.len() > MOST_SEGMENTS {
        let what = format!("a usual shift has no {} segments", segments.len());
        all.push((what, "write up to 24, and put alike ones together"));
    }
    let whole: f64 = segments.iter().map(|segment| segment.duration.as_min()).sum();
    if Minutes::from_min(whole).is_ok_and(|whole| 0.0 < whole.as_min() && !is_within_a_day(whole)) {
        let what = format!("the segments last {whole} min together, longer than a day");
        all.push((what, "write one shift alone"));
    }
    let worn: f64 = segments.iter().map(TaskSegment::worn_min).sum();
    let planned = spec.wear_per_shift.as_min();
    if worn <= 0.0 {
        let what = "the mask is on in no segment".to_owned();
        all.push((what, "write on in at least one"));
    } else if (worn - planned).abs() > SAME_WEAR_MIN {
        let what = format!(
            "the mask is on for {worn} min in the segments, and {planned} min of wear are planned on one shift"
        );
        all.push((what, "make the two agree"));
    }
    all
}

/// The level of a contaminant in a segment, where `design` is that of the readings; none where it is no number.
pub(crate) fn level_in(
    segment: &TaskSegment,
    cas: Cas,
    design: Concentration,
) -> Option<Concentration> {
    match (segment.level.get(&cas), segment.share) {
        (Some(level), _) => Some(*level),
        (None, Some(share)) => times(design, share),
        (None, None) => Some(design),
    }
}

fn times(level: Concentration, by: f64) -> Option<Concentration> {
    match level {
        Concentration::Ppm(ppm) => Ppm::from_ppm(ppm.as_ppm() * by).ok().map(Concentration::Ppm),
        Concentration::Mass(mass) => {
            MgPerM3::from_mg_per_m3(mass.as_mg_per_m3() * by).ok().map(Concentration::Mass)
        }
        Concentration::Fibres(fibres) => {
            FibresPerCm3::from_f_per_cm3(fibres.as_f_per_cm3() * by).ok().map(Concentration::Fibres)
        }
    }
}

/// The life where the usual shift comes again and again and a set is opened at the worst moment of it, each
/// contaminant in each segment at the higher of what the segment tells and what the readings do, which
/// `design` tells.
pub(crate) fn life(setup: &LifeSetup, task: &Task, design: &Place) -> LifeAnswer {
    let segments = task.segments.as_slice();
    let levels = |segment: &TaskSegment| {
        let of = |contaminant: &Contaminant| match contaminant.level {
            Level::Known(design) => level_in(segment, contaminant.substance.cas(), design)
                .map_or(Level::Unknown, Level::Known),
            Level::Unknown => Level::Unknown,
        };
        design.contaminants.iter().map(of).collect::<Vec<Level>>()
    };
    let told: Vec<Vec<Level>> = segments.iter().map(levels).collect();
    let counts = |levels: &Vec<Level>| {
        let parts = design.contaminants.iter().zip(levels);
        parts.map(|(contaminant, told)| higher(setup, contaminant, *told)).collect::<Vec<Level>>()
    };
    let counted: Vec<Vec<Level>> = told.iter().map(counts).collect();
    let parts = segments.iter().zip(&counted);
    let parts = parts.map(|(segment, levels)| stretch(setup, &task.spec, (segment, levels)));
    let life = of(&again(setup, parts.collect()));
    let on = || segments.iter().zip(told.iter().zip(&counted));
    let below = |(segment, (told, counted)): (&TaskSegment, (&Vec<Level>, &Vec<Level>))| {
        segment.mask == Mask::On && told != counted
    };
    if on().any(below) {
        return with_opening(below_readings(life, setup, (segments, &told), design));
    }
    with_opening(life)
}

/// The higher of the level told and that of the readings; unknown where they cannot be compared.
fn higher(setup: &LifeSetup, contaminant: &Contaminant, told: Level) -> Level {
    let read = contaminant.level;
    if told == read {
        return read;
    }
    match (ppm(setup, contaminant, told), ppm(setup, contaminant, read)) {
        (Some(at_told), Some(at_read)) => {
            if at_told < at_read {
                read
            } else {
                told
            }
        }
        _ => Level::Unknown,
    }
}

/// A known level, ppm.
fn ppm(setup: &LifeSetup, contaminant: &Contaminant, level: Level) -> Option<f64> {
    let mass = contaminant.substance.molar_mass_g_per_mol().ok()?.value;
    let (temperature, pressure) = (setup.place.temperature, setup.place.pressure);
    Some(level.known()?.to_ppm(mass, temperature, pressure)?.ok()?.as_ppm())
}

/// Says that the level of the readings counts in place of those of the segments.
fn below_readings(
    mut life: LifeAnswer,
    setup: &LifeSetup,
    told: (&[TaskSegment], &[Vec<Level>]),
    design: &Place,
) -> LifeAnswer {
    if let Some((name, share)) = lowest_mean(setup, told, design) {
        let finding = Finding::note(&service_life::SEGMENTS_BELOW_READINGS);
        let finding = finding.with("contaminant", name);
        life.findings.push(finding.with("share", format!("{:.0}", 100.0 * share)));
    }
    life
}

/// Says when in the shift the set is opened that lasts shortest.
fn with_opening(mut life: LifeAnswer) -> LifeAnswer {
    let opened = life.bed.as_ref().and_then(|bed| bed.opened);
    if let Some(opened) = opened {
        let finding = Finding::note(&service_life::USUAL_SHIFT);
        let finding = finding.with("segment", opened.segment);
        life.findings.push(finding.with("into", format!("{:.0}", opened.into_min)));
    }
    life.findings.sort_by_key(|finding| std::cmp::Reverse(finding.severity));
    life
}

/// The set-up of a shift that comes again and again.
fn again(setup: &LifeSetup, segments: Vec<WorkSegment>) -> LifeSetup {
    let mut setup = setup.clone();
    let on = segments.iter().filter(|segment| segment.kind == SegmentKind::On);
    // What is not marched, a gas held by reaction, is judged by the fastest flow.
    for segment in on {
        if setup.flow.as_l_per_min() < segment.flow.as_l_per_min() {
            setup.flow = segment.flow;
        }
    }
    setup.method = LifeMethod::Bed;
    setup.work.worn_each = setup.wear.map(Minutes::as_min).into_iter().collect();
    setup.work.segments = segments;
    setup.work.comes_again = true;
    setup
}

fn stretch(
    setup: &LifeSetup,
    spec: &TaskSpec,
    (segment, levels): (&TaskSegment, &[Level]),
) -> WorkSegment {
    // A blower draws as it does, however hard the work.
    let drawn = segment.work_rate.filter(|_| blower_floor(&setup.device).is_none());
    let of_rate = drawn.and_then(|rate| flow_of(&setup.device, rate).ok());
    WorkSegment {
        duration: segment.duration,
        kind: match (segment.mask, segment.storage) {
            (Mask::On, _) => SegmentKind::On,
            (Mask::CleanAir, _) => SegmentKind::CleanAir,
            (Mask::Off, storage) => SegmentKind::Rest { sealed: storage == Some(Storage::Sealed) },
        },
        flow: of_rate.unwrap_or(setup.flow),
        temperature: segment.temperature.unwrap_or(spec.temperature),
        humidity: segment.relative_humidity.unwrap_or(spec.relative_humidity),
        levels: levels.to_vec(),
    }
}

/// The contaminant whose mean over the wear is the lowest part of the level of its readings, with that part.
fn lowest_mean(
    setup: &LifeSetup,
    (segments, told): (&[TaskSegment], &[Vec<Level>]),
    design: &Place,
) -> Option<(&'static str, f64)> {
    let worn: f64 = segments.iter().map(TaskSegment::worn_min).sum();
    let of = |(index, contaminant): (usize, &Contaminant)| {
        let read = ppm(setup, contaminant, contaminant.level)?;
        let each = segments.iter().zip(told).map(|(segment, levels)| {
            Some(segment.worn_min() * ppm(setup, contaminant, *levels.get(index)?)?)
        });
        let sum = each.sum::<Option<f64>>()?;
        Some((contaminant.substance.name(), sum / worn / read))
    };
    let all = design.contaminants.iter().enumerate().filter_map(of);
    all.min_by(|(_, a), (_, b)| a.total_cmp(b))
}
