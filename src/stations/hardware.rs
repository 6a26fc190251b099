//! Hardware: what the frames need of each kind that the job asks for, counted into lots as they are sold, and what it costs.
//!
//! A frame takes, of the kinds for hangers, wire and hooks, the one of the least rating that is twice what it must bear, or
//! else one without a rating: a hanger at the end of a wire, and the wire, bear its pull; one of two hangers or hooks half of
//! the weight. Frames inside of others have keys or splines of their own, and nothing else.
//!
//! Pieces of what is sold by length are cut longest first, each from the first lot with room; tape alone may be joined. So
//! there are enough lots, but it is not proved that fewer would not do.
//!
//! # Source
//! Twice what it bears, two bumpers at the lower corners: common practice, no source; no standard was found.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use super::closing::{Closing, closings};
use super::hanging::{Hung, hung};
use crate::frame::{Frame, SpacerStock, rectangle_round};
use crate::job::{HangBy, Hardware, HardwareUse, Job, Line, Lot, Weight};
use crate::length::Length;
use crate::money::{Money, shared};
use crate::tally::{SizedFrame, sized_frames};

/// Bumpers that a frame gets where the job says nothing.
const BUMPERS: u32 = 2;

/// All hardware of a job.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct HardwareList {
    /// Of each kind that some frame takes, in the order of the job.
    pub needs: Vec<HardwareNeed>,
    /// What no kind of the job serves.
    pub lacking: Vec<Lacking>,
}

/// What the frames need of one kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct HardwareNeed {
    /// Index into `Job::hardware`.
    pub hardware_idx: usize,
    /// In all.
    pub amount: HardwareAmount,
    /// Lots to be bought.
    pub lots: u64,
    /// What they cost; `None` where no price is given.
    pub money: Option<Money>,
    /// Of each line of frames that takes some, its index and how much for all its frames.
    pub frames: Vec<(usize, HardwareAmount)>,
}

/// How much of something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HardwareAmount {
    /// Pieces.
    Count(u64),
    /// Length of all pieces.
    Length(Length),
}

impl HardwareAmount {
    /// As a number: pieces, or nanometers.
    fn number(self) -> i128 {
        match self {
            HardwareAmount::Count(count) => count.into(),
            HardwareAmount::Length(length) => length.nm().into(),
        }
    }
}

/// What a line of frames needs and no kind of the job serves.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lacking {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// What it is for.
    pub hardware_use: HardwareUse,
    /// Why.
    pub why: WhyLacking,
}

/// Why nothing serves a frame.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WhyLacking {
    /// Nothing is rated for so much.
    Rated(Weight),
    /// No lot is so long.
    Longer(Length),
    /// The roll is narrower than the cover.
    Wider(Length),
}

/// What one frame takes of something.
#[derive(Clone, Copy, Debug)]
struct Taken {
    /// Pieces for one frame.
    count: u64,
    /// Length of each; `None` of what is sold by the piece.
    length: Option<Length>,
    /// What of it must lie across a roll.
    across: Option<Length>,
    /// What each must bear of the weight that is known, doubled; `None` where nothing is known, or it bears nothing.
    rating: Option<Weight>,
    /// Whether much of what it must bear is not known.
    is_heavier: bool,
}

/// One line of frames with what is known of it.
struct Known<'a> {
    sized: &'a SizedFrame<'a>,
    hung: Option<&'a Hung>,
    closing: Option<&'a Closing>,
}

