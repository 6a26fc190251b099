//! What else the job needs: sheets, hangers, wire and keys, each by a simple rule that is stated.
//!
//! None of these is planned as the boards are; a rule gives a number that one can buy by, not a proof.

use std::collections::BTreeMap;

use crate::frame::{Frame, FrameSizes, Miter, Outline, SheetToCut, SheetUse, frame_sizes, package};
use crate::job::{Job, SheetStock};
use crate::length::Length;
use crate::money::Money;

use super::shares::shared;
use crate::job::Line;

/// Common practice, no source: mat board comes in sheets of 32 by 40 in.
const SHEET: (Length, Length) = (Length::from_nm(812_800_000), Length::from_nm(1_016_000_000));
/// Our own rule: what a wire is longer than the frame is wide, for its slack and the twists at both ends.
const WIRE_EXTRA: Length = Length::FOOT;

/// What is needed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Mat board, by name; `None` where neither the frame nor the job has one for it.
    Mat(Option<String>),
    /// Glass or acrylic, by name.
    Glazing(String),
    /// Backing board, by name.
    Backing(String),
    /// Hangers, screwed to the back of the side rails.
    Hangers,
    /// Picture wire.
    Wire,
    /// Splines or keys across the miters.
    Keys,
    /// What they are cut from.
    KeyStock,
}

/// How much is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// Whole sheets, and pieces that no sheet holds.
    Sheets {
        /// How many sheets.
        sheets: u64,
        /// Width and height of one.
        size: (Length, Length),
        /// Pieces cut from them.
        pieces: u64,
        /// Pieces larger than a sheet, to be had otherwise.
        too_large: u64,
    },
    /// Pieces.
    Count(u64),
    /// Length in all.
    Length(Length),
}

/// The rule by which an amount was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// Pieces laid in rows across the sheet, each with its longer side along the row where that fits, the tallest first
    /// and each in the first row with room; no allowance for breakage. `stated` tells whether the size of the sheet is the job's own.
    Rows {
        /// Whether the job gives the sheet's size.
        stated: bool,
    },
    /// Two to a frame. Common practice, no source: a quarter to a third down from the top, each rated at twice the
    /// weight of the frame.
    TwoToAFrame,
    /// The outside width and a foot more for each frame; our own rule.
    WidthAndAFoot,
    /// One to a corner, each twice the face width long; our own rule.
    OneToACorner,
}

/// A line of the list for the whole job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Need {
    /// What.
    pub kind: Kind,
    /// How much.
    pub amount: Amount,
    /// By which rule.
    pub rule: Rule,
    /// What it costs, where the job has a price for it.
    pub money: Option<Money>,
}

/// What the frames of a job need besides boards.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn list_needs(job: &Job) -> Vec<Need> {
    let mut sheets: BTreeMap<Kind, Vec<(Length, Length, u32)>> = BTreeMap::new();
    let (mut hangers, mut keys) = (0, 0);
    let (mut wire, mut key_stock) = (Length::ZERO, Length::ZERO);
    for frame in &job.frames {
        let moulding = &job.mouldings[frame.moulding_idx];
        let sizes = frame_sizes(frame, &job.mouldings, job.shop.fit_allowance);
        let copies = u64::from(frame.quantity);
        for sheet in package(frame, &job.mouldings, job.shop.fit_allowance).sheets {
            let (width, height) = rectangle_round(sheet.size);
            let kind = kind_of(job, sheet);
            sheets
                .entry(kind)
                .or_default()
                .push((width, height, frame.quantity));
        }
        let corners = i64::from(frame.quantity) * i64::from(frame.art.n_sides());
        keys += copies * u64::from(frame.art.n_sides());
        key_stock += moulding.face_width * 2 * corners;
        // What another frame holds hangs by that.
        if frame.is_held() {
            continue;
        }
        hangers += 2 * copies;
        wire += (widest(frame, &sizes) + WIRE_EXTRA) * i64::from(frame.quantity);
    }
    let mut needs: Vec<Need> = sheets
        .into_iter()
        .map(|(kind, pieces)| sheets_needed(job, kind, &pieces))
        .collect();
    // A job that lists its hardware has that counted, and nothing besides.
    if hangers > 0 && job.hardware.is_empty() {
        let plain = |kind, amount, rule| Need {
            kind,
            amount,
            rule,
            money: None,
        };
        needs.push(plain(
            Kind::Hangers,
            Amount::Count(hangers),
            Rule::TwoToAFrame,
        ));
        needs.push(plain(Kind::Wire, Amount::Length(wire), Rule::WidthAndAFoot));
        needs.push(plain(Kind::Keys, Amount::Count(keys), Rule::OneToACorner));
        needs.push(plain(
            Kind::KeyStock,
            Amount::Length(key_stock),
            Rule::OneToACorner,
        ));
    }
    needs
}

