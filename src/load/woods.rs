//! Woods: of which a frame or a piece is to be, where its moulding is made in several, and names that look misspelled.

use std::collections::BTreeMap;

use super::fields::{Fields, Found, Names, Reported};
use super::near::{did_you_mean, nearest_or_all};
use super::record::{Field, Origin};
use crate::diag::{Diagnostic, Diagnostics, code, quoted};
use crate::frame::Moulding;
use crate::job::JobSpec;
use crate::stock::{folded_material, same_material};

/// The mouldings of a job as frames and pieces name them: by profile, and by wood where there are several.
#[derive(Default)]
pub(super) struct Profiles<'a> {
    /// Their names, one for each of `[[mouldings]]`.
    pub(super) names: Names<'a>,
    /// `made[p]`: the mouldings that profile `p` stands for; `None` of one that is faulty.
    made: Vec<Option<Made>>,
    /// How many mouldings that are.
    n_mouldings: usize,
}

/// The mouldings of one profile.
struct Made {
    /// Position of the first among the job's mouldings.
    first: usize,
    /// Its wood or woods; of a profile of no certain wood one that is `None`.
    woods: Vec<Option<String>>,
    /// Whether frames are to name one of several.
    is_choice: bool,
}

impl Profiles<'_> {
    /// Notes what the next profile stands for.
    pub(super) fn add(&mut self, mouldings: Option<&[Moulding]>) {
        let first = self.n_mouldings;
        self.made.push(mouldings.map(|mouldings| Made {
            first,
            woods: mouldings.iter().map(|one| one.material.clone()).collect(),
            is_choice: mouldings.iter().any(|one| one.name != one.profile),
        }));
        self.n_mouldings += mouldings.map_or(0, <[Moulding]>::len);
    }

    /// The moulding that a name in `field` means: a profile of one wood, or one of several by wood and name.
    pub(super) fn by_name(
        &self,
        fields: &mut Fields<'_, '_>,
        field: &Field<'_>,
        name: &str,
    ) -> Found<usize> {
        let mut all: Vec<String> = Vec::new();
        for profile in self.names.all() {
            let Some(idx) = self.names.find(profile) else {
                continue;
            };
            let Some(made) = &self.made[idx] else {
                // It is at fault already.
                if profile == name {
                    return Err(Reported);
                }
                continue;
            };
            let names = made.woods.iter().map(|wood| match wood {
                Some(wood) if made.is_choice => format!("{wood} {profile}"),
                _ => profile.to_owned(),
            });
            for (offset, own) in names.enumerate() {
                if own == name {
                    return Ok(made.first + offset);
                }
                all.push(own);
            }
        }
        let all: Vec<&str> = all.iter().map(String::as_str).collect();
        let what = format!("unknown moulding {}", quoted(name));
        let hint = nearest_or_all(name, "the job has", &all);
        Err(fields.fault(field, code::UNKNOWN_MOULDING, what, hint))
    }

    /// How many profiles there are, faulty ones included.
    pub(super) fn count(&self) -> usize {
        self.made.len()
    }

    /// The moulding of a profile in the wood that a row names, as a position among the job's mouldings.
    ///
    /// What is said of a faulty profile does not matter, for no job is made then.
    pub(super) fn in_wood(&self, fields: &mut Fields<'_, '_>, profile: usize) -> Found<usize> {
        let wood = fields.optional_name("wood")?;
        let Some(made) = &self.made[profile] else {
            return Err(Reported);
        };
        let known: Vec<&str> = made.woods.iter().flatten().map(String::as_str).collect();
        let listed = || {
            known
                .iter()
                .map(|&wood| quoted(wood))
                .collect::<Vec<_>>()
                .join(", ")
        };
        let Some(wood) = wood else {
            if made.woods.len() == 1 {
                return Ok(made.first);
            }
            let what = format!(
                "no `wood` is named, and the moulding is made in {}",
                listed()
            );
            let hint = "name one of them in column `wood`".to_owned();
            return Err(fields.record_fault(code::WOOD_NEEDED, what, hint));
        };
        let found = known.iter().position(|known| same_material(known, &wood));
        if let Some(idx) = found {
            return Ok(made.first + idx);
        }
        let what = format!("the moulding is not made in {}", quoted(&wood));
        let hint = match (made.is_choice, known.first()) {
            (true, _) => nearest_or_all(&wood, "it is made in", &known),
            (false, Some(only)) => Some(format!(
                "it is of {}; `woods = [...]` lists several",
                quoted(only)
            )),
            (false, None) => Some("list its woods in the moulding: `woods = [...]`".to_owned()),
        };
        let field = fields.field("wood").ok_or(Reported)?;
        Err(fields.fault(field, code::UNKNOWN_WOOD, what, hint))
    }
}

/// Warns of boards of a wood that nothing in the job asks for, where its name is near to one that something does.
pub(super) fn warn_of_misspelled(spec: &JobSpec, boards: &[Origin<'_>], faults: &mut Diagnostics) {
    let of_mouldings = spec.mouldings.iter().map(|moulding| &moulding.material);
    let of_pieces = spec.pieces.iter().map(|piece| &piece.material);
    let mut asked: BTreeMap<String, &str> = BTreeMap::new();
    for wood in of_mouldings.chain(of_pieces).flatten() {
        asked.entry(folded_material(wood)).or_insert(wood);
    }
    for (board, origin) in spec.boards.iter().zip(boards) {
        let Some(wood) = &board.material else {
            continue;
        };
        if asked.contains_key(&folded_material(wood)) {
            continue;
        }
        if let Some(hint) = did_you_mean(wood, asked.values().copied()) {
            let what = format!(
                "board {} is of {}, which nothing in the job asks for",
                quoted(&board.name),
                quoted(wood)
            );
            faults.push(
                Diagnostic::warning(code::WOOD_MISSPELLED, origin.place(), what).with_hint(hint),
            );
        }
    }
}
