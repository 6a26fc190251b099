//! The columns of a table for people, as a table in Markdown.

use super::{Column, Kind, Least, Need, Schema};

/// A table in Markdown that says of each column what it is called, what it holds, what it is when empty, and why.
pub fn columns_guide(schema: &Schema) -> String {
    let mut guide =
        "| name | value | if left out | meaning |\n| --- | --- | --- | --- |\n".to_owned();
    for column in schema.columns {
        let names = std::iter::once(&column.name).chain(column.aliases);
        let names: Vec<String> = names.map(|name| format!("`{name}`")).collect();
        guide += &format!(
            "| {} | {} | {} | {} |\n",
            names.join(" or "),
            value(&column.kind),
            if_left_out(column),
            column.meaning
        );
    }
    guide
}

fn if_left_out(column: &Column) -> String {
    match (column.need, column.default) {
        (Need::Always, _) => "needed".to_owned(),
        (Need::InJobFile, _) => "needed in the job file".to_owned(),
        (Need::AsHeading, _) => "needed as a heading".to_owned(),
        (Need::Never, Some(default)) => format!("`{default}`"),
        (Need::Never, None) => String::new(),
    }
}

fn value(kind: &Kind) -> String {
    match kind {
        Kind::Name | Kind::Currency => "text".to_owned(),
        Kind::Names => "list of texts".to_owned(),
        Kind::Length(Least::Zero) => "length or 0".to_owned(),
        Kind::Length(Least::Positive) => "length".to_owned(),
        Kind::Thickness => "length, or quarters such as `5/4`".to_owned(),
        Kind::Rounding => "step of rounding".to_owned(),
        Kind::Count(range) => format!("whole number, {} to {}", range.start(), range.end()),
        Kind::Word(words) => format!("`{}`", words.join("`, `")),
        Kind::Flag => "`true`, `false`".to_owned(),
        Kind::Date => "date such as `2026-11-25`".to_owned(),
        Kind::Worth => "`cost`, `nothing`, or a share such as `1/2`, `50 %`".to_owned(),
        Kind::Age => "age such as `2 years`, `18 months`".to_owned(),
        Kind::Price => "price".to_owned(),
        Kind::Amount => "amount of money".to_owned(),
        Kind::Work => "amount of money, or a time such as `20 min`, `1.5 h`".to_owned(),
        Kind::Percent => "percentage such as `8.25 %`".to_owned(),
        Kind::Weight => "weight such as `20 lb`, `9 kg`".to_owned(),
        Kind::Defects => "stretches".to_owned(),
        Kind::Nominal => "nominal size".to_owned(),
        Kind::Spare => "whole number, share or `offcut`".to_owned(),
        Kind::Boards => "list of names, or of CSV files".to_owned(),
        Kind::Places => "length, or list of lengths".to_owned(),
    }
}
