//! What to look out for at the saw, where the job's own numbers call for it.
//!
//! # Source
//! Common practice, no source, unless a variant names one.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

use crate::frame::{Milled, Miter};
use crate::job::{HangBy, HardwareUse, Job, Weight};
use crate::length::Length;
use crate::plan::{Cut, Part, Plan, PlannedBoard, PlannedStrip};

use super::at_bench::AtBench;
use super::limits::Limits;
use super::panes::{PaneTrouble, pane_troubles};
use super::sheet::{SizedFrame, sized_frames};
use super::weights::{SheetKind, frame_weight, untold};

/// The last stretch of a rip, which a push stick brings past the blade (300 mm).
///
/// # Source
/// Published: UK HSE WIS 16, as restated.
pub const PUSH_STICK: Length = Length::from_nm(300 * Length::MILLIMETRE.nm());

/// One caution, with the numbers that call for it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Caution {
    /// Parts shorter than [`Limits::short_work`] are to be sawn.
    ShortParts {
        /// How many.
        n_parts: u64,
        /// One of the shortest.
        shortest: Part,
        /// Its length.
        length: Length,
        /// How many of them are sawn off when less than [`Limits::short_work`] of the board is left behind them to hold.
        n_unheld: u64,
        /// How many of those are on strips that give short parts only, so that no order of the cuts would help.
        n_all_short: u64,
        /// How many of them are shorter than [`Limits::tiny_work`].
        n_tiny: u64,
    },
    /// Parts are cut with a guillotine chopper: knives, guard and pedal. Common practice; nothing published was found.
    Chopper {
        /// How many cuts.
        n_cuts: u64,
    },
    /// Triangles fall loose between mitered neighbors that lie the same way round.
    LooseTriangles {
        /// How many.
        n_triangles: u64,
    },
    /// Parts shorter than [`Limits::short_work`] are to be milled after they are sawn: they are not to be planed.
    ShortMilledAfterCutting {
        /// How many.
        n_parts: u64,
        /// Length of the shortest.
        length: Length,
    },
    /// Offcuts shorter than [`Limits::short_work`] fall between blade and stop block.
    ShortOffcuts {
        /// On how many strips.
        n_strips: u64,
        /// The shortest.
        shortest: Length,
    },
    /// Boards are wider than what is cut from them and have to be ripped.
    ///
    /// Push sticks and guards for ripping: US OSHA 29 CFR 1910.213(c) and (s), from memory.
    /// A push stick for the last 300 mm of a rip: published, UK HSE WIS 16, as restated.
    Ripping {
        /// How many boards.
        n_boards: u64,
        /// Width of the narrowest strip.
        narrowest: Length,
    },
    /// Of the strips to be ripped some are narrower than [`Limits::thin_rip`].
    ThinRips {
        /// How many strips.
        n_strips: u64,
        /// Width of the narrowest.
        narrowest: Length,
    },
    /// Boards are bought that are longer than the vehicle takes, and cut at the yard. Loads that stand out are to be made fast
    /// and marked; how far and how, local rules say.
    LongBoards {
        /// How many.
        n_boards: u64,
        /// The longest stretch that is brought home.
        longest: Length,
    },
    /// More than half of the thickness of boards is to be planed away.
    ThickBoards {
        /// How many strips.
        n_strips: u64,
        /// What loses the largest share: an index into `Job::boards`, the first of several.
        board_idx: usize,
        /// Its thickness.
        given: Length,
        /// What is milled from it: an index into `Job::mouldings`.
        moulding_idx: usize,
        /// That moulding's thickness.
        wanted: Length,
    },
    /// Glazing is to be cut and handled.
    ///
    /// Protection against cuts where hands meet glass: published, California Code of Regulations, title 8, sec. 3384(a).
    Glazing {
        /// How many sheets.
        n_sheets: u64,
        /// How many of them may be glass: what is not named as plastic.
        n_glass: u64,
        /// Of those, how many are larger than 9 sq ft, see [`LARGE_PANE`](super::LARGE_PANE).
        n_large: u64,
        /// Of those named as glass, how many are larger than is usual for their thickness, and not for thicker glass.
        n_thin: u64,
        /// Of those named as glass, how many are larger than is usual for glass in frames.
        n_vast: u64,
        /// Of those named as glass, how many are heavier than [`HEAVY_PANE`](super::HEAVY_PANE).
        n_heavy: u64,
        /// Of what may be glass, how many are strips narrower than [`NARROW_PANE`](super::NARROW_PANE).
        n_narrow: u64,
    },
    /// Frames weigh more than [`Limits::one_wire`] without their artwork.
    HeavyFrames {
        /// How many, copies counted.
        n_frames: u64,
        /// The heaviest, an index into `Job::frames`.
        heaviest: usize,
        /// What of its weight is known.
        weight: Weight,
    },
    /// What frames hang by is chosen by their weight, and much of that is not known, see [`half_weighed`].
    HalfWeighed {
        /// How many frames, copies counted.
        n_frames: u64,
    },
    /// Eyes, ears and lungs, and no gloves where something turns. Always given to a plan.
    ///
    /// Gloves: published, California Code of Regulations, title 8, sec. 3384(b). Glasses and hearing protection:
    /// published, CCOHS, jointers and planers. Dust: published, UK HSE, wood dust.
    Shop,
    /// The sheet is only as good as its figures: measure one real kerf and one real board first. Always given.
    MeasureFirst {
        /// The kerf the plan assumes.
        kerf: Length,
        /// How many boards it takes.
        n_boards: u64,
    },
    /// The sheet replaces neither the machine's manual nor local rules nor trained advice. Always given, and last.
    Deferral,
}

