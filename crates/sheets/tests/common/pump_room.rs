//! Brinewell's pump room: an invented guide with every kind of symbol. Prices and advice are
//! invented too.

use std::collections::BTreeMap;

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;
use flatwright_sheets::art::{Artwork, Face};
use flatwright_sheets::guide::{Guide, GuidePart, GuideStep, ShoppingLine};
use flatwright_sheets::page::Colour;
use flatwright_sheets::plan_view::{
    EdgeView, LevelView, PlanItem, PlanRef, PlanView, PostView, TileView, WallKind, WallView,
};

const STONE: Colour = Colour(0xC6, 0xD0, 0xC9);
const SALT: Colour = Colour(0xE9, 0xE2, 0xD0);
const BRINE: Colour = Colour(0x8F, 0xB8, 0xBE);
const BRICK: Colour = Colour(0xD9, 0xC0, 0xA4);

/// The whole guide.
pub fn guide() -> Result<Guide, Box<dyn std::error::Error>> {
    let plan = plan();
    let level = &plan.levels[0];
    let all = |items: Vec<PlanItem>| items.into_iter().map(|item| PlanRef { level: 0, item }).collect::<Vec<_>>();
    let walls = |wanted: &dyn Fn(&WallView) -> bool| {
        let found = level.walls.iter().enumerate().filter(|(_, wall)| wanted(wall));
        found.map(|(i, _)| PlanItem::Wall(i)).collect::<Vec<_>>()
    };
    let outer = |wall: &WallView| if wall.down { wall.x.is_multiple_of(5) } else { wall.y.is_multiple_of(4) };
    let posts = (0..level.posts.len()).map(PlanItem::Post);
    let biscuits = level.biscuits.len();
    let half = |from: usize, to: usize| (from..to).map(PlanItem::Tile).collect::<Vec<_>>();
    let steps = vec![
        step(
            1,
            "Wrap the tile cores",
            "Glue each wrap on its core: the face first, then the four sides, then the returns underneath. Press it under a book until it is dry.\nLet the notches for the biscuits stay free of paper.",
            &["TW1", "TW2", "TW3", "TC1", "TC2", "TC3"].map(|id| (id, shown(&plan, &id.replace("TC", "TW")))),
            Vec::new(),
        ),
        step(
            2,
            "Fold the posts",
            "Crease every fold before you glue. Roll the sleeve round a square stick and close it with the glue flap; leave the feet open.",
            &["PO1", "PO2", "PO3"].map(|id| (id, shown(&plan, id))),
            Vec::new(),
        ),
        step(
            3,
            "Join the west half of the floor",
            "Lay the tiles face down, push a biscuit half-way into each pair of notches, and close the seams. Turn the half over when all its biscuits are in.",
            &[("TW1", 1), ("TW2", 2), ("TW3", 4), ("BI1", 11)],
            all(half(0, 7).into_iter().chain((0..11).map(PlanItem::Biscuit)).collect()),
        ),
        step(
            4,
            "Join the east half to it",
            "Do the same with the other tiles, then slide the halves together along the middle seam. That seam holds least: hold the floor from below when you lift it.",
            &[("TW1", 1), ("TW2", 1), ("TW3", 1), ("BI1", 7)],
            all(half(7, 10).into_iter().chain((11..biscuits).map(PlanItem::Biscuit)).collect()),
        ),
        step(
            5,
            "Set the posts",
            "Push the feet of each post into the corner pockets. The arms show which way it must stand: every arm meets a wall.",
            &[("CP1", 24)],
            all(posts.collect()),
        ),
        step(
            6,
            "Slide in the outer walls",
            "Start with the door in the north wall, then go round clockwise. A wall slides down between two posts and needs no glue.",
            &[("WA1", 10), ("WA2", 1), ("WA4", 3), ("WA5", 1)],
            all(walls(&outer)),
        ),
        step(
            7,
            "Slide in the inner walls",
            "The arch leads to the settling tank, the low wall keeps the crew out of the brine.",
            &[("WA1", 1), ("WA3", 1), ("WA6", 1)],
            all(walls(&|wall| !outer(wall))),
        ),
    ];
    Ok(Guide {
        pictures: Vec::new(),
        artwork: Artwork::default(),
        title: "Brinewell: the pump room".into(),
        about: "The pump room keeps the lower brine hall dry, as long as somebody keeps the pumps going. It stands alone or joins the brine hall along its east side.\nA group of four builds it in two lessons: one for cutting, one for folding and putting together.".into(),
        plan: plan.clone(),
        parts: parts(&plan)?,
        steps,
        strength: vec![
            "Lift the floor with both hands under the middle, one on each side of the seam that is drawn in red. It is held by four biscuits only.".into(),
            "Take the walls out before you carry the room further than across a table: posts stay, walls do not.".into(),
            "For a school bag, part the floor along the red seam: both halves fit a box of 320 × 240 mm.".into(),
        ],
        shopping: vec![
            line("Foam board 5 mm, 500 × 700 mm", "1 sheet", Some("3.20"), "white on both sides; a second sheet if you cut by hand for the first time"),
            line("Card 0.25 mm, A4", "9 sheets", Some("1.80"), "220 to 250 g/m²"),
            line("Paper 100 g/m², A4", "8 sheets", Some("0.40"), ""),
            line("White glue", "50 ml", None, "what the school has will do"),
        ],
        cautions: vec![
            "Blades: an adult cuts the board, or stands beside whoever does. Keep fingers behind the blade and make several light cuts.".into(),
            "Biscuits and pockets are small parts: not for children under three.".into(),
            "Hot glue burns; white glue holds as well, and only needs longer.".into(),
        ],
    })
}