/// All hardware that a job asks for.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn hardware(job: &Job) -> HardwareList {
    let mut list = HardwareList::default();
    if job.hardware.is_empty() {
        return list;
    }
    let (sized, hung, closings) = (sized_frames(job), hung(job), closings(job));
    // Pieces of each kind: the line of frames, how many, and how long.
    let mut pieces: Vec<Vec<(usize, u64, Option<Length>)>> = vec![Vec::new(); job.hardware.len()];
    let mut uses: Vec<HardwareUse> = job.hardware.iter().map(|of| of.hardware_use).collect();
    uses.sort_unstable();
    uses.dedup();
    for (frame_idx, sized) in sized.iter().enumerate() {
        let known = Known {
            sized,
            hung: hung.iter().find(|hung| hung.frame_idx == frame_idx),
            closing: closings
                .iter()
                .find(|closing| closing.frame_idx == frame_idx),
        };
        let copies = u64::from(sized.frame.quantity);
        for &hardware_use in &uses {
            let kinds = job.hardware.iter().enumerate();
            let kinds = kinds.filter(|(_, of)| of.hardware_use == hardware_use);
            let kinds: Vec<(usize, &Hardware)> = kinds.collect();
            for taken in taken(job, &known, hardware_use, &kinds) {
                match chosen(&kinds, sized.frame, &taken) {
                    Ok(idx) => pieces[idx].push((frame_idx, taken.count * copies, taken.length)),
                    Err(Some(why)) => list.lacking.push(Lacking {
                        frame_idx,
                        hardware_use,
                        why,
                    }),
                    Err(None) => {}
                }
            }
        }
    }
    for (hardware_idx, pieces) in pieces.into_iter().enumerate() {
        if !pieces.is_empty() {
            list.needs
                .push(need(&job.hardware[hardware_idx], hardware_idx, &pieces));
        }
    }
    list
}

/// What one frame takes for a use.
fn taken(
    job: &Job,
    known: &Known<'_>,
    hardware_use: HardwareUse,
    kinds: &[(usize, &Hardware)],
) -> Vec<Taken> {
    let (sized, frame) = (known.sized, known.sized.frame);
    let sides = u64::from(frame.art.n_sides());
    let plain = |count: u64| Taken {
        count,
        length: None,
        across: None,
        rating: None,
        is_heavier: known.hung.is_some_and(|hung| hung.weight.is_much_unknown()),
    };
    let long = |count: u64, length: Length| Taken {
        length: Some(length),
        ..plain(count)
    };
    let places = known.hung.map(|hung| (&hung.places, hung.weight.known));
    let twice = |weight: Weight, hundredths: u64| {
        (weight > Weight::ZERO).then(|| weight.hundredths(hundredths * 2))
    };
    let one = match hardware_use {
        HardwareUse::Keys => job
            .assembly
            .keys
            .map(|keys| plain(sides * u64::from(keys.count))),
        HardwareUse::Splines => job.assembly.spline_depth.map(|_| plain(sides)),
        HardwareUse::Hangers => {
            places
                .filter(|(at, _)| at.by != HangBy::Cleat)
                .map(|(at, weight)| {
                    let count = if at.span.is_some() { 2 } else { 1 };
                    let hundredths = match &at.wire {
                        Some(wire) => wire.pull_hundredths,
                        None => 100 / count,
                    };
                    Taken {
                        rating: twice(weight, hundredths),
                        ..plain(count)
                    }
                })
        }
        HardwareUse::Hooks => {
            places
                .filter(|(at, _)| at.by != HangBy::Cleat)
                .map(|(at, weight)| {
                    let count = if at.hooks_apart.is_some() { 2 } else { 1 };
                    Taken {
                        rating: twice(weight, 100 / count),
                        ..plain(count)
                    }
                })
        }
        HardwareUse::Wire => places.and_then(|(at, weight)| {
            let wire = at.wire.as_ref()?;
            Some(Taken {
                rating: twice(weight, wire.pull_hundredths),
                ..long(1, wire.to_cut(&job.display))
            })
        }),
        HardwareUse::Cleat => places.and_then(|(at, _)| Some(long(2, at.cleat?))),
        HardwareUse::Bumpers => known.hung.map(|_| {
            let each = kinds.first().and_then(|(_, of)| of.each).unwrap_or(BUMPERS);
            plain(each.into())
        }),
        HardwareUse::DustCover => known.closing.map(|closing| {
            let (width, height) = rectangle_round(closing.dust_cover);
            let roll = kinds
                .first()
                .and_then(|(_, of)| of.roll_width)
                .unwrap_or(width);
            let (short, long_side) = (width.min(height), width.max(height));
            // Across the roll where it is wide enough, so that the shorter side is taken off it.
            let (off, across) = if long_side <= roll {
                (short, long_side)
            } else {
                (long_side, short)
            };
            Taken {
                across: Some(across),
                ..long(1, off)
            }
        }),
        HardwareUse::Tape => known.closing.map(|closing| {
            let cover = closing.dust_cover;
            let around: Length = (0..cover.n_sides()).map(|side| cover.side(side)).sum();
            long(1, around)
        }),
        HardwareUse::Points => known
            .closing
            .and_then(|closing| closing.points.as_ref().map(|points| plain(points.count))),
        HardwareUse::Spacer => {
            let strips = crate::frame::spacer_strips(frame, &sized.package).into_iter();
            let is_bought = frame
                .spacer
                .as_ref()
                .is_some_and(|spacer| spacer.stock == SpacerStock::Bought);
            let strips = strips.filter(|_| is_bought);
            return strips.map(|of| long(of.count.into(), of.length)).collect();
        }
    };
    one.filter(|one| one.count > 0).into_iter().collect()
}

