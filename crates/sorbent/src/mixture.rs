//! Several vapours at once: ideal adsorbed solution on Dubinin-Radushkevich isotherms, and the
//! train of fronts in which the vapours leave a bed.
//!
//! The sums of the theory count molecules ([`Sharing::ByNumber`]) or pores ([`Sharing::ByVolume`]). The
//! second is the first with each vapour's amounts, in the pores and in the air, counted in what fills the
//! pores of a gram: no other equation and no other number.

use crate::LifeError;
use crate::solve::root;

/// One vapour on one sorbent, as the mixture sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Adsorbate {
    /// Amount that fills the micropores, mol/g.
    pub most: f64,
    /// Characteristic energy over R T.
    pub energy: f64,
    /// Vapour pressure, kPa.
    pub psat_kpa: f64,
}

/// What an ideal adsorbed solution counts when vapours share the pores.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Sharing {
    /// Molecules: shares are mole fractions, and a spreading pressure is an amount in moles.
    ///
    /// Source: Myers and Prausnitz 1965 (form from memory).
    ByNumber,
    /// Pores: shares are volume fractions, and a spreading pressure is a volume, so that a large vapour
    /// yields to a small one no more than its potential says. The same as by number for vapours that fill
    /// the pores with equally many molecules, and for one vapour.
    ///
    /// Not strictly thermodynamic: what one vapour's level does to another's load, in moles, differs from
    /// the reverse by the ratio of their molar volumes.
    ///
    /// Source: our own, after the filling of micropores by volume (Dubinin; from memory). Between and beyond
    /// the two, counting volumes to the power of one meets `data/checks/mixture_isotherms.csv` best, in the
    /// mean and in the median, and no number was fitted (`tests/loadings.rs`).
    ByVolume,
}

impl Sharing {
    /// What amounts of a vapour are counted in, of which `full` fill the pores.
    pub(crate) fn unit(self, full: f64) -> f64 {
        match self {
            Self::ByNumber => 1.0,
            Self::ByVolume => full,
        }
    }
}

/// Vapours and their pressures counted in `units`, one for each vapour.
struct Counted {
    units: Vec<f64>,
    vapours: Vec<Adsorbate>,
    pressures: Vec<f64>,
}

impl Counted {
    fn new(vapours: &[Adsorbate], pressures_kpa: &[f64], sharing: Sharing) -> Self {
        let units: Vec<f64> = vapours.iter().map(|vapour| sharing.unit(vapour.most)).collect();
        let counted = |(vapour, unit): (&Adsorbate, &f64)| Adsorbate {
            most: vapour.most / unit,
            psat_kpa: vapour.psat_kpa / unit,
            ..*vapour
        };
        Self {
            vapours: vapours.iter().zip(&units).map(counted).collect(),
            pressures: pressures_kpa.iter().zip(&units).map(|(p, unit)| p / unit).collect(),
            units,
        }
    }

    fn unit(&self, index: usize) -> f64 {
        self.units.get(index).copied().unwrap_or(1.0)
    }
}

impl Adsorbate {
    /// Reduced spreading pressure, mol/g, of the vapour alone at `pressure_kpa`.
    ///
    /// Closed form `most x energy x sqrt(pi)/2 x erfc(A/E)`; above saturation the loading stays
    /// and the spreading pressure grows with the logarithm.
    ///
    /// Source: derived from the Gibbs equation, agrees with Lavanchy, Stockli, Wirz and Stoeckli
    /// 1996, Adsorpt. Sci. Technol. 13:537 (from memory) and with numerical integrals, see tests.
    fn spreading(&self, pressure_kpa: f64) -> f64 {
        let potential = (self.psat_kpa / pressure_kpa).ln();
        if potential >= 0.0 {
            self.full() * libm::erfc(potential / self.energy)
        } else {
            self.full() - self.most * potential
        }
    }

