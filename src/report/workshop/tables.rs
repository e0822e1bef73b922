//! What the workshop's tables hold: holes, cut list, places of the rods' ends, lines, threading order, material.

use super::Spread;
use super::flow::{Block, Column};
use crate::decision::workshop::{
    END_ALLOWANCE_MM, Outline, Paper, RESERVE, cut_rods, line_need, nearest_tool, runs,
    threaded_runs, tied_ends,
};
use crate::figure::{Allowed, Plan, Plate};
use crate::mechanics::STANDARD_GRAVITY_M_PER_S2;
use crate::report::nominal::lines as line_figures;
use crate::report::words::figures;

const INCH_MM: f64 = 25.4;
const FOOT_MM: f64 = 12.0 * INCH_MM;

/// What follows from where the front plate stands: every rod lies between its holes, as seen from the peephole.
pub(super) const SEEN_THROUGH: &str = "of clear sheet (acrylic, polycarbonate, stiff film), since all of the figure is seen through it";

/// A small length in millimetres without needless zeros: at most two decimals.
pub(super) fn length_text(mm: f64) -> String {
    let text = format!("{mm:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0" } else { text }.to_owned()
}

/// A length to be measured with a ruler: to a tenth of a millimetre.
pub(super) fn ruler_mm(mm: f64) -> String {
    let text = format!("{mm:.1}");
    if text == "-0.0" {
        "0.0".to_owned()
    } else {
        text
    }
}

/// The same in inches, to a hundredth.
pub(super) fn ruler_in(mm: f64) -> String {
    format!("{:.2}", mm / INCH_MM)
}

/// With what a hole of this diameter is made.
pub(super) fn tool_words(hole_mm: f64) -> String {
    match nearest_tool(hole_mm) {
        Some(tool) if (tool.diameter_mm - hole_mm).abs() < 0.005 => tool.words(),
        Some(tool) => format!(
            "nearest: {}, {} mm",
            tool.words(),
            length_text(tool.diameter_mm)
        ),
        None if hole_mm < 1.5 => format!("pin or drill of {} mm", length_text(hole_mm)),
        None => "cut out".to_owned(),
    }
}

/// All tables, with what is to be said about them.
pub(super) fn blocks(
    plan: &Plan,
    allowed: Option<&Allowed>,
    paper: Paper,
    spreads: &[Spread; 2],
    notes: &[String],
) -> Vec<Block> {
    let mut blocks = Vec::new();
    for note in notes {
        blocks.push(Block::Paragraph(format!("Note: {note}.")));
    }
    cut_list(plan, &mut blocks);
    depths(plan, &mut blocks);
    lines(plan, &mut blocks);
    threading(plan, &mut blocks);
    holes(plan, spreads, &mut blocks);
    material(plan, allowed, paper, spreads, &mut blocks);
    blocks
}

fn cut_list(plan: &Plan, blocks: &mut Vec<Block>) {
    let design = &plan.design;
    blocks.push(Block::Heading("Cut list of rods".to_owned()));
    blocks.push(Block::Paragraph(format!(
        "“Line to line” is the straight length between the rod’s two lines. “Cut to” adds {} mm (1/4 in) at each end for a bent tab or a tie (common practice, no source). Mark the two places of the ties on the rod: they are “line to line” apart. Ends that cannot be bent away are trimmed flush at their ties once the rod hangs: what stands out past a line is seen past its vertex, and may touch the next rod.",
        length_text(END_ALLOWANCE_MM)
    )));
    let rows = cut_rods(plan)
        .into_iter()
        .map(|cut| {
            let rod = &design.rods[cut.rod];
            let [first, second] = rod.ends.map(|end| design.vertices[end.line].name.clone());
            vec![
                rod.name.clone(),
                first,
                second,
                length_text(rod.diameter_mm),
                ruler_mm(cut.between_lines_mm),
                ruler_mm(cut.cut_mm),
                ruler_in(cut.cut_mm),
            ]
        })
        .collect();
    blocks.push(Block::Table {
        columns: vec![
            Column::words("rod", 3.2),
            Column::words("from line", 2.2),
            Column::words("to line", 2.2),
            Column::number("thickness\nmm", 1.3),
            Column::number("line to line\nmm", 1.5),
            Column::number("cut to\nmm", 1.3),
            Column::number("cut to\nin", 1.2),
        ],
        rows,
    });
}

