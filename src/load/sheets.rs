//! Sheets of mat board, glazing, backing and paper for dust covers: the tables `[[sheets]]`, `sheet-stock` and `sheet-rack`.

use super::fields::{Fields, Found, Names, Reported, Scope};
use super::near::nearest_or_all;
use super::price::read_amount;
use super::record::{Field, Origin, Record};
use super::tables::{Kept, Table, Tables};
use super::words::{CUTS, Cut, USES, Use};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::frame::Sheet;
use crate::job::{Material, Serves, SheetCutting, SheetStock, SheetTrim};
use crate::length::{Length, exact_text};

/// No sheet is larger, so that sums of sizes stay in range.
const LARGEST_SIDE: Length = Length::from_nm(100_000_000_000);
/// How thick paper for dust covers is where nothing is said, as nobody measures it. Common practice, no source: kraft paper of
/// some 80 g/m².
const PAPER: Length = Length::from_nm(100_000);
/// What is lost of fallout at each edge where nothing is said, 1/8 in or 3 mm. Common practice, no source.
const FALLOUT_LOSS: (Length, Length) = (Length::from_nm(3_175_000), Length::from_nm(3_000_000));
/// What is thicker is board. Common practice, no source.
const THICKEST_PAPER: Length = Length::MILLIMETRE;
/// What is asked for where a price cannot be read.
const PRICE_HINT: &str = "write the price of one sheet, such as `14.50`";

/// All sheets of a job; a faulty one is there without its data.
#[derive(Default)]
#[expect(
    clippy::struct_field_names,
    reason = "sheets by their names, and the sheets"
)]
pub(super) struct Sheets<'a> {
    pub(super) names: Names<'a>,
    pub(super) sheets: Vec<Found<(Use, Sheet)>>,
    materials: Vec<Found<Kind<'a>>>,
}

/// A kind of sheet being read.
struct Kind<'a> {
    material: Material,
    /// At the edges of what is sold, where nothing else is said.
    trim: SheetTrim,
    /// Where each of its sheets stands.
    origins: Vec<Origin<'a>>,
}

/// Reads `[[sheets]]`; what is sawn takes what the saw takes, if nothing else is said.
pub(super) fn read_sheets<'a>(
    records: &[Record<'a>],
    saw_kerf: Found<Length>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Sheets<'a> {
    let mut sheets = Sheets::default();
    for record in records {
        let unique = sheets
            .names
            .add(record, "name", code::DUPLICATE_SHEET, "sheets", faults);
        let sheet = unique.and(read_sheet(Fields::new(record, scope, faults)));
        let kind = read_kind(Fields::new(record, scope, faults), &sheet, saw_kerf);
        sheets.materials.push(kind);
        sheets.sheets.push(sheet);
    }
    sheets
}

/// What frames need to know of a sheet.
fn read_sheet(mut fields: Fields<'_, '_>) -> Found<(Use, Sheet)> {
    let name = fields.name("name");
    let sheet_use = fields.word("use", &USES);
    let thickness = fields.optional_length("thickness");
    let thickness = if sheet_use == Ok(Use::DustCover) {
        let thickness = thickness.map(|thickness| thickness.unwrap_or(PAPER));
        warn_of_thick_paper(&mut fields, thickness);
        thickness
    } else {
        fields.required("thickness", thickness)
    };
    Ok((
        sheet_use?,
        Sheet {
            name: name?,
            thickness: thickness?,
        },
    ))
}

/// What is thicker than paper comes, and in a job in inches or centimeters was most likely meant as millimeters.
fn warn_of_thick_paper(fields: &mut Fields<'_, '_>, thickness: Found<Length>) {
    let (Ok(thickness), Some(field)) = (thickness, fields.field("thickness")) else {
        return;
    };
    if thickness > THICKEST_PAPER {
        let what = format!(
            "paper for dust covers is to be `{}` thick: no paper is",
            exact_text(thickness, fields.scope.unit)
        );
        let hint = "write the unit behind the number, as in `0.1 mm`, or leave `thickness` out";
        let remark = Diagnostic::warning(code::THICK_PAPER, field.origin.place(), what);
        fields.faults.push(remark.with_hint(hint.to_owned()));
    }
}

