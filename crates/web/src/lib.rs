//! Pages for a phone at the door of the work area and for a desk, drawn on the server; the sign-in
//! and the guards in front of them.
//!
//! Knows nothing of SQL, of physics or of what a rule asks: it reads forms, asks `program`, and puts
//! the answer into words and shapes. No page needs a script.

mod app;
mod chart;
mod component;
mod due_view;
mod fields;
mod guard;
mod life_view;
mod listen;
mod named;
mod pages;
mod paging;
mod photos;
mod record;
mod shell;
mod sign_in;
mod site_choice;
mod telling;
mod wording;

pub use app::{AppState, Setup};
pub use listen::{NotLoopback, loopback_only, serve};
pub use pages::router;
