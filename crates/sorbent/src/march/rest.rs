//! A rest between two uses: the load spreads along the bed through the gas between the granules.
//!
//! At each place load and gas are in balance, so `rho dq/dt = d/dz (D dc(q)/dz)` with the level
//! c(q) in balance with the load: a diffusion that all but stops where the bed is empty. The load is
//! the unknown; the step is backward Euler, which damps whatever it cannot resolve. What the gas
//! itself holds is left out: less than 1e-4 of the load at any level here.

/// Rounds of linearisation before a step is halved.
const MOST_ROUNDS: u32 = 8;
/// Halvings of one step, after which the last round stands: it is positive, keeps its sum, and
/// is as accurate as its length allows.
const MOST_HALVINGS: u32 = 2;
/// Change of the load, relative to the greatest load, that ends the rounds; far below what the
/// steps themselves leave.
const NEAR: f64 = 1e-6;

/// The bed at rest, one entry for each vapour that shares it.
pub(super) struct Rest {
    /// `D / (rho dz²)` of each vapour, m³/(kg s).
    pub conductance: Vec<f64>,
    /// Whether both faces are closed.
    pub sealed: bool,
}

impl Rest {
    /// Spreads `loads` (one list of cells for each vapour) over steps of `lengths` s. `balance`
    /// gives from the loads the level of each vapour in each cell and its slope by its own load.
    ///
    /// Sealed, the sum of each list stays to rounding; open, it can only fall.
    pub fn spread(
        &self,
        lengths: &[f64],
        loads: &mut [Vec<f64>],
        balance: &mut impl FnMut(&[Vec<f64>], &mut [Vec<(f64, f64)>]),
    ) {
        for dt in lengths {
            self.step(*dt, loads, balance, 0);
        }
    }

    fn step(
        &self,
        dt: f64,
        loads: &mut [Vec<f64>],
        balance: &mut impl FnMut(&[Vec<f64>], &mut [Vec<(f64, f64)>]),
        halvings: u32,
    ) {
        let before = loads.to_vec();
        for round in 0..MOST_ROUNDS {
            // Later rounds take the ratio of level to load in place of its slope: slower, but it
            // cannot make a load negative.
            let levels = linearised(loads, balance, round >= MOST_ROUNDS / 2);
            let mut change: f64 = 0.0;
            let mut greatest: f64 = 0.0;
            for (i, load) in loads.iter_mut().enumerate() {
                let (Some(old), Some(levels), Some(conductance)) =
                    (before.get(i), levels.get(i), self.conductance.get(i))
                else {
                    continue;
                };
                let mut next = self.solve(conductance * dt, old, levels);
                if next.iter().any(|q| q.is_nan() || *q < 0.0) {
                    next = self.solve(conductance * dt, old, &ratios(load, levels));
                }
                for (q, next) in load.iter_mut().zip(next) {
                    change = change.max((next - *q).abs());
                    greatest = greatest.max(next);
                    *q = next;
                }
            }
            if change <= NEAR * greatest {
                self.keep_sums(&before, loads);
                return;
            }
        }
        if halvings < MOST_HALVINGS {
            for (load, before) in loads.iter_mut().zip(before) {
                *load = before;
            }
            self.step(0.5 * dt, loads, balance, halvings + 1);
            self.step(0.5 * dt, loads, balance, halvings + 1);
        } else {
            self.keep_sums(&before, loads);
        }
    }

    /// Sealed, a steep curve leaves the rounding of a stiff system in the sum: up to 1e-8 of it.
    /// It is put back in proportion to the load.
    fn keep_sums(&self, before: &[Vec<f64>], loads: &mut [Vec<f64>]) {
        if !self.sealed {
            return;
        }
        for (load, before) in loads.iter_mut().zip(before) {
            let (was, is): (f64, f64) = (before.iter().sum(), load.iter().sum());
            if is > 0.0 {
                load.iter_mut().for_each(|q| *q *= was / is);
            }
        }
    }

