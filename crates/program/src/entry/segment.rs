//! The usual shift of a task in segments, and how a person writes them.

use std::collections::BTreeMap;
use std::fmt;
use std::str::FromStr;

use quantity::{Celsius, Concentration, Minutes, RelHumidity};
use serde::{Deserialize, Serialize};
use substance::{Cas, Catalogue};

use super::WorkRate;
use crate::case::{Mask, Storage};

/// How a segment is written, for those who wrote another.
const HOW: &str = "write how long first and then, with commas between, what is not as usual: `45 min, on, 150 %, heavy, 30 degC, humidity 70 %, toluene 200 ppm`, `30 min, off, sealed`, `10 min, clean air`";

/// A stretch of the usual shift in which nothing changes, in the words of the case file; what it leaves
/// out is that of the task.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TaskSegment {
    /// How long.
    pub duration: Minutes,
    /// What is done with the mask.
    #[serde(default)]
    pub mask: Mask,
    /// How the elements are kept while the mask is off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub storage: Option<Storage>,
    /// Level of every contaminant as a part of that which the readings give: 0.4 where it is two fifths of it,
    /// 2 where it is twice as high.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub share: Option<f64>,
    /// Levels of single contaminants, in place of the share.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub level: BTreeMap<Cas, Concentration>,
    /// How hard the work is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub work_rate: Option<WorkRate>,
    /// Temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub temperature: Option<Celsius>,
    /// Humidity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub relative_humidity: Option<RelHumidity>,
}

impl TaskSegment {
    /// Nothing but how long: the mask is on and all else is as the task says.
    #[must_use]
    pub const fn of(duration: Minutes) -> Self {
        Self {
            duration,
            mask: Mask::On,
            storage: None,
            share: None,
            level: BTreeMap::new(),
            work_rate: None,
            temperature: None,
            relative_humidity: None,
        }
    }

    /// Minutes with the mask on.
    #[must_use]
    pub fn worn_min(&self) -> f64 {
        if self.mask == Mask::On { self.duration.as_min() } else { 0.0 }
    }

    /// Segments as lines, or with semicolons between them.
    ///
    /// Refuses, by its number, one that is not read.
    pub fn read_all(text: &str) -> Result<Vec<Self>, String> {
        let lines = text.split(['\n', ';']).map(str::trim).filter(|line| !line.is_empty());
        let read = |(line, number): (&str, u32)| {
            line.parse::<Self>().map_err(|why| format!("segment {number}: {why}"))
        };
        lines.zip(1..).map(read).collect()
    }

    /// Takes over one part of a written segment.
    fn take(&mut self, part: &str) -> Result<(), String> {
        let plain = part.trim();
        match plain.to_lowercase().as_str() {
            "on" => self.mask = Mask::On,
            "off" => self.mask = Mask::Off,
            "clean air" => self.mask = Mask::CleanAir,
            "sealed" => put(&mut self.storage, Storage::Sealed, plain)?,
            "open" => put(&mut self.storage, Storage::Open, plain)?,
            "light" => put(&mut self.work_rate, WorkRate::Light, plain)?,
            "moderate" => put(&mut self.work_rate, WorkRate::Moderate, plain)?,
            "heavy" => put(&mut self.work_rate, WorkRate::Heavy, plain)?,
            _ => return self.take_number(plain),
        }
        Ok(())
    }

    /// Takes over a share, a temperature, a humidity or a level.
    fn take_number(&mut self, part: &str) -> Result<(), String> {
        if let Some(humidity) = part.strip_prefix("humidity ") {
            let read = humidity.parse().map_err(|why| format!("`{part}`: {why}"))?;
            return put(&mut self.relative_humidity, read, part);
        }
        let share = part.strip_suffix('%').and_then(|number| number.trim().parse::<f64>().ok());
        if let Some(percent) = share {
            if !percent.is_finite() {
                return Err(format!("`{part}` is no number\n{HOW}"));
            }
            return put(&mut self.share, percent / 100.0, part);
        }
        if let Ok(temperature) = part.parse() {
            return put(&mut self.temperature, temperature, part);
        }
        let level = part.match_indices(' ').find_map(|(at, _)| {
            let (name, level) = part.split_at(at);
            Some((name, level.trim().parse::<Concentration>().ok()?))
        });
        let Some((name, level)) = level else {
            return Err(format!("`{part}` is not read\n{HOW}"));
        };
        let found = Catalogue::builtin().find(name.trim());
        let cas = found.map_err(|why| format!("`{part}`: {why}"))?.cas();
        match self.level.insert(cas, level) {
            None => Ok(()),
            Some(_) => Err(told_twice(part)),
        }
    }
}

