//! For how many standing visitors a peephole is too high.

use super::words::figures;
use crate::figure::Allowed;
use crate::sampling::Distribution;

/// Eye height of standing adults without shoes: who, mean, standard deviation, and shoes, mm. Source: S. Pheasant, Bodyspace
/// (British adults, as quoted on a university's anthropometry pages); shoes from memory.
const STANDING: [(&str, f64, f64, f64); 2] =
    [("women", 1505.0, 61.0, 45.0), ("men", 1630.0, 69.0, 25.0)];

/// A peephole lower than this is not one for standing adults, mm (chosen).
const LOWEST_MM: f64 = 1000.0;

/// Share of standing adults whose eyes are lower than a peephole at `height_mm` above the ground, women and men.
pub fn shares_with_lower_eyes(height_mm: f64) -> [f64; 2] {
    STANDING.map(|(_, mean, sd, shoes_mm)| {
        let mean = mean + shoes_mm;
        Distribution::Normal { mean, sd }.cumulative(height_mm)
    })
}

/// What the peephole's height means for visitors who stand; `None` where the height above the ground is not said, or the
/// peephole is too low for them.
pub(super) fn eye_height_sentence(allowed: &Allowed) -> Option<String> {
    let is_above_ground = allowed.said.contains("stands_at");
    let height_mm = allowed.eye_height_mm;
    if !is_above_ground || height_mm < LOWEST_MM {
        return None;
    }
    let [women, men] = shares_with_lower_eyes(height_mm).map(|share| figures(100.0 * share));
    Some(format!(
        "The peephole is {} mm above the ground: of standing British adults in shoes {women} % of the women and {men} % of the men have their eyes lower and need a step, the others stoop (S. Pheasant, Bodyspace; shoes from memory). Seated eyes are at some 1090 to 1295 mm (from memory): offer a second, lower peephole.",
        figures(height_mm)
    ))
}
