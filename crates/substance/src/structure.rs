//! Counts of atoms and bonds by kind.

use std::collections::BTreeMap;

/// How many atoms, bonds and groups of each kind a molecule has, as the estimation methods need them.
///
/// Written `C:7 H:8 double_bond:3 ring:1`. An atom inside a nitro or nitrate group is counted in the
/// group alone; `heavy_C` and its like count every atom of the element.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Structure(BTreeMap<String, u32>);

impl Structure {
    /// How many of this kind; zero when there is none.
    #[must_use]
    pub fn count(&self, kind: &str) -> u32 {
        self.0.get(kind).copied().unwrap_or(0)
    }

    /// Every kind with its count.
    pub fn kinds(&self) -> impl Iterator<Item = (&str, u32)> {
        self.0.iter().map(|(kind, n)| (kind.as_str(), *n))
    }

    /// Reads the written form; `None` when it is another.
    #[must_use]
    pub fn read(text: &str) -> Option<Self> {
        text.split_whitespace()
            .map(|part| {
                let (kind, n) = part.split_once(':')?;
                Some((kind.to_owned(), n.parse().ok()?))
            })
            .collect::<Option<_>>()
            .map(Self)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_are_read_by_kind() {
        let toluene = Structure::read("C:7 H:8 double_bond:3 heavy_C:7 ring:1").unwrap();
        assert_eq!(toluene.count("C"), 7);
        assert_eq!(toluene.count("Cl"), 0);
        assert_eq!(Structure::read("C:seven"), None);
    }
}
