//! Pages to cut: gauges of the kerf, graded joints, a fold.

use flatwright_folding::prove::{prove, sheet as stock_sheet};
use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Pattern, Stock};
use flatwright_geometry::pieces::gauge;
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::{Mm, plain};
use kurbo::{Affine, Point, Rect, Vec2};

use super::table::{self, Row};
use super::{CouponError, Pages, Settings, Sheet, too_small};
use crate::art::Face as PartFace;
use crate::compose::{self, Grain, Part};
use crate::furniture::marks::{Face, moved, text};
use crate::page::{Align, Layer, Mark, Shape};

/// Room between two pieces.
const GAP: f64 = 5.0;
/// Tall walls are tried low: the joint is the same.
const LOW_WALL: Mm = Mm::new(50.0);
const MARK: Face = Face::bold(Mm::new(3.0));
const SMALL_MARK: Face = Face::regular(Mm::new(2.6));
/// Names of the rows, as readings.json has its keys.
const NAME_COLUMN: f64 = 20.0;

/// A piece on the coupon, with words on it that name its joints.
struct Item {
    part: Part,
    words: Vec<Mark>,
}

/// The kerf's gauges for paper, in a part of the printer's page.
pub(super) fn paper(settings: &Settings, made: &mut Pages, sheet: &mut Sheet, room: Rect) -> Result<(), CouponError> {
    let p = joints(settings);
    let items = vec![window(&p, Stock::Paper)?, strips(&p, Stock::Paper)?];
    let small = || too_small(settings, Stock::Paper, "the gauges for paper");
    let rows = [
        Row::new("hole", plain(gauge::WINDOW.get(), 2)),
        Row::new("piece", plain(gauge::WINDOW.get(), 2)),
        Row::new("strips", plain((gauge::STRIP * f64::from(gauge::STRIPS)).get(), 2)),
        Row::new("caliper", "n sheets"),
    ];
    let width = 13.0 + 18.0 + table::BLANK;
    let shelf = Rect { x1: room.x1 - width - GAP, ..room };
    if shelve(&items, made, sheet, shelf) < items.len() || table::height(rows.len()) > room.height() {
        return Err(small());
    }
    let top = Point::new(room.x1 - width, room.y1);
    sheet.marks.extend(table::draw(top, width, 13.0, &["paper", "drawn, mm", "reads"], &rows, 1));
    Ok(())
}

const CARD: [&str; 5] = [
    "Score and cut everything along its lines, with the tool and the hand that will cut the set. Fold the wall and glue its \
     halves together.",
    "slot: hang the wall's hooks into the slots. Which is the tightest that they go into and hold in? Write the number below it.",
    KERF,
    "first_leg, second_leg: fold the strip flat along its line; measure both legs to the outside of the fold.",
    "caliper: of one sheet, or of several together; write their number as \"sheets\".",
];
const KERF: &str = "hole, piece, strips: measure the square hole, the square that came out of it, and all strips pushed together. No caliper? \
     opening: which is the narrowest opening (the largest number) that a single strip goes into?";

/// The page that is cut from card.
pub(super) fn card(settings: &Settings, made: &mut Pages) -> Result<(), CouponError> {
    let p = joints(settings);
    let mut items = Vec::new();
    items.extend(wall(&p, Stock::Card)?);
    items.extend([slots(&p, &settings.plays)?, window(&p, Stock::Card)?, strips(&p, Stock::Card)?, fold(&p)?]);
    items.push(openings(&p, Stock::Card, &settings.plays)?);
    let half = plain((gauge::FOLD_STRIP / 2.0).get(), 2);
    let mut rows = kerf_rows();
    rows.extend([
        Row::new("slot", "tightest that the wall goes into, and holds in"),
        Row::new("first_leg", format!("one leg of the folded strip; drawn {half} mm")),
        Row::new("second_leg", format!("the other leg; drawn {half} mm")),
        Row::new("caliper", format!("n sheets together; drawn for {} of one", settings.parameters.card)),
    ]);
    sheet(settings, made, Stock::Card, &CARD, &items, &rows, "the pieces for card")
}

const BOARD: [&str; 4] = [
    "Glue the page on the board, or cut the board straight from the SVG file of this page. Cut everything along its lines, with the tool and \
     the hand that will cut the set.",
    "biscuit: push the biscuits into the notches. Which is the tightest that goes in and holds? Write the number on it.",
    KERF,
    "caliper: of one board, or of several together; write their number as \"sheets\".",
];

/// The page that is glued on board, or cut from it.
pub(super) fn board(settings: &Settings, made: &mut Pages) -> Result<(), CouponError> {
    let p = joints(settings);
    let mut items = vec![notches(&p)?, window(&p, Stock::Board)?, strips(&p, Stock::Board)?];
    items.extend(wall(&p, Stock::Board)?);
    for play in &settings.plays {
        items.push(biscuit(&p, *play)?);
    }
    items.push(openings(&p, Stock::Board, &settings.plays)?);
    let mut rows = kerf_rows();
    rows.extend([
        Row::new("biscuit", "tightest that goes in, and holds"),
        Row::new("caliper", format!("n boards together; drawn for {} of one", settings.parameters.board)),
    ]);
    sheet(settings, made, Stock::Board, &BOARD, &items, &rows, "the pieces for board")
}

