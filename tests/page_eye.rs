//! The numbers in the page with which the eye is moved: places are those that `see` tells, the builds are chosen by their
//! margins, and no name gets out of its string. That looks worked out from them are the program's is held by `.ci/page`.

mod binary;

use binary::{Folder, shipped, stderr};
use serde_json::Value;

const OPENING: &str = "<script type=\"application/json\" id=\"eye-data\">";

fn page_of(folder: &Folder, scenario: &str) -> String {
    folder.write("exhibit.toml", scenario);
    let output = folder.run(&["assess", "exhibit.toml", "--builds", "128", "--looks", "6"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    String::from_utf8(folder.read("reports/exhibit/report.html")).expect("UTF-8")
}

fn data_of(page: &str) -> Value {
    let start = page.find(OPENING).expect("the numbers are there") + OPENING.len();
    let length = page[start..].find("</script>").expect("they end");
    serde_json::from_str(&page[start..start + length]).expect("they are JSON")
}

fn see(folder: &Folder, arguments: &[&str]) -> Value {
    let mut all = vec!["see", "exhibit.toml", "--json"];
    all.extend(arguments);
    folder.json(&all)
}

/// Places of all rod ends, in order, as `see` tells them.
fn ends_seen(sight: &Value) -> Vec<Value> {
    let rods = sight["rods"].as_array().expect("rods");
    rods.iter()
        .flat_map(|rod| rod["ends"].as_array().expect("ends"))
        .map(|end| end["place_mm"].clone())
        .collect()
}

#[test]
fn places_in_the_page_are_those_that_see_tells() {
    let folder = Folder::new("page-places");
    let data = data_of(&page_of(&folder, &shipped("slack-windmill")));
    let builds = data["builds"].as_array().expect("builds");
    assert_eq!(builds.len(), 4);
    for build in builds {
        let sight = match build["build"].as_u64() {
            Some(number) => see(&folder, &["--trial", &number.to_string()]),
            None => see(&folder, &[]),
        };
        assert_eq!(
            build["ends_mm"].as_array().expect("ends"),
            &ends_seen(&sight)
        );
        assert_eq!(build["peephole_mm"], sight["peephole_mm"]);
    }
}

#[test]
fn the_builds_in_the_page_stand_in_the_order_of_their_margins() {
    let folder = Folder::new("page-order");
    let page = page_of(&folder, &shipped("desk-boat"));
    let data = data_of(&page);
    let numbers: Vec<u64> = data["builds"]
        .as_array()
        .expect("builds")
        .iter()
        .filter_map(|build| build["build"].as_u64())
        .collect();
    // six looks, nine of ten must hold: all six; the margin is that of the worst unclipped look
    let margin = |build: u64| -> f64 {
        let shares = (0..6).filter_map(|look| {
            let sight = see(
                &folder,
                &["--trial", &build.to_string(), "--look", &look.to_string()],
            );
            sight["worst"]["over_limit"].as_f64()
        });
        shares.reduce(f64::max).unwrap_or(f64::INFINITY)
    };
    let margins: Vec<f64> = (0..64).map(margin).collect();
    let [best, middle, worst] = numbers[..] else {
        panic!("three builds, not {numbers:?}");
    };
    let [best, middle, worst] = [best, middle, worst].map(|build| margins[build as usize]);
    assert!(
        margins
            .iter()
            .all(|margin| best <= *margin && *margin <= worst)
    );
    let better = margins.iter().filter(|margin| **margin < middle).count();
    let poorer = margins.iter().filter(|margin| **margin > middle).count();
    assert_eq!([better, poorer], [31, 32]);
}

#[test]
fn no_name_gets_out_of_its_string_in_the_page() {
    let folder = Folder::new("page-names");
    let nasty = "</script><!-- <script>x ]]> &";
    let kite = shipped("carton-kite");
    let first = kite.find("name = \"").expect("a vertex") + "name = \"".len();
    let name = &kite[first..first + kite[first..].find('"').expect("its end")];
    let plain = page_of(&folder, &kite);
    let clean = Folder::new("page-nasty-names");
    let page = page_of(
        &clean,
        &kite.replace(&format!("\"{name}\""), &format!("\"{nasty}\"")),
    );
    let count = |page: &str, what: &str| page.matches(what).count();
    for what in ["<script", "</script", "<!--"] {
        assert_eq!(count(&page, what), count(&plain, what), "{what}");
    }
    let told = data_of(&page).to_string();
    assert!(told.contains(nasty), "{told}");
}
