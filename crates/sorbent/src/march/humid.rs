//! Water beside vapours in the same micropores.
//!
//! In each cell the water moves first, with the pores that vapour holds closed to it; then the
//! vapours share what the water of the new humidity leaves them. So vapour that is taken up drives
//! water on down the bed, and water shortens what is held of the vapour. Where both stand still this is
//! the balance of [`crate::humid_volume`].

use super::alone::Alone;
use super::dubinin::Dubinin;
use super::ideal::{Guess, Ideal, Share};
use super::input::{Moisture, Path};
use super::law::{LocalLaw, within_cell};
use super::plan::as_f64;
use super::scheme::weight;
use super::still::Still;
use super::within::{Asked, Within};
use crate::capacity::{WATER_MOLAR_VOLUME, WaterCurve, WaterIsotherm};

/// Nodes of the table of what water leaves, less one: by humidity and by reduced potential.
const NODES: (usize, usize) = (64, 40);
/// Reduced potential from which what water leaves is taken as constant; e to minus its square is
/// filled there.
const DEEPEST: f64 = 5.0;
/// Rounds in which what water leaves and what is filled are brought together.
const ROUNDS: usize = 2;
/// Narrowness at which the search for filling and humidity ends.
const NEAR: f64 = 1e-9;

/// Water on the sorbent, loads in mol/kg.
#[derive(Debug, Clone, Copy)]
pub(super) struct Water {
    curve: WaterCurve,
    /// Water that would fill the micropores, mol/kg.
    pores: f64,
    /// Level of saturated air, mol/m³.
    saturation: f64,
}

impl Water {
    /// What `moisture` says, in moles.
    pub fn new(moisture: &Moisture) -> Self {
        let mol_kg = |volume: f64| volume * 1e3 / WATER_MOLAR_VOLUME;
        let isotherm = WaterIsotherm { most: mol_kg(moisture.isotherm.most), ..moisture.isotherm };
        Self {
            curve: WaterCurve::new(isotherm),
            pores: mol_kg(moisture.micropore_volume),
            saturation: moisture.saturation_mol_m3,
        }
    }

    /// Load alone at level `c` and its slope.
    pub fn load(&self, c: f64) -> (f64, f64) {
        let h = c / self.saturation;
        (self.curve.loading(h), self.curve.slope(h) / self.saturation)
    }

    /// Level alone with load `q` and its slope.
    pub fn level(&self, q: f64) -> (f64, f64) {
        let h = self.curve.humidity(q);
        (h * self.saturation, self.saturation / self.curve.slope(h).max(1e-12))
    }

    /// Load alone at relative humidity `h`.
    pub fn stored(&self, h: f64) -> f64 {
        self.curve.loading(h)
    }
}

/// What water leaves of the dry load of one vapour, by humidity and reduced potential.
#[derive(Debug, Clone)]
struct Left {
    per_step: f64,
    values: Vec<f64>,
}

impl Left {
    /// `work` as in `capacity::left_by_water`, of which this is the table.
    fn new(water: &Water, work: f64, deepest: f64) -> Self {
        let (humidities, depths) = NODES;
        let step = deepest / as_f64(depths);
        let mut values = vec![1.0; depths + 1];
        for node in 1..=humidities {
            let h = as_f64(node) / as_f64(humidities);
            let mut row = vec![1.0; depths + 1];
            for (part, logarithm) in water.curve.slices(h, water.pores) {
                let cost = work * logarithm;
                let mut kept = (-cost * cost).exp();
                let by_step = (-2.0 * cost * step).exp();
                for value in &mut row {
                    *value -= part * (1.0 - kept);
                    kept *= by_step;
                }
            }
            values.extend(row.into_iter().map(|value| value.clamp(1e-9, 1.0)));
        }
        Self { per_step: 1.0 / step, values }
    }

    /// The part left at humidity `h` and reduced potential `x`, and its slope by the humidity.
    #[inline(always)]
    fn at(&self, h: f64, x: f64) -> (f64, f64) {
        let (humidities, depths) = NODES;
        let (row, u) = place(h * as_f64(humidities), humidities);
        let (column, v) = place(x * self.per_step, depths);
        let from = row * (depths + 1) + column;
        let pair = |from: usize| match self.values.get(from..).and_then(|rest| rest.first_chunk()) {
            Some([a, b]) => a + (b - a) * v,
            None => 1.0,
        };
        let (low, high) = (pair(from), pair(from + depths + 1));
        let inside = 0.0 < h && h < 1.0;
        let slope = if inside { (high - low) * as_f64(humidities) } else { 0.0 };
        (low + (high - low) * u, slope)
    }
}

