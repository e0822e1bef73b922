//! Taut lines: sag under weight and rods, tension along the threading, materials and tools with sources; what a machined
//! length may miss.

mod hole_tools;
mod machined;
mod materials;
mod sag;
mod threading;
mod tone;

pub use hole_tools::{HoleTool, PLAINNESS_WORDS, Preferred, R20, ToolKind, hole_tools, preferred};
pub use machined::ToleranceClass;
pub use materials::{LineMaterial, RodMaterial, STANDARD_GRAVITY_M_PER_S2};
pub use sag::{
    LARGEST_SAG_SHARE, LoadedSpan, PointLoad, STEEPEST_LINE_DEG, sag_of_catenary_mm,
    sag_of_parabola_mm,
};
pub use threading::{
    Crossing, PulledAt, Tightening, bend_rad, crossings, pull_directions, tension_after_bend_n,
    tension_shares,
};
pub use tone::{tension_of_tone_n, tone_hz};
