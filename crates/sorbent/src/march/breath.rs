//! Air drawn by breathing against the same air drawn steadily.
//!
//! A breath is short beside the time in which the load of a granule changes, and long beside the
//! time the air spends in the bed. So at each moment of a breath the air passes a bed whose load stands
//! still, at the velocity of that moment, and the load follows the mean over the breath. The
//! inhalation, half a sine, is summed by Gauss's rule in a few phases, each with a stream of its
//! own through the bed; while the wearer exhales, no air passes.
//!
//! How the rate follows the velocity decides the result. With a rate that does not, the peak of a
//! breath, pi times its mean, has a pi-th of the transfer units, and the first breakthrough comes
//! far too early; but the published rates were measured to grow with the velocity, as uptake limited by
//! the way to the granule does. So the rate of each moment is that of its velocity.

use super::dubinin::Dubinin;
use super::effluent::Effluent;
use super::input::{self, Column, Component, Segment, SegmentKind, Settings};
use super::plan::{Plan, as_f64};
use super::scheme::weight;
use super::track::{Piece, Track, dubinin_of};
use super::{Arrival, MarchError};

/// Power of the velocity with which the rate grows: Wood and Lodewyckx 2003, see
/// [`crate::wood_lodewyckx_2003_rate`].
pub const RATE_BY_VELOCITY: f64 = 0.75;

/// Nodes and weights of Gauss's rule on 0 to 1; standard, from memory, checked in the tests.
const GAUSS: [(f64, f64); 5] = [
    (0.046_910_077_030_668, 0.118_463_442_528_094_5),
    (0.230_765_344_947_158_5, 0.239_314_335_249_683_2),
    (0.5, 0.284_444_444_444_444_4),
    (0.769_234_655_052_841_5, 0.239_314_335_249_683_2),
    (0.953_089_922_969_332, 0.118_463_442_528_094_5),
];

/// Longest time of the air in the bed, as a part of one inhalation.
const LONGEST_PASSAGE: f64 = 0.25;
/// Greatest change of the load within one breath, as a part of its distance from balance.
const GREATEST_CHANGE: f64 = 0.2;

/// How a wearer breathes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breathing {
    /// Breaths per minute; inhalation is half a sine and takes half the time.
    pub per_min: f64,
    /// Power of the velocity with which the rate grows, 0 to 1; usually [`RATE_BY_VELOCITY`].
    pub rate_by_velocity: f64,
}

/// Times to one level at the outlet, breathed and steady.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breathed {
    /// With the sinusoid; the level is the mean over what is inhaled.
    pub breathed: Arrival,
    /// With its steady mean.
    pub steady: Arrival,
    /// The first over the second.
    pub ratio: f64,
}

/// Times at which one vapour reaches `level_mol_m3` in breathed and in steady air, on the same grid.
///
/// `segment` carries the mean velocity, that of the minute volume, and the level that enters; its kind
/// does not count. None where the level is not reached within it in either. Refuses what
/// [`super::run`] refuses, components other than one of kind Dubinin with a driving force, and
/// breathing so quick or slow that the picture above does not hold.
pub fn breathed(
    column: &Column,
    component: &Component,
    segment: &Segment,
    breathing: &Breathing,
    (level_mol_m3, settings): (f64, &Settings),
) -> Result<Option<Breathed>, MarchError> {
    let components = std::slice::from_ref(component);
    let segments = [Segment { kind: SegmentKind::On, ..segment.clone() }];
    input::check(column, components, &segments, settings)?;
    input::within("breaths per minute", breathing.per_min, (1.0, 120.0))?;
    input::within("power of the velocity", breathing.rate_by_velocity, (0.0, 1.0))?;
    let Some((law, per_s)) = dubinin_of(component) else {
        return Err(MarchError::NotBreathed { name: component.name.clone() });
    };
    let [segment] = &segments;
    let breath_s = 60.0 / breathing.per_min;
    let passage = column.void_fraction * column.depth_m / segment.velocity_m_s;
    let what = "time of the air in the bed over that of one inhalation";
    input::within(what, passage / (0.5 * breath_s), (0.0, LONGEST_PASSAGE))?;
    let what = "rate times the length of one breath";
    input::within(what, per_s * breath_s, (0.0, GREATEST_CHANGE))?;
    let mean = Phase { share: 1.0, velocity: segment.velocity_m_s, per_s };
    let plan = Plan::coarse(column, components, &segments, settings)?;
    let case = Case { column, law, inlet: segment.inlet(components, 0), mean };
    let arrival = |phases: &[Phase]| {
        let march = |plan: &Plan| case.march(plan, |_| phases);
        let coarse = settings.estimate.then(|| march(&plan));
        let effluent = Effluent::new(march(&plan.refined(&segments)), coarse, segment.duration_s);
        effluent.arrival(0, level_mol_m3)
    };
    let pair = arrival(&phases(&mean, breathing.rate_by_velocity)).zip(arrival(&[mean]));
    // A bed that lets the end through at once has no part to lose.
    let pair = pair.filter(|(_, steady)| steady.clock_s > 0.0);
    Ok(pair.map(|(breathed, steady)| Breathed {
        breathed,
        steady,
        ratio: breathed.clock_s / steady.clock_s,
    }))
}

