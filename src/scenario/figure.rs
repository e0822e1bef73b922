//! The figure and its rods in a scenario file.

use super::problem::{is_unseen, listed, nearest, quoted};
use super::table::{At, Table};
use crate::figure::{Rod, RodEnd, Stock, Vertex};
use crate::geometry::Pair;
use crate::mechanics::RodMaterial;
use crate::units::Kind;
use std::collections::HashMap;
use std::ops::Range;

/// Most vertices (lines) of one figure.
pub(super) const MOST_VERTICES: usize = 1000;
/// Most rods of one figure.
pub(super) const MOST_RODS: usize = 2000;

/// What the `[figure]` table says.
pub(super) struct FigureRead {
    pub vertices: Vec<Vertex>,
    pub spans: Vec<Range<usize>>,
    pub picture_plane_mm: f64,
    /// Whether every vertex could be read; if not, the names are good and the places are not.
    pub whole: bool,
}

/// Reads `[figure]`.
pub(super) fn read_figure(top: &Table<'_>) -> Option<FigureRead> {
    let table = top.table("figure");
    if !table.is_there() {
        top.missing(
            "figure",
            "a table [figure] with `picture_plane` and `vertices`",
        );
        return None;
    }
    let picture_plane = table.needed_positive("picture_plane", Kind::Length);
    let x_points_left = table
        .choice("x_points", &[("left", true), ("right", false)])
        .is_none_or(|choice| choice.value);
    let list = table.array("vertices");
    if list.is_none() && table.get_named("vertices").is_none() {
        table.missing("vertices", "a list of { name, x, y }");
    }
    let mut read = FigureRead {
        vertices: Vec::new(),
        spans: Vec::new(),
        picture_plane_mm: picture_plane.as_ref().map_or(1.0, |plane| plane.value),
        whole: picture_plane.is_some(),
    };
    let mut first_of_name: HashMap<String, usize> = HashMap::new();
    if let Some(list) = list {
        if list.value.len() < 2 || list.value.len() > MOST_VERTICES {
            table.problems.tell(
                &list.span,
                format!(
                    "[figure] has {} vertices, must have 2 to {MOST_VERTICES}",
                    list.value.len()
                ),
                None,
            );
            return None;
        }
        for element in list.value {
            let Some(vertex) = table.as_table("vertices", element) else {
                table.wrong_type("vertices", element, "a table { name, x, y }");
                read.whole = false;
                continue;
            };
            let name = read_name(&vertex);
            let x = needed(&vertex, "x");
            let y = needed(&vertex, "y");
            let span = vertex.span.clone();
            vertex.finish();
            read.whole &= x.is_some() && y.is_some();
            let Some(name) = name else {
                read.whole = false;
                continue;
            };
            if first_of_name
                .insert(name.value.to_owned(), read.vertices.len())
                .is_some()
            {
                table.problems.tell(
                    &name.span,
                    format!("two vertices have the name {}", quoted(name.value)),
                    Some(
                        "every vertex is one line, and each line needs a name of its own"
                            .to_owned(),
                    ),
                );
                read.whole = false;
            }
            let (x, y) = (x.unwrap_or(0.0), y.unwrap_or(0.0));
            let place = Pair::new(if x_points_left { x } else { -x }, y);
            read.vertices.push(Vertex {
                name: name.value.to_owned(),
                direction: place / read.picture_plane_mm,
            });
            read.spans.push(span);
        }
        if read.whole {
            let told = tell_coinciding(&table, &read) | tell_oblique(&table, &read);
            read.whole = !told;
        }
    } else {
        read.whole = false;
    }
    table.finish();
    Some(read)
}

/// Steepest line that is computed: beyond it small angles mean nothing.
const STEEPEST_DEG: f64 = 45.0;

/// Refuses lines too far off the axis; whether there was one.
fn tell_oblique(table: &Table<'_>, read: &FigureRead) -> bool {
    let mut told = false;
    for (vertex, span) in read.vertices.iter().zip(&read.spans) {
        let angle_deg = libm::atan(vertex.direction.norm()).to_degrees();
        if !(angle_deg < STEEPEST_DEG) {
            table.problems.tell(
                span,
                format!(
                    "the line of vertex {} would run {angle_deg:.0}° off the axis, must be under {STEEPEST_DEG}°",
                    quoted(&vertex.name)
                ),
                Some("x and y are lengths on the picture plane; a figure some 20° wide is usual".to_owned()),
            );
            told = true;
        }
    }
    told
}

/// Pairs of coinciding vertices that are told by name.
const MOST_TOLD: usize = 10;
/// Two vertices nearer than this share of the picture plane's distance are at one place: their two holes would be one.
const ONE_PLACE: f64 = 1e-6;

