//! Hanging: where hangers and hooks go, how long the wire is and how hard it pulls, so that a row of frames hangs in line.
//!
//! With the center line `C`, the height `H` of a frame, its weight `W`, hangers `p` below the top edge and `s` apart, and a wire
//! drawn up `h` above them:
//!
//! - the hook is at `C + H / 2 - (p - h)`;
//! - the wire is `2 sqrt(h² + s² / 4) = sqrt(4 h² + s²)` long between the hangers and pulls with `W sqrt(4 h² + s²) / (4 h)`;
//! - over two hooks `b` apart `s - b` stands for `s`, and the wire is longer by `b`.
//!
//! Hangers sit on the upright rails, in the middle of the wood beside the rabbet, so that `s = width - (F - L)`; on those of a
//! tray, which have no rabbet, in the middle of the rail, so that `s = width - F`.
//!
//! An equal polygon of `n` sides `a`, with `m = 180 / n`, hangs with its first side flat on top, as it is drawn, by the middle of
//! that rail, or two places on it if it is wide or heavy; `p = (F - L) / 2`, and there is no wire. So hung it is `a / tan m` high
//! and, as `n` is a multiple of four or not, `a / tan m` or `a / sin m` wide; with an odd `n` it is
//! `(a / sin m + a / tan m) / 2` high and `a / (2 sin (m / 2))` wide, as its widest corners lie `m / 2` off the level of its
//! center.
//!
//! # Source
//! Derived. That a hanger sits a third of the way down, and that hardware bears twice the weight: common practice, no source;
//! no standard was found.

use crate::frame::{Holding, Miter, Outline, across_corners, across_flats};
use crate::job::{Display, HangBy, Hanging, Job};
use crate::length::{Length, Rounding};
use crate::tally::{self, FrameWeight, Limits, Weight, frame_weight};

/// How the frames of a line hang.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Hung {
    /// Index into `Job::frames`.
    pub frame_idx: usize,
    /// Its weight without the artwork, as far as it is known.
    pub weight: FrameWeight,
    /// Whether it is wider than [`Limits::wide`].
    pub is_wide: bool,
    /// Whether it is heavier than [`Limits::one_wire`], as far as is known.
    pub is_heavy: bool,
    /// Where everything goes.
    pub places: Places,
}

/// Where hangers and hooks of a frame go.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Places {
    /// What holds it.
    pub by: HangBy,
    /// Hangers below the top edge.
    pub drop: Length,
    /// Hangers from each outer edge; `None` of a polygon, whose hangers are on the rail on top.
    pub inset: Option<Length>,
    /// Hangers from each other; `None` of a single one in the middle.
    pub span: Option<Length>,
    /// The wire; `None` where there is none.
    pub wire: Option<Wire>,
    /// Length of the cleat, and of its like on the wall; `None` where there is none.
    pub cleat: Option<Length>,
    /// Height of the hook, or hooks, above the floor; `None` if it would be in it.
    pub hook: Option<Length>,
    /// How far the hooks are apart; `None` of one.
    pub hooks_apart: Option<Length>,
    /// Whether that is less than the job asks for, as its hangers are no farther apart, or its rail on top is no longer.
    pub is_narrowed: bool,
    /// Whether the hangers are in the upper half, without which a frame tips over.
    pub is_steady: bool,
    /// Whether the hook is hidden behind the frame.
    pub is_hidden: bool,
}

/// The wire behind a frame.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wire {
    /// How far it is drawn up above the hangers.
    pub rise: Length,
    /// What to cut: between hangers and over hooks, and a tail at each end; rounded up to the nanometer.
    pub length: Length,
    /// What it pulls with, in hundredths of the frame's weight, rounded up.
    pub pull_hundredths: u64,
    /// What that is of the weight that is known; `None` where none is.
    pub pull: Option<Weight>,
}

impl Wire {
    /// What to cut of it, in a round figure: up to the quarter inch or five millimeters.
    pub fn to_cut(&self, display: &Display) -> Length {
        let step = if display.unit.is_imperial() {
            Length::from_nm(Length::INCH.nm() / 4)
        } else {
            Length::MILLIMETRE * 5
        };
        self.length.rounded(step, Rounding::Up)
    }
}

