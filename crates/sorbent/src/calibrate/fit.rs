//! Least squares of a report.

use super::{Beside, CalibrationError, Measured, Own, Start};

/// Standard deviations of the logarithms of micropore volume, energy and rate factor before
/// anything is measured: the range of respirator carbons (0.35 to 0.65 cm³/g; 14 to 24 kJ/mol) and
/// the distance of the two rate correlations. Common practice, no source. They keep what a report
/// does not tell from running away.
pub(super) const BEFORE: [f64; 3] = [0.15, 0.12, 0.40];

/// Standard deviations of the logarithms of a vapour's own affinity and packing before they are measured;
/// the same for all vapours.
///
/// The isotherms of single vapours in `data/checks/isotherms.csv` are likeliest at these values, and
/// about as likely from 0.07 to 0.15 and from 0.04 to 0.08; no mixture was asked.
const OWN_BEFORE: [f64; 2] = [0.10, 0.06];

/// Points of an isotherm from which what is a vapour's own is fitted: a time alone does not tell it from
/// the rate.
const LEAST_POINTS: usize = 3;

/// A residual of more standard errors than this contradicts the rest.
const CONTRADICTS: f64 = 4.0;

/// Rounds of least squares.
const MOST_ROUNDS: u32 = 60;

/// A carbon as one vapour sees it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Seen {
    pub volume: f64,
    pub energy: f64,
    pub rate: f64,
    pub affinity: f64,
    pub packing: f64,
}

/// The fit; its unknowns are the logarithms of volume, energy and rate over those it starts from, then
/// of affinity and packing of each vapour with an isotherm.
pub(super) struct Problem<'a> {
    measured: &'a [Measured],
    start: Start,
    /// Names of the vapours with something of their own.
    vapours: Vec<&'a str>,
}

impl<'a> Problem<'a> {
    pub fn new(measured: &'a [Measured], start: Start) -> Self {
        let mut vapours: Vec<&str> = measured.iter().filter_map(Measured::vapour).collect();
        vapours.sort_unstable();
        vapours.dedup();
        if vapours.len() < 2 {
            vapours.clear();
        }
        vapours.retain(|name| {
            let of = |one: &&Measured| one.vapour() == Some(*name) && one.is_loading();
            measured.iter().filter(of).count() >= LEAST_POINTS
        });
        Self { measured, start, vapours }
    }

    /// Standard deviations of the unknowns before anything is measured.
    fn before(&self) -> impl Iterator<Item = f64> {
        BEFORE.into_iter().chain(self.vapours.iter().flat_map(|_| OWN_BEFORE))
    }

    /// The carbon as `vapour` sees it, or one of which nothing was measured.
    pub fn seen(&self, at: &[f64], vapour: Option<&str>) -> Seen {
        let factor = |place: usize| at.get(place).map_or(1.0, |part| part.exp());
        let own = |nth: usize| {
            let place = self.vapours.iter().position(|name| Some(*name) == vapour);
            place.map_or(1.0, |place| factor(BEFORE.len() + place * OWN_BEFORE.len() + nth))
        };
        Seen {
            volume: self.start.micropore_volume * factor(0),
            energy: self.start.reference_energy * factor(1),
            rate: factor(2),
            affinity: own(0),
            packing: own(1),
        }
    }

    pub fn own(&self, at: &[f64]) -> Vec<Own> {
        let of = |name: &&str| {
            let Seen { affinity, packing, .. } = self.seen(at, Some(*name));
            Own { vapour: (*name).to_owned(), affinity, packing }
        };
        self.vapours.iter().map(of).collect()
    }

    pub fn beside(&self, at: &[f64]) -> Result<Vec<Beside>, CalibrationError> {
        let beside = |(place, one): (usize, &Measured)| {
            let fitted = one.fitted(self.seen(at, one.vapour()));
            let fitted = fitted.map_err(|error| CalibrationError::Refused { place, error })?;
            Ok(Beside { measured: one.value(), fitted })
        };
        (1..).zip(self.measured).map(beside).collect()
    }

    /// Logarithms of fitted over measured in standard errors, then how far the unknowns are from
    /// where they started.
    pub fn residuals(&self, at: &[f64]) -> Result<Vec<f64>, CalibrationError> {
        let pairs = self.beside(at)?;
        let data = pairs.iter().zip(self.measured);
        let data = data.map(|(b, one)| (b.fitted / b.measured).ln() / one.deviation());
        Ok(data.chain(at.iter().zip(self.before()).map(|(x, before)| x / before)).collect())
    }

    /// Where the squares are least, and the matrix of the normal equations there.
    pub fn solve(&self) -> Result<(Vec<f64>, Vec<Vec<f64>>), CalibrationError> {
        least_squares(vec![0.0; self.before().count()], &|at| self.residuals(at))
    }

