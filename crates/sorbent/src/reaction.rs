//! A gas held by a reaction that does not go back: a finite capacity with a rate of its own.

use crate::certified::CertifiedTest;
use crate::march::RATE_BY_VELOCITY;

/// What lies this many widths of the front ahead of its end passes less than e to the minus this.
const FAR_WIDTHS: f64 = 40.0;

/// An end of more than this part of what enters is taken to be at it: beyond the middle of the front a
/// slower uptake would come later.
const MOST_PASSED: f64 = 0.5;

/// Part of what is left by which rounds of a pattern are skipped at a time: what passes meanwhile changes
/// by less than a thousandth of what enters.
const SKIPPED: f64 = 0.002;

/// Standard deviation of ln(measured / best estimate) that the equation itself leaves of a gas held by
/// reaction, with capacity and rate right: a judgement, no source. No measured times of such gases are
/// at hand; of vapours they leave [`crate::MODEL_ERROR`], and this is half as much again.
pub const REACTION_MODEL_ERROR: f64 = 0.30;

/// Most that one element can hold over the width of its front, and least ([`HeldByReaction::widths`]):
/// outside of these none is seen or none fits. Common practice, no source.
pub(crate) const LIKELY_WIDTHS: (f64, f64) = (0.5, 5_000.0);

/// Greatest flow of a breath over its mean: half a sine that takes half the time.
const HEIGHT_OF_BREATH: f64 = std::f64::consts::PI;

/// Parts of a quarter of the sine over which a breath is summed, and halvings of a search in it.
const PARTS_OF_BREATH: u32 = 8;
const HALVINGS: u32 = 30;

/// What one element holds of a gas by reaction, and how fast.
///
/// Uptake is of second order and does not go back: `dq/dt = k c (full - q)`. In plug flow through a
/// fresh bed under steady air this is the curve of Bohart and Adams,
/// `c/c0 = e^(k c0 t) / (e^(k c0 t) + e^(k N/Q) - 1)` with the capacity `N` and the flow `Q`. Summed
/// over the bed, `dc/dz` says more: whatever was done to the element before, the part of the gas that
/// passes is `e^(-k r/Q)` with what is left `r` of the capacity, so that any pattern of levels and
/// flows is followed exactly without a grid. What the air between the granules holds is left out.
///
/// The rate was found at certain flows and levels and is not taken to be faster elsewhere
/// ([`Self::rate`]).
///
/// Source: Bohart and Adams 1920, J. Am. Chem. Soc. 42:523 (from memory); for a bed that is not fresh
/// Amundson 1948, J. Phys. Colloid Chem. 52:1153 (from memory). Checked against the march of the bed
/// (`tests/reaction.rs`).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HeldByReaction {
    /// What a fresh element holds, g.
    pub capacity_g: f64,
    /// Rate coefficient `k`, L/(g min).
    pub rate_l_per_g_min: f64,
    /// Slowest flow through one element at which the rate was found, L/min.
    pub slowest_l_per_min: f64,
    /// Highest level at which it was found, g/L.
    pub highest_g_per_l: f64,
}

/// A stretch of wear: how long, and what comes to one element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spell {
    /// Minutes.
    pub minutes: f64,
    /// Level that enters, g/L.
    pub level_g_per_l: f64,
    /// Flow through one element, L/min; its mean where it is breathed.
    pub flow_l_per_min: f64,
    /// Whether it is drawn by breathing, in half sines that take half the time, and not steadily.
    pub breathed: bool,
}

impl HeldByReaction {
    /// Capacity over the width of the front at the slowest flow that was tested.
    #[must_use]
    pub fn widths(&self) -> f64 {
        self.capacity_g * self.rate_l_per_g_min / self.slowest_l_per_min
    }

    /// Whether respirator elements can be so.
    #[must_use]
    pub fn is_likely(&self) -> bool {
        let (least, most) = LIKELY_WIDTHS;
        (least..=most).contains(&self.widths())
    }

