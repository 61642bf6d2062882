//! What leaves as a document: label sheets.
//!
//! Knows nothing of the web, of storage or of rules: it is given plain text and lays it out.
//!
//! The same labels give the same bytes, so that two sheets can be compared.
#![deny(missing_docs)]

mod label_sheet;
mod tag_code;

pub use label_sheet::{LABELS_PER_SHEET, Label, LabelSheetError, label_sheet};