/// Node at or below `at` and the part of the way to the next, of `count` intervals.
#[inline(always)]
#[expect(
    clippy::as_conversions,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a float clamped to the table becomes the whole number below it; NaN becomes zero"
)]
fn place(at: f64, count: usize) -> (usize, f64) {
    let most = as_f64(count);
    let at = if at < most { at.max(0.0) } else { most };
    let node = (at as usize).min(count - 1);
    (node, at - as_f64(node))
}

/// One vapour beside water.
#[derive(Debug, Clone)]
struct Vapour {
    per_s: f64,
    /// Part of the micropores that one unit of load fills.
    per_full: f64,
    left: Left,
}

/// Vapours and water on one sorbent at one temperature.
#[derive(Debug, Clone)]
pub(super) struct Wet {
    water: Water,
    /// Rate of the water, 1/s.
    per_s: f64,
    vapours: Vec<Vapour>,
    ideal: Ideal,
}

/// What a cell holds, seen as pores: humidity and dry filling in balance with its loads.
#[derive(Debug, Clone, Copy)]
struct Pores {
    humidity: f64,
    /// Part of the pores that the same vapours would fill without water.
    filling: f64,
}

impl Wet {
    /// `laws` are the curves, in moles, and rates of the vapours, in the order of `ideal`.
    pub fn new((water, per_s): (Water, f64), laws: &[(Dubinin, f64)], ideal: Ideal) -> Self {
        let vapour = |((law, per_s), alone): (&(Dubinin, f64), &Alone)| {
            let work = law.b * water.pores / law.full;
            let left = Left::new(&water, work, law.reduced_tangent.min(DEEPEST));
            Vapour { per_s: *per_s, per_full: alone.law.per_full, left }
        };
        let vapours = laws.iter().zip(&ideal.alone).map(vapour).collect();
        Self { water, per_s, vapours, ideal }
    }

    /// What loads and levels of each vapour are counted in, mol; water is counted in moles.
    pub fn units(&self) -> &[f64] {
        &self.ideal.units
    }

    /// Part of the dry load left to the vapours together, weighed by `parts` of the volume, and its
    /// slope by the humidity.
    #[inline(always)]
    fn left(&self, h: f64, x: f64, parts: &[f64]) -> (f64, f64) {
        let all: f64 = parts.iter().sum();
        if all <= 0.0 {
            return (1.0, 0.0);
        }
        let mut sums = (0.0, 0.0);
        for (vapour, part) in self.vapours.iter().zip(parts) {
            let (left, slope) = vapour.left.at(h, x);
            sums = (sums.0 + part * left, sums.1 + part * slope);
        }
        (sums.0 / all, sums.1 / all)
    }

    /// Humidity and filling with which `water` mol/kg and vapours that fill `parts` of the pores
    /// are in balance. The filling lies between what is held and what would be held if the
    /// water there were vapour; the search is a chord within a bracket (Illinois).
    fn pores(&self, water: f64, parts: &[f64]) -> Pores {
        let held: f64 = parts.iter().sum();
        let humidity = |filling: f64| {
            let open = (1.0 - filling).max(1e-9);
            let alone = (water + self.water.pores * (held - filling)) / open;
            self.water.curve.humidity(alone.max(0.0)).min(1.0)
        };
        if held <= 0.0 {
            return Pores { humidity: humidity(0.0), filling: 0.0 };
        }
        let excess = |filling: f64| {
            let left = self.left(humidity(filling), reduced(filling), parts).0;
            filling * left - held
        };
        let (mut low, mut high) = (held.min(1.0), (held + water / self.water.pores).min(1.0));
        let (mut at_low, mut at_high) = (excess(low), excess(high));
        if at_low >= 0.0 || at_high <= 0.0 {
            let filling = if at_low >= 0.0 { low } else { high };
            return Pores { humidity: humidity(filling), filling };
        }
        for _ in 0..60 {
            let next = (low * at_high - high * at_low) / (at_high - at_low);
            let at = excess(next);
            if at.abs() <= NEAR * held || high - low <= NEAR * low {
                return Pores { humidity: humidity(next), filling: next };
            }
            if at > 0.0 {
                (high, at_high, at_low) = (next, at, 0.5 * at_low);
            } else {
                (low, at_low, at_high) = (next, at, 0.5 * at_high);
            }
        }
        Pores { humidity: humidity(low), filling: low }
    }

