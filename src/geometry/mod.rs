//! Directions on the picture plane, plates and their placement, similarity fit.
//!
//! The frame, stated once: right-handed, origin at the nominal station point, z into the cabinet, y up. The
//! right-handed rule then leaves no choice for x: with y up and z pointing away from the viewer, **+x points to
//! the viewer's left** (x = y × z). Drawings of what the eye sees therefore run +x to the left.
//!
//! A *direction* is the pair of tangents (x/z, y/z) of a point seen from the station point. Differences of
//! directions are read as angles ("small-angle tangent measure"): a difference of 1 is 1 rad.

mod clearance;
mod edge;
mod plate;
mod similarity;
mod straight;
mod ways;

pub use clearance::segment_distance;
pub use edge::Edge;
pub use plate::{PlacedPlate, PlatePose};
pub use similarity::{FitSums, FitTargets, Similarity, SimilarityError};
pub use straight::{Straight, junction_gap_rad};
pub use ways::{crossing_place_mm, distance_from_way_mm, ways_cross};

/// A pair of lengths (mm) or tangents (no unit) across the axis.
pub type Pair = nalgebra::Vector2<f64>;
/// A point in the cabinet's frame, mm.
pub type Point = nalgebra::Vector3<f64>;