fn depths(plan: &Plan, blocks: &mut Vec<Block>) {
    let design = &plan.design;
    blocks.push(Block::Heading(
        "Where each rod’s end is tied on its line".to_owned(),
    ));
    blocks.push(Block::Paragraph(
        "Measure from the line’s hole in the rear plate along the tight line, or straight along the axis from the plate (a square stood on it); from the front plate as a check. Plates are taken as thin: start at the face towards the rods, where the line leaves its hole. On each line the end nearest to the rear plate comes first.".to_owned(),
    ));
    let rows = tied_ends(plan)
        .into_iter()
        .map(|tied| {
            vec![
                design.vertices[tied.line].name.clone(),
                design.rods[tied.rod].name.clone(),
                ruler_mm(tied.from_rear_along_line_mm),
                ruler_in(tied.from_rear_along_line_mm),
                ruler_mm(tied.from_rear_along_axis_mm),
                ruler_mm(tied.from_front_along_line_mm),
                ruler_mm(tied.from_front_along_axis_mm),
            ]
        })
        .collect();
    blocks.push(Block::Table {
        columns: vec![
            Column::words("on line", 2.2),
            Column::words("end of rod", 3.2),
            Column::number("from rear plate\nalong line, mm", 1.9),
            Column::number("the same\nin", 1.2),
            Column::number("from rear plate\nalong axis, mm", 1.9),
            Column::number("from front plate\nalong line, mm", 1.9),
            Column::number("from front plate\nalong axis, mm", 1.9),
        ],
        rows,
    });
}

fn lines(plan: &Plan, blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading("Lines and their tension".to_owned()));
    if plan.design.tension_is_shared() {
        blocks.push(Block::Paragraph(
            "The one line is pulled only at its end, to the tension given here; friction at every bend takes some of it, and what a run keeps (by the capstan relation, a model) is in the last column.".to_owned(),
        ));
    }
    blocks.push(Block::Paragraph(
        "“It keeps” is what is left after the loss over the holes and after the line has slackened as far as it does on average: tighten again after a day. The tone is that of the bare line at what it keeps, plucked between the plates before rods hang on it.".to_owned(),
    ));
    let kept = line_figures(plan);
    let rows = runs(plan)
        .into_iter()
        .map(|run| {
            let kept = &kept[run.line];
            vec![
                plan.design.vertices[run.line].name.clone(),
                ruler_mm(run.length_mm),
                ruler_in(run.length_mm),
                figures(run.tension_n),
                figures(run.tension_n / STANDARD_GRAVITY_M_PER_S2),
                figures(kept.tension_n),
                kept.tone_hz.map_or_else(|| "none".to_owned(), figures),
            ]
        })
        .collect();
    blocks.push(Block::Table {
        columns: vec![
            Column::words("line", 3.0),
            Column::number("hole to hole\nmm", 2.0),
            Column::number("hole to hole\nin", 2.0),
            Column::number("pull it to\nN", 2.0),
            Column::number("as a hung weight\nkg", 2.0),
            Column::number("it keeps\nN", 1.6),
            Column::number("tone\nHz", 1.4),
        ],
        rows,
    });
}

fn threading(plan: &Plan, blocks: &mut Vec<Block>) {
    let runs = threaded_runs(plan);
    if runs.is_empty() {
        return;
    }
    blocks.push(Block::Heading("Threading order of the one line".to_owned()));
    let rows = runs
        .iter()
        .enumerate()
        .map(|(nth, run)| {
            let name = |line: usize| plan.design.vertices[line].name.clone();
            let leaves = run.enters.other().word();
            let next = match (run.crossing_mm, runs.get(nth + 1)) {
                (Some(crossing_mm), Some(next)) => format!(
                    "over the {leaves} plate’s outside to {}, {} mm",
                    name(next.line),
                    ruler_mm(crossing_mm)
                ),
                _ => format!("to the anchor at the {leaves} plate"),
            };
            vec![
                (nth + 1).to_string(),
                name(run.line),
                format!("{} to {leaves}", run.enters.word()),
                next,
            ]
        })
        .collect();
    blocks.push(Block::Table {
        columns: vec![
            Column::words("run", 0.8),
            Column::words("through the holes of", 2.4),
            Column::words("from plate to plate", 2.2),
            Column::words("then", 6.0),
        ],
        rows,
    });
}

fn holes(plan: &Plan, spreads: &[Spread; 2], blocks: &mut Vec<Block>) {
    blocks.push(Block::Heading("Holes, from the axis".to_owned()));
    let described = Plate::BOTH.map(|plate| {
        let hole_mm = plan.design.plates[plate.index()].hole_mm;
        format!(
            "{} plate: {} mm ({})",
            plate.word(),
            length_text(hole_mm),
            tool_words(hole_mm)
        )
    });
    blocks.push(Block::Paragraph(format!(
        "Diameters: {}. Places as seen from the peephole: right and up are positive, left and down negative; to check a pattern, or to mark a plate by a square where no printer is at hand.",
        described.join("; ")
    )));
    let rows = plan.design.vertices.iter().enumerate();
    let rows = rows
        .map(|(line, vertex)| {
            let mut row = vec![vertex.name.clone()];
            for spread in spreads {
                let place = spread.pattern.places_mm[line];
                row.extend([place.x, place.y].map(ruler_mm));
            }
            row
        })
        .collect();
    blocks.push(Block::Table {
        columns: vec![
            Column::words("hole of line", 3.0),
            Column::number("front plate\nright, mm", 2.0),
            Column::number("front plate\nup, mm", 2.0),
            Column::number("rear plate\nright, mm", 2.0),
            Column::number("rear plate\nup, mm", 2.0),
        ],
        rows,
    });
}

