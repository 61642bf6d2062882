//! The pages as a browser meets them: no socket, but every guard and every layer.
#![allow(clippy::unwrap_used, reason = "a helper of a test fails by panicking, as the test does")]

mod bring;
mod calculate;
mod forecast;
mod guards;
mod many;
mod pages;
mod photos;
mod plant;
mod record;
