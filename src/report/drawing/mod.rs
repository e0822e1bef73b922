//! Drawings of an assessment.
