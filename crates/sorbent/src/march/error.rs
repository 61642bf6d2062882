/// Why a bed was not marched.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum MarchError {
    /// A number that is not one, or lies where no bed does.
    #[error(
        "{what} of {value:e} is outside {lowest:e} to {highest:e}\n  check the value and its unit"
    )]
    Outside {
        /// What the number stands for, with the contaminant or segment it belongs to.
        what: String,
        /// The number.
        value: f64,
        /// Least value taken.
        lowest: f64,
        /// Greatest value taken.
        highest: f64,
    },
    /// No contaminant enters at any time.
    #[error("no contaminant is named\n  name at least one with its concentration")]
    NoContaminant,
    /// No air passes at any time.
    #[error("no segment has air passing through the bed\n  add a segment with the mask on")]
    NoAir,
    /// A segment does not tell the level of each contaminant, or of too many.
    #[error(
        "segment {segment} tells {found} levels for {wanted} contaminants\n  give one level for each, zero where there is none"
    )]
    Levels {
        /// Its place in the list, from 1.
        segment: usize,
        /// How many levels it tells.
        found: usize,
        /// How many contaminants there are.
        wanted: usize,
    },
    /// More contaminants, segments or steps than one march takes.
    #[error("{count} {what} are more than the {most} that one march takes\n  split the case")]
    TooMany {
        /// Of what.
        what: &'static str,
        /// How many there are.
        count: usize,
        /// How many are taken.
        most: usize,
    },
    /// A rate of second order beside an equilibrium that has no count of free places.
    #[error(
        "{name}: a rate of second order needs a sorbent with a count of free places\n  give a driving force, or a Langmuir or reaction capacity"
    )]
    NoFreePlaces {
        /// The contaminant.
        name: String,
    },
    /// Breathed air is followed for one vapour on carbon only.
    #[error(
        "breathed air is followed for a vapour with a driving force on carbon, which {name} is not\n  take the steady mean flow"
    )]
    NotBreathed {
        /// The component.
        name: String,
    },
    /// A step of a march with axial dispersion whose levels were not found, however short it was made.
    #[error(
        "the levels in the bed were not found at {clock_s} s\n  march the case without axial dispersion, or check its rates and levels"
    )]
    NotFound {
        /// When, s since the start.
        clock_s: f64,
    },
}
