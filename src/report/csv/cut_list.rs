//! The cut list: of a plan, and of a bench.

use crate::frame::Miter;
use crate::job::Job;
use crate::length::Length;
use crate::plan::{Cut, Part, Plan, PlannedStrip, StripMark, part_label};
use crate::replan::{Bench, FromLonger};
use crate::report::figures::degrees;
use crate::report::naming::part_sizes;
use crate::tally::Chains;

use super::plan_tables::{ends, from_one, moulding_name, naming_cells};
use super::rows::{Cell, Rows, decimal, length, number};

/// Every cut, board by board, with its place along the outer edge from the raw end and from the trimmed one.
pub fn cut_list_csv(plan: &Plan) -> String {
    let job = &plan.job;
    let mut rows = cut_rows(job);
    let chains = Chains::new(job);
    let marks = plan.marks();
    for (board_at, board) in plan.boards.iter().enumerate() {
        let cuts = board.strips.iter().enumerate().flat_map(|(at, strip)| {
            let cuts = strip.cuts.iter().enumerate();
            cuts.map(move |(cut_idx, cut)| (at, strip, cut_idx, cut))
        });
        for (strip_idx, strip, cut_idx, cut) in cuts {
            let named = NamedCut {
                mark: marks.strip(board_at, strip_idx),
                board: &job.boards[board.board_idx].name,
                board_number: board.number,
                pattern: board.pattern,
                strip: from_one(strip_idx),
                cut: from_one(cut_idx),
                part: cut.part,
                miter: cut.part.miter(job),
                short_point: part_sizes(job, cut.part).1,
                chain: chains.place(cut.part),
            };
            rows.row(cut_row((job, job), &named, strip, cut));
        }
    }
    rows.into_text()
}

/// The cuts that are to be made on all sheets of a bench, as [`cut_list_csv`] has them: every board under its mark, and
/// its name and number in the job, every cut under a number that its strip has only once.
///
/// A spare that stands for a shorter rail is told with the sizes that it is cut to, and behind them how long the rail is that
/// is then sawn from it; the last column is empty of all other cuts.
///
/// # Panics
/// Never, for a bench that `replan` made.
pub fn open_cuts_csv(bench: &Bench) -> String {
    let job = bench.job();
    let mut rows = open_cut_rows(job);
    let sheets = bench.sheets();
    let chains = sheets.iter().map(|sheet| Chains::new(&sheet.plan.job));
    let chains: Vec<Chains> = chains.collect();
    let marks: Vec<_> = sheets.iter().map(|sheet| sheet.plan.marks()).collect();
    let serving = bench.serving();
    for place in bench.open() {
        let sheet = &sheets[place.sheet];
        let board = &sheet.plan.boards[place.board];
        let strip = &board.strips[place.strip];
        let (name, board_number) = bench.stick_name(bench.stick_at(place));
        let part = serving[&place];
        let longer = bench.from_longer(place);
        let (miter, short_point) = match &longer {
            Some(longer) => (longer.spare.miter(job), short_point(job, longer)),
            None => (part.miter(job), part_sizes(job, part).1),
        };
        let named = NamedCut {
            mark: marks[place.sheet].strip(place.board, place.strip),
            board: &name,
            board_number,
            pattern: board.pattern,
            strip: from_one(bench.strip(place)),
            cut: bench.cut_number(place).into(),
            part,
            miter,
            short_point,
            chain: chains[place.sheet].place(strip.cuts[place.cut].part),
        };
        let jobs = (job, &sheet.plan.job);
        let mut row = cut_row(jobs, &named, strip, &strip.cuts[place.cut]);
        row.push(length(longer.map(|longer| longer.rail_length)));
        rows.row(row);
    }
    rows.into_text()
}

/// The short point of a spare before it is sawn down: as far from its long point as that of the rail is, as both are of one
/// moulding and miter; `None` of a square one.
fn short_point(job: &Job, longer: &FromLonger) -> Option<Length> {
    let (long, short) = part_sizes(job, longer.rail);
    let is_mitered = longer.spare.miter(job) != Miter::Square;
    short
        .filter(|_| is_mitered)
        .map(|short| longer.spare_length - (long - short))
}

/// A cut as it is named at the bench.
struct NamedCut<'a> {
    /// What is chalked on its board or strip.
    mark: StripMark,
    board: &'a str,
    board_number: u32,
    pattern: u32,
    strip: u64,
    cut: u64,
    /// The part of the job.
    part: Part,
    /// Its ends as it is cut.
    miter: Miter,
    /// Its short point as it is cut, if it has one.
    short_point: Option<Length>,
    /// Its place in a chain, and of how many rails that is.
    chain: Option<(u64, u64)>,
}

/// The columns of a cut list.
const COLUMNS: [&str; 28] = [
    "mark",
    "board",
    "board-number",
    "pattern",
    "strip",
    "cut",
    "part",
    "kind",
    "frame",
    "piece",
    "copy",
    "side",
    "moulding",
    "ends",
    "miter-degrees",
    "length@",
    "short-point@",
    "from@",
    "to@",
    "from-trimmed-end@",
    "to-trimmed-end@",
    "strip-width@",
    "strip-from-edge@",
    "turned",
    "row-place",
    "row-rails",
    "state",
    "good",
];

/// An empty cut list.
fn cut_rows(job: &Job) -> Rows {
    Rows::new(&job.display, &COLUMNS)
}

/// An empty cut list of a bench.
fn open_cut_rows(job: &Job) -> Rows {
    let columns = COLUMNS.into_iter().chain(["then-saw-to@"]);
    Rows::new(&job.display, &columns.collect::<Vec<_>>())
}

/// A row: of a part of a job, cut as a plan says that may be of another.
fn cut_row(
    (job, plan_of): (&Job, &Job),
    named: &NamedCut<'_>,
    strip: &PlannedStrip,
    cut: &Cut,
) -> Vec<Cell> {
    let trim = plan_of.shop.end_trim;
    let mut cells = vec![
        named.mark.to_string().into(),
        named.board.into(),
        number(named.board_number),
        number(named.pattern),
        number(named.strip),
        number(named.cut),
        part_label(job, named.part).into(),
    ];
    cells.extend(naming_cells(job, named.part));
    cells.extend([
        moulding_name(plan_of, strip.moulding_idx).into(),
        ends(named.miter),
        decimal(degrees(named.miter, 3)),
        length(cut.to - cut.from),
        length(named.short_point),
        length(cut.from),
        length(cut.to),
        length(cut.from - trim),
        length(cut.to - trim),
        length(strip.width),
        length(strip.from_edge),
        if cut.turned { "yes" } else { "no" }.into(),
    ]);
    let (place, n_rails) = named.chain.unzip();
    cells.extend([place, n_rails].map(|count| count.map_or_else(|| "".into(), number)));
    // To be filled in at the saw.
    cells.extend(["".into(), "".into()]);
    cells
}
