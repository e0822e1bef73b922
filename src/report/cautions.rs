//! Cautions for the workshop: the usual ones, with their sources, deferring to local codes and licensed practice.

use super::words::figures;
use crate::figure::Plan;

/// One caution.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Caution {
    /// What it is about.
    pub about: &'static str,
    /// What to do.
    pub text: String,
    /// Where it comes from.
    pub source: &'static str,
}

/// Rods shorter than this can fit a small-parts cylinder.
const SMALL_PART_MM: f64 = 57.1;

/// The cautions for a design.
pub fn cautions(plan: &Plan) -> Vec<Caution> {
    let highest_n = plan
        .design
        .line
        .tension_n
        .iter()
        .copied()
        .fold(0.0, f64::max);
    let strength = plan.design.line.breaking_load_n.map_or_else(
        || "Its breaking load is not known here: ask the maker.".to_owned(),
        |breaking_n| {
            format!(
                "Tightest line {} N; a new line of this material and diameter breaks at about {} N, as little as half of that at a knot or a poor crimp.",
                figures(highest_n),
                figures(breaking_n)
            )
        },
    );
    let pull_n: f64 = plan.design.line.tension_n.iter().sum();
    let small_rods = (0..plan.edges.len())
        .filter(|rod| plan.rod_length_mm(*rod) < SMALL_PART_MM)
        .count();
    let small = if small_rods == 0 {
        format!("No rod is shorter than {SMALL_PART_MM} mm, but rods can break or be cut to less")
    } else {
        format!(
            "{small_rods} of {} rods are shorter than {SMALL_PART_MM} mm and, being thin, may fit a small-parts cylinder",
            plan.edges.len()
        )
    };
    vec![
        Caution {
            about: "Lines under tension",
            text: format!(
                "A line that breaks or slips its anchor whips. Wear eye protection whenever lines are tightened, cut or plucked; keep faces out of the plane of the lines; release tension slowly; keep a clear sheet between visitors and lines. {strength}"
            ),
            source: "Institute of Physics, teaching notes on stretched cords; recoil injuries: Curr. Opin. Ophthalmol. 13 (2002) 167",
        },
        Caution {
            about: "Load on plates and frame",
            text: format!(
                "All lines together pull about {} N on each plate, which the computation takes as stiff. Have plates, anchors and frame made for that load; a plate that gives slackens every line.",
                figures(pull_n)
            ),
            source: "sum of the tensions as pulled; the local code decides on strength",
        },
        Caution {
            about: "Wire ends, needles, pins and knives",
            text: "Turn wire ends in and cap them; pierce and cut away from hands, on a board; count needles out and in; nothing sharp may stand towards the peephole or within an eye's reach of it.".to_owned(),
            source: "common practice, no source",
        },
        Caution {
            about: "Children: small parts and cords",
            text: format!(
                "{small}: not for children under three. Long loose line can strangle: keep it out of reach, cut ends short, and let an adult thread and tighten."
            ),
            source: "16 CFR 1501 (small parts); EN 71-1, clause 5.4 (cords)",
        },
        Caution {
            about: "Heavy cabinets",
            text: "Anchor a standing cabinet against tipping, glaze with safety glass or acrylic, and have wall, ceiling and electrical fixings made and approved under the local code by people licensed for it.".to_owned(),
            source: "common practice, no source; the local code decides",
        },
        Caution {
            about: "Light",
            text: "No laser, no bare lamp and no sun on the line of sight through the peephole: the eye is fixed there and cannot turn away in time. Shade lamps from the peephole and let them cool out of reach.".to_owned(),
            source: "common practice, no source; IEC 62471 for lamps, IEC 60825-1 for lasers",
        },
        Caution {
            about: "Hygiene and reach",
            text: "Many eyes come to one hole: a stand-off plate that nobody touches, or cleaning with 70 % alcohol between visitors. Offer a second, lower peephole or a step: forward reach for a wheelchair user is 380 to 1220 mm above the floor.".to_owned(),
            source: "Furtwangen University (2020) on shared eyepieces; ADA Standards 2010, 308.2.1",
        },
    ]
}