/// The plan alone.
fn plan() -> PlanView {
    let tile = |x, y, width, height, label: &str, colour| TileView { x, y, width, height, label: label.into(), colour };
    let tiles = vec![
        tile(0, 0, 2, 2, "TW1", STONE),
        tile(2, 0, 1, 1, "TW3", SALT),
        tile(2, 1, 1, 1, "TW3", STONE),
        tile(0, 2, 2, 1, "TW2", STONE),
        tile(2, 2, 1, 2, "TW2", SALT),
        tile(0, 3, 1, 1, "TW3", STONE),
        tile(1, 3, 1, 1, "TW3", STONE),
        tile(3, 0, 2, 2, "TW1", BRINE),
        tile(3, 2, 2, 1, "TW2", STONE),
        tile(3, 3, 1, 1, "TW3", SALT),
    ];
    use WallKind::{Arch, Bars, Door, Low, Plain, Window};
    let wall = |x, y, down, span, label: &str, kind| WallView { x, y, down, span, label: label.into(), kind };
    let walls = vec![
        wall(0, 0, false, 1, "WA1", Plain),
        wall(1, 0, false, 1, "WA2", Door),
        wall(2, 0, false, 1, "WA1", Plain),
        wall(3, 0, false, 2, "WA4", Window),
        wall(5, 0, true, 2, "WA4", Window),
        wall(5, 2, true, 1, "WA1", Plain),
        wall(5, 3, true, 1, "WA5", Bars),
        wall(0, 4, false, 1, "WA1", Plain),
        wall(1, 4, false, 1, "WA1", Plain),
        wall(2, 4, false, 1, "WA1", Plain),
        wall(3, 4, false, 1, "WA1", Plain),
        wall(4, 4, false, 1, "WA1", Plain),
        wall(0, 2, true, 2, "WA4", Window),
        wall(0, 0, true, 1, "WA1", Plain),
        wall(0, 1, true, 1, "WA1", Plain),
        wall(3, 0, true, 1, "WA1", Plain),
        wall(3, 1, true, 1, "WA3", Arch),
        wall(3, 2, false, 2, "WA6", Low),
    ];
    let posts = posts(&walls);
    let edge = |x, y, down| EdgeView { x, y, down };
    let biscuits = vec![
        edge(2, 0, true),
        edge(2, 1, true),
        edge(0, 2, false),
        edge(1, 2, false),
        edge(0, 3, false),
        edge(1, 3, true),
        edge(1, 3, false),
        edge(2, 2, true),
        edge(2, 3, true),
        edge(2, 2, false),
        edge(2, 1, false),
        edge(3, 0, true),
        edge(3, 1, true),
        edge(3, 2, true),
        edge(3, 3, true),
        edge(3, 3, false),
        edge(3, 2, false),
        edge(4, 2, false),
    ];
    let cut = (0..4).map(|y| edge(3, y, true)).collect();
    let named = LevelView { name: "Ground floor".into(), columns: 5, rows: 4, ..LevelView::default() };
    let level = LevelView { tiles, walls, posts, biscuits, cut, ..named };
    PlanView { title: "Brinewell: the pump room".into(), module: Mm::inches(3.0), levels: vec![level] }
}

