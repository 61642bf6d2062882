//! The ledger through its door, and the database asked behind its back.
#![allow(clippy::unwrap_used, reason = "a helper of a test fails by panicking, as the test does")]

mod append;
mod open;
mod sample;
mod schema;
mod verify;
