//! Materials that come in sheets: mat board, glazing, backing and paper for dust covers, how they are sold and how they are
//! cut.

use std::borrow::Cow;

use super::JobSpec;
use crate::frame::{Outline, SheetToCut, SheetUse, dust_cover, package};
use crate::length::Length;
use crate::money::Money;

/// What all that comes in sheets is called: mat board, glass, plywood and paper alike.
pub const SHEET_GOODS: &str = "sheet goods";
/// The same at the head of a line.
pub const SHEET_GOODS_HEAD: &str = "Sheet goods";

/// What a material is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Serves {
    /// Round the art.
    Mat,
    /// In front of it.
    Glazing,
    /// Behind it.
    Backing,
    /// Over the back of the frame.
    DustCover,
}

impl Serves {
    /// What a sheet to cut is cut from.
    pub fn of(sheet_use: SheetUse) -> Serves {
        match sheet_use {
            SheetUse::Mat { .. } => Serves::Mat,
            SheetUse::Glazing => Serves::Glazing,
            SheetUse::Backing => Serves::Backing,
            SheetUse::DustCover => Serves::DustCover,
        }
    }
}

/// A material of which frames name sheets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Material {
    /// The name frames refer to; `None` for mat board that they do not name.
    pub name: Option<String>,
    /// What it is for.
    pub serves: Serves,
    /// How it is cut.
    pub cutting: SheetCutting,
    /// Its sheets: as sold, in the order of the file, and then those on the rack.
    pub stock: Vec<SheetStock>,
}

impl Material {
    /// Whether plans are measured in money: some sheet that is sold has a price. If not, they are by face.
    pub fn has_prices(&self) -> bool {
        self.stock
            .iter()
            .any(|stock| stock.label.is_none() && stock.price.is_some())
    }
}

/// How sheets of a material are cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SheetCutting {
    /// Width of a cut; zero where it is scored, or cut by a knife.
    pub kerf: Length,
    /// The longest cut across a whole sheet that can be made; `None` for any.
    pub longest_first: Option<Length>,
    /// The longest cut across a strip that can be made; `None` for any.
    pub longest_second: Option<Length>,
    /// Whether third cuts may be made, which part a piece of a strip once more along the strip, where that is cheaper.
    pub third_cuts: bool,
    /// Whether pieces may be turned by a right angle; not where grain or pattern is to run one way.
    pub may_turn: bool,
    /// What is left is worth keeping where neither side is shorter.
    pub least_piece: Length,
    /// What drops out of a window is cut for smaller mats, less so much at each edge for the bevel; `None` where it is not.
    pub fallout: Option<Length>,
}

/// Sheets of one size, as they are sold or as they lie on the rack.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SheetStock {
    /// One side.
    pub width: Length,
    /// The other side.
    pub height: Length,
    /// What is lost at the edges.
    pub trim: SheetTrim,
    /// How many there are; `None` is as many as needed.
    pub quantity: Option<u32>,
    /// What one costs, or on the rack is worth; `None` where nothing was said, which on the rack is nothing.
    pub price: Option<Money>,
    /// The label of what lies on the rack; `None` for what is sold.
    pub label: Option<String>,
}

/// What is cut off, or kept clear, at the edges of a sheet as it lies, its width from left to right.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub struct SheetTrim {
    /// At the left edge.
    pub left: Length,
    /// At the right edge.
    pub right: Length,
    /// At the lower edge.
    pub bottom: Length,
    /// At the upper edge.
    pub top: Length,
}

impl SheetTrim {
    /// The same at all edges.
    pub const fn all(trim: Length) -> SheetTrim {
        SheetTrim {
            left: trim,
            right: trim,
            bottom: trim,
            top: trim,
        }
    }
}

/// Common practice, no source: mat board, glass and backing come in sheets of 32 by 40 in.
const USUAL: SheetStock = SheetStock {
    width: Length::from_nm(812_800_000),
    height: Length::from_nm(1_016_000_000),
    trim: SheetTrim::all(Length::ZERO),
    quantity: None,
    price: None,
    label: None,
};
/// Our own rule: a piece that is narrower than 8 in serves no usual frame.
const LEAST_PIECE: Length = Length::from_nm(203_200_000);