/// The set's parameters for pieces that are tried: nothing added for kerf, walls no higher than need be.
fn joints(settings: &Settings) -> Parameters {
    let mut p = Parameters { kerf: Mm::ZERO, ..settings.parameters.clone() };
    if p.wall_height > LOW_WALL {
        let depth = p.slot_depth().min(LOW_WALL / 2.0);
        p.hook_drop = p.hook_drop.min((LOW_WALL - depth) / 2.0);
        (p.wall_height, p.slot_depth) = (LOW_WALL, Some(depth));
    }
    p
}

fn kerf_rows() -> Vec<Row> {
    let side = plain(gauge::WINDOW.get(), 2);
    let strips = plain((gauge::STRIP * f64::from(gauge::STRIPS)).get(), 2);
    vec![
        Row::new("hole", format!("side of the hole; drawn {side} mm")),
        Row::new("piece", format!("side of the square that came out; drawn {side} mm")),
        Row::new("strips", format!("width of all strips together; drawn {strips} mm")),
        Row::new("opening", "narrowest that one strip goes into (largest number)"),
    ]
}

/// Words at the top, a table at the foot, the pieces between, and on further sheets where they are many.
fn sheet(
    settings: &Settings,
    made: &mut Pages,
    stock: Stock,
    instructions: &[&str],
    items: &[Item],
    rows: &[Row],
    what: &'static str,
) -> Result<(), CouponError> {
    let mut sheet = Sheet::new(settings, stock)?;
    let free = sheet.frame.free;
    let (marks, end) = table::words(Point::new(free.x0, free.y1 - 1.0), free.width(), instructions);
    sheet.marks.extend(marks);
    let foot = free.y0 + table::height(rows.len()) + GAP;
    let room = Rect { y0: foot, y1: end - 2.5, ..free };
    let mut placed = shelve(items, made, &mut sheet, room);
    let heads = [if stock == Stock::Card { "card" } else { "board" }, "in mm", "first", "second", "third"];
    let top = Point::new(free.x0, foot - GAP);
    sheet.marks.extend(table::draw(top, free.width().min(170.0), NAME_COLUMN, &heads, rows, 3));
    made.sheets.push(sheet);
    // What has no room beside words and table goes on a sheet of its own.
    while placed < items.len() {
        let mut sheet = Sheet::new(settings, stock)?;
        let room = sheet.frame.free;
        let more = shelve(&items[placed..], made, &mut sheet, room);
        if more == 0 {
            return Err(too_small(settings, stock, what));
        }
        placed += more;
        made.sheets.push(sheet);
    }
    Ok(())
}

/// Puts pieces on shelves from the top down, and gives how many had room. A first piece much taller than the
/// others keeps the left side to itself, and shelves beside it are shorter.
fn shelve(items: &[Item], made: &mut Pages, sheet: &mut Sheet, room: Rect) -> usize {
    let bounds = |item: &Item| item.part.pattern.material.bounds();
    let Some((first, others)) = items.split_first() else { return 0 };
    let tallest = others.iter().map(|item| bounds(item).height()).fold(0.0, f64::max);
    let mut left = (room.x0, f64::INFINITY);
    let mut placed = 0;
    if bounds(first).height() > 1.5 * tallest {
        left = (room.x0 + bounds(first).width() + GAP, room.y1 - bounds(first).height() - GAP);
        if put(first, Point::new(room.x0, room.y1), room, made, sheet).is_none() {
            return 0;
        }
        placed = 1;
    }
    // Where a shelf begins that hangs from y.
    let start = |y: f64| if y > left.1 { left.0 } else { room.x0 };
    let (mut y, mut tall) = (room.y1, 0.0_f64);
    let mut x = start(y);
    for item in &items[placed..] {
        if x > start(y) && x + bounds(item).width() > room.x1 {
            y -= tall + GAP;
            (x, tall) = (start(y), 0.0);
        }
        if x > room.x0 && x <= start(y) && x + bounds(item).width() > room.x1 {
            // Too wide for a shelf beside the first piece: it goes below that one.
            (x, y, tall) = (room.x0, left.1, 0.0);
        }
        if put(item, Point::new(x, y), room, made, sheet).is_none() {
            break;
        }
        placed += 1;
        x += bounds(item).width() + GAP;
        tall = tall.max(bounds(item).height());
    }
    placed
}

/// Puts a piece with its upper left corner at `top`; `None` where it would leave the room.
fn put(item: &Item, top: Point, room: Rect, made: &mut Pages, sheet: &mut Sheet) -> Option<()> {
    let bounds = item.part.pattern.material.bounds();
    let there = Rect::new(top.x, top.y - bounds.height(), top.x + bounds.width(), top.y);
    if !room.inflate(1e-9, 1e-9).contains_rect(there) {
        return None;
    }
    place(item, made, sheet, Point::new(there.x0, there.y0) - Point::new(bounds.x0, bounds.y0));
    Some(())
}

