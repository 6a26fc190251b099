//! The way of buying that a plan goes, so that its job can be made again from the job's files.

use std::collections::BTreeSet;

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use super::read::{Names, Unknown};
use crate::job::{self, Job, SomeLengths, Way};
use crate::length::Length;

/// The way of buying that a plan goes.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct GoneWay {
    /// Which kind of way.
    pub kind: WayKind,
    /// How many lengths of each wood there are at most; null but of `at_most`.
    pub most_lengths: Option<usize>,
    /// Which of the job's woods is bought in one length; null but of `one_length`.
    pub wood: Option<usize>,
    /// Name of the user's own way; null but of `own`.
    pub own: Option<String>,
    /// Woods of which only some lengths are bought; none but of `at_most` and `one_length`.
    pub woods: Vec<WoodInLengths>,
}

/// A kind of ways of buying.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WayKind {
    /// So many lengths of each wood at most.
    AtMost,
    /// One wood in one length.
    OneLength,
    /// No board cut at the yard.
    Uncut,
    /// As if the vehicle took boards of any length.
    NoVehicleLimit,
    /// As if there were enough of every board that is bought, but of those of a tally.
    NoYardLimits,
    /// Nothing from the rack.
    WithoutRack,
    /// One that the job's file lists.
    Own,
}

/// A wood of which only some lengths are bought.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct WoodInLengths {
    /// All lines of it that must be bought, by name.
    pub boards: Vec<String>,
    /// The lengths that are bought, rising.
    pub lengths_nm: Vec<i64>,
}

impl GoneWay {
    /// # Panics
    /// If the way is the best mix, which is none that limits a job, or not one of `job`.
    pub(super) fn of(job: &Job, gone: &job::GoneWay) -> GoneWay {
        let name = |&idx: &usize| job.boards[idx].name.clone();
        let woods = gone.woods.iter().map(|wood| WoodInLengths {
            boards: wood.boards.iter().map(name).collect(),
            lengths_nm: wood.lengths.iter().map(|length| length.nm()).collect(),
        });
        let (mut most_lengths, mut wood, mut own) = (None, None, None);
        let kind = match gone.way {
            Way::BestMix => unreachable!("the best mix limits no job"),
            Way::AtMost(most) => {
                most_lengths = Some(most);
                WayKind::AtMost
            }
            Way::OneLength { wood_idx, .. } => {
                wood = Some(wood_idx);
                WayKind::OneLength
            }
            Way::Uncut => WayKind::Uncut,
            Way::AnyLength => WayKind::NoVehicleLimit,
            Way::EnoughOfAll => WayKind::NoYardLimits,
            Way::WithoutRack => WayKind::WithoutRack,
            Way::Own(idx) => {
                own = Some(job.buying.ways[idx].name.clone());
                WayKind::Own
            }
        };
        GoneWay {
            kind,
            most_lengths,
            wood,
            own,
            woods: woods.collect(),
        }
    }

    /// The way in terms of `job`.
    ///
    /// # Errors
    /// The first name that the job does not have, or a way that takes more lengths than its kind has.
    pub(super) fn raise(&self, job: &Job) -> Result<job::GoneWay, Unknown> {
        let names = Names::new(job);
        let mut woods = Vec::with_capacity(self.woods.len());
        for wood in &self.woods {
            // A line that the job no longer has is left out by itself.
            let boards = wood.boards.iter().filter_map(|name| names.board(name).ok());
            let lengths = wood.lengths_nm.iter().map(|&nm| Length::from_nm(nm));
            woods.push(SomeLengths {
                boards: boards.collect(),
                lengths: lengths.collect::<BTreeSet<_>>(),
            });
        }
        let unknown = || Unknown::new("way of buying", self.own.as_deref().unwrap_or_default());
        let way = match self.kind {
            WayKind::AtMost => {
                let most = self.most_lengths.ok_or_else(unknown)?;
                if woods.iter().any(|wood| wood.lengths.len() > most) {
                    return Err(unknown());
                }
                Way::AtMost(most)
            }
            WayKind::OneLength => match &woods[..] {
                [only] if only.lengths.len() == 1 => Way::OneLength {
                    wood_idx: self.wood.ok_or_else(unknown)?,
                    length: *only.lengths.first().expect("there is one"),
                },
                _ => return Err(unknown()),
            },
            WayKind::Uncut => Way::Uncut,
            WayKind::NoVehicleLimit => Way::AnyLength,
            WayKind::NoYardLimits => Way::EnoughOfAll,
            WayKind::WithoutRack => Way::WithoutRack,
            WayKind::Own => {
                let mut ways = job.buying.ways.iter();
                let own = ways.position(|way| Some(&way.name) == self.own.as_ref());
                Way::Own(own.ok_or_else(unknown)?)
            }
        };
        Ok(job::GoneWay { way, woods })
    }
}
