//! Bad sheets from the bench: every mistake is told with its place, its text and what is allowed; all at once; nothing panics.

mod binary;

use binary::shipped;
use sightdrift::figure::{Bench, Family, Plan, all_measurands};
use sightdrift::report::{FilledSheet, bench_sheet_csv};
use sightdrift::scenario::{read_bench, read_scenario};
use sightdrift::trial::{Frames, taken};

fn boat() -> Plan {
    let no_files = |_: &str| Err("no file is named".to_owned());
    read_scenario("s.toml", &shipped("desk-boat"), &no_files)
        .expect("a shipped scenario")
        .plan
}

fn told(plan: &Plan, text: &str) -> String {
    match read_bench(&[("b.csv".to_owned(), text.to_owned())], plan) {
        Err(problems) => problems.to_string(),
        Ok(_) => panic!("nothing is wrong with {text}"),
    }
}

const HEADER: &str = "quantity,line,rod,at,value,x,y,unit,plus_minus,planned,remark";

/// A bad row, the column at which it is told (counted in characters), and what the message must hold.
const ROWS: &[(&str, usize, &[&str])] = &[
    (
        "frnt hole,bow,,,,1,2,,,,",
        1,
        &["unknown quantity `frnt hole`", "did you mean `front hole`?"],
    ),
    (
        "sideways,bow,,,,1,2,,,,",
        1,
        &[
            "unknown quantity `sideways`",
            "rod beside line",
            "picture perspective",
        ],
    ),
    (
        ",bow,,,,1,2,,,,",
        1,
        &["quantity is blank", "begin the line with #"],
    ),
    (
        "front hole,bwo,,,,1,2,,,,",
        12,
        &["no line has the name `bwo`", "did you mean `bow`?"],
    ),
    (
        "front hole,Mars,,,,1,2,,,,",
        12,
        &["no line has the name `Mars`", "gooseneck"],
    ),
    (
        "front hole,,,,,1,2,,,,",
        1,
        &["needs the name of a line", "mast-top"],
    ),
    (
        "seen middle,,dekc,,,1,2,,,,",
        14,
        &["no rod has the name `dekc`", "did you mean `deck`?"],
    ),
    (
        "seen middle,bow,deck,,,1,2,,,,",
        13,
        &["line is `bow`", "a rod as a whole"],
    ),
    (
        "seen end,bow,,,,1,2,,,,",
        1,
        &["needs the name of a rod", "forestay"],
    ),
    (
        "seen end,mast-top,deck,,,1,2,,,,",
        10,
        &["rod `deck` does not hang on line `mast-top`", "bow, stern"],
    ),
    (
        "tone,bow,deck,,400,,,,,,",
        10,
        &["rod is `deck`", "taken on a line"],
    ),
    (
        "peephole,bow,,,,0,0,,,,",
        10,
        &["line is `bow`", "the cabinet as a whole"],
    ),
    (
        "front hole,bow,,,,1,,,,,",
        19,
        &["x is `1`, but y is blank"],
    ),
    (
        "front hole,bow,,,,,2,,,,",
        20,
        &["y is `2`, but x is blank"],
    ),
    ("front hole,bow,,,5,,,,,,", 18, &["value is `5`", "x and y"]),
    (
        "tone,bow,,,,400,,,,,",
        13,
        &["x is `400`", "it goes into value"],
    ),
    (
        "tone,bow,,,,,400,,,,",
        14,
        &["y is `400`", "it goes into value"],
    ),
    (
        "front to rear plate,,,,380,20,,,,,",
        28,
        &["x is `20`, but y is blank", "both, or neither"],
    ),
    (
        "tone,bow,,,fast,,,,,,",
        12,
        &["value is `fast`, must be a number"],
    ),
    ("tone,bow,,,nan,,,,,,", 12, &["`nan`, must be a number"]),
    ("tone,bow,,,inf,,,,,,", 12, &["`inf`, must be a number"]),
    ("tone,bow,,,1e999,,,,,,", 12, &["`1e999`, must be a number"]),
    ("tone,bow,,,487 Hz,,,,,,", 12, &["`487 Hz`", "column unit"]),
    (
        "tone,bow,,,\"487,5\",,,,,,",
        12,
        &["`487,5`", "the decimal mark is a point"],
    ),
    (
        "tone,bow,,,\"1,487.5\",,,,,,",
        12,
        &["`1,487.5`", "not grouped"],
    ),
    (
        "tone,bow,,,0,,,,,,",
        12,
        &["value of tone is `0`, must be above 0"],
    ),
    ("tone,bow,,,-400,,,,,,", 12, &["`-400`, must be above 0"]),
    ("tension,bow,,,0,,,,,,", 15, &["`0`, must be above 0"]),
    (
        "front to rear plate,,,,-3,,,,,,",
        24,
        &["`-3`, must be above 0"],
    ),
    ("eye to peephole,,,,0,,,,,,", 20, &["`0`, must be above 0"]),
    (
        "end from front plate,bow,deck,,-1,,,,,,",
        32,
        &["`-1`, must be above 0"],
    ),
    (
        "drop,bow,,,500,,,,,,",
        12,
        &["`500`, must be less than the span"],
    ),
    (
        "front hole,bow,,,,1e7,2,,,,",
        19,
        &["`1e7`, beyond any bench"],
    ),
    (
        "front hole,bow,,,,1,2,N,,,",
        23,
        &["unit is `N`, which measures a force", "mm, cm"],
    ),
    (
        "front hole,bow,,,,1,2,furlong,,,",
        23,
        &["unit is `furlong`", "mm, cm"],
    ),
    (
        "front hole,bow,,,,1,2,px,,,",
        23,
        &["unit is `px`", "`front hole in picture`"],
    ),
    (
        "rear hole,bow,,,,1,2,px,,,",
        22,
        &["`rear hole in picture`"],
    ),
    (
        "front hole in picture,bow,,,,1,2,mm,,,",
        34,
        &["unit is `mm`", "`front hole on scan`"],
    ),
    (
        "seen end,bow,deck,,,1,2,cm,,,",
        25,
        &["unit is `cm`, but seen end is in px"],
    ),
    (
        "tone,bow,,,400,,,mm,,,",
        18,
        &["unit is `mm`, but tone is in Hz"],
    ),
    (
        "tension,bow,,,4,,,kg,,,",
        19,
        &["unit is `kg`", "N, mN, lbf"],
    ),
    (
        "front hole,bow,,,,1,2,,-0.1,,",
        24,
        &["plus_minus is `-0.1`, must be a number above 0"],
    ),
    (
        "front hole,bow,,,,1,2,,0,,",
        24,
        &["plus_minus is `0`, must be a number above 0"],
    ),
    (
        "front hole,bow,,,,1,2,,some,,",
        24,
        &["plus_minus is `some`"],
    ),
    (
        "front hole,bow,,,,1,2,,2 %,,",
        24,
        &["plus_minus is `2 %`", "of a single number"],
    ),
    (
        "tone,bow,,,400,,,,200 %,,",
        19,
        &["plus_minus is `200 %`", "under 100"],
    ),
    (
        "front hole,bow,,,,1,2,,1e-9,,",
        24,
        &["finer than any tool"],
    ),
    ("tone,bow,,,1e-300,,,,,,", 1, &["finer than any tool"]),
    (
        "drop,bow,,600,0.1,,,,,,",
        11,
        &["at is `600`", "under 380.0 mm"],
    ),
    ("drop,bow,,190,7.5,,,in,,,", 11, &["at is `190`"]),
    ("drop,bow,,0,0.1,,,,,,", 11, &["at is `0`"]),
    (
        "drop,bow,,far,0.1,,,,,,",
        11,
        &["at is `far`, must be a number"],
    ),
    (
        "tone,bow,,500,400,,,,,,",
        11,
        &["at is `500`", "no longer than the line"],
    ),
    (
        "front hole,bow,,5,,1,2,,,,",
        17,
        &["at is `5`, but front hole has no such place"],
    ),
    (
        "camera pupil,,,,wide,,,,,,",
        17,
        &["`wide`", "focal length over the f-number"],
    ),
    ("camera pupil,,,,-2,,,mm,,,", 17, &["`-2`", "above 0"]),
    (
        "picture perspective,,,,maybe,,,,,,",
        24,
        &["`maybe`, must be yes or no"],
    ),
    (
        "exhibit,,,,,boat,,,,,",
        13,
        &["x is `boat`", "goes into value"],
    ),
    (
        "exhibit,,,,a\u{1b}[31mred,,,,,,",
        12,
        &["value is `a\u{fffd}[31mred`"],
    ),
    (
        "note,,,,left\u{202e}thgir,,,,,,",
        9,
        &["value is `left\u{fffd}thgir`"],
    ),
    (
        "tone,bow,,,400,,,,,,a\u{7}b",
        21,
        &["remark is `a\u{fffd}b`"],
    ),
    (
        "tone,bow,,,400,,,,,,fine,more",
        26,
        &["`more` stands beyond the last column"],
    ),
    ("tone,\"bow,,,400,,,,,,", 6, &["never closed"]),
];