/// The paper that dust covers are cut from, where they come in sheets: the first; that there is no other is checked with the whole
/// job.
pub(super) fn dust_cover(sheets: &Sheets<'_>) -> Option<Sheet> {
    let mut sheets = sheets.sheets.iter().flatten();
    let paper = sheets.find(|(given, _)| *given == Use::DustCover);
    paper.map(|(_, sheet)| sheet.clone())
}

/// How a kind of sheet is cut, and sold where its size is stated.
fn read_kind<'a>(
    mut fields: Fields<'_, 'a>,
    sheet: &Found<(Use, Sheet)>,
    saw_kerf: Found<Length>,
) -> Found<Kind<'a>> {
    let width = fields.optional_length("width");
    let height = fields.optional_length("height");
    let price = read_amount(&mut fields, "price", PRICE_HINT);
    let trim = read_trim(&mut fields);
    let cutting = read_cutting(&mut fields, sheet, saw_kerf);
    let (width, height, price) = (width?, height?, price?);
    let (trim, cutting) = (trim?, cutting?);
    let stock = if let (Some(width), Some(height)) = (width, height) {
        let stock = SheetStock {
            width,
            height,
            trim,
            quantity: None,
            price,
            label: None,
        };
        check_size(&mut fields, &stock)?;
        Some(stock)
    } else {
        let mut names = ["width", "height", "price"].into_iter();
        if let Some(given) = names.find(|&name| fields.is_filled(name)) {
            let what = format!("`{given}` of a sheet needs both `width` and `height`");
            return Err(fields.record_fault(code::NEEDS, what, None));
        }
        None
    };
    let (sheet_use, sheet) = sheet.clone()?;
    let serves = match sheet_use {
        Use::Mat => Serves::Mat,
        Use::Glazing => Serves::Glazing,
        Use::Backing | Use::Plywood => Serves::Backing,
        Use::DustCover => Serves::DustCover,
    };
    let origins = stock.iter().map(|_| fields.record.origin.clone()).collect();
    Ok(Kind {
        material: Material {
            name: Some(sheet.name),
            serves,
            cutting,
            stock: stock.into_iter().collect(),
        },
        trim,
        origins,
    })
}

/// The trim at all edges, or edge by edge.
fn read_trim(fields: &mut Fields<'_, '_>) -> Found<SheetTrim> {
    let all = fields.length("trim");
    let mut edge = |name: &str| fields.optional_length(name);
    let left = edge("trim-left");
    let right = edge("trim-right");
    let bottom = edge("trim-bottom");
    let top = edge("trim-top");
    let all = all?;
    Ok(SheetTrim {
        left: left?.unwrap_or(all),
        right: right?.unwrap_or(all),
        bottom: bottom?.unwrap_or(all),
        top: top?.unwrap_or(all),
    })
}