/// Which kind a frame takes, or why none serves it; no reason is given where another supply is meant.
fn chosen(
    kinds: &[(usize, &Hardware)],
    frame: &Frame,
    taken: &Taken,
) -> Result<usize, Option<WhyLacking>> {
    let name = frame.spacer.as_ref().map(|spacer| &spacer.name);
    let is_meant = |of: &Hardware| of.hardware_use != HardwareUse::Spacer || Some(&of.name) == name;
    let meant: Vec<&(usize, &Hardware)> = kinds.iter().filter(|(_, of)| is_meant(of)).collect();
    if meant.is_empty() {
        return Err(None);
    }
    let bears_it = |of: &Hardware| match (of.bears, taken.rating) {
        (Some(bears), Some(rating)) => bears >= rating,
        _ => true,
    };
    let strong = meant.iter().filter(|(_, of)| bears_it(of));
    // A rating that is known goes before none; where nothing or only the lesser part of the weight is known, what bears most
    // is the only safe choice.
    let bears_frames = matches!(
        meant[0].1.hardware_use,
        HardwareUse::Hangers | HardwareUse::Wire | HardwareUse::Hooks
    );
    let is_unknown = bears_frames && (taken.rating.is_none() || taken.is_heavier);
    let strong = strong.min_by_key(|(idx, of)| {
        let most = of.bears.filter(|_| is_unknown).map(Reverse);
        let least = of.bears.filter(|_| !is_unknown);
        (of.bears.is_none(), most, least, *idx)
    });
    let &&(idx, of) = strong.ok_or(taken.rating.map(WhyLacking::Rated))?;
    if let (Some(length), Lot::Length(lot)) = (taken.length, of.lot)
        && length > lot
        && of.hardware_use != HardwareUse::Tape
    {
        return Err(Some(WhyLacking::Longer(length)));
    }
    if let (Some(across), Some(roll)) = (taken.across, of.roll_width)
        && across > roll
    {
        return Err(Some(WhyLacking::Wider(across)));
    }
    Ok(idx)
}

/// Larger sums are not told; no shop pays them, and sums of them would overflow.
const MOST_MONEY: i64 = 1_000_000_000_000_000;

/// What is needed of one kind for these pieces.
fn need(
    of: &Hardware,
    hardware_idx: usize,
    pieces: &[(usize, u64, Option<Length>)],
) -> HardwareNeed {
    let mut frames: BTreeMap<usize, i128> = BTreeMap::new();
    let mut all = 0_i128;
    for &(frame_idx, count, length) in pieces {
        let each = length.map_or(1, |length| i128::from(length.nm()));
        let amount = i128::from(count) * each;
        *frames.entry(frame_idx).or_default() += amount;
        all += amount;
    }
    let amount = |number: i128| match of.lot {
        Lot::Count(_) => HardwareAmount::Count(u64::try_from(number).unwrap_or(u64::MAX)),
        Lot::Length(_) => {
            HardwareAmount::Length(Length::from_nm(i64::try_from(number).unwrap_or(i64::MAX)))
        }
    };
    let whole = |lot: i128| u64::try_from((all + lot - 1) / lot).unwrap_or(u64::MAX);
    let lots = match of.lot {
        Lot::Count(count) => whole(count.max(1).into()),
        Lot::Length(length) if of.hardware_use == HardwareUse::Tape => whole(length.nm().into()),
        Lot::Length(length) => {
            let cut = pieces
                .iter()
                .map(|&(_, count, piece)| (piece.unwrap_or(length), count));
            lots_for(cut.collect(), length)
        }
    };
    HardwareNeed {
        hardware_idx,
        amount: amount(all),
        lots,
        // A sum beyond what is counted is none.
        money: of.price.and_then(|price| {
            let sum = i128::from(price.minor()) * i128::from(lots);
            let sum = i64::try_from(sum).ok().filter(|sum| *sum <= MOST_MONEY);
            sum.map(Money::from_minor)
        }),
        frames: frames
            .into_iter()
            .map(|(idx, number)| (idx, amount(number)))
            .collect(),
    }
}