fn place(item: &Item, made: &mut Pages, sheet: &mut Sheet, by: Vec2) {
    // Nothing here is printed on a face, so the sheet's own settings do not matter.
    let form = compose::drawing(&item.part, &compose::Settings::new("", sheet_paper()));
    sheet.marks.push(Mark {
        layer: Layer::Cutting,
        shape: Shape::Place { form: made.forms.len(), motion: Affine::translate(by) },
    });
    made.forms.push(crate::page::Form { id: format!("g{}", made.forms.len() + 1), ..form });
    sheet.marks.extend(moved(&item.words, by));
}

fn sheet_paper() -> crate::paper::PaperSize {
    crate::paper::PaperSize { name: String::new(), width: Mm::new(210.0), height: Mm::new(297.0) }
}

fn item(p: &Parameters, pattern: Pattern, words: Vec<Mark>) -> Result<Item, CouponError> {
    let stock = pattern.stock;
    let proved = prove(pattern, stock_sheet(p, stock));
    let pattern = proved.map_err(|mut faults| CouponError::Fold(faults.swap_remove(0)))?;
    let part = Part {
        id: "G".to_owned(),
        pattern,
        copies: 1,
        face: PartFace::default(),
        label_on_face: false,
        grain: Grain::Any,
    };
    Ok(Item { part, words })
}

fn word(at: (f64, f64), words: &str, face: Face) -> Mark {
    let mark = text(Point::from(at) - Vec2::new(0.0, 0.35 * face.size.get()), words, face, Align::Middle);
    Mark { layer: Layer::Labels, ..mark }
}

fn number(play: Mm) -> String {
    format!("{:.1}", play.get())
}

fn window(p: &Parameters, stock: Stock) -> Result<Item, CouponError> {
    let half = gauge::WINDOW.get() / 2.0;
    let words = vec![word((half, half), "piece", MARK), word((half, -4.0), "hole", MARK)];
    item(p, gauge::window(stock)?, words)
}

fn strips(p: &Parameters, stock: Stock) -> Result<Item, CouponError> {
    let middle = gauge::STRIP.get() / 2.0;
    item(p, gauge::strips(stock)?, vec![word((middle, gauge::WINDOW.get() / 2.0), "strips", SMALL_MARK)])
}

fn openings(p: &Parameters, stock: Stock, steps: &[Mm]) -> Result<Item, CouponError> {
    let graded = gauge::openings(stock, steps)?;
    graded_item(p, graded, "opening")
}

fn slots(p: &Parameters, plays: &[Mm]) -> Result<Item, CouponError> {
    let graded = gauge::slots(p, plays)?;
    graded_item(p, graded, "slot")
}

/// Each joint's number, and below them what they are.
fn graded_item(p: &Parameters, graded: gauge::Graded, name: &str) -> Result<Item, CouponError> {
    let mut words: Vec<Mark> =
        graded.marks.iter().map(|(at, grade)| word((at.x, at.y), &number(*grade), MARK)).collect();
    words.push(word((graded.pattern.material.bounds().center().x, 1.9), name, SMALL_MARK));
    item(p, graded.pattern, words)
}

fn fold(p: &Parameters) -> Result<Item, CouponError> {
    item(p, gauge::fold()?, vec![word((-gauge::FOLD_STRIP.get() / 4.0, 8.0), "fold", MARK)])
}

/// A tile's core, whose notches the biscuits are tried in.
fn notches(p: &Parameters) -> Result<Item, CouponError> {
    let core = tile::core(p, Tile::plain(1, 1, Reliefs::Corners))?;
    item(p, core, vec![word((0.0, 0.0), "notches", MARK)])
}

fn biscuit(p: &Parameters, play: Mm) -> Result<Item, CouponError> {
    let biscuit = tile::biscuit(&Parameters { play, ..p.clone() })?;
    item(p, biscuit, vec![word((0.0, 0.0), &number(play), MARK)])
}

/// The shortest wall with a body to hold, where its core is cut from that stock.
fn wall(p: &Parameters, stock: Stock) -> Result<Option<Item>, CouponError> {
    let cut_from = if p.walls == WallBuild::Card { Stock::Card } else { Stock::Board };
    if cut_from != stock {
        return Ok(None);
    }
    let span = [1.0 / 3.0, 0.5, 1.0, 2.0, 4.0].into_iter().find(|span| p.wall_body(*span).get() >= 12.0).unwrap_or(8.0);
    let pattern = Wall { span, opening: None }.patterns(p)?.swap_remove(0);
    let at = (p.wall_body(span).get() / 2.0, p.wall_height.get() / 2.0);
    item(p, pattern, vec![word(at, "wall", MARK)]).map(Some)
}
