//! At the bench: whatever happens at any moment of any demo, what is cut stays, no wood is used twice, and all parts are accounted for.

#![expect(
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test stops at the first surprise"
)]

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::Path;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use crate::command::{self, in_one_line, text};
use crate::jobs;
use longpoint::frame::{Miter, Outline};
use longpoint::job::{Job, Texts};
use longpoint::length::Length;
use longpoint::pipeline::plan;
use longpoint::plan::certificate::Certificate;
use longpoint::plan::{ChalkMark, LeftoverKind, Part, Plan};
use longpoint::replan::{
    Bench, Change, Impossible, Marks, Measured, News, Place, Replanned, Stick, Wishes, replan,
};
use longpoint::report::csv::open_cuts_csv;
use longpoint::report::sections::rest_sheet;
use longpoint::report::text::{Look, set};
use longpoint::solve::Control;
use longpoint::tally::{CountedBy, balances, rack_added};
use proptest::prelude::*;
use tempfile::TempDir;

const DEMOS: [&str; 10] = [
    "rack", "knots", "spare", "show", "grain", "figured", "turned", "miscut", "rough", "reserve",
];

/// The demo jobs with their plans, each planned once.
fn demo(idx: usize) -> &'static (Job, Plan) {
    static PLANNED: [OnceLock<(Job, Plan)>; DEMOS.len()] = [const { OnceLock::new() }; DEMOS.len()];
    PLANNED[idx].get_or_init(|| {
        let job = jobs::demo(DEMOS[idx]);
        let plan = stopped_after(300, |control| plan(&job, control).unwrap().plan);
        (job, plan)
    })
}