    /// Levels of all vapours and of water, last, in balance with `loads` of a bed at rest, and the
    /// slope of each by its own load. `ln_pi` as in [`Still`].
    pub fn levels(&self, loads: &[Vec<f64>], levels: &mut [Vec<(f64, f64)>], ln_pi: &mut [f64]) {
        let Some((waters, vapours)) = loads.split_last() else { return };
        let Some((water_levels, levels)) = levels.split_last_mut() else { return };
        // Loads as they would be without water, and what water leaves of them.
        let (mut dry, mut left) = (vapours.to_vec(), vapours.to_vec());
        let mut parts = vec![0.0; vapours.len()];
        for (cell, (water, level)) in waters.iter().zip(water_levels).enumerate() {
            for ((part, loads), vapour) in parts.iter_mut().zip(vapours).zip(&self.vapours) {
                *part = loads.get(cell).map_or(0.0, |load| load * vapour.per_full);
            }
            let pores = self.pores(*water, &parts);
            let x = reduced(pores.filling);
            for ((dry, left), vapour) in dry.iter_mut().zip(&mut left).zip(&self.vapours) {
                if let (Some(dry), Some(left)) = (dry.get_mut(cell), left.get_mut(cell)) {
                    *left = vapour.left.at(pores.humidity, x).0;
                    *dry /= *left;
                }
            }
            let open = (1.0 - pores.filling).max(1e-3);
            let slope = self.water.curve.slope(pores.humidity) * open;
            let saturation = self.water.saturation;
            *level = (pores.humidity * saturation, saturation / slope.max(1e-9));
        }
        Still { ideal: &self.ideal, loads: &dry, levels, ln_pi }.balance(Path::Widest);
        for (levels, left) in levels.iter_mut().zip(&left) {
            for (level, left) in levels.iter_mut().zip(left) {
                level.1 /= left;
            }
        }
    }
}

/// Reduced potential at which a part `filling` of the pores is filled.
#[inline(always)]
fn reduced(filling: f64) -> f64 {
    if filling > 0.0 { (-filling.min(1.0).ln()).sqrt() } else { DEEPEST }
}

/// Water in one cell for one step.
struct WaterInCell<'a> {
    wet: &'a Wet,
    filling: f64,
    reduced: f64,
    parts: &'a [f64],
}

impl LocalLaw for WaterInCell<'_> {
    /// In the pores that no vapour would fill, water as alone; in the others, what it keeps from the
    /// vapour.
    #[inline(always)]
    fn advance(&self, c: f64, q: f64, dt: f64) -> (f64, f64) {
        let water = &self.wet.water;
        let h = c / water.saturation;
        let (left, left_slope) = self.wet.left(h, self.reduced, self.parts);
        let crowded = water.pores * self.filling;
        let open = 1.0 - self.filling;
        let balance = water.curve.loading(h) * open + crowded * (1.0 - left);
        let slope = water.curve.slope(h) * open - crowded * left_slope;
        let reached = -(-self.wet.per_s * dt).exp_m1();
        (q + reached * (balance - q), reached * slope / water.saturation)
    }
}

/// Water and vapours through all cells of one segment; `loads` and `streams` with a list for each
/// vapour and the water's last.
pub(super) struct Flow<'a> {
    pub wet: &'a Wet,
    /// Sorbent in one cell over the velocity, kg s/m³.
    pub bed: f64,
    /// Lengths of the steps, s.
    pub lengths: &'a [f64],
    pub loads: &'a mut [Vec<f64>],
    pub streams: &'a mut [Vec<f64>],
}

