//! The people who wear respirators.

pub(crate) mod list;
pub(crate) mod show;
