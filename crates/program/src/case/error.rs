/// Why a written case was refused: where, and what was expected.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}, {key}: {message}")]
pub struct CaseError {
    /// Line of the text, from 1.
    pub line: usize,
    /// The key, or the table where a key is missing.
    pub key: String,
    /// What was found and what was expected.
    pub message: String,
}

impl CaseError {
    /// The refusal that the TOML reader gave, with its line and the key on that line.
    pub(crate) fn from_toml(error: &toml::de::Error, text: &str) -> Self {
        let start = error.span().map_or(text.len(), |span| span.start);
        let line = line_of(text, start);
        let key = key_on(text, line);
        let message = super::plain::plain_words(error.message());
        Self { line, key, message }
    }

    /// A refusal at a byte of the text.
    pub(crate) fn at(text: &str, start: usize, key: &str, message: String) -> Self {
        Self { line: line_of(text, start), key: key.to_owned(), message }
    }

    /// A refusal of what is not there: at the last line, unless the table of that name stands in
    /// the text.
    pub(crate) fn missing(text: &str, key: &str, message: &str) -> Self {
        let heads = |line: &str| {
            let line = line.trim();
            line.strip_prefix('[').is_some_and(|rest| rest.trim_start_matches('[').starts_with(key))
        };
        let found = text.lines().position(heads);
        let line = found.map_or_else(|| text.lines().count().max(1), |index| index + 1);
        Self { line, key: key.to_owned(), message: message.to_owned() }
    }
}

fn line_of(text: &str, start: usize) -> usize {
    let upto = text.get(..start.min(text.len())).unwrap_or(text);
    upto.matches('\n').count() + 1
}

/// The key that a line sets, the table it opens, or the line itself.
fn key_on(text: &str, line: usize) -> String {
    let whole = text.lines().nth(line.saturating_sub(1)).unwrap_or_default().trim();
    let key = match whole.strip_prefix('[') {
        Some(table) => table.trim_start_matches('[').split(']').next().unwrap_or_default(),
        None => whole.split_once('=').map_or(whole, |(key, _)| key),
    };
    let key = key.trim();
    if key.is_empty() { "case".to_owned() } else { key.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_is_told_by_its_key_or_its_table() {
        for (line, key) in [
            ("flow = \"40 L/min\"", "flow"),
            ("[air]", "air"),
            ("[[loading]]  # a point [dry]", "loading"),
            ("", "case"),
            ("stray", "stray"),
        ] {
            assert_eq!(key_on(line, 1), key);
        }
    }
}
