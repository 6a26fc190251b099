//! Units of a job alone.
