//! Life of a bed that is marched through its work, shift after shift, with the nights between.

use rulebook::{Contaminant, Finding, Level, service_life};
use serde::{Serialize, Serializer};
use sorbent::march::{SegmentKind, Settings};
use sorbent::{
    Air, Exploration, Explored, Pattern, PatternVapour, Run, Sampling, Stretch, Validity, Vapour,
    explore_pattern, steady_life,
};

use super::answer::{Bounds, ContaminantLife, CurvePoint, LifeAnswer};
use super::work::flows;
use super::{LifeSetup, WorkSegment, bed, end};

/// How often a bed is marched where nothing is asked, from most to least. The more copies, the nearer the
/// bound may lie to the 5 % point: 4.2, 3.9, 3.5 and 2.7 % of them lie below it.
const USUAL_SAMPLES: [usize; 4] = [3_072, 1_536, 768, 384];
/// Cells of the best estimate times its steps and vapours that so many marches may come to: half a second
/// on two cores.
const CELL_STEPS: usize = 80_000_000;
/// Most points of a curve that is told.
const CURVE_POINTS: usize = 240;
/// A steady bed is marched until this many times the bound of the closed form, and between these,
/// min.
const STEADY: (f64, f64, f64) = (3.0, 60.0, 100_000.0);

/// What the march of a bed gave beyond the time to each end.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BedAnswer {
    /// Minutes in use in all that was marched.
    pub worn_min: f64,
    /// Shifts that were marched.
    pub shifts: u8,
    /// Minutes in use until the levels at the outlet, each over its limit, add up to one; none
    /// where no contaminant has a limit.
    pub mixture_min: Option<Bounds>,
    /// Contaminants without a limit, which the rule for mixtures cannot count.
    pub without_limit: Vec<String>,
    /// The first minutes after each rest.
    pub restarts: Vec<RestartAnswer>,
    /// Each contaminant in the bed.
    pub contaminants: Vec<BedOf>,
    /// When in the usual shift the set is opened that lasts shortest, where that was looked for.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub opened: Option<OpenedAt>,
}

/// A moment of the usual shift.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct OpenedAt {
    /// In which segment, from 1.
    pub segment: usize,
    /// Minutes since its start.
    pub into_min: f64,
}

/// One contaminant in the bed.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BedOf {
    /// Name.
    pub name: String,
    /// Greatest level at the outlet over the greatest that enters; above one is roll-up.
    pub roll_up: f64,
    /// Load at the end along the bed from inlet to outlet, g/g.
    pub load_g_per_g: Vec<f64>,
    /// What of the amount that entered does not add up, as a part of it.
    pub balance_error: f64,
    /// Error that the grid leaves in the best estimate, min; none where the end is not reached.
    pub grid_error_min: Option<f64>,
}

/// The first five minutes after a rest.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct RestartAnswer {
    /// Minutes in use before it.
    pub after_use_min: f64,
    /// Minutes since the start, rests included.
    pub clock_min: f64,
    /// Greatest level at the outlet of each contaminant, ppm.
    pub greatest_ppm: Vec<f64>,
    /// Greatest sum of level over limit.
    pub greatest_sum: f64,
}

/// What sampling the uncertain inputs gave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Sampled {
    /// How many times the life was computed.
    pub samples: usize,
    /// How many of these moved every input by itself: what the bound rests on.
    pub copies: usize,
    /// Each end, and last the first of them.
    pub ends: Vec<SampledTime>,
    /// How far each input matters for the first of the ends, greatest first.
    pub inputs: Vec<InputShare>,
}

/// One end in the samples.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SampledTime {
    /// What ends the life.
    pub of: String,
    /// Minutes with every input at its best; none where the end is never reached.
    #[serde(serialize_with = "finite")]
    pub best: f64,
    /// Reached or passed by 95 of 100 copies.
    #[serde(serialize_with = "finite")]
    pub low: f64,
    /// At most what 95 of 100 of endlessly many copies would reach or pass, with 95 % confidence.
    #[serde(serialize_with = "finite")]
    pub bound: f64,
    /// Reached or passed by 5 of 100.
    #[serde(serialize_with = "finite")]
    pub high: f64,
    /// Standard error of `low` that the sampling leaves.
    #[serde(serialize_with = "finite")]
    pub low_error: f64,
}

