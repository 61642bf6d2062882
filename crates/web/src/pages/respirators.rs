//! Respirators: all of them, one of them, and labels for them.

pub(crate) mod labels;
pub(crate) mod list;
pub(crate) mod show;
