//! The page to work at in a browser: pictures, buying, cutting and papers of a job, on the framer's own machine.
//!
//! One pure seam. What is known stands in a [`State`]: the texts of a job's files, the answer so far, the bench. [`show`] makes
//! a page of HTML of it, one for each [`View`]; [`act`] says what an [`Action`] comes to, which mostly is an [`Edit`] of texts.
//! The door that is opened to a browser, `cli::page`, has the files, the clock, the threads and the connection; it does as it is
//! told here and decides nothing. Whatever is done on the page is in the files, so that a command finds the same.
//!
//! # How to add a view
//! A case of [`View`] with its place and name, a file beside this one with a function from [`Work`] to HTML, a template, and a
//! line in `shell`.
//!
//! # How to add an action
//! A case of [`Action`], and its arm in [`act`], which gives an [`Outcome`]. In a template whatever has `data-do` does it:
//! - `<button data-do='{"undo":{}}'>` when it is pressed;
//! - `<input data-do='{"cell":{"file":"frames.csv","row":3,"column":"art-width"}}' data-as="to">` when what is typed has been
//!   still for a moment, or is left: the value, of a box whether it is ticked, becomes the field `to`;
//! - `<form data-do='…'>` when it is sent: each of its fields by its name, which is a way such as `answers.boards.0.length`.
//!
//! With `data-then` an address is gone to once it is done.
//!
//! After each action the script fetches the page of its own address again and takes over what differs, without losing the place,
//! the focus and what is being typed. Give what moves or comes and goes an `id`.

mod action;
mod answer;
mod bench;
mod bought;
mod cells;
mod desk;
mod guide;
mod marking;
mod papers;
mod past;
mod share;
mod shell;
mod start;
mod state;
mod yard;

pub use action::{Action, Edit, From, Outcome, Step, act};
pub use papers::{FILES, Of, is_open_to};
pub use past::Past;
pub use share::Share;
pub use shell::{View, show};
pub use state::{
    Answer, AtBench, Compared, Cutting, Found, Measurements, Opened, Search, State, Ways, Work,
    plan_folder,
};

/// The style of all views.
pub const STYLE: &str = include_str!("page.css");

/// The one script.
pub const SCRIPT: &str = include_str!("page.js");