/// What the sheets of each line of frames cost, as far as the job has prices for them.
///
/// The rule: the price of all sheets of a kind is shared by the pieces cut from them, in proportion to their faces. The
/// shares sum to the amounts of [`list_needs`] exactly.
///
/// # Panics
/// As [`list_needs`].
pub fn share_sheets(job: &Job) -> BTreeMap<Line, Money> {
    let mut faces: BTreeMap<Kind, Vec<(Line, i128)>> = BTreeMap::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        for sheet in package(frame, &job.mouldings, job.shop.fit_allowance).sheets {
            let (width, height) = rectangle_round(sheet.size);
            let face =
                i128::from(width.nm()) * i128::from(height.nm()) * i128::from(frame.quantity);
            faces
                .entry(kind_of(job, sheet))
                .or_default()
                .push((Line::Frame(frame_idx), face));
        }
    }
    let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
    for need in list_needs(job) {
        let (Some(money), Some(pieces)) = (need.money, faces.get(&need.kind)) else {
            continue;
        };
        let weights: Vec<i128> = pieces.iter().map(|&(_, face)| face).collect();
        for (&(line, _), share) in pieces.iter().zip(shared(money.minor(), &weights)) {
            *shares.entry(line).or_default() += Money::from_minor(share);
        }
    }
    shares
}

/// What a sheet to cut is cut from.
///
/// Mat board that the frame does not name is the job's only one, where it lists the size of just one.
fn kind_of(job: &Job, sheet: SheetToCut) -> Kind {
    match sheet.sheet_use {
        SheetUse::Mat { .. } => Kind::Mat(sheet.name.or_else(|| {
            let mut mats = job.buying.sheets.iter().filter(|stock| stock.is_mat);
            let only = mats.next().filter(|_| mats.next().is_none());
            only.map(|stock| stock.name.clone())
        })),
        SheetUse::Glazing => Kind::Glazing(sheet.name.unwrap_or_default()),
        SheetUse::Backing => Kind::Backing(sheet.name.unwrap_or_default()),
    }
}

/// The rectangle from which a sheet is cut: of a polygon the one that it fills with a side along an edge, rounded up.
fn rectangle_round(outline: Outline) -> (Length, Length) {
    let (sides, side) = match outline {
        Outline::Rectangle { width, height } => return (width, height),
        Outline::Regular { sides, side } => (sides, side),
    };
    let corner = Miter::Corner { sides };
    // Twice the way from the center to a side, and to a corner: a side is as long as the first times the tangent.
    let flats = least(side * i64::from(sides), |width| {
        corner.run_along(width) >= side
    });
    let corners = corner.kerf_along(flats);
    match sides % 4 {
        0 => (flats, flats),
        2 => (corners, flats),
        // From a side to the corner that faces it; across, the longest diagonal is the corners' circle less a hair.
        _ => {
            let half = Miter::Corner { sides: 2 * sides };
            let widest = least(corners, |width| half.kerf_along(width) >= corners);
            let height = Length::from_nm((flats + corners).nm().div_euclid(2) + 1);
            (widest, height)
        }
    }
}

/// The least length from zero to `most` that is enough; every longer one is too, and `most` counts as enough.
fn least(most: Length, is_enough: impl Fn(Length) -> bool) -> Length {
    let (mut low, mut high) = (0, most.nm());
    while low < high {
        let middle = i64::midpoint(low, high);
        if is_enough(Length::from_nm(middle)) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    Length::from_nm(high)
}

/// How wide a frame hangs, or of a polygon at most: it is nowhere wider than its sides end to end, halved.
fn widest(frame: &Frame, sizes: &FrameSizes) -> Length {
    match (frame.art, sizes.outside) {
        (Outline::Regular { .. }, Outline::Regular { sides, side }) => {
            Length::from_nm((side.nm() * i64::from(sides) + 1) / 2)
        }
        _ => sizes.rail(0).long_point,
    }
}

/// How many sheets some pieces take.
fn sheets_needed(job: &Job, kind: Kind, pieces: &[(Length, Length, u32)]) -> Need {
    let stock = find_stock(job, &kind);
    let size = stock.map_or(SHEET, |stock| (stock.width, stock.height));
    let mut single: Vec<(Length, Length)> = Vec::new();
    let mut too_large = 0;
    for &(width, height, count) in pieces {
        match laid(width, height, size) {
            Some(laid) => single.extend(std::iter::repeat_n(
                laid,
                usize::try_from(count).unwrap_or(0),
            )),
            None => too_large += u64::from(count),
        }
    }
    let sheets = rows_of_sheets(&mut single, size);
    let money = stock
        .and_then(|stock| stock.price)
        .filter(|_| too_large == 0)
        .map(|price| price * i64::try_from(sheets).expect("a count in memory fits 63 bits"));
    Need {
        kind,
        amount: Amount::Sheets {
            sheets,
            size,
            pieces: u64::try_from(single.len()).expect("a count in memory fits 64 bits"),
            too_large,
        },
        rule: Rule::Rows {
            stated: stock.is_some(),
        },
        money,
    }
}

/// The sheet of the job that a kind is cut from.
fn find_stock<'j>(job: &'j Job, kind: &Kind) -> Option<&'j SheetStock> {
    job.buying.sheets.iter().find(|stock| match kind {
        Kind::Mat(name) => stock.is_mat && Some(&stock.name) == name.as_ref(),
        Kind::Glazing(name) | Kind::Backing(name) => !stock.is_mat && stock.name == *name,
        Kind::Hangers | Kind::Wire | Kind::Keys | Kind::KeyStock => false,
    })
}