/// A row of frames on a wall.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WallRow {
    /// From the left end of the wall to the first frame.
    pub margin: Length,
    /// Between neighbors.
    pub gap: Length,
    /// Of each frame: index into `Job::frames`, copy from 1, and its middle from the left end of the wall.
    pub centers: Vec<(usize, u32, Length)>,
}

/// How all lines of frames hang, in the order of the job; what another frame holds hangs by that.
///
/// # Panics
/// If the sizes overflow, which those of a loaded job do not.
pub fn hung(job: &Job) -> Vec<Hung> {
    let limits = Limits::of(job.display.unit);
    let sized = tally::sized_frames(job).into_iter().enumerate();
    sized
        .filter(|(_, sized)| !sized.frame.is_held())
        .map(|(frame_idx, sized)| {
            let weight = frame_weight(&sized);
            let outside = sized.sizes.outside;
            let is_heavy = weight.known > limits.one_wire;
            let (width, height) = as_hung(outside);
            let is_wide = width > limits.wide;
            let moulding = sized.moulding;
            let back = match sized.frame.holding {
                Holding::Rabbet => moulding.face_width - moulding.lip,
                Holding::Tray { .. } => moulding.face_width,
            };
            let size = HangingSize {
                width,
                height,
                back,
            };
            let rule = &job.assembly.hanging;
            let usual = if is_wide || is_heavy {
                HangBy::Hangers
            } else {
                HangBy::OneHook
            };
            let is_for_cleat = rule.cleat_above.is_some_and(|limit| weight.known > limit);
            let by = if is_for_cleat {
                HangBy::Cleat
            } else {
                rule.by.unwrap_or(usual)
            };
            let places = match outside {
                Outline::Rectangle { .. } if by == HangBy::Cleat => {
                    // Two thirds of the width: common practice, no source.
                    size.on_cleat(Length::from_nm(width.nm() / 3 * 2), rule, &job.display)
                }
                Outline::Regular { side, .. } if by == HangBy::Cleat => {
                    size.on_cleat(Length::from_nm(side.nm() / 2), rule, &job.display)
                }
                Outline::Rectangle { .. } => size.places(by, rule, &job.display, weight.known),
                Outline::Regular { side, .. } => {
                    size.on_top(by, (side, outside.miter()), rule, &job.display)
                }
            };
            Hung {
                frame_idx,
                weight,
                is_wide,
                is_heavy,
                places,
            }
        })
        .collect()
}

/// Width and height on the wall, a polygon with its first side flat on top.
fn as_hung(outside: Outline) -> (Length, Length) {
    match outside {
        Outline::Rectangle { width, height } => (width, height),
        Outline::Regular { sides, side, flats } => {
            let half = |length: Length| Length::from_nm(length.nm() / 2);
            let corners = across_corners(sides, side, flats);
            let flats = across_flats(sides, side, flats);
            match sides % 4 {
                0 => (flats, flats),
                2 => (corners, flats),
                _ => {
                    let halved = Miter::Corner { sides: sides * 2 };
                    (half(halved.over_sine(side)), half(corners + flats))
                }
            }
        }
    }
}

/// What of a frame's sizes matters for hanging it.
#[derive(Clone, Copy, Debug)]
struct HangingSize {
    width: Length,
    height: Length,
    /// Width of the wood beside the rabbet; of a tray, which has none, of the rail.
    back: Length,
}

