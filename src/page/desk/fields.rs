//! Settings to type into.

use serde_json::json;

use crate::desk::{Role, Spot};
use crate::length::{Notation, Unit, exact_text, parse};
use crate::load::schema::{
    ASSEMBLY, BUYING, Column, HANGING, HEAD, IN_HAND, Kind, LABELS, PRICE, RIP, SAW, SHOP, Schema,
    TABLES,
};

use super::rows::{Choice, Field};
use super::{AtDesk, Told, deed, in_words, plain};

/// A form.
pub(super) struct ShownForm {
    pub(super) id: String,
    pub(super) name: String,
    pub(super) about: &'static str,
    pub(super) fields: Vec<(Field, Vec<Told>)>,
    /// What is wrong with it as a whole.
    pub(super) faults: Vec<Told>,
    /// Whether all of it is left out, and it is none that every job needs.
    pub(super) is_closed: bool,
}

fn name_of(schema: &Schema) -> &'static str {
    let name = schema.name;
    match name {
        _ if name == HEAD.name => "The job",
        _ if name == SAW.name => "The saw",
        _ if name == SHOP.name => "The shop",
        _ if name == RIP.name => "Ripping",
        _ if name == ASSEMBLY.name => "Putting together",
        _ if name == HANGING.name => "Hanging",
        _ if name == IN_HAND.name => "Wood in hand",
        _ if name == LABELS.name => "Sheets of labels",
        _ if name == TABLES.name => "Tables for a spreadsheet",
        _ if name == BUYING.name => "Bringing home",
        _ if name == PRICE.name => "What the shop asks",
        _ => "More",
    }
}

impl AtDesk {
    /// What is meant where a value is left out, lengths in the unit of the job.
    pub(super) fn hint_of(&self, column: &Column) -> String {
        let default = column.default.unwrap_or_default();
        let is_length = matches!(column.kind, Kind::Length(_) | Kind::Thickness);
        let heads = self
            .desk
            .forms
            .iter()
            .filter(|form| form.schema.name == HEAD.name);
        let mut units = heads.flat_map(|form| &form.fields).filter_map(|field| {
            let is_unit = field.key == "unit" && !field.text.is_empty();
            let metric = [Unit::Millimeter, Unit::Centimeter, Unit::Meter];
            is_unit.then(|| {
                metric
                    .into_iter()
                    .find(|unit| unit.symbol() == field.text.trim())
            })
        });
        let in_inches = Notation {
            unit: Unit::Inch,
            decimal_comma: false,
        };
        match (units.next().flatten(), parse(default, in_inches)) {
            (Some(unit), Ok(length)) if is_length => exact_text(length, unit),
            _ => default.to_owned(),
        }
    }

    /// A form as it is shown.
    pub(super) fn shown_form(&self, form: usize) -> ShownForm {
        let of = &self.desk.forms[form];
        let mut name = name_of(of.schema).to_owned();
        if self.desk.files[of.file].role == Role::Shop {
            name += &format!(", of {}", self.file_name(of.file));
        }
        let faults = |spot: Spot| {
            let faults = self.desk.faults.iter().enumerate();
            let faults = faults.filter(|(_, fault)| fault.spot == spot);
            let told = faults.map(|(idx, fault)| Told::of(fault, format!("wrong-{idx}"), ""));
            told.collect::<Vec<Told>>()
        };
        let fields = of.fields.iter().enumerate().map(|(field_idx, field)| {
            let told = faults(Spot::Setting {
                form,
                field: field_idx,
            });
            let ids: Vec<&str> = told.iter().map(|told| told.id.as_str()).collect();
            let kind = field.column.map(|column| &column.kind);
            let words: Vec<&str> = match kind {
                Some(Kind::Word(words)) => words.to_vec(),
                Some(Kind::Flag) => vec!["true", "false"],
                _ => Vec::new(),
            };
            let mut choices: Vec<String> = words.iter().map(|word| (*word).to_owned()).collect();
            if !choices.is_empty() {
                choices.insert(0, String::new());
                if !choices.contains(&field.text) {
                    choices.push(field.text.clone());
                }
            }
            let shown = Field {
                id: format!("f{form}-{field_idx}"),
                deed: deed(&json!({ "do": "setting", "form": form, "key": field.key })),
                text: field.text.clone(),
                head: in_words(&field.key),
                label: String::new(),
                is_figure: false,
                choices: choices
                    .into_iter()
                    .map(|word| Choice {
                        is_chosen: word == field.text,
                        word,
                    })
                    .collect(),
                list: "",
                faults: ids.join(" "),
                hint: field
                    .column
                    .map(|column| self.hint_of(column))
                    .unwrap_or_default(),
                meaning: match field.column {
                    Some(column) => plain(column.meaning),
                    None if field.is_path => {
                        "the file of this table, or several with commas between".to_owned()
                    }
                    None => "nobody knows this key".to_owned(),
                },
                width: "",
            };
            (shown, told)
        });
        let fields: Vec<(Field, Vec<Told>)> = fields.collect();
        let is_needed = [HEAD.name, SAW.name, SHOP.name].contains(&of.schema.name);
        let is_empty = fields.iter().all(|(field, _)| field.text.is_empty());
        ShownForm {
            id: format!("f{form}"),
            about: of.schema.meaning,
            faults: faults(Spot::Form(form)),
            is_closed: is_empty && !is_needed,
            name,
            fields,
        }
    }
}
