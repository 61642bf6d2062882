//! The invented plant: two sites, their people, respirators and tasks, and fourteen months of what
//! happened to them.
//!
//! What stands still is listed in `demo/plant.toml`; what happened is made here from a seed and an
//! instant, so that the same seed and instant give the same plant, entry by entry. All of it is
//! invented; `demo/README.md` tells what is worth trying.

mod calendar;
mod care;
mod desk;
mod journal;
mod listed;
mod morning;
mod odd;
mod opening;
mod own;
mod people;
mod pool;
mod rounds;
mod scene;
mod standby;
mod supplies;
#[cfg(test)]
mod tests;

use anyhow::Context;
use jiff::Timestamp;
use program::Entry;
use rand::SeedableRng;
use rand_pcg::Pcg64Mcg;

use calendar::Calendar;
use journal::Journal;
use listed::Listed;
use scene::Scene;

/// The entries of the invented plant, in the order in which they were entered, the last one not
/// later than `now`. The same `seed` and `now` give the same entries.
///
/// Refuses an instant so near the ends of time that fourteen months before it, or the shelf lives
/// after it, cannot be written, and a `demo/plant.toml` that names what it does not list.
pub fn entries(seed: u64, now: Timestamp) -> anyhow::Result<Vec<Entry>> {
    let listed = Listed::read()?;
    let mut chance = Pcg64Mcg::seed_from_u64(seed);
    let mut journal = Journal::new(now);
    for site in &listed.sites {
        let calendar = Calendar::ending_at(now, site.utc_offset_hours)?;
        let mut scene = Scene {
            listed: &listed,
            site,
            calendar,
            chance: &mut chance,
            journal: &mut journal,
            careers: std::collections::BTreeMap::new(),
        };
        live(&mut scene).with_context(|| format!("site `{}` of demo/plant.toml", site.id))?;
    }
    Ok(journal.bound())
}

/// Fourteen months of one site. The order only matters to the draw of lots: the entries are sorted
/// by when they were entered.
fn live(scene: &mut Scene) -> anyhow::Result<()> {
    opening::open(scene)?;
    people::enrol(scene)?;
    own::wear(scene)?;
    pool::wear(scene)?;
    rounds::walk(scene)?;
    morning::prepare(scene)?;
    standby::post(scene)?;
    odd::end_as_listed(scene)?;
    desk::keep(scene)?;
    supplies::keep(scene)
}
