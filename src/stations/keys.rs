//! What strengthens a miter: keys in slots across the corner, splines in slots along the joint.
//!
//! A corner of `n` sides has the angle `A = 180 - 360 / n`, and half of it is `90 - m` with the miter `m = 180 / n`. A slot `c`
//! deep along the line that halves the corner is seen `c / cos(A / 2) = c / sin m` long on each edge, fills with a strip
//! `2 c tan(A / 2) = 2 c / tan m` wide, and stays clear of the rabbet while `c < (F - L) / sin(A / 2) = (F - L) / cos m`.
//!
//! # Source
//! Derived. Keys in a saw kerf ("slip feather") and splines ("tongue miter"): published, W. Noyes, *Handwork in Wood* (1910),
//! nos. 55 and 54. Keys evenly over the thickness, a spline a third of it: common practice, no source.

use std::collections::BTreeMap;

use crate::frame::{Miter, Moulding};
use crate::job::{Job, Keys};
use crate::length::Length;

/// Frames of one moulding with one number of sides.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Corner {
    /// Index into `Job::mouldings`.
    pub moulding_idx: usize,
    /// Number of sides of the frames.
    pub sides: u32,
}

/// The keys of frames of one moulding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeySetting {
    /// Whose they are.
    pub corner: Corner,
    /// How many keys in all.
    pub n_keys: u64,
    /// What is seen of each slot on each of the two edges.
    pub on_edge: Length,
    /// The least width of the strip the keys are cut from, so that they fill their slots.
    pub strip_width: Length,
    /// The depth that a slot must not reach, or it opens into the rabbet.
    pub clear_depth: Length,
    /// Whether it stays clear.
    pub is_clear: bool,
    /// Whether the slots of neighboring corners leave wood between them on the shortest side.
    pub is_apart: bool,
    /// The middle of each slot, from the front; empty where the moulding's thickness is not known.
    pub places: Vec<Length>,
}

/// The splines of frames of one moulding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SplineSetting {
    /// Whose they are.
    pub corner: Corner,
    /// How many splines in all.
    pub n_splines: u64,
    /// Thickness of a spline, and width of its slot, which begins as far from the front: a third of the moulding's thickness;
    /// `None` where that is not known.
    pub thickness: Option<Length>,
    /// Width of the strip: both slots.
    pub strip_width: Length,
    /// How long the slot may be along the joint from the outer corner, so that it does not open into the rabbet.
    pub longest: Length,
}

/// How many frames there are of each corner, in the order of the job's mouldings.
pub fn corners(job: &Job) -> BTreeMap<Corner, u64> {
    let mut corners = BTreeMap::new();
    for frame in &job.frames {
        let corner = Corner {
            moulding_idx: frame.moulding_idx,
            sides: frame.art.n_sides(),
        };
        *corners.entry(corner).or_default() += u64::from(frame.quantity);
    }
    corners
}

/// The settings for keys; nothing where the job asks for none.
pub fn keys(job: &Job) -> Vec<KeySetting> {
    let Some(keys) = job.assembly.keys else {
        return Vec::new();
    };
    let settings = corners(job).into_iter().map(|(corner, n_frames)| {
        let moulding = &job.mouldings[corner.moulding_idx];
        let frames = job.frames.iter().enumerate().filter(|(_, frame)| {
            frame.moulding_idx == corner.moulding_idx && frame.art.n_sides() == corner.sides
        });
        let sides = frames.flat_map(|(frame_idx, frame)| {
            let sizes = job.frame_sizes(frame_idx);
            (0..frame.art.n_sides()).map(move |side| sizes.rail(side).long_point)
        });
        let shortest = sides.min().unwrap_or(Length::ZERO);
        key_setting((corner, shortest), moulding, n_frames, keys)
    });
    settings.collect()
}

/// The setting for frames of which the shortest side is so long.
fn key_setting(
    (corner, shortest): (Corner, Length),
    moulding: &Moulding,
    n_frames: u64,
    keys: Keys,
) -> KeySetting {
    let miter = Miter::Corner {
        sides: corner.sides,
    };
    let clear_depth = miter.kerf_along(moulding.face_width - moulding.lip);
    let place = |thickness: Length, number: u32| {
        let nm = thickness.nm() * i64::from(number) / i64::from(keys.count + 1);
        Length::from_nm(nm)
    };
    let places = moulding.thickness.map(|thickness| {
        let numbers = 1..=keys.count;
        numbers.map(|number| place(thickness, number)).collect()
    });
    KeySetting {
        corner,
        n_keys: n_frames * u64::from(corner.sides) * u64::from(keys.count),
        on_edge: miter.over_sine(keys.depth),
        strip_width: miter.over_tangent(keys.depth) * 2,
        // It was rounded up, and a slot of that depth may open already.
        is_clear: keys.depth < clear_depth,
        is_apart: miter.over_sine(keys.depth) * 2 < shortest,
        clear_depth,
        places: places.unwrap_or_default(),
    }
}

