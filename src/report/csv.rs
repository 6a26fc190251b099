//! CSV tables: the rip list, the cut list, boards to take, rails by frame, sizes of every frame, sheets, offcuts, what is not used or missing;
//! ways of buying, what they depend on, the yard's list, other materials, what each frame costs.
//!
//! All values are exact. The rack (`rack_table`) is written as it is read; of the other tables:
//!
//! A length stands in two columns: in the job's unit as a decimal number (such as `length-in`), exact where it has a
//! finite decimal and else to nine places, which still tells every nanometer apart; and as whole nanometers
//! (`length-nm`).
//! In frames and sheets a polygon's side stands as its width, and its height is empty.
//! Amounts of money are decimal numbers in the currency that the column `currency` names.

mod cut_list;
mod plan_tables;
mod rack_table;
mod rows;
mod size_tables;
mod way_tables;

pub use cut_list::{cut_list_csv, open_cuts_csv};
pub use plan_tables::{
    boards_csv, missing_csv, not_used_csv, offcuts_csv, rails_csv, rip_list_csv,
};
pub use rack_table::rack_csv;
pub use size_tables::{frames_csv, sheets_csv};
pub use way_tables::{needs_csv, not_bought_csv, shares_csv, ways_csv, what_if_csv, yard_list_csv};

#[cfg(test)]
mod tests;
