//! Named published methods for a property that no table has.
//!
//! Each file is one method with the same parts in the same order: what it needs, its source, one
//! function, its proof. None of them widens a number silently: what they give is marked estimated.

pub mod eisenlohr;
pub mod girolami;
pub mod lorentz_lorenz;
pub mod trouton;
