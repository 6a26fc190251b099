//! Tables opened by a spreadsheet program.
