//! The ledger through its door, and the database asked behind its back.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

#[macro_use]
mod sample;

#[path = "../../../program/tests/support/air.rs"]
#[allow(dead_code, reason = "the tests of another crate use all of it")]
mod air;
mod append;
mod attachment;
#[path = "../support/cluster.rs"]
mod cluster;
mod copies;
mod lists;
mod open;
#[path = "../../../program/tests/support/plant.rs"]
#[allow(dead_code, reason = "the tests of another crate use all of it")]
mod plant;
mod projection;
#[path = "../../../program/tests/support/random.rs"]
#[allow(dead_code, reason = "the tests of another crate use all of it")]
mod random;
mod schema;
mod verify;
