//! JSON Schemas of the files, from the types that write and read them.

use schemars::JsonSchema;
use schemars::generate::SchemaSettings;

use super::{BenchFile, PlanFile, json_text};

/// The JSON Schema (draft 2020-12) of a plan file.
pub fn plan_schema() -> String {
    schema_of::<PlanFile>()
}

/// The JSON Schema (draft 2020-12) of the file of a job at the bench.
pub fn bench_schema() -> String {
    schema_of::<BenchFile>()
}

fn schema_of<T: JsonSchema>() -> String {
    let settings = SchemaSettings::draft2020_12().for_serialize();
    json_text(&settings.into_generator().into_root_schema_for::<T>())
}