/// Two lines with one direction are one dot: no rod can be told from them. Whether there were such.
fn tell_coinciding(table: &Table<'_>, read: &FigureRead) -> bool {
    // by x, so that only near neighbours need to be compared
    let mut order: Vec<usize> = (0..read.vertices.len()).collect();
    let direction = |i: usize| read.vertices[i].direction;
    order.sort_by(|a, b| direction(*a).x.total_cmp(&direction(*b).x));
    let mut told = false;
    let mut count = 0;
    for (nth, one) in order.iter().enumerate() {
        for other in &order[nth + 1..] {
            if direction(*other).x - direction(*one).x > ONE_PLACE {
                break;
            }
            if (direction(*other) - direction(*one)).norm() > ONE_PLACE {
                continue;
            }
            if count == MOST_TOLD {
                return true;
            }
            count += 1;
            let (first, second) = (*one.min(other), *one.max(other));
            table.problems.tell(
                &read.spans[second],
                format!(
                    "vertices {} and {} are at one place: their lines would be one",
                    quoted(&read.vertices[first].name),
                    quoted(&read.vertices[second].name)
                ),
                Some("use one vertex and let several rods meet there".to_owned()),
            );
            told = true;
        }
    }
    told
}

fn needed(table: &Table<'_>, key: &'static str) -> Option<f64> {
    let found = table.quantity(key, Kind::Length);
    if found.is_none() && table.get_named(key).is_none() {
        table.missing(key, "a length on the picture plane, for example \"12 mm\",");
    }
    found.map(|found| found.value)
}

fn read_name<'a>(table: &Table<'a>) -> Option<At<&'a str>> {
    let name = table.text("name");
    match &name {
        None if table.get_named("name").is_none() => {
            table.missing("name", "a name in quotes");
            None
        }
        Some(found) => is_name(table, found).then_some(name).flatten(),
        None => None,
    }
}

fn is_name(table: &Table<'_>, name: &At<&str>) -> bool {
    const LONGEST: usize = 60;
    let good = !name.value.trim().is_empty()
        && name.value.chars().count() <= LONGEST
        && !name.value.chars().any(is_unseen);
    if !good {
        table.problems.tell(
            &name.span,
            format!(
                "name is {}, must have 1 to {LONGEST} characters, and no control characters, also none that turn the direction of text",
                quoted(name.value)
            ),
            None,
        );
    }
    good
}

/// Reads `[rods]`. `figure` is what [`read_figure`] made of the figure and `plates_mm` where the plates are, as far as
/// they could be read.
pub(super) fn read_rods(
    top: &Table<'_>,
    figure: Option<&FigureRead>,
    plates_mm: Option<[f64; 2]>,
) -> Option<RodsRead> {
    let table = top.table("rods");
    if !table.is_there() {
        top.missing(
            "rods",
            "a table [rods] with `diameter`, `material` and `list`",
        );
        return None;
    }
    let diameter = table
        .positive("diameter", Kind::Length)
        .map(|found| found.value);
    let mass = read_mass(&table);
    let common = Common {
        diameter_mm: diameter,
        mass,
        diameter_is_wrong: diameter.is_none() && table.get_named("diameter").is_some(),
        mass_is_wrong: mass.is_none()
            && (table.get_named("material").is_some()
                || table.get_named("mass_per_length").is_some()),
    };
    let stock = read_stock(&table, plates_mm);
    let list = table.array("list");
    if list.is_none() && table.get_named("list").is_none() {
        table.missing(
            "list",
            "a list of { lines = [\"a\", \"b\"], depths = [\"150 mm\", \"180 mm\"] }",
        );
    }
    let mut rods: Vec<Rod> = Vec::new();
    let mut whole = true;
    if let Some(list) = &list {
        if list.value.is_empty() || list.value.len() > MOST_RODS {
            table.problems.tell(
                &list.span,
                format!(
                    "[rods] lists {} rods, must list 1 to {MOST_RODS}",
                    list.value.len()
                ),
                None,
            );
            whole = false;
        }
        // of a list that is too long nothing else is told: all of it could be wrong in the same way
        let is_read = list.value.len() <= MOST_RODS;
        let mut names: HashMap<String, ()> = HashMap::new();
        for element in list.value.iter().filter(|_| is_read) {
            let Some(rod) = table.as_table("list", element) else {
                table.wrong_type("list", element, "a table { lines, depths }");
                whole = false;
                continue;
            };
            let span = rod.span.clone();
            match read_rod(&rod, figure, plates_mm, &common) {
                Some(rod_read) => {
                    if names.insert(rod_read.name.clone(), ()).is_some() {
                        table.problems.tell(
                            &span,
                            format!("two rods have the name {}", quoted(&rod_read.name)),
                            Some("give each a `name` of its own; a rod without a name is called after its lines".to_owned()),
                        );
                    }
                    rods.push(rod_read);
                }
                None => whole = false,
            }
            rod.finish();
        }
    } else {
        whole = false;
    }
    table.finish();
    whole.then_some(())?;
    Some(RodsRead {
        list: rods,
        stock: stock?,
    })
}

