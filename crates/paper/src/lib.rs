//! What leaves as a document: label sheets, pictures of curves.
//!
//! Knows nothing of the web, of storage or of rules: it is given plain text and lays it out.
//!
//! The same labels give the same bytes, so that two sheets can be compared.
#![deny(missing_docs)]

mod curve_picture;
mod label_sheet;
mod tag_code;

pub use curve_picture::{CurvePicture, curve_picture};
pub use label_sheet::{LABELS_PER_SHEET, Label, LabelSheetError, label_sheet};