    /// Refuses a carbon far from any that respirators hold.
    pub fn refuse_unlikely(&self, at: &[f64]) -> Result<(), CalibrationError> {
        let far = |(x, before): (&f64, f64)| x.abs() > 4.0 * before;
        if !at.iter().zip(BEFORE).any(far) {
            return Ok(());
        }
        let Seen { volume, energy, rate, .. } = self.seen(at, None);
        let what = format!(
            "it would take {volume:.3} cm3/g, {:.1} kJ/mol and {rate:.3} times the usual rate",
            energy / 1e3
        );
        Err(CalibrationError::Unlikely { what })
    }

    pub fn refuse_contradiction(
        &self,
        at: &[f64],
        residuals: &[f64],
    ) -> Result<(), CalibrationError> {
        let data = residuals.iter().zip(self.beside(at)?).enumerate().take(self.measured.len());
        let worst = data.max_by(|(_, (a, _)), (_, (b, _))| a.abs().total_cmp(&b.abs()));
        match worst {
            Some((index, (residual, beside))) if residual.abs() > CONTRADICTS => {
                Err(CalibrationError::Contradicts {
                    place: index + 1,
                    measured: beside.measured,
                    fitted: beside.fitted,
                    errors: residual.abs(),
                })
            }
            _ => Ok(()),
        }
    }
}

/// From `at` to where the squares of `residuals` are least, and the matrix of the normal equations there:
/// Levenberg and Marquardt's step with derivatives by differences.
pub(super) fn least_squares<E>(
    mut at: Vec<f64>,
    residuals: &impl Fn(&[f64]) -> Result<Vec<f64>, E>,
) -> Result<(Vec<f64>, Vec<Vec<f64>>), E> {
    let mut off = residuals(&at)?;
    let mut damping = 1e-3;
    for _ in 0..MOST_ROUNDS {
        let slopes = slopes(&at, residuals)?;
        let right: Vec<f64> = slopes.iter().map(|slope| -dot(slope, &off)).collect();
        let mut damped = normal(&slopes);
        for (place, row) in damped.iter_mut().enumerate() {
            if let Some(part) = row.get_mut(place) {
                *part *= 1.0 + damping;
            }
        }
        let Some(inverse) = inverse(&damped) else { break };
        let step: Vec<f64> = inverse.iter().map(|row| dot(row, &right).clamp(-0.5, 0.5)).collect();
        let next: Vec<f64> = at.iter().zip(&step).map(|(x, by)| x + by).collect();
        let tried = residuals(&next)?;
        if dot(&tried, &tried) < dot(&off, &off) {
            at = next;
            off = tried;
            damping = (damping * 0.2).max(1e-12);
        } else {
            damping *= 8.0;
        }
        if dot(&step, &step) < 1e-20 || damping > 1e12 {
            break;
        }
    }
    let normal = normal(&slopes(&at, residuals)?);
    Ok((at, normal))
}

/// Rows of derivatives by each unknown.
fn slopes<E>(
    at: &[f64],
    residuals: &impl Fn(&[f64]) -> Result<Vec<f64>, E>,
) -> Result<Vec<Vec<f64>>, E> {
    const STEP: f64 = 1e-4;
    let slope = |place: usize| {
        let moved = |by: f64| {
            let mut moved = at.to_vec();
            if let Some(x) = moved.get_mut(place) {
                *x += by;
            }
            residuals(&moved)
        };
        let (up, down) = (moved(STEP)?, moved(-STEP)?);
        Ok(up.iter().zip(&down).map(|(u, d)| (u - d) / (2.0 * STEP)).collect())
    };
    (0..at.len()).map(slope).collect()
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn normal(slopes: &[Vec<f64>]) -> Vec<Vec<f64>> {
    slopes.iter().map(|row| slopes.iter().map(|column| dot(row, column)).collect()).collect()
}

/// The inverse of a symmetric positive matrix by the elimination of Gauss and Jordan; none where it has
/// none.
#[expect(
    clippy::indexing_slicing,
    reason = "INVARIANT (square): all rows are as long as the matrix"
)]
pub(super) fn inverse(matrix: &[Vec<f64>]) -> Option<Vec<Vec<f64>>> {
    let size = matrix.len();
    let unit = |place: usize| (0..size).map(move |i| if i == place { 1.0 } else { 0.0 });
    let mut rows: Vec<Vec<f64>> = matrix
        .iter()
        .enumerate()
        .map(|(i, row)| row.iter().copied().chain(unit(i)).collect())
        .collect();
    for place in 0..size {
        // INVARIANT (square): `place` and `other` count rows.
        let pivot = rows[place][place];
        if !pivot.is_finite() || pivot <= 1e-12 * matrix[place][place] {
            return None;
        }
        rows[place].iter_mut().for_each(|part| *part /= pivot);
        let solved = rows[place].clone();
        for (other, row) in rows.iter_mut().enumerate() {
            let factor = row[place];
            if other != place {
                row.iter_mut().zip(&solved).for_each(|(part, by)| *part -= factor * by);
            }
        }
    }
    Some(rows.into_iter().map(|row| row[size..].to_vec()).collect())
}
