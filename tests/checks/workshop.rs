//! What the workshop gets: sizes of paper, holes in a cutter's file, length of line.

use super::super::support::dxf_pairs::DxfFile;
use super::{Answer, Inputs};
use sightdrift::decision::workshop::{Paper, line_need};
use sightdrift::report::{About, sheets_files};
use sightdrift::scenario::{Scenario, read_scenario};

pub fn run(check: &str, i: Inputs<'_>) -> Option<Answer<Vec<f64>>> {
    Some(match check {
        "paper_size" => paper(i).map(|paper| paper.size_mm().to_vec()),
        "holes_for_a_cutter" => holes_for_a_cutter(i),
        "line_needed" => line_needed(i),
        _ => return None,
    })
}

fn paper(i: Inputs<'_>) -> Answer<Paper> {
    let name = i.text("paper")?;
    Paper::named(name).ok_or(format!("no paper \"{name}\""))
}

fn scenario(text: &str) -> Answer<Scenario> {
    let no_files = |_: &str| Err("no file is named".to_owned());
    read_scenario("reference", text, &no_files).map_err(|told| told.to_string())
}

/// Right, up and radius of every hole in turn, as the DXF file has them, mm.
fn holes_for_a_cutter(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let name = i.text("scenario")?;
    let path = format!("{}/scenarios/{name}.toml", env!("CARGO_MANIFEST_DIR"));
    let text = std::fs::read_to_string(path).map_err(|error| error.to_string())?;
    let scenario = scenario(&text)?;
    let about = About {
        name: name.to_owned(),
        title: scenario.title.clone(),
        note: None,
        file: name.to_owned(),
        shell_file: name.to_owned(),
        sha256: scenario.sha256.clone(),
        grade: String::new(),
        command: String::new(),
        sources: Vec::new(),
        warnings: Vec::new(),
    };
    let made =
        sheets_files(&scenario.plan, None, &about, Paper::A4).map_err(|told| told.to_string())?;
    let wanted = format!("{}-pattern.dxf", i.text("plate")?);
    let found = made.files.into_iter().find(|(file, _)| *file == wanted);
    let (_, bytes) = found.ok_or(format!("no {wanted}"))?;
    let text = String::from_utf8(bytes).map_err(|error| error.to_string())?;
    let file = DxfFile::read(&text);
    let holes = file.on("HOLES").into_iter();
    Ok(holes
        .flat_map(|hole| [10, 20, 40].map(|code| hole.number(code)))
        .collect())
}

/// Feet of line for so many runs of one line through holes on a circle, in a carton.
fn line_needed(i: Inputs<'_>) -> Answer<Vec<f64>> {
    let count = i.count("runs")?;
    let circle_mm = i.number("circle_mm")?;
    let [front_mm, rear_mm] = i.list("plates_mm")?[..] else {
        return Err("two plates are needed".to_owned());
    };
    let mut vertices = Vec::new();
    for nth in 0..count {
        let turn = std::f64::consts::TAU * nth as f64 / count as f64;
        vertices.push(format!(
            "{{ name = \"v{nth}\", x = {}, y = {} }}",
            circle_mm * turn.cos(),
            circle_mm * turn.sin()
        ));
    }
    let order: Vec<String> = (0..count).map(|nth| format!("\"v{nth}\"")).collect();
    let text = format!(
        "title = \"carton\"\nwork = \"hand-pierced\"\n[figure]\npicture_plane = {rear_mm}\nvertices = [{}]\n[cabinet]\nfront_plate = {front_mm}\nrear_plate = {rear_mm}\nfront_hole = 0.6\nrear_hole = 0.6\n[peephole]\ndiameter = 6\neye_relief = 12\n[line]\nmaterial = \"nylon\"\ndiameter = 0.2\ntension = 3\nthreading = {{ order = [{}], friction = 0.2, tightened = \"each run\" }}\n[rods]\ndiameter = 2\nmaterial = \"bamboo\"\nlist = [{{ lines = [\"v0\", \"v1\"], depths = [{}, {}] }}]\n",
        vertices.join(", "),
        order.join(", "),
        0.3 * front_mm + 0.7 * rear_mm,
        0.4 * front_mm + 0.6 * rear_mm,
    );
    let need = line_need(&scenario(&text)?.plan);
    Ok(vec![need.total_mm / 304.8])
}