    /// Spreading pressure at saturation.
    fn full(&self) -> f64 {
        0.5 * self.most * self.energy * std::f64::consts::PI.sqrt()
    }

    /// Pressure, kPa, and loading, mol/g, at which the vapour alone has spreading pressure
    /// `spreading`.
    fn alone_at(&self, spreading: f64) -> (f64, f64) {
        let share = spreading / self.full();
        if share >= 1.0 {
            let over = (spreading - self.full()) / self.most;
            return (self.psat_kpa * over.exp(), self.most);
        }
        let reduced = inverse_erfc(share);
        let pressure = self.psat_kpa * (-reduced * self.energy).exp();
        (pressure, self.most * (-reduced * reduced).exp())
    }

    /// Loading of the vapour alone, mol/g.
    fn alone(&self, pressure_kpa: f64) -> f64 {
        let reduced = (self.psat_kpa / pressure_kpa).ln().max(0.0) / self.energy;
        self.most * (-reduced * reduced).exp()
    }
}

/// The `u` for which erfc(u) is `share`, 0 < share < 1. Newton on the logarithm, which is concave,
/// so that it converges from the right without overshooting.
pub(crate) fn inverse_erfc(share: f64) -> f64 {
    let target = share.ln();
    let mut u = (-target).max(0.0).sqrt();
    for _ in 0..60 {
        let erfc = libm::erfc(u);
        let slope = -std::f64::consts::FRAC_2_SQRT_PI * (-u * u).exp() / erfc;
        let step = (erfc.ln() - target) / slope;
        u -= step;
        if step.abs() <= 1e-15 * u.abs().max(1e-3) {
            break;
        }
    }
    u
}

/// Loadings, mol/g, of vapours at `pressures_kpa` in balance with the sorbent.
///
/// The order of the vapours does not matter. Refuses a balance that is not found.
///
/// Source: see [`Sharing`]; check values in the tests.
pub fn adsorbed_mixture(
    vapours: &[Adsorbate],
    pressures_kpa: &[f64],
    sharing: Sharing,
) -> Result<Vec<f64>, LifeError> {
    let counted = Counted::new(vapours, pressures_kpa, sharing);
    let loadings = in_balance(&counted.vapours, &counted.pressures)?;
    Ok(loadings.iter().zip(&counted.units).map(|(loading, unit)| loading * unit).collect())
}

/// Loadings, shares summed as the amounts are counted.
fn in_balance(vapours: &[Adsorbate], pressures_kpa: &[f64]) -> Result<Vec<f64>, LifeError> {
    if let ([vapour], [pressure]) = (vapours, pressures_kpa) {
        return Ok(vec![vapour.alone(*pressure)]);
    }
    let pairs = || vapours.iter().zip(pressures_kpa);
    let excess =
        |spreading: f64| pairs().map(|(v, p)| p / v.alone_at(spreading).0).sum::<f64>() - 1.0;
    // Between the greatest spreading pressure of one vapour alone, where the sum is at least one,
    // and their sum doubled until the sum is less.
    let low = pairs().map(|(v, p)| v.spreading(*p)).fold(0.0, f64::max);
    let mut high = low * 2.0;
    while excess(high) > 0.0 {
        high *= 2.0;
    }
    let spreading = root("the adsorbed mixture", (low, high), excess)?;
    let shares: Vec<(f64, f64)> = pairs()
        .map(|(vapour, pressure)| {
            let (alone_kpa, alone_loading) = vapour.alone_at(spreading);
            (pressure / alone_kpa, alone_loading)
        })
        .collect();
    let total = 1.0 / shares.iter().map(|(share, alone)| share / alone).sum::<f64>();
    Ok(shares.iter().map(|(share, _)| share * total).collect())
}