impl Flow<'_> {
    /// Marches cells one after another.
    pub fn march(self, path: Path) {
        match path {
            Path::Widest => pulp::Arch::new().dispatch(self),
            Path::Portable | Path::OneByOne => self.cells(),
        }
    }

    #[inline(always)]
    fn cells(self) {
        let Flow { wet, bed, lengths, loads, streams } = self;
        let (Some((waters, loads)), Some((vapour, streams))) =
            (loads.split_last_mut(), streams.split_last_mut())
        else {
            return;
        };
        let reached: Vec<Vec<f64>> = wet
            .vapours
            .iter()
            .map(|v| lengths.iter().map(|dt| -(-v.per_s * dt).exp_m1()).collect())
            .collect();
        for (place, water) in waters.iter_mut().enumerate() {
            let mut cell = Cell::new(wet, loads, place, *water);
            for (n, dt) in lengths.iter().enumerate() {
                if let Some(level) = vapour.get_mut(n) {
                    *level = cell.water(wet, (bed / dt, *dt), *level);
                }
                let per = bed / dt;
                for (i, now) in cell.now.iter_mut().enumerate() {
                    let enters = streams.get(i).and_then(|s| s.get(n));
                    now.enters = enters.copied().unwrap_or(0.0);
                    let reached = reached.get(i).and_then(|r| r.get(n));
                    now.taken = per * reached.copied().unwrap_or(0.0);
                }
                cell.vapours(wet, per);
                for (now, stream) in cell.now.iter().zip(streams.iter_mut()) {
                    if let Some(level) = stream.get_mut(n) {
                        *level = now.leaves;
                    }
                }
            }
            *water = cell.water;
            for (now, loads) in cell.now.iter().zip(loads.iter_mut()) {
                if let Some(load) = loads.get_mut(place) {
                    *load = now.load;
                }
            }
        }
    }
}

impl pulp::NullaryFnOnce for Flow<'_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.cells();
    }
}

/// One vapour in one cell during one step.
#[derive(Debug, Clone, Copy, Default)]
struct Now {
    load: f64,
    /// Part of its dry load that water leaves.
    left: f64,
    /// Slope of the dry balance, m³/kg.
    slope: f64,
    enters: f64,
    leaves: f64,
    /// Level taken per unit of driving force, kg/m³.
    taken: f64,
    /// Inverse of the share of the outlet in the level within.
    per_theta: f64,
}

/// One cell on its way through the steps.
pub(super) struct Cell {
    water: f64,
    /// Part of the pores that its vapours would fill without water, as the water finds them.
    filling: f64,
    humidity: f64,
    /// Part left to the vapours together in the pores they hold.
    left: f64,
    /// Slope of the water's load by its level, over the step, per s.
    water_slope: f64,
    now: Vec<Now>,
    shares: Vec<Share<1>>,
    parts: Vec<f64>,
    guess: Guess<1>,
}

impl Cell {
    /// The cell at `place` with `water` and the vapours of `loads`.
    pub fn new(wet: &Wet, loads: &[Vec<f64>], place: usize, water: f64) -> Self {
        let load = |list: &Vec<f64>| list.get(place).copied().unwrap_or(0.0);
        let mut parts: Vec<f64> =
            loads.iter().zip(&wet.vapours).map(|(list, v)| load(list) * v.per_full).collect();
        let pores = wet.pores(water, &parts);
        let x = reduced(pores.filling);
        let left = wet.left(pores.humidity, x, &parts).0;
        let pairs = wet.vapours.iter().zip(&wet.ideal.alone).zip(loads);
        let now = pairs.map(|((vapour, alone), list)| Now {
            load: load(list),
            left: vapour.left.at(pores.humidity, x).0,
            slope: alone.law.henry,
            ..Now::default()
        });
        let now: Vec<Now> = now.collect();
        parts.fill(0.0);
        let shares = vec![Share::ZERO; now.len()];
        let (humidity, water_slope) = (pores.humidity, f64::NAN);
        let (filling, guess) = (pores.filling, Guess::NONE);
        Self { water, filling, humidity, left, water_slope, now, shares, parts, guess }
    }

    /// Sees what the vapours fill, before the water moves.
    #[inline(always)]
    pub fn look(&mut self, wet: &Wet) {
        let mut held = 0.0;
        for ((part, now), vapour) in self.parts.iter_mut().zip(&self.now).zip(&wet.vapours) {
            *part = now.load * vapour.per_full;
            held += *part;
        }
        self.filling = (held / self.left).min(1.0);
    }

    /// The law by which the water moves.
    #[inline(always)]
    fn law<'a>(&'a self, wet: &'a Wet) -> WaterInCell<'a> {
        let (filling, parts) = (self.filling, &self.parts);
        WaterInCell { wet, filling, reduced: reduced(filling), parts }
    }

    /// Level of water with which the cell is in balance.
    pub fn level(&self, wet: &Wet) -> f64 {
        self.humidity * wet.water.saturation
    }

    /// Takes the level of water that was found.
    #[inline(always)]
    pub fn dampen(&mut self, wet: &Wet, level: f64) {
        self.humidity = level / wet.water.saturation;
        self.left = wet.left(self.humidity, reduced(self.filling), &self.parts).0;
    }

