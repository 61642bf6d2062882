//! One site of several, chosen by a link.

use askama::Template;
use jiff::tz::TimeZone;
use ledger::ReadError;
use program::SiteId;

use crate::app::AppState;
use crate::due_view::encoded;

/// The links to each site, and the one chosen.
#[derive(Template)]
#[template(path = "parts/sites.html")]
pub(crate) struct SiteChoice {
    links: Vec<(String, String, bool)>,
    /// None for all sites.
    pub(crate) chosen: Option<SiteId>,
    first: Option<SiteId>,
}

impl SiteChoice {
    /// The choice on the page at `address`; a site that is not known chooses all.
    pub(crate) async fn of(app: &AppState, address: &str, asked: &str) -> Result<Self, ReadError> {
        let mut choice = Self::one(app, address, asked).await?;
        choice.chosen = choice.chosen.filter(|site| site.as_str() == asked);
        if choice.chosen.is_none() {
            choice.links.iter_mut().for_each(|(_, _, here)| *here = false);
        }
        let all = (address.to_owned(), "All sites".to_owned(), choice.chosen.is_none());
        choice.links.insert(0, all);
        Ok(choice)
    }

    /// The choice of one site alone on a page that would be too slow for all; a site that is not
    /// known chooses the first.
    pub(crate) async fn one(app: &AppState, address: &str, asked: &str) -> Result<Self, ReadError> {
        let sites = app.sites().await?;
        let first = sites.first().map(|site| SiteId::new(&site.id));
        let chosen = sites.iter().find(|site| site.id == asked).map(|site| SiteId::new(&site.id));
        let chosen = chosen.or_else(|| first.clone());
        let link = |site: ledger::ListedThing| {
            let here = chosen.as_ref().is_some_and(|chosen| chosen.as_str() == site.id);
            (format!("{address}?site={}", encoded(&site.id)), site.name, here)
        };
        Ok(Self { links: sites.into_iter().map(link).collect(), chosen, first })
    }

    /// The clock of the chosen site, or of the first.
    pub(crate) async fn zone(&self, app: &AppState) -> Result<TimeZone, ReadError> {
        match self.chosen.as_ref().or(self.first.as_ref()) {
            Some(site) => app.zone(site).await,
            None => Ok(TimeZone::UTC),
        }
    }

    fn several(&self) -> bool {
        let sites = self.links.iter().filter(|(address, ..)| address.contains("?site="));
        sites.count() > 1
    }
}
