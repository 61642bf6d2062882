//! A pattern of work on a bed of carbon: what the closed form knows of its vapours ([`crate::steady`]),
//! marched.

use crate::LifeError;
use crate::bed::{Air, Bed};
use crate::drying;
use crate::life::{Method, SteadyCase, Stream, Validity, VapourLife, lives_of, steady_life};
use crate::march::{Component, Effluent, MarchError, Segment, SegmentKind, Settings};
use crate::steady::{component, march, mol_m3};
use crate::vapour::Vapour;

/// How long after a rest counts as its first minutes, and the first piece of a stretch that dries a damp
/// bed, min.
const FIRST_MINUTES: f64 = 5.0;

/// Part of the pores of a bed whose filling tells at which level a vapour is taken up (chosen here: more than
/// a short peak brings in, less than what reaches the end of a bed).
const LOADING_SHARE: f64 = 0.03;

/// Humidities that differ by less are the same, as a part of saturation.
const SAME_HUMIDITY: f64 = 1e-3;

/// One vapour and the levels at the outlet that count.
#[derive(Debug, Clone, PartialEq)]
pub struct PatternVapour {
    /// Its properties at [`Pattern::reference_k`].
    pub vapour: Vapour,
    /// Its properties at other temperatures of the pattern, each with its temperature, K. Between them
    /// vapour pressures follow their slope as of Clausius and Clapeyron; densities and polarisations
    /// are those of the nearest.
    pub elsewhere: Vec<(f64, Vapour)>,
    /// Level at the outlet that ends the life, ppm.
    pub end_ppm: f64,
    /// Level that counts as the whole in the rule for mixtures, ppm; none where the vapour has no
    /// limit.
    pub whole_ppm: Option<f64>,
}

/// A stretch of the pattern in which nothing changes.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    /// How long, min.
    pub minutes: f64,
    /// Whether air passes, and which.
    pub kind: SegmentKind,
    /// The air that passes, or that of the room where elements are kept; its flow does not count at
    /// rest.
    pub air: Air,
    /// Level of each vapour that enters, ppm; zero where there is none.
    pub levels_ppm: Vec<f64>,
}

/// One set of elements and what is done with it.
#[derive(Debug, Clone, PartialEq)]
pub struct Pattern {
    /// The beds.
    pub bed: Bed,
    /// The vapours.
    pub vapours: Vec<PatternVapour>,
    /// Temperature at which their properties were taken, K.
    pub reference_k: f64,
    /// Relative humidity, 0 to 1, with which the water of the beds is in balance before the first
    /// stretch.
    pub stored_humidity: f64,
    /// What happens, in order, from a fresh set on.
    pub stretches: Vec<Stretch>,
    /// Multiplies the rate coefficients.
    pub rate_factor: f64,
    /// Multiplies what the bed holds; 1 but where the error of the model is explored.
    pub capacity_factor: f64,
    /// As [`SteadyCase::fastest_velocity`].
    pub fastest_velocity: Option<f64>,
}

/// Why a pattern was not marched.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum PatternError {
    /// The closed form refuses a vapour in a stretch.
    #[error("segment {place}: {error}")]
    Life {
        /// Which stretch, from 1.
        place: usize,
        /// Why.
        error: LifeError,
    },
    /// The march refuses.
    #[error(transparent)]
    March(#[from] MarchError),
    /// A stretch does not tell a level of every vapour.
    #[error(
        "segment {place} tells {found} levels for {wanted} vapours\n  give one level for each, zero where there is none"
    )]
    Levels {
        /// Which stretch, from 1.
        place: usize,
        /// Levels told.
        found: usize,
        /// Vapours.
        wanted: usize,
    },
    /// A vapour never enters.
    #[error("{name} enters in no segment\n  leave it out, or give a level while the mask is on")]
    NeverEnters {
        /// The vapour.
        name: String,
    },
}

/// The first minutes after a rest.
#[derive(Debug, Clone, PartialEq)]
pub struct Restart {
    /// Since the start, rests included, min.
    pub clock_min: f64,
    /// Minutes in use before it.
    pub in_use_min: f64,
    /// Greatest level of each vapour at the outlet in the first five minutes, ppm.
    pub greatest_ppm: Vec<f64>,
    /// Greatest sum of level over whole there; zero where no vapour has one.
    pub greatest_sum: f64,
}