/// Plans with a search that is stopped when it has asked so many times whether it should go on: the same everywhere.
/// A plan that is stopped is whole and checked too, only not proved.
fn stopped_after<T>(n_steps: u32, search: impl FnOnce(&Control<'_>) -> T) -> T {
    let asked = AtomicU32::new(0);
    search(&Control {
        stop: &|| asked.fetch_add(1, Ordering::Relaxed) >= n_steps,
        progress: &|_| {},
    })
}

/// The first of the open cuts are made, and of these some are spoiled, each with so many hundredths good.
fn marks(bench: &Bench, share: usize, spoiled: &[Option<u8>]) -> Marks {
    let open: Vec<Place> = bench.open().into_iter().collect();
    let n_made = open.len() * share / 100;
    let mut marks = Marks::default();
    for (idx, &place) in open[..n_made].iter().enumerate() {
        if let Some(good) = spoiled[idx % spoiled.len()] {
            let (job, part) = bench.planned_part(place);
            let good = part.length(job).nm() / 100 * i64::from(good);
            marks.spoiled.insert(place, Length::from_nm(good));
        } else {
            marks.done.insert(place);
        }
    }
    marks
}

/// Something else that happens at the bench.
#[derive(Clone, Copy, Debug)]
enum Event {
    Nothing,
    Kerf(i64),
    Trim(i64),
    OneMore(usize),
    OneFewer(usize),
    Resized(usize, i64),
    Renamed(usize),
    AnotherBoard(usize),
    OneBoardLess(usize),
    Measured(usize, i64),
    Knot(usize, i64),
}

fn event() -> impl Strategy<Value = Event> {
    let at = 0_usize..20;
    prop_oneof![
        3 => Just(Event::Nothing),
        1 => (1_i64..8).prop_map(Event::Kerf),
        1 => (0_i64..40).prop_map(Event::Trim),
        1 => at.clone().prop_map(Event::OneMore),
        2 => at.clone().prop_map(Event::OneFewer),
        2 => (at.clone(), -60_i64..60).prop_map(|(at, by)| Event::Resized(at, by)),
        1 => at.clone().prop_map(Event::Renamed),
        1 => at.clone().prop_map(Event::AnotherBoard),
        1 => at.clone().prop_map(Event::OneBoardLess),
        1 => (at.clone(), 1_i64..400).prop_map(|(at, by)| Event::Measured(at, by)),
        2 => (at, 20_i64..1500).prop_map(|(at, place)| Event::Knot(at, place)),
    ]
}

const MM: i64 = 1_000_000;

/// The job after something has happened to it; `None` where it stays as it is, or would be none.
fn changed(job: &Job, event: Event) -> Option<Job> {
    let mut spec = job.spec();
    let frames = spec.frames.len();
    let boards = spec.boards.len();
    match event {
        Event::Kerf(mm) => spec.shop.kerf = Length::from_nm(mm * MM),
        Event::Trim(mm) => spec.shop.end_trim = Length::from_nm(mm * MM),
        Event::OneMore(at) if frames > 0 => spec.frames[at % frames].quantity += 1,
        Event::OneFewer(at) if frames > 0 => {
            spec.frames[at % frames].quantity -= 1;
            spec.frames.retain(|frame| frame.quantity > 0);
        }
        Event::Resized(at, by) if frames > 0 => match &mut spec.frames[at % frames].art {
            Outline::Rectangle { width, .. } => *width += Length::from_nm(by * MM),
            art @ Outline::Regular { .. } => {
                *art = Outline::of_side(art.n_sides(), art.side(0) + Length::from_nm(by * MM));
            }
        },
        Event::Renamed(at) if frames > 0 => spec.frames[at % frames].name.push_str(" renamed"),
        Event::AnotherBoard(at) => {
            if let Some(quantity) = &mut spec.boards[at % boards].quantity {
                *quantity += 1;
            }
        }
        Event::OneBoardLess(at) => {
            if let Some(quantity @ 2..) = &mut spec.boards[at % boards].quantity {
                *quantity -= 1;
            }
        }
        _ => return None,
    }
    spec.derive_pieces();
    let (new, _) = Job::new(spec).ok()?;
    (new != *job).then_some(new)
}

/// What was measured.
fn measured(bench: &Bench, marks: &Marks, event: Event) -> BTreeMap<Stick, Measured> {
    let boards = bench.sticks().into_iter();
    let boards: Vec<Stick> = boards
        .filter(|stick| matches!(stick, Stick::Board { .. }))
        .collect();
    let mut measured = Measured::default();
    let at = match event {
        Event::Measured(at, _) | Event::Knot(at, _) if !boards.is_empty() => {
            boards[at % boards.len()]
        }
        _ => return BTreeMap::new(),
    };
    let length = bench.board_of(at).0.length;
    match event {
        Event::Measured(_, mm) => {
            measured.length = Some(
                (length - Length::from_nm(mm * MM))
                    .max(Length::INCH)
                    .max(bench.cut_to(at, marks)),
            );
        }
        Event::Knot(_, mm) => {
            let from = Length::from_nm(mm * MM);
            measured
                .knots
                .insert((from, from + Length::from_nm(30 * MM)));
        }
        _ => {}
    }
    BTreeMap::from([(at, measured)])
}

/// All parts that are cut for a job.
fn all_parts(job: &Job) -> Vec<Part> {
    let mut parts = Vec::new();
    for (frame_idx, frame) in job.frames.iter().enumerate() {
        for copy in 1..=frame.quantity {
            parts.extend((0..frame.art.n_sides()).map(|side| Part::Rail {
                frame_idx,
                copy,
                side,
            }));
        }
    }
    for (piece_idx, piece) in job.pieces.iter().enumerate() {
        if !piece.is_left() {
            parts.extend((1..=piece.quantity).map(|copy| Part::Loose { piece_idx, copy }));
        }
    }
    parts
}

/// Every part of the job as it now is is done, cut from a spare, to be cut, or named as missing, and only one of these; and
/// what serves a part is as long as that, of its moulding and of its miter.
fn every_part_is_accounted_for(bench: &Bench) -> Result<(), TestCaseError> {
    let job = bench.job();
    let mut all = all_parts(job);
    let mut now: Vec<Part> = bench.missing().collect();
    let serving = bench.serving();
    now.extend(serving.values());
    let spent = bench.spent();
    now.extend(spent.iter().map(|(_, _, spare)| *spare));
    all.sort_unstable();
    now.sort_unstable();
    prop_assert_eq!(all, now);
    let (open, done) = (bench.open(), bench.made().done);
    for (&place, &part) in &serving {
        prop_assert!(open.contains(&place) || done.contains(&place));
        let (of, own) = bench.planned_part(place);
        let is_spare = spent.iter().any(|(_, at, _)| *at == place);
        if is_spare {
            prop_assert!(own.length(of) >= part.length(job));
            let is_rail = matches!(part, Part::Rail { .. });
            prop_assert!(is_rail);
        } else {
            prop_assert_eq!(own.length(of), part.length(job));
            prop_assert_eq!(own.miter(of), part.miter(job));
        }
        prop_assert_eq!(moulding(of, own), moulding(job, part));
    }
    Ok(())
}

fn moulding(job: &Job, part: Part) -> Option<String> {
    let idx = match part {
        Part::Rail { frame_idx, .. } => Some(job.frames[frame_idx].moulding_idx),
        Part::Loose { piece_idx, .. } => job.pieces[piece_idx].moulding_idx,
    };
    idx.map(|idx| job.mouldings[idx].name.clone())
}

/// On each strip what was made on any sheet, and what is to be made, lie apart by a kerf; a board is ripped by one sheet.
fn no_wood_is_used_twice(bench: &Bench) -> Result<(), TestCaseError> {
    let mut on_strip: BTreeMap<(Stick, usize), Vec<Place>> = BTreeMap::new();
    let mut whole: BTreeMap<Stick, BTreeSet<usize>> = BTreeMap::new();
    for place in bench.made().made().chain(bench.open()) {
        let stick = bench.stick_at(place);
        on_strip
            .entry((stick, bench.strip(place)))
            .or_default()
            .push(place);
        let sheet = &bench.sheets()[place.sheet];
        let planned = &sheet.plan.boards[place.board];
        if sheet.plan.job.boards[planned.board_idx].width == bench.board_of(stick).0.width
            && planned.strips.len() > 1
        {
            whole.entry(stick).or_default().insert(place.sheet);
        }
    }
    prop_assert!(whole.values().all(|sheets| sheets.len() == 1));
    for places in on_strip.values() {
        for (idx, &one) in places.iter().enumerate() {
            for &other in &places[..idx] {
                // Within a board of one sheet the plan was checked, and rails may share a slanting cut.
                if (one.sheet, one.board) == (other.sheet, other.board) {
                    continue;
                }
                let (first, second) = (bench.cut(one), bench.cut(other));
                let apart = (first.from - second.to).max(second.from - first.to);
                let later = &bench.sheets()[one.sheet.max(other.sheet)];
                prop_assert!(apart >= later.plan.job.shop.kerf, "{first:?} {second:?}");
            }
        }
    }
    rails_are_cut_again_where_they_are_good(bench)
}

/// What is cut from a part that was cut before lies in what is good of that, is of its moulding, and that part is in no frame.
fn rails_are_cut_again_where_they_are_good(bench: &Bench) -> Result<(), TestCaseError> {
    let serving = bench.serving();
    let made = bench.made();
    let mut cut_from: BTreeMap<Place, Vec<Place>> = BTreeMap::new();
    for place in made.made().chain(bench.open()) {
        if let Stick::Rail(of) = bench.stick_at(place) {
            cut_from.entry(of).or_default().push(place);
        }
    }
    for (of, places) in cut_from {
        prop_assert!(made.is_made(of));
        prop_assert!(
            !serving.contains_key(&of),
            "a rail is in a frame, and cut again"
        );
        let (job, own) = bench.planned_part(of);
        let good = made.spoiled.get(&of).copied().unwrap_or(own.length(job));
        let lengths = places.iter().map(|&place| {
            let cut = bench.cut(place);
            cut.to - cut.from
        });
        let shared: Length = lengths.sum();
        let from = places.iter().map(|&place| bench.cut(place).from).min();
        let to = places.iter().map(|&place| bench.cut(place).to).max();
        prop_assert!(to.unwrap() - from.unwrap() <= good);
        prop_assert!(shared <= good || places.iter().any(|&place| bench.cut(place).turned));
        for place in places {
            let (new, part) = bench.planned_part(place);
            prop_assert_eq!(moulding(new, part), moulding(job, own));
            prop_assert!(own.miter(job) == Miter::Square || own.miter(job) == part.miter(new));
        }
    }
    Ok(())
}

/// What is to be cut lies on its board as it was measured, and in no knot.
fn what_is_open_fits_what_was_measured(
    bench: &Bench,
    measured: &BTreeMap<Stick, Measured>,
) -> Result<(), TestCaseError> {
    for place in bench.open() {
        let Some(measured) = measured.get(&bench.stick_at(place)) else {
            continue;
        };
        let cut = bench.cut(place);
        let trim = bench.job().shop.end_trim;
        prop_assert!(measured.length.is_none_or(|length| cut.to + trim <= length));
        for &(from, to) in &measured.knots {
            prop_assert!(cut.to <= from || to <= cut.from, "{cut:?} lies in a knot");
        }
    }
    Ok(())
}

/// No name stands for two things on any two sheets, and no board is taken that is not there.
fn names_are_unambiguous(job: &Job, bench: &Bench) -> Result<(), TestCaseError> {
    prop_assert_eq!(bench.labels().len(), bench.places().count());
    let mut sticks = BTreeMap::new();
    for (label, place) in bench.labels() {
        let stick = bench.stick_at(place);
        let known = *sticks.entry(label.strip.board).or_insert(stick);
        prop_assert_eq!(known, stick, "{} stands for two boards", label.strip.board);
    }
    let boards: BTreeSet<Stick> = sticks.values().copied().collect();
    prop_assert_eq!(boards.len(), sticks.len(), "a board has two marks");
    let mut cuts = BTreeSet::new();
    let mut numbers: BTreeMap<String, BTreeSet<u32>> = BTreeMap::new();
    for place in bench.places() {
        let stick = bench.stick_at(place);
        let named = (stick, bench.strip(place), bench.cut_number(place));
        prop_assert!(cuts.insert(named), "{named:?} twice");
        if let Stick::Board { .. } = stick {
            let (board, number) = bench.board_of(stick);
            numbers
                .entry(board.name.clone())
                .or_default()
                .insert(number);
        }
    }
    for (board, numbers) in numbers {
        let n_taken = u32::try_from(numbers.len()).unwrap();
        prop_assert_eq!(numbers.last(), Some(&n_taken));
        let line = job.boards.iter().find(|line| line.name == board);
        let most = line.and_then(|line| line.quantity);
        // A board that was there for a while may have been taken then.
        let is_same = bench.rounds().iter().all(|round| !round.has_other_job);
        prop_assert!(!is_same || most.is_none_or(|most| n_taken <= most));
    }
    let rest = &bench.last().plan.job;
    let boards: BTreeSet<&str> = rest
        .boards
        .iter()
        .map(|board| board.name.as_str())
        .collect();
    prop_assert_eq!(boards.len(), rest.boards.len());
    let pieces: BTreeSet<&str> = rest
        .pieces
        .iter()
        .map(|piece| piece.name.as_str())
        .collect();
    prop_assert_eq!(pieces.len(), rest.pieces.len());
    Ok(())
}

/// What is left once all is cut, by the chalk mark of its board, what of that it is, and from where to where; with its name.
fn named_offcuts(bench: &Bench) -> Vec<(ChalkMark, LeftoverKind, (Length, Length), String)> {
    let total = bench.total().plan;
    let plan = if bench.rounds().is_empty() {
        &bench.last().plan
    } else {
        &total
    };
    let marks = plan.marks();
    let named = rack_added(plan).into_iter().map(|new| {
        let left = new.left;
        let mark = marks.board(left.board);
        (mark, left.kind, (left.from, left.to), new.board.name)
    });
    named.collect()
}

/// What is left of a board bears the name that was written on it, and no name stands for two pieces on any sheet or the rack.
fn offcuts_keep_their_names(before: &Bench, after: &Bench) -> Result<(), TestCaseError> {
    let (old, new) = (named_offcuts(before), named_offcuts(after));
    for list in [&old, &new] {
        let names: BTreeSet<&String> = list.iter().map(|(.., name)| name).collect();
        prop_assert_eq!(names.len(), list.len());
    }
    let like = |one: &(ChalkMark, LeftoverKind, (Length, Length), String),
                other: &(ChalkMark, LeftoverKind, (Length, Length), String)| {
        (one.0, one.1) == (other.0, other.1) && one.2.0 < other.2.1 && other.2.0 < one.2.1
    };
    for is in &new {
        let was: Vec<_> = old.iter().filter(|was| like(was, is)).collect();
        let is_one = |was| new.iter().filter(|is| like(was, is)).count() == 1;
        if let [was] = was[..]
            && is_one(was)
        {
            prop_assert_eq!(&was.3, &is.3, "it was written on {:?}", was);
        }
        // A name that was given goes to no other board; a piece beside strips may have a mark of its own by now.
        let had_it = old.iter().find(|was| was.3 == is.3);
        let is_piece = |kind| matches!(kind, LeftoverKind::Piece(_));
        prop_assert!(had_it.is_none_or(|was| was.0 == is.0 || is_piece(was.1)));
    }
    // The sheet itself calls what it leaves as all sheets together do.
    let names: BTreeSet<&String> = new.iter().map(|(.., name)| name).collect();
    for left in rack_added(&after.last().plan) {
        let own = &left.board.name;
        let in_hand = left.board.in_hand.as_ref();
        let text = format!("{own} of {:?}", in_hand.map(|in_hand| &in_hand.from));
        prop_assert!(names.contains(own), "{} {:?}", text, new);
    }
    Ok(())
}

/// All wood that there was, or was bought, is in the parts, on the rack, spoiled or lost.
fn the_wood_balances(bench: &Bench) -> Result<(), TestCaseError> {
    let total = bench.total();
    for balance in balances(&total.plan, &total.idle) {
        prop_assert_eq!(balance.sources(), balance.uses(), "{:?}", balance);
        let all = [
            balance.parts,
            balance.after,
            balance.trims,
            balance.kerfs,
            balance.scrap,
        ];
        prop_assert!(all.into_iter().all(|size| size >= 0), "{balance:?}");
        let (job, is_length) = (bench.job(), balance.counted_by == CountedBy::Length);
        let shares = job
            .mouldings
            .iter()
            .any(longpoint::frame::Moulding::may_be_turned);
        if is_length
            && !shares
            && total
                .plan
                .job
                .boards
                .iter()
                .all(|board| board.material == total.plan.job.boards[0].material)
        {
            // Rails that are cut from a spare are as long as that, until they are sawn down.
            let length = |place: Place| match bench.from_longer(place) {
                Some(longer) => longer.rail_length,
                None => bench.cut(place).to - bench.cut(place).from,
            };
            let lengths = bench.serving().into_keys().map(length);
            let lengths: i128 = lengths.map(|length| i128::from(length.nm())).sum();
            prop_assert_eq!(balance.parts, lengths);
        }
    }
    Ok(())
}

fn holds(job: &Job, before: &Bench, news: &News, rest: &Replanned) -> Result<(), TestCaseError> {
    let bench = &rest.bench;
    every_part_is_accounted_for(bench)?;
    offcuts_keep_their_names(before, bench)?;
    no_wood_is_used_twice(bench)?;
    names_are_unambiguous(job, bench)?;
    the_wood_balances(bench)?;
    what_is_open_fits_what_was_measured(bench, &news.measured)?;
    // What is cut stays cut.
    prop_assert!(bench.made().done.is_superset(&before.made().done));
    prop_assert!(bench.made().done.is_superset(&news.marks.done));
    let round = rest.round();
    prop_assert!(round.kept.iter().all(|place| !bench.made().is_made(*place)));
    if rest.change == Change::Nothing {
        let open = before.open().into_iter();
        let open: BTreeSet<Place> = open.filter(|place| !news.marks.is_made(*place)).collect();
        let stay = &(&open - &rest.misfits) - &rest.unwanted;
        prop_assert_eq!(&round.kept, &stay);
        if news.job.is_none() && news.measured.is_empty() {
            prop_assert_eq!(stay, open);
        }
    }
    // A row of the bench is derived from the news and plans alone, so it can be read again.
    let draft = before
        .draft(news, round.kept.clone(), round.wishes)
        .unwrap();
    prop_assert_eq!(&draft.job, &bench.last().plan.job.as_read());
    Ok(())
}

proptest! {
    #![proptest_config(cases!(200))]

    #[test]
    fn whatever_happens_at_the_bench_of_any_demo_the_rest_can_be_planned(
        demo_idx in 0..DEMOS.len(),
        rounds in prop::collection::vec(
            (
                0_usize..=100,
                prop::collection::vec(prop::option::weighted(0.15, 0_u8..=100), 7..30),
                event(),
            ),
            1..=4,
        ),
    ) {
        let (job, old) = demo(demo_idx);
        let mut bench = Bench::new(old.clone(), Certificate::default());
        for (share, spoiled, event) in rounds {
            let marks = marks(&bench, share, &spoiled);
            let news = News {
                job: changed(bench.job(), event).map(|job| (job, Texts::default())),
                measured: measured(&bench, &marks, event),
                marks,
            };
            let rest = stopped_after(10, |control| replan(&bench, &news, control)).unwrap();
            holds(job, &bench, &news, &rest)?;
            let is_as_planned = news.job.is_none() && news.measured.is_empty();
            if is_as_planned && news.marks.spoiled.is_empty() && bench.missing().next().is_none() {
                prop_assert!(rest.planned.plan.boards.is_empty());
                prop_assert!(rest.planned.plan.missing.is_empty());
                prop_assert_eq!(rest.change, Change::Nothing);
            }
            bench = rest.bench;
        }
    }
}

#[test]
fn a_knot_in_one_wood_moves_no_cut_in_another() {
    let (job, plan) = demo(2);
    let bench = Bench::new(plan.clone(), Certificate::default());
    let wood = |board: usize| &job.boards[plan.boards[board].board_idx].material;
    let first_of = |name: &str| {
        let mut boards = 0..plan.boards.len();
        boards
            .find(|&board| wood(board).as_deref() == Some(name))
            .unwrap()
    };
    for board in ["cherry", "maple"].map(first_of) {
        // Right in the first part.
        let from = plan.boards[board].strips[0].cuts[0].from + Length::from_nm(MM);
        let measured = Measured {
            length: None,
            knots: BTreeSet::from([(from, from + Length::from_nm(20 * MM))]),
        };
        let news = News {
            measured: BTreeMap::from([(Stick::Board { sheet: 0, board }, measured)]),
            ..News::default()
        };
        let rest = stopped_after(300, |control| replan(&bench, &news, control)).unwrap();
        assert!(!rest.misfits.is_empty());
        let open = bench.open().into_iter();
        let others: BTreeSet<Place> = open.filter(|at| wood(at.board) != wood(board)).collect();
        assert!(!others.is_empty());
        assert!(rest.round().kept.is_superset(&others), "{:?}", rest.change);
    }
}

#[test]
fn a_spare_that_stands_for_a_shorter_rail_is_cut_long_and_then_sawn_down() {
    let (job, plan) = demo(2);
    let bench = Bench::new(plan.clone(), Certificate::default());
    let rails = bench.open().into_iter().filter(|&place| {
        let (_, part) = bench.planned_part(place);
        matches!(part, Part::Rail { .. }) && moulding(job, part).as_deref() == Some("cherry cap")
    });
    let shortest = rails.min_by_key(|&place| bench.planned_part(place).1.length(job));
    let marks = Marks {
        spoiled: BTreeMap::from([(shortest.unwrap(), Length::ZERO)]),
        ..Marks::default()
    };
    let rest = stopped_after(300, |control| replan(&bench, &marks.into(), control)).unwrap();
    let (rail, place, spare) = rest.bench.spent()[0];
    let longer = rest.bench.from_longer(place).unwrap();
    assert_eq!((longer.rail, longer.spare), (rail, spare));
    assert_eq!(longer.rail_length, rail.length(job));
    assert_eq!(longer.spare_length, spare.length(job));
    // The list of what is open has both, and the short point of what is cut first: both ends of a rail at 45° run by its face.
    let list = open_cuts_csv(&rest.bench);
    let mut rows = csv::Reader::from_reader(list.as_bytes());
    let heads = rows.headers().unwrap().clone();
    let at = |head: &str| heads.iter().position(|found| found == head).unwrap();
    let told: Vec<csv::StringRecord> = rows
        .records()
        .map(Result::unwrap)
        .filter(|row| !row[at("then-saw-to-nm")].is_empty())
        .collect();
    assert_eq!(told.len(), 1);
    let [long, short, then] = ["length-nm", "short-point-nm", "then-saw-to-nm"]
        .map(|head| told[0][at(head)].parse::<i64>().unwrap());
    assert_eq!(long, spare.length(job).nm());
    assert_eq!(then, rail.length(job).nm());
    // 1 3/4 in at both ends.
    assert_eq!(long - short, 2 * 44_450_000);
}

#[test]
fn what_is_not_open_can_not_be_marked() {
    let (_job, old) = demo(2);
    let bench = Bench::new(old.clone(), Certificate::default());
    let first = *bench.open().first().unwrap();
    let twice = Marks {
        done: BTreeSet::from([first]),
        spoiled: BTreeMap::from([(first, Length::ZERO)]),
    };
    let not_to_be_made = |place| Err(Impossible::NotToBeMade(place));
    assert_eq!(
        bench.draft(&twice.into(), BTreeSet::new(), Wishes::default()),
        not_to_be_made(first)
    );
    let nowhere = Place { sheet: 1, ..first };
    assert_eq!(
        bench.draft(
            &News::default(),
            BTreeSet::from([nowhere]),
            Wishes::default()
        ),
        not_to_be_made(nowhere)
    );
    let long = bench.cut(first).to - bench.cut(first).from;
    let too_good = Marks {
        spoiled: BTreeMap::from([(first, long + Length::from_nm(1))]),
        ..Marks::default()
    };
    assert_eq!(
        bench.draft(&too_good.into(), BTreeSet::new(), Wishes::default()),
        Err(Impossible::TooMuchGood(first))
    );
    let nothing = Stick::Board {
        sheet: 0,
        board: 999,
    };
    let news = News {
        measured: BTreeMap::from([(nothing, Measured::default())]),
        ..News::default()
    };
    assert_eq!(
        bench.draft(&news, BTreeSet::new(), Wishes::default()),
        Err(Impossible::NotMeasured(nothing))
    );
}

fn longpoint(folder: &Path, args: &[&str]) -> (Option<i32>, String, String) {
    let output = command::longpoint(folder, args);
    let [out, errors] = [output.stdout, output.stderr].map(|bytes| text(&bytes));
    (output.status.code(), out, errors)
}

#[test]
fn a_marked_cut_list_and_cuts_named_on_the_command_line_say_the_same() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/spare/spare.toml");
    let job = job.to_str().unwrap();
    longpoint(folder.path(), &["plan", job, "--out", "made"]);
    let list = fs::read_to_string(folder.path().join("made/cut-list.csv")).unwrap();
    let mut lines = list.lines();
    let header = lines.next().unwrap();
    let state = header.split(',').position(|name| name == "state").unwrap();
    let mut marked = vec![header.to_owned()];
    let mut named: Vec<String> = Vec::new();
    for (idx, line) in lines.enumerate() {
        let mut fields: Vec<&str> = line.split(',').collect();
        let word = ["cut", "spoiled", "", ""][idx.min(3)];
        fields[state] = word;
        marked.push(fields.join(","));
        if !word.is_empty() {
            let option = if word == "cut" { "--done" } else { "--spoiled" };
            named.push(option.to_owned());
            named.push(format!(
                "{}#{}/{}:{}",
                fields[1], fields[2], fields[4], fields[5]
            ));
        }
    }
    fs::write(folder.path().join("marked.csv"), marked.join("\n")).unwrap();
    let plan = "made/plan.json";
    let (code, listed, errors) = longpoint(
        folder.path(),
        &[
            "replan",
            job,
            plan,
            "--marks",
            "marked.csv",
            "--out",
            "rest",
        ],
    );
    assert_eq!((code, errors.as_str()), (Some(0), ""));
    let mut args = vec!["replan", job, plan];
    args.extend(named.iter().map(String::as_str));
    let (_, typed, _) = longpoint(folder.path(), &args);
    assert_eq!(listed, typed);
    assert!(
        listed.contains("1 part cut and kept, 1 part spoiled"),
        "{listed}"
    );
    assert_eq!(
        fs::read_to_string(folder.path().join("rest/rest.txt")).unwrap(),
        listed
    );
    for line in listed.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
    // A cut that is not there, and one that is marked twice.
    let (code, _, errors) = longpoint(
        folder.path(),
        &["replan", job, plan, "--spoiled", "cherry 6 ft#9:1"],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("the plan has no cut 1 on strip 1 of `cherry 6 ft` #9\n"),
        "{errors}"
    );
    let (code, _, errors) = longpoint(
        folder.path(),
        &[
            "replan",
            job,
            plan,
            "--done",
            "maple 5 ft#1:1",
            "--spoiled",
            "maple 5 ft#1:1",
        ],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("marked both as cut and as spoiled"),
        "{errors}"
    );
}

