use super::*;
use crate::job::{Keys, Lot};
use crate::samples::{
    empty_job, frame, hardware as kind, in16, inches, moulding, rectangle, sheet,
};

/// Three frames of 8 x 10 in a moulding of 2 in, and one of 30 x 40, glazed; both of cherry with a backing.
fn job() -> Job {
    let mut job = empty_job();
    let mut cap = moulding("cap", inches(2), Some("cherry"));
    cap.thickness = Some(in16(13));
    job.mouldings = vec![cap];
    let mut large = frame("Heron", 1, rectangle(30, 40), 0);
    large.glazing = Some(sheet("glass", in16(2)));
    large.backing = Some(sheet("hardboard", in16(2)));
    let mut small = frame("Wren", 3, rectangle(8, 10), 0);
    small.backing = Some(sheet("hardboard", in16(2)));
    job.frames = vec![small, large];
    job
}

fn counted(job: &Job) -> Vec<(String, HardwareAmount, u64)> {
    let named = |need: HardwareNeed| {
        let name = job.hardware[need.hardware_idx].name.clone();
        (name, need.amount, need.lots)
    };
    hardware(job).needs.into_iter().map(named).collect()
}

#[test]
fn what_is_sold_by_the_piece_is_counted_into_lots() {
    let mut job = job();
    job.assembly.keys = Some(Keys {
        count: 2,
        depth: in16(16),
        kerf: in16(2),
    });
    job.hardware = vec![
        kind("key", HardwareUse::Keys, Lot::Count(25)),
        kind("felt dot", HardwareUse::Bumpers, Lot::Count(100)),
        kind("point", HardwareUse::Points, Lot::Count(40)),
    ];
    // Derived: 4 frames of 4 corners with 2 keys: 32, so 2 lots of 25; 2 bumpers each; points at most 3 in apart: 8 x 10:
    // 2 (3 + 4) = 14, 30 x 40: 2 (10 + 14) = 48; 3 x 14 + 48 = 90, so 3 lots of 40.
    let count = HardwareAmount::Count;
    let expected = [
        ("key", count(32), 2),
        ("felt dot", count(8), 1),
        ("point", count(90), 3),
    ];
    assert_eq!(
        counted(&job),
        expected.map(|(name, amount, lots)| (name.to_owned(), amount, lots))
    );
    // What the job has no use for is not counted.
    job.assembly.keys = None;
    assert_eq!(counted(&job).len(), 2);
}

#[test]
fn hangers_are_rated_for_twice_what_they_bear() {
    let mut job = job();
    let light = kind("light ring", HardwareUse::Hangers, Lot::Count(10));
    let strong = kind("strong ring", HardwareUse::Hangers, Lot::Count(4));
    job.hardware = vec![
        Hardware {
            bears: Some(Weight::pounds(40)),
            ..strong
        },
        Hardware {
            bears: Some(Weight::pounds(8)),
            ..light
        },
    ];
    // The large one weighs some 26 lb, so its two hangers need 26 lb each; the small ones some 1 1/2 lb.
    let count = HardwareAmount::Count;
    let expected = [("strong ring", count(2), 1), ("light ring", count(6), 1)];
    assert_eq!(
        counted(&job),
        expected.map(|(name, amount, lots)| (name.to_owned(), amount, lots))
    );
    assert!(hardware(&job).lacking.is_empty());
    job.hardware.remove(0);
    let lacking = hardware(&job).lacking;
    let [
        Lacking {
            frame_idx: 1,
            why: WhyLacking::Rated(rating),
            ..
        },
    ] = lacking[..]
    else {
        unreachable!("{lacking:?}");
    };
    assert!(rating > Weight::pounds(20) && rating < Weight::pounds(32));
}

#[test]
fn what_is_sold_by_length_is_cut_from_whole_lots_and_priced_to_the_cent() {
    let mut job = job();
    let mut paper = kind(
        "kraft paper",
        HardwareUse::DustCover,
        Lot::Length(inches(50)),
    );
    paper.roll_width = Some(inches(36));
    paper.price = Some(Money::from_minor(1_001));
    let mut tape = kind("tape", HardwareUse::Tape, Lot::Length(inches(100)));
    tape.price = Some(Money::from_minor(333));
    job.hardware = vec![paper, tape];
    let list = hardware(&job);
    // Derived: outside 8 + 1/8 + 3-1/2 = 11-5/8 by 13-5/8, the cover 1/4 less each way: 11-3/8 by 13-3/8, lying across the
    // roll: 11-3/8 off it, three times; 30 x 40: 33-3/8 by 43-3/8, which is 43-3/8 off the roll. From rolls of 50 in: the
    // large one leaves 6-5/8, so three of 11-3/8 come from another: 2. Tape: 2 (11-3/8 + 13-3/8) = 49-1/2, three times,
    // and 153-1/2: 302 in, 4 lots.
    let [paper, tape] = &list.needs[..] else {
        unreachable!("two kinds");
    };
    assert_eq!(paper.amount, HardwareAmount::Length(in16(3 * 182 + 694)));
    assert_eq!(
        (paper.lots, paper.money),
        (2, Some(Money::from_minor(2_002)))
    );
    assert_eq!(tape.amount, HardwareAmount::Length(inches(302)));
    assert_eq!((tape.lots, tape.money), (4, Some(Money::from_minor(1_332))));
    // The lengths to cut off the roll, line by line; tape is joined, and has none.
    let cut = |frame_idx, count, sixteenths| HardwareCut {
        frame_idx,
        count,
        length: in16(sixteenths),
    };
    assert_eq!(paper.cuts, [cut(0, 3, 182), cut(1, 1, 694)]);
    assert_eq!(tape.cuts, []);
    let shares = list.shares();
    let sum: Money = shares.values().copied().sum();
    assert_eq!(sum, Money::from_minor(3_334));
    // A roll that is too narrow serves no cover.
    job.hardware[0].roll_width = Some(inches(30));
    let lacking = hardware(&job).lacking;
    assert_eq!(lacking[0].why, WhyLacking::Wider(in16(534)));
}

#[test]
fn a_liner_gets_keys_and_nothing_else() {
    let mut job = job();
    job.frames.truncate(1);
    let mut liner = job.frames[0].clone();
    "Wren liner".clone_into(&mut liner.name);
    liner.held_by = Some("Wren".to_owned());
    liner.backing = None;
    job.frames.push(liner);
    job.assembly.spline_depth = Some(in16(4));
    job.hardware = vec![
        kind("hook", HardwareUse::Hooks, Lot::Count(1)),
        kind("spline", HardwareUse::Splines, Lot::Count(1)),
        kind("dot", HardwareUse::Bumpers, Lot::Count(1)),
        kind("point", HardwareUse::Points, Lot::Count(1)),
    ];
    let count = |name: &str| {
        let found = counted(&job).into_iter().find(|(own, ..)| own == name);
        found.unwrap().2
    };
    assert_eq!((count("hook"), count("spline"), count("dot")), (3, 24, 6));
    assert_eq!(count("point"), 42);
}
