//! What a price list says of what is sold.

use super::costs::SoldCosts;
use crate::frame::Outline;
use crate::job::{AskedOf, AskedPrice, Job, Line};
use crate::length::Length;
use crate::money::Money;

/// The price of one that a list has for each of `sold`, in their order; `None` where it has none.
///
/// A row with a name is of that frame or piece; any other of all rectangles whose art has its size, lying or standing, and
/// its moulding and mat where the row says something of them. Names go before sizes, and of several rows the first counts.
pub fn listed_prices(job: &Job, sold: &[SoldCosts], list: &[AskedPrice]) -> Vec<Option<Money>> {
    let price = |of: &SoldCosts| {
        let by = |is_meant: &dyn Fn(&AskedOf) -> bool| {
            let found = list.iter().find(|asked| is_meant(&asked.of));
            found.map(|asked| asked.price)
        };
        let name = match of.line {
            Line::Frame(idx) => &job.frames[idx].name,
            Line::Piece(idx) => &job.pieces[idx].name,
        };
        by(&|asked| matches!(asked, AskedOf::Name(own) if own == name))
            .or_else(|| by(&|asked| is_of_size(job, of, asked)))
    };
    sold.iter().map(price).collect()
}

fn is_of_size(job: &Job, sold: &SoldCosts, asked: &AskedOf) -> bool {
    let Line::Frame(idx) = sold.line else {
        return false;
    };
    let frame = &job.frames[idx];
    let art: (Length, Length) = match frame.art {
        Outline::Rectangle { width, height } => (width, height),
        Outline::Regular { .. } => return false,
    };
    let AskedOf::Size(asked) = asked else {
        return false;
    };
    let (width, height) = (asked.width, asked.height);
    [(width, height), (height, width)].contains(&art)
        && asked.is_of(&job.mouldings[frame.moulding_idx], frame.mat.is_some())
}