/// How a kind of sheet is cut.
fn read_cutting(
    fields: &mut Fields<'_, '_>,
    sheet: &Found<(Use, Sheet)>,
    saw_kerf: Found<Length>,
) -> Found<SheetCutting> {
    // Common practice, no source: plywood is sawn, and the grain of its face runs one way.
    let is_plywood = matches!(sheet, Ok((Use::Plywood, _)));
    let is_own = |fields: &Fields<'_, '_>, name| is_plywood && !fields.is_filled(name);
    let cut = if is_own(fields, "cut") {
        Ok(Cut::Sawn)
    } else {
        fields.word("cut", &CUTS)
    };
    let kerf = fields.optional_length("kerf");
    let longest_first = fields.optional_length("longest-first-cut");
    let longest_second = fields.optional_length("longest-second-cut");
    let third_cuts = fields.flag("third-cuts");
    let may_turn = if is_own(fields, "turn") {
        Ok(false)
    } else {
        fields.flag("turn")
    };
    let least_piece = fields.length("least-piece");
    let has_fallout = fields.flag("fallout");
    let loss = fields.optional_length("fallout-loss");
    if cut == Ok(Cut::Scored) {
        fields.warn_no_effect("kerf", "on what is scored; write `cut = \"sawn\"` too");
    }
    let is_mat = !sheet.as_ref().is_ok_and(|(given, _)| *given != Use::Mat);
    if !is_mat && has_fallout == Ok(true) {
        fields.warn_no_effect("fallout", "on what has no windows");
    }
    if !is_mat {
        fields.warn_no_effect("fallout-loss", "on what has no windows");
    } else if has_fallout == Ok(false) {
        fields.warn_no_effect("fallout-loss", "without `fallout = true`");
    }
    let kerf = match cut? {
        Cut::Scored => Length::ZERO,
        Cut::Sawn => kerf?.map_or(saw_kerf, Ok)?,
    };
    let usual = if fields.scope.unit.is_imperial() {
        FALLOUT_LOSS.0
    } else {
        FALLOUT_LOSS.1
    };
    let (has_fallout, loss) = (has_fallout?, loss?.unwrap_or(usual));
    Ok(SheetCutting {
        kerf,
        longest_first: longest_first?,
        longest_second: longest_second?,
        third_cuts: third_cuts?,
        may_turn: may_turn?,
        least_piece: least_piece?,
        fallout: Some(loss).filter(|_| has_fallout && is_mat),
    })
}

/// Something must be left of a sheet between its trims.
fn check_size(fields: &mut Fields<'_, '_>, stock: &SheetStock) -> Found<()> {
    let SheetTrim {
        left,
        right,
        bottom,
        top,
    } = stock.trim;
    if stock.width > LARGEST_SIDE || stock.height > LARGEST_SIDE {
        let what = "a sheet is longer than 100 m";
        return Err(fields.record_fault(code::LENGTH_RANGE, what, None));
    }
    if left + right >= stock.width || bottom + top >= stock.height {
        let what = "the trim at the edges leaves nothing of the sheet";
        return Err(fields.record_fault(code::TRIM_EATS_SHEET, what, None));
    }
    Ok(())
}

/// The materials of a job, with the sizes in which each is sold and what of it is on the rack.
pub(super) fn read_materials<'a>(
    sheets: Sheets<'a>,
    tables: &Tables<'a>,
    scope: &Scope,
    faults: &mut Diagnostics,
) -> Found<Vec<Material>> {
    let Sheets {
        names, materials, ..
    } = sheets;
    let mut labels = Names::default();
    let trims: Vec<SheetTrim> = materials
        .iter()
        .map(|kind| kind.as_ref().map(|kind| kind.trim).unwrap_or_default())
        .collect();
    let sold = Table::read(tables.sheet_stock, faults, |record, faults| {
        read_row(Fields::new(record, scope, faults), &names, &trims, "price")
    });
    let mut in_hand: Kept<'a, (usize, SheetStock)> =
        Table::read(tables.sheet_rack, faults, |record, faults| {
            let unique = labels.add(
                record,
                "label",
                code::DUPLICATE_SHEET_LABEL,
                "sheets on the rack",
                faults,
            );
            let row = read_row(Fields::new(record, scope, faults), &names, &trims, "value");
            unique.and(row)
        });
    let mut rows = sold;
    rows.append(std::mem::take(&mut in_hand));
    let mut materials: Vec<Kind<'a>> = materials.into_iter().collect::<Found<_>>()?;
    if !rows.is_sound {
        return Err(Reported);
    }
    for ((idx, stock), origin) in rows.items.into_iter().zip(rows.origins) {
        materials[idx].material.stock.push(stock);
        materials[idx].origins.push(origin);
    }
    let mut sound = Ok(());
    for kind in &materials {
        sound = check_prices(kind, faults).and(sound);
    }
    sound?;
    Ok(materials.into_iter().map(|kind| kind.material).collect())
}