/// The cautions that `plan` calls for, in the order in which one meets them; the last three always.
///
/// # Panics
/// If `plan` names boards or parts that are not `job`'s.
pub fn cautions(plan: &Plan) -> Vec<Caution> {
    let job = &plan.job;
    [
        long_boards(plan),
        chopper(plan),
        short_parts(plan),
        short_milled_after_cutting(plan),
        short_offcuts(plan),
        loose_triangles(plan),
        ripping(plan),
        thin_rips(plan),
        thick_boards(plan),
        glazing(job),
        heavy_frames(job),
        of_half_weighed(job),
        Some(Caution::Shop),
        Some(Caution::MeasureFirst {
            kerf: job.shop.kerf,
            n_boards: AtBench::of(plan).n_sticks(),
        }),
        Some(Caution::Deferral),
    ]
    .into_iter()
    .flatten()
    .collect()
}

/// The cautions that a list of sizes calls for, where nothing is planned yet; the last always.
pub fn sizes_cautions(job: &Job) -> Vec<Caution> {
    let found = [
        glazing(job),
        heavy_frames(job),
        of_half_weighed(job),
        Some(Caution::Deferral),
    ];
    found.into_iter().flatten().collect()
}

/// A count as it stands in a caution.
fn count(n: usize) -> u64 {
    u64::try_from(n).expect("a count in memory fits 64 bits")
}

fn long_boards(plan: &Plan) -> Option<Caution> {
    let of_yard = |board: &&PlannedBoard| {
        board.is_cut_at_yard() && plan.job.boards[board.board_idx].in_hand.is_none()
    };
    let cut = || plan.boards.iter().filter(of_yard);
    let stretches = cut().flat_map(|board| &board.stretches);
    let longest = stretches.map(|stretch| stretch.to - stretch.from).max()?;
    Some(Caution::LongBoards {
        n_boards: count(cut().count()),
        longest,
    })
}

fn chopper(plan: &Plan) -> Option<Caution> {
    let n_cuts = plan.boards.iter().map(|board| board.cuts().count()).sum();
    plan.job.shop.chops().then_some(Caution::Chopper {
        n_cuts: count(n_cuts),
    })
}

fn short_parts(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let limits = Limits::of(job.display.unit);
    let is_short = |length: Length| length < limits.short_work;
    // Each with what is left of the board behind it when it is sawn off, and whether all parts of its strip are short.
    let mut short: Vec<(Length, Part, Length, bool)> = Vec::new();
    for board in &plan.boards {
        for strip in &board.strips {
            let stretch = &board.stretches[strip.stretch];
            let all_short = strip.cuts.iter().all(|cut| is_short(cut.to - cut.from));
            let each = strip.cuts.iter().map(|cut| {
                let behind = cut.to + cut.part.kerf_along(job);
                let held = stretch.to - stretch.from - behind;
                (cut.to - cut.from, cut.part, held, all_short)
            });
            short.extend(each.filter(|&(length, ..)| is_short(length)));
        }
    }
    let &(length, shortest, ..) = short.iter().min()?;
    let unheld = || short.iter().filter(|&&(.., held, _)| is_short(held));
    let all_short = unheld().filter(|&&(.., all_short)| all_short);
    let tiny = short
        .iter()
        .filter(|&&(length, ..)| length < limits.tiny_work);
    Some(Caution::ShortParts {
        n_parts: count(short.len()),
        shortest,
        length,
        n_unheld: count(unheld().count()),
        n_all_short: count(all_short.count()),
        n_tiny: count(tiny.count()),
    })
}