/// The rods as read.
pub(super) struct RodsRead {
    pub list: Vec<Rod>,
    stock: StockRead,
}

/// What the scenario says of the stock of rods and of where they may hang, mm.
#[derive(Debug, Clone, Copy)]
struct StockRead {
    length_mm: [Option<f64>; 2],
    depth_mm: [Option<f64>; 2],
}

impl RodsRead {
    /// Shortest and longest rod, nearest and farthest depth, as far as the scenario says them, mm.
    pub fn stock_said(&self) -> [[Option<f64>; 2]; 2] {
        [self.stock.length_mm, self.stock.depth_mm]
    }

    /// What is said of the stock; what is not said follows from the rods.
    pub fn stock(&self, vertices: &[Vertex]) -> Stock {
        let of_rods = Stock::of_rods(vertices, &self.list);
        // a bound that is said beyond today's rods takes the other one with it
        let or = |[low, high]: [Option<f64>; 2], found: [f64; 2]| {
            [
                low.unwrap_or(high.map_or(found[0], |high| found[0].min(high))),
                high.unwrap_or(low.map_or(found[1], |low| found[1].max(low))),
            ]
        };
        Stock {
            length_mm: or(self.stock.length_mm, of_rods.length_mm),
            depth_mm: or(self.stock.depth_mm, of_rods.depth_mm),
        }
    }
}

/// `shortest`, `longest`, `nearest`, `farthest`: bounds for other rods and depths than those listed.
fn read_stock(table: &Table<'_>, plates_mm: Option<[f64; 2]>) -> Option<StockRead> {
    let bounds = |low: &'static str, high: &'static str, within: [f64; 2]| {
        let one = |key: &'static str| {
            let found = table.positive(key, Kind::Length);
            if found.is_none() && table.get_named(key).is_some() {
                return None;
            }
            match found {
                Some(found) => table
                    .must(
                        key,
                        found,
                        |mm| mm >= within[0] && mm <= within[1],
                        &format!("must lie between {} and {} mm", within[0], within[1]),
                    )
                    .map(|found| Some(found.value)),
                None => Some(None),
            }
        };
        // both are read before either may end it
        let (least, most) = (one(low), one(high));
        let (least, most) = (least?, most?);
        if let (Some(least), Some(most)) = (least, most)
            && !(least <= most)
            && let Some(value) = table.get_named(low)
        {
            table.problems.tell(
                &value.span(),
                format!(
                    "{low} is {}, must not be above {high} ({most} mm)",
                    table.problems.quote(&value.span())
                ),
                None,
            );
            return None;
        }
        Some([least, most])
    };
    let length_mm = bounds("shortest", "longest", [0.0, f64::INFINITY]);
    let depth_mm = bounds(
        "nearest",
        "farthest",
        plates_mm.unwrap_or([0.0, f64::INFINITY]),
    );
    Some(StockRead {
        length_mm: length_mm?,
        depth_mm: depth_mm?,
    })
}

