//! What cannot be so, in words that a form and a finding share.

use jiff::civil::Date;
use rulebook::breathing_air::longest_period;
use rulebook::fit_test::TestedAs;
use rulebook::interval::Every;
use rulebook::{AirSource, Device};

use crate::alike;
use crate::check::MOST_ELEMENTS;
use crate::entry::{BedSpec, Fact, StockItem};
use crate::ids::{ModelId, StockId, UnitId};
use crate::state::{FitTest, Model, State};

/// Said of a size that the model does not come in, whatever the case.
pub(crate) fn no_such_size(model: &Model, size: &str) -> Option<String> {
    let comes = |listed: &String| alike(listed) == alike(size);
    if model.sizes.is_empty() || model.sizes.iter().any(comes) {
        return None;
    }
    Some(format!("{} does not come in the size `{size}`", model.name))
}

/// Said of cartridges or filters on a set that carries its own air: there is nowhere to put them. An
/// airline set may carry some for the way out.
pub(crate) fn elements_words(device: &Device) -> Option<&'static str> {
    let carried = device.air_source.is_self_contained();
    carried.then_some("a self-contained set takes no cartridges or filters")
}

/// Said of a cylinder on a set that cleans the air of the place: there is nowhere to put it.
#[must_use]
pub fn cylinder_on_words(device: &Device) -> Option<&'static str> {
    device.air_source.purifies_air().then_some("an air-purifying respirator carries no cylinder")
}

/// The heaviest bed of one element, g. Common practice, no source: the sorbent of a large canister of a gas
/// mask is some hundreds of grams, and nobody works with kilograms of it on the face or the belt.
const HEAVIEST_BED_G: f64 = 2000.0;

/// Said of a kind of element that nobody could wear, with the field of it and what puts it right: a slip
/// here makes every life longer.
pub(crate) fn kind_words(count: u8, bed: Option<&BedSpec>) -> Vec<(&'static str, String, String)> {
    let mut all = Vec::new();
    if !(1..=MOST_ELEMENTS).contains(&u32::from(count)) {
        let what = format!("no respirator carries {count} of it");
        all.push(("count", what, format!("write 1 to {MOST_ELEMENTS}")));
    }
    if let Some(mass) = bed.map(|bed| bed.sorbent_mass).filter(|g| HEAVIEST_BED_G < g.as_g()) {
        let what = format!("nobody wears {mass} of sorbent in one of it");
        let remedy = format!("write the sorbent of one, at most {HEAVIEST_BED_G} g");
        all.push(("bed.sorbent_mass", what, remedy));
    }
    all
}

/// Said of a time between two tests of a cylinder that no permit is known to allow.
pub(crate) fn period_words(every: Every) -> Option<String> {
    let longest = longest_period();
    let words =
        || format!("no cylinder is tested only each {every}; the longest printed is {longest}");
    (!every.is_no_laxer_than(longest)).then(words)
}

/// Said of a facepiece of this model and size that was taken from a box of something else.
pub(crate) fn not_from_that_box(
    state: &State,
    stock: &StockId,
    (model, size): (&ModelId, &str),
) -> Option<String> {
    let item = &state.stock(stock)?.item;
    let from = match item {
        StockItem::Facepieces { model: own, size: held } => {
            own == model && alike(held) == alike(size)
        }
        StockItem::Elements(_) | StockItem::Supplies(_) => false,
    };
    let (taken, held) = (state.words_of_size(model, size), state.words_of_item(item));
    (!from).then(|| format!("{taken}, cannot come from the box `{stock}` of {held}"))
}

/// What the dates of a cylinder that was listed on `day` contradict each other in, each with its field.
pub(crate) fn cylinder_words(
    (made, requalified, life_ends): (Date, Date, Option<Date>),
    day: Date,
) -> Vec<(&'static str, String)> {
    let mut all = Vec::new();
    if requalified < made {
        all.push((
            "requalified",
            format!("it was tested on {requalified}, before it was made on {made}"),
        ));
    }
    if day < made {
        all.push(("made", format!("it was made on {made}, after it was listed on {day}")));
    }
    if made <= requalified && day < requalified {
        let what = format!("it was tested on {requalified}, after it was listed on {day}");
        all.push(("requalified", what));
    }
    if let Some(end) = life_ends.filter(|end| *end < made || *end < requalified) {
        let what = format!("its life ended on {end}, before it was made or tested last");
        all.push(("terms.life_ends", what));
    }
    all
}

/// Whether a facepiece seals against the face and is fed with air, so that it is fit tested without it.
pub(crate) fn is_fed(device: &Device) -> bool {
    device.air_source != AirSource::AirPurifying && device.facepiece.is_tight_fitting()
}

/// What contradicts what a fit test says of the facepiece that was on the face: the field, the words and
/// what puts it right.
///
/// Source: 29 CFR 1910.134(f)(8); that a set is worn after it came and before it was retired is common
/// practice, no source.
pub(crate) fn tested_facepiece_words(
    state: &State,
    test: &FitTest,
) -> Vec<(&'static str, String, &'static str)> {
    let mut all = Vec::new();
    let unfed = state.model(&test.model).filter(|model| !is_fed(&model.device));
    if let Some(model) = unfed.filter(|_| test.tested_as.is_some()) {
        let what = format!("{} is not fed with air, and is tested as it is", model.name);
        all.push(("tested_as", what, "leave it empty, or look at the model"));
    }
    match &test.unit {
        None if test.tested_as.is_some_and(TestedAs::changes_own) => {
            let what = "a facepiece that was changed is not worn until it is put back";
            let remedy = "write the tag of the set whose facepiece was tested";
            all.push(("unit", what.to_owned(), remedy));
        }
        None => {}
        Some(id) => {
            let what = not_that_set(state, id, test);
            all.extend(what.map(|what| ("unit", what, "look at the tag, the model and the day")));
        }
    }
    all
}

/// Said of a set that cannot have been on the face in a fit test; nothing of one that is not known.
fn not_that_set(state: &State, id: &UnitId, test: &FitTest) -> Option<String> {
    let set = state.unit(id)?;
    let day = |when| state.day_at(&set.site, when);
    let received = state.history_of_unit(id).find(|entry| {
        let comes = matches!(entry.fact, Fact::UnitReceived { .. } | Fact::FacepieceTaken { .. });
        comes && state.counts(&entry.id)
    });
    let early = received.map(|entry| day(entry.happened)).filter(|came| day(test.at.when) < *came);
    let retired = set.retired.as_ref().filter(|retired| retired.at.when < test.at.when);
    if set.model != test.model {
        Some(format!("`{id}` is of another model than the one tested"))
    } else if alike(&set.size) != alike(&test.size) {
        Some(format!("`{id}` is of the size `{}`, and `{}` was tested", set.size, test.size))
    } else if let Some(came) = early {
        Some(format!("`{id}` came on {came}, after the test"))
    } else {
        retired.map(|retired| {
            format!("`{id}` was retired on {}, before the test", day(retired.at.when))
        })
    }
}