/// How far one input matters.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct InputShare {
    /// The input.
    pub of: &'static str,
    /// Sobol's first-order index: its part of the variance by itself.
    pub first_order: f64,
    /// Sobol's total index: its part of the variance, alone and with others.
    pub total: f64,
    /// Standard errors of both that the sampling leaves.
    pub errors: (f64, f64),
}

/// First-order and total index of each input, with the errors of both.
fn explored_parts(output: &Explored) -> Vec<(f64, f64, (f64, f64))> {
    let parts = output.first_order.iter().zip(&output.total).zip(&output.index_errors);
    parts.map(|((first, total), errors)| (*first, *total, *errors)).collect()
}

impl InputShare {
    /// Both parts in percent with their standard errors, each with as many digits as its error allows.
    #[must_use]
    pub fn in_percent(&self) -> (String, String) {
        (in_percent(self.first_order, self.errors.0), in_percent(self.total, self.errors.1))
    }
}

/// A part of the variance with its standard error to one digit, and no digit beyond it.
fn in_percent(part: f64, error: f64) -> String {
    let (part, error) = (100.0 * part, 100.0 * error);
    if !(1e-3..100.0).contains(&error) {
        return if error < 1e-3 { format!("{part:.2} %") } else { "not settled".to_owned() };
    }
    let digits = (0..3).find(|digits| error >= 0.95 * 10_f64.powi(-digits)).unwrap_or(3);
    // From ten on the error itself has no digit of ones to tell.
    let step = if error >= 9.5 { 10.0 } else { 1.0 };
    let told = |value: f64| (value / step).round() * step;
    match usize::try_from(digits).unwrap_or(0) {
        0 => format!("{:.0} ± {:.0} %", told(part) + 0.0, told(error)),
        digits => format!("{part:.digits$} ± {error:.digits$} %"),
    }
}

fn finite<S: Serializer>(minutes: &f64, serializer: S) -> Result<S::Ok, S::Error> {
    minutes.is_finite().then_some(*minutes).serialize(serializer)
}

