//! Whether a board suits a section of wood.
//!
//! The one place for this rule on the way from job to plan; `plan::check` derives it again on its own.

use crate::length::Length;
use crate::stock::Board;

/// What a moulding, or a piece of plain wood, asks of the board it is cut from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Section<'a> {
    /// The wood; `None` takes any.
    pub material: Option<&'a str>,
    /// Thickness of the board; `None` takes any.
    pub thickness: Option<Length>,
    /// Least width of the board; `None` takes any.
    pub width: Option<Length>,
}

/// A property by which a board fails a section.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Misfit {
    /// Another wood.
    Material,
    /// Another thickness.
    Thickness,
    /// Too narrow.
    Width,
}

/// The form in which names of woods are compared: lower case, without the space around them.
pub fn folded_material(name: &str) -> String {
    name.trim().to_lowercase()
}

/// Whether two names mean the same wood.
pub fn same_material(one: &str, other: &str) -> bool {
    folded_material(one) == folded_material(other)
}

/// Every property by which `board` fails `section`, in the order material, thickness, width; empty if it suits.
///
/// What either side leaves unset never fails.
pub fn misfits(section: &Section<'_>, board: &Board) -> Vec<Misfit> {
    let mut found = Vec::new();
    if let (Some(wanted), Some(given)) = (section.material, &board.material)
        && !same_material(wanted, given)
    {
        found.push(Misfit::Material);
    }
    if let (Some(wanted), Some(given)) = (section.thickness, board.thickness)
        && wanted != given
    {
        found.push(Misfit::Thickness);
    }
    if let (Some(wanted), Some(given)) = (section.width, board.width)
        && given < wanted
    {
        found.push(Misfit::Width);
    }
    found
}

/// Whether `section` can be cut from `board`, length apart.
pub fn suits(section: &Section<'_>, board: &Board) -> bool {
    misfits(section, board).is_empty()
}

#[cfg(test)]
mod tests;
