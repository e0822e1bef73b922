//! How much room each tolerance has: a bar from what it is now to the largest that still meets the target.

use super::axis::{Axis, Spacing, bottom_axis, brief, many, number};
use super::sheet::{
    Anchor, Area, BLACK, BLUE, FAINT, GREY, Ink, LABEL, NOTE, PURPLE, Pattern, STRONG, Sheet, Type,
    VERMILLION, WHITE,
};
use super::{Draft, MARGIN, WIDTH, titled};
use crate::decision::{Alone, Headroom, Room, RoomEnd};
use crate::figure::Plan;
use crate::report::tolerance_words::{AloneWords, headroom_sentence, source_words, target_words};

const NAME: &str = "tolerances";
const TITLE: &str = "Room for error: how far each tolerance may grow, the others as they are";
const TOP: f64 = 104.0;
const ROW: f64 = 26.0;
const BAR: f64 = 14.0;
/// Height of the line that heads a group, px.
const HEAD: f64 = 30.0;
/// The panel's left and right edge, px.
const PANEL: [f64; 2] = [275.0, 735.0];
/// The axis ends here at the latest; what lies beyond is drawn as an arrow.
const WIDEST: f64 = 64.0;

/// What a bar says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Says {
    /// All tolerances of the work.
    Together,
    /// One that may grow.
    Grow,
    /// One that must shrink.
    Shrink,
    /// The visitor's.
    Visitor,
}

impl Says {
    fn ink(self) -> Ink {
        match self {
            Self::Together => BLACK,
            Self::Grow => BLUE,
            Self::Shrink => VERMILLION,
            Self::Visitor => PURPLE,
        }
    }

    /// Fills a bar: solid, hatched one way, the other way, or crosswise.
    fn paint(self, sheet: &mut Sheet, bar: &Area) {
        match self {
            Self::Together => sheet.rect(bar, BLACK),
            Self::Grow => sheet.hatch(bar, 5.0, self.ink(), true),
            Self::Shrink => sheet.hatch(bar, 5.0, self.ink(), false),
            Self::Visitor => {
                sheet.hatch(bar, 8.0, self.ink(), true);
                sheet.hatch(bar, 8.0, self.ink(), false);
            }
        }
        sheet.outline(bar, self.ink(), 1.2);
    }
}

/// One row.
struct Row<'a> {
    words: String,
    told: String,
    room: &'a Room,
    says: Says,
}

/// Draws all rows, all together on top.
pub(super) fn alone(plan: &Plan, headroom: &Headroom, rows: &[Alone]) -> Draft {
    if rows.is_empty() {
        return Draft::without(NAME, TITLE, "No error varies in this design.");
    }
    let hopeless = |room: &Room| room.end == RoomEnd::EvenNoneIsNotEnough;
    if hopeless(&headroom.room) && rows.iter().all(|row| hopeless(&row.room)) {
        let reason = format!(
            "No bar can be drawn: whichever tolerance is made perfect, the target is not met. {}",
            headroom_sentence(headroom)
        );
        return Draft::without(NAME, TITLE, &reason);
    }
    let together = (!headroom.scaled.is_empty()).then(|| Row {
        words: "all of the work together".to_owned(),
        told: match headroom.room.end {
            RoomEnd::At(factor) => format!("{} times what they are", brief(factor)),
            RoomEnd::BeyondLargest => format!("over {} times", brief(headroom.room.largest)),
            RoomEnd::EvenNoneIsNotEnough => "even perfect work is not enough".to_owned(),
        },
        room: &headroom.room,
        says: Says::Together,
    });
    let single: Vec<Row<'_>> = rows.iter().map(|row| single_row(plan, row)).collect();
    let axis = axis(together.iter().chain(&single).map(|row| row.room));
    let sheet = chart(headroom, &axis, together.as_ref(), &single);
    Draft {
        name: NAME,
        title: TITLE.to_owned(),
        caption: caption(headroom, rows),
        sheet,
    }
}

fn single_row<'a>(plan: &Plan, row: &'a Alone) -> Row<'a> {
    let words = AloneWords::of(plan, row);
    let told = match row.room.end {
        RoomEnd::At(factor) => format!("{}  ({} ×)", words.largest, brief(factor)),
        RoomEnd::BeyondLargest => format!(
            "{}  (tried to {} ×)",
            words.largest,
            brief(row.room.largest)
        ),
        RoomEnd::EvenNoneIsNotEnough => words.largest,
    };
    Row {
        words: words.what,
        told,
        room: &row.room,
        says: if !row.is_work {
            Says::Visitor
        } else if row.room.factor() < 1.0 {
            Says::Shrink
        } else {
            Says::Grow
        },
    }
}

/// From under the least factor to beyond the largest that was found.
fn axis<'a>(rooms: impl Iterator<Item = &'a Room>) -> Axis {
    let (mut low, mut high) = (0.8_f64, 2.0_f64);
    for room in rooms {
        match room.end {
            RoomEnd::At(factor) => {
                low = low.min(0.8 * factor.min(room.surely.max(0.5 * factor)));
                high = high.max(1.2 * room.possibly.unwrap_or(factor));
            }
            RoomEnd::EvenNoneIsNotEnough => low = low.min(0.4),
            RoomEnd::BeyondLargest => {}
        }
    }
    Axis {
        values: [low.max(1.0 / WIDEST), high.min(WIDEST)],
        places: PANEL,
        spacing: Spacing::Logarithmic,
    }
}

