//! Who stands by outside immediately dangerous air today.

use anyhow::Context;
use jiff::SignedDuration;
use program::{Fact, Retrieval, TaskId};
use rulebook::standby::Contact;

use super::scene::{Scene, person, unit};

/// How long they stand there from now on.
const STANDS: SignedDuration = SignedDuration::from_hours(6);

pub(super) fn post(scene: &mut Scene<'_>) -> anyhow::Result<()> {
    let (listed, site) = (scene.listed, scene.site);
    for crew in listed.crews_of(site) {
        let Some(one) = &crew.stands_by else { continue };
        let until = scene.journal.now().checked_add(STANDS).context("no six hours are left")?;
        let posted = Fact::StandbyPosted {
            task: TaskId::new(&crew.task),
            outside: vec![person(&one.name)],
            sets: vec![unit(&one.unit)],
            other_role: Vec::new(),
            inside: Vec::new(),
            contact: vec![Contact::Voice, Contact::SignalLine],
            together: Vec::new(),
            retrieval: Retrieval::Equipment { what: one.retrieval.clone() },
            notify: format!("{}, radio 1", site.administrator),
            help: "the rescue team of the quay and an ambulance".to_owned(),
            until,
        };
        scene.today(20, Some(&one.name), posted)?;
    }
    Ok(())
}
