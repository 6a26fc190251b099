//! The tests of the whole program from outside, as one crate, so that the library is linked once.

#[macro_use]
#[path = "../../src/cases.rs"]
mod cases;

mod architecture;
mod browser;
mod buying;
mod certified;
mod chosen;
mod cli;
mod command;
mod covers;
mod crossed;
mod defects;
mod desk;
mod disk;
mod drawings;
#[expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]
#[path = "../../benches/drawn/frames.rs"]
mod drawn_frames;
mod estimate;
mod faulty;
mod files;
mod forged;
mod forms;
mod glass;
mod grain;
mod help;
mod jobs;
#[path = "../../benches/drawn/lehmer.rs"]
mod lehmer;
mod lists;
mod look;
mod lumber;
mod oracle;
mod outside;
mod page;
mod papers;
mod parts;
mod planfile;
mod program;
mod properties;
mod proportion;
mod quote;
mod rack;
mod replan;
mod resaw;
mod rip_oracle;
mod shop;
mod spare;
mod terminal;
mod texts;
mod truck;
mod turned;
mod verify;
mod yard;