    /// Loads after a step with levels `rest + slope q`: one tridiagonal system, solved by elimination.
    ///
    /// Each pivot is built as a sum of positive parts (what stays in the cell, what goes on to the
    /// next), never as a difference: a steep curve makes `conductance slope` so great that the one
    /// beside it would be lost.
    fn solve(&self, conductance: f64, old: &[f64], levels: &[(f64, f64)]) -> Vec<f64> {
        let last = old.len().saturating_sub(1);
        // An open face lies half a cell away: it counts twice.
        let end = if self.sealed { 0.0 } else { 2.0 };
        let level = |i: Option<usize>| i.and_then(|i| levels.get(i)).copied().unwrap_or_default();
        let mut rows: Vec<(f64, f64)> = Vec::with_capacity(old.len());
        // Of the cell before: its row and the part of its pivot that does not go on.
        let (mut stays, mut pivot, mut carried) = (0.0, 1.0, 0.0);
        for (i, q) in old.iter().enumerate() {
            let (rest, slope) = level(Some(i));
            let (rest_before, slope_before) = level(i.checked_sub(1));
            let (rest_after, _) = level(i.checked_add(1));
            let first = i == 0;
            let ends = [first, i == last].map(|open| if open { end } else { 0.0 });
            let ends = ends[0] + ends[1];
            let before = if first { 0.0 } else { 1.0 };
            let after = if i == last { 0.0 } else { 1.0 };
            let faces = ends + before + after;
            let right = q - conductance * (faces * rest - rest_before - rest_after)
                + conductance * slope_before / pivot * carried;
            let back = if first { 0.0 } else { stays / pivot };
            stays = 1.0 + conductance * slope * (ends + back);
            pivot = stays + conductance * slope * after;
            carried = right;
            rows.push((pivot, right));
        }
        let mut next = vec![0.0; old.len()];
        let mut after = 0.0;
        for (i, (pivot, right)) in rows.iter().enumerate().rev() {
            let (_, slope_after) = level(i.checked_add(1));
            after = (right + conductance * slope_after * after) / pivot;
            if let Some(q) = next.get_mut(i) {
                *q = after;
            }
        }
        next
    }
}

/// Levels of each vapour in each cell as `(rest, slope)` of the line `rest + slope q` at `loads`.
fn linearised(
    loads: &[Vec<f64>],
    balance: &mut impl FnMut(&[Vec<f64>], &mut [Vec<(f64, f64)>]),
    by_ratio: bool,
) -> Vec<Vec<(f64, f64)>> {
    let mut lines: Vec<Vec<(f64, f64)>> =
        loads.iter().map(|loads| vec![(0.0, 0.0); loads.len()]).collect();
    balance(loads, &mut lines);
    for (lines, loads) in lines.iter_mut().zip(loads) {
        for ((c, slope), q) in lines.iter_mut().zip(loads) {
            if by_ratio && *q > 0.0 {
                *slope = *c / q;
            }
            *c -= *slope * q;
        }
    }
    lines
}

/// Lines through the origin with the levels that `lines` have at `loads`.
fn ratios(loads: &[f64], lines: &[(f64, f64)]) -> Vec<(f64, f64)> {
    let ratio = |(q, (rest, slope)): (&f64, &(f64, f64))| {
        let level = rest + slope * q;
        (0.0, if *q > 0.0 { (level / q).max(0.0) } else { *slope })
    };
    loads.iter().zip(lines).map(ratio).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn linear(loads: &[Vec<f64>], levels: &mut [Vec<(f64, f64)>]) {
        for (q, level) in loads.iter().flatten().zip(levels.iter_mut().flatten()) {
            *level = (q / 100.0, 0.01);
        }
    }

    // Limit: with a straight line the load obeys plain diffusion; its lowest cosine decays as
    // exp(-pi² D t / (rho K L²)). Source: textbook.
    #[test]
    fn a_straight_line_gives_plain_diffusion() {
        let cells = 64;
        let dz = 1.0 / f64::from(cells);
        let wave = |i: i32| (std::f64::consts::PI * (f64::from(i) + 0.5) * dz).cos();
        let mut loads = vec![(0..cells).map(|i| 1.0 + 0.5 * wave(i)).collect::<Vec<f64>>()];
        let rest = Rest { conductance: vec![1.0 / (dz * dz)], sealed: true };
        rest.spread(&[0.01; 1000], &mut loads, &mut linear);
        let amplitude = (loads[0][0] - 1.0) / wave(0);
        let exact = 0.5 * (-std::f64::consts::PI.powi(2) * 0.1).exp();
        assert!((amplitude / exact - 1.0).abs() < 2e-3, "{amplitude} {exact}");
        let mean = loads[0].iter().sum::<f64>() * dz;
        assert!((mean - 1.0).abs() < 1e-12, "{mean}");
    }

    #[test]
    fn open_faces_only_lose() {
        let mut loads = vec![vec![1.0; 16]];
        let rest = Rest { conductance: vec![10.0], sealed: false };
        let mut last = 16.0;
        for _ in 0..20 {
            rest.spread(&[1.0], &mut loads, &mut linear);
            let sum: f64 = loads[0].iter().sum();
            assert!(sum < last && loads[0].iter().all(|q| *q > 0.0));
            last = sum;
        }
    }
}