/// A pattern marched to its end.
#[derive(Debug, Clone, PartialEq)]
pub struct Run {
    /// What the march gives, in mol/m³ and s.
    pub effluent: Effluent,
    /// mol/m³ in one ppm: of the warmest air, in which a level in ppm is reached soonest.
    pub mol_m3_per_ppm: f64,
    ends: Vec<f64>,
    wholes: Vec<f64>,
    molar_masses: Vec<f64>,
    peaks: Vec<f64>,
    restarts: Vec<(f64, f64)>,
}

impl Pattern {
    /// Marches the pattern.
    ///
    /// Refuses what [`steady_life`] refuses of any stretch, levels below those with which the beds are loaded
    /// aside, what the march refuses, and a vapour that never enters, by name.
    pub fn run(&self, settings: &Settings) -> Result<Run, PatternError> {
        let peaks = self.peaks();
        for (place, stretch) in self.stretches.iter().enumerate() {
            let (found, wanted) = (stretch.levels_ppm.len(), self.vapours.len());
            if found != wanted {
                return Err(PatternError::Levels { place: place + 1, found, wanted });
            }
        }
        for (vapour, peak) in self.vapours.iter().zip(&peaks) {
            if peak.is_nan() || *peak <= 0.0 {
                return Err(PatternError::NeverEnters { name: vapour.vapour.name.clone() });
            }
        }
        let mut closed = Closed::new(steady_life);
        self.edges_by(&mut closed)?;
        self.march(settings, closed)
    }

    /// Every edge of validity that each vapour touches in a stretch in which it enters.
    ///
    /// Refuses what [`Self::run`] refuses.
    pub fn edges(&self) -> Result<Vec<Vec<Validity>>, PatternError> {
        self.edges_by(&mut Closed::new(steady_life))
    }

    fn edges_by(&self, closed: &mut Closed) -> Result<Vec<Vec<Validity>>, PatternError> {
        let loading = self.loading();
        let mut edges = vec![Vec::new(); self.vapours.len()];
        let mut stretches = self.wetted();
        stretches.retain(|(_, stretch)| stretch.kind == SegmentKind::On);
        // A level that is too high is told of the segment in which it enters.
        let enters = |stretch: &Stretch| stretch.levels_ppm.iter().sum::<f64>();
        stretches.sort_by(|(_, a), (_, b)| enters(b).total_cmp(&enters(a)));
        for (place, stretch) in stretches {
            let levels = stretch.levels_ppm.iter().zip(&loading);
            let of_bed = |levels: &Vec<f64>| levels.get(place - 1).copied().unwrap_or(0.0);
            let levels: Vec<f64> =
                levels.map(|(level, loading)| level.max(of_bed(loading))).collect();
            let lives = closed
                .lives(&self.steady(stretch.air, &levels))
                .map_err(|error| PatternError::Life { place, error })?;
            for ((edges, life), level) in edges.iter_mut().zip(lives).zip(&stretch.levels_ppm) {
                edges.extend(life.validity.into_iter().filter(|_| *level > 0.0));
            }
        }
        for edges in &mut edges {
            edges.sort_unstable();
            edges.dedup();
        }
        Ok(edges)
    }

    /// [`Self::run`] of a pattern that stands beside one that was checked.
    pub(crate) fn run_beside(&self, settings: &Settings) -> Result<Run, PatternError> {
        self.march(settings, Closed::new(lives_of))
    }

    fn march(&self, settings: &Settings, mut closed: Closed) -> Result<Run, PatternError> {
        let mut segments: Vec<Segment> = Vec::with_capacity(self.stretches.len());
        let loading = self.loading();
        let mut known: Vec<(Air, Vec<f64>, Vec<Component>)> = Vec::new();
        for (place, stretch) in self.wetted() {
            let air = self.air_of(&stretch);
            let levels: Vec<f64> =
                loading.iter().filter_map(|levels| levels.get(place - 1)).copied().collect();
            let components = match known.iter().find(|(a, l, _)| *a == air && *l == levels) {
                Some((_, _, components)) => components.clone(),
                None => {
                    let case = self.steady(air, &levels);
                    let lives =
                        closed.lives(&case).map_err(|error| PatternError::Life { place, error })?;
                    let parts = case.streams.iter().zip(&lives);
                    let components: Vec<Component> = parts
                        .map(|(stream, life)| component(&case, stream, life, self.capacity_factor))
                        .collect();
                    known.push((air, levels, components.clone()));
                    components
                }
            };
            segments.push(self.segment(&stretch, components));
        }
        let usual = segments.first().and_then(|s| s.components.clone()).unwrap_or_default();
        let effluent = march(&self.bed, &usual, &segments, settings)?;
        Ok(self.told(effluent))
    }

