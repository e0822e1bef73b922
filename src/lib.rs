//! sightdrift
pub mod decision;
pub mod figure;
pub mod geometry;
pub mod mechanics;
pub mod sampling;
pub mod statistics;
pub mod trial;
pub mod units;
pub mod vision;
pub mod report;
