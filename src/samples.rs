//! Jobs and a solver for the tests of this module; not part of the program.

use crate::cutting::{BoardUse, Bound, End, Instance, Layout, Pattern, Solution};
use crate::frame::{
    Borders, Frame, Grain, Holding, Mat, Milled, Moulding, Mount, Outline, Profile, Sheet,
};
use crate::job::{Display, Ends, Job, JobSpec, LongChains, Piece, Purpose, Shop};
use crate::length::{Length, Unit};
use crate::money::{Currency, Money};
use crate::stock::{Board, Given, Price};

/// A length in sixty-fourths of an inch.
pub(crate) fn in64(sixty_fourths: i64) -> Length {
    Length::from_nm(396_875 * sixty_fourths)
}

/// A length in inches.
pub(crate) fn inches(whole: i64) -> Length {
    Length::INCH * whole
}

/// A length in millimetres.
pub(crate) fn millimetres(whole: i64) -> Length {
    Length::MILLIMETRE * whole
}

/// A job of nothing yet, with a kerf of 1/8 in, trims of 1/2 in and a fit allowance of 1/8 in.
pub(crate) fn empty_job() -> Job {
    JobSpec {
        title: "sample".to_owned(),
        display: Display {
            unit: Unit::Inch,
            step: in64(2),
            currency: Currency {
                code: String::new(),
                decimals: 2,
            },
        },
        shop: Shop {
            kerf: in64(8),
            end_trim: in64(32),
            fit_allowance: in64(8),
            shortest_offcut: inches(12),
            long_offcuts: 0,
            point_room: Length::ZERO,
            long_chains: LongChains::Refused,
            rip: None,
        },
        mouldings: Vec::new(),
        frames: Vec::new(),
        pieces: Vec::new(),
        boards: Vec::new(),
    }
    .into()
}

pub(crate) fn moulding(name: &str, face_width: Length, material: Option<&str>) -> Moulding {
    Moulding {
        name: name.to_owned(),
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
    }
}

pub(crate) fn frame(name: &str, quantity: u32, art: Outline, moulding_idx: usize) -> Frame {
    Frame {
        name: name.to_owned(),
        quantity,
        art,
        art_thickness: Length::ZERO,
        mat: None,
        glazing: None,
        backing: None,
        holding: Holding::Rabbet,
        moulding_idx,
        grain: None,
        match_color: None,
    }
}

pub(crate) fn rectangle(width: i64, height: i64) -> Outline {
    Outline::Rectangle {
        width: inches(width),
        height: inches(height),
    }
}

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
        purpose: Purpose::Wanted,
    }
}

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
        defects: Vec::new(),
        given: Given::default(),
    }
}

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
    dunes.mat = Some(Mat {
        name: None,
        borders: Borders {
            top: inches(2),
            right: inches(2),
            bottom: inches(3),
            left: inches(2),
        },
        mount: Mount::Overlap(in64(16)),
        layers: 2,
        reveal: in64(16),
        thickness: in64(4),
    });
    dunes.glazing = Some(Sheet {
        name: "glass 2 mm".to_owned(),
        thickness: millimetres(2),
    });
    let mut floated = frame("Harbour", 1, rectangle(8, 10), 0);
    floated.mat = Some(Mat {
        mount: Mount::Float,
        layers: 1,
        ..dunes.mat.clone().unwrap()
    });
    let mut tray = frame("Canvas", 1, rectangle(24, 30), 1);
    tray.holding = Holding::Tray { gap: in64(16) };
    let hexagon = frame(
        "Mirror",
        1,
        Outline::Regular {
            sides: 6,
            side: inches(10),
        },
        1,
    );
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

/// First fit over the items in their order: on the first open strip with room, else on a strip of the first board
/// that takes it. No claim to be good; bounds are the trivial ones.
pub(crate) fn first_fit(instance: &Instance) -> Solution {
    struct Open {
        /// Position in the list of boards, and of the strip on it.
        board: usize,
        strip_idx: usize,
        strip: usize,
        room: i64,
    }
    let mut left: Vec<Option<u32>> = instance.stocks.iter().map(|stock| stock.supply).collect();
    let mut boards: Vec<BoardUse> = Vec::new();
    let mut open: Vec<Open> = Vec::new();
    let mut missing = vec![0; instance.items.len()];
    for (item_idx, item) in instance.items.iter().enumerate() {
        let takes = |strip: usize, room: i64| {
            instance.strips[strip].items.contains(&item_idx) && item.size <= room
        };
        let mut first_with_room = 0;
        for _ in 0..item.demand {
            // Strips without room for this item have none for the next one like it.
            while first_with_room < open.len()
                && !takes(open[first_with_room].strip, open[first_with_room].room)
            {
                first_with_room += 1;
            }
            if first_with_room == open.len() {
                let fresh = instance
                    .stocks
                    .iter()
                    .enumerate()
                    .find_map(|(stock_idx, stock)| {
                        if left[stock_idx] == Some(0) {
                            return None;
                        }
                        let takes_fresh = |layout: &Layout| {
                            layout
                                .strips
                                .iter()
                                .any(|&strip| takes(strip, instance.strips[strip].capacity))
                        };
                        // The last and the first layout that will do in turn, so that both kinds are met.
                        let layout = if boards.len().is_multiple_of(2) {
                            stock.layouts.iter().rposition(takes_fresh)
                        } else {
                            stock.layouts.iter().position(takes_fresh)
                        }?;
                        Some((stock_idx, layout))
                    });
                let Some((stock, layout)) = fresh else {
                    missing[item_idx] += 1;
                    continue;
                };
                left[stock] = left[stock].map(|n| n - 1);
                let strips = &instance.stocks[stock].layouts[layout].strips;
                for (strip_idx, &strip) in strips.iter().enumerate() {
                    open.push(Open {
                        board: boards.len(),
                        strip_idx,
                        strip,
                        room: instance.strips[strip].capacity,
                    });
                }
                boards.push(BoardUse {
                    stock,
                    layout,
                    patterns: vec![Pattern::default(); strips.len()],
                    times: 1,
                });
                while !takes(open[first_with_room].strip, open[first_with_room].room) {
                    first_with_room += 1;
                }
            }
            let place = &mut open[first_with_room];
            place.room -= item.size;
            let counts = &mut boards[place.board].patterns[place.strip_idx].counts;
            match counts.last_mut() {
                Some((last, count)) if *last == item_idx => *count += 1,
                _ => counts.push((item_idx, 1)),
            }
        }
    }
    let cost = boards
        .iter()
        .map(|board| instance.stocks[board.stock].cost)
        .sum();
    let n_missing: u32 = missing.iter().sum();
    Solution {
        certificate: None,
        boards,
        missing,
        cost,
        bound: Bound {
            missing_pieces: 0,
            cost: 0,
        },
        end: if cost == 0 && n_missing == 0 {
            End::Proved
        } else {
            End::WorkLimit
        },
    }
}
