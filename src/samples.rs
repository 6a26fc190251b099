//! What tests in all modules make their jobs from: each domain type has one builder that fills in the usual values, so a
//! new field is written here and where it matters.

use crate::frame::{
    Borders, ChosenBoards, Frame, Grain, Holding, Mat, Milled, Moulding, Mount, Outline, Profile,
    Sheet,
};
use crate::job::{
    Assembly, Buying, Display, Ends, Hardware, HardwareUse, Job, JobSpec, LabelSheet, LongChains,
    Lot, Paper, Piece, PriceRules, Purpose, Shop, StopAt, TableForm,
};
use crate::length::{Length, Unit};
use crate::money::{Currency, Money};
use crate::stock::{Board, Given, InHandRules, Price, Rip};

mod first_fit;

pub(crate) use first_fit::first_fit;

/// A length in sixteenths of an inch.
pub(crate) fn in16(sixteenths: i64) -> Length {
    Length::from_nm(1_587_500 * sixteenths)
}

/// A length in sixty-fourths of an inch.
pub(crate) fn in64(sixty_fourths: i64) -> Length {
    Length::from_nm(396_875 * sixty_fourths)
}

/// A length in inches.
pub(crate) fn inches(whole: i64) -> Length {
    Length::INCH * whole
}

/// A length in millimeters.
pub(crate) fn millimeters(whole: i64) -> Length {
    Length::MILLIMETRE * whole
}

/// Boards are ripped, and nothing is lost but a kerf of 1/8 in; none is resawn.
pub(crate) fn rip() -> Rip {
    Rip {
        kerf: in64(8),
        straightening: Length::ZERO,
        planing: Length::ZERO,
        plane_off: Length::ZERO,
        narrowest_offcut: None,
        resaw: None,
    }
}

/// A job of nothing yet, with a kerf of 1/8 in, trims of 1/2 in and a fit allowance of 1/8 in.
pub(crate) fn empty_job() -> Job {
    JobSpec {
        title: "sample".to_owned(),
        date: None,
        display: Display {
            unit: Unit::Inch,
            step: in64(2),
            currency: Currency {
                code: String::new(),
                decimals: 2,
            },
            tables: TableForm::default(),
        },
        shop: Shop {
            kerf: in64(8),
            end_trim: in64(32),
            fit_allowance: in64(8),
            shortest_offcut: inches(12),
            long_offcuts: 0,
            point_room: Length::ZERO,
            stop: StopAt::LongPoint,
            long_chains: LongChains::Refused,
            in_hand: InHandRules::default(),
            rip: None,
        },
        assembly: Assembly::usual(Unit::Inch),
        labels: LabelSheet::usual(Paper::A4),
        prices: PriceRules::default(),
        hardware: Vec::new(),
        mouldings: Vec::new(),
        frames: Vec::new(),
        pieces: Vec::new(),
        boards: Vec::new(),
        materials: Vec::new(),
        dust_cover: None,
        buying: Buying::default(),
    }
    .into()
}

/// A handed section with a lip of 1/4 in, milled before cutting.
pub(crate) fn moulding(name: &str, face_width: Length, material: Option<&str>) -> Moulding {
    Moulding {
        name: name.to_owned(),
        profile: name.to_owned(),
        face_width,
        lip: in64(16),
        rabbet_depth: None,
        material: material.map(str::to_owned),
        thickness: None,
        thicker_stock: false,
        milled: Milled::BeforeCutting,
        section: Profile::Handed,
        grain: Grain::Free,
        match_color: false,
        spare: None,
    }
}

/// A frame round bare paper, without mat or sheets, held by a rabbet.
pub(crate) fn frame(name: &str, quantity: u32, art: Outline, moulding_idx: usize) -> Frame {
    Frame {
        name: name.to_owned(),
        quantity,
        art,
        art_thickness: Length::ZERO,
        mat: None,
        glazing: None,
        spacer: None,
        backing: None,
        holding: Holding::Rabbet,
        moulding_idx,
        inner: Vec::new(),
        held_by: None,
        grain: None,
        in_pairs: false,
        match_color: None,
        gets_cover: true,
        boards: ChosenBoards::ANY,
    }
}