/// The settings for splines; nothing where the job asks for none.
pub fn splines(job: &Job) -> Vec<SplineSetting> {
    let Some(depth) = job.assembly.spline_depth else {
        return Vec::new();
    };
    let settings = corners(job).into_iter().map(|(corner, n_frames)| {
        let moulding = &job.mouldings[corner.moulding_idx];
        let miter = Miter::Corner {
            sides: corner.sides,
        };
        SplineSetting {
            corner,
            n_splines: n_frames * u64::from(corner.sides),
            thickness: moulding
                .thickness
                .map(|thickness| Length::from_nm(thickness.nm() / 3)),
            strip_width: depth * 2,
            longest: miter.kerf_along(moulding.face_width - moulding.lip),
        }
    });
    settings.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{empty_job, frame, in16, inches, moulding, rectangle};

    /// Asserts a length in ten-thousandths of an inch, to half of the last place.
    fn assert_inches(length: Length, ten_thousandths: i64) {
        let off = (length.nm() - 2_540 * ten_thousandths).abs();
        assert!(off <= 1_270, "{length:?} is not {ten_thousandths}e-4 in");
    }

    /// Three frames of a face of 2 in, 13/16 thick, with a lip of 1/4 in.
    fn job(keys: Option<Keys>) -> Job {
        let mut job = empty_job();
        job.mouldings = vec![moulding("cap", inches(2), None)];
        job.mouldings[0].thickness = Some(in16(13));
        job.frames = vec![frame("Wren", 3, rectangle(8, 10), 0)];
        job.assembly.keys = keys;
        job
    }

    #[test]
    fn keys_agree_with_the_table() {
        // Derived: n 4, c 1 1/4: 1.7678 on each edge, strip 2 1/2 wide; clear below 2.4749; T 13/16, two keys at 0.2708
        // and 0.5417 from the front. Three frames have 12 corners, 24 keys.
        let two = Keys {
            count: 2,
            depth: in16(20),
            kerf: in16(2),
        };
        let [setting] = &keys(&job(Some(two)))[..] else {
            unreachable!("one moulding, one number of sides");
        };
        assert_inches(setting.on_edge, 17_678);
        assert_eq!(setting.strip_width, in16(40));
        assert_inches(setting.clear_depth, 24_749);
        assert!(setting.is_clear);
        assert_inches(setting.places[0], 2_708);
        assert_inches(setting.places[1], 5_417);
        assert_eq!((setting.places.len(), setting.n_keys), (2, 24));
    }

    #[test]
    fn a_slot_that_reaches_the_rabbet_is_told() {
        let deep = |depth| Keys {
            count: 1,
            depth,
            kerf: in16(2),
        };
        // Derived: 2.4749 is between 2 7/16 and 2 1/2.
        assert!(keys(&job(Some(deep(in16(39)))))[0].is_clear);
        assert!(!keys(&job(Some(deep(in16(40)))))[0].is_clear);
        let clear = keys(&job(Some(deep(in16(40)))))[0].clear_depth;
        assert!(!keys(&job(Some(deep(clear))))[0].is_clear);
        assert!(keys(&job(None)).is_empty());
    }

    #[test]
    fn a_spline_takes_a_third_of_the_thickness_and_ends_before_the_rabbet() {
        let mut job = job(None);
        assert!(splines(&job).is_empty());
        job.assembly.spline_depth = Some(in16(4));
        let setting = &splines(&job)[0];
        // Derived: 13/16 / 3 = 0.2708; both slots 1/2; 1 3/4 sqrt 2 = 2.4749; 3 times 4 corners.
        assert_inches(setting.thickness.expect("the stock has a thickness"), 2_708);
        assert_eq!((setting.strip_width, setting.n_splines), (in16(8), 12));
        assert_inches(setting.longest, 24_749);
        job.mouldings[0].thickness = None;
        assert_eq!(splines(&job)[0].thickness, None);
    }
}
