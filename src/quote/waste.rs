//! How much of what was bought has ended in no part.

use std::collections::{BTreeMap, BTreeSet};

use crate::job::{Job, Serves};
use crate::money::Percent;
use crate::plan::sheets::{MaterialPlan, SheetPiece, SheetSource};
use crate::plan::{Part, Plan};

/// What is wasted of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum WasteOf {
    /// Boards that are not ripped, by length.
    Boards,
    /// Boards in a job that rips some, by face.
    RippedBoards,
    /// Sheets that serve so, by face.
    Sheets(Serves),
}

/// A share that is wasted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Waste {
    /// Of what is bought, less than all of it.
    pub share: Percent,
    /// Whether it was stated, and not measured in plans.
    pub is_stated: bool,
}

/// A plan that was made, with what has come of it.
#[derive(Clone, Copy, Debug)]
pub struct Past<'a> {
    /// The plan; of a bench all its sheets together.
    pub plan: &'a Plan,
    /// Parts of it that were cut and are in no frame.
    pub idle: &'a BTreeMap<Part, Option<usize>>,
    /// What is cut from sheets.
    pub materials: &'a [MaterialPlan],
    /// The job that they are of, which a plan of many sheets differs from.
    pub of_sheets: &'a Job,
}

/// What is wasted, as far as it is known.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Wastes {
    measured: BTreeMap<WasteOf, Percent>,
    stated: Option<Percent>,
    n_past: usize,
}

/// A tenth of a percent in millionths: the step to which waste is rounded up.
const STEP: i128 = 1_000;
const WHOLE: i128 = Percent::ALL.millionths() as i128;

/// What was bought, and what of it is in parts: nanometers, or square nanometers.
#[derive(Clone, Copy, Default)]
struct Counted {
    bought: i128,
    parts: i128,
}

impl Wastes {
    /// Measures what plans have wasted, all of them together; what no plan tells of is as stated.
    ///
    /// The rule: of all boards that were bought the share that is in no part, where parts that were spoiled are none; kept
    /// offcuts are no parts, pieces from the rack were not bought. It is rounded up to the next tenth of a percent, which is
    /// what is printed and reckoned with. Of sheets the same, by what is cut from sheets that are sold: a mat counts with the
    /// face of its window, and what is cut from the board that drops out of the window of such a mat is in a part besides,
    /// with nothing bought for it. Where parts have so more face than what was bought, nothing is wasted.
    /// What would be wasted as a whole tells nothing.
    pub fn measure(past: &[Past<'_>], stated: Option<Percent>) -> Wastes {
        let mut counted: BTreeMap<WasteOf, Counted> = BTreeMap::new();
        for past in past {
            count_boards(past, &mut counted);
            count_sheets(past, &mut counted);
        }
        let share = |Counted { bought, parts }: Counted| {
            let wasted = bought.checked_sub(parts)?.max(0);
            let steps = wasted.checked_mul(WHOLE / STEP)?.checked_add(bought - 1)? / bought;
            let share = u32::try_from(steps * STEP).ok()?;
            (i128::from(share) < WHOLE).then(|| Percent::from_millionths(share))
        };
        let counted = counted.into_iter().filter(|(_, it)| it.bought > 0);
        let measured = counted.filter_map(|(of, it)| Some((of, share(it)?)));
        Wastes {
            measured: measured.collect(),
            stated,
            n_past: past.len(),
        }
    }

    /// In how many plans it was measured.
    pub fn n_past(&self) -> usize {
        self.n_past
    }

    /// What is wasted of something; `None` where nothing tells it.
    pub fn of(&self, of: WasteOf) -> Option<Waste> {
        let measured = self.measured.get(&of).map(|&share| (share, false));
        let told = measured.or(self.stated.map(|share| (share, true)));
        told.map(|(share, is_stated)| Waste { share, is_stated })
    }
}

fn count_boards(past: &Past<'_>, counted: &mut BTreeMap<WasteOf, Counted>) {
    let job = &past.plan.job;
    for planned in &past.plan.boards {
        let board = &job.boards[planned.board_idx];
        if board.is_from_rack() || board.given.rail.is_some() || board.given.is_piece {
            continue;
        }
        let has_widths = planned.strips.iter().all(|strip| strip.width.is_some());
        let width = board.width.filter(|_| job.shop.rip.is_some() && has_widths);
        let of = width.map_or(WasteOf::Boards, |_| WasteOf::RippedBoards);
        // Each slice of a resawn board has its face.
        let slices = match planned.resawn {
            Some(_) => {
                let begins = planned.stretches.iter().map(|stretch| stretch.from);
                let n_runs = begins.collect::<BTreeSet<_>>().len().max(1);
                planned.stretches.len() / n_runs
            }
            None => 1,
        };
        let across = width.map_or(1, |width| i128::from(width.nm()));
        let slices = i128::try_from(slices).unwrap_or(1);
        let counted = counted.entry(of).or_default();
        counted.bought += i128::from(board.length.nm()) * across * slices;
        for strip in &planned.strips {
            let across = match (width, strip.width) {
                (Some(_), Some(width)) => i128::from(width.nm()),
                _ => 1,
            };
            let cuts = strip.cuts.iter();
            let in_parts = cuts.filter(|cut| !past.idle.contains_key(&cut.part));
            let lengths = in_parts.map(|cut| i128::from((cut.to - cut.from).nm()));
            counted.parts += lengths.sum::<i128>() * across;
        }
    }
}

fn count_sheets(past: &Past<'_>, counted: &mut BTreeMap<WasteOf, Counted>) {
    for plan in past.materials {
        let material = past.of_sheets.material(&plan.key);
        let counted = counted.entry(WasteOf::Sheets(plan.key.serves)).or_default();
        // What was cut from what was bought; a mat comes before what drops out of its window.
        let mut of_bought: BTreeSet<SheetPiece> = BTreeSet::new();
        for sheet in &plan.sheets {
            match sheet.source {
                SheetSource::Stock(idx) => {
                    let stock = &material.stock[idx];
                    if stock.label.is_some() {
                        continue;
                    }
                    counted.bought += i128::from(stock.width.nm()) * i128::from(stock.height.nm());
                }
                SheetSource::Fallout(mat) if of_bought.contains(&mat) => {}
                SheetSource::Fallout(_) => continue,
            }
            of_bought.extend(sheet.cuts().map(|cut| cut.piece));
            let faces = sheet
                .cuts()
                .map(|cut| i128::from(cut.along.nm()) * i128::from(cut.across().nm()));
            counted.parts += faces.sum::<i128>();
        }
    }
}
