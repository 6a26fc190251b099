//! Rules of thumb in round figures: in inches and pounds, or in millimeters and kilograms, as a job is told.
//!
//! # Source
//! Common practice, no source, in both kinds of unit. No hand within 300 mm of the blade at a crosscut saw: published, UK HSE,
//! cross-cut saws.

use crate::job::Weight;
use crate::length::{Length, Unit};
use crate::plan::{SHORT_WORK, TINY_WORK};

/// From where on something is to be looked out for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Work shorter than this (12 in, 300 mm) asks for a longer piece, a clamp or a carrier.
    pub short_work: Length,
    /// Work shorter than this (6 in, 150 mm) is never held by hand.
    pub tiny_work: Length,
    /// Strips narrower than this (1 1/2 in, 40 mm) are thin rips: too little room for a hand or a stick between fence and blade.
    pub thin_rip: Length,
    /// A frame wider than this (30 in, 750 mm) hangs from two points.
    pub wide: Length,
    /// Above this (20 lb, 9 kg) a frame hangs from two points on the wall or a cleat, and from no single wire.
    pub one_wire: Weight,
}

impl Limits {
    /// Those of a job that is told in such a unit.
    pub fn of(unit: Unit) -> Limits {
        if unit.is_imperial() {
            Limits {
                short_work: SHORT_WORK,
                tiny_work: TINY_WORK,
                thin_rip: Length::from_nm(3 * Length::INCH.nm() / 2),
                wide: Length::INCH * 30,
                one_wire: Weight::pounds(20),
            }
        } else {
            Limits {
                short_work: Length::MILLIMETRE * 300,
                tiny_work: Length::MILLIMETRE * 150,
                thin_rip: Length::MILLIMETRE * 40,
                wide: Length::MILLIMETRE * 750,
                one_wire: Weight::kilograms(9),
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn both_kinds_of_unit_mean_about_the_same() {
        let (inch, metric) = (Limits::of(Unit::Inch), Limits::of(Unit::Centimeter));
        let pairs = [
            (inch.short_work, metric.short_work),
            (inch.tiny_work, metric.tiny_work),
            (inch.thin_rip, metric.thin_rip),
            (inch.wide, metric.wide),
        ];
        for (inch, metric) in pairs {
            let off = (inch.nm() - metric.nm()).abs();
            assert!(off * 20 <= inch.nm(), "{inch:?} and {metric:?}");
            assert!(metric.is_exact_at(Length::MILLIMETRE * 10));
        }
        // Derived: 20 lb are 9.0718 kg.
        assert!(metric.one_wire < inch.one_wire && inch.one_wire < Weight::kilograms(10));
    }
}
