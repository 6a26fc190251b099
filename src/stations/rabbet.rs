//! The rabbet at a table saw, in two cuts.
//!
//! With the face `F`, the thickness `T`, the lip `L`, the depth `D` and the kerf `k`:
//!
//! | cut | on the table | along the fence | blade height | fence |
//! |---|---|---|---|---|
//! | edge, first | sight edge | front face | `L` | `T - D` |
//! | flat, last | back face | back edge | `D` | `F - L` |
//!
//! Both kerfs fall inside the rabbet, and the strip of `L - k` by `D - k` that comes loose lies on the free side of the blade.
//! The flat cut is the last, for the strip then lies on `F - L` of its back; in the other order it would stand on `T - D`.
//! With the back face along the fence instead, the edge cut would trap the loose strip between blade and fence.
//!
//! # Source
//! Derived. The blade 1/8 in (3 mm) above the stock where it cuts through: published, CCOHS fact sheet on table saws, as
//! restated.

use crate::frame::Moulding;
use crate::length::{Length, Unit};

/// How the rabbet of a moulding is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rabbet {
    /// It has none.
    None,
    /// Something that the settings need was not given.
    Unknown {
        /// Whether its depth is known.
        has_depth: bool,
        /// Whether the moulding's thickness is.
        has_thickness: bool,
    },
    /// It is as deep as the moulding is thick, or deeper.
    TooDeep,
    /// The lip is no wider than the kerf: the flat cut makes it.
    Flat(SawSetting),
    /// The depth is no more than the kerf: the edge cut makes it.
    Edge(SawSetting),
    /// Two cuts.
    Two {
        /// The first: sight edge on the table, front face along the fence.
        edge: SawSetting,
        /// The last: back face on the table, back edge along the fence.
        flat: SawSetting,
        /// Width and height of the strip that comes loose at the last cut; `None` where the kerf is not known.
        loose: Option<(Length, Length)>,
    },
}

/// What a table saw is set to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SawSetting {
    /// Of the blade above the table.
    pub blade_height: Length,
    /// From the fence to the near side of the blade.
    pub fence: Length,
}

/// The cuts for the rabbet of a moulding of this thickness, with a blade of this kerf; `None` is what is not known.
pub fn rabbet(moulding: &Moulding, thickness: Option<Length>, kerf: Option<Length>) -> Rabbet {
    let (face, lip) = (moulding.face_width, moulding.lip);
    if lip == Length::ZERO {
        return Rabbet::None;
    }
    let (Some(depth), Some(thickness)) = (moulding.rabbet_depth, thickness) else {
        return Rabbet::Unknown {
            has_depth: moulding.rabbet_depth.is_some(),
            has_thickness: thickness.is_some(),
        };
    };
    if depth >= thickness {
        return Rabbet::TooDeep;
    }
    let edge = SawSetting {
        blade_height: lip,
        fence: thickness - depth,
    };
    let flat = SawSetting {
        blade_height: depth,
        fence: face - lip,
    };
    match kerf {
        Some(kerf) if lip <= kerf => Rabbet::Flat(flat),
        Some(kerf) if depth <= kerf => Rabbet::Edge(edge),
        _ => Rabbet::Two {
            edge,
            flat,
            loose: kerf.map(|kerf| (lip - kerf, depth - kerf)),
        },
    }
}

/// How high the blade stands over the table to cut through stock of a thickness: 1/8 in, or 3 mm, above it.
pub fn blade_over(thickness: Length, unit: Unit) -> Length {
    let above = if unit.is_imperial() {
        Length::from_nm(Length::INCH.nm() / 8)
    } else {
        Length::MILLIMETRE * 3
    };
    thickness + above
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::samples::{in16, inches, millimeters, moulding};

    fn of(face: Length, lip: Length, depth: Option<Length>) -> Moulding {
        Moulding {
            lip,
            rabbet_depth: depth,
            ..moulding("cap", face, None)
        }
    }

    #[test]
    fn settings_agree_with_the_table() {
        // Derived: F 2, T 13/16, L 1/4, D 1/2, k 1/8: edge 1/4 high, fence 5/16; flat 1/2 high, fence 1 3/4; 1/8 x 3/8 loose.
        let moulding = of(inches(2), in16(4), Some(in16(8)));
        let setting = |blade_height, fence| SawSetting {
            blade_height,
            fence,
        };
        let two = Rabbet::Two {
            edge: setting(in16(4), in16(5)),
            flat: setting(in16(8), in16(28)),
            loose: Some((in16(2), in16(6))),
        };
        assert_eq!(rabbet(&moulding, Some(in16(13)), Some(in16(2))), two);
        // Derived: F 50, T 20, L 6, D 12, k 3 mm: edge 6, fence 8; flat 12, fence 44; 3 x 9 loose.
        let mm = millimeters;
        let moulding = of(mm(50), mm(6), Some(mm(12)));
        let two = Rabbet::Two {
            edge: setting(mm(6), mm(8)),
            flat: setting(mm(12), mm(44)),
            loose: Some((mm(3), mm(9))),
        };
        assert_eq!(rabbet(&moulding, Some(mm(20)), Some(mm(3))), two);
    }

    #[test]
    fn a_rabbet_no_wider_or_no_deeper_than_the_kerf_takes_one_cut() {
        let kerf = Some(in16(2));
        let narrow = of(inches(2), in16(2), Some(in16(8)));
        let flat = rabbet(&narrow, Some(in16(13)), kerf);
        assert!(matches!(flat, Rabbet::Flat(setting) if setting.fence == in16(30)));
        let shallow = of(inches(2), in16(4), Some(in16(2)));
        let edge = rabbet(&shallow, Some(in16(13)), kerf);
        assert!(matches!(edge, Rabbet::Edge(setting) if setting.fence == in16(11)));
        // With an unknown kerf nothing is said of what comes loose.
        let two = rabbet(&narrow, Some(in16(13)), None);
        assert!(matches!(two, Rabbet::Two { loose: None, .. }));
    }

    #[test]
    fn what_is_not_known_or_cannot_be_is_told() {
        let unknown = |has_depth, has_thickness| Rabbet::Unknown {
            has_depth,
            has_thickness,
        };
        let kerf = Some(in16(2));
        let open = of(inches(2), in16(4), None);
        assert_eq!(rabbet(&open, Some(in16(13)), kerf), unknown(false, true));
        let deep = of(inches(2), in16(4), Some(in16(13)));
        assert_eq!(rabbet(&deep, None, kerf), unknown(true, false));
        assert_eq!(rabbet(&deep, Some(in16(13)), kerf), Rabbet::TooDeep);
        let none = of(inches(2), Length::ZERO, None);
        assert_eq!(rabbet(&none, None, kerf), Rabbet::None);
    }

    #[test]
    fn the_blade_stands_an_eighth_above_the_stock() {
        assert_eq!(blade_over(in16(13), Unit::Inch), in16(15));
        assert_eq!(
            blade_over(millimeters(20), Unit::Centimeter),
            millimeters(23)
        );
    }
}