impl HangingSize {
    fn places(self, by: HangBy, rule: &Hanging, display: &Display, weight: Weight) -> Places {
        let inset = Length::from_nm(self.back.nm() / 2);
        let span = self.width - inset * 2;
        let third = Length::from_nm(self.height.nm() / 3);
        let drop = rule.hanger_drop.unwrap_or_else(|| usual(third, display));
        let half = Length::from_nm(drop.nm() / 2);
        let rise = rule.wire_rise.unwrap_or_else(|| usual(half, display));
        let wanted = match by {
            HangBy::OneHook | HangBy::Cleat => None,
            HangBy::TwoHooks => {
                let half = Length::from_nm(span.nm() / 2);
                Some(rule.hook_spacing.unwrap_or_else(|| usual(half, display)))
            }
            HangBy::Hangers => Some(span),
        };
        let hooks_apart = wanted.map(|wanted| wanted.min(span));
        let wire = match by {
            HangBy::Hangers | HangBy::Cleat => None,
            HangBy::OneHook | HangBy::TwoHooks => {
                let apart = hooks_apart.unwrap_or(Length::ZERO);
                Some(wire(span, apart, rise, rule.wire_tail, weight))
            }
        };
        let below = if wire.is_some() { drop - rise } else { drop };
        Places {
            by,
            drop,
            inset: Some(inset),
            span: Some(span),
            hook: self.hook(rule, below),
            is_narrowed: wanted != hooks_apart,
            hooks_apart,
            is_steady: drop * 2 < self.height,
            is_hidden: below > Length::ZERO,
            wire,
            cleat: None,
        }
    }

    /// On the rail on top of a polygon with sides so long, and such a miter.
    fn on_top(
        self,
        by: HangBy,
        (side, miter): (Length, Miter),
        rule: &Hanging,
        display: &Display,
    ) -> Places {
        let drop = Length::from_nm(self.back.nm() / 2);
        // Within the rail, which is more than twice as long on its outer edge as it is shorter on its inner one.
        let half = usual(Length::from_nm(side.nm() / 2), display);
        let wanted = match by {
            HangBy::OneHook | HangBy::Cleat => None,
            HangBy::TwoHooks => Some(rule.hook_spacing.unwrap_or(half)),
            HangBy::Hangers => Some(half),
        };
        // So long is the rail where they are.
        let most = side - miter.run_along(drop) * 2;
        let span = wanted.map(|wanted| wanted.min(most));
        Places {
            by,
            drop,
            inset: None,
            span,
            wire: None,
            cleat: None,
            hook: self.hook(rule, drop),
            hooks_apart: span,
            is_narrowed: wanted != span,
            is_steady: true,
            is_hidden: drop > Length::ZERO,
        }
    }

    /// On a cleat of a length behind the rail on top.
    fn on_cleat(self, length: Length, rule: &Hanging, display: &Display) -> Places {
        let drop = Length::from_nm(self.back.nm() / 2);
        Places {
            by: HangBy::Cleat,
            drop,
            inset: None,
            span: None,
            wire: None,
            cleat: Some(usual(length, display)),
            hook: self.hook(rule, drop),
            hooks_apart: None,
            is_narrowed: false,
            is_steady: true,
            is_hidden: drop > Length::ZERO,
        }
    }

    /// Height of a hook that holds a frame so far below its top edge, if it would not be in the floor.
    fn hook(self, rule: &Hanging, below: Length) -> Option<Length> {
        let hook = rule.center_line + Length::from_nm(self.height.nm() / 2) - below;
        (hook > Length::ZERO).then_some(hook)
    }
}

/// A length that is only usual, in a round figure: down to the quarter inch or five millimeters; what is less stays.
fn usual(length: Length, display: &Display) -> Length {
    let step = if display.unit.is_imperial() {
        Length::from_nm(Length::INCH.nm() / 4)
    } else {
        Length::MILLIMETRE * 5
    };
    match length.rounded(step, Rounding::Down) {
        Length::ZERO => length,
        round => round,
    }
}

/// The wire between hangers `span` apart over hooks `apart` (zero for one), drawn up by `rise`.
fn wire(span: Length, apart: Length, rise: Length, tail: Length, weight: Weight) -> Wire {
    let wide = |length: Length| u128::from(length.nm().unsigned_abs());
    let (flat, rise_nm) = (wide(span - apart), wide(rise));
    let square = 4 * rise_nm * rise_nm + flat * flat;
    let slanting = ceil_sqrt(square);
    let between = i64::try_from(slanting).expect("lengths are capped when read");
    // 100 sqrt(4 h² + s²) / (4 h)
    let hundredths = (25 * slanting).div_ceil(rise_nm.max(1));
    let pull_hundredths = u64::try_from(hundredths).unwrap_or(u64::MAX);
    Wire {
        rise,
        length: Length::from_nm(between) + apart + tail * 2,
        pull_hundredths,
        pull: (weight > Weight::ZERO).then(|| weight.hundredths(pull_hundredths)),
    }
}