fn chart(
    headroom: &Headroom,
    axis: &Axis,
    together: Option<&Row<'_>>,
    single: &[Row<'_>],
) -> Sheet {
    let (visitor, work): (Vec<&Row<'_>>, Vec<&Row<'_>>) =
        single.iter().partition(|row| row.says == Says::Visitor);
    let groups = [
        ("", together.into_iter().collect::<Vec<_>>()),
        ("each alone, the others as they are", work),
        ("not the workshop's: the visitor's eye", visitor),
    ];
    let filled = groups.iter().filter(|(_, rows)| !rows.is_empty());
    let height: f64 = filled
        .map(|(head, rows)| ROW * rows.len() as f64 + if head.is_empty() { 4.0 } else { HEAD })
        .sum();
    let bottom = TOP + height + 4.0;
    let mut sheet = titled(TITLE, bottom + 54.0);
    let room = WIDTH - 2.0 * MARGIN;
    let level = number(100.0 * headroom.as_is.level, 1.0);
    let note = format!(
        "bar: from what it is now (1) to the largest with which the target of {} is still met; whisker: {level}\u{A0}% interval; arrow: the end is farther than was tried",
        target_words(headroom.target_yield)
    );
    sheet.text_in([MARGIN, 52.0], &note, NOTE, Anchor::Start, room);
    let key = format!(
        "hatched upwards: may grow; hatched downwards: must shrink; crosswise: the visitor's; {} and {} looks at each for every row",
        many(headroom.as_is.of, "build"),
        headroom.looks
    );
    sheet.text_in([MARGIN, 72.0], &key, NOTE, Anchor::Start, room);
    bottom_axis(
        &mut sheet,
        axis,
        [TOP, bottom],
        8,
        "times what it is now, logarithmic scale",
        number,
    );
    let now = axis.at(1.0);
    let mut y = TOP;
    for (head, rows) in &groups {
        if rows.is_empty() {
            continue;
        }
        if head.is_empty() {
            y += 4.0;
        } else {
            let style = Type {
                ink: GREY,
                ..STRONG
            };
            sheet.text_on_white([MARGIN, y + HEAD / 2.0 + 3.0], head, style, Anchor::Start);
            y += HEAD;
        }
        for row in rows {
            draw(&mut sheet, axis, row, y + ROW / 2.0);
            y += ROW;
        }
    }
    sheet.stroke(&[[now, TOP], [now, bottom]], BLACK, 1.6, Pattern::Dashed);
    sheet.text([now, TOP - 9.0], "now", NOTE, Anchor::Middle);
    sheet
}

fn draw(sheet: &mut Sheet, axis: &Axis, row: &Row<'_>, y: f64) {
    let style = if row.says == Says::Together {
        STRONG
    } else {
        LABEL
    };
    let name_room = PANEL[0] - 14.0 - MARGIN;
    sheet.text_in(
        [PANEL[0] - 12.0, y],
        &row.words,
        style,
        Anchor::End,
        name_room,
    );
    sheet.line([PANEL[0], y], [PANEL[1], y], FAINT, 0.8);
    let now = axis.at(1.0);
    let (to, goes_on) = match row.room.end {
        RoomEnd::At(factor) => (axis.at_most(factor), factor > axis.values[1]),
        RoomEnd::BeyondLargest => (
            axis.at_most(row.room.largest).min(axis.places[1] - 10.0),
            true,
        ),
        RoomEnd::EvenNoneIsNotEnough => (axis.places[0] + 10.0, true),
    };
    let bar = Area::new(now.min(to), y - BAR / 2.0, now.max(to), y + BAR / 2.0);
    row.says.paint(sheet, &bar);
    if goes_on {
        let tip = if to < now { to - 12.0 } else { to + 12.0 };
        let base = BAR / 2.0 + 3.0;
        let head = [[to, y - base], [tip, y], [to, y + base]];
        sheet.fill(&head, row.says.ink());
    } else {
        whisker(sheet, axis, row, y);
    }
    let at = [PANEL[1] + 14.0, y];
    let room = WIDTH - MARGIN - at[0];
    sheet.text_in(at, &row.told, style, Anchor::Start, room);
}

/// The interval, black on a white seam so that it stands out from its bar.
fn whisker(sheet: &mut Sheet, axis: &Axis, row: &Row<'_>, y: f64) {
    let low = axis.at_most(row.room.surely);
    let high = row
        .room
        .possibly
        .map_or(axis.places[1], |high| axis.at_most(high));
    for (ink, width, tick) in [(WHITE, 5.0, 7.0), (BLACK, 1.8, 5.5)] {
        sheet.line([low, y], [high, y], ink, width);
        for x in [low, high] {
            sheet.line([x, y - tick], [x, y + tick], ink, width);
        }
    }
    if row.room.possibly.is_none() {
        let head = [[high - 8.0, y - 5.0], [high, y], [high - 8.0, y + 5.0]];
        sheet.fill(&head, BLACK);
    }
}

fn caption(headroom: &Headroom, rows: &[Alone]) -> String {
    // rows come sorted: the first is the one that matters
    let least = match rows.iter().find(|row| row.is_work) {
        Some(row) => {
            let what = source_words(&row.sources);
            match row.room.end {
                RoomEnd::At(factor) if factor < 1.0 => format!(
                    " By itself, the least change would be in {what}: {} times what it is.",
                    brief(factor)
                ),
                RoomEnd::At(factor) => format!(
                    " By itself, the least room is that of {what}: {} times what it is.",
                    brief(factor)
                ),
                RoomEnd::BeyondLargest => {
                    " By itself, each of the work may be as large as makes sense.".to_owned()
                }
                RoomEnd::EvenNoneIsNotEnough => {
                    " By itself, not even perfection in any one of the work would do.".to_owned()
                }
            }
        }
        None => String::new(),
    };
    format!(
        "{}{least} Limits follow from the model and from the laws that the scenario assumes; two tolerances may not both be let go to the ends of their bars.",
        headroom_sentence(headroom)
    )
}
