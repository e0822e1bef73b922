//! Files out: drawings, page, JSON, CSV.

pub mod drawing;