/// How a rod's mass is given.
#[derive(Debug, Clone, Copy)]
enum Mass {
    PerLength(f64),
    Of(&'static RodMaterial),
}

impl Mass {
    fn kg_per_m(self, diameter_mm: f64) -> f64 {
        match self {
            Self::PerLength(mass) => mass,
            Self::Of(material) => material.mass_kg_per_m(diameter_mm),
        }
    }
}

fn read_mass(table: &Table<'_>) -> Option<Mass> {
    let per_length = table.quantity("mass_per_length", Kind::MassPerLength);
    let per_length = per_length.and_then(|mass| {
        table.must(
            "mass_per_length",
            mass,
            |mass| mass >= 0.0,
            "must be 0 or more",
        )
    });
    let materials: Vec<(&str, &'static RodMaterial)> = RodMaterial::ALL
        .iter()
        .map(|material| (material.name, material))
        .collect();
    let material = table.choice("material", &materials);
    match (per_length, material) {
        (Some(mass), Some(_)) => {
            table.problems.tell(
                &mass.span,
                format!(
                    "[{}] has both `material` and `mass_per_length`; one of them is enough",
                    table.name
                ),
                None,
            );
            None
        }
        (Some(mass), None) => Some(Mass::PerLength(mass.value)),
        (None, material) => material.map(|material| Mass::Of(material.value)),
    }
}

/// What `[rods]` says of all rods.
struct Common {
    diameter_mm: Option<f64>,
    mass: Option<Mass>,
    /// It is there and wrong, which is told already.
    diameter_is_wrong: bool,
    mass_is_wrong: bool,
}

fn read_rod(
    table: &Table<'_>,
    figure: Option<&FigureRead>,
    plates_mm: Option<[f64; 2]>,
    common: &Common,
) -> Option<Rod> {
    let lines = two_lines(table, figure);
    let depths = two_depths(table, plates_mm);
    let own_diameter = table
        .positive("diameter", Kind::Length)
        .map(|found| found.value);
    let own_mass = read_mass(table);
    let name = table.text("name").filter(|name| is_name(table, name));
    let diameter_mm = own_diameter.or(common.diameter_mm);
    if diameter_mm.is_none() && !common.diameter_is_wrong && table.get_named("diameter").is_none() {
        table.missing(
            "diameter",
            "the rod's diameter, here or for all rods in [rods],",
        );
    }
    let mass = own_mass.or(common.mass);
    if mass.is_none()
        && !common.mass_is_wrong
        && table.get_named("material").is_none()
        && table.get_named("mass_per_length").is_none()
    {
        table.missing(
            "material",
            &format!(
                "a material ({}) or `mass_per_length`, here or for all rods in [rods],",
                listed(RodMaterial::ALL.iter().map(|material| material.name))
            ),
        );
    }
    let (lines, depths, diameter_mm, mass) = (lines?, depths?, diameter_mm?, mass?);
    let names =
        lines.map(|line| figure.map_or(String::new(), |figure| figure.vertices[line].name.clone()));
    let end = |which: usize| RodEnd {
        line: lines[which],
        depth_mm: depths[which],
    };
    Some(Rod {
        name: name.map_or_else(|| names.join("-"), |name| name.value.to_owned()),
        ends: [end(0), end(1)],
        diameter_mm,
        mass_kg_per_m: mass.kg_per_m(diameter_mm),
    })
}

fn two_lines(table: &Table<'_>, figure: Option<&FigureRead>) -> Option<[usize; 2]> {
    let Some(list) = table.array("lines") else {
        if table.get_named("lines").is_none() {
            table.missing("lines", "the names of two vertices, [\"a\", \"b\"],");
        }
        return None;
    };
    let names: Vec<At<&str>> = list
        .value
        .iter()
        .filter_map(|one| {
            one.get_ref().as_str().map(|value| At {
                value,
                span: one.span(),
            })
        })
        .collect();
    if names.len() != 2 || list.value.len() != 2 {
        table.problems.tell(
            &list.span,
            format!(
                "lines is {}, must be the names of two vertices",
                table.problems.quote(&list.span)
            ),
            None,
        );
        return None;
    }
    let figure = figure?;
    let found: Vec<Option<usize>> = names
        .iter()
        .map(|name| {
            let index = figure
                .vertices
                .iter()
                .position(|vertex| vertex.name == name.value);
            if index.is_none() {
                let known = || figure.vertices.iter().map(|vertex| vertex.name.as_str());
                table.problems.tell(
                    &name.span,
                    format!(
                        "no vertex has the name {}, there are: {}",
                        quoted(name.value),
                        listed(known())
                    ),
                    nearest(name.value, known()).map(|near| format!("did you mean `{near}`?")),
                );
            }
            index
        })
        .collect();
    let pair = [found[0]?, found[1]?];
    if pair[0] == pair[1] {
        table.problems.tell(
            &list.span,
            format!(
                "the rod joins the line {} to itself",
                quoted(names[0].value)
            ),
            Some(
                "a rod covers the segment between two lines' dots; name two different lines"
                    .to_owned(),
            ),
        );
        return None;
    }
    Some(pair)
}

fn two_depths(table: &Table<'_>, plates_mm: Option<[f64; 2]>) -> Option<[f64; 2]> {
    let Some(list) = table.array("depths") else {
        if table.get_named("depths").is_none() {
            table.missing(
                "depths",
                "the distances of its two ends from the station point, [\"150 mm\", \"180 mm\"],",
            );
        }
        return None;
    };
    let [first, second] = list.value else {
        table.problems.tell(
            &list.span,
            format!(
                "depths is {}, must be two lengths",
                table.problems.quote(&list.span)
            ),
            None,
        );
        return None;
    };
    let depths = [first, second].map(|one| table.quantity_of("depths", one, Kind::Length));
    if let Some([front, rear]) = plates_mm {
        for depth in depths.iter().flatten() {
            if !(depth.value > front && depth.value < rear) {
                table.problems.tell(
                    &depth.span,
                    format!(
                        "a depth is {}, must be between the plates, {front} mm to {rear} mm",
                        table.problems.quote(&depth.span)
                    ),
                    Some("depths, like all distances along the axis, are measured from the station point".to_owned()),
                );
            }
        }
    }
    let [first, second] = depths;
    Some([first?.value, second?.value])
}
