//! The usual shift of a task in lines, one for each segment.

use program::TaskSegment;
use serde_json::Value;

use super::Written;

pub(super) const SEGMENTS: Written = Written { read, write };

fn read(text: &str) -> Result<Value, String> {
    serde_json::to_value(TaskSegment::read_all(text)?).map_err(|why| why.to_string())
}

fn write(value: &Value) -> Option<String> {
    let segments: Vec<TaskSegment> = serde_json::from_value(value.clone()).ok()?;
    Some(segments.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n"))
}
