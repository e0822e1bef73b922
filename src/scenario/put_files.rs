//! Names the files of a scenario's measured distributions anew, for a scenario that is written into another folder.

use super::put::NotPut;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// `text` with every file that a measured distribution names under the name that `named` gives it; where it gives none, the name
/// stays. All else stays as it is, with its comments.
///
/// # Errors
/// [`NotPut`] where the text is no TOML.
pub fn put_files(text: &str, named: &dyn Fn(&str) -> Option<String>) -> Result<String, NotPut> {
    let mut places = Vec::new();
    {
        let document =
            DeTable::parse(text).map_err(|error| NotPut::Unreadable(error.message().to_owned()))?;
        in_table(document.get_ref(), &mut places);
    }
    // from the last to the first, so that those before keep their places
    places.sort_by_key(|(place, _)| std::cmp::Reverse(place.start));
    let mut text = text.to_owned();
    for (place, name) in places {
        if let Some(name) = named(&name) {
            text.replace_range(place, &toml::Value::String(name).to_string());
        }
    }
    Ok(text)
}

fn in_table(table: &DeTable<'_>, places: &mut Vec<(Range<usize>, String)>) {
    let word = |key: &str| {
        let value: &Spanned<DeValue<'_>> = table.get(key)?;
        Some((value.span(), value.get_ref().as_str()?.to_owned()))
    };
    if word("form").is_some_and(|(_, form)| form == "measured") {
        places.extend(word("file"));
    }
    table
        .values()
        .for_each(|value| in_value(value.get_ref(), places));
}

fn in_value(value: &DeValue<'_>, places: &mut Vec<(Range<usize>, String)>) {
    if let Some(table) = value.as_table() {
        in_table(table, places);
    }
    for value in value.as_array().into_iter().flatten() {
        in_value(value.get_ref(), places);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_files_of_measured_distributions_are_named_anew() {
        let text = r#"title = "file" # file = "a.csv"
[errors.rod]
slip = { form = "measured", file = "a.csv", columns = ["s"], unit = "mm" } # why
[errors.plates.hole_scatter]
file = 'sub\b.csv'
form = "measured"
[[ways]]
rod.tie.form = "measured"
rod.tie.file = "c.csv"
other = { form = "normal", file = "a.csv" }
"#;
        let named = |name: &str| (name != "c.csv").then(|| format!("../\"{name}"));
        let found = put_files(text, &named).expect("TOML");
        let meant = text
            .replacen(
                "file = \"a.csv\", columns",
                "file = '../\"a.csv', columns",
                1,
            )
            .replacen("'sub\\b.csv'", "'../\"sub\\b.csv'", 1);
        assert_eq!(found, meant);
        assert!(put_files("a = ", &named).is_err());
    }
}