impl SheetCutting {
    /// By score and snap, or by a knife, on a cutter that takes everything.
    pub const fn scored() -> SheetCutting {
        SheetCutting {
            kerf: Length::ZERO,
            longest_first: None,
            longest_second: None,
            third_cuts: false,
            may_turn: true,
            least_piece: LEAST_PIECE,
            fallout: None,
        }
    }
}

/// By what a material is known: what it is for, and its name.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct MaterialKey {
    /// What it is for.
    pub serves: Serves,
    /// Its name; `None` for mat board that frames do not name, where the job does not state the sheets of just one.
    pub name: Option<String>,
}

impl JobSpec {
    /// The dust cover of a frame as it is when it is done, whatever it comes from; `None` where the frame gets none.
    ///
    /// # Panics
    /// If there is no such frame.
    pub fn dust_cover_size(&self, frame_idx: usize) -> Option<Outline> {
        let outside = self.frame_sizes(frame_idx).outside;
        let margin = self.assembly.dust_cover_margin;
        dust_cover(&self.frames[frame_idx], outside, margin)
    }

    /// What that cover is cut to, before it is glued and trimmed.
    ///
    /// # Panics
    /// If there is no such frame.
    pub fn dust_cover_cut(&self, frame_idx: usize) -> Option<Outline> {
        let outside = self.frame_sizes(frame_idx).outside;
        // One sum: of a polygon each step would be rounded by itself.
        let hidden = self.assembly.dust_cover_margin - self.assembly.dust_cover_oversize;
        dust_cover(&self.frames[frame_idx], outside, hidden)
    }

    /// All that is cut from sheets for a frame: what lies in its package, and then its dust cover, where those come in sheets.
    ///
    /// # Panics
    /// If there is no such frame.
    pub fn sheets_to_cut(&self, frame_idx: usize) -> Vec<SheetToCut> {
        let frame = &self.frames[frame_idx];
        let mut sheets = package(frame, &self.mouldings, self.shop.fit_allowance).sheets;
        if let Some(paper) = &self.dust_cover
            && let Some(size) = self.dust_cover_cut(frame_idx)
        {
            sheets.push(SheetToCut {
                sheet_use: SheetUse::DustCover,
                name: Some(paper.name.clone()),
                size,
                window: None,
            });
        }
        sheets
    }

    /// The material that a sheet to cut is cut from.
    ///
    /// Mat board that the frame does not name is the job's only one, where it states the sheets of just one.
    pub fn material_of(&self, sheet: &SheetToCut) -> MaterialKey {
        let serves = Serves::of(sheet.sheet_use);
        let name = sheet.name.clone().or_else(|| {
            let mut stated = self
                .materials
                .iter()
                .filter(|own| own.serves == serves && !own.stock.is_empty());
            let only = stated.next().filter(|_| stated.next().is_none());
            only.and_then(|only| only.name.clone())
        });
        MaterialKey { serves, name }
    }

    /// A material whose sheets the job states: in what sizes it is sold, or what of it is on the rack.
    pub fn stated_material(&self, key: &MaterialKey) -> Option<&Material> {
        let mut materials = self.materials.iter();
        materials
            .find(|own| own.serves == key.serves && own.name == key.name && !own.stock.is_empty())
    }

    /// A material with its sheets; one whose sheets the job does not state is reckoned in the usual ones.
    pub fn material(&self, key: &MaterialKey) -> Cow<'_, Material> {
        if let Some(stated) = self.stated_material(key) {
            return Cow::Borrowed(stated);
        }
        let cutting = self
            .materials
            .iter()
            .find(|own| own.serves == key.serves && own.name == key.name)
            .map_or(SheetCutting::scored(), |own| own.cutting);
        Cow::Owned(Material {
            name: key.name.clone(),
            serves: key.serves,
            cutting,
            stock: vec![USUAL],
        })
    }
}