fn loose_triangles(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let is_loose = |pair: &&[Cut]| {
        let [left, right] = pair else { return false };
        let kerfs = [left, right].map(|cut| cut.part.kerf_along(job));
        let are_mitered = [left, right].map(|cut| cut.part.miter(job) != Miter::Square);
        let close = right.from - left.to <= kerfs[0].max(kerfs[1]);
        are_mitered == [true, true] && left.turned == right.turned && close
    };
    let strips = plan.boards.iter().flat_map(|board| &board.strips);
    let n_triangles = strips
        .map(|strip| strip.cuts.windows(2).filter(is_loose).count())
        .sum();
    (n_triangles > 0).then_some(Caution::LooseTriangles {
        n_triangles: count(n_triangles),
    })
}

fn short_milled_after_cutting(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let milled_after = |moulding_idx: Option<usize>| {
        moulding_idx.is_some_and(|idx| job.mouldings[idx].milled == Milled::AfterCutting)
    };
    let limit = Limits::of(job.display.unit).short_work;
    let short: Vec<Length> = plan
        .boards
        .iter()
        .flat_map(|board| &board.strips)
        .filter(|strip| milled_after(strip.moulding_idx))
        .flat_map(|strip| &strip.cuts)
        .map(|cut| cut.to - cut.from)
        .filter(|&length| length < limit)
        .collect();
    Some(Caution::ShortMilledAfterCutting {
        n_parts: count(short.len()),
        length: short.iter().copied().min()?,
    })
}

fn short_offcuts(plan: &Plan) -> Option<Caution> {
    let limit = Limits::of(plan.job.display.unit).short_work;
    let short: Vec<Length> = plan
        .boards
        .iter()
        .flat_map(|board| &board.strips)
        .map(|strip| strip.offcut)
        .filter(|&offcut| offcut > Length::ZERO && offcut < limit)
        .collect();
    Some(Caution::ShortOffcuts {
        n_strips: count(short.len()),
        shortest: short.iter().copied().min()?,
    })
}

fn ripping(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let mut n_boards = 0;
    let mut narrowest: Option<Length> = None;
    for board in &plan.boards {
        let Some(board_width) = job.boards[board.board_idx].width else {
            continue;
        };
        let narrow = board
            .strips
            .iter()
            .filter_map(|strip| strip_width(job, strip))
            .min()
            .filter(|&narrow| narrow < board_width);
        if let Some(narrow) = narrow {
            n_boards += 1;
            narrowest = Some(narrowest.map_or(narrow, |least| least.min(narrow)));
        }
    }
    Some(Caution::Ripping {
        n_boards,
        narrowest: narrowest?,
    })
}

fn thin_rips(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let limit = Limits::of(job.display.unit).thin_rip;
    let thin: Vec<Length> = plan
        .boards
        .iter()
        .flat_map(|board| board.strips.iter().map(move |strip| (board, strip)))
        .filter_map(|(board, strip)| {
            let given = job.boards[board.board_idx].width?;
            strip_width(job, strip).filter(|&width| width < given)
        })
        .filter(|&width| width < limit)
        .collect();
    Some(Caution::ThinRips {
        n_strips: count(thin.len()),
        narrowest: thin.iter().copied().min()?,
    })
}

fn thick_boards(plan: &Plan) -> Option<Caution> {
    let job = &plan.job;
    let mut n_strips = 0;
    let mut worst: Option<(Length, Length, usize, usize)> = None;
    for board in &plan.boards {
        let Some(given) = board.resawn.or(job.boards[board.board_idx].thickness) else {
            continue;
        };
        for moulding_idx in board.strips.iter().filter_map(|strip| strip.moulding_idx) {
            let wanted = job.mouldings[moulding_idx].thickness;
            let Some(wanted) = wanted.filter(|&wanted| wanted * 2 < given) else {
                continue;
            };
            n_strips += 1;
            // Whether less of this board is left than of the worst so far.
            let share = |part: Length, of: Length| i128::from(part.nm()) * i128::from(of.nm());
            if worst.is_none_or(|(less, of, ..)| share(wanted, of) < share(less, given)) {
                worst = Some((wanted, given, board.board_idx, moulding_idx));
            }
        }
    }
    let (wanted, given, board_idx, moulding_idx) = worst?;
    Some(Caution::ThickBoards {
        n_strips,
        board_idx,
        given,
        moulding_idx,
        wanted,
    })
}