/// Two layers over a quarter of an inch of the artwork.
pub(crate) fn mat(borders: Borders) -> Mat {
    Mat {
        name: None,
        borders,
        mount: Mount::Overlap(in64(16)),
        layers: 2,
        reveal: in64(16),
        thickness: in64(4),
        is_oval: false,
        lower: Vec::new(),
    }
}

pub(crate) fn sheet(name: &str, thickness: Length) -> Sheet {
    Sheet {
        name: name.to_owned(),
        thickness,
    }
}

/// Hardware without a price or a rating.
pub(crate) fn hardware(name: &str, hardware_use: HardwareUse, lot: Lot) -> Hardware {
    Hardware {
        name: name.to_owned(),
        hardware_use,
        lot,
        price: None,
        bears: None,
        each: None,
        roll_width: None,
    }
}

/// An outline in whole inches.
pub(crate) fn rectangle(width: i64, height: i64) -> Outline {
    Outline::Rectangle {
        width: inches(width),
        height: inches(height),
    }
}

/// A wanted piece of plain wood, of any wood and width.
pub(crate) fn piece(name: &str, length: Length, quantity: u32, ends: Ends) -> Piece {
    Piece {
        name: name.to_owned(),
        length,
        quantity,
        ends,
        moulding_idx: None,
        material: None,
        thickness: None,
        width: None,
        boards: ChosenBoards::ANY,
        on_edge: false,
        purpose: Purpose::Wanted,
    }
}

/// As many boards as needed, without a price, of any thickness and width.
pub(crate) fn board(name: &str, length: Length, material: Option<&str>) -> Board {
    Board {
        name: name.to_owned(),
        material: material.map(str::to_owned),
        thickness: None,
        width: None,
        nominal: None,
        length,
        quantity: None,
        price: None,
        in_hand: None,
        is_tallied: false,
        defects: Vec::new(),
        at_yard: None,
        given: Given::default(),
    }
}

/// A slat: a piece of plain wood with square ends and a width.
pub(crate) fn slat(name: &str, length: Length, quantity: u32, width: Length) -> Piece {
    Piece {
        width: Some(width),
        ..piece(name, length, quantity, Ends::Square)
    }
}

/// A board at a price for each, in minor units.
pub(crate) fn priced(board: Board, minor: i64) -> Board {
    Board {
        price: Some(Price::Each(Money::from_minor(minor))),
        ..board
    }
}

/// A job with a bit of everything: two woods, mats, a tray, a hexagon, loose pieces of both ends, a short supply.
pub(crate) fn mixed_job() -> Job {
    let mut job = empty_job();
    job.mouldings = vec![
        moulding("walnut cap", inches(2), Some("walnut")),
        moulding("oak tray", in64(48), Some("white oak")),
    ];
    let mut dunes = frame("Dunes", 2, rectangle(16, 20), 0);
    dunes.mat = Some(mat(Borders {
        top: inches(2),
        right: inches(2),
        bottom: inches(3),
        left: inches(2),
    }));
    dunes.glazing = Some(sheet("glass 2 mm", millimeters(2)));
    let mut floated = frame("Harbour", 1, rectangle(8, 10), 0);
    floated.mat = Some(Mat {
        mount: Mount::Float,
        layers: 1,
        ..dunes.mat.clone().unwrap()
    });
    let mut tray = frame("Canvas", 1, rectangle(24, 30), 1);
    tray.holding = Holding::Tray { gap: in64(16) };
    let hexagon = frame("Mirror", 1, Outline::of_side(6, inches(10)), 1);
    job.frames = vec![dunes, floated, tray, hexagon];
    let mut liner = piece("liner", inches(18), 3, Ends::Square);
    liner.moulding_idx = Some(0);
    let mut strut = piece("strut", inches(14), 2, Ends::Miter);
    strut.material = Some("Pine ".to_owned());
    job.pieces = vec![liner, strut, piece("spacer", inches(7), 5, Ends::Square)];
    let mut short_oak = priced(board("oak 6", Length::FOOT * 6, Some("White Oak")), 900);
    short_oak.quantity = Some(1);
    job.boards = vec![
        priced(board("walnut 8", Length::FOOT * 8, Some("walnut")), 2_400),
        short_oak,
        priced(board("oak 10", Length::FOOT * 10, Some("white oak")), 1_700),
        priced(board("pine 4", Length::FOOT * 4, Some("pine")), 300),
    ];
    job
}