#[test]
fn every_kind_of_bad_row_is_told_with_its_place_and_its_text() {
    let plan = boat();
    assert!(ROWS.len() >= 40);
    for (row, column, expected) in ROWS {
        // a good row before it, a comment and a letter of two bytes: places are counted in lines and characters
        let text = format!("# é\n{HEADER}\nnote,,,,ünder,,,,,,\n\n{row}\n");
        let told = told(&plan, &text);
        assert!(
            told.starts_with(&format!("b.csv:5:{column}: ")),
            "{row}:\n{told}"
        );
        for words in *expected {
            assert!(told.contains(words), "{row}: no `{words}` in\n{told}");
        }
        let steers = |c: char| (c.is_control() && c != '\n') || c == '\u{202e}';
        assert!(!told.contains(steers), "{row}");
    }
    println!("{} kinds of bad rows told", ROWS.len());
}

#[test]
fn all_that_is_wrong_comes_out_at_once() {
    let plan = boat();
    // a quotation mark that is never closed hides what follows, so it stands alone
    let rows: Vec<&str> = ROWS
        .iter()
        .map(|(row, ..)| *row)
        .filter(|row| !row.contains(",\"bow"))
        .collect();
    let text = format!("{HEADER}\n{}\n", rows.join("\n"));
    let told = told(&plan, &text);
    for nth in 0..rows.len() {
        let place = format!("b.csv:{}:", nth + 2);
        assert!(told.contains(&place), "{place} {}", rows[nth]);
    }
    let files = [
        (
            "one.csv".to_owned(),
            format!("{HEADER}\ntone,bow,,,x,,,,,,\n"),
        ),
        (
            "two.csv".to_owned(),
            format!("{HEADER}\ntone,bow,,,400,,,,,,\n"),
        ),
        (
            "three.csv".to_owned(),
            format!("{HEADER}\nton,bow,,,400,,,,,,\n"),
        ),
    ];
    let told = read_bench(&files, &plan)
        .expect_err("two of them are bad")
        .to_string();
    assert!(
        told.contains("one.csv:2:12: ") && told.contains("three.csv:2:1: "),
        "{told}"
    );
    assert!(!told.contains("two.csv"), "{told}");
}