    /// Takes the loads of the vapours after a step.
    pub fn hold(&mut self, loads: &[f64]) {
        for (now, load) in self.now.iter_mut().zip(loads) {
            now.load = *load;
        }
    }

    /// Moves the water; `enters` is its level ahead of the cell. Gives that behind it.
    #[inline(always)]
    fn water(&mut self, wet: &Wet, (per, dt): (f64, f64), enters: f64) -> f64 {
        self.look(wet);
        let law = self.law(wet);
        let slope = self.water_slope;
        let slope = if slope.is_nan() { law.advance(enters, self.water, dt).1 / dt } else { slope };
        let (theta, _) = weight(per * slope * dt);
        let (within, slope) = within_cell(&law, (theta * per, dt), enters, self.water);
        let out = (enters - (enters - within) / theta).max(0.0);
        self.water_slope = slope / dt;
        self.water = (self.water + (enters - out) / per).max(0.0);
        self.dampen(wet, within);
        out
    }

    /// Moves the vapours.
    #[inline(always)]
    fn vapours(&mut self, wet: &Wet, per: f64) {
        for _ in 0..ROUNDS {
            for (share, now) in self.shares.iter_mut().zip(&mut self.now) {
                let theta;
                (theta, now.per_theta) = weight(now.taken * now.slope * now.left);
                // The load lets go in proportion to itself, but takes only what water leaves.
                let a = theta * now.taken;
                share.s = [now.enters + a * now.load];
                share.a = [a * now.left];
            }
            wet.ideal.balance(&mut self.shares, &mut self.guess, &[1.0]);
            self.leave(wet);
        }
        for (now, share) in self.now.iter_mut().zip(&self.shares) {
            let ([a], [c], [slope]) = (share.a, share.c, share.slope);
            let within = if a > 0.0 { c } else { now.enters };
            now.leaves = (now.enters - (now.enters - within) * now.per_theta).max(0.0);
            now.load = (now.load + (now.enters - now.leaves) / per).max(0.0);
            now.slope = slope;
        }
    }

    /// What water leaves to each vapour beside the filling that was found.
    #[inline(always)]
    fn leave(&mut self, wet: &Wet) {
        let mut filling = 0.0;
        for (share, vapour) in self.shares.iter().zip(&wet.vapours) {
            let ([s], [a], [c]) = (share.s, share.a, share.c);
            if a > 0.0 {
                filling += (s - c).max(0.0) / a * vapour.per_full;
            }
        }
        let x = reduced(filling);
        for (now, vapour) in self.now.iter_mut().zip(&wet.vapours) {
            now.left = vapour.left.at(self.humidity, x).0;
        }
    }
}

/// The water in all cells at once, with the pores that vapours hold closed to it.
pub(super) struct Waters<'a> {
    pub wet: &'a Wet,
    pub cells: &'a [Cell],
}

impl Within for Waters<'_> {
    fn within(&mut self, cell: usize, asked: &Asked<'_>, levels: &mut [f64], slopes: &mut [f64]) {
        let Some(cell) = self.cells.get(cell) else { return };
        let law = cell.law(self.wet);
        let found = asked.parts().map(|(taken, enters, load)| {
            let (level, slope) = within_cell(&law, (taken, asked.dt), enters, load);
            (level, 1.0 / (1.0 + taken * slope))
        });
        for (((level, slope), to), by) in found.zip(levels).zip(slopes) {
            (*to, *by) = (level, slope);
        }
    }
}

/// The vapours in all cells at once, beside the water that is there.
pub(super) struct Vapours<'a> {
    pub wet: &'a Wet,
    pub cells: &'a mut [Cell],
}

impl Within for Vapours<'_> {
    fn within(&mut self, cell: usize, asked: &Asked<'_>, levels: &mut [f64], slopes: &mut [f64]) {
        let Some(cell) = self.cells.get_mut(cell) else { return };
        for _ in 0..ROUNDS {
            let parts = asked.parts().zip(&self.wet.vapours);
            let shares = cell.shares.iter_mut().zip(&cell.now);
            for (((taken, enters, load), vapour), (share, now)) in parts.zip(shares) {
                let a = -(-vapour.per_s * asked.dt).exp_m1() * taken;
                share.s = [enters + a * load];
                share.a = [a * now.left];
            }
            self.wet.ideal.balance_with_slopes(&mut cell.shares, &mut cell.guess, slopes);
            cell.leave(self.wet);
        }
        for (level, share) in levels.iter_mut().zip(&cell.shares) {
            [*level] = share.c;
        }
    }
}
