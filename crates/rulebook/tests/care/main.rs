//! The care of a set: what can be reached, what cannot, and its picture.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

mod explore;
mod paths;
mod picture;
mod sequences;
mod truth;
