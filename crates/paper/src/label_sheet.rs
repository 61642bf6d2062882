use std::fmt::Write as _;

use thiserror::Error;

use crate::tag_code::tag_code;

/// Millimetres across and down one sheet of A4 paper (ISO 216).
const PAPER_MM: (usize, usize) = (210, 297);

/// Columns and rows of labels on a sheet.
const GRID: (usize, usize) = (3, 8);

/// How many labels one sheet holds.
pub const LABELS_PER_SHEET: usize = GRID.0 * GRID.1;

/// Millimetres of one label, and the side of the code on it. The rows leave one millimetre of the
/// sheet over, half of it at either end.
const LABEL_MM: (usize, usize) = (70, 37);
const CODE_MM: f64 = 25.0;

/// White modules a reader needs around a code. Source: ISO/IEC 18004.
const QUIET_MODULES: usize = 4;

/// Letters that fit on one line beside the code, by the size of the text.
const TAG_LETTERS: usize = 11;
const SIZE_LETTERS: usize = 19;
const MODEL_LETTERS: usize = 24;

/// One label to be stuck on a respirator.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Label {
    /// The tag of the unit: what the code holds.
    pub tag: String,
    /// Its size.
    pub size: String,
    /// Its model, in plain words.
    pub model: String,
}

/// Why no sheet was made.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum LabelSheetError {
    /// There is nothing to print.
    #[error("there is no label to print\n  choose at least one respirator")]
    Nothing,
    /// More labels than one sheet holds.
    #[error(
        "{found} labels do not fit on one sheet, which holds {LABELS_PER_SHEET}\n  print them on several sheets"
    )]
    TooMany {
        /// How many were given.
        found: usize,
    },
    /// A tag that a code cannot hold.
    #[error(
        "the tag `{tag}` is empty or too long for a code\n  use a tag of at most 100 characters"
    )]
    Tag {
        /// The tag.
        tag: String,
    },
}

/// One sheet of A4 paper with a label for each unit, as an SVG document: the tag as a square code
/// and in letters, the size and the model.
///
/// Refuses an empty list, more than [`LABELS_PER_SHEET`] labels and a tag a code cannot hold.
///
/// ```
/// let label = paper::Label { tag: "HM-001".into(), size: "M".into(), model: "half mask".into() };
/// let sheet = paper::label_sheet(&[label])?;
/// assert!(sheet.contains("HM-001"));
/// # Ok::<(), paper::LabelSheetError>(())
/// ```
pub fn label_sheet(labels: &[Label]) -> Result<String, LabelSheetError> {
    match labels.len() {
        0 => return Err(LabelSheetError::Nothing),
        found if found > LABELS_PER_SHEET => return Err(LabelSheetError::TooMany { found }),
        _ => {}
    }
    let (width, height) = PAPER_MM;
    let mut sheet = format!(
        r#"<svg xmlns="http://www.w3.org/2000/svg" width="{width}mm" height="{height}mm" viewBox="0 0 {width} {height}" font-family="Helvetica, Arial, sans-serif">
<title>Labels for respirators</title>
<rect width="{width}" height="{height}" fill="white"/>
"#
    );
    for (place, label) in labels.iter().enumerate() {
        sheet.push_str(&one_label(place, label)?);
    }
    sheet.push_str("</svg>\n");
    Ok(sheet)
}

/// The label at `place`, counted along the rows from the top left.
fn one_label(place: usize, label: &Label) -> Result<String, LabelSheetError> {
    let tag = label.tag.trim();
    let refused = || LabelSheetError::Tag { tag: label.tag.clone() };
    if tag.is_empty() || tag.chars().count() > 100 {
        return Err(refused());
    }
    let code = tag_code(tag).ok_or_else(refused)?;
    let x = place % GRID.0 * LABEL_MM.0;
    let y = place / GRID.0 * LABEL_MM.1;
    let modules = u32::try_from(code.size + 2 * QUIET_MODULES).map_err(|_| refused())?;
    let scale = CODE_MM / f64::from(modules);
    let mut out = format!(
        "<g transform=\"translate({x} {y}.5)\">\n<g transform=\"translate(3 6) scale({scale:.4}) \
         translate({QUIET_MODULES} {QUIET_MODULES})\"><path d=\"{}\"/></g>\n",
        code.path
    );
    let tag_mm = if tag.chars().count() > TAG_LETTERS { 3.2 } else { 5.2 };
    line(&mut out, 12.0, tag_mm, true, &shortened(tag, 2 * TAG_LETTERS));
    line(&mut out, 19.0, 4.0, false, &shortened(&size_words(&label.size), SIZE_LETTERS));
    for (y, words) in [24.5, 28.5, 32.5].into_iter().zip(in_lines(&label.model)) {
        line(&mut out, y, 3.0, false, &words);
    }
    out.push_str("</g>\n");
    Ok(out)
}