/// A post wherever a wall ends, named after the way its arms lie.
fn posts(walls: &[WallView]) -> Vec<PostView> {
    let mut arms: BTreeMap<(usize, usize), u8> = BTreeMap::new();
    for wall in walls {
        let (x, y) = if wall.down { (wall.x, wall.y + wall.span) } else { (wall.x + wall.span, wall.y) };
        // North 1, west 2, south 4, east 8: a wall that runs down is south of its first end.
        let (first, last) = if wall.down { (4, 1) } else { (8, 2) };
        *arms.entry((wall.y, wall.x)).or_default() |= first;
        *arms.entry((y, x)).or_default() |= last;
    }
    let post = |((y, x), arms): ((usize, usize), u8)| {
        let label = match (arms.count_ones(), arms) {
            (1, _) => "PO4",
            (2, 0b0101 | 0b1010) => "PO2",
            (2, _) => "PO1",
            _ => "PO3",
        };
        PostView { x, y, label: label.into(), arms, plate: (x, y) == (5, 4) }
    };
    arms.into_iter().map(post).collect()
}

/// How many of a piece the plan shows.
fn shown(plan: &PlanView, id: &str) -> u32 {
    let level = &plan.levels[0];
    let labels = level.tiles.iter().map(|tile| &tile.label).chain(level.walls.iter().map(|wall| &wall.label));
    let count = labels.chain(level.posts.iter().map(|post| &post.label)).filter(|label| *label == id).count();
    u32::try_from(count).expect("a small plan")
}

fn parts(plan: &PlanView) -> Result<Vec<GuidePart>, Box<dyn std::error::Error>> {
    let p = Parameters::default();
    let mut parts: Vec<GuidePart> = Vec::new();
    let mut add = |pattern: Pattern, count: Option<u32>, colour: Option<Colour>| {
        let letters = pattern.kind.letters();
        let number = parts.iter().filter(|part| part.pattern.kind == pattern.kind).count() + 1;
        let name = format!("{}, {}", pattern.kind.name(), pattern.detail);
        let name = name.trim_end_matches(", ").to_owned();
        let id = format!("{letters}{number}");
        let count = count.unwrap_or_else(|| shown(plan, &id.replace("TC", "TW")));
        let face = colour.map(Face::tint).unwrap_or_default();
        parts.push(GuidePart { id, name, count, stock: pattern.stock, pattern, face });
    };
    for (across, along) in [(2, 2), (1, 2), (1, 1)] {
        let tile = Tile::plain(across, along, Reliefs::Corners);
        add(tile::wrap(&p, tile)?, None, Some(STONE));
        add(tile::core(&p, tile)?, None, None);
    }
    add(tile::corner_pocket(&p)?, Some(24), None);
    add(tile::biscuit(&p)?, u32::try_from(plan.levels[0].biscuits.len()).ok(), None);
    for (arms, feet) in [(0b0011, 0b0001), (0b0101, 0b0011), (0b0111, 0b0011), (0b0001, 0b0011)] {
        let stand = Stand::Feet(Feet::from_bits(feet));
        add(post::sleeve(&p, Post { arms: Arms::from_bits(arms), stand, under: false })?, None, Some(BRICK));
    }
    let (width, height) = (Mm::new(25.0), Mm::new(38.0));
    let window = |width: f64, sill: f64| Opening::Window {
        width: Mm::new(width),
        height: Mm::new(20.0),
        sill: Mm::new(sill),
        arched: true,
    };
    let openings = [
        (1.0, None),
        (1.0, Some(Opening::Door { width, height, hinge: HingeSide::Left })),
        (1.0, Some(Opening::Arch { width, height })),
        (2.0, Some(window(40.0, 14.0))),
        (1.0, Some(window(20.0, 20.0))),
        (2.0, None),
    ];
    for (span, opening) in openings {
        for pattern in (Wall { span, opening }).patterns(&p)? {
            add(pattern, None, Some(BRICK));
        }
    }
    Ok(parts)
}

fn step(number: u32, title: &str, text: &str, pieces: &[(&str, u32)], highlight: Vec<PlanRef>) -> GuideStep {
    let pieces = pieces.iter().map(|&(id, count)| (id.to_owned(), count)).collect();
    GuideStep { number, title: title.into(), text: text.into(), pieces, highlight }
}

fn line(what: &str, quantity: &str, price: Option<&str>, note: &str) -> ShoppingLine {
    ShoppingLine { what: what.into(), quantity: quantity.into(), price: price.map(Into::into), note: note.into() }
}