#[test]
fn an_offcut_keeps_the_name_that_was_written_on_it() {
    let folder = tempfile::tempdir().unwrap();
    let job = "[saw]\nkerf = \"1/8\"\n\n\
        [[pieces]]\npiece = \"long\"\nlength = \"40\"\n\n\
        [[pieces]]\npiece = \"mid\"\nlength = \"29\"\n\n\
        [[boards]]\nboard = \"lath\"\nlength = \"5'\"\nprice = 4.00\n";
    fs::write(folder.path().join("job.toml"), job).unwrap();
    let run = |args: &[&str]| {
        let (code, out, errors) = longpoint(folder.path(), args);
        assert_eq!((code, errors.as_str()), (Some(0), ""), "{out}");
        out
    };
    let named = |file: &str| -> Vec<String> {
        let rack = fs::read_to_string(folder.path().join(file)).unwrap();
        let rows = rack.lines().skip(1).map(|row| {
            let fields: Vec<&str> = row.split(',').collect();
            // Its name, its length, and the board, whose trace is `"lath, B"`.
            let board = row.split("lath, ").nth(1).unwrap().chars().next().unwrap();
            format!("{} {} {board}", fields[0], fields[1])
        });
        rows.collect()
    };
    // Of A 60 - 1/2 - 40 - 1/8 = 19 3/8 in are left, of B 60 - 1/2 - 29 - 1/8 = 30 3/8 in: the longer one is named first.
    run(&["plan", "job.toml", "--out", "made"]);
    let [first, second] = ["offcut 1 30 3/8 in B", "offcut 2 19 3/8 in A"];
    assert_eq!(named("made/rack.csv"), [first, second]);
    // The long one is chipped, and cut from a board more, of which as much is left as of A.
    let plan = ["replan", "job.toml", "made/plan.json"];
    let text = run(&[&plan[..], &["--spoiled", "A:1", "--out", "made"]].concat());
    let third = "offcut 3 19 3/8 in C";
    assert_eq!(named("made/rest-rack.csv"), [second, first, third]);
    assert!(
        text.contains("offcut 1  29 7/8  lath, B  as before\n"),
        "{text}"
    );
    assert!(
        text.contains("offcut 3  18 7/8  lath, C  new: write it on\n"),
        "{text}"
    );
    // So is the other, which is cut from offcut 1: 30 3/8 - 29 - 1/8 = 1 1/4 in are scrap, and the name goes to nothing else.
    let plan = ["replan", "job.toml", "made/rest.json"];
    let text = run(&[
        &plan[..],
        &["--spoiled", "B:1", "--spoiled", "C:1", "--out", "late"],
    ]
    .concat());
    assert!(text.contains("Not there any more: offcut 1.\n"), "{text}");
    // The mid one is cut from B, which is paid for; the long one needs a board more.
    assert!(
        text.contains("\nStill to buy: 1 × lath, for 4.00.\n"),
        "{text}"
    );
    let cut_from = "\nCut from 1 board paid for, 1 new board; 4.00 to pay.\n";
    assert!(text.contains(cut_from), "{text}");
    assert_eq!(
        named("late/rest-rack.csv"),
        [second, third, "offcut 4 19 3/8 in D"]
    );
    run(&["verify", "job.toml", "late/rest.json"]);
}

