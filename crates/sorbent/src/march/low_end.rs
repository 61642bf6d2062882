//! What the low end of the equilibrium decides, and what it does not.
//!
//! Dubinin-Radushkevich has no Henry constant, and every real carbon has one. Where the straight line
//! begins is not known for most; here it is moved from the tangent of the model, at a filling far
//! below anything measured, up to one hundredth of the pores, and the outlet is looked at.

use super::alone::Alone;
use super::dubinin::Dubinin;
use super::ideal::{Guess, Ideal};
use super::input::Path;
use super::plan::as_f64;
use super::together::{Lists, Together};

/// Bed and vapours of `data/checks/bed/problems.json`: velocity, sorbent per area, steps.
const VELOCITY: f64 = 0.116_885_964_912_280_7;
const CELLS: usize = 64;
const SORBENT: f64 = 440.0 * 0.022 / 64.0;
const STEP_S: f64 = 20.0;
const STEPS: usize = 1_440;

fn toluene() -> Dubinin {
    Dubinin::new(4.225_952_030_445_352, 0.120_309_228_581_177_9, 1.313_602_349_673_566_5)
}

fn acetone() -> Dubinin {
    Dubinin::new(6.107_702_210_704_866, 0.195_660_566_728_356, 10.918_025_318_506_44)
}

/// Levels at the outlet over those at the inlet, at every step of one shift.
fn outlets(vapours: &[(Dubinin, f64, f64)]) -> Vec<Vec<f64>> {
    let alone = vapours.iter().map(|(law, ..)| Alone::new(*law)).collect();
    let ideal = Ideal::new(alone, vec![1.0; vapours.len()]);
    let per_s = vapours.iter().map(|(_, rate, _)| *rate).collect();
    let lengths = vec![STEP_S; STEPS];
    let together = Together { ideal: &ideal, per_s, bed: SORBENT / VELOCITY, lengths: &lengths };
    let mut loads = vec![vec![0.0; CELLS]; vapours.len()];
    let mut slopes: Vec<Vec<f64>> = vapours.iter().map(|(l, ..)| vec![l.henry; CELLS]).collect();
    let mut streams: Vec<Vec<f64>> = vapours.iter().map(|(.., c)| vec![*c; STEPS]).collect();
    let mut guesses = vec![Guess::NONE; CELLS];
    together.march(
        Path::Widest,
        Lists {
            loads: &mut loads,
            slopes: &mut slopes,
            guesses: &mut guesses,
            streams: &mut streams,
        },
    );
    for (stream, (.., inlet)) in streams.iter_mut().zip(vapours) {
        stream.iter_mut().for_each(|c| *c /= inlet);
    }
    streams
}

/// First time, s, at which a curve reaches `fraction`, by a straight line in its logarithm.
fn reaches(curve: &[f64], fraction: f64) -> f64 {
    let step = curve.iter().position(|y| *y >= fraction).unwrap();
    let (a, b) = (curve[step - 1].max(1e-300).ln(), curve[step].ln());
    STEP_S * (as_f64(step) - 0.5 + (fraction.ln() - a) / (b - a))
}

fn toluene_500(law: Dubinin) -> Vec<f64> {
    outlets(&[(law, 3.564_423_762_913_426e-4, 0.020_655_248_093_099_696)]).remove(0)
}

/// Acetone and toluene, 250 ppm each.
fn both(of: impl Fn(Dubinin) -> Dubinin) -> Vec<f64> {
    let level = 0.010_327_624_046_549_848;
    let acetone = (of(acetone()), 1.154_094_965_564_464_4e-3, level);
    outlets(&[acetone, (of(toluene()), 3.564_423_762_913_426e-4, level)]).remove(0)
}

// A vapour that fills much of the pores is far from the low end even at a ten-thousandth of what
// enters, because its curve is so flat: its times do not depend on it.
#[test]
fn breakthrough_of_a_strong_vapour_does_not_depend_on_the_low_end() {
    let usual = toluene_500(toluene());
    for filling in [1e-4, 1e-3, 1e-2] {
        let other = toluene_500(toluene().straight_below(filling));
        for fraction in [1e-4, 1e-3, 1e-2, 0.1, 0.5] {
            let by = reaches(&other, fraction) / reaches(&usual, fraction) - 1.0;
            assert!(by.abs() < 1e-6, "{filling} {fraction}: {by}");
        }
    }
}

// A weak vapour at a trace fills few of the pores: dichloromethane at 10 ppm one part in a hundred.
// There the line decides: were the carbon straight from a hundredth, the first of it would leave earlier.
#[test]
fn breakthrough_of_a_weak_trace_depends_on_the_low_end() {
    let law = Dubinin::new(7.016_589_676_475_014, 0.194_223_741_776_834_4, 20.597_745_397_335_5);
    let inlet = 4.131e-4;
    let filled = law.load(inlet) / law.full;
    assert!(0.005 < filled && filled < 0.05, "{filled}");
    let curve = |law: Dubinin| outlets(&[(law, 1.347e-3, inlet)]).remove(0);
    let usual = curve(law);
    let moved = |filling: f64, fraction: f64| {
        let by = reaches(&curve(law.straight_below(filling)), fraction);
        let by = by / reaches(&usual, fraction) - 1.0;
        println!("dichloromethane straight below {filling}: {fraction} time {by:+.1e}");
        by
    };
    assert!(moved(1e-4, 0.01).abs() < 2e-3);
    assert!(moved(1e-3, 0.01).abs() < 2e-2);
    let early = moved(1e-2, 0.01);
    assert!(-0.5 < early && early < -0.02, "{early}");
}

// The weak one of a pair is squeezed to small fillings behind the front of the strong one; ahead of
// it, where it breaks through and rises above its inlet, it is alone: the line moves both by little.
#[test]
fn early_breakthrough_and_rise_of_the_weak_of_two_hardly_depend_on_the_low_end() {
    let usual = both(|law| law);
    let peak = |curve: &[f64]| curve.iter().copied().fold(0.0, f64::max);
    for (filling, early, rise) in [(1e-3, 1e-4, 1e-4), (1e-2, 5e-3, 5e-4)] {
        let other = both(|law| law.straight_below(filling));
        let by = reaches(&other, 0.01) / reaches(&usual, 0.01) - 1.0;
        let peaks = peak(&other) / peak(&usual) - 1.0;
        println!("acetone straight below {filling}: 1 % time {by:+.1e}, peak {peaks:+.1e}");
        assert!(by.abs() < early && peaks.abs() < rise, "{filling}: {by} {peaks}");
    }
}
