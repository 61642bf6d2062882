//! The ledger through its door, and the database asked behind its back.

mod append;
mod open;
mod sample;
mod schema;
mod verify;