fn put<T>(place: &mut Option<T>, value: T, part: &str) -> Result<(), String> {
    match place.replace(value) {
        None => Ok(()),
        Some(_) => Err(told_twice(part)),
    }
}

fn told_twice(part: &str) -> String {
    format!("`{part}` is told twice\nkeep one of the two")
}

impl FromStr for TaskSegment {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        // A name such as 1,2-dichloroethane holds commas with no space behind them.
        let mut parts = text.split(", ");
        let duration = parts.next().unwrap_or_default().trim();
        let duration = duration.parse().map_err(|why| format!("{why}\n{HOW}"))?;
        let mut segment = Self::of(duration);
        parts.try_for_each(|part| segment.take(part))?;
        Ok(segment)
    }
}

impl fmt::Display for TaskSegment {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mask = match self.mask {
            Mask::On => "on",
            Mask::Off => "off",
            Mask::CleanAir => "clean air",
        };
        write!(f, "{}, {mask}", self.duration)?;
        if let Some(storage) = self.storage {
            f.write_str(if storage == Storage::Sealed { ", sealed" } else { ", open" })?;
        }
        if let Some(share) = self.share {
            // To six digits, so that a part of a hundred reads back as it was written.
            write!(f, ", {} %", (share * 1e8).round() / 1e6)?;
        }
        if let Some(rate) = self.work_rate {
            f.write_str(match rate {
                WorkRate::Light => ", light",
                WorkRate::Moderate => ", moderate",
                WorkRate::Heavy => ", heavy",
            })?;
        }
        if let Some(temperature) = self.temperature {
            write!(f, ", {temperature}")?;
        }
        if let Some(humidity) = self.relative_humidity {
            write!(f, ", humidity {humidity}")?;
        }
        for (cas, level) in &self.level {
            let known = Catalogue::builtin().get(*cas).map(substance::Substance::name);
            match known.filter(|name| !name.contains([';', '\n']) && !name.contains(", ")) {
                Some(name) => write!(f, ", {name} {level}")?,
                None => write!(f, ", {cas} {level}")?,
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<TaskSegment, String> {
        text.parse()
    }

    #[test]
    fn a_segment_reads_back_as_it_is_written() {
        for text in [
            "45 min, on",
            "45 min, on, 150 %, heavy, 30 degC, humidity 70 %, toluene 200 ppm",
            "30 min, off, sealed",
            "8 h, off, open",
            "10 min, clean air",
            "1 h, on, 0.5 %, 1,2-dichloroethane 20 mg/m3",
        ] {
            let segment = read(text).unwrap_or_else(|why| panic!("{text}: {why}"));
            assert_eq!(read(&segment.to_string()), Ok(segment.clone()), "{segment}");
            let json = serde_json::to_string(&segment).unwrap();
            assert_eq!(serde_json::from_str::<TaskSegment>(&json).unwrap(), segment, "{json}");
        }
        assert_eq!(read("20 min, on, 150 %").unwrap().share, Some(1.5));
        let two = TaskSegment::read_all("20 min, on\n\n 1 h, off, sealed; 5 min").unwrap();
        assert_eq!(two.iter().map(TaskSegment::worn_min).sum::<f64>(), 25.0);
    }

    #[test]
    fn what_is_not_read_is_named_with_a_remedy() {
        for (text, names) in [
            ("20, on", "20"),
            ("20 min, up", "`up`"),
            ("20 min, 10 %, 20 %", "`20 %` is told twice"),
            ("20 min, nosuchthing 20 ppm", "nosuchthing"),
            ("20 min, humidity wet", "humidity wet"),
            ("20 min, toluene 5 ppm, toluene 6 ppm", "told twice"),
        ] {
            let said = read(text).unwrap_err();
            assert!(said.contains(names) && said.contains('\n'), "{text}: {said}");
        }
        let said = TaskSegment::read_all("5 min\n6 min, sideways").unwrap_err();
        assert!(said.starts_with("segment 2: "), "{said}");
    }
}