impl Sampled {
    /// The samples of `names`, then of what follows them: the mixture where it was looked at, and
    /// the first of all.
    pub(super) fn of(names: &[&str], (inputs, explored): (Vec<&'static str>, Exploration)) -> Self {
        let last = explored.outputs.len().saturating_sub(1);
        let named = |(place, output): (usize, &Explored)| SampledTime {
            of: match names.get(place) {
                Some(name) => (*name).to_owned(),
                None if place == last => "first of all".to_owned(),
                None => "mixture".to_owned(),
            },
            best: output.best,
            low: output.low,
            bound: output.bound,
            high: output.high,
            low_error: output.low_error,
        };
        let first = explored.outputs.last();
        let parts = |o| explored_parts(o).into_iter();
        let shares = first.map(parts).into_iter().flatten();
        let share =
            |(of, (first_order, total, errors))| InputShare { of, first_order, total, errors };
        let mut shares: Vec<InputShare> = inputs.into_iter().zip(shares).map(share).collect();
        shares.sort_by(|a, b| b.total.total_cmp(&a.total));
        Self {
            samples: explored.samples,
            copies: explored.copies,
            ends: explored.outputs.iter().enumerate().map(named).collect(),
            inputs: shares,
        }
    }

    fn bounds(&self, place: usize, best: f64) -> Bounds {
        let lower = self.ends.get(place).map_or(0.0, |end| end.bound);
        Bounds { best, lower: lower.min(best) }
    }
}

/// Adds the life against each of `vapours` (with its end level in ppm) to the answer.
pub(super) fn physisorbed(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) {
    if let Err(reason) = solve(setup, vapours, answer) {
        for (contaminant, _) in vapours {
            answer.refuse(contaminant, reason.clone());
        }
    }
}

fn solve(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<(), String> {
    let pattern = pattern(setup, vapours, answer)?;
    let run = pattern.run(&Settings::USUAL).map_err(|error| error.to_string())?;
    let usual = || usual_samples(&run, vapours.len());
    let sampling = Sampling::of(setup.work.samples.unwrap_or_else(usual));
    let explored = explore_pattern(&pattern, &setup.spread, sampling, &setup.work.progress);
    let names: Vec<&str> = vapours.iter().map(|(c, _)| c.substance.name()).collect();
    let sampled = Sampled::of(&names, explored.map_err(|error| error.to_string())?);
    tell_edges(&pattern, answer)?;
    for (index, (contaminant, end_ppm)) in vapours.iter().enumerate() {
        let time = sampled.bounds(index, run.ends_min(index));
        let limits: Vec<&'static str> =
            sampled.inputs.iter().filter(|i| i.total > 0.01).take(3).map(|i| i.of).collect();
        answer.contaminants.push(ContaminantLife {
            cas: contaminant.substance.cas(),
            name: contaminant.substance.name().to_owned(),
            inlet_ppm: end::inlet_ppm(setup, contaminant).ok(),
            end_ppm: Some(*end_ppm),
            plateau_ppm: None,
            time_min: Some(time),
            refused: None,
            loading_g_per_g: None,
            humid_share: None,
            breathed: None,
            limited_by: limits,
            curve: thinned(run.outlet_ppm(index)),
        });
    }
    let together = sampled.bounds(vapours.len(), run.ends_together_min());
    let bed = bed_answer(setup, (vapours, &pattern), &run, together);
    note_end(&bed, answer);
    answer.bed = Some(bed);
    answer.sampled = Some(sampled);
    Ok(())
}

/// As many marches as half a second allows of a pattern whose best estimate is known.
fn usual_samples(run: &Run, vapours: usize) -> usize {
    let cells = (0..vapours).map(|index| run.effluent.load_mol_kg(index).len());
    let each = cells.sum::<usize>() * run.effluent.clock_s().len();
    let affordable = |samples: &&usize| **samples * each <= CELL_STEPS;
    let [.., least] = USUAL_SAMPLES;
    USUAL_SAMPLES.iter().find(affordable).copied().unwrap_or(least)
}

/// The pattern of all shifts with the nights between them.
fn pattern(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<Pattern, String> {
    let shift = shift(setup, vapours, answer)?;
    let night = night(setup, vapours);
    let mut stretches = shift.clone();
    for _ in 1..setup.rounds() {
        stretches.push(night.clone());
        stretches.extend(shift.iter().cloned());
    }
    pattern_of(setup, vapours, stretches, answer)
}

/// The usual shift once, and the night after it where a set serves several.
pub(super) fn round(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<Pattern, String> {
    let mut stretches = shift(setup, vapours, answer)?;
    if setup.rounds() > 1 {
        stretches.push(night(setup, vapours));
    }
    pattern_of(setup, vapours, stretches, answer)
}

fn night(setup: &LifeSetup, vapours: &[(&Contaminant, f64)]) -> Stretch {
    let (minutes, kind) = setup.work.night_min();
    Stretch { minutes, kind, air: bed::air(setup), levels_ppm: vec![0.0; vapours.len()] }
}

fn pattern_of(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    stretches: Vec<Stretch>,
    answer: &mut LifeAnswer,
) -> Result<Pattern, String> {
    let mut members = Vec::with_capacity(vapours.len());
    for (contaminant, end_ppm) in vapours {
        let (vapour, sources) = setup.vapour(contaminant.substance)?;
        answer.sources.extend(sources);
        let elsewhere = elsewhere(setup, contaminant)?;
        // One contaminant is no mixture: it ends at its own level, as the closed form has it.
        let several = vapours.len() > 1;
        let whole_ppm = end::whole_ppm(setup, contaminant).filter(|_| several);
        members.push(PatternVapour { vapour, elsewhere, end_ppm: *end_ppm, whole_ppm });
    }
    let (bed, fastest_velocity) = bed::bed_of(setup, answer)?;
    Ok(Pattern {
        bed,
        vapours: members,
        reference_k: setup.place.temperature.as_kelvin(),
        stored_humidity: setup.stored_humidity(),
        stretches,
        rate_factor: setup.work.rate_factor.unwrap_or(1.0),
        capacity_factor: 1.0,
        fastest_velocity,
    })
}

/// The properties of a contaminant at the temperatures of the segments that differ from that of the place.
fn elsewhere(setup: &LifeSetup, contaminant: &Contaminant) -> Result<Vec<(f64, Vapour)>, String> {
    let mut all: Vec<(f64, Vapour)> = Vec::new();
    for temperature in setup.work.segments.iter().map(|segment| segment.temperature) {
        let kelvin = temperature.as_kelvin();
        let known = temperature == setup.place.temperature || all.iter().any(|(k, _)| *k == kelvin);
        if !known {
            all.push((kelvin, setup.vapour_at(contaminant.substance, temperature)?.0));
        }
    }
    Ok(all)
}

/// The stretches of the pattern, once. Steady wear on one shift is marched past what the closed form gives,
/// so that its life is found and not only its wear.
fn shift(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    answer: &mut LifeAnswer,
) -> Result<Vec<Stretch>, String> {
    if !setup.work.segments.is_empty() {
        let stretch = |segment: &WorkSegment| stretch(setup, vapours, segment);
        return setup.work.segments.iter().map(stretch).collect();
    }
    let mut levels_ppm = Vec::with_capacity(vapours.len());
    for (contaminant, _) in vapours {
        levels_ppm.push(end::inlet_ppm(setup, contaminant)?);
    }
    let worn = setup.wear.map(quantity::Minutes::as_min).filter(|worn| *worn > 0.0);
    let minutes = match worn {
        Some(worn) if setup.shifts > 1 => worn,
        _ => {
            let case = bed::steady(setup, vapours, answer)?;
            let lives = steady_life(&case).map_err(|error| error.to_string())?;
            let longest = lives.iter().map(|l| l.course.midpoint_min).fold(0.0, f64::max);
            let (times, least, most) = STEADY;
            (longest * times).clamp(least, most).max(worn.unwrap_or(0.0))
        }
    };
    Ok(vec![Stretch { minutes, kind: SegmentKind::On, air: bed::air(setup), levels_ppm }])
}

fn stretch(
    setup: &LifeSetup,
    vapours: &[(&Contaminant, f64)],
    segment: &WorkSegment,
) -> Result<Stretch, String> {
    let mut levels_ppm = Vec::with_capacity(vapours.len());
    for (contaminant, _) in vapours {
        let same = |c: &Contaminant| c.substance.cas() == contaminant.substance.cas();
        let place = setup.place.contaminants.iter().position(same);
        let level = place.and_then(|place| segment.levels.get(place)).copied();
        let level = level.unwrap_or(Level::Unknown);
        levels_ppm.push(end::level_ppm(setup, contaminant, level, segment.temperature)?);
    }
    let air = Air {
        flow_l_per_min: segment.flow.as_l_per_min(),
        temperature_k: segment.temperature.as_kelvin(),
        pressure_kpa: setup.place.pressure.as_kpa(),
        humidity: segment.humidity.as_fraction(),
    };
    Ok(Stretch { minutes: segment.duration.as_min(), kind: segment.kind, air, levels_ppm })
}

/// Says where any stretch stands at an edge of what the closed form was shown to hold for.
pub(super) fn tell_edges(pattern: &Pattern, answer: &mut LifeAnswer) -> Result<(), String> {
    let edges = pattern.edges().map_err(|error| error.to_string())?;
    for (vapour, edges) in pattern.vapours.iter().zip(edges) {
        // The march follows an end above half of what enters, which the closed form cannot.
        for edge in edges.into_iter().filter(|edge| *edge != Validity::EndAboveHalf) {
            let finding = Finding::caution(&service_life::EDGE);
            let finding = finding.with("contaminant", &vapour.vapour.name);
            answer.findings.push(finding.with("edge", bed::words(edge)));
        }
        let estimated = vapour.vapour.estimated;
        if estimated.psat || estimated.density || estimated.polarisation {
            let finding = Finding::note(&service_life::ESTIMATED_PROPERTY);
            answer.findings.push(finding.with("contaminant", &vapour.vapour.name));
        }
    }
    Ok(())
}

/// What the march gave; `together` is when the mixture ends, where that is looked at.
pub(super) fn bed_answer(
    setup: &LifeSetup,
    (vapours, pattern): (&[(&Contaminant, f64)], &Pattern),
    run: &Run,
    together: Bounds,
) -> BedAnswer {
    let name = |index: usize| {
        vapours.get(index).map_or_else(String::new, |(c, _)| c.substance.name().to_owned())
    };
    let bed_of = |index: usize| BedOf {
        name: name(index),
        roll_up: run.roll_up(index),
        load_g_per_g: run.load_g_per_g(index),
        balance_error: run.effluent.balance(index).relative_error,
        grid_error_min: run.grid_error_min(index),
    };
    let restart = |restart: sorbent::Restart| RestartAnswer {
        after_use_min: restart.in_use_min,
        clock_min: restart.clock_min,
        greatest_ppm: restart.greatest_ppm,
        greatest_sum: restart.greatest_sum,
    };
    let limits = pattern.vapours.iter().enumerate();
    let (with, without): (Vec<_>, Vec<_>) = limits.partition(|(_, v)| v.whole_ppm.is_some());
    BedAnswer {
        worn_min: pattern.stretches.iter().filter(|s| flows(s.kind)).map(|s| s.minutes).sum(),
        shifts: setup.shifts_marched(),
        mixture_min: (!with.is_empty()).then_some(together),
        without_limit: without
            .into_iter()
            .filter(|_| vapours.len() > 1)
            .map(|(index, _)| name(index))
            .collect(),
        restarts: run.restarts().into_iter().map(restart).collect(),
        contaminants: (0..vapours.len()).map(bed_of).collect(),
        opened: None,
    }
}

/// Says where the pattern is over before the life is.
pub(super) fn note_end(bed: &BedAnswer, answer: &mut LifeAnswer) {
    let endless = |life: &ContaminantLife| life.time_min.is_some_and(|t| t.lower.is_infinite());
    if answer.contaminants.iter().all(endless) {
        let finding = Finding::note(&service_life::PATTERN_OVER);
        answer.findings.push(finding.with("worn", format!("{:.0}", bed.worn_min)));
    }
}

/// A curve of few enough points for a picture: every so many.
pub(super) fn thinned(points: impl Iterator<Item = (f64, f64)>) -> Vec<CurvePoint> {
    let points: Vec<CurvePoint> =
        points.map(|(minutes, ppm)| CurvePoint { minutes, ppm }).collect();
    let every = points.len().div_ceil(CURVE_POINTS).max(1);
    let mut thinned: Vec<CurvePoint> = points.iter().step_by(every).copied().collect();
    if let Some(last) = points.last().filter(|_| points.len() % every != 1 && every > 1) {
        thinned.push(*last);
    }
    thinned
}

#[cfg(test)]
mod tests {
    use super::in_percent;

    #[test]
    fn a_part_is_told_with_the_digits_that_its_error_allows() {
        for (part, error, told) in [
            (0.7751, 0.0692, "78 ± 7 %"),
            (0.7751, 0.124, "80 ± 10 %"),
            (0.7751, 0.0034, "77.5 ± 0.3 %"),
            (-0.012, 0.021, "-1 ± 2 %"),
            (0.0, 0.0, "0.00 %"),
            (0.5, f64::NAN, "not settled"),
        ] {
            assert_eq!(in_percent(part, error), told);
        }
    }
}
