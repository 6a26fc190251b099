//! What a plan comes to, counted once for all that show it: boards, money, wood, what is left, cautions.

mod cautions;
mod chains;
mod rack;
mod rule_of_thumb;
mod sheet;
mod summary;
mod turning;

pub use cautions::{Caution, PUSH_STICK, SHORT_WORK, cautions};
pub use chains::Chains;
pub use rack::{NewPiece, rack_added, rack_left};
pub use rule_of_thumb::{RoughEstimate, nested_length, rule_of_thumb};
pub use sheet::*;
pub use summary::*;
pub use turning::*;
