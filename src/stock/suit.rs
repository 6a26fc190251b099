//! Whether a board suits a section of wood.
//!
//! The one place for this rule on the way from job to plan; `plan::check` derives it again on its own.

use crate::length::Length;
use crate::stock::{Board, Rip};

/// What a moulding, or a piece of plain wood, asks of the board it is cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section<'a> {
    /// The wood; `None` takes any.
    pub material: Option<&'a str>,
    /// Thickness of the board; `None` takes any.
    pub thickness: Option<Length>,
    /// Whether a thicker board will do, to be planed down.
    pub may_be_thicker: bool,
    /// Width of the strip, and the least of a board that is not ripped; `None` takes the whole board, however wide.
    pub width: Option<Length>,
    /// The profile of which strips that are milled already will do; `None` takes none of those.
    pub profile: Option<&'a str>,
}

/// A property by which a board fails a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// Another wood.
    Material,
    /// Another thickness.
    Thickness,
    /// Too narrow, or too narrow for what ripping loses; of a board that is milled already, another width.
    Width,
    /// Milled already, and not to the profile that is wanted.
    Milled,
}

/// The form in which names of woods are compared: lower case, without the space around them.
pub fn folded_material(name: &str) -> String {
    name.trim().to_lowercase()
}

/// Whether two names mean the same wood.
pub fn same_material(one: &str, other: &str) -> bool {
    folded_material(one) == folded_material(other)
}

/// Every property by which `board` fails `section`, in the order of [`Misfit`]; empty if it suits.
///
/// What either side leaves unset never fails.
/// With `rip`, a board wider than the section must bear what ripping loses, see [`Board::taking`]; and a thicker one suits where it
/// is resawn for the section, see [`Board::slices`].
/// What is milled already is neither ripped nor planed any more: it must have just the section's thickness and width.
pub fn misfits(section: &Section<'_>, board: &Board, rip: Option<&Rip>) -> Vec<Misfit> {
    let mut found = Vec::new();
    if let (Some(wanted), Some(given)) = (section.material, &board.material)
        && !same_material(wanted, given)
    {
        found.push(Misfit::Material);
    }
    if let (Some(wanted), Some(given)) = (section.thickness, board.thickness)
        && wanted != given
        && !(section.may_be_thicker && wanted < given && board.milled_to().is_none())
        && board.slices(rip, wanted).is_none()
    {
        found.push(Misfit::Thickness);
    }
    match (board.milled_to(), section.width, board.width) {
        (Some(_), Some(wanted), Some(given)) if wanted != given => found.push(Misfit::Width),
        _ if board.taking(rip, section.width).is_none() => found.push(Misfit::Width),
        _ => {}
    }
    if board.milled_to().is_some() && board.milled_to() != section.profile {
        found.push(Misfit::Milled);
    }
    found
}

/// Whether `section` can be cut from `board`, length apart.
pub fn suits(section: &Section<'_>, board: &Board, rip: Option<&Rip>) -> bool {
    misfits(section, board, rip).is_empty()
}

#[cfg(test)]
mod tests;
