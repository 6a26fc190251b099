//! The schema of the job file in the words of JSON Schema, for editors and for programs that write jobs.

use serde_json::{Map, Value, json};

use super::{Column, JOB, Kind, Least, Need, Schema, Shape};
use crate::load::limits::{LONGEST_CURRENCY, LONGEST_NAME};
use crate::load::words::{INCH_STEPS, METRIC_STEPS};

/// The JSON Schema (draft 2020-12) of a job file, as the TOML in it reads as JSON.
///
/// It says what a key may hold; what values ask of each other, and words that differ from its own by case alone, are
/// left to the reader.
pub fn job_schema() -> Value {
    let mut properties = Map::new();
    for schema in JOB {
        match schema.shape {
            Shape::Head => properties.extend(of_columns(schema)),
            Shape::Once => {
                properties.insert(schema.name.to_owned(), of_row(schema));
            }
            Shape::List => {
                properties.insert(schema.name.to_owned(), list_of(&of_row(schema)));
            }
            Shape::ListOrFiles => {
                let choice = json!({ "anyOf": [files(), list_of(&of_row(schema))] });
                properties.insert(schema.name.to_owned(), choice);
            }
            Shape::Apart => {}
        }
    }
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "longpoint job",
        "type": "object",
        "properties": properties,
        "additionalProperties": false,
    })
}

/// A table of the job file.
fn of_row(schema: &Schema) -> Value {
    let needed: Vec<&str> = schema
        .columns
        .iter()
        .filter(|column| column.need == Need::Always || column.need == Need::InJobFile)
        .map(|column| column.name)
        .collect();
    json!({
        "description": schema.meaning,
        "type": "object",
        "properties": of_columns(schema),
        "required": needed,
        "additionalProperties": false,
    })
}

fn of_columns(schema: &Schema) -> Map<String, Value> {
    let of_column = |column: &Column| (column.name.to_owned(), value(column));
    schema.columns.iter().map(of_column).collect()
}

fn list_of(items: &Value) -> Value {
    json!({ "type": "array", "items": items })
}

/// The path of a CSV file, or several.
fn files() -> Value {
    json!({ "anyOf": [{ "type": "string" }, list_of(&json!({ "type": "string" }))] })
}

/// What a key may hold: texts and numbers alike, unless it is a flag.
fn value(column: &Column) -> Value {
    let mut value = match &column.kind {
        Kind::Name => {
            json!({ "type": ["string", "number"], "minLength": 1, "maxLength": LONGEST_NAME })
        }
        Kind::Names => {
            list_of(&json!({ "type": "string", "minLength": 1, "maxLength": LONGEST_NAME }))
        }
        Kind::Currency => json!({ "type": "string", "maxLength": LONGEST_CURRENCY }),
        Kind::Length(Least::Zero) => json!({ "type": ["string", "number"], "minimum": 0 }),
        Kind::Length(Least::Positive) | Kind::Thickness => {
            json!({ "type": ["string", "number"], "exclusiveMinimum": 0 })
        }
        Kind::Rounding => {
            let steps = INCH_STEPS.iter().chain(&METRIC_STEPS);
            let steps: Vec<&str> = steps.map(|(step, _)| *step).collect();
            json!({ "anyOf": [{ "type": "number" }, { "type": "string", "examples": steps }] })
        }
        Kind::Count(range) => json!({
            "type": ["integer", "string"],
            "minimum": range.start(),
            "maximum": range.end(),
            "pattern": "^\\s*\\+?[0-9]+\\s*$",
        }),
        Kind::Word(words) => json!({ "enum": words }),
        Kind::Flag => json!({ "type": "boolean" }),
        Kind::Price | Kind::Amount | Kind::Spare | Kind::Worth | Kind::Work | Kind::Percent => {
            json!({ "type": ["string", "number"] })
        }
        Kind::Date => {
            json!({ "type": "string", "format": "date", "pattern": "^\\s*[0-9]{4}-[0-9]{2}-[0-9]{2}\\s*$" })
        }
        Kind::Defects | Kind::Nominal | Kind::Age | Kind::Weight => json!({ "type": "string" }),
        Kind::Boards => files(),
        Kind::Places => {
            let length = json!({ "type": ["string", "number"], "exclusiveMinimum": 0 });
            json!({ "anyOf": [length, list_of(&length)] })
        }
    };
    value["description"] = column.meaning.into();
    if let Some(default) = column.default {
        value["default"] = match column.kind {
            Kind::Flag => (default == "true").into(),
            Kind::Count(_) => default.parse::<u32>().map_or(Value::Null, Value::from),
            _ => default.into(),
        };
    }
    value
}