    /// The run with what turns its figures into words.
    fn told(&self, effluent: Effluent) -> Run {
        let per_ppm = |stretch: &Stretch| {
            stretch.air.mol_per_cm3(stretch.air.partial_pressure_kpa(1.0)) * 1e6
        };
        let mol_m3_per_ppm = self.stretches.iter().map(per_ppm).fold(f64::INFINITY, f64::min);
        let whole = |vapour: &PatternVapour| vapour.whole_ppm.unwrap_or(f64::INFINITY);
        Run {
            effluent,
            mol_m3_per_ppm,
            ends: self.vapours.iter().map(|vapour| vapour.end_ppm).collect(),
            wholes: self.vapours.iter().map(whole).collect(),
            molar_masses: self.vapours.iter().map(|vapour| vapour.vapour.molar_mass).collect(),
            peaks: self.peaks(),
            restarts: self.restarts(),
        }
    }

    /// Greatest level of each vapour that enters, ppm.
    fn peaks(&self) -> Vec<f64> {
        let enters = |stretch: &&Stretch| stretch.kind == SegmentKind::On;
        let peak = |index: usize| {
            let levels = self.stretches.iter().filter(enters);
            levels.filter_map(|s| s.levels_ppm.get(index)).copied().fold(0.0, f64::max)
        };
        (0..self.vapours.len()).map(peak).collect()
    }

    /// The greatest humidity with which the water of the beds is in balance on the way.
    pub(crate) fn wettest(&self) -> f64 {
        self.wetted().iter().map(|(_, stretch)| stretch.air.humidity).fold(0.0, f64::max)
    }

    /// The stretches with the place of each, from 1, and in place of the humidity of its air that with
    /// which the water of the beds is in balance. Damp air wets them at once; drier air that passes
    /// dries them no faster than it can carry their water away, so that such a stretch falls into
    /// pieces, each as damp as at its start. Elements at rest keep their water, and lying open they
    /// take up that of the room.
    fn wetted(&self) -> Vec<(usize, Stretch)> {
        let mut damp = self.stored_humidity;
        let mut all = Vec::with_capacity(self.stretches.len());
        for (stretch, place) in self.stretches.iter().zip(1..) {
            let sealed = stretch.kind == SegmentKind::Rest { sealed: true };
            if !sealed && stretch.air.humidity + SAME_HUMIDITY >= damp {
                damp = stretch.air.humidity;
            }
            let driest = stretch.air.humidity + drying::HYSTERESIS + SAME_HUMIDITY;
            let (mut left, mut piece) = (stretch.minutes, FIRST_MINUTES);
            while left > 0.0 {
                let dries = damp > driest && flows(stretch.kind);
                let minutes = if dries && piece < left { piece } else { left };
                let air = Air { humidity: damp, ..stretch.air };
                all.push((place, Stretch { minutes, air, ..stretch.clone() }));
                if dries {
                    damp = drying::after(&self.bed, &stretch.air, damp, minutes);
                }
                left -= minutes;
                // Pieces grow as the drying slows: 5, 10, 30, 90 min and so on.
                piece = 2.0 * (stretch.minutes - left);
            }
        }
        all
    }

    /// The level by which the closed form judges each vapour in each stretch, ppm: that with which the beds
    /// were loaded until its end, the mean of the logarithm of the highest levels that filled
    /// [`LOADING_SHARE`] of the pores.
    ///
    /// How fast a vapour is taken up and let go depends on the level inside the bed. A rate that fell with
    /// the level at the inlet would hold back what cleaner air drives out, and one that rose with every
    /// short peak would sharpen the front of all the rest.
    fn loading(&self) -> Vec<Vec<f64>> {
        let mass_g = self.bed.elements * self.bed.mass_g;
        let most = LOADING_SHARE * self.bed.carbon.micropore_volume * mass_g;
        let of_vapour = |(index, peak): (usize, f64)| {
            let volume = self.vapours.get(index).map_or(0.0, |v| v.vapour.molar_volume());
            // Levels, the highest first, with the liquid that entered at each, cm3.
            let mut entered: Vec<(f64, f64)> = Vec::new();
            let mut level_after = |stretch: &Stretch| {
                let level = stretch.levels_ppm.get(index).copied().unwrap_or(0.0);
                if stretch.kind == SegmentKind::On && level > 0.0 {
                    let air = &stretch.air;
                    let passed_cm3 = stretch.minutes * air.flow_l_per_min * 1e3;
                    let moles = air.mol_per_cm3(air.partial_pressure_kpa(level)) * passed_cm3;
                    let place = entered.partition_point(|(above, _)| *above > level);
                    entered.insert(place, (level, moles * volume));
                }
                let (mut filled, mut sum) = (0.0, 0.0);
                for (level, liquid) in &entered {
                    let counts = liquid.min(most - filled);
                    filled += counts;
                    sum += counts * level.ln();
                }
                if filled > 0.0 { (sum / filled).exp() } else { peak }
            };
            self.stretches.iter().map(&mut level_after).collect()
        };
        self.peaks().into_iter().enumerate().map(of_vapour).collect()
    }

