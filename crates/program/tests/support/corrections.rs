use program::{Entry, EntryId, Fact, PersonId, PlaceId, UnitId};
use proptest::prelude::*;

use super::cases;
use super::plant::{Plant, minutes};
use super::random::{draws, fact, plants, plants_with_baths};

/// A plant to which any few cases of the corpus or anything else happened, and the same plant after one more
/// entry, entered last, by somebody who has no part in the program: it corrects any entry to anything.
pub fn corrected() -> impl Strategy<Value = (Plant, Plant)> {
    let all: Vec<usize> = (0..cases::all().len()).collect();
    let of_cases = proptest::sample::subsequence(all, 1..4).prop_map(|which| {
        let (all, mut plant) = (cases::all(), Plant::good());
        which.iter().for_each(|case| (all[*case].change)(&mut plant));
        plant
    });
    let before = prop_oneof![3 => of_cases, 1 => plants_with_baths(), 1 => plants()];
    (before, any::<prop::sample::Index>(), 0..8_usize, draws(), -40..40_i64).prop_map(
        |(before, target, how, draw, moved)| {
            let mut after = before.clone();
            let target = before.entries[target.index(before.entries.len())].clone();
            let fact = match how {
                0 | 1 => fact(draw),
                // As it was in a plant where all is well.
                2 => {
                    let good = Plant::good().entries.into_iter().find(|one| one.id == target.id);
                    good.map_or_else(|| fact(draw), |good| good.fact)
                }
                3 => Fact::Stored {
                    unit: UnitId::new("another"),
                    place: PlaceId::new("never-listed"),
                },
                _ => well(&target.fact),
            };
            let moved = if how.is_multiple_of(2) { 0 } else { moved };
            let happened =
                target.happened + jiff::SignedDuration::from_hours(moved * moved * moved);
            let last = before.entries.iter().map(|entry| entry.entered).max();
            after.entries.push(Entry {
                id: EntryId::new("slip"),
                happened,
                entered: last.map_or(happened, |last| last + jiff::SignedDuration::from_secs(1)),
                by: PersonId::new("eve"),
                corrects: Some(target.id.clone()),
                fact,
                ..target
            });
            (before, after)
        },
    )
}

/// The same fact with nothing wrong in it, as far as its parts tell.
fn well(fact: &Fact) -> Fact {
    let mut all = serde_json::to_value(fact).unwrap();
    let better = [
        ("passed", serde_json::json!(true)),
        ("understood", serde_json::json!(true)),
        ("quality", serde_json::json!("meets")),
        ("clearance", serde_json::json!("cleared")),
        ("until", serde_json::Value::Null),
        ("hair_in_seal", serde_json::json!(false)),
        ("read", serde_json::json!(super::plant::quantity::<quantity::Kilopascal>("299 bar"))),
        ("flow", serde_json::json!(super::plant::quantity::<quantity::LitrePerMin>("300 L/min"))),
        ("contact", serde_json::json!(minutes(5.0))),
        ("agent", serde_json::json!("hypochlorite, 50 ppm")),
        ("time", serde_json::json!(minutes(1.0))),
        ("shared", serde_json::json!(false)),
        ("emergency", serde_json::json!(false)),
        ("wearer", serde_json::json!("bo")),
    ];
    let parts = all.as_object_mut().unwrap();
    for (part, value) in better {
        let is_there =
            parts.contains_key(part) && part != "wearer" || part == "wearer" && parts.len() == 3;
        if is_there {
            parts.insert(part.to_owned(), value);
        }
    }
    serde_json::from_value(all).unwrap_or_else(|_| fact.clone())
}
