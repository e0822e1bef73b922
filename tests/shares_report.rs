//! Words, JSON and chart of the shares.

mod support;

use roxmltree::Document;
use sightdrift::decision::{RunPlan, SHARE_ROWS, ShareOutput, Shares, shares};
use sightdrift::figure::{Frame, Plan, Step};
use sightdrift::report::drawing::shares_drawing;
use sightdrift::report::{shares_json, shares_section, shares_sentences, shares_text};
use sightdrift::sampling::Sampling;
use sightdrift::scenario::{EXAMPLES, read_scenario};
use sightdrift::statistics::{IntervalMethod, Told};
use support::{lively_design, plain_design, with_hooks};

const RUN: RunPlan = RunPlan {
    seed: 11,
    builds: 40,
    looks: 4,
    half_width: None,
    level: 0.95,
    method: IntervalMethod::Wilson,
    sampling: Sampling::Plain,
};

fn shares_of(name: &str, rows: u64) -> Shares {
    let example = EXAMPLES.iter().find(|one| one.name == name).expect("there");
    let scenario =
        read_scenario(name, example.text, &|_| Err(String::new())).expect("a good example");
    with_hooks(|hooks| shares(&scenario.plan, &scenario.run, rows, hooks)).expect("whole")
}

/// Corners of the filled shapes of one colour, px.
fn fills(document: &Document, ink: &str) -> Vec<[f64; 4]> {
    document
        .descendants()
        .filter(|node| node.attribute("fill") == Some(ink) && node.has_attribute("points"))
        .map(|node| {
            let mut area = [
                f64::INFINITY,
                f64::INFINITY,
                f64::NEG_INFINITY,
                f64::NEG_INFINITY,
            ];
            for pair in node
                .attribute("points")
                .unwrap_or_default()
                .split_whitespace()
            {
                let (x, y) = pair.split_once(',').expect("a pair");
                let [x, y] = [x, y].map(|c| c.parse::<f64>().expect("a number") / 10.0);
                area = [
                    area[0].min(x),
                    area[1].min(y),
                    area[2].max(x),
                    area[3].max(y),
                ];
            }
            area
        })
        .collect()
}

/// Places of the faint upright lines, px.
fn fine_lines(document: &Document) -> Vec<f64> {
    let lines = document.descendants().filter(|node| {
        node.tag_name().name() == "polyline" && node.attribute("stroke") == Some("#ECECEC")
    });
    lines
        .filter_map(|node| {
            let (x, _) = node.attribute("points")?.split_once(',')?;
            Some(x.trim().parse::<f64>().ok()? / 10.0)
        })
        .collect()
}

fn all_text(document: &Document) -> String {
    let texts = document
        .descendants()
        .filter(|node| node.tag_name().name() == "text");
    texts
        .map(|node| {
            node.text()
                .unwrap_or_default()
                .trim()
                .replace('\u{A0}', " ")
                + "\n"
        })
        .collect()
}

#[test]
fn bars_are_as_long_as_first_order_indices_and_diamonds_stand_at_total_indices() {
    let shares = shares_of("gallery-bridge", 4096);
    let drawing = shares_drawing(&shares).expect("drawn");
    let document = Document::parse(&drawing.svg).expect("well-formed");
    // the key first, then panel by panel
    let bars = fills(&document, "#56B4E9");
    let diamonds = fills(&document, "#D55E00");
    let mut bars = bars[1..].iter();
    let mut diamonds = diamonds[2..].iter();
    // upright lines at 50 % and 100 % of each panel
    let grid = fine_lines(&document);
    assert_eq!(grid.len(), 2 * shares.outputs.len());
    for (one, grid) in shares.outputs.iter().zip(grid.chunks_exact(2)) {
        let found = one.found.as_ref().expect("shares");
        let px = 2.0 * (grid[1] - grid[0]);
        let left = grid[1] - px;
        for step in shares.ranked() {
            let group = &found.groups[step];
            if group.total_told() == Told::Nothing {
                continue;
            }
            let diamond = diamonds.next().expect("a diamond");
            let middle = (diamond[0] + diamond[2]) / 2.0;
            if group.first_told() == Told::FromZero {
                let bar = bars.next().expect("a bar");
                let off = bar[2] - bar[0] - px * group.first.estimate;
                assert!(off.abs() < 0.5, "{:?} {off}", one.output);
            }
            // places are rounded to 0.1 px, and the two lines with them
            let off = middle - left - px * group.total.estimate;
            assert!(off.abs() < 0.8, "{:?} {off}", one.output);
        }
        // the sum of the first-order indices
        bars.next().expect("a bar");
    }
    assert!(bars.next().is_none() && diamonds.next().is_none());
}