/// Width along a row and height of the row for a piece: lying if it fits so, else standing; `None` if neither fits.
fn laid(width: Length, height: Length, sheet: (Length, Length)) -> Option<(Length, Length)> {
    let (long, short) = (width.max(height), width.min(height));
    let fits = |along: Length, across: Length| along <= sheet.0 && across <= sheet.1;
    if fits(long, short) {
        Some((long, short))
    } else if fits(short, long) {
        Some((short, long))
    } else {
        None
    }
}

/// Sheets for pieces in rows, by first fit with falling height: each piece in the first row that is high enough and
/// has room, each row on the first sheet with room.
///
/// # Source
/// E. G. Coffman, M. R. Garey, D. S. Johnson, R. E. Tarjan, SIAM Journal on Computing 9(4), 1980 (first fit decreasing
/// height, the rows then packed into sheets in the same manner).
fn rows_of_sheets(pieces: &mut [(Length, Length)], sheet: (Length, Length)) -> u64 {
    pieces.sort_by_key(|&(along, across)| (std::cmp::Reverse(across), std::cmp::Reverse(along)));
    // Of each row its height and what is left of it.
    let mut rows: Vec<(Length, Length)> = Vec::new();
    for &(along, across) in &*pieces {
        match rows.iter_mut().find(|row| row.1 >= along) {
            Some(row) => row.1 -= along,
            None => rows.push((across, sheet.0 - along)),
        }
    }
    let mut sheets: Vec<Length> = Vec::new();
    for (height, _) in rows {
        match sheets.iter_mut().find(|left| **left >= height) {
            Some(left) => *left -= height,
            None => sheets.push(sheet.1 - height),
        }
    }
    u64::try_from(sheets.len()).expect("a count in memory fits 64 bits")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pieces_lie_in_rows() {
        let piece = |width: i64, height: i64| {
            laid(Length::INCH * width, Length::INCH * height, SHEET).expect("it fits")
        };
        // Derived: laid 15 long and 13 high, two to a row of 32, three rows of 13 in 40: six to a sheet.
        let mut six = vec![piece(13, 15); 6];
        assert_eq!(rows_of_sheets(&mut six, SHEET), 1);
        let mut seven = vec![piece(13, 15); 7];
        assert_eq!(rows_of_sheets(&mut seven, SHEET), 2);
        // Derived: 36 in fits only along the 40, so it stands.
        assert_eq!(
            laid(Length::INCH * 36, Length::INCH * 30, SHEET),
            Some((Length::INCH * 30, Length::INCH * 36))
        );
        assert_eq!(laid(Length::INCH * 41, Length::INCH * 3, SHEET), None);
        assert_eq!(laid(Length::INCH * 33, Length::INCH * 33, SHEET), None);
    }

    /// Derived from any table of regular polygons, per unit of side: triangle 1 x 0.866025; pentagon 1.618034 x 1.538842;
    /// hexagon 2 x 1.732051; octagon 2.414214 both ways.
    #[test]
    fn polygons_are_cut_from_the_rectangle_that_they_fill() {
        let side = Length::from_nm(1_000_000_000);
        for (sides, width, height) in [
            (3, 1_000_000_000, 866_025_404),
            (5, 1_618_033_989, 1_538_841_769),
            (6, 2_000_000_000, 1_732_050_808),
            (8, 2_414_213_562, 2_414_213_562),
        ] {
            let (own_width, own_height) = rectangle_round(Outline::Regular { sides, side });
            let is_near = |own: Length, nm: i64| (own.nm() - nm).abs() <= 4;
            assert!(
                is_near(own_width, width) && is_near(own_height, height),
                "{sides} sides: {own_width:?} x {own_height:?}"
            );
        }
        // An octagon of 21 3/4 in from side to side lies on a usual sheet; its side is that less than half as long.
        let flats = Length::INCH * 21 + Length::from_nm(19_050_000);
        let side = Miter::Corner { sides: 8 }.run_along(flats);
        let (width, height) = rectangle_round(Outline::Regular { sides: 8, side });
        assert_eq!(width, height);
        // The side is rounded to the nanometer, and what follows from it by no more than that.
        assert!((width - flats).nm().abs() <= 1, "{width:?}");
        assert!(laid(width, height, SHEET).is_some());
    }
}
