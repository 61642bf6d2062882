//! A number written beside the limit that it is held against.

/// `value` in `decimals` decimals, or in as many more as it takes to stand on the same side of `limit`
/// as it does unrounded: 99.96 beside 100 is not written as 100.0.
///
/// Both in the same unit. A value that is not a number is written as such.
///
/// ```
/// assert_eq!(rulebook::shown_beside(99.96, 100.0, 1), "99.96");
/// assert_eq!(rulebook::shown_beside(212.345, 100.0, 1), "212.3");
/// ```
#[must_use]
pub fn shown_beside(value: f64, limit: f64, decimals: usize) -> String {
    let side = value.partial_cmp(&limit);
    let keeps_side =
        |text: &String| text.parse::<f64>().is_ok_and(|v| v.partial_cmp(&limit) == side);
    let written = (decimals..=MOST_DECIMALS).map(|decimals| format!("{value:.decimals$}"));
    written.into_iter().find(keeps_side).unwrap_or_else(|| value.to_string())
}

/// More decimals than these say nothing; the shortest writing that reads back the same is taken.
const MOST_DECIMALS: usize = 9;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_stays_on_its_side_of_the_limit() {
        for (value, limit, decimals, said) in [
            (99.96, 100.0, 1, "99.96"),
            (99.94, 100.0, 1, "99.9"),
            (100.0, 100.0, 1, "100.0"),
            (100.04, 100.0, 1, "100.04"),
            (499.999_999_999_9, 500.0, 1, "499.9999999999"),
            (480.3, 480.0, 0, "480.3"),
            (-45.552, -45.555_6, 1, "-45.55"),
            (-45.56, -45.555_6, 1, "-45.6"),
            (f64::INFINITY, 10.0, 1, "inf"),
            (f64::NAN, 10.0, 1, "NaN"),
        ] {
            assert_eq!(shown_beside(value, limit, decimals), said);
        }
    }
}