/// The least whole number whose square is `square` or more.
fn ceil_sqrt(square: u128) -> u128 {
    let root = square.isqrt();
    root + u128::from(root * root < square)
}

/// All frames of the job in one row on its wall, in the order of the job; `None` where no wall is told, or they are wider
/// than it.
///
/// # Panics
/// As [`hung`].
pub fn wall_row(job: &Job) -> Option<WallRow> {
    let rule = &job.assembly.hanging;
    let frames: Vec<(usize, u32, Length)> = (0..job.frames.len())
        .filter(|&idx| !job.frames[idx].is_held())
        .flat_map(|idx| {
            let (width, _) = as_hung(job.frame_sizes(idx).outside);
            (1..=job.frames[idx].quantity).map(move |copy| (idx, copy, width))
        })
        .collect();
    let (margin, gap) = margin_and_gap(
        rule.wall?,
        frames.iter().map(|&(.., width)| width).sum(),
        i64::try_from(frames.len()).expect("load caps the number of frames"),
        rule.gap,
    )?;
    let mut at = margin;
    let centers = frames.into_iter().map(|(idx, copy, width)| {
        let center = at + Length::from_nm(width.nm() / 2);
        at += width + gap;
        (idx, copy, center)
    });
    Some(WallRow {
        margin,
        gap,
        centers: centers.collect(),
    })
}

/// What is left at each end of a wall, and between neighbors; `None` where there is not room for all.
fn margin_and_gap(
    wall: Length,
    widths: Length,
    count: i64,
    gap: Option<Length>,
) -> Option<(Length, Length)> {
    let left = wall - widths;
    let (margin, gap) = if let Some(gap) = gap {
        let at_ends = left - gap * (count - 1);
        (Length::from_nm(at_ends.nm() / 2), gap)
    } else {
        let gap = Length::from_nm(left.nm() / (count + 1));
        (gap, gap)
    };
    (left >= Length::ZERO && margin >= Length::ZERO).then_some((margin, gap))
}

#[cfg(test)]
#[expect(clippy::unwrap_used, reason = "tests fail by panic")]
mod tests {
    use super::*;
    use crate::samples::{empty_job, frame, in16, inches, moulding, rectangle};

    /// Asserts a length in thousandths of an inch, to half of the last place.
    fn assert_inches(length: Length, thousandths: i64) {
        let off = (length.nm() - 25_400 * thousandths).abs();
        assert!(off <= 12_700, "{length:?} is not {thousandths}e-3 in");
    }

    #[test]
    fn the_wire_agrees_with_the_table() {
        // Derived: s 16: h 2; 3; 4: pull 2.062; 1.424; 1.118 W; wire 16.492; 17.088; 17.889.
        for (rise, hundredths, length) in [(2, 207, 16_492), (3, 143, 17_088), (4, 112, 17_889)] {
            let zero = Length::ZERO;
            let wire = wire(inches(16), zero, inches(rise), zero, Weight::ZERO);
            assert_inches(wire.length, length);
            assert_eq!(wire.pull_hundredths, hundredths);
            assert_eq!(wire.pull, None);
        }
        // Derived: over two hooks 6 apart, s 22 stands for 16, and the wire is 6 longer; two tails of 4.
        let over_two = wire(inches(22), inches(6), inches(3), inches(4), Weight::ZERO);
        assert_inches(over_two.length, 17_088 + 6_000 + 8_000);
        assert_eq!(over_two.pull_hundredths, 143);
    }

    fn display() -> Display {
        empty_job().display.clone()
    }

    fn places(by: HangBy, change: impl FnOnce(&mut Hanging)) -> Places {
        let mut rule = empty_job().assembly.hanging.clone();
        rule.hanger_drop = Some(inches(7));
        rule.wire_rise = Some(inches(3));
        change(&mut rule);
        let size = HangingSize {
            width: inches(18),
            height: inches(24),
            back: in16(28),
        };
        size.places(by, &rule, &display(), Weight::ZERO)
    }

