//! CSV tables: the list to buy by, the resaw list, the rip list, the cut list, the order of sawing, labels, rails by frame, sizes of every frame, sheets and their cuts, what is cut of hardware, offcuts, what is not used or missing, the wood balance;
//! ways of buying, what they depend on, other materials, what each frame costs; what is asked for a job, and what frames may cost by their size.
//!
//! All values are exact. The racks (`rack_table`, and that of sheets), the list to buy by (`buying_list`) and the sizes of an estimate (`estimate_tables`) are written as they are read; of the other tables:
//!
//! A length stands in two columns: in the job's unit as a decimal number (such as `length-in`), exact where it has a
//! finite decimal and else to nine places, which still tells every nanometer apart; and as whole nanometers
//! (`length-nm`).
//! In frames and sheets a polygon's side stands as its width, and its height is empty; where it was told across its flats, so is
//! that in a column of its own.
//! Amounts of money are decimal numbers in the currency that the column `currency` names.

mod buying_list;
mod cut_list;
mod estimate_tables;
mod hardware_table;
mod label_tables;
mod plan_tables;
mod quote_tables;
mod rack_table;
mod rows;
mod saw_order;
mod sheet_tables;
mod size_tables;
mod way_tables;
mod wood;

pub use buying_list::buying_list_csv;
pub use cut_list::{cut_list_csv, open_cuts_csv};
pub use estimate_tables::{estimate_csv, estimated_costs_csv};
pub use hardware_table::hardware_cuts_csv;
pub use label_tables::{frame_labels_csv, labels_csv};
pub use plan_tables::{
    bench_rails_csv, missing_csv, not_used_csv, offcuts_csv, rails_csv, resaw_list_csv,
    rip_list_csv,
};
pub use quote_tables::{quote_costs_csv, quote_csv};
pub use rack_table::rack_csv;
pub(super) use rack_table::{defects_text, price_text};
pub use saw_order::saw_order_csv;
pub use sheet_tables::{sheet_cuts_csv, sheet_rack_csv, sheets_to_buy_csv};
pub use size_tables::{frames_csv, sheets_csv};
pub use way_tables::{needs_csv, not_bought_csv, shares_csv, ways_csv, what_if_csv};
pub use wood::wood_balance_csv;

#[cfg(test)]
mod tests;