fn material(
    plan: &Plan,
    allowed: Option<&Allowed>,
    paper: Paper,
    spreads: &[Spread; 2],
    blocks: &mut Vec<Block>,
) {
    let design = &plan.design;
    let need = line_need(plan);
    blocks.push(Block::Heading("What to get".to_owned()));
    let mut rows = Vec::new();
    let mut row = |what: String, how_much: String, note: String| {
        rows.push(vec![what, how_much, note]);
    };
    row(
        format!(
            "line: {}, {} mm",
            design.line.material.unwrap_or("as in the scenario"),
            length_text(design.line.diameter_mm)
        ),
        format!(
            "{:.1} m ({:.1} ft)",
            need.total_mm / 1e3,
            need.total_mm / FOOT_MM
        ),
        format!(
            "runs {:.1} m, over plates {:.1} m, {} anchors {:.1} m, reserve {:.0} %",
            need.runs_mm / 1e3,
            need.crossings_mm / 1e3,
            need.anchors,
            need.anchors_mm / 1e3,
            100.0 * RESERVE
        ),
    );
    for (diameter_mm, g_per_m, count, total_mm) in rod_kinds(plan) {
        row(
            format!(
                "rods: {} mm, {} g/m",
                length_text(diameter_mm),
                figures(g_per_m)
            ),
            format!("{:.2} m ({:.1} ft)", total_mm / 1e3, total_mm / FOOT_MM),
            format!("{count} rods as cut, without kerfs and offcuts"),
        );
    }
    if let Some(allowed) = allowed {
        let [width, height, depth] = allowed.inside_mm.map(length_text);
        row(
            "cabinet, inside".to_owned(),
            format!("{width} × {height} × {depth} mm"),
            format!(
                "width, height, depth from the peephole’s plate ({} × {} × {} in); peephole {} mm from the left wall and {} mm above the floor, as the visitor sees it{}",
                ruler_in(allowed.inside_mm[0]),
                ruler_in(allowed.inside_mm[1]),
                ruler_in(allowed.inside_mm[2]),
                length_text(allowed.axis_mm[0]),
                length_text(allowed.axis_mm[1]),
                if allowed.said.contains("stands_at") {
                    format!(
                        "; floor {} mm above the ground",
                        length_text(allowed.floor_mm())
                    )
                } else {
                    String::new()
                }
            ),
        );
    }
    for spread in spreads {
        let pattern = &spread.pattern;
        let size = pattern.outline_mm.size_mm();
        let is = match pattern.outline {
            Outline::Cabinet => "fills the cabinet’s inside",
            Outline::Suggested | Outline::BeyondCabinet => "suggested",
        };
        let seen_through = match pattern.plate {
            Plate::Front => format!("; {SEEN_THROUGH}"),
            Plate::Rear => String::new(),
        };
        row(
            format!("{} plate", pattern.plate.word()),
            format!("{} × {} mm", length_text(size.x), length_text(size.y)),
            format!("{is}; stiff enough for all lines’ pull (see cautions){seen_through}"),
        );
        row(
            format!("holes in it: {} mm", length_text(spread.pattern.hole_mm)),
            spread.pattern.places_mm.len().to_string(),
            tool_words(spread.pattern.hole_mm),
        );
    }
    row(
        format!("peephole: {} mm", length_text(design.peephole.diameter_mm)),
        "1".to_owned(),
        tool_words(design.peephole.diameter_mm),
    );
    let sheets: usize = spreads
        .iter()
        .filter_map(|spread| spread.tiling.as_ref().ok())
        .map(|tiling| tiling.tiles.len())
        .sum();
    row(
        format!("paper: {}", paper.words()),
        format!("{sheets} sheets"),
        "for the patterns".to_owned(),
    );
    blocks.push(Block::Table {
        columns: vec![
            Column::words("what", 3.0),
            Column::words("how much", 2.2),
            Column::words("note", 5.6),
        ],
        rows,
    });
    blocks.push(Block::Paragraph(
        "A laser cutter takes away its beam’s width: set that width in its own program, the drawings hold the finished holes. Each anchor takes 4 to 6 in of line, of which the larger is counted. That, the reserve and the allowances are common practice, no source.".to_owned(),
    ));
}

/// Rods of one thickness and weight together: diameter, mm; g/m; how many; length as cut, mm; in the design's order.
pub(super) fn rod_kinds(plan: &Plan) -> Vec<(f64, f64, usize, f64)> {
    let mut kinds: Vec<(f64, f64, usize, f64)> = Vec::new();
    for cut in cut_rods(plan) {
        let rod = &plan.design.rods[cut.rod];
        let of = (rod.diameter_mm, rod.mass_kg_per_m * 1e3);
        match kinds.iter_mut().find(|kind| (kind.0, kind.1) == of) {
            Some(kind) => {
                kind.2 += 1;
                kind.3 += cut.cut_mm;
            }
            None => kinds.push((of.0, of.1, 1, cut.cut_mm)),
        }
    }
    kinds
}