    /// The air by which the closed form judges a stretch: at rest, with the fastest flow.
    fn air_of(&self, stretch: &Stretch) -> Air {
        let mut air = stretch.air;
        if !flows(stretch.kind) {
            let flows = self.stretches.iter().map(|s| s.air.flow_l_per_min);
            air.flow_l_per_min = flows.fold(0.0, f64::max);
        }
        air
    }

    fn steady(&self, air: Air, levels: &[f64]) -> SteadyCase {
        let stream = |(vapour, level): (&PatternVapour, &f64)| Stream {
            vapour: vapour.at(self.reference_k, air.temperature_k),
            inlet_ppm: *level,
            end_ppm: vapour.end_ppm,
        };
        SteadyCase {
            bed: self.bed,
            air,
            streams: self.vapours.iter().zip(levels).map(stream).collect(),
            method: Method::ReactionKinetic,
            rate_factor: self.rate_factor,
            fastest_velocity: self.fastest_velocity,
        }
    }

    fn segment(&self, stretch: &Stretch, components: Vec<Component>) -> Segment {
        let level = |(ppm, component): (&f64, &Component)| mol_m3(&stretch.air, *ppm, component);
        Segment {
            duration_s: stretch.minutes * 60.0,
            velocity_m_s: stretch.air.velocity_cm_per_s(&self.bed) * 1e-2,
            inlet_mol_m3: stretch.levels_ppm.iter().zip(&components).map(level).collect(),
            // The air of a room is not clean: what would leave by open faces is not counted on.
            kind: if flows(stretch.kind) {
                stretch.kind
            } else {
                SegmentKind::Rest { sealed: true }
            },
            components: Some(components),
        }
    }

    /// When air passes again after a rest: minutes since the start, and in use before.
    fn restarts(&self) -> Vec<(f64, f64)> {
        let (mut clock, mut in_use, mut rested) = (0.0, 0.0, false);
        let mut restarts = Vec::new();
        for stretch in &self.stretches {
            let rests = !flows(stretch.kind);
            if !rests && rested && in_use > 0.0 {
                restarts.push((clock, in_use));
            }
            rested = rests;
            clock += stretch.minutes;
            in_use += if rests { 0.0 } else { stretch.minutes };
        }
        restarts
    }
}

/// The closed form, asked once for each air and levels of one pattern.
struct Closed {
    form: fn(&SteadyCase) -> Result<Vec<VapourLife>, LifeError>,
    told: Vec<(SteadyCase, Vec<VapourLife>)>,
}

impl Closed {
    fn new(form: fn(&SteadyCase) -> Result<Vec<VapourLife>, LifeError>) -> Self {
        Self { form, told: Vec::new() }
    }

    fn lives(&mut self, case: &SteadyCase) -> Result<Vec<VapourLife>, LifeError> {
        if let Some((_, lives)) = self.told.iter().find(|(told, _)| told == case) {
            return Ok(lives.clone());
        }
        let lives = (self.form)(case)?;
        self.told.push((case.clone(), lives.clone()));
        Ok(lives)
    }
}

impl Run {
    /// Minutes in use until the vapour at `index` reaches its end level; infinite where the pattern
    /// is over before.
    #[must_use]
    pub fn ends_min(&self, index: usize) -> f64 {
        let end = self.ends.get(index).map_or(f64::INFINITY, |end| end * self.mol_m3_per_ppm);
        let arrival = self.effluent.arrival(index, end);
        arrival.map_or(f64::INFINITY, |arrival| arrival.in_use_s / 60.0)
    }

