//! The sequence of Sobol, scrambled: points that fill a cube more evenly than chance does.

use std::f64::consts::SQRT_2;

use crate::mixture::inverse_erfc;

/// Degree of the primitive polynomial, its inner coefficients, and the first direction numbers of
/// each dimension after the first.
///
/// Source: Joe and Kuo 2008, SIAM J. Sci. Comput. 30:2635, table `new-joe-kuo-6.21201`, as carried
/// by SciPy 1.17.1 (read there).
const DIRECTIONS: [(u32, u32, &[u32]); 47] = [
    (1, 0, &[1]),
    (2, 1, &[1, 3]),
    (3, 1, &[1, 3, 1]),
    (3, 2, &[1, 1, 1]),
    (4, 1, &[1, 1, 3, 3]),
    (4, 4, &[1, 3, 5, 13]),
    (5, 2, &[1, 1, 5, 5, 17]),
    (5, 4, &[1, 1, 5, 5, 5]),
    (5, 7, &[1, 1, 7, 11, 19]),
    (5, 11, &[1, 1, 5, 1, 1]),
    (5, 13, &[1, 1, 1, 3, 11]),
    (5, 14, &[1, 3, 5, 5, 31]),
    (6, 1, &[1, 3, 3, 9, 7, 49]),
    (6, 13, &[1, 1, 1, 15, 21, 21]),
    (6, 16, &[1, 3, 1, 13, 27, 49]),
    (6, 19, &[1, 1, 1, 15, 7, 5]),
    (6, 22, &[1, 3, 1, 15, 13, 25]),
    (6, 25, &[1, 1, 5, 5, 19, 61]),
    (7, 1, &[1, 3, 7, 11, 23, 15, 103]),
    (7, 4, &[1, 3, 7, 13, 13, 15, 69]),
    (7, 7, &[1, 1, 3, 13, 7, 35, 63]),
    (7, 8, &[1, 3, 5, 9, 1, 25, 53]),
    (7, 14, &[1, 3, 1, 13, 9, 35, 107]),
    (7, 19, &[1, 3, 1, 5, 27, 61, 31]),
    (7, 21, &[1, 1, 5, 11, 19, 41, 61]),
    (7, 28, &[1, 3, 5, 3, 3, 13, 69]),
    (7, 31, &[1, 1, 7, 13, 1, 19, 1]),
    (7, 32, &[1, 3, 7, 5, 13, 19, 59]),
    (7, 37, &[1, 1, 3, 9, 25, 29, 41]),
    (7, 41, &[1, 3, 5, 13, 23, 1, 55]),
    (7, 42, &[1, 3, 7, 3, 13, 59, 17]),
    (7, 50, &[1, 3, 1, 3, 5, 53, 69]),
    (7, 55, &[1, 1, 5, 5, 23, 33, 13]),
    (7, 56, &[1, 1, 7, 7, 1, 61, 123]),
    (7, 59, &[1, 1, 7, 9, 13, 61, 49]),
    (7, 62, &[1, 3, 3, 5, 3, 55, 33]),
    (8, 14, &[1, 3, 1, 15, 31, 13, 49, 245]),
    (8, 21, &[1, 3, 5, 15, 31, 59, 63, 97]),
    (8, 22, &[1, 3, 1, 11, 11, 11, 77, 249]),
    (8, 38, &[1, 3, 1, 11, 27, 43, 71, 9]),
    (8, 47, &[1, 1, 7, 15, 21, 11, 81, 45]),
    (8, 49, &[1, 3, 7, 3, 25, 31, 65, 79]),
    (8, 50, &[1, 3, 1, 1, 19, 11, 3, 205]),
    (8, 52, &[1, 1, 5, 9, 19, 21, 29, 157]),
    (8, 56, &[1, 3, 7, 11, 1, 33, 89, 185]),
    (8, 67, &[1, 3, 3, 3, 15, 9, 79, 71]),
    (8, 70, &[1, 3, 7, 11, 15, 39, 119, 27]),
];

/// One scramble of the sequence.
#[derive(Debug, Clone)]
pub(crate) struct Sobol {
    /// Direction numbers and seed of each dimension.
    dimensions: Vec<([u32; 32], u32)>,
}

impl Sobol {
    /// The sequence in so many dimensions, scrambled by `seed`.
    ///
    /// INVARIANT (few dimensions): at most one more than `DIRECTIONS` holds; what is asked beyond
    /// repeats directions under another scramble, which is even in each but not between them.
    pub fn new(dimensions: usize, seed: u32) -> Self {
        let of = |index: usize| {
            let directions = match index % (DIRECTIONS.len() + 1) {
                0 => std::array::from_fn(|bit| 1 << (31 - bit)),
                later => {
                    later.checked_sub(1).and_then(|i| DIRECTIONS.get(i)).map_or([0; 32], directions)
                }
            };
            let index = u32::try_from(index).unwrap_or(u32::MAX);
            (directions, mix(seed ^ mix(index.wrapping_add(0x9e37_79b9))))
        };
        Self { dimensions: (0..dimensions).map(of).collect() }
    }

    /// Point `index` of the cube, each coordinate strictly between 0 and 1.
    #[cfg(test)]
    fn point(&self, index: u32) -> Vec<f64> {
        self.dimensions.iter().map(|dimension| unit(coordinate(dimension, index))).collect()
    }

    /// Point `index` as scores of the standard normal.
    pub fn normal(&self, index: u32) -> Vec<f64> {
        let score = |dimension| normal_score(unit(coordinate(dimension, index)));
        self.dimensions.iter().map(score).collect()
    }
}

fn coordinate((directions, seed): &([u32; 32], u32), index: u32) -> u32 {
    scrambled(raw(directions, index), *seed)
}