/// The air and the sorbent just ahead of the place where one vapour ends.
#[derive(Debug, Clone, PartialEq)]
pub struct Plateau {
    /// Index of the vapour whose front closes this stretch.
    pub vapour: usize,
    /// Its partial pressure there, kPa: at least that of the inlet, more where stronger vapours
    /// behind it push it out.
    pub pressure_kpa: f64,
    /// Its loading there, mol/g.
    pub loading: f64,
    /// Loading of all vapours there with their indices, mol/g.
    pub all: Vec<(usize, f64)>,
}

/// The stretches of a bed fed with vapours at `pressures_kpa`, from the inlet to the outlet: in
/// each the strongest vapour present ends.
///
/// Each front is a shock: what the vapours ahead lose or gain across it travels at its speed.
/// Vapour held in the gas between the granules is neglected beside what the sorbent holds.
///
/// Source: equilibrium theory of multicomponent fronts for favourable isotherms (textbook; from
/// memory); checked against a grid-converged two-vapour bed, see tests.
pub fn displacement_train(
    vapours: &[Adsorbate],
    pressures_kpa: &[f64],
    sharing: Sharing,
) -> Result<Vec<Plateau>, LifeError> {
    let counted = Counted::new(vapours, pressures_kpa, sharing);
    let mut train = train_of(&counted.vapours, &counted.pressures)?;
    for plateau in &mut train {
        let unit = counted.unit(plateau.vapour);
        plateau.pressure_kpa *= unit;
        plateau.loading *= unit;
        plateau.all.iter_mut().for_each(|(index, loading)| *loading *= counted.unit(*index));
    }
    Ok(train)
}

/// The train, shares summed as the amounts are counted.
fn train_of(vapours: &[Adsorbate], pressures_kpa: &[f64]) -> Result<Vec<Plateau>, LifeError> {
    let mut indices: Vec<usize> = (0..vapours.len()).collect();
    let mut present: Vec<Adsorbate> = vapours.to_vec();
    let mut pressures = pressures_kpa.to_vec();
    let mut train = Vec::with_capacity(vapours.len());
    while !present.is_empty() {
        let loadings = in_balance(&present, &pressures)?;
        let holds = |i: &usize| ratio(&loadings, &pressures, *i);
        let by_hold = |a: &usize, b: &usize| holds(a).total_cmp(&holds(b));
        let Some(last) = (0..present.len()).max_by(by_hold) else { break };
        let slowness = ratio(&loadings, &pressures, last);
        train.push(Plateau {
            vapour: indices.remove(last),
            pressure_kpa: pressures.remove(last),
            loading: loadings.get(last).copied().unwrap_or(0.0),
            all: Vec::new(),
        });
        present.remove(last);
        let stands = |(i, loading): (usize, &f64)| (i != last).then_some(*loading);
        let behind: Vec<f64> = loadings.iter().enumerate().filter_map(stands).collect();
        if let Some(plateau) = train.last_mut() {
            plateau.all = indices.iter().copied().zip(behind.iter().copied()).collect();
            plateau.all.push((plateau.vapour, plateau.loading));
        }
        if !present.is_empty() {
            pressures = ahead_of_front(&present, &pressures, &behind, slowness)?;
        }
    }
    Ok(train)
}

/// Loading over pressure of one vapour: how long a front of it takes.
fn ratio(loadings: &[f64], pressures: &[f64], index: usize) -> f64 {
    match (loadings.get(index), pressures.get(index)) {
        (Some(loading), Some(pressure)) => loading / pressure,
        _ => 0.0,
    }
}