    /// Minutes in use until the sum of level over whole reaches one.
    #[must_use]
    pub fn ends_together_min(&self) -> f64 {
        let wholes: Vec<f64> = self.wholes.iter().map(|ppm| ppm * self.mol_m3_per_ppm).collect();
        let arrival = self.effluent.arrival_together(&wholes);
        arrival.map_or(f64::INFINITY, |arrival| arrival.in_use_s / 60.0)
    }

    /// Error that the grid leaves in the end time of the vapour at `index`, min.
    #[must_use]
    pub fn grid_error_min(&self, index: usize) -> Option<f64> {
        let end = self.ends.get(index)? * self.mol_m3_per_ppm;
        Some(self.effluent.arrival(index, end)?.error_s? / 60.0)
    }

    /// Minutes in use and level of the vapour at `index` at the outlet, ppm.
    pub fn outlet_ppm(&self, index: usize) -> impl Iterator<Item = (f64, f64)> {
        let levels = self.effluent.outlet_mol_m3(index).iter();
        let times = self.effluent.in_use_s().iter();
        times.zip(levels).map(|(time, level)| (time / 60.0, level / self.mol_m3_per_ppm))
    }

    /// Greatest level of the vapour at `index` at the outlet as a part of the greatest that enters:
    /// above one where a stronger vapour, or cleaner air after it, pushes it out.
    #[must_use]
    pub fn roll_up(&self, index: usize) -> f64 {
        let greatest = self.effluent.peak(index).map_or(0.0, |peak| peak.level_mol_m3);
        greatest / self.mol_m3_per_ppm / self.peaks.get(index).copied().unwrap_or(f64::INFINITY)
    }

    /// Load of the vapour at `index` along the bed at the end, g/g, from inlet to outlet.
    #[must_use]
    pub fn load_g_per_g(&self, index: usize) -> Vec<f64> {
        let mass = self.molar_masses.get(index).copied().unwrap_or(0.0);
        self.effluent.load_mol_kg(index).iter().map(|load| load * mass * 1e-3).collect()
    }

    /// The first minutes after each rest.
    #[must_use]
    pub fn restarts(&self) -> Vec<Restart> {
        let greatest = |from: f64, of: &dyn Fn(usize) -> f64| {
            let times = self.effluent.clock_s().iter().map(|s| s / 60.0).enumerate();
            let first = times.filter(|(_, t)| from <= *t && *t <= from + FIRST_MINUTES);
            first.map(|(step, _)| of(step)).fold(0.0, f64::max)
        };
        let level = |index: usize, step: usize| {
            let levels = self.effluent.outlet_mol_m3(index);
            levels.get(step).copied().unwrap_or(0.0) / self.mol_m3_per_ppm
        };
        let sum = |step: usize| {
            let parts = self.wholes.iter().enumerate();
            parts.map(|(index, whole)| level(index, step) / whole).sum()
        };
        let restart = |(clock_min, in_use_min): &(f64, f64)| Restart {
            clock_min: *clock_min,
            in_use_min: *in_use_min,
            greatest_ppm: (0..self.ends.len())
                .map(|index| greatest(*clock_min, &|step| level(index, step)))
                .collect(),
            greatest_sum: greatest(*clock_min, &sum),
        };
        self.restarts.iter().map(restart).collect()
    }
}

impl PatternVapour {
    /// Its properties at a temperature, K: the nearest known, with the pressure carried on by its slope.
    fn at(&self, reference_k: f64, to_k: f64) -> Vapour {
        let known = self.elsewhere.iter().map(|(k, vapour)| (*k, vapour));
        let nearer = |a: (f64, _), b: (f64, _)| {
            if (b.0 - to_k).abs() < (a.0 - to_k).abs() { b } else { a }
        };
        let (from_k, vapour) = known.fold((reference_k, &self.vapour), nearer);
        // Clausius and Clapeyron: ln p falls evenly with 1/T.
        let slope = vapour.psat_log_slope_per_k * from_k * from_k;
        let psat_kpa = vapour.psat_kpa * (slope * (1.0 / from_k - 1.0 / to_k)).exp();
        Vapour { psat_kpa, ..vapour.clone() }
    }
}

fn flows(kind: SegmentKind) -> bool {
    !matches!(kind, SegmentKind::Rest { .. })
}
