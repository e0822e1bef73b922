//! sightdrift
pub mod decision;
pub mod figure;
pub mod geometry;
pub mod mechanics;
pub mod report;
pub mod sampling;
pub mod scenario;
pub mod statistics;
pub mod trial;
pub mod units;
pub mod vision;
