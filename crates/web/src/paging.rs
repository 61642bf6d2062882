//! A page of a long list of things, found by site and words.

use askama::Template;
use ledger::{ListQuestion, ListedThing, ReadError};

use crate::app::AppState;
use crate::component::Field;
use crate::due_view::encoded;
use crate::fields::Fields;
use crate::named::Thing;
use crate::site_choice::SiteChoice;

/// How many things stand on one page of a list: two sheets of labels.
pub(crate) const ON_A_PAGE: usize = 48;

/// A part of a list, and the links to the rest of it.
pub(crate) struct Paging {
    pub(crate) things: Vec<ListedThing>,
    /// What was asked, as it stands in an address.
    pub(crate) query: String,
    first: Option<String>,
    next: Option<String>,
}

/// The links under a part of a list.
#[derive(Template)]
#[template(path = "parts/pages.html")]
struct PagesPart<'a> {
    first: &'a Option<String>,
    next: &'a Option<String>,
}

impl Paging {
    /// The page of the list at `address` that `q`, `after` and the chosen site ask for.
    pub(crate) async fn of(
        app: &AppState,
        (thing, address): (Thing, &str),
        sites: Option<&SiteChoice>,
        fields: &Fields,
    ) -> Result<Self, ReadError> {
        let site = sites.and_then(|sites| sites.chosen.as_ref());
        let (words, after) = (fields.get("q"), fields.get("after"));
        let (kind, limit) = (thing.subject("").kind(), ON_A_PAGE.saturating_add(1));
        let question = ListQuestion { kind, site, words, after, limit };
        let mut things = app.ledger().list(&question).await?;
        let more = things.len() > ON_A_PAGE;
        things.truncate(ON_A_PAGE);
        let site = site.map_or_else(String::new, |site| encoded(site.as_str()));
        let begin = format!("site={site}&q={}", encoded(words));
        let last = things.last().filter(|_| more);
        let next = last.map(|last| format!("{address}?{begin}&after={}", encoded(&last.id)));
        let first = (!after.is_empty()).then(|| format!("{address}?{begin}"));
        let query = format!("{begin}&after={}", encoded(after));
        Ok(Self { things, query, first, next })
    }

    /// How many are shown, in words; the rest is not counted.
    pub(crate) fn told(&self, one: &str, many: &str) -> String {
        let count = self.things.len();
        let what = if count == 1 { one } else { many };
        match (&self.first, &self.next) {
            (None, None) => format!("{count} {what}"),
            (None, Some(_)) => format!("the first {count} {what}"),
            (Some(_), Some(_)) => format!("{count} more {what}"),
            (Some(_), None) => format!("the last {count} {what}"),
        }
    }

    /// The links to the rest, drawn.
    pub(crate) fn links(&self) -> Result<String, askama::Error> {
        PagesPart { first: &self.first, next: &self.next }.render()
    }
}

/// The form that looks for words in a list, keeping the site.
#[derive(Template)]
#[template(path = "parts/search.html")]
pub(crate) struct SearchPart {
    address: &'static str,
    site: String,
    field: Field,
}

impl SearchPart {
    /// Of the list at `address`.
    pub(crate) fn of(
        fields: &Fields,
        (address, label): (&'static str, &'static str),
        sites: Option<&SiteChoice>,
    ) -> Self {
        let site = sites.and_then(|sites| sites.chosen.as_ref()).map(ToString::to_string);
        let field = Field::text(fields, "q", label).kind("search");
        Self { address, site: site.unwrap_or_default(), field }
    }
}
