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
/// Change of a load, relative to the greatest load, that ends the rounds; far below what the
/// steps themselves leave.
const NEAR: f64 = 1e-6;
/// The same relative to the load itself: what is left of it is of the order of its square.
const STILL: f64 = 3e-4;

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
        let mut lines: Vec<Vec<(f64, f64)>> =
            loads.iter().map(|loads| vec![(0.0, 0.0); loads.len()]).collect();
        let mut next = Vec::new();
        let least = NEAR * before.iter().flatten().copied().fold(0.0, f64::max);
        for round in 0..MOST_ROUNDS {
            // Later rounds take the ratio of level to load in place of its slope: slower, but it
            // cannot make a load negative.
            balance(loads, &mut lines);
            linearise(loads, &mut lines, round >= MOST_ROUNDS / 2);
            let mut near = true;
            let vapours = before.iter().zip(&mut lines).zip(&self.conductance);
            for (load, ((old, lines), conductance)) in loads.iter_mut().zip(vapours) {
                self.solve(conductance * dt, (old, lines), &mut next);
                if !next.iter().all(|q| *q >= 0.0) {
                    through_origin(load, lines);
                    self.solve(conductance * dt, (old, lines), &mut next);
                }
                for (q, next) in load.iter_mut().zip(&next) {
                    near &= (next - *q).abs() <= least + STILL * next;
                    *q = *next;
                }
            }
            if near {
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

    /// Fills `next` with the loads after a step from `old` with levels `rest + slope q`: one tridiagonal
    /// system, eliminated from both ends at once.
    ///
    /// INVARIANT (whole strips): the number of cells is even, see `plan`.
    fn solve(&self, conductance: f64, (old, lines): (&[f64], &[(f64, f64)]), next: &mut Vec<f64>) {
        let mut rows = self.rows(conductance, old, lines);
        let (left, right) = rows.split_at_mut(old.len() / 2);
        let (mut from_left, mut from_right) = (self.sweep(), self.sweep());
        for (a, b) in left.iter_mut().zip(right.iter_mut().rev()) {
            from_left.eliminate(a);
            from_right.eliminate(b);
        }
        next.clear();
        next.resize(old.len(), 0.0);
        let (Some(a), Some(b)) = (left.last(), right.first()) else { return };
        // Where both meet stand two cells, each told by the other.
        let stays = from_left.stays + from_right.stays * a.slope * a.per_pivot;
        let b_load = (b.load + b.per_pivot * from_left.carried) / stays;
        let (mut to_left, mut to_right) =
            (b.slope * b_load, a.slope * a.load_beside(b.slope * b_load));
        let (next_left, next_right) = next.split_at_mut(left.len());
        let left = left.iter().zip(next_left).rev();
        for ((a, to_a), (b, to_b)) in left.zip(right.iter().zip(next_right)) {
            (*to_a, *to_b) = (a.load_beside(to_left), b.load_beside(to_right));
            (to_left, to_right) = (a.slope * *to_a, b.slope * *to_b);
        }
    }

    /// The system before elimination.
    fn rows(&self, conductance: f64, old: &[f64], lines: &[(f64, f64)]) -> Vec<Row> {
        let Some(((first, _), (last, _))) = lines.first().zip(lines.last()) else {
            return Vec::new();
        };
        let row = |q: f64, slope: f64| Row { slope: conductance * slope, load: q, per_pivot: 0.0 };
        let mut rows = Vec::with_capacity(old.len());
        // What the levels at no load would bring across the face ahead.
        let mut enters = -conductance * self.open() * first;
        let behind = lines.iter().skip(1).map(|(rest, _)| *rest);
        for ((q, (rest, slope)), behind) in old.iter().zip(lines).zip(behind) {
            let leaves = conductance * (rest - behind);
            rows.push(row(q + enters - leaves, *slope));
            enters = leaves;
        }
        if let (Some(q), Some((_, slope))) = (old.last(), lines.last()) {
            rows.push(row(q + enters - conductance * self.open() * last, *slope));
        }
        rows
    }

    /// What an open face at the end counts: twice, because it lies half a cell away.
    fn open(&self) -> f64 {
        if self.sealed { 0.0 } else { 2.0 }
    }

    fn sweep(&self) -> Sweep {
        Sweep { stays: self.open(), carried: 0.0 }
    }
}

/// One cell of the system.
#[derive(Debug, Clone, Copy)]
struct Row {
    /// Conductance times slope.
    slope: f64,
    /// What is held before, and once eliminated what would be held if nothing came from the cell
    /// behind.
    load: f64,
    per_pivot: f64,
}

impl Row {
    /// Load with so much coming from the cell behind.
    fn load_beside(&self, comes: f64) -> f64 {
        self.load + self.per_pivot * comes
    }
}

/// Elimination on its way from one end.
///
/// Each pivot is built as a sum of positive parts (what stays, what goes on to the next cell), never
/// as a difference: a steep curve makes the slope so great that the one beside it would be lost.
struct Sweep {
    /// Part of what the last cell gives to the next that does not come back.
    stays: f64,
    /// What comes from the last cell.
    carried: f64,
}

impl Sweep {
    fn eliminate(&mut self, row: &mut Row) {
        let stays = 1.0 + row.slope * self.stays;
        row.per_pivot = 1.0 / (stays + row.slope);
        row.load = row.per_pivot * (row.load + self.carried);
        self.stays = stays * row.per_pivot;
        self.carried = row.slope * row.load;
    }
}

/// Turns levels and slopes of each vapour in each cell into `(rest, slope)` of the line `rest + slope q`
/// through them, or, `by_ratio`, through the origin.
fn linearise(loads: &[Vec<f64>], lines: &mut [Vec<(f64, f64)>], by_ratio: bool) {
    for ((c, slope), q) in lines.iter_mut().flatten().zip(loads.iter().flatten()) {
        if by_ratio && *q > 0.0 {
            *slope = *c / q;
        }
        *c -= *slope * q;
    }
}

/// Turns lines into those through the origin that have the same levels at `loads`.
fn through_origin(loads: &[f64], lines: &mut [(f64, f64)]) {
    for ((rest, slope), q) in lines.iter_mut().zip(loads) {
        let level = *rest + *slope * q;
        *rest = 0.0;
        if *q > 0.0 {
            *slope = (level / q).max(0.0);
        }
    }
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