/// A folder with a frame of 20 by 30 of a moulding 2 in wide, and four boards that were bought for it, of which it takes two.
fn pier() -> TempDir {
    let folder = tempfile::tempdir().unwrap();
    let job = "bought = \"bought.csv\"\n[saw]\nkerf = \"1/8\"\n[shop]\nshortest-offcut = 12\n\
        [[mouldings]]\nname = \"flat\"\nface-width = 2\n\
        [[frames]]\nframe = \"Pier\"\nart-width = 20\nart-height = 30\n\
        [[boards]]\nboard = \"ash\"\nlength = \"8'\"\nprice = 10\n";
    let bought = "bought,board,length,price\n4,ash,8',10.00\n";
    for (name, text) in [("job.toml", job), ("bought.csv", bought)] {
        fs::write(folder.path().join(name), text).unwrap();
    }
    let (code, out, errors) = longpoint(folder.path(), &["plan", "job.toml", "--out", "made"]);
    assert_eq!((code, errors.as_str()), (Some(0), ""), "{out}");
    folder
}

#[test]
fn all_that_goes_on_the_rack_is_listed_with_one_measure_of_a_rail() {
    let folder = pier();
    let list = |good: &str, out: &str| {
        let spoiled = format!("A:1={good}");
        let args = [
            "replan",
            "job.toml",
            "made/plan.json",
            "--spoiled",
            &spoiled,
            "--out",
            out,
        ];
        let (code, text, errors) = longpoint(folder.path(), &args);
        assert_eq!((code, errors.as_str()), (Some(0), ""), "{text}");
        let rack = fs::read_to_string(folder.path().join(out).join("rest-rack.csv")).unwrap();
        (text, rack)
    };
    // Derived: both ends slant by the face, so of 17 in 17 - 2 x 2 = 13 in are left, and of 15 in 11 in, less than 12.
    let (text, rack) = list("17", "kept");
    assert!(text.contains("keep it, 13 by its shorter edge"), "{text}");
    assert!(rack.contains(" (A-1),13 in,1,"), "{rack}");
    let (_, listed) = text.split_once("For the rack, once all is cut").unwrap();
    let (listed, _) = listed.split_once("`rest-rack.csv` has the same").unwrap();
    for row in rack.lines().skip(1) {
        let name = row.split(',').next().unwrap();
        assert!(listed.contains(name), "{name} of {rack} is in {listed}");
    }
    assert!(listed.contains("whole 1"), "{listed}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let (text, rack) = list("15", "short");
    assert!(text.contains("11 by its shorter edge"), "{text}");
    assert!(!text.contains("keep it"), "{text}");
    assert!(!rack.contains("(A-1)"), "{rack}");
}

#[test]
fn a_frame_that_is_another_is_told_field_by_field() {
    let folder = pier();
    let job = fs::read_to_string(folder.path().join("job.toml")).unwrap();
    let other = job.replace("art-width = 20", "art-width = 21\nquantity = 2");
    fs::write(folder.path().join("job.toml"), other).unwrap();
    let said = "art-width was 20 in, is 21 in";
    let (code, text, _) = longpoint(folder.path(), &["verify", "job.toml", "made/plan.json"]);
    assert_eq!(code, Some(1), "{text}");
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        words.contains(&format!("Frame `Pier`: quantity was 1, is 2; {said}.")),
        "{text}"
    );
    // Derived: art, 1/8 in of play, less two lips of 1/4, and two faces of 2: 23 5/8 in was, and 24 5/8 in is.
    let length = "its length is given as `23 5/8 in` and must be `24 5/8 in`";
    assert!(words.contains(length), "{text}");
    assert!(!text.contains(" nm"), "{text}");
    assert!(
        text.lines().all(|line| line.chars().count() <= 80),
        "{text}"
    );
    let again = ["replan", "job.toml", "made/plan.json", "--done", "A:1"];
    let (_, text, _) = longpoint(folder.path(), &again);
    let words = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(words.contains(said), "{text}");
}