    #[test]
    fn hooks_hang_frames_with_their_middle_on_the_line() {
        // Derived: C 57, H 24, hangers 7 down, rise 3: u 4, hook at 65; without a wire 57 + 12 - 7 = 62.
        let one = places(HangBy::OneHook, |_| ());
        assert_eq!((one.hook, one.hooks_apart), (Some(inches(65)), None));
        // Derived: hangers 7/8 in from each edge, 18 - 1 3/4 = 16 1/4 apart.
        assert_eq!((one.inset, one.span), (Some(in16(14)), Some(in16(260))));
        assert!(one.is_steady && one.is_hidden);
        let two = places(HangBy::Hangers, |_| ());
        assert_eq!((two.hook, two.wire), (Some(inches(62)), None));
        assert_eq!(two.hooks_apart, two.span);
    }

    #[test]
    fn what_cannot_hang_well_is_told() {
        let low = places(HangBy::OneHook, |rule| rule.hanger_drop = Some(inches(12)));
        assert!(!low.is_steady);
        let seen = places(HangBy::OneHook, |rule| rule.wire_rise = Some(inches(7)));
        assert!(!seen.is_hidden);
        let buried = places(HangBy::Hangers, |rule| {
            rule.center_line = inches(1);
            rule.hanger_drop = Some(inches(20));
        });
        assert_eq!(buried.hook, None);
    }

    #[test]
    fn what_a_job_leaves_open_is_usual() {
        let usual = places(HangBy::TwoHooks, |rule| {
            rule.hanger_drop = None;
            rule.wire_rise = None;
        });
        // Derived: a third of 24 is 8, half of that 4; half of 16 1/4 is 8 1/8, in quarters 8.
        assert_eq!(usual.drop, inches(8));
        assert_eq!(usual.wire.unwrap().rise, inches(4));
        assert_eq!(usual.hooks_apart, Some(inches(8)));
        assert!(!usual.is_narrowed);
        let far = places(HangBy::TwoHooks, |rule| {
            rule.hook_spacing = Some(inches(20));
        });
        assert_eq!((far.hooks_apart, far.is_narrowed), (far.span, true));
    }

    #[test]
    fn a_polygon_hangs_by_its_flat_top() {
        let of = |sides| as_hung(Outline::of_side(sides, inches(10)));
        // Derived: 10 / tan 60 = 5.774, 10 / sin 60 = 11.547: an equal triangle is as wide as its side and 8.660 high.
        assert_inches(of(3).0, 10_000);
        assert_inches(of(3).1, 8_660);
        assert_eq!(of(4), (inches(10), inches(10)));
        // Derived: a pentagon is 10 (1 + root 5) / 2 wide, and 10 root (5 + 2 root 5) / 2 high.
        assert_inches(of(5).0, 16_180);
        assert_inches(of(5).1, 15_388);
        // Derived: a hexagon is 20 wide and 10 root 3 high; an octagon 10 (1 + root 2) both ways.
        assert_inches(of(6).0, 20_000);
        assert_inches(of(6).1, 17_321);
        assert_inches(of(8).0, 24_142);
        assert_inches(of(8).1, 24_142);

        let size = HangingSize {
            width: inches(20),
            height: inches(18),
            back: in16(28),
        };
        let rule = empty_job().assembly.hanging.clone();
        let mut rule = rule;
        let on_top = |by, rule: &Hanging| {
            let side = (inches(10), Miter::Corner { sides: 6 });
            size.on_top(by, side, rule, &display())
        };
        let one = on_top(HangBy::OneHook, &rule);
        // Derived: 57 + 18 / 2 - 7/8.
        assert_eq!(one.hook, Some(inches(65) + in16(2)));
        assert_eq!((one.span, one.wire.is_none()), (None, true));
        let two = on_top(HangBy::Hangers, &rule);
        assert_eq!(two.hooks_apart, Some(inches(5)));
        // As far apart as the job says, if the rail is as long there.
        rule.hook_spacing = Some(inches(7));
        let far = on_top(HangBy::TwoHooks, &rule);
        assert_eq!(
            (far.hooks_apart, far.span),
            (Some(inches(7)), Some(inches(7)))
        );
        assert!(!far.is_narrowed);
        rule.hook_spacing = Some(inches(12));
        let farther = on_top(HangBy::TwoHooks, &rule);
        // Derived: 10 - 2 (7/8 tan 30) = 10 - 1.010.
        assert_inches(farther.hooks_apart.unwrap(), 8_990);
        assert!(farther.is_narrowed);
    }

