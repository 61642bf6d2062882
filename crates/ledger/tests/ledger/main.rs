//! The ledger through its door, and the database asked behind its back.
#![allow(
    clippy::unwrap_used,
    clippy::indexing_slicing,
    clippy::as_conversions,
    reason = "a test that cannot read its own data must fail"
)]

#[macro_use]
mod sample;

mod append;
#[path = "../support/cluster.rs"]
mod cluster;
mod open;
mod schema;
mod verify;