    /// The rate coefficient in such air, L/(g min): that found; in proportion to the flow where it is
    /// slower than any tested, so that longer contact is not credited; and in inverse proportion to
    /// the level where it is higher than any tested.
    #[must_use]
    pub fn rate(&self, spell: &Spell) -> f64 {
        let slower = (spell.flow_l_per_min / self.slowest_l_per_min).min(1.0);
        let higher = (self.highest_g_per_l / spell.level_g_per_l).min(1.0);
        self.rate_l_per_g_min * slower * higher
    }

    /// What is left of the capacity, g, when `part`, 0 to 1, of what enters passes.
    ///
    /// In breathed air the part is the mean of a breath, in which the rate follows the flow as
    /// published for vapours ([`RATE_BY_VELOCITY`]).
    #[must_use]
    pub fn left_at(&self, spell: &Spell, part: f64) -> f64 {
        let steady = -part.ln() * self.width(spell);
        if !spell.breathed {
            return steady;
        }
        // No breath stretches the front by more than its height does.
        let (mut low, mut high) = (steady, steady * HEIGHT_OF_BREATH.powf(1.0 - RATE_BY_VELOCITY));
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if self.passes(spell, middle) > part { low = middle } else { high = middle }
        }
        high
    }

    /// Part of what enters that passes with so much of the capacity left.
    #[must_use]
    pub fn passes(&self, spell: &Spell, left_g: f64) -> f64 {
        let widths = left_g / self.width(spell);
        if !spell.breathed {
            return (-widths).exp();
        }
        let width = std::f64::consts::FRAC_PI_2 / f64::from(PARTS_OF_BREATH);
        let sine = |part: u32| ((f64::from(part) + 0.5) * width).sin();
        let passes = |drawn: f64| {
            let wider = (HEIGHT_OF_BREATH * drawn).powf(1.0 - RATE_BY_VELOCITY);
            drawn * (-widths / wider).exp()
        };
        let drawn: f64 = (0..PARTS_OF_BREATH).map(sine).sum();
        (0..PARTS_OF_BREATH).map(|part| passes(sine(part))).sum::<f64>() / drawn
    }

    /// What is left at the end of a stretch that began with so much, g.
    #[must_use]
    pub fn left_after(&self, spell: &Spell, left_g: f64) -> f64 {
        if spell.level_g_per_l <= 0.0 || left_g <= 0.0 {
            return left_g.max(0.0);
        }
        let width = self.width(spell);
        let reduced = left_g / width;
        let after = ahead(reduced) - self.rate(spell) * spell.level_g_per_l * spell.minutes;
        // The logarithm of one and e to that, which for a number far below zero is what it adds.
        let left = after.max(0.0) + (-after.abs()).exp().ln_1p();
        width * left.min(reduced)
    }

    /// Minutes of the stretch until so much is left of what it began with.
    fn minutes_between(&self, spell: &Spell, from_g: f64, to_g: f64) -> f64 {
        let width = self.width(spell);
        let spent = ahead(from_g / width) - ahead(to_g / width);
        (spent / (self.rate(spell) * spell.level_g_per_l)).max(0.0)
    }

    /// Capacity over which the passing part falls by e, g.
    fn width(&self, spell: &Spell) -> f64 {
        spell.flow_l_per_min / self.rate(spell)
    }

    /// Minutes in use until `end_g_per_l` passes, going through `spells` as often as need be; infinite
    /// where it never does.
    ///
    /// Levels are zero or more, flows and the end above zero; an end above half of what enters counts as
    /// half. What passes below the end spends nothing. Whole rounds are skipped by what one of
    /// them takes up now, which later ones can only take less of, so that no time is lengthened by it.
    #[must_use]
    pub fn minutes_to(&self, spells: &[Spell], end_g_per_l: f64) -> f64 {
        let ends = |spell: &Spell| {
            let part = (end_g_per_l / spell.level_g_per_l).min(MOST_PASSED);
            (spell.level_g_per_l > end_g_per_l).then(|| self.left_at(spell, part))
        };
        let unused: Vec<Option<f64>> = spells.iter().map(ends).collect();
        let Some(most_unused) = unused.iter().flatten().copied().reduce(f64::max) else {
            return f64::INFINITY;
        };
        if let ([spell], [Some(unused)]) = (spells, unused.as_slice()) {
            return self.minutes_between(spell, self.capacity_g, unused.min(self.capacity_g));
        }
        let entering = || spells.iter().filter(|spell| spell.level_g_per_l > 0.0);
        let wide = entering().map(|spell| self.width(spell)).fold(0.0, f64::max);
        let round: f64 = spells.iter().map(|spell| spell.minutes).sum();
        let (mut left, mut minutes) = (self.capacity_g, 0.0);
        loop {
            let before = left;
            for (spell, unused) in spells.iter().zip(&unused) {
                let after = self.left_after(spell, left);
                if let Some(unused) = unused.filter(|unused| after <= *unused) {
                    return minutes + self.minutes_between(spell, left, unused.min(left));
                }
                left = after;
                minutes += spell.minutes;
            }
            let taken = before - left;
            if taken <= 0.0 {
                return f64::INFINITY;
            }
            let ahead = left - most_unused - taken;
            let skipped = (left - most_unused - FAR_WIDTHS * wide).max(SKIPPED * left).min(ahead);
            let rounds = (skipped / taken).floor().max(0.0);
            left -= rounds * taken;
            minutes += rounds * round;
        }
    }

    /// The same of a round that comes again and again, wherever in it an element is opened: what brings most
    /// comes first, all that enters is taken up, and the end is that of the stretch that ends soonest. No
    /// opening takes up more in so many minutes.
    #[must_use]
    pub fn minutes_from_worst_start(&self, spells: &[Spell], end_g_per_l: f64) -> f64 {
        if spells.len() < 2 {
            return self.minutes_to(spells, end_g_per_l);
        }
        let ends = |spell: &&Spell| spell.level_g_per_l > end_g_per_l;
        let unused = spells
            .iter()
            .filter(ends)
            .map(|spell| self.left_at(spell, (end_g_per_l / spell.level_g_per_l).min(MOST_PASSED)));
        let Some(unused) = unused.reduce(f64::max) else { return f64::INFINITY };
        let brings = |spell: &Spell| spell.level_g_per_l * spell.flow_l_per_min;
        let mut order = spells.to_vec();
        order.sort_by(|a, b| brings(b).total_cmp(&brings(a)));
        let each: f64 = order.iter().map(|spell| brings(spell) * spell.minutes).sum();
        let mut left = (self.capacity_g - unused).max(0.0);
        let rounds = (left / each).floor();
        left -= rounds * each;
        let mut minutes = rounds * order.iter().map(|spell| spell.minutes).sum::<f64>();
        for spell in &order {
            let here = brings(spell) * spell.minutes;
            if left < here {
                return minutes + spell.minutes * left / here;
            }
            left -= here;
            minutes += spell.minutes;
        }
        minutes
    }

    /// Minutes that `elements` of these, sharing the flow, last in a certification test of a gas of so
    /// many g/L for each ppm.
    #[must_use]
    pub fn minutes_in(&self, test: &CertifiedTest, elements: f64, g_per_l_per_ppm: f64) -> f64 {
        let spell = Spell {
            minutes: 1.0,
            level_g_per_l: test.challenge_ppm * g_per_l_per_ppm,
            flow_l_per_min: test.flow_l_per_min / elements,
            breathed: false,
        };
        self.minutes_to(&[spell], test.end_ppm * g_per_l_per_ppm)
    }
}

/// `ln(e^x - 1)`: how far ahead of its middle a front is that has so many of its widths to go.
fn ahead(x: f64) -> f64 {
    if x > FAR_WIDTHS { x } else { x.exp_m1().ln() }
}