/// How many lots are enough for pieces of some lengths, each so often and no longer than a lot: longest first, each from the
/// first lot with room (first fit decreasing).
fn lots_for(mut pieces: Vec<(Length, u64)>, lot: Length) -> u64 {
    pieces.sort_unstable_by(|one, other| other.cmp(one));
    // What is left of lots that are alike, and how many.
    let mut open: Vec<(Length, u64)> = Vec::new();
    let mut lots = 0;
    for (length, mut count) in pieces {
        if length <= Length::ZERO {
            continue;
        }
        let mut after: Vec<(Length, u64)> = Vec::with_capacity(open.len() + 2);
        let fit = |left: Length| u64::try_from(left.nm() / length.nm()).unwrap_or(0);
        let cut_from = |left: Length, alike: u64, count: &mut u64, after: &mut Vec<_>| {
            let most = fit(left);
            let full = count.checked_div(most).unwrap_or(0).min(alike);
            let used = |times: u64| left - length * i64::try_from(times).unwrap_or(0);
            if full > 0 {
                after.push((used(most), full));
                *count -= full * most;
            }
            let mut rest = alike - full;
            if rest > 0 && most > 0 && *count > 0 {
                after.push((used(*count), 1));
                *count = 0;
                rest -= 1;
            }
            if rest > 0 {
                after.push((left, rest));
            }
        };
        for &(left, alike) in &open {
            cut_from(left, alike, &mut count, &mut after);
        }
        if count > 0 {
            let new = count.div_ceil(fit(lot).max(1));
            lots += new;
            cut_from(lot, new, &mut count, &mut after);
        }
        open = after;
    }
    lots
}

/// What the hardware of each line of frames costs, as far as it has prices.
///
/// The rule: the price of all lots of a kind is shared in proportion to what each line takes of it, by largest remainder. The
/// shares sum to the prices exactly.
///
/// # Panics
/// As [`hardware`].
pub fn share_hardware(job: &Job) -> BTreeMap<Line, Money> {
    let mut shares: BTreeMap<Line, Money> = BTreeMap::new();
    for need in hardware(job).needs {
        let Some(money) = need.money else {
            continue;
        };
        let weights: Vec<i128> = need
            .frames
            .iter()
            .map(|(_, amount)| amount.number())
            .collect();
        for (&(idx, _), share) in need.frames.iter().zip(shared(money.minor(), &weights)) {
            *shares.entry(Line::Frame(idx)).or_default() += Money::from_minor(share);
        }
    }
    shares
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::job::Keys;
    use crate::samples::{
        empty_job, frame, hardware as kind, in16, inches, moulding, rectangle, sheet,
    };

    /// Lots by first fit decreasing, piece by piece.
    fn plain_lots(pieces: &[(Length, u64)], lot: Length) -> u64 {
        let mut single: Vec<Length> = Vec::new();
        for &(length, count) in pieces {
            single.extend(std::iter::repeat_n(length, usize::try_from(count).unwrap()));
        }
        single.sort_unstable_by(|one, other| other.cmp(one));
        let mut open: Vec<Length> = Vec::new();
        for length in single {
            match open.iter_mut().find(|left| **left >= length) {
                Some(left) => *left -= length,
                None => open.push(lot - length),
            }
        }
        open.len() as u64
    }

    proptest::proptest! {
        #![proptest_config(cases!())]
        #[test]
        fn lots_of_alike_pieces_are_those_of_single_ones(
            pieces in proptest::collection::vec((1_i64..40, 0_u64..12), 0..6),
            lot in 40_i64..100,
        ) {
            let pieces: Vec<(Length, u64)> =
                pieces.into_iter().map(|(nm, count)| (Length::from_nm(nm), count)).collect();
            let lot = Length::from_nm(lot);
            assert_eq!(lots_for(pieces.clone(), lot), plain_lots(&pieces, lot));
        }
    }

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
        let shares = share_hardware(&job);
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
}