/// Partial pressures ahead of a front of `slowness` (mol/g per kPa) behind which the remaining
/// vapours stand at `pressures` and `loadings`.
///
/// With shares x and total n at spreading pressure Pi the balance across the front reads
/// `x (n - slowness P(Pi)) = loading - slowness pressure` for each vapour; both sides are negative
/// because each of these vapours alone would travel faster. For a given Pi the total follows from
/// `sum x = 1`; Pi then from `sum x / n_alone = 1 / n`.
fn ahead_of_front(
    vapours: &[Adsorbate],
    pressures: &[f64],
    loadings: &[f64],
    slowness: f64,
) -> Result<Vec<f64>, LifeError> {
    let surplus: Vec<f64> =
        pressures.iter().zip(loadings).map(|(p, q)| (slowness * p - q).max(0.0)).collect();
    let shares_at = |spreading: f64| {
        let alone: Vec<(f64, f64)> = vapours.iter().map(|v| v.alone_at(spreading)).collect();
        let least = alone.iter().map(|(p, _)| slowness * p).fold(f64::INFINITY, f64::min);
        let sum = |total: f64| {
            let share = |(s, (p, _)): (&f64, &(f64, f64))| s / (slowness * p - total);
            surplus.iter().zip(&alone).map(share).sum::<f64>() - 1.0
        };
        if sum(0.0) >= 0.0 {
            return None;
        }
        let total = root("the air ahead of a front", (0.0, least * (1.0 - 1e-14)), sum).ok()?;
        let share = |(s, (p, n)): (&f64, &(f64, f64))| (s / (slowness * p - total), *p, *n);
        Some((surplus.iter().zip(&alone).map(share).collect::<Vec<_>>(), total))
    };
    let misfit = |spreading: f64| match shares_at(spreading) {
        Some((shares, total)) => {
            total * shares.iter().map(|(share, _, alone)| share / alone).sum::<f64>() - 1.0
        }
        // Too low a spreading pressure: the vapours cannot carry their surplus away.
        None => -1.0,
    };
    let pairs = || vapours.iter().zip(pressures);
    let low = pairs().map(|(v, p)| v.spreading(*p)).fold(f64::INFINITY, f64::min) * 1e-3;
    let mut high = pairs().map(|(v, p)| v.spreading(*p)).fold(0.0, f64::max);
    while misfit(high) < 0.0 {
        high *= 1.5;
        if high > 1e3 {
            break;
        }
    }
    let spreading = root("the air ahead of a front", (low, high), misfit)?;
    let shares = shares_at(spreading).map(|(shares, _)| shares).unwrap_or_default();
    Ok(shares.iter().map(|(share, alone_kpa, _)| share * alone_kpa).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    const RT_295: f64 = 8.314_462_618 * 295.15;

    fn adsorbate(w0: f64, molar_volume: f64, energy: f64, psat_kpa: f64, rt: f64) -> Adsorbate {
        Adsorbate { most: w0 / molar_volume, energy: energy / rt, psat_kpa }
    }

    // Toluene of the worked number: spreading pressure 0.0156734 mol/g, by closed form and by two
    // numerical integrals.
    #[test]
    fn spreading_pressure_is_the_worked_number_and_the_integral() {
        let rt = 1.987 * 4.184 * 295.15;
        let toluene = adsorbate(0.454, 92.14 / 0.867, 22_952.0, 3.25, rt);
        let pressure = 200e-6 * 101.325;
        let closed = toluene.spreading(pressure);
        // The worked number mixes R = 1.987 cal/(mol K) with 8.314 J/(mol K): 1e-4 apart.
        assert!((closed / 0.015_673_4 - 1.0).abs() < 3e-4, "{closed}");
        // Gibbs: integral of loading over ln p, trapezoids from a pressure of nothing.
        let (steps, span) = (200_000, 60.0);
        let width = span / f64::from(steps);
        let at = |i: i32| toluene.alone(pressure * (-width * f64::from(i)).exp());
        let sum: f64 = (1..steps).map(at).sum::<f64>() + 0.5 * (at(0) + at(steps));
        assert!((sum * width / closed - 1.0).abs() < 1e-6, "{}", sum * width);
        let (back, _) = toluene.alone_at(closed);
        assert!((back / pressure - 1.0).abs() < 1e-12);
    }

    // Worked binary: 100 ppm toluene and 100 ppm acetone, W0 0.454, 22 degC: share of toluene
    // 0.994924 (closed form and numerical agree), 267.85 and 0.861 mg/g. Energies by Wood 1994.
    #[test]
    fn toluene_and_acetone_share_the_pores_as_worked() {
        let energy = |pe: f64| crate::capacity::wood_1994_energy(0.454, pe);
        let toluene = adsorbate(0.454, 92.1384 / 0.86503, energy(31.114), 3.24766, RT_295);
        let acetone = adsorbate(0.454, 58.0791 / 0.78805, energy(16.171), 26.95741, RT_295);
        let pressures = [100e-6 * 101.325, 100e-6 * 101.325];
        let loadings =
            adsorbed_mixture(&[toluene, acetone], &pressures, Sharing::ByNumber).unwrap();
        let share = loadings[0] / (loadings[0] + loadings[1]);
        assert!((share - 0.994_924).abs() < 2e-5, "{share}");
        assert!((loadings[0] * 92.1384e3 / 267.85 - 1.0).abs() < 5e-4, "{}", loadings[0]);
        assert!((loadings[1] * 58.0791e3 / 0.861 - 1.0).abs() < 5e-3, "{}", loadings[1]);
        let pressures = [pressures[1], pressures[0]];
        let turned = adsorbed_mixture(&[acetone, toluene], &pressures, Sharing::ByNumber).unwrap();
        assert!((turned[0] / loadings[1] - 1.0).abs() < 1e-10);
        // By volume: 268.230 and 0.39634 mg/g, from filled volumes integrated over ln p by quadrature and
        // from the closed form in another program.
        let loadings =
            adsorbed_mixture(&[acetone, toluene], &pressures, Sharing::ByVolume).unwrap();
        assert!((loadings[1] * 92.1384e3 / 268.2298 - 1.0).abs() < 2e-6, "{}", loadings[1]);
        assert!((loadings[0] * 58.0791e3 / 0.396_341 - 1.0).abs() < 5e-5, "{}", loadings[0]);
    }

    // Source: data/checks/bed/P6.csv, acetone 250 and toluene 250 ppm on a grid-converged bed with
    // finite rate: acetone rises to 1.362 of the inlet. The area over a curve is what the bed holds
    // in the end and does not change with the rate; the acetone front itself does, so its 10 % time
    // (3843.3 s) is held against the bed equation in the plateau, with the rate of that bed
    // (6.274 transfer units): 5 % is what the constant pattern is off at so few units.
    #[test]
    fn acetone_is_pushed_ahead_of_toluene_as_in_the_reference_bed() {
        let rt = 8.314_462_618 * 295.0;
        let toluene =
            Adsorbate { most: 4.225_952_03e-3, energy: 8.311_914_3, psat_kpa: 3.221_959_8 };
        let acetone =
            Adsorbate { most: 6.107_702_21e-3, energy: 5.110_891_37, psat_kpa: 26.779_366 };
        let pressure = 250e-6 * 101.325;
        let train =
            displacement_train(&[acetone, toluene], &[pressure, pressure], Sharing::ByNumber)
                .unwrap();
        // Mass of the bed 440 kg/m3 x 0.0038 m2 x 0.022 m; flow 4.44167e-4 m3/s.
        let mass_g = 440.0 * 0.0038 * 0.022 * 1e3;
        let seconds = |plateau: &Plateau| {
            let mol_per_s = plateau.pressure_kpa * 1e3 / rt * 4.441_666_7e-4;
            plateau.loading * mass_g / mol_per_s
        };
        assert_eq!((train[0].vapour, train[1].vapour), (1, 0));
        let rise = train[1].pressure_kpa / pressure;
        assert!((rise / 1.362 - 1.0).abs() < 0.002, "{rise}");
        let area = |column: usize| {
            let table = include_str!("../../../data/checks/bed/P6.csv");
            let row = |line: &str| {
                let cells: Vec<f64> = line.split(',').map(|c| c.parse().unwrap()).collect();
                (cells[0], cells[column])
            };
            let rows: Vec<_> = table.lines().skip(1).map(row).collect();
            let body: f64 =
                rows.windows(2).map(|w| (w[1].0 - w[0].0) * (1.0 - (w[0].1 + w[1].1) / 2.0)).sum();
            // What the curve still lacks at its end decays exponentially.
            let (end, before) = (rows[rows.len() - 1], rows[rows.len() - 40]);
            let left = 1.0 - end.1;
            let tail = left * (end.0 - before.0) / ((1.0 - before.1) / left).ln();
            body + tail
        };
        let (toluene_area, acetone_area) = (area(2), area(1));
        assert!((seconds(&train[0]) / toluene_area - 1.0).abs() < 0.003, "{toluene_area}");
        let held = train[0].all.iter().find(|(index, _)| *index == 0).unwrap().1;
        let held = Plateau { loading: held, pressure_kpa: pressure, ..train[0].clone() };
        assert!((seconds(&held) - acetone_area).abs() < 0.003 * toluene_area, "{acetone_area}");
        let fraction: f64 = 0.1 / rise;
        let ten = seconds(&train[1]) * (1.0 - ((1.0 - fraction) / fraction).ln() / 6.273_921);
        assert!((ten / 3_843.3 - 1.0).abs() < 0.05, "{ten}");
    }

    // Identity: over a front what the inlet brings is what the plateaus hold, for three vapours in
    // any order.
    #[test]
    fn three_vapours_leave_in_the_same_train_whatever_their_order() {
        let rt = RT_295;
        let set = [
            (adsorbate(0.454, 106.5, 22_900.0, 3.25, rt), 0.02),
            (adsorbate(0.454, 73.7, 12_700.0, 26.9, rt), 0.05),
            (adsorbate(0.454, 131.0, 22_000.0, 17.7, rt), 0.01),
        ];
        for sharing in [Sharing::ByNumber, Sharing::ByVolume] {
            let run = |order: [usize; 3]| {
                let vapours = order.map(|i| set[i].0);
                let pressures = order.map(|i| set[i].1);
                let train = displacement_train(&vapours, &pressures, sharing).unwrap();
                let told = train.iter().map(|p| (order[p.vapour], p.pressure_kpa, p.loading));
                told.collect::<Vec<_>>()
            };
            let first = run([0, 1, 2]);
            assert_eq!(first.len(), 3);
            for order in [[2, 1, 0], [1, 2, 0], [1, 0, 2]] {
                for (a, b) in run(order).iter().zip(&first) {
                    assert_eq!(a.0, b.0);
                    assert!((a.1 / b.1 - 1.0).abs() < 1e-8 && (a.2 / b.2 - 1.0).abs() < 1e-8);
                }
            }
            for (i, pressure, _) in &first {
                assert!(*pressure >= set[*i].1 * (1.0 - 1e-9), "{i} fell below its inlet");
            }
        }
    }

    /// Toluene, acetone and methanol: sizes up to 2.6 times apart.
    fn unlike() -> [Adsorbate; 3] {
        [
            adsorbate(0.454, 106.5, 22_900.0, 3.25, RT_295),
            adsorbate(0.454, 73.7, 14_200.0, 26.9, RT_295),
            adsorbate(0.454, 40.5, 9_000.0, 14.1, RT_295),
        ]
    }

    // Balance: what the front of one vapour pushes out of the other travels ahead of it at its speed.
    #[test]
    fn what_a_front_pushes_out_travels_ahead_of_it() {
        for sharing in [Sharing::ByNumber, Sharing::ByVolume] {
            for (i, j) in [(0, 1), (0, 2), (1, 2)] {
                let pressures = [0.02, 0.05];
                let pair = [unlike()[i], unlike()[j]];
                let train = displacement_train(&pair, &pressures, sharing).unwrap();
                let (first, last) = (&train[0], &train[1]);
                let slowness = first.loading / first.pressure_kpa;
                let behind = first.all.iter().find(|(at, _)| *at == last.vapour).unwrap().1;
                let rise = last.pressure_kpa - pressures[last.vapour];
                let off = last.loading - behind - slowness * rise;
                assert!(off.abs() < 1e-9 * last.loading, "{sharing:?} {i} {j}: {off:e}");
            }
        }
    }

    // Limits: one vapour does not see how vapours are counted, nor do vapours of one size.
    #[test]
    fn volumes_and_numbers_agree_for_one_vapour_and_for_one_size() {
        let both = |vapours: &[Adsorbate], pressures: &[f64]| {
            [Sharing::ByNumber, Sharing::ByVolume]
                .map(|sharing| adsorbed_mixture(vapours, pressures, sharing).unwrap())
        };
        let [toluene, acetone, _] = unlike();
        let alike = Adsorbate { most: toluene.most, ..acetone };
        let cases = [(vec![toluene], vec![0.02]), (vec![toluene, alike], vec![0.02, 0.3])];
        for (vapours, pressures) in cases {
            let [number, volume] = both(&vapours, &pressures);
            for (a, b) in number.iter().zip(&volume) {
                assert!((a / b - 1.0).abs() < 1e-12, "{a} {b}");
            }
        }
    }

    // Identity: in an ideal adsorbed solution what the logarithm of one level does to another's amount
    // is what that of the other does to its own, amounts as they are counted.
    #[test]
    fn vapours_act_on_each_other_alike() {
        let vapours = unlike();
        let pressures = [0.004, 0.3, 0.6];
        for sharing in [Sharing::ByNumber, Sharing::ByVolume] {
            let acts = |from: usize, on: usize| {
                let moved = |by: f64| {
                    let mut pressures = pressures;
                    pressures[from] *= f64::exp(by);
                    adsorbed_mixture(&vapours, &pressures, sharing).unwrap()[on]
                };
                (moved(1e-4) - moved(-1e-4)) / 2e-4 / sharing.unit(vapours[on].most)
            };
            for (i, j) in [(0, 1), (0, 2), (1, 2)] {
                let (there, back) = (acts(i, j), acts(j, i));
                assert!(
                    there < 0.0 && (there / back - 1.0).abs() < 1e-5,
                    "{sharing:?} {there} {back}"
                );
            }
        }
    }

    // From traces to near saturation: more of one vapour means more of it and not more of any other, and never
    // more than the pores hold. Dubinin-Radushkevich has no Henry region, so that a trace may gain a little
    // from half as much again of another: by volume a part in a thousand, by number sixteen.
    #[test]
    fn more_of_one_vapour_is_never_more_of_another() {
        let vapours = unlike();
        let level =
            |nth: i32, vapour: &Adsorbate| vapour.psat_kpa * 10_f64.powf(-f64::from(nth) / 2.0);
        for case in 0..9 * 9 * 9 {
            let nth = [case % 9, case / 9 % 9, case / 81];
            let pressures = std::array::from_fn::<f64, 3, _>(|i| level(nth[i] + 1, &vapours[i]));
            let loads = adsorbed_mixture(&vapours, &pressures, Sharing::ByVolume).unwrap();
            let filled: f64 = loads.iter().zip(&vapours).map(|(q, v)| q / v.most).sum();
            assert!(filled < 1.0 + 1e-9, "{pressures:?}: {filled}");
            for more in 0..3 {
                let mut pressures = pressures;
                pressures[more] *= 1.5;
                let now = adsorbed_mixture(&vapours, &pressures, Sharing::ByVolume).unwrap();
                for (i, (now, before)) in now.iter().zip(&loads).enumerate() {
                    let grows = now / before - 1.0;
                    let right = if i == more { grows > 0.0 } else { grows < 1e-3 };
                    assert!(right, "{pressures:?} {more} on {i}: {grows:e}");
                }
            }
        }
    }
}
