//! A small plant in entries, to be changed one thing at a time, and a second, plain reading of
//! the duties.

#![allow(dead_code, reason = "each test file uses a part of it")]

pub mod air;
pub mod cases;
pub mod corrections;
pub mod fit;
pub mod plain;
pub mod plant;
pub mod random;
pub mod standby;

/// Everything that can be seen of a state, as text.
pub fn seen(state: &program::State) -> String {
    let mut seen = format!("{:?}\n", state.contradictions());
    for (id, site) in state.sites() {
        seen += &format!("{id}: {site:?}\n");
    }
    for (id, model) in state.models() {
        seen += &format!("{id}: {model:?}\n");
    }
    for (id, kind) in state.element_types() {
        seen += &format!("{id}: {kind:?}\n");
    }
    for (id, unit) in state.units() {
        let history: Vec<_> = state.history_of_unit(id).map(|entry| &entry.id).collect();
        seen += &format!("{id}: {unit:?}\n{history:?}\n");
    }
    for (id, wearer) in state.wearers() {
        let history: Vec<_> = state.history_of_wearer(id).map(|entry| &entry.id).collect();
        seen += &format!("{id}: {wearer:?}\n{history:?}\n");
    }
    for (id, task) in state.tasks() {
        let history: Vec<_> = state.history_of_task(id).map(|entry| &entry.id).collect();
        seen += &format!("{id}: {task:?}\n{history:?}\n");
    }
    seen += &format!("{:?}\n", state.people().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.cylinders().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.supplies().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.storage_places().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.stocks().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.groups().collect::<Vec<_>>());
    seen += &format!("{:?}\n", state.instruments().collect::<Vec<_>>());
    seen
}

/// The ids of what stops the wear that a plant asks about.
pub fn stops(plant: &plant::Plant) -> Vec<&'static str> {
    let stop = |finding: &&rulebook::Finding| finding.severity == rulebook::Severity::Stop;
    plant.verdict().findings.iter().filter(stop).map(|finding| finding.rule.id).collect()
}
