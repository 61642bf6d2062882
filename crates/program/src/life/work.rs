//! The pattern of work that a case tells of.

use std::sync::Arc;

use quantity::{Celsius, Concentration, LitrePerMin, Minutes, RelHumidity};
use rulebook::{Device, Level, Place};
use sorbent::Progress;
use sorbent::march::SegmentKind;
use substance::{Cas, Catalogue};
use toml::Spanned;

use crate::case::{
    CaseError, Mask, ReuseAccepted, SegmentPart, Storage, WrittenCase, WrittenLevel, WrittenMethod,
};
use crate::reaction::{CalibratedReaction, CalibratedReactions};
use crate::reuse::{LapsedReuse, TakenReuse};
use crate::schedule::flow_of;

/// From the end of one shift to the start of the next where nothing is said, min.
const BETWEEN_SHIFTS_MIN: f64 = 960.0;

/// A rest of this long within a pattern parts two shifts, min: a meal and a meeting are shorter, the
/// time from one shift to the next is not. Common practice, no source.
const PARTS_SHIFTS_MIN: f64 = 240.0;

/// What only a bed that is marched through its work needs to know.
#[derive(Debug, Clone, Default)]
pub struct Work {
    /// The segments of the pattern; none where the wear is one steady stretch.
    pub segments: Vec<WorkSegment>,
    /// Whether the segments are the usual shift, which comes again and again, so that a set may be
    /// opened anywhere in them and its shortest life counts.
    pub comes_again: bool,
    /// Minutes of wear on each shift of the pattern: long rests part them. None where there are no
    /// segments.
    pub worn_each: Vec<f64>,
    /// Humidity of the air in which the elements were kept before first use; that of the place where
    /// nothing is said.
    pub stored_humidity: Option<RelHumidity>,
    /// From the end of one shift to the start of the next.
    pub between_shifts: Option<Minutes>,
    /// How the elements are kept meanwhile; sealed where nothing is said.
    pub storage: Option<Storage>,
    /// Who accepts that elements against a low-boiling vapour are worn again.
    pub accepted: Option<ReuseAccepted>,
    /// What the records say of accepted reuse: by a calculation that was made elsewhere.
    pub recorded: Option<Result<TakenReuse, LapsedReuse>>,
    /// The report that the carbon was calibrated on; none where its figures come otherwise.
    pub calibration: Option<String>,
    /// What a calibration multiplies the rate coefficients by.
    pub rate_factor: Option<f64>,
    /// What a calibration multiplies the affinity of a vapour by.
    pub affinities: Vec<(Cas, f64)>,
    /// What it multiplies the density of a vapour's liquid by.
    pub packings: Vec<(Cas, f64)>,
    /// What a calibration found of the gases that the elements hold by reaction.
    pub reactions: Reactions,
    /// How many copies of the bed are marched; as many as are usual where nothing is said.
    pub samples: Option<usize>,
    /// Told how far the copies are.
    pub progress: Arc<Progress>,
}

/// What a calibration found of the gases that elements hold by reaction.
#[derive(Debug, Clone, Default)]
pub struct Reactions {
    /// How many elements share the flow.
    pub elements: u8,
    /// What one of them holds of each gas.
    pub gases: CalibratedReactions,
}

impl Reactions {
    /// What was found of a gas; none where no report told of it.
    pub(super) fn of(&self, gas: Cas) -> Option<&CalibratedReaction> {
        self.gases.gases().iter().find(|one| one.gas == gas)
    }
}

/// A stretch of the work in which nothing changes.
#[derive(Debug, Clone, PartialEq)]
pub struct WorkSegment {
    /// How long.
    pub duration: Minutes,
    /// Whether air passes, and which.
    pub kind: SegmentKind,
    /// Flow through all elements together.
    pub flow: LitrePerMin,
    /// Temperature.
    pub temperature: Celsius,
    /// Humidity.
    pub humidity: RelHumidity,
    /// Level of each contaminant of the place, in their order.
    pub levels: Vec<Level>,
}