#[test]
fn where_nothing_was_planned_anew_the_plan_itself_is_offered() {
    let folder = pier();
    let (code, _, errors) = longpoint(folder.path(), &["verify", "job.toml", "made/rest.json"]);
    assert_eq!(code, Some(2));
    assert!(errors.contains("give made/plan.json"), "{errors}");
    let (code, text, _) = longpoint(folder.path(), &["verify", "job.toml", "made/plan.json"]);
    assert_eq!(code, Some(0), "{text}");
    let typed = errors.split('`').nth(1).unwrap();
    let args: Vec<&str> = typed.split_whitespace().skip(1).collect();
    let args: Vec<&str> = args
        .iter()
        .map(|arg| if *arg == "JOB.toml" { "job.toml" } else { *arg })
        .collect();
    let (code, text, errors) = longpoint(folder.path(), &args);
    assert_eq!(code, Some(0), "{text}{errors}");
    assert!(folder.path().join("made/rest.json").is_file());
}

#[test]
fn the_demo_still_plans_to_what_it_is_replanned_from() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/miscut");
    let job = demo.join("miscut.toml");
    longpoint(
        folder.path(),
        &["plan", job.to_str().unwrap(), "--out", "made"],
    );
    let read = |path: &Path| fs::read_to_string(path).unwrap();
    assert!(
        read(&folder.path().join("made/plan.json")) == read(&demo.join("plan.json")),
        "data/miscut/plan.json is not what the job plans to any more"
    );
    let made = read(&folder.path().join("made/cut-list.csv"));
    let state = made
        .lines()
        .next()
        .unwrap()
        .split(',')
        .position(|name| name == "state")
        .unwrap();
    for (made, marked) in made
        .lines()
        .zip(read(&demo.join("marked.csv")).lines())
        .skip(1)
    {
        let mut fields: Vec<&str> = marked.split(',').collect();
        fields[state] = "";
        assert_eq!(made, fields.join(","));
    }
}

#[test]
fn a_sheet_is_replanned_from_its_own_files_and_numbers_go_on() {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/miscut");
    let [job, plan, marks] = ["miscut.toml", "plan.json", "marked.csv"].map(|file| demo.join(file));
    let job = job.to_str().unwrap();
    let replan = |plan: &str, more: &[&str]| {
        let (code, text, errors) =
            longpoint(folder.path(), &[&["replan", job, plan], more].concat());
        assert_eq!((code, errors.as_str()), (Some(0), ""), "{text}");
        text
    };
    let marks = marks.to_str().unwrap();
    replan(plan.to_str().unwrap(), &["--marks", marks, "--out", "rest"]);
    // The same marks once more say nothing new, and no cut is left out or doubled.
    let text = replan("rest/rest.json", &["--marks", marks]);
    assert!(
        text.contains("Plan 3: 6 parts cut and kept, 2 parts spoiled; 18 cuts still to be made as"),
        "{text}"
    );
    let (code, text, _) = longpoint(folder.path(), &["verify", job, "rest/rest.json"]);
    assert_eq!(code, Some(0), "{text}");
    assert!(
        text.contains("plan   1 board for 0.00 USD; 2 parts cut, 0 missing"),
        "{text}"
    );
    let list = fs::read_to_string(folder.path().join("rest/rest-cut-list.csv")).unwrap();
    assert_eq!(list.lines().count(), 1 + 18);
    // Derived: three cuts of the first sheet on that board, so the two of the second are the fourth and the fifth.
    assert!(
        list.contains("\nE,oak 8 ft,2,1,1,5,Fern #1 bottom,rail,"),
        "{list}"
    );
    let spoiled = [
        "--spoiled",
        "oak 8 ft#2:4",
        "--spoiled",
        "oak 7 ft#3:1-4",
        "--out",
        "again",
    ];
    let text = replan("rest/rest.json", &spoiled);
    // Derived: five boards were taken before, so one that is bought now is F.
    assert!(
        text.contains("Board F  oak 8 ft  96 in · oak cap"),
        "{text}"
    );
    let (code, _, errors) = longpoint(
        folder.path(),
        &["replan", job, "again/rest.json", "--done", "oak 8 ft#1:2"],
    );
    assert_eq!(code, Some(2));
    assert!(
        errors.contains("cut 2 on strip 1 of `oak 8 ft` #1 was marked otherwise before\n"),
        "{errors}"
    );
    // A file that somebody has tampered with is refused.
    let path = folder.path().join("again/rest.json");
    let file = fs::read_to_string(&path).unwrap();
    let at = file.rfind("\"kept\": [").unwrap();
    fs::write(
        &path,
        format!(
            "{}\"kept\": [[0, 99, 0, 0],{}",
            &file[..at],
            &file[at + 9..]
        ),
    )
    .unwrap();
    let (code, _, errors) = longpoint(folder.path(), &["replan", job, "again/rest.json"]);
    assert_eq!(code, Some(2));
    assert!(
        in_one_line(&errors).contains("cut [0, 99, 0, 0] of a round was not to be made then"),
        "{errors}"
    );
}

#[test]
fn a_plan_with_sheets_of_glass_is_a_plan() {
    let folder = tempfile::tempdir().unwrap();
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("data/show/show.toml");
    let job = job.to_str().unwrap();
    longpoint(folder.path(), &["plan", job, "--out", "made"]);
    let (code, text, errors) = longpoint(
        folder.path(),
        &["replan", job, "made/plan.json", "--done", "ash 8 ft#1:1-2"],
    );
    assert_eq!((code, errors.as_str()), (Some(0), ""));
    assert!(
        text.contains("Plan 2: 2 parts cut and kept, 0 parts spoiled;"),
        "{text}"
    );
    assert!(
        text.contains("There is nothing to plan: go on with the plans before.\n"),
        "{text}"
    );
}

