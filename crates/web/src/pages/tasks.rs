//! Tasks: what is in the air there, when to change the elements, which respirators are allowed.

pub(crate) mod list;
mod sets;
pub(crate) mod show;
