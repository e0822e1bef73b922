//! What a diagnosis tells: record, page, JSON, text, drawings, and the words for directions.

mod support;

use sightdrift::report::drawing::{diagnosis_drawings, record_drawing};
use sightdrift::report::{
    Diagnosed, advice_page_html, diagnosis_json, diagnosis_section, diagnosis_text, record_html,
};
use support::bench_case::{Case, case};

impl Case {
    fn told(&self) -> Diagnosed<'_> {
        Diagnosed {
            plan: &self.plan,
            bench: &self.bench,
            diagnosis: &self.diagnosis,
            run: &self.run,
            about: &self.about,
            put_right: &[],
            notes: &[],
        }
    }
}

#[test]
#[ignore]
fn scratch() {
    for name in [
        "carton-kite",
        "desk-boat",
        "gallery-bridge",
        "slack-windmill",
    ] {
        let case = case(name);
        let folder = std::path::PathBuf::from(std::env::var("SCRATCH").unwrap()).join(name);
        std::fs::create_dir_all(&folder).unwrap();
        let drawings = diagnosis_drawings(&case.plan, &case.bench, &case.diagnosis).unwrap();
        let small = record_drawing(&case.plan, &case.bench, &case.diagnosis).unwrap();
        for d in drawings.iter().chain(small.iter()) {
            std::fs::write(folder.join(format!("{}.png", d.name)), &d.png).unwrap();
        }
        let told = case.told();
        std::fs::write(
            folder.join("record.html"),
            record_html(&told, small.as_ref()),
        )
        .unwrap();
        let section = diagnosis_section(&told, &drawings);
        std::fs::write(
            folder.join("report.html"),
            advice_page_html(
                &case.about,
                "what spoiled this build?",
                &section,
                &case.plan,
                &case.run,
            ),
        )
        .unwrap();
        std::fs::write(
            folder.join("diagnosis.json"),
            serde_json::to_vec_pretty(&diagnosis_json(&told)).unwrap(),
        )
        .unwrap();
        std::fs::write(folder.join("text.txt"), diagnosis_text(&told)).unwrap();
    }
}
