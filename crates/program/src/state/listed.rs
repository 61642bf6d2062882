//! How a thing stands in a list of its kind.

use super::State;
use super::subjects::Subject;
use crate::entry::StockItem;
use crate::ids::{ElementTypeId, ModelId, SiteId, UnitId};

/// What a list tells of a thing, and what it is found by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Listed {
    /// The site at which it stands; none for what stands at no one site.
    pub site: Option<SiteId>,
    /// Its name in plain words; of a respirator its model and size.
    pub name: String,
    /// What else it is known by, such as a serial number.
    pub also: String,
    /// Retired, withdrawn, or left the program.
    pub gone: bool,
    /// The model and the elements on it, where a respirator in service carries any.
    pub set: Option<(ModelId, ElementTypeId)>,
}

impl State {
    /// How `thing` stands in a list of its kind, once it was made known. It needs the entries about
    /// the thing and about the model or the kind of element that it is of.
    #[must_use]
    pub fn listed(&self, thing: &Subject) -> Option<Listed> {
        let (site, name, gone) = match thing {
            Subject::Site(id) => (None, self.site(id)?.name.clone(), false),
            Subject::Model(id) => (None, self.model(id)?.name.clone(), false),
            Subject::ElementType(id) => (None, self.element_type(id)?.name.clone(), false),
            Subject::Unit(id) => return self.listed_unit(id),
            Subject::Wearer(id) => {
                let own = self.wearer(id)?;
                (Some(&own.site), own.name.clone(), own.left.is_some())
            }
            Subject::Task(id) => {
                let own = self.task(id)?;
                (Some(&own.site), own.spec.name.clone(), false)
            }
            Subject::Person(id) => {
                let own = self.person(id)?;
                (Some(&own.site), own.name.clone(), false)
            }
            Subject::Cylinder(id) => {
                let own = self.cylinder(id)?;
                let site = Some(own.site.clone());
                let (also, gone) = (own.serial.clone(), own.withdrawn.is_some());
                return Some(Listed { site, name: String::new(), also, gone, set: None });
            }
            Subject::Supply(id) => {
                let own = self.supply(id)?;
                (Some(&own.site), own.name.clone(), false)
            }
            Subject::Place(id) => {
                let own = self.storage_place(id)?;
                (Some(&own.site), own.name.clone(), false)
            }
            Subject::Stock(id) => {
                let own = self.stock(id)?;
                (Some(&own.site), self.words_of_item(&own.item), false)
            }
            Subject::Group(id) => {
                let own = self.group(id)?;
                (Some(&own.site), own.name.clone(), false)
            }
            Subject::Instrument(id) => {
                let own = self.instrument(id)?;
                let (site, name) = (Some(own.site.clone()), own.name.clone());
                let (also, gone) = (own.serial.clone(), own.is_withdrawn());
                return Some(Listed { site, name, also, gone, set: None });
            }
            Subject::Lot(_) | Subject::Watch(_) | Subject::Correction(_) => return None,
        };
        Some(Listed { site: site.cloned(), name, also: String::new(), gone, set: None })
    }

    fn listed_unit(&self, id: &UnitId) -> Option<Listed> {
        let own = self.unit(id)?;
        let gone = own.retired.is_some();
        let on = own.elements.as_ref().filter(|_| !gone);
        Some(Listed {
            site: Some(own.site.clone()),
            name: self.words_of_size(&own.model, &own.size),
            also: own.serial.clone(),
            gone,
            set: on.map(|on| (own.model.clone(), on.element_type.clone())),
        })
    }

    /// What a box holds, in a few words.
    #[must_use]
    pub fn words_of_item(&self, item: &StockItem) -> String {
        match item {
            StockItem::Elements(kind) => {
                self.element_type(kind).map_or_else(|| kind.to_string(), |kind| kind.name.clone())
            }
            StockItem::Facepieces { model, size } => self.words_of_size(model, size),
            StockItem::Supplies(words) => words.clone(),
        }
    }

    /// A model in a size, in a few words.
    #[must_use]
    pub fn words_of_size(&self, model: &ModelId, size: &str) -> String {
        let name = self.model(model).map_or(model.as_str(), |listed| listed.name.as_str());
        format!("{name}, size {size}")
    }
}