#[test]
fn headers_that_cannot_be_used_are_told() {
    let plan = boat();
    for (text, place, expected) in [
        ("", "b.csv:1:1", "the sheet is empty"),
        (
            "\u{feff}# only a comment\n",
            "b.csv:1:1",
            "the sheet is empty",
        ),
        ("tone,bow,400\n", "b.csv:1:1", "must name the columns"),
        (
            "quantity,line,x\nfront hole,bow,1\n",
            "b.csv:1:1",
            "has no `y`",
        ),
        ("quantity,line\ntone,bow\n", "b.csv:1:1", "has no `value`"),
        (
            "quantity,lien,value\ntone,bow,400\n",
            "b.csv:1:10",
            "did you mean `line`?",
        ),
        (
            "quantity,value,value\ntone,400,400\n",
            "b.csv:1:16",
            "two columns have the name `value`",
        ),
        (
            "quantity;plus_minsu;value\n",
            "b.csv:1:10",
            "did you mean `plus_minus`?",
        ),
        (
            "quantity,line,value\n",
            "b.csv:1:1",
            "no reading is filled in",
        ),
    ] {
        let told = told(&plan, text);
        assert!(
            told.starts_with(&format!("{place}: ")) && told.contains(expected),
            "{text:?}:\n{told}"
        );
    }
    assert!(read_bench(&[], &plan).is_err());
}

