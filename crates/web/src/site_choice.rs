//! One site of several, chosen by a link.

use askama::Template;
use jiff::tz::TimeZone;
use program::SiteId;
use program::state::State;

use crate::due_view::encoded;
use crate::telling;

/// The links to each site, and the one chosen.
#[derive(Template)]
#[template(path = "parts/sites.html")]
pub(crate) struct SiteChoice {
    links: Vec<(String, String, bool)>,
    chosen: Option<SiteId>,
}

impl SiteChoice {
    /// The choice on the page at `address`; a site that is not known chooses all.
    pub(crate) fn of(state: &State, address: &str, asked: &str) -> Self {
        let chosen = state.sites().map(|(id, _)| id).find(|id| id.as_str() == asked).cloned();
        let all = (address.to_owned(), "All sites".to_owned(), chosen.is_none());
        let each = state.sites().map(|(id, site)| {
            let link = format!("{address}?site={}", encoded(id.as_str()));
            (link, site.name.clone(), chosen.as_ref() == Some(id))
        });
        Self { links: std::iter::once(all).chain(each).collect(), chosen }
    }

    /// Whether things of `site` are to be shown.
    pub(crate) fn shows(&self, site: &SiteId) -> bool {
        self.chosen.as_ref().is_none_or(|chosen| chosen == site)
    }

    /// The clock of the chosen site, or of the first.
    pub(crate) fn zone(&self, state: &State) -> TimeZone {
        let site = self.chosen.as_ref().or_else(|| state.sites().next().map(|(id, _)| id));
        site.map_or(TimeZone::UTC, |site| telling::zone(state, site))
    }

    fn several(&self) -> bool {
        self.links.len() > 2
    }
}