impl Work {
    /// The segments between two shifts: one rest.
    pub(super) fn night_min(&self) -> (f64, SegmentKind) {
        let minutes = self.between_shifts.map_or(BETWEEN_SHIFTS_MIN, Minutes::as_min);
        (minutes, SegmentKind::Rest { sealed: self.storage != Some(Storage::Open) })
    }

    /// Whether elements lie open at any time between two uses.
    pub(super) fn lie_open(&self, nights: bool) -> bool {
        let open = SegmentKind::Rest { sealed: false };
        (nights && self.night_min().1 == open) || self.segments.iter().any(|s| s.kind == open)
    }
}

/// Minutes of wear on each shift that segments tell of: a long rest after wear ends a shift.
pub(super) fn worn_each(segments: &[WorkSegment]) -> Vec<f64> {
    let mut each: Vec<f64> = Vec::new();
    let mut parted = true;
    let mut rested = 0.0;
    for segment in segments {
        let minutes = segment.duration.as_min();
        if !flows(segment.kind) {
            rested += minutes;
            parted |= rested >= PARTS_SHIFTS_MIN;
            continue;
        }
        rested = 0.0;
        match each.last_mut().filter(|_| !parted) {
            Some(shift) => *shift += minutes,
            None => each.push(minutes),
        }
        parted = false;
    }
    each
}

/// Segments of which neighbours that differ in nothing but how long they last are one.
fn joined(segments: Vec<WorkSegment>) -> Vec<WorkSegment> {
    let mut all: Vec<WorkSegment> = Vec::with_capacity(segments.len());
    for segment in segments {
        if let Some(last) = all.last_mut()
            && *last == (WorkSegment { duration: last.duration, ..segment.clone() })
            && let Ok(both) = Minutes::from_min(last.duration.as_min() + segment.duration.as_min())
        {
            last.duration = both;
        } else {
            all.push(segment);
        }
    }
    all
}

pub(super) fn flows(kind: SegmentKind) -> bool {
    !matches!(kind, SegmentKind::Rest { .. })
}

/// What the segments of a written case tell, with what they leave out taken from the whole case.
///
/// Refuses, by line and key, a level above that of the contaminant's own table (the rules of
/// selection judge by that), an unknown level, a name that no table has, two ways of telling the
/// flow, storage of a mask that is on and its absence where it is off.
pub(super) fn segments(
    written: &WrittenCase,
    (place, device): (&Place, &Device),
    (flow, humidity): (LitrePerMin, RelHumidity),
) -> Result<Vec<WorkSegment>, CaseError> {
    let usual = WorkSegment {
        duration: Minutes::default(),
        kind: SegmentKind::On,
        flow,
        temperature: place.temperature,
        humidity,
        levels: place.contaminants.iter().map(|contaminant| contaminant.level).collect(),
    };
    let parts = written.case.segment.iter().zip(1..);
    let reader = Reader { written, place, device, usual };
    let segments = parts.map(|(part, number)| reader.segment(part, number));
    let segments = segments.collect::<Result<Vec<_>, _>>()?;
    if let Some(first) = written.case.segment.first()
        && !segments.iter().any(|segment| segment.kind == SegmentKind::On)
    {
        let message = "the mask is on in no segment\n  give at least one with mask = \"on\"";
        return Err(written.at(first, "segment", message.to_owned()));
    }
    Ok(joined(segments))
}

/// Refuses the closed form for work that is not one steady stretch.
pub(super) fn refuse_steady(written: &WrittenCase, marched: bool) -> Result<(), CaseError> {
    match &written.case.method {
        Some(method) if *method.get_ref() == WrittenMethod::Steady && marched => {
            let message = "the closed form knows one steady stretch of wear, no night and no damp storage\n  leave method out, or give one segment with the mask on, one shift, and storage as dry as the air";
            Err(written.at(method, "method", message.to_owned()))
        }
        _ => Ok(()),
    }
}

struct Reader<'a> {
    written: &'a WrittenCase,
    place: &'a Place,
    device: &'a Device,
    usual: WorkSegment,
}