/// A part of each breath in which the air passes at one velocity.
#[derive(Debug, Clone, Copy)]
struct Phase {
    /// Part of the time.
    share: f64,
    /// m/s.
    velocity: f64,
    /// Rate then, 1/s.
    per_s: f64,
}

/// The phases of an inhalation that carries the air of `mean`.
fn phases(mean: &Phase, power: f64) -> Vec<Phase> {
    use std::f64::consts::PI;
    let phase = |(at, weight): &(f64, f64)| {
        let over_mean = PI * (PI * at).sin();
        Phase {
            share: 0.5 * weight,
            velocity: mean.velocity * over_mean,
            per_s: mean.per_s * over_mean.powf(power),
        }
    };
    GAUSS.iter().map(phase).collect()
}

/// One vapour through one bed.
struct Case<'a> {
    column: &'a Column,
    law: Dubinin,
    inlet: f64,
    mean: Phase,
}

/// The stream of one phase through the bed.
struct Stream {
    levels: Vec<f64>,
    /// Slope of the balance, m³/kg, and logarithm of the level within the last cell.
    slope: f64,
    ln_c: f64,
}

impl Case<'_> {
    /// Marches a fresh bed through the steps of `plan`, step `n` in the phases `phases(n)`, of which
    /// there are always as many. What leaves is the mean over the air.
    fn march<'p>(&self, plan: &Plan, phases: impl Fn(usize) -> &'p [Phase]) -> Track {
        let lengths: Vec<f64> = plan.steps.iter().flatten().copied().collect();
        let sorbent = self.column.bulk_density_kg_m3 * self.column.depth_m / as_f64(plan.cells);
        let stream = |_: &Phase| Stream {
            levels: vec![self.inlet; lengths.len()],
            slope: self.law.henry,
            ln_c: f64::NAN,
        };
        let mut streams: Vec<Stream> = phases(0).iter().map(stream).collect();
        let mut loads = vec![0.0; plan.cells];
        for load in &mut loads {
            for stream in &mut streams {
                (stream.slope, stream.ln_c) = (self.law.henry, f64::NAN);
            }
            for (n, dt) in lengths.iter().enumerate() {
                *load = self.step(*load, (sorbent, *dt), phases(n), (n, &mut streams));
            }
        }
        let passed = |n: usize| {
            let (mut air, mut vapour) = (0.0, 0.0);
            for (phase, stream) in phases(n).iter().zip(&streams) {
                air += phase.share * phase.velocity;
                vapour += phase.share * phase.velocity * stream.levels.get(n).unwrap_or(&0.0);
            }
            vapour / air
        };
        let outlet: Vec<f64> = (0..lengths.len()).map(passed).collect();
        self.track(lengths, outlet, (loads, sorbent))
    }

    /// One step of one cell; gives its load after it.
    fn step(
        &self,
        load: f64,
        (sorbent, dt): (f64, f64),
        phases: &[Phase],
        (n, streams): (usize, &mut [Stream]),
    ) -> f64 {
        // The load goes towards the mean of what the phases would have it be, at their mean rate;
        // the exponential is that of the driving force over the whole step.
        let rate: f64 = phases.iter().map(|phase| phase.share * phase.per_s).sum();
        let span = if rate > 0.0 { -(-rate * dt).exp_m1() / rate } else { dt };
        let mut gained = 0.0;
        for (phase, stream) in phases.iter().zip(streams) {
            let Some(level) = stream.levels.get_mut(n) else { continue };
            let bed = sorbent / phase.velocity * phase.per_s * span / dt;
            let (theta, _) = weight(bed * stream.slope);
            let a = theta * bed;
            let s = *level + a * load;
            let mut within = 0.0;
            if s > 0.0 && a > 0.0 {
                stream.ln_c = self.law.balance(a, s, stream.ln_c);
                within = stream.ln_c.exp();
                stream.slope = self.law.slope(within);
            }
            let out = if a > 0.0 { (*level - (*level - within) / theta).max(0.0) } else { *level };
            gained += phase.share * phase.velocity * dt / sorbent * (*level - out);
            *level = out;
        }
        (load + gained).max(0.0)
    }

    fn track(
        &self,
        lengths: Vec<f64>,
        outlet: Vec<f64>,
        (load, sorbent): (Vec<f64>, f64),
    ) -> Track {
        let lag = self.column.void_fraction * self.column.depth_m / self.mean.velocity;
        let mut elapsed = 0.0;
        let middle = |dt: &f64| {
            elapsed += dt;
            elapsed - 0.5 * dt + lag
        };
        let clock_s: Vec<f64> = lengths.iter().map(middle).collect();
        let pairs = outlet.iter().zip(&lengths);
        let passed = self.mean.velocity * pairs.map(|(c, dt)| c * dt).sum::<f64>();
        let fed = self.mean.velocity * self.inlet * lengths.iter().sum::<f64>();
        Track {
            in_use_s: clock_s.clone(),
            pieces: vec![Piece { steps: 0..lengths.len(), began_s: 0.0, in_use_s: 0.0 }],
            clock_s,
            step_s: lengths,
            outlet: vec![outlet],
            load: vec![load],
            fed: vec![fed],
            passed: vec![passed],
            lost: vec![0.0],
            sorbent,
            ..Track::default()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::march::{Equilibrium, Uptake, run};

    const COLUMN: Column =
        Column { depth_m: 0.022, bulk_density_kg_m3: 440.0, void_fraction: 0.4, area_m2: 0.0038 };
    const LEVEL: f64 = 0.020_655_248_093_099_696;

    fn toluene(per_s: f64) -> Component {
        Component {
            name: "toluene".to_owned(),
            equilibrium: Equilibrium::Dubinin {
                full_mol_kg: 4.225_952_030_445_352,
                b: 0.120_309_228_581_177_9,
                saturation_mol_m3: 1.313_602_349_673_566_5,
            },
            uptake: Uptake::DrivingForce { per_s },
            diffusivity_m2_s: 8e-6,
        }
    }

    fn shift(duration_s: f64, velocity_m_s: f64) -> Segment {
        let inlet_mol_m3 = vec![LEVEL];
        let kind = SegmentKind::On;
        Segment { duration_s, velocity_m_s, inlet_mol_m3, kind, components: None }
    }

    fn at(fraction: f64, per_min: f64, rate_by_velocity: f64) -> Breathed {
        let breathing = Breathing { per_min, rate_by_velocity };
        let (component, segment) = (toluene(3.564_423_762_913_426e-4), shift(28_800.0, 0.116_886));
        breathed(&COLUMN, &component, &segment, &breathing, (fraction * LEVEL, &Settings::USUAL))
            .unwrap()
            .unwrap()
    }

    // Gauss's rule: exact for the powers up to nine, and the air of a breath is that of its mean.
    #[test]
    fn phases_carry_the_air_of_the_mean() {
        for power in 0..10 {
            let sum: f64 = GAUSS.iter().map(|(x, w)| w * x.powi(power)).sum();
            assert!((sum * f64::from(power + 1) - 1.0).abs() < 1e-14, "{power}");
        }
        let mean = Phase { share: 1.0, velocity: 0.1, per_s: 1e-3 };
        let air: f64 = phases(&mean, 0.75).iter().map(|p| p.share * p.velocity).sum();
        assert!((air / 0.1 - 1.0).abs() < 1e-6, "{air}");
    }

    // The steady side is the march itself.
    #[test]
    fn steady_air_is_the_march() {
        let (component, segment) = (toluene(3.564_423_762_913_426e-4), shift(28_800.0, 0.116_886));
        let march = run(&COLUMN, &[component], &[segment], &Settings::USUAL).unwrap();
        for fraction in [0.01, 0.1, 0.5] {
            let steady = at(fraction, 20.0, 0.75).steady;
            let there = march.arrival(0, fraction * LEVEL).unwrap();
            assert!((steady.clock_s / there.clock_s - 1.0).abs() < 1e-9, "{steady:?} {there:?}");
        }
    }

    // Read, LF08 of `data/literature_findings.csv`: the bed equation holds for non-constant flow.
    // README of `data/checks/bed`: at a constant rate the first breakthrough comes near a third
    // of that of the mean flow.
    #[test]
    fn breathing_shortens_the_life_a_little_or_at_a_constant_rate_by_much() {
        for (fraction, shortest) in [(0.01, 0.85), (0.1, 0.90), (0.5, 0.97)] {
            let ratio = at(fraction, 20.0, RATE_BY_VELOCITY).ratio;
            println!("breathed over steady to {fraction}: {ratio:.4}");
            assert!(shortest < ratio && ratio < 1.0, "{fraction}: {ratio}");
        }
        let constant = at(0.01, 20.0, 0.0).ratio;
        println!("at a constant rate: {constant:.3}");
        assert!(0.2 < constant && constant < 0.5, "{constant}");
        let following = at(0.01, 20.0, 1.0).ratio;
        assert!((following - 1.0).abs() < 2e-3, "{following}");
    }

    // Every breath resolved, in 16 steps of its own: a thin quick bed that lasts some minutes.
    #[test]
    fn a_bed_with_every_breath_resolved_agrees() {
        let column = Column { depth_m: 0.004, ..COLUMN };
        let (per_s, velocity, duration, breath_s) = (2e-3, 0.116_886, 3_000.0, 3.0);
        let breathing = Breathing { per_min: 20.0, rate_by_velocity: RATE_BY_VELOCITY };
        let told = breathed(
            &column,
            &toluene(per_s),
            &shift(duration, velocity),
            &breathing,
            (0.1 * LEVEL, &Settings::USUAL),
        )
        .unwrap()
        .unwrap();
        let mean = Phase { share: 1.0, velocity, per_s };
        let parts = 16;
        let phase = |part: usize| {
            let middle = (as_f64(part) + 0.5) / as_f64(parts);
            let over = std::f64::consts::PI * (std::f64::consts::PI * middle).sin();
            [Phase { share: 0.5, velocity: velocity * over, per_s: per_s * over.powf(0.75) }]
        };
        let breath: Vec<[Phase; 1]> = (0..parts).map(phase).collect();
        let steps = 16_000;
        // Each step lasts a sixteenth of a breath in which, for half the time, air passes.
        let plan = Plan { cells: 64, steps: vec![vec![breath_s / as_f64(parts); steps]] };
        let (law, _) = dubinin_of(&toluene(per_s)).unwrap();
        let case = Case { column: &column, law, inlet: LEVEL, mean };
        let track = case.march(&plan, |n| &breath[n % parts]);
        // The mean over whole breaths of what is inhaled.
        let air: f64 = breath.iter().map(|p| p[0].velocity).sum();
        let inhaled = |breath_no: usize| {
            let parts =
                (0..parts).map(|i| breath[i][0].velocity * track.outlet[0][breath_no * parts + i]);
            parts.sum::<f64>() / air
        };
        let first = (0..steps / parts).find(|no| inhaled(*no) >= 0.1 * LEVEL).unwrap();
        let time = breath_s * (as_f64(first) + 0.5);
        let error = (time / told.breathed.clock_s - 1.0).abs();
        assert!(error < 5e-3, "{time} {told:?}");
        assert!((told.ratio - 1.0).abs() > 5.0 * error, "{told:?}");
    }

    #[test]
    fn breathing_that_does_not_fit_the_picture_is_refused() {
        let refused = |per_min: f64, per_s: f64, depth_m: f64| {
            let column = Column { depth_m, ..COLUMN };
            let breathing = Breathing { per_min, rate_by_velocity: 0.75 };
            breathed(
                &column,
                &toluene(per_s),
                &shift(100.0, 0.1),
                &breathing,
                (0.1 * LEVEL, &Settings::USUAL),
            )
            .unwrap_err()
            .to_string()
        };
        assert!(refused(f64::NAN, 1e-3, 0.022).contains("breaths per minute"));
        assert!(refused(60.0, 1e-3, 0.2).contains("time of the air in the bed"));
        assert!(refused(10.0, 1.0, 0.022).contains("length of one breath"));
    }
}