#[test]
fn the_chart_names_steps_outputs_units_and_the_visitors() {
    let shares = shares_of("gallery-bridge", 4096);
    let drawing = shares_drawing(&shares).expect("drawn");
    assert_eq!(
        [drawing.name, &drawing.title],
        ["shares", "What causes how much"]
    );
    let text = all_text(&Document::parse(&drawing.svg).expect("well-formed"));
    for step in &shares.steps {
        let star = if step.is_work() { "" } else { " *" };
        assert!(
            text.contains(&format!("{}{star}\n", step.words())),
            "{text}"
        );
    }
    for words in [
        "drift",
        "gap",
        "deciding fault",
        "failures",
        "share of the variance, %",
        "cannot be told from zero",
        "left to interactions",
        "95 % intervals",
    ] {
        assert!(text.contains(words), "{words}: {text}");
    }
    let caption = drawing.caption.replace('\u{A0}', " ");
    assert!(caption.contains("4096 pairs of builds"), "{caption}");
}

#[test]
fn words_say_which_care_pays_and_what_it_assumes() {
    let shares = shares_of("desk-boat", SHARE_ROWS);
    let sentences = shares_sentences(&shares);
    assert!(
        sentences[0].starts_with("Which care pays: "),
        "{sentences:?}"
    );
    let ranked = shares.ranked_for(ShareOutput::Margin).into_iter();
    let most = ranked
        .map(|nth| shares.steps[nth])
        .find(|step| step.is_work())
        .expect("work");
    assert!(sentences[0].contains(most.words()));
    assert!(sentences[1].starts_with("With the visitor comes: the eye off"));
    let text = shares_text(&shares).replace('\u{a0}', " ");
    for words in [
        "cannot be told from zero",
        "next to nothing (under 1 % in all)",
        "left to interactions",
        "425 984 builds × 16 looks",
        "such as sag by weight",
        "The visitor's eye and acuity are among the steps",
        "95 % each by itself",
    ] {
        assert!(text.contains(words), "{words}\n{text}");
    }
    assert!(!text.contains("-0") && !text.contains("\u{2212}0 ") && !text.contains("NaN"));
    let drawing = shares_drawing(&shares).expect("drawn");
    let page = shares_section(&shares, &drawing).into_string();
    let page = page.replace('\u{a0}', " ");
    for words in [
        &sentences[0],
        "first-order index",
        "total index",
        "nothing: no build changed",
        "Largest gap in the first look",
        "<svg",
    ] {
        assert!(page.contains(&words.replace('\u{a0}', " ")), "{words}");
    }
}

#[test]
fn where_all_builds_fail_no_care_is_said_to_pay() {
    let shares = shares_of("slack-windmill", 2048);
    let text = shares_text(&shares);
    assert!(!text.contains("Which care pays"), "{text}");
    assert!(text.contains("All or nearly all builds fail"));
    assert!(text.contains("they count as 10 × limit"));
    assert!(text.contains("of the rows are not in the shares of drift and gap"));
    let drawing = shares_drawing(&shares).expect("drawn");
    let words = all_text(&Document::parse(&drawing.svg).expect("well-formed"));
    assert!(words.contains("all builds fail"));
    let json = shares_json(&shares);
    assert_eq!(json["outputs"][3]["output"], "failure");
    assert!(json["outputs"][3]["no_shares_because"].is_string());
}

#[test]
fn json_holds_every_step_with_both_indices_and_what_can_be_told() {
    let shares = shares_of("carton-kite", 2048);
    let json = shares_json(&shares);
    for (one, in_file) in shares
        .outputs
        .iter()
        .zip(json["outputs"].as_array().expect("list"))
    {
        assert_eq!(in_file["output"], one.output.name());
        let Ok(found) = &one.found else { continue };
        let steps = in_file["steps"].as_array().expect("list");
        assert_eq!(steps.len(), shares.steps.len());
        for (step, (group, in_file)) in shares.steps.iter().zip(found.groups.iter().zip(steps)) {
            assert_eq!(in_file["step"], step.name());
            assert_eq!(in_file["total"]["estimate"], group.total.estimate);
            assert_eq!(
                in_file["first_order"]["interval"][1],
                group.first.interval[1]
            );
            assert!(in_file["total"]["told"].is_string());
        }
    }
    assert_eq!(json["ranked"][0], shares.steps[shares.ranked()[0]].name());
}

#[test]
fn nothing_to_share_out_is_said_everywhere() {
    let still = |rows| {
        let plan = Plan::new(plain_design(Frame::Fixed));
        with_hooks(|hooks| shares(&plan, &RUN, rows, hooks)).expect("whole")
    };
    for shares in [still(2048), still(64), still(0)] {
        let drawing = shares_drawing(&shares).expect("drawn");
        assert!(drawing.caption.starts_with("There is nothing to share out"));
        assert!(shares_text(&shares).contains("Which care pays cannot be told"));
        let page = shares_section(&shares, &drawing).into_string();
        assert!(page.contains("Which care pays cannot be told"));
        assert!(shares_json(&shares)["ranked_by"].is_null());
    }
    // enough rows to vary, but too few builds of either kind
    let plan = Plan::new(
        lively_design(Frame::Fixed).with_scaled(&Step::ALL.map(Step::sources).concat(), 1e-3),
    );
    let quiet = with_hooks(|hooks| shares(&plan, &RUN, 2048, hooks)).expect("whole");
    assert!(shares_text(&quiet).contains("Which care pays: "));
}
