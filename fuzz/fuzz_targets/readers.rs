//! One input to one of the readers, which its first byte picks; a panic is the only fault.
#![no_main]

use libfuzzer_sys::fuzz_target;
use sightdrift::scenario::{
    DrawingFormat, DrawingSettings, EXAMPLES, FigureSize, Scenario, SolidView, read_bench,
    read_drawing, read_explicit, read_scenario,
};
use std::sync::LazyLock;

fn no_files(_: &str) -> Result<String, String> {
    Err("no file is named".to_owned())
}

static BOAT: LazyLock<Scenario> =
    LazyLock::new(|| read_scenario("s.toml", EXAMPLES[1].text, &no_files).expect("shipped"));

fuzz_target!(|data: &[u8]| {
    let Some((reader, text)) = data.split_first() else {
        return;
    };
    let Ok(text) = std::str::from_utf8(text) else {
        return;
    };
    let settings = DrawingSettings {
        size: FigureSize::AsDrawn,
        flatten_mm: DrawingSettings::FLATTEN_MM,
        merge_mm: DrawingSettings::MERGE_MM,
        view: None,
    };
    match reader % 7 {
        0 => drop(read_scenario("s.toml", text, &no_files)),
        1 => drop(read_explicit("e.toml", text, &BOAT.plan)),
        2 => drop(read_bench(
            &[("b.csv".to_owned(), text.to_owned())],
            &BOAT.plan,
        )),
        3 => drop(read_drawing(DrawingFormat::Svg, "d.svg", text, &settings)),
        4 => drop(read_drawing(
            DrawingFormat::EdgeTable,
            "t.csv",
            text,
            &settings,
        )),
        5 => {
            let view = Some(SolidView {
                eye: [0.0, 0.0, 9.0],
                towards: [0.0; 3],
                up: [0.0, 1.0, 0.0],
            });
            let settings = DrawingSettings { view, ..settings };
            drop(read_drawing(DrawingFormat::Solid, "s.obj", text, &settings));
        }
        _ => {
            // a measured column beside a good scenario
            let measured = "[errors.plates]\nhole_scatter = { form = \"measured\", file = \"m.csv\", columns = [\"dx\", \"dy\"], unit = \"mm\" }\n[errors.rod]";
            let scenario = EXAMPLES[1].text.replacen("[errors.rod]", measured, 1);
            drop(read_scenario("s.toml", &scenario, &|_| Ok(text.to_owned())));
        }
    }
});