#[test]
fn the_same_thing_read_twice_must_agree_and_must_not_be_a_copy() {
    let plan = boat();
    let two = |first: &str, second: &str| {
        let files = [("a.csv", first), ("b.csv", second)];
        let files = files.map(|(name, row)| (name.to_owned(), format!("{HEADER}\n{row}\n")));
        read_bench(&files, &plan)
            .map(|read| read.notes)
            .map_err(|told| told.to_string())
    };
    // 4 × 0.05 × √2 = 0.283 mm
    let apart = two(
        "front hole,bow,,,,35,2,,,,",
        "front hole,bow,,,,35.29,2,,,,",
    );
    let apart = apart.expect_err("too far apart");
    assert!(
        apart.starts_with("b.csv:2:1: ") && apart.contains("a.csv:2"),
        "{apart}"
    );
    let near = two(
        "front hole,bow,,,,35,2,,,,",
        "front hole,bow,,,,35.28,2,,,,",
    )
    .expect("near enough");
    assert!(near[0].contains("both count"), "{near:?}");
    let copied = two("tone,bow,,,487.25,,,,,,", "tone,bow,,,487.25,,,,,,").expect_err("a copy");
    assert!(
        copied.contains("same to the last digit as in a.csv:2"),
        "{copied}"
    );
    // a drop in the middle is that of a drop without a place
    let middle = two("drop,bow,,190,0.1,,,,,,", "drop,bow,,,2,,,,,,").expect_err("the same place");
    assert!(middle.contains("standard deviations"), "{middle}");
    // other places are other things
    assert!(two("drop,bow,,190,0.1,,,,,,", "drop,bow,,100,2,,,,,,").is_ok());
    assert!(two("tone,bow,,190,400,,,,,,", "tone,bow,,,800,,,,,,").is_ok());
    let words = two(
        "exhibit,,,,one,,,,,,",
        "exhibit,,,,two,,,,,,\ntone,bow,,,400,,,,,,",
    );
    assert!(
        words.expect_err("two names").contains("said twice"),
        "two exhibits"
    );
    let kinds = two(
        "front hole on scan,bow,,,,35,2,,,,",
        "front hole in picture,bow,,,,350,200,,,,",
    );
    assert!(
        kinds
            .expect_err("a scan and a picture")
            .contains("one of the two")
    );
    let many: Vec<String> = (0..25)
        .map(|nth| format!("tone,bow,,,{},,,,,,", 487.0 + 0.1 * f64::from(nth)))
        .collect();
    let many = two(&many.join("\n"), "note,,,,x,,,,,,").expect_err("too many");
    assert!(many.contains("more than 20 times"), "{many}");
}

#[test]
fn a_sheet_of_another_scenario_is_told_as_such() {
    let names = ["nose", "left", "foot", "knot"];
    let rows: Vec<String> = names
        .iter()
        .chain(&names)
        .map(|name| format!("tone,{name},,,400,,,,,,"))
        .collect();
    let told = told(&boat(), &format!("{HEADER}\n{}\n", rows.join("\n")));
    assert!(
        told.starts_with("b.csv:1:1: most names of lines and rods"),
        "{told}"
    );
    // each unknown name is told, and not row by row for ever
    for name in names {
        assert!(told.contains(&format!("`{name}`")), "{name} in {told}");
    }
    assert!(
        told.matches("no line has the name").count() < rows.len(),
        "{told}"
    );
}

