//! A checked plan on paper: what the bench works from, printed or on a tablet.
//!
//! Pure functions from counted facts and the document in the middle to text in HTML and SVG; nothing here touches files,
//! clock or network, and nothing is decided here but where on a page a thing stands.

pub mod svg;