impl Reader<'_> {
    fn segment(&self, part: &Spanned<SegmentPart>, number: u32) -> Result<WorkSegment, CaseError> {
        let told = part.get_ref();
        let refuse = |key: &str, message: String| {
            Err(self.written.at(part, key, format!("segment {number}: {message}")))
        };
        let duration = *told.duration.get_ref();
        if duration.as_min() <= 0.0 {
            let message =
                format!("segment {number} lasts no time\n  leave it out, or say how long");
            return Err(self.written.at(&told.duration, "duration", message));
        }
        let kind = match (told.mask, told.storage) {
            (Mask::On, None) => SegmentKind::On,
            (Mask::CleanAir, None) => SegmentKind::CleanAir,
            (Mask::Off, Some(storage)) => SegmentKind::Rest { sealed: storage == Storage::Sealed },
            (Mask::Off, None) => {
                let message = "the mask is off and nothing says how the elements are kept\n  add storage = \"sealed\" or storage = \"open\"";
                return refuse("storage", message.to_owned());
            }
            (_, Some(_)) => {
                let message =
                    "storage is told while air passes\n  leave it out, or say mask = \"off\"";
                return refuse("storage", message.to_owned());
            }
        };
        if kind != SegmentKind::On && !told.level.is_empty() {
            let message =
                "levels are told while the mask is not on\n  leave them out, or say mask = \"on\"";
            return refuse("level", message.to_owned());
        }
        let flow = match (&told.flow, told.work_rate) {
            (Some(_), Some(_)) => {
                let message = "flow and work_rate are both told\n  give one of the two";
                return refuse("flow", message.to_owned());
            }
            (Some(flow), None) => *flow.get_ref(),
            (None, Some(rate)) => match flow_of(self.device, rate) {
                Ok(flow) => flow,
                Err(error) => return refuse("work_rate", error.to_string()),
            },
            (None, None) => self.usual.flow,
        };
        Ok(WorkSegment {
            duration,
            kind,
            flow,
            temperature: told.temperature.unwrap_or(self.usual.temperature),
            humidity: told.relative_humidity.unwrap_or(self.usual.humidity),
            levels: self.levels(told, number)?,
        })
    }

    fn levels(&self, told: &SegmentPart, number: u32) -> Result<Vec<Level>, CaseError> {
        let mut levels = self.usual.levels.clone();
        let mut named = vec![false; levels.len()];
        for (name, written) in &told.level {
            let refuse = |message: String| {
                Err(self.written.at(written, "level", format!("segment {number}: {message}")))
            };
            let found = Catalogue::builtin().find(name).ok().and_then(|substance| {
                let same = |c: &rulebook::Contaminant| c.substance.cas() == substance.cas();
                self.place.contaminants.iter().position(same)
            });
            let Some(index) = found else {
                return refuse(format!(
                    "`{name}` is in no [[contaminant]] table\n  give it a table with its highest level"
                ));
            };
            if let Some(named) = named.get_mut(index)
                && std::mem::replace(named, true)
            {
                return refuse(format!(
                    "`{name}` names a contaminant whose level this segment tells already\n  give one level for it"
                ));
            }
            let WrittenLevel::Known(level) = *written.get_ref() else {
                return refuse(format!(
                    "the level of `{name}` is unknown\n  give the highest level that can be there"
                ));
            };
            if self.above(index, level) {
                return refuse(format!(
                    "{level} of `{name}` is above the level in its [[contaminant]] table\n  give the highest level there: respirators are selected by it"
                ));
            }
            if let Some(to) = levels.get_mut(index) {
                *to = Level::Known(level);
            }
        }
        Ok(levels)
    }

    /// Whether a level is above that by which respirators are selected; one that cannot be
    /// compared is.
    fn above(&self, index: usize, level: Concentration) -> bool {
        let Some(contaminant) = self.place.contaminants.get(index) else { return true };
        let ppm = |level: Concentration| {
            let mass = contaminant.substance.molar_mass_g_per_mol().ok()?.value;
            let place = self.place;
            Some(level.to_ppm(mass, place.temperature, place.pressure)?.ok()?.as_ppm())
        };
        match (contaminant.level.known().and_then(ppm), ppm(level)) {
            (Some(highest), Some(level)) => level > highest * (1.0 + 1e-9),
            _ => true,
        }
    }
}
