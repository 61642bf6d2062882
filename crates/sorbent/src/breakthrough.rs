//! The reaction-kinetic bed equation of Wheeler and Jonas.

/// What the bed equation needs for one vapour, all through one element.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BreakthroughTerms {
    /// Sorbent, g.
    pub mass_g: f64,
    /// Vapour held by the sorbent in balance with the air that enters, g/g.
    pub loading: f64,
    /// Flow, cm³/min.
    pub flow_cm3_per_min: f64,
    /// Bulk density, g/cm³.
    pub bulk_density: f64,
    /// Rate coefficient, 1/min.
    pub rate: f64,
    /// Vapour in the air that enters, g/cm³.
    pub inlet: f64,
}

/// The course of one vapour through one bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Breakthrough {
    /// Time, min, at which half of the inlet passes: what the bed holds over what enters.
    pub midpoint_min: f64,
    /// Rate constant of the rise, 1/min.
    pub rise_per_min: f64,
}

impl BreakthroughTerms {
    /// The course these terms give.
    ///
    /// Time to an outlet fraction x is `midpoint - ln((1 - x)/x) / rise`, min: the first term is
    /// what the bed holds over what enters, the second the part of the bed in which uptake is
    /// still going on. Holds for a steady inlet well above the outlet and a bed deeper than its
    /// critical depth.
    ///
    /// Source: Jonas and Rehrmann 1973, Carbon 11:59 (form from memory); review by Lodewyckx, Wood
    /// and Ryu 2004, Carbon 42:1351.
    #[must_use]
    pub fn course(&self) -> Breakthrough {
        Breakthrough {
            midpoint_min: self.loading * self.mass_g / (self.inlet * self.flow_cm3_per_min),
            rise_per_min: self.rate * self.inlet / (self.loading * self.bulk_density),
        }
    }

    /// Sorbent, g, below which the outlet stands at `fraction` of the inlet from the start.
    #[must_use]
    pub fn critical_mass_g(&self, fraction: f64) -> f64 {
        let logarithm = ((1.0 - fraction) / fraction).max(1.0).ln();
        self.bulk_density * self.flow_cm3_per_min * logarithm / self.rate
    }
}

impl Breakthrough {
    /// Minutes until the outlet is `fraction` (0 to 1, both excluded) of the inlet; zero, never
    /// less, where the bed is at or under its critical mass.
    ///
    /// A fraction above one half gives the midpoint: past it the equation has not been shown to
    /// hold, and the midpoint is the shorter time.
    #[must_use]
    pub fn time_to(&self, fraction: f64) -> f64 {
        let logarithm = ((1.0 - fraction) / fraction).max(1.0).ln();
        (self.midpoint_min - logarithm / self.rise_per_min).max(0.0)
    }

    /// Outlet as a fraction of the inlet after `minutes`.
    #[must_use]
    pub fn outlet_fraction(&self, minutes: f64) -> f64 {
        1.0 / (1.0 + (self.rise_per_min * (self.midpoint_min - minutes)).exp())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn toluene() -> BreakthroughTerms {
        BreakthroughTerms {
            mass_g: 26.0,
            loading: 0.293_161,
            flow_cm3_per_min: 26_650.0,
            bulk_density: 0.42,
            rate: 3198.03,
            inlet: 0.760_883e-6,
        }
    }

    // Worked number, computed in floating point and in 30-digit arithmetic: first term 375.893,
    // second 111.181, time 264.712 min, critical mass 7.690 g.
    #[test]
    fn toluene_time_is_the_worked_number() {
        let course = toluene().course();
        assert!((course.midpoint_min / 375.893 - 1.0).abs() < 2e-6);
        assert!((course.rise_per_min / 0.019_762_6 - 1.0).abs() < 5e-6);
        assert!((course.time_to(0.1) / 264.712 - 1.0).abs() < 2e-6);
        assert!((toluene().critical_mass_g(0.1) / 7.690 - 1.0).abs() < 1e-4);
        let under = BreakthroughTerms { mass_g: 7.6, ..toluene() }.course().time_to(0.1);
        assert_eq!(under, 0.0);
    }

    // Identity: the outlet curve is the inverse of the time; Yoon and Nelson 1992 write the same.
    #[test]
    fn outlet_and_time_are_inverse() {
        let course = toluene().course();
        for fraction in [0.001, 0.01, 0.1, 0.5] {
            let back = course.outlet_fraction(course.time_to(fraction));
            assert!((back / fraction - 1.0).abs() < 1e-9, "{fraction}: {back}");
        }
        assert_eq!(course.time_to(0.9), course.midpoint_min);
    }
}