/// One row of `sheet-stock`, or of `sheet-rack`, which says what a sheet is worth.
fn read_row(
    mut fields: Fields<'_, '_>,
    names: &Names<'_>,
    trims: &[SheetTrim],
    price: &'static str,
) -> Found<(usize, SheetStock)> {
    let is_rack = price == "value";
    let label = is_rack.then(|| fields.name("label"));
    let sheet = fields.reference("sheet", names, code::UNKNOWN_SHEET, "sheet");
    let sheet = fields.required("sheet", sheet);
    let width = fields.length("width");
    let height = fields.length("height");
    let quantity = fields.optional_count("quantity");
    let price = read_amount(&mut fields, price, PRICE_HINT);
    let trim = if is_rack {
        read_trim(&mut fields).map(Some)
    } else {
        let all = fields.optional_length("trim");
        all.map(|all| all.map(SheetTrim::all))
    };
    let sheet = sheet?;
    let stock = SheetStock {
        width: width?,
        height: height?,
        trim: trim?.unwrap_or(trims[sheet]),
        quantity: quantity?,
        price: price?,
        label: label.transpose()?,
    };
    check_size(&mut fields, &stock)?;
    Ok((sheet, stock))
}

/// Of what is sold of a kind, all has a price or nothing.
fn check_prices(kind: &Kind<'_>, faults: &mut Diagnostics) -> Found<()> {
    if !kind.material.has_prices() {
        return Ok(());
    }
    let mut sound = Ok(());
    for (stock, origin) in kind.material.stock.iter().zip(&kind.origins) {
        if stock.label.is_none() && stock.price.is_none() {
            let name = kind.material.name.as_deref().unwrap_or_default();
            let what = format!(
                "a sheet of {} has no price though another size of it has one",
                quoted(name)
            );
            faults.push(Diagnostic::error(code::SHEET_PRICE, origin.place(), what));
            sound = Err(Reported);
        }
    }
    sound
}

/// The sheet that a frame names for a use.
pub(super) fn find_sheet(
    fields: &mut Fields<'_, '_>,
    sheets: &Sheets<'_>,
    wanted: Use,
) -> Found<Option<Sheet>> {
    let column = wanted.word();
    match fields.present(column)? {
        Some(field) => named(fields, sheets, (field, &field.text), wanted).map(Some),
        None => Ok(None),
    }
}

/// The sheets of the lower mats that a frame names, from the top down; none where it names none.
pub(super) fn find_lower(fields: &mut Fields<'_, '_>, sheets: &Sheets<'_>) -> Found<Vec<Sheet>> {
    let Some(field) = fields.present("lower-mat")? else {
        return Ok(Vec::new());
    };
    let names = field.text.split(';').map(str::trim);
    let found: Vec<Found<Sheet>> = names
        .map(|name| named(fields, sheets, (field, name), Use::Mat))
        .collect();
    found.into_iter().collect()
}

/// The sheet of a name that stands in a field, which must be for its use.
fn named(
    fields: &mut Fields<'_, '_>,
    sheets: &Sheets<'_>,
    (field, name): (&Field<'_>, &str),
    wanted: Use,
) -> Found<Sheet> {
    let Some(idx) = sheets.names.find(name) else {
        let what = format!("unknown sheet {}", quoted(name));
        let all: Vec<&str> = sheets.names.all().collect();
        let hint = nearest_or_all(name, "the job has", &all);
        return Err(fields.fault(field, code::UNKNOWN_SHEET, what, hint));
    };
    let (given, sheet) = sheets.sheets.get(idx).ok_or(Reported)?.clone()?;
    if given.word() == wanted.word() {
        return Ok(sheet);
    }
    let what = format!(
        "sheet {} is for {}, not for {}",
        quoted(name),
        given.meant_for(),
        wanted.meant_for()
    );
    Err(fields.fault(field, code::UNKNOWN_SHEET, what, None))
}
