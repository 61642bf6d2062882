//! One vapour through all cells of the bed, on any path.

use super::dubinin::Dubinin;
use super::input::Path;
use super::lanes::{LANES, Strip, WIDE, backwards, march_strip};
use super::scheme::{Steps, weight};

/// What the cells of one component remember, in the order of the flow.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cells {
    /// Loads, mol/kg.
    pub load: Vec<f64>,
    /// Where the next search for a level starts: its logarithm.
    pub ln_c: Vec<f64>,
    /// Slopes that weigh the next step.
    pub slope: Vec<f64>,
}

/// The cells and the steps of one stretch for one vapour with a driving force.
pub(super) struct Single<'a> {
    pub law: Dubinin,
    /// Rate, 1/s.
    pub per_s: f64,
    /// Sorbent in one cell, kg/m².
    pub sorbent: f64,
    /// Velocity, m/s.
    pub velocity: f64,
    /// Lengths of the steps, s.
    pub lengths: &'a [f64],
}

impl Single<'_> {
    /// Marches; `stream` holds what enters and is overwritten with what leaves.
    ///
    /// INVARIANT (whole strips): the number of cells is a multiple of [`LANES`], see `plan`.
    pub fn march(&self, path: Path, cells: &mut Cells, stream: &mut [f64]) {
        match path {
            Path::OneByOne => self.one_by_one(cells, stream),
            Path::Portable => self.strips(cells, stream),
            Path::Widest => pulp::Arch::new().dispatch(Wide { single: self, cells, stream }),
        }
    }

    #[inline(always)]
    fn strips(&self, cells: &mut Cells, stream: &mut [f64]) {
        let steps = Steps::new(self.lengths, self.sorbent, self.velocity, self.per_s);
        let wide = cells.load.len() / WIDE * WIDE;
        let (load, last_load) = cells.load.split_at_mut(wide);
        let (ln_c, last_ln_c) = cells.ln_c.split_at_mut(wide);
        let (slope, last_slope) = cells.slope.split_at_mut(wide);
        self.strips_of::<WIDE>(&steps, (load, ln_c, slope), stream);
        self.strips_of::<LANES>(&steps, (last_load, last_ln_c, last_slope), stream);
    }

    #[inline(always)]
    fn strips_of<const N: usize>(
        &self,
        steps: &Steps,
        (load, ln_c, slope): (&mut [f64], &mut [f64], &mut [f64]),
        stream: &mut [f64],
    ) {
        let load = load.chunks_exact_mut(N);
        let ln_c = ln_c.chunks_exact_mut(N);
        let slope = slope.chunks_exact_mut(N);
        for ((load, ln_c), slope) in load.zip(ln_c).zip(slope) {
            let mut strip = Strip::<N>::new(&self.law, load, ln_c, slope);
            march_strip(&self.law, steps, stream, &mut strip);
            load.copy_from_slice(&backwards::<N>(&strip.load));
            ln_c.copy_from_slice(&backwards::<N>(&strip.ln_c));
            slope.copy_from_slice(&backwards::<N>(&strip.slope));
        }
    }

    /// The same scheme with the bracketed search: what the lanes are checked against.
    fn one_by_one(&self, cells: &mut Cells, stream: &mut [f64]) {
        let memory = cells.load.iter_mut().zip(&mut cells.ln_c).zip(&mut cells.slope);
        for ((load, ln_c), slope) in memory {
            for (dt, level) in self.lengths.iter().zip(stream.iter_mut()) {
                let per = self.sorbent / (self.velocity * dt);
                let bed = -(-self.per_s * dt).exp_m1() * per;
                let (theta, _) = weight(bed * *slope);
                let a = theta * bed;
                let s = *level + a * *load;
                let mut within = 0.0;
                if s > 0.0 && a > 0.0 {
                    *ln_c = self.law.balance(a, s, *ln_c);
                    within = ln_c.exp();
                    *slope = self.law.slope(within);
                }
                let idle = bed == 0.0;
                let out = (*level - (*level - within) / theta).max(0.0);
                let out = if idle { *level } else { out };
                *load = (*load + (*level - out) / per).max(0.0);
                *level = out;
            }
        }
    }
}

/// The strips, compiled once for each width of vector.
struct Wide<'a, 'b> {
    single: &'a Single<'b>,
    cells: &'a mut Cells,
    stream: &'a mut [f64],
}

impl pulp::NullaryFnOnce for Wide<'_, '_> {
    type Output = ();

    #[inline(always)]
    fn call(self) {
        self.single.strips(self.cells, self.stream);
    }
}
