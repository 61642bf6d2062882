//! Linear systems in which each cell knows its two neighbours: a block for each pair of components.
#![expect(
    clippy::indexing_slicing,
    reason = "INVARIANT (blocks): every list has one entry, or one square block, for each cell and component"
)]

/// Rows `diagonal x(cell) - before x(cell - 1) - behind x(cell + 1) = right`, eliminated cell by cell.
pub(super) struct Blocks {
    count: usize,
    /// Of each eliminated cell: what it takes of the next one, and what it is without it.
    takes: Vec<f64>,
    rests: Vec<f64>,
    /// One cell's matrix with its right sides behind it.
    work: Vec<f64>,
}

impl Blocks {
    /// For `count` components.
    pub fn new(count: usize) -> Self {
        let work = vec![0.0; count * (2 * count + 1)];
        Self { count, takes: Vec::new(), rests: Vec::new(), work }
    }

    /// Starts a system.
    pub fn begin(&mut self) {
        self.takes.clear();
        self.rests.clear();
    }

    /// Adds the row of the next cell; `before` and `behind` row by row.
    pub fn eliminate(&mut self, diagonal: f64, before: &[f64], behind: &[f64], right: &[f64]) {
        let n = self.count;
        let width = 2 * n + 1;
        let last = self.rests.len().checked_sub(n);
        let (takes, rests) =
            last.map_or((&[][..], &[][..]), |last| (&self.takes[last * n..], &self.rests[last..]));
        for i in 0..n {
            let row = &mut self.work[i * width..(i + 1) * width];
            row[..n].fill(0.0);
            row[i] = diagonal;
            row[n..2 * n].copy_from_slice(&behind[i * n..(i + 1) * n]);
            row[2 * n] = right[i];
            if last.is_none() {
                continue;
            }
            for k in 0..n {
                let factor = before[i * n + k];
                for j in 0..n {
                    row[j] -= factor * takes[k * n + j];
                }
                row[2 * n] += factor * rests[k];
            }
        }
        self.solve();
        for i in 0..n {
            let row = &self.work[i * width..(i + 1) * width];
            self.takes.extend_from_slice(&row[n..2 * n]);
        }
        self.rests.extend((0..n).map(|i| self.work[i * width + 2 * n]));
    }

    /// Fills `x` with the solution.
    pub fn finish(&self, x: &mut [f64]) {
        let n = self.count;
        let cells = self.rests.len() / n;
        x.copy_from_slice(&self.rests);
        for cell in (0..cells.saturating_sub(1)).rev() {
            let (here, behind) = x[cell * n..(cell + 2) * n].split_at_mut(n);
            for (i, here) in here.iter_mut().enumerate() {
                let takes = &self.takes[(cell * n + i) * n..(cell * n + i + 1) * n];
                *here += takes.iter().zip(&*behind).map(|(t, x)| t * x).sum::<f64>();
            }
        }
    }

    /// Turns the matrix in `work` into one, its right sides into the solutions: Gauss and Jordan with the
    /// greatest pivot of each column.
    fn solve(&mut self) {
        let n = self.count;
        let width = 2 * n + 1;
        for column in 0..n {
            let size = |row: &usize| self.work[row * width + column].abs();
            let pivot = (column..n).max_by(|a, b| size(a).total_cmp(&size(b))).unwrap_or(column);
            if pivot != column {
                for j in column..width {
                    self.work.swap(pivot * width + j, column * width + j);
                }
            }
            let per = 1.0 / self.work[column * width + column];
            for j in column..width {
                self.work[column * width + j] *= per;
            }
            for row in (0..n).filter(|row| *row != column) {
                let factor = self.work[row * width + column];
                if factor == 0.0 {
                    continue;
                }
                for j in column..width {
                    self.work[row * width + j] -= factor * self.work[column * width + j];
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::plan::as_f64;
    use super::*;

    // Identity: the solution put back into its rows gives their right sides.
    #[test]
    fn the_solution_meets_every_row() {
        let (n, cells) = (3, 5);
        let block = |seed: usize| -> Vec<f64> {
            (0..n * n).map(|i| as_f64((seed * 31 + i * 17) % 13) / 20.0 - 0.2).collect()
        };
        let right: Vec<f64> = (0..n * cells).map(|i| as_f64(i).sin()).collect();
        let mut blocks = Blocks::new(n);
        blocks.begin();
        for cell in 0..cells {
            let right = &right[cell * n..(cell + 1) * n];
            blocks.eliminate(2.0, &block(cell), &block(cell + 50), right);
        }
        let mut x = vec![0.0; n * cells];
        blocks.finish(&mut x);
        for cell in 0..cells {
            for i in 0..n {
                let mut sum = 2.0 * x[cell * n + i];
                for k in 0..n {
                    if cell > 0 {
                        sum -= block(cell)[i * n + k] * x[(cell - 1) * n + k];
                    }
                    if cell + 1 < cells {
                        sum -= block(cell + 50)[i * n + k] * x[(cell + 1) * n + k];
                    }
                }
                assert!((sum - right[cell * n + i]).abs() < 1e-13, "{cell} {i}");
            }
        }
    }
}
