//! Text in which nobody sees anything.

/// Whether nobody sees a sign on a tag or a sheet: controls, marks of direction and joining, variation
/// selectors, tags and letters that are blank.
///
/// Source: Unicode Standard, Default_Ignorable_Code_Point (value from memory), and the Braille blank.
#[must_use]
pub fn is_invisible(letter: char) -> bool {
    letter.is_control()
        || matches!(letter,
            '\u{ad}' | '\u{34f}' | '\u{61c}' | '\u{115f}' | '\u{1160}' | '\u{17b4}' | '\u{17b5}'
            | '\u{180b}'..='\u{180f}' | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}' | '\u{2800}' | '\u{3164}' | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}' | '\u{ffa0}' | '\u{fff0}'..='\u{fffb}' | '\u{1bca0}'..='\u{1bca3}'
            | '\u{1d173}'..='\u{1d17a}' | '\u{e0000}'..='\u{e0fff}')
}

/// Whether a text tells nothing, for nobody sees anything in it.
///
/// ```
/// assert!(rulebook::is_blank(" \u{200b}\u{2800}"));
/// assert!(!rulebook::is_blank(" radio 2"));
/// ```
#[must_use]
pub fn is_blank(text: &str) -> bool {
    text.chars().all(|letter| letter.is_whitespace() || is_invisible(letter))
}