#[test]
fn what_is_too_large_is_refused() {
    let plan = boat();
    let rows = "tone,bow,,,,,,,,,\n".repeat(100_001);
    assert!(told(&plan, &format!("{HEADER}\n{rows}")).contains("more than 100000 rows"));
    let half = "tone,bow,,,,,,,,,\n".repeat(60_000);
    let files = ["a.csv", "b.csv"].map(|name| (name.to_owned(), format!("{HEADER}\n{half}")));
    let both = read_bench(&files, &plan).expect_err("too many").to_string();
    assert!(both.contains("more than 100000 rows"), "{both}");
    let padding = format!("{HEADER}\n#{}\n", " ".repeat(20_000_000));
    assert!(told(&plan, &padding).contains("bytes together"));
    // rubbish without end is told in part
    let rubbish = format!("{HEADER}\n{}", "rubbish,,,,,,,,,,\n".repeat(50_000));
    let rubbish = told(&plan, &rubbish);
    assert!(rubbish.contains("what follows was not looked at"));
    assert!(rubbish.lines().count() <= 1000);
}

#[test]
fn nothing_panics_on_a_sheet_cut_short_or_garbled() {
    let plan = boat();
    let [build, look] = [Family::Build, Family::Look].map(|family| plan.neutral_values(family));
    let mut bench = Bench::default();
    let all = all_measurands(&plan);
    let frames = Frames::plain(&plan);
    bench.readings =
        taken(&plan, &all, &bench, [&build, &look], &frames, Some(1)).expect("computable");
    use sightdrift::figure::{Plate, Quantity};
    bench.readings.retain(|reading| {
        !matches!(
            reading.of.quantity,
            Quantity::ScannedHole(Plate::Front) | Quantity::PicturedHole(Plate::Rear)
        )
    });
    let about = ["for a test".to_owned()];
    let filled = FilledSheet {
        bench: &bench,
        about: &about,
    };
    let text = bench_sheet_csv(&plan, "é", "s.toml", Some(&filled));
    let mut tried = 0;
    let mut read = 0;
    let mut attempt = |text: String| {
        tried += 1;
        let files = [("b.csv".to_owned(), text)];
        match read_bench(&files, &plan) {
            Ok(_) => read += 1,
            Err(told) => assert!(told.to_string().contains("b.csv:")),
        }
    };
    let step = text.len() / 500;
    for cut in (0..text.len())
        .step_by(step)
        .filter(|at| text.is_char_boundary(*at))
    {
        attempt(text[..cut].to_owned());
    }
    // every so many bytes one is turned into each of some that mean something, or has its bits flipped
    let body = text.find("quantity,").expect("a header");
    let step = (text.len() - body) / 170;
    for at in (body..text.len()).step_by(step) {
        for garbage in [b'"', b',', b';', b'\n', b'\r', b'#', b'-', 0, b'9'] {
            let mut bytes = text.clone().into_bytes();
            bytes[at] = garbage;
            attempt(String::from_utf8_lossy(&bytes).into_owned());
        }
        let mut bytes = text.clone().into_bytes();
        bytes[at] ^= 1 << (at % 8);
        attempt(String::from_utf8_lossy(&bytes).into_owned());
    }
    for odd in [
        "\"",
        ",",
        "\u{feff}",
        "\r",
        "\r\r\n",
        "quantity",
        "quantity,value\n\"\"\"",
        "#",
        "#\r",
        "quantity,value\n\u{0},\u{0}",
    ] {
        attempt(odd.to_owned());
    }
    println!("{tried} broken sheets tried, {read} of them could still be read, none panicked");
    assert!(tried > 2000, "{tried}");
}