/// The coordinate before the scramble.
fn raw(directions: &[u32; 32], index: u32) -> u32 {
    let chosen = directions.iter().enumerate().filter(|(bit, _)| index >> bit & 1 == 1);
    chosen.fold(0, |sum, (_, direction)| sum ^ direction)
}

/// The direction numbers of one dimension, by the recurrence of its polynomial (Bratley and Fox
/// 1988, ACM Trans. Math. Softw. 14:88, from memory).
fn directions((degree, inner, first): &(u32, u32, &[u32])) -> [u32; 32] {
    let mut list: Vec<u32> =
        first.iter().zip(0_u32..).map(|(m, place)| m << (31 - place)).collect();
    let degree_places = first.len();
    for place in degree_places..32 {
        let back =
            |by: usize| place.checked_sub(by).and_then(|at| list.get(at)).copied().unwrap_or(0);
        let mut value = back(degree_places) ^ (back(degree_places) >> degree);
        for by in 1..degree_places {
            let shift = degree_places - 1 - by;
            if inner >> shift & 1 == 1 {
                value ^= back(by);
            }
        }
        list.push(value);
    }
    let mut directions = [0; 32];
    for (to, from) in directions.iter_mut().zip(list) {
        *to = from;
    }
    directions
}

/// Owen's scramble by hashing: each bit is turned or not by what stands above it.
///
/// Source: Laine and Karras 2011, Comput. Graph. Forum 30:1387, in the form of Burley 2020, J.
/// Comput. Graph. Tech. 9(4) (constants from memory; that it is a scramble is tested).
fn scrambled(coordinate: u32, seed: u32) -> u32 {
    let mut x = coordinate.reverse_bits();
    x = x.wrapping_add(seed);
    for even in [0x6c50_b47c, 0xb82f_1e52, 0xc7af_e638, 0x8d22_f6e6_u32] {
        x ^= x.wrapping_mul(even);
    }
    x.reverse_bits()
}

/// A seed for each dimension: the finalizer of MurmurHash3 (public domain, from memory).
fn mix(mut x: u32) -> u32 {
    x ^= x >> 16;
    x = x.wrapping_mul(0x85eb_ca6b);
    x ^= x >> 13;
    x = x.wrapping_mul(0xc2b2_ae35);
    x ^ (x >> 16)
}

/// The middle of the interval that 32 bits name.
fn unit(coordinate: u32) -> f64 {
    (f64::from(coordinate) + 0.5) / 4_294_967_296.0
}

/// The standard normal score below which `part` lies.
fn normal_score(part: f64) -> f64 {
    let tail = part.min(1.0 - part);
    SQRT_2 * inverse_erfc(2.0 * tail).copysign(part - 0.5)
}

#[cfg(test)]
#[allow(
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]
mod tests {
    use super::*;

    fn unscrambled(dimension: usize, index: u32) -> f64 {
        let directions = match dimension {
            0 => std::array::from_fn(|bit| 1 << (31 - bit)),
            later => directions(&DIRECTIONS[later - 1]),
        };
        // SciPy walks the sequence in Gray-code order.
        f64::from(raw(&directions, index ^ (index >> 1))) / 4_294_967_296.0
    }

    // Reference from another program: `scipy.stats.qmc.Sobol(48, scramble=False, bits=32)` of SciPy
    // 1.17.1, exact binary fractions.
    #[test]
    fn points_are_those_of_another_program() {
        let expected = [
            (7, [0.125, 0.625, 0.375, 0.875, 0.625, 0.875]),
            (100, [0.4140625, 0.2578125, 0.7734375, 0.6953125, 0.7109375, 0.7109375]),
            (
                1023,
                [
                    0.0009765625,
                    0.7529296875,
                    0.6123046875,
                    0.8505859375,
                    0.9287109375,
                    0.7626953125,
                ],
            ),
        ];
        for (index, values) in expected {
            for (dimension, value) in [0, 1, 2, 9, 30, 47].into_iter().zip(values) {
                assert_eq!(unscrambled(dimension, index), value, "{dimension} {index}");
            }
        }
    }

    // What makes a scramble Owen's: in each dimension the first 2^k points stay one in each of 2^k
    // equal intervals, and pairs of dimensions that are even stay even.
    #[test]
    fn a_scramble_keeps_every_interval_filled_once() {
        let sobol = Sobol::new(48, 2026);
        let points: Vec<Vec<f64>> = (0..256).map(|index| sobol.point(index)).collect();
        for dimension in 0..48 {
            let mut seen = [false; 256];
            points.iter().for_each(|p| seen[(p[dimension] * 256.0) as usize] = true);
            assert!(seen.iter().all(|s| *s), "dimension {dimension}");
        }
        let mut boxes = [0; 256];
        let place = |p: &[f64]| (p[0] * 16.0) as usize * 16 + (p[1] * 16.0) as usize;
        points.iter().for_each(|p| boxes[place(p)] += 1);
        assert!(boxes.iter().all(|count| *count == 1), "{boxes:?}");
        assert_ne!(Sobol::new(2, 1).point(5), Sobol::new(2, 2).point(5));
    }

    // Quantiles of the standard normal: 95 % 1.644854, 97.5 % 1.959964 (tables).
    #[test]
    fn scores_are_quantiles_of_the_normal() {
        for (part, score) in [(0.95, 1.644_853_63), (0.975, 1.959_963_98), (0.5, 0.0)] {
            assert!((normal_score(part) - score).abs() < 1e-8, "{part}");
            assert!((normal_score(1.0 - part) + score).abs() < 1e-8, "{part}");
        }
        assert!(normal_score(1e-9) < -5.9);
    }
}