/// A line of text right of the code.
fn line(out: &mut String, y: f64, size_mm: f64, bold: bool, text: &str) {
    let weight = if bold { " font-weight=\"bold\"" } else { "" };
    // Writing to a String cannot fail.
    let _ = writeln!(
        out,
        "<text x=\"30\" y=\"{y}\" font-size=\"{size_mm}\"{weight}>{}</text>",
        escaped(text)
    );
}

/// `M` is not a word on its own, `one size` is.
fn size_words(size: &str) -> String {
    if size.contains("size") { size.to_owned() } else { format!("size {size}") }
}

/// Words over three lines; what does not fit ends in an ellipsis.
fn in_lines(text: &str) -> [String; 3] {
    let mut lines: [String; 3] = Default::default();
    let mut words = text.split_whitespace().peekable();
    let last = lines.len() - 1;
    for (place, line) in lines.iter_mut().enumerate() {
        while let Some(word) = words.peek() {
            let fits = line.chars().count() + 1 + word.chars().count() <= MODEL_LETTERS;
            if !(line.is_empty() || fits || place == last) {
                break;
            }
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
            words.next();
        }
    }
    lines.map(|line| shortened(&line, MODEL_LETTERS))
}

fn shortened(text: &str, letters: usize) -> String {
    if text.chars().count() <= letters {
        return text.to_owned();
    }
    let kept: String = text.chars().take(letters.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// Text that XML takes as text; characters that XML 1.0 forbids are left out.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            other if other.is_control() => {}
            other => out.push(other),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(tag: &str) -> Label {
        Label { tag: tag.into(), size: "M".into(), model: "half mask with two cartridges".into() }
    }

    #[test]
    fn the_same_labels_give_the_same_bytes() {
        let labels: Vec<_> = (0..LABELS_PER_SHEET).map(|n| label(&format!("HM-{n:03}"))).collect();
        let sheet = label_sheet(&labels).unwrap();
        assert_eq!(sheet, label_sheet(&labels).unwrap());
        assert!(labels.iter().all(|label| sheet.contains(&format!(">{}<", label.tag))));
        assert!(sheet.contains(">half mask with two<") && sheet.contains(">cartridges<"));
    }

    #[test]
    fn long_names_are_broken_between_words_and_end_in_an_ellipsis() {
        assert_eq!(
            in_lines("Airline full facepiece A, pressure-demand"),
            ["Airline full facepiece", "A, pressure-demand", ""]
        );
        let [_, _, third] = in_lines(&"words and ".repeat(20));
        assert!(third.ends_with('…') && third.chars().count() <= MODEL_LETTERS, "{third}");
    }

    #[test]
    fn labels_stay_on_the_paper() {
        assert!(GRID.0 * LABEL_MM.0 <= PAPER_MM.0 && GRID.1 * LABEL_MM.1 < PAPER_MM.1);
    }

    #[test]
    fn what_cannot_be_printed_is_refused() {
        assert_eq!(label_sheet(&[]), Err(LabelSheetError::Nothing));
        let many = vec![label("A"); LABELS_PER_SHEET + 1];
        assert_eq!(label_sheet(&many), Err(LabelSheetError::TooMany { found: 25 }));
        for tag in ["", "  ", &"x".repeat(101)] {
            assert!(
                matches!(label_sheet(&[label(tag)]), Err(LabelSheetError::Tag { .. })),
                "{tag}"
            );
        }
    }

    #[test]
    fn names_cannot_break_out_of_the_text() {
        let sheet = label_sheet(&[label("<script>&\"")]).unwrap();
        assert!(sheet.contains("&lt;script&gt;&amp;&quot;") && !sheet.contains("<script"));
    }
}