/// A day at the bench through the command line: the job in a folder of its own, changed and replanned.
struct Day {
    folder: tempfile::TempDir,
    sheets: u32,
}

impl Day {
    fn begin(demo: &str) -> Day {
        let folder = tempfile::tempdir().unwrap();
        let data = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("data")
            .join(demo);
        for file in fs::read_dir(data).unwrap() {
            let file = file.unwrap();
            fs::copy(file.path(), folder.path().join(file.file_name())).unwrap();
        }
        Day { folder, sheets: 1 }
    }

    fn run(&self, args: &[&str]) -> (Option<i32>, String) {
        let (code, text, errors) = longpoint(self.folder.path(), args);
        assert_eq!(errors, "", "{text}");
        for line in text.lines() {
            assert!(line.chars().count() <= 80, "{line}");
        }
        (code, text)
    }

    fn change(&self, file: &str, from: &str, to: &str) {
        let path = self.folder.path().join(file);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains(from), "{text}");
        fs::write(path, text.replace(from, to)).unwrap();
    }

    /// Replans from the newest sheet, and verifies all that is written.
    fn replan(&mut self, more: &[&str]) -> String {
        let plan = if self.sheets == 1 {
            "day/plan.json"
        } else {
            "day/rest.json"
        };
        let (code, text) =
            self.run(&[&["replan", "badday.toml", plan, "--out", "day"], more].concat());
        assert_eq!(code, Some(0), "{text}");
        self.sheets += 1;
        assert!(
            text.contains(&format!("\nPlan {}: ", self.sheets)),
            "{text}"
        );
        let (code, verified) = self.run(&["verify", "badday.toml", "day/rest.json"]);
        assert_eq!(code, Some(0), "{verified}");
        let sheets = format!("sheets {}, each of them checked", self.sheets);
        assert!(verified.contains(&sheets), "{verified}");
        text
    }

    fn bench(&self) -> Bench {
        let path = self.folder.path().join("badday.toml");
        let job = jobs::load_from(path.to_str().unwrap(), &crate::disk::Disk);
        let text = fs::read_to_string(self.folder.path().join("day/rest.json")).unwrap();
        let (bench, _) = longpoint::planfile::read_bench(&job, &text)
            .unwrap()
            .unwrap();
        bench
    }
}

#[test]
fn a_bad_day_ends_with_all_frames_that_are_still_wanted() {
    let mut day = Day::begin("badday");
    let (code, _) = day.run(&["plan", "badday.toml", "--out", "day"]);
    assert_eq!(code, Some(0));
    // The kerf is measured after two cuts: these stay, and what lies behind them moves along.
    day.change("badday.toml", "kerf = \"1/8\"", "kerf = \"5/32\"");
    let text = day.replan(&["--done", "A:1-2"]);
    assert!(text.contains("The kerf is 5/32 in, not 1/8 in."), "{text}");
    assert!(
        text.contains("No longer fit, and are planned anew: A-3, A-4, A-5, B-2,"),
        "{text}"
    );
    // The plan of the morning is not that of the job as it now is, and says so.
    let plan = ["verify", "badday.toml", "day/plan.json"];
    let (code, verified, _) = longpoint(day.folder.path(), &plan);
    assert_eq!(code, Some(1));
    assert!(verified.contains("the job has changed since"), "{verified}");
    // A rail of 26 5/8 in is chipped; 15 in of it are good, so that a short rail is cut from it.
    let text = day.replan(&["--spoiled", "B:1=15"]);
    assert!(text.contains("Harbor left  B-1    15  "), "{text}");
    // A knot under one of the rails still to be cut.
    let open: Vec<Place> = day.bench().open().into_iter().collect();
    let bench = day.bench();
    let on_board = |place: &&Place| matches!(bench.stick_at(**place), Stick::Board { .. });
    let hit = *open.iter().rfind(on_board).unwrap();
    let label = |place: Place| {
        let labels = bench.labels();
        let found = labels.iter().find(|(_, at)| **at == place);
        found.map(|(label, _)| *label).unwrap()
    };
    let inches = (bench.cut(hit).from + Length::INCH).nm() / Length::INCH.nm();
    let knot = format!("{}={inches} to {}", label(hit).strip.board, inches + 1);
    let text = day.replan(&["--knot", &knot]);
    let named = format!("No longer fit, and are planned anew: {}.", label(hit));
    assert!(text.contains(&named), "{named}\n{text}");
    // A frame is dropped, of which rails are cut.
    let bench = day.bench();
    let of_pier = bench.serving().into_iter().find(|&(place, part)| {
        let is_open = bench.open().contains(&place);
        let job = bench.job();
        is_open
            && matches!(part, Part::Rail { frame_idx, .. } if job.frames[frame_idx].name == "Pier")
    });
    let (place, _) = of_pier.unwrap();
    let labels = bench.labels();
    let (label, _) = labels.iter().find(|(_, at)| **at == place).unwrap();
    let done = format!("{}:{}", label.strip, label.cut);
    day.change("frames.csv", "Pier,20,16,1\n", "");
    let text = day.replan(&["--done", &done]);
    assert!(text.contains("Frame Pier is gone."), "{text}");
    let in_hand = text.split("Cut, in no frame").nth(1).unwrap_or_default();
    assert!(in_hand.contains(&label.to_string()), "{label}\n{text}");
    // All that is written of a plan is written of the rest.
    for file in [
        "resaw-list",
        "rip-list",
        "cut-list",
        "buying-list",
        "rails",
        "offcuts",
        "rack",
        "missing",
        "wood-balance",
        "frame-sizes",
        "sheets",
    ] {
        let table = day.folder.path().join(format!("day/rest-{file}.csv"));
        assert!(table.exists(), "{file}");
    }
    // In the end all rails of the four frames that are left are cut or to be cut, and what was cut is still there.
    let bench = day.bench();
    assert_eq!(bench.serving().len(), 4 * 4);
    assert_eq!(bench.missing().count(), 0);
    assert_eq!(bench.made().done.len(), 2 + 1);
    assert_eq!(bench.made().spoiled.len(), 1);
}

#[test]
fn what_was_marked_stays_marked_in_the_folder_it_was_written_to() {
    let mut day = Day::begin("badday");
    day.run(&["plan", "badday.toml", "--out", "day"]);
    day.replan(&["--spoiled", "A:1=10"]);
    let read = |day: &Day, file: &str| {
        fs::read_to_string(day.folder.path().join("day").join(file)).unwrap()
    };
    let first = read(&day, "rest.json");
    // Another replan of the first plan knows nothing of that, and is not written over it.
    let old = [
        "replan",
        "badday.toml",
        "day/plan.json",
        "--done",
        "B:1",
        "--out",
        "day",
    ];
    let refused = |args: &[&str]| {
        let (code, text, errors) = longpoint(day.folder.path(), args);
        assert_eq!((code, text.as_str()), (Some(2), ""));
        assert!(
            errors.contains("rest.json` has sheets, or marks of what was cut, that do not follow"),
            "{errors}"
        );
    };
    refused(&old);
    refused(&[&old[..], &["--replace"]].concat());
    assert_eq!(read(&day, "rest.json"), first);
    // One of another format cannot be read, and is no less for it.
    let path = day.folder.path().join("day/rest.json");
    let older = first.replacen("\"format_number\": 6", "\"format_number\": 1", 1);
    assert_ne!(older, first);
    fs::write(&path, &older).unwrap();
    refused(&old);
    assert_eq!(read(&day, "rest.json"), older);
    fs::write(&path, &first).unwrap();
    // The same plan once more belongs to it; the plan of another job does not.
    day.run(&["plan", "badday.toml", "--out", "day"]);
    day.change("frames.csv", "Buoy,8,10,1\n", "");
    refused(&["plan", "badday.toml", "--out", "day"]);
    assert_eq!(read(&day, "rest.json"), first);
    // A list that was marked is kept when its marks are taken over.
    let list = day.folder.path().join("day/rest-cut-list.csv");
    let text = fs::read_to_string(&list).unwrap();
    let mut lines: Vec<String> = text.lines().map(str::to_owned).collect();
    let state = lines[0]
        .split(',')
        .position(|name| name == "state")
        .unwrap();
    let mut fields: Vec<&str> = lines[1].split(',').collect();
    fields[state] = "cut";
    lines[1] = fields.join(",");
    fs::write(&list, lines.join("\n")).unwrap();
    let (code, text, errors) = longpoint(
        day.folder.path(),
        &[
            "replan",
            "badday.toml",
            "day/rest.json",
            "--marks",
            "day/rest-cut-list.csv",
            "--out",
            "day",
        ],
    );
    assert_eq!(code, Some(0), "{errors}");
    assert!(
        errors.contains("kept what lay there as `day/kept-1-rest-cut-list.csv`"),
        "{errors}"
    );
    assert!(
        text.contains("Plan 3: 1 part cut and kept, 1 part spoiled"),
        "{text}"
    );
    let bench = day.bench();
    assert_eq!(
        (bench.made().done.len(), bench.made().spoiled.len()),
        (1, 1)
    );
}

