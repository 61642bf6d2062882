//! The words of a reader of texts, as a person would say them.

/// Says plainly what a reader of TOML, CSV or JSON found: what is missing, which keys and words there
/// are, what stands where something else belongs. Words that are plain already stay as they are.
#[must_use]
pub fn plain_words(said: &str) -> String {
    let said = said.trim();
    let first = |start: &str| said.split_once(start).map(|(_, rest)| rest);
    if let Some(key) = first("missing field ").map(quoted) {
        return format!("`{key}` is missing\n  write it, with its unit where it has one");
    }
    if let Some((found, known)) = first("unknown field ").and_then(|rest| rest.split_once(", ")) {
        return format!("there is no `{}` here{}", quoted(found), listed(known));
    }
    if let Some((found, known)) = first("unknown variant ").and_then(|rest| rest.split_once(", ")) {
        return format!(
            "`{}` is none of the words that belong here{}",
            quoted(found),
            listed(known)
        );
    }
    if let Some(key) = first("duplicate field ").map(quoted) {
        return format!("`{key}` stands here twice\n  keep one of them");
    }
    let wrong =
        ["invalid type: ", "invalid value: ", "invalid length "].into_iter().find_map(first);
    if let Some((found, wanted)) = wrong.and_then(|rest| rest.split_once(", expected ")) {
        let wanted = wanted.split(" at line ").next().unwrap_or(wanted);
        return format!("{} stands where {} belongs", thing(found), thing(wanted));
    }
    said.to_owned()
}

/// The same of a table (CSV).
pub(crate) fn words_of_table(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => format!(
            "this row has {len} cells and the first row has {expected_len}\n  give every row as many"
        ),
        csv::ErrorKind::Utf8 { .. } => {
            "this row is not text in UTF-8\n  save the table as CSV UTF-8".to_owned()
        }
        csv::ErrorKind::Deserialize { err, .. } => plain_words(&err.kind().to_string()),
        _ => "the table cannot be read\n  save it anew as CSV UTF-8".to_owned(),
    }
}

/// What stands between the first quotes, or the first word.
fn quoted(text: &str) -> &str {
    let within = text.split('`').nth(1);
    within.unwrap_or_else(|| text.split_whitespace().next().unwrap_or(text))
}

/// A list of keys or words, each between quotes.
fn listed(text: &str) -> String {
    let known: Vec<&str> = text.split('`').skip(1).step_by(2).collect();
    if known.is_empty() { String::new() } else { format!("\n  write one of: {}", known.join(", ")) }
}

/// A found or wanted thing without the names of types.
fn thing(text: &str) -> String {
    let named = [
        ("string ", "the text "),
        ("integer ", "the number "),
        ("floating point ", "the number "),
        ("boolean ", "the word "),
        ("a string", "a text in quotes"),
        ("a borrowed string", "a text in quotes"),
        ("a map", "a table"),
        ("map", "a table"),
        ("a sequence", "a list"),
        ("sequence", "a list"),
        ("a boolean", "true or false"),
        ("struct ", "a table "),
        ("null", "nothing"),
    ];
    for (start, words) in named {
        if let Some(rest) = text.strip_prefix(start) {
            // The name of a type says nothing to who wrote the text.
            let rest = if start == "struct " { "" } else { rest };
            return format!("{words}{rest}").trim_end().to_owned();
        }
    }
    let whole = ["u8", "u16", "u32", "u64", "usize", "i64"].contains(&text);
    if whole { "a whole number".to_owned() } else { text.to_owned() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_of_a_type_is_left_and_the_remedy_is_there() {
        for (said, plain) in [
            (
                "missing field `flow`",
                "`flow` is missing\n  write it, with its unit where it has one",
            ),
            (
                "unknown field `flwo`, expected one of `flow`, `temperature`",
                "there is no `flwo` here\n  write one of: flow, temperature",
            ),
            (
                "unknown variant `tomato`, expected `a` or `b`",
                "`tomato` is none of the words that belong here\n  write one of: a, b",
            ),
            (
                "invalid type: integer `5`, expected a string",
                "the number `5` stands where a text in quotes belongs",
            ),
            (
                "invalid type: string \"x\", expected u8",
                "the text \"x\" stands where a whole number belongs",
            ),
            ("invalid type: map, expected a sequence", "a table stands where a list belongs"),
            (
                "invalid type: integer `3`, expected struct AirPart",
                "the number `3` stands where a table belongs",
            ),
            ("the flow has no unit\n  write 5 L/min", "the flow has no unit\n  write 5 L/min"),
        ] {
            assert_eq!(plain_words(said), plain, "{said}");
        }
    }
}
