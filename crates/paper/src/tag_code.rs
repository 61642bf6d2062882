//! The square code that a phone reads from a tag.

use std::fmt::Write as _;

use fast_qr::{ECL, QRBuilder};

/// The dark modules of a code, as the path of an SVG with one unit per module.
pub(crate) struct TagCode {
    /// Modules along one side.
    pub(crate) size: usize,
    /// The path.
    pub(crate) path: String,
}

/// The code that holds `text`; `None` where the text is too long for one.
///
/// Error correction level Q (about a quarter of the code may be scratched or wet): a tag lives on a
/// washing bench. Source of the levels: ISO/IEC 18004.
pub(crate) fn tag_code(text: &str) -> Option<TagCode> {
    let code = QRBuilder::new(text).ecl(ECL::Q).build().ok()?;
    let size = code.size;
    let modules = code.data.get(..size * size)?;
    let mut path = String::new();
    for (y, row) in modules.chunks(size).enumerate() {
        let mut x = 0;
        for run in row.chunk_by(|one, next| one.value() == next.value()) {
            let width = run.len();
            if run.first().is_some_and(|module| module.value()) {
                // Writing to a String cannot fail.
                let _ = write!(path, "M{x} {y}h{width}v1h-{width}z");
            }
            x += width;
        }
    }
    Some(TagCode { size, path })
}