#[test]
fn a_rail_that_nobody_wants_any_more_gives_a_shorter_one_and_nothing_is_bought() {
    // Derived: 21, 16 and 16 and three kerfs are 53 3/8 of 59 in, so that no other 16 in is left behind them.
    let job = |long: &str| {
        jobs::load_text(format!(
            "[[pieces]]\npiece = \"short\"\nlength = 16\nquantity = 2\n{long}\
             [[boards]]\nboard = \"lath\"\nlength = \"5'\"\nprice = 4\n"
        ))
    };
    let both = job("[[pieces]]\npiece = \"long\"\nlength = 21\n");
    let first = jobs::planned(&both);
    assert_eq!(first.plan.boards.len(), 1);
    let bench = Bench::new(first.plan, first.certificate);
    let [long, short, last] =
        <[Place; 3]>::try_from(bench.open().into_iter().collect::<Vec<_>>()).unwrap();
    let news = |job: Option<Job>, good: i64, spoiled: Place, done: &[Place]| News {
        job: job.map(|job| (job, Texts::default())),
        marks: Marks {
            done: done.iter().copied().collect(),
            spoiled: BTreeMap::from([(spoiled, Length::INCH * good)]),
        },
        ..News::default()
    };
    let value = |news: &News| {
        let rest = replan(&bench, news, &jobs::CONTROL).unwrap();
        assert_eq!(rest.planned.plan.missing, []);
        let cut_from = rest.bench.stick(1, 0);
        (rest.planned.plan.value, cut_from)
    };
    // The long one is dropped, a short one spoiled.
    let dropped = news(Some(job("")), 0, short, &[long]);
    assert_eq!(value(&dropped), (0, Stick::Rail(long)));
    // With both wanted still, a board is bought.
    assert_eq!(value(&news(None, 0, short, &[long])).0, 400);
    // The long one is chipped: of its good 16 in a short one is cut, one inch less will not do.
    let chipped = |good| {
        let mut news = news(Some(job("")), good, long, &[last]);
        news.marks.spoiled.insert(short, Length::ZERO);
        value(&news)
    };
    assert_eq!(chipped(16), (0, Stick::Rail(long)));
    assert_eq!(chipped(15).0, 400);
}

#[test]
fn a_frame_that_is_cut_anew_keeps_its_row_and_a_single_rail_its_board() {
    let job = |frames: &str| {
        jobs::load_text(format!(
            "[[mouldings]]\nname = \"cap\"\nface-width = 1\ngrain = \"frame\"\n{frames}\
             [[boards]]\nboard = \"ash\"\nlength = \"10'\"\nprice = 9\nquantity = 6\n"
        ))
    };
    let frame = |name: &str, size: u32| {
        format!("[[frames]]\nframe = \"{name}\"\nart-width = {size}\nart-height = {size}\n")
    };
    // Derived: four rails of 17 5/8 in and their kerfs are some 72 in of 119, so that two more fit behind them.
    let first = jobs::planned(&job(&frame("Harbor", 16)));
    let bench = Bench::new(first.plan, first.certificate);
    let open = bench.open().into_iter().collect::<Vec<_>>();
    let marks = Marks {
        done: open[..2].iter().copied().collect(),
        spoiled: BTreeMap::from([(open[2], Length::ZERO)]),
    };
    let two = job(&(frame("Harbor", 16) + &frame("Cove", 12)));
    let news = News {
        job: Some((two, Texts::default())),
        ..News::from(marks)
    };
    let rest = replan(&bench, &news, &jobs::CONTROL).unwrap();
    assert_eq!(
        rest.round().wishes,
        Wishes {
            frames: true,
            near: true
        }
    );
    let bench = &rest.bench;
    let new = bench
        .serving()
        .into_iter()
        .filter(|(place, _)| place.sheet == 1);
    let (mut row, mut single) = (Vec::new(), Vec::new());
    for (place, part) in new {
        match part {
            Part::Rail {
                frame_idx: 1, side, ..
            } => row.push((bench.cut(place).from, place.board, side)),
            _ => single.push(place),
        }
    }
    // All four from one board, in the order left, top, right, bottom.
    row.sort_unstable();
    assert_eq!(
        row.iter().map(|&(_, _, side)| side).collect::<Vec<_>>(),
        [3, 0, 1, 2]
    );
    assert!(row.iter().all(|&(_, board, _)| board == row[0].1));
    assert_eq!(single.len(), 1);
    assert_eq!(
        bench.stick_at(single[0]),
        Stick::Board { sheet: 0, board: 0 }
    );
}

#[test]
fn the_plan_of_a_job_that_has_nothing_in_common_is_refused() {
    let folder = tempfile::tempdir().unwrap();
    let data = Path::new(env!("CARGO_MANIFEST_DIR")).join("data");
    let [job, plan] = ["badday/badday.toml", "miscut/plan.json"].map(|file| data.join(file));
    let args = ["replan", job.to_str().unwrap(), plan.to_str().unwrap()];
    let (code, text, errors) = longpoint(folder.path(), &args);
    assert_eq!((code, text.as_str()), (Some(2), ""));
    assert!(
        in_one_line(&errors)
            .contains("it is the plan of another job: none of its frames and pieces is in"),
        "{errors}"
    );
}

#[test]
fn what_is_milled_to_one_profile_is_cut_for_no_other() {
    // Derived: rails of 12 5/8 and of 22 5/8 long, four of each on a board; behind the short ones some 45 in are left.
    let job = jobs::load_text(
        "[[mouldings]]\nname = \"broad\"\nface-width = 1.5\n\
         [[mouldings]]\nname = \"narrow\"\nface-width = 1.5\n\
         [[frames]]\nframe = \"small\"\nmoulding = \"broad\"\nart-width = 10\nart-height = 10\n\
         [[frames]]\nframe = \"large\"\nmoulding = \"narrow\"\nart-width = 20\nart-height = 20\n\
         [[boards]]\nboard = \"oak\"\nlength = 96\nquantity = 2\n",
    );
    let planned = plan(&job, &jobs::CONTROL).unwrap();
    assert_eq!(planned.plan.missing, []);
    let bench = Bench::new(planned.plan, planned.certificate);
    let of = |name: &str| -> Vec<Place> {
        let serving = bench.serving().into_iter();
        let is_of = |part| match part {
            Part::Rail { frame_idx, .. } => job.frames[frame_idx].name == name,
            Part::Loose { .. } => false,
        };
        let of_frame = serving.filter(|&(_, part)| is_of(part));
        of_frame.map(|(place, _)| place).collect()
    };
    let missing = |done: &[Place]| {
        let mut marks = Marks::default();
        marks.done.extend(done);
        marks.spoiled.insert(of("large")[0], Length::ZERO);
        let rest = replan(&bench, &marks.into(), &jobs::CONTROL).unwrap();
        rest.bench.missing().count()
    };
    // A strip is milled as a whole, also where nothing has been cut from it yet but is to be cut as before.
    assert_eq!(missing(&[]), 1);
    assert_eq!(missing(&of("small")[..1]), 1);
}

/// A sheet behind the last one, on which all cuts of the newest one were spoiled so that nothing is good of them.
fn after_spoiling_the_newest(bench: &Bench) -> Replanned {
    let newest = bench.rounds().len();
    let open = bench.open().into_iter();
    let spoiled = open.filter(|place| place.sheet == newest).take(1);
    let marks = Marks {
        spoiled: spoiled.map(|place| (place, Length::ZERO)).collect(),
        ..Marks::default()
    };
    let news = News::from(marks);
    let rest = replan(bench, &news, &jobs::CONTROL).unwrap();
    holds(bench.job(), bench, &news, &rest).unwrap();
    rest
}