/// Width to which a strip is ripped; where the job plans no ripping, that of what is cut from it.
fn strip_width(job: &Job, strip: &PlannedStrip) -> Option<Length> {
    if job.shop.rip.is_some() {
        return strip.width;
    }
    match (strip.moulding_idx, strip.cuts.first()?.part) {
        (Some(moulding_idx), _) => Some(job.mouldings[moulding_idx].face_width),
        (None, Part::Loose { piece_idx, .. }) => job.pieces[piece_idx].width,
        (None, Part::Rail { .. }) => None,
    }
}

fn glazing(job: &Job) -> Option<Caution> {
    let (mut n_sheets, mut n_glass) = (0, 0);
    let mut troubled: BTreeMap<PaneTrouble, u64> = BTreeMap::new();
    for sheet in sized_frames(job) {
        let Some(pane) = &sheet.frame.glazing else {
            continue;
        };
        let copies = u64::from(sheet.frame.quantity);
        n_sheets += copies;
        let kind = SheetKind::of(&pane.name);
        if !matches!(kind, Some(SheetKind::Acrylic | SheetKind::Polycarbonate)) {
            n_glass += copies;
        }
        for trouble in pane_troubles(&sheet) {
            *troubled.entry(trouble).or_default() += copies;
        }
    }
    let count = |trouble: PaneTrouble| troubled.get(&trouble).copied().unwrap_or(0);
    (n_sheets > 0).then(|| Caution::Glazing {
        n_sheets,
        n_glass,
        n_large: count(PaneTrouble::Large),
        n_thin: count(PaneTrouble::Thin),
        n_vast: count(PaneTrouble::Vast),
        n_heavy: count(PaneTrouble::Heavy),
        n_narrow: count(PaneTrouble::Narrow),
    })
}

fn heavy_frames(job: &Job) -> Option<Caution> {
    let limit = Limits::of(job.display.unit).one_wire;
    let heavy: Vec<(Weight, Reverse<usize>)> = sized_frames(job)
        .iter()
        .map(|sheet| frame_weight(sheet).known)
        .zip((0..).map(Reverse))
        .filter(|&(weight, Reverse(idx))| weight > limit && !job.frames[idx].is_held())
        .collect();
    let &(weight, Reverse(heaviest)) = heavy.iter().max()?;
    let copies =
        |&(_, Reverse(idx)): &(Weight, Reverse<usize>)| u64::from(job.frames[idx].quantity);
    Some(Caution::HeavyFrames {
        n_frames: heavy.iter().map(copies).sum(),
        heaviest,
        weight,
    })
}

/// What frames hang by that the job chooses by their weight: those of hangers, wire and hooks that it lists with what they bear,
/// and cleats where it has a weight above which frames hang by one.
pub fn chosen_by_weight(job: &Job) -> BTreeSet<HardwareUse> {
    use HardwareUse::{Cleat, Hangers, Hooks, Wire};
    let hanging = &job.assembly.hanging;
    // What hangs by a cleat whatever it weighs asks for none of this.
    if hanging.by == Some(HangBy::Cleat) {
        return BTreeSet::new();
    }
    let rated = job.hardware.iter().filter(|of| of.bears.is_some());
    let uses = rated.map(|of| of.hardware_use);
    uses.filter(|of| matches!(of, Hangers | Hooks | Wire))
        .chain(hanging.cleat_above.map(|_| Cleat))
        .collect()
}

/// Lines of frames, as indices into `Job::frames`, that hang by something of [`chosen_by_weight`] while much of their weight is
/// not known; not those that hang by a cleat already for what is known.
pub fn half_weighed(job: &Job) -> Vec<usize> {
    if chosen_by_weight(job).is_empty() {
        return Vec::new();
    }
    let cleat_above = job.assembly.hanging.cleat_above;
    let needs_cleat =
        |sheet: &SizedFrame<'_>| cleat_above.is_some_and(|limit| frame_weight(sheet).known > limit);
    let sized = sized_frames(job).into_iter().enumerate();
    let half = sized.filter(|(_, sheet)| {
        !sheet.frame.is_held() && !untold(sheet).is_empty() && !needs_cleat(sheet)
    });
    half.map(|(idx, _)| idx).collect()
}

fn of_half_weighed(job: &Job) -> Option<Caution> {
    let lines = half_weighed(job);
    let copies = lines.iter().map(|&idx| u64::from(job.frames[idx].quantity));
    (!lines.is_empty()).then(|| Caution::HalfWeighed {
        n_frames: copies.sum(),
    })
}

#[cfg(test)]
mod tests;