    #[test]
    fn a_row_of_frames_stands_evenly_on_its_wall() {
        // Derived: A 144; widths 20, 20, 16; all gaps (A - 56) / 4 = 22; centers at 32, 74, 114.
        let even = margin_and_gap(inches(144), inches(56), 3, None);
        assert_eq!(even, Some((inches(22), inches(22))));
        // Derived: gaps of 2 leave (144 - 56 - 4) / 2 = 42 at each end.
        let close = margin_and_gap(inches(144), inches(56), 3, Some(inches(2)));
        assert_eq!(close, Some((inches(42), inches(2))));
        assert_eq!(margin_and_gap(inches(50), inches(56), 3, None), None);
        let too_wide = margin_and_gap(inches(60), inches(56), 3, Some(inches(3)));
        assert_eq!(too_wide, None);

        let mut job = empty_job();
        // Without lip and play a frame is as wide as its art and two faces.
        job.shop.fit_allowance = Length::ZERO;
        job.mouldings = vec![moulding("cap", inches(1), None)];
        job.mouldings[0].lip = Length::ZERO;
        job.frames = vec![
            frame("Wren", 2, rectangle(18, 24), 0),
            frame("Gull", 1, rectangle(14, 10), 0),
        ];
        assert_eq!(wall_row(&job), None);
        job.assembly.hanging.wall = Some(inches(144));
        let centers = wall_row(&job).unwrap().centers;
        let at = |idx, copy, center| (idx, copy, inches(center));
        assert_eq!(centers, [at(0, 1, 32), at(0, 2, 74), at(1, 1, 114)]);
    }

    #[test]
    fn hangers_of_a_tray_sit_in_the_middle_of_its_rails() {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(2), Some("oak"))];
        job.frames = vec![
            frame("rabbet", 1, rectangle(16, 20), 0),
            frame("tray", 1, rectangle(16, 20), 0),
        ];
        job.frames[1].holding = Holding::Tray { gap: in16(4) };
        // Derived: with a lip of 1/4 half of 2 - 1/4 is 7/8; of a tray half of 2.
        let insets: Vec<_> = hung(&job).iter().map(|it| it.places.inset).collect();
        assert_eq!(insets, [Some(in16(14)), Some(inches(1))]);
        // Derived: 16 + 2 * 1/4 + 2 * 2 = 20 1/2 wide, less twice 1.
        assert_eq!(hung(&job)[1].places.span, Some(in16(296)));
    }

    #[test]
    fn wide_and_heavy_frames_hang_from_two_points() {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(2), Some("oak"))];
        job.mouldings[0].thickness = Some(inches(1));
        job.frames = vec![
            frame("small", 1, rectangle(8, 10), 0),
            frame("wide", 1, rectangle(30, 10), 0),
            frame("heavy", 1, rectangle(24, 30), 0),
        ];
        job.frames[2].glazing = Some(crate::samples::sheet("glass", in16(8)));
        let by = |job: &Job| -> Vec<HangBy> { hung(job).iter().map(|it| it.places.by).collect() };
        assert_eq!(
            by(&job),
            [HangBy::OneHook, HangBy::Hangers, HangBy::Hangers]
        );
        let all = hung(&job);
        assert!(all[1].is_wide && !all[1].is_heavy && all[2].is_heavy && !all[2].is_wide);
        // The job's own word goes before what is usual.
        job.assembly.hanging.by = Some(HangBy::OneHook);
        assert_eq!(by(&job), [HangBy::OneHook; 3]);
    }
}