#[test]
fn what_lies_beside_the_strips_of_a_begun_board_is_cut_before_any_is_bought() {
    // Derived: of 8 in, 1/4 is straightened away and two strips and kerfs take 3 1/4, which leaves 4 1/2 beside them. Of that
    // a strip takes 1 5/8 and straightening 1/4, which leaves 2 5/8; of that again 3/4, too little for another.
    let job = jobs::load_text(
        "[saw]\nkerf = \"1/8\"\nend-trim = 0\n\
         [rip]\nkerf = \"1/8\"\nstraightening = \"1/4\"\nplaning = 0\n\
         [[pieces]]\npiece = \"slat\"\nlength = 40\nwidth = 1.5\nquantity = 2\n\
         [[boards]]\nboard = \"oak\"\nlength = 60\nwidth = 8\nprice = 30\nquantity = 1\n\
         [[boards]]\nboard = \"dear\"\nlength = 60\nwidth = 1.5\nprice = 90\n",
    );
    let planned = plan(&job, &jobs::CONTROL).unwrap();
    assert_eq!(planned.plan.boards.len(), 1);
    let first = Bench::new(planned.plan, Certificate::default());
    let second = after_spoiling_the_newest(&first).bench;
    let at = |bench: &Bench| bench.stick(bench.rounds().len(), 0);
    let Stick::Piece {
        sheet: 0, board: 0, ..
    } = at(&second)
    else {
        panic!("{:?} is no piece of the board", at(&second));
    };
    assert_eq!(second.stick_name(at(&second)).0, "oak, edge of A");
    assert_eq!(second.last().plan.value, 0);
    // A knot is measured of the board, and lies on the piece as well.
    let inch = Length::INCH;
    let measured = Measured {
        length: None,
        knots: [(inch * 20, inch * 22)].into(),
    };
    let news = News {
        measured: [(first.stick(0, 0), measured)].into(),
        ..News::default()
    };
    let rest = replan(&second, &news, &jobs::CONTROL).unwrap();
    let misfits = rest.misfits.iter().map(|&place| second.stick_at(place));
    let misfits: BTreeSet<Stick> = misfits.collect();
    assert!(misfits.contains(&at(&second)), "{misfits:?}");
    let third = after_spoiling_the_newest(&second).bench;
    let Stick::Piece {
        sheet: 1, board: 0, ..
    } = at(&third)
    else {
        panic!("{:?} is no piece of the piece", at(&third));
    };
    assert_eq!(third.stick_name(at(&third)).0, "oak, edge of B");
    // Its whole name tells it apart, however narrow the list to rip by is; nothing is bought for it.
    let rest = after_spoiling_the_newest(&second);
    let look = Look {
        width: 80,
        color: false,
        unicode: true,
    };
    let text = set(&rest_sheet(&rest), look);
    assert!(text.contains("C oak, edge of B"), "{text}");
    assert!(text.contains("Nothing more is to be bought."), "{text}");
    assert!(text.contains("Cut from 1 piece at the bench."), "{text}");
    let fourth = after_spoiling_the_newest(&third).bench;
    assert_eq!(fourth.last().plan.value, 9_000);
    assert_eq!(fourth.last().plan.missing, []);
    // All of it is one board's wood, and what was bought last.
    let total = fourth.total();
    let all = balances(&total.plan, &total.idle);
    let bought: i128 = all.iter().map(|balance| balance.bought).sum();
    let face = |width: i128| width * i128::from(inch.nm() / 2) * i128::from(inch.nm()) * 60;
    assert_eq!(bought, face(16) + face(3));
}

#[test]
fn what_an_earlier_sheet_has_ripped_or_begun_is_not_ripped_once_more() {
    // Derived: the board gives a strip of 4 in and one of 1 1/2; behind two wide slats on the first 36 in are left, from which
    // two slim ones could be ripped. Its strips are those of the sheet that ripped it, whatever comes later.
    let text = |wide: u32, slim: u32| {
        format!(
            "[saw]\nkerf = \"1/8\"\nend-trim = 0\n\
             [rip]\nkerf = \"1/8\"\nstraightening = 0\nplaning = 0\n\
             [[pieces]]\npiece = \"wide\"\nlength = 30\nwidth = 4\nquantity = {wide}\n\
             [[pieces]]\npiece = \"slim\"\nlength = 30\nwidth = 1.5\nquantity = {slim}\n\
             [[boards]]\nboard = \"oak\"\nlength = 96.375\nwidth = \"5 5/8\"\nprice = 30\nquantity = 1\n"
        )
    };
    let first = plan(&jobs::load_text(text(3, 3)), &jobs::CONTROL).unwrap();
    assert_eq!(first.plan.missing, []);
    let bench = Bench::new(first.plan, Certificate::default());
    let wide = |place: &Place| {
        let cut = bench.cut(*place);
        cut.part.width(&bench.last().plan.job) == Some(Length::INCH * 4)
    };
    let wide: Vec<Place> = bench.open().into_iter().filter(wide).collect();
    let marks = Marks {
        done: wide[..2].iter().copied().collect(),
        ..Marks::default()
    };
    let job = jobs::load_text(text(2, 5));
    let news = News {
        job: Some((job.clone(), Texts::default())),
        ..News::from(marks)
    };
    let rest = replan(&bench, &news, &jobs::CONTROL).unwrap();
    assert_eq!(rest.planned.plan.missing.len(), 2);
    holds(&job, &bench, &news, &rest).unwrap();
}

#[test]
fn a_piece_with_a_defect_along_its_edge_serves_and_is_kept_past_that() {
    // Sapwood, 1 in of the right edge over all of the board.
    let job = jobs::load_text(
        "[saw]\nkerf = \"1/8\"\nend-trim = 0\n[rip]\nkerf = \"1/8\"\nstraightening = 0\nplaning = 0\n\
         [[pieces]]\npiece = \"slat\"\nlength = 40\nwidth = 2\nquantity = 1\n\
         [[boards]]\nboard = \"oak\"\nlength = 60\nwidth = 8\nprice = 10\ndefects = \"0 to 60 right 1\"\n",
    );
    let planned = plan(&job, &jobs::CONTROL).unwrap();
    let edges = longpoint::tally::rack_added(&planned.plan);
    let edges = edges
        .iter()
        .filter(|new| new.board.width > Some(Length::INCH * 5));
    assert_eq!(edges.count(), 1);
    let bench = Bench::new(planned.plan, Certificate::default());
    let rest = after_spoiling_the_newest(&bench);
    assert_eq!(rest.planned.plan.value, 0);
    assert!(matches!(rest.bench.stick(1, 0), Stick::Piece { .. }));
}

#[test]
fn a_knot_on_a_defect_leaves_a_rack_that_can_be_read() {
    let folder = tempfile::tempdir().unwrap();
    let at = folder.path();
    fs::write(
        at.join("job.toml"),
        "rack = \"rack.csv\"\n[saw]\nkerf = \"1/8\"\nend-trim = 0\n[rip]\nkerf = \"1/8\"\n\
         [[pieces]]\npiece = \"slat\"\nlength = 20\nwidth = 2\nquantity = 2\n\
         [[boards]]\nboard = \"oak\"\nlength = 90\nwidth = 8\nprice = 10\ndefects = \"60 to 66\"\n",
    )
    .unwrap();
    fs::write(at.join("rack.csv"), "board,length\n").unwrap();
    let run = |args: &[&str]| {
        let (code, text, errors) = longpoint(at, args);
        assert_eq!((code, errors.as_str()), (Some(0), ""), "{args:?}");
        text
    };
    run(&["plan", "job.toml", "--out", "o"]);
    let knot = [
        "replan",
        "job.toml",
        "o/plan.json",
        "--knot",
        "A=62 to 68",
        "--spoiled",
        "A1:1",
    ];
    run(&[&knot[..], &["--out", "r"]].concat());
    run(&["stow", "job.toml", "r/rest.json"]);
    let rack = fs::read_to_string(at.join("rack.csv")).unwrap();
    assert!(
        rack.contains("60 in to 68 in") || rack.contains("60 to 68"),
        "{rack}"
    );
    // The rack can be read; that the job itself has left it is all that is said.
    let (code, _, errors) = longpoint(at, &["check", "job.toml"]);
    assert_eq!(code, Some(0), "{errors}");
    assert_eq!(errors.matches("guide: ").count(), 1, "{errors}");
    assert!(errors.contains("guide: W212"), "{errors}");
}
