//! What an entry of the set file's list stands for.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::bent_wall::BentWall;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::post::{Post, Stand};
use flatwright_geometry::pieces::turn_tile::TurnCorner;
use flatwright_geometry::pieces::wall::Wall;

use super::Cover;
use super::bends::{bend_of, turn_tile_of};
use super::designs::{self, Designs, Ornament};
use super::inner::{cap_of, coupler_of, post_of};
use super::pieces::{Covers, Usual, Wanted};
use super::props;
use super::roofs::roof_of;
use super::standing::{filler_of, flight_of, landing_of, marker_of, pillar_of};
use super::wells::{grating_of, tile_with};
use crate::problem::{Problem, Spanned};
use crate::set_file::{Copies, Flag, Line, PieceEntry, PieceGrain, Rgb};
use crate::templates::design_draw::Site;

/// The colour of gratings that nothing is said about.
const IRON: Rgb = Rgb(0x55, 0x59, 0x5C);
/// The surface of roofs that nothing is said about.
pub(super) const ROOFS: &str = "planks";

/// What one entry stands for.
pub(super) fn expand(
    index: usize,
    entry: &Spanned<PieceEntry>,
    p: &Parameters,
    covers: &mut Covers<'_>,
    usual: Usual,
    problems: &mut Vec<Problem>,
) -> Vec<Wanted> {
    let mut at = entry.at.clone();
    at.end = at.start + 1;
    let name = format!("`pieces[{index}]`");
    let own = covers.of(entry.value.face(), problems);
    let wanted = |part: Part, count: Option<Copies>, label: &Option<Line>| Wanted {
        count: count.map_or(1, |count| count.0),
        face: own.or(usual.of(&part)).filter(|_| part.shows()),
        part,
        ornament: Ornament::default(),
        label: label.as_ref().map(|label| label.0.clone()),
        label_on_face: false,
        grain: None,
        asked_by: name.clone(),
        at: at.clone(),
    };
    let on_face = |wanted: Wanted, flag: Option<Flag>| Wanted { label_on_face: flag.is_some_and(|f| f.0), ..wanted };
    let lying = |wanted: Wanted, grain: Option<PieceGrain>| Wanted { grain, ..wanted };
    match &entry.value {
        PieceEntry::Tile(e) => {
            let Some(tile) = tile_with(e.size, e.reliefs, e.opening.as_ref(), (p, &name), problems) else {
                return Vec::new();
            };
            let mut parts = vec![
                wanted(Part::Core(tile), e.count, &e.label),
                lying(on_face(wanted(Part::Wrap(tile), e.count, &e.label), e.label_on_face), e.grain),
            ];
            let pockets = e.pockets.map_or(4, |pockets| pockets.0);
            if pockets > 0 {
                // Pockets are all alike: they join those of other tiles and carry no tile's name.
                let mut pocket = wanted(Part::Pocket, e.count, &None);
                pocket.count = pocket.count.saturating_mul(pockets);
                parts.push(pocket);
            }
            parts
        }
        PieceEntry::TileCore(e) => {
            let tile = tile_with(e.size, e.reliefs, e.opening.as_ref(), (p, &name), problems);
            tile.map(|tile| wanted(Part::Core(tile), e.count, &e.label)).into_iter().collect()
        }
        PieceEntry::TileWrap(e) => {
            let Some(tile) = tile_with(e.size, e.reliefs, e.opening.as_ref(), (p, &name), problems) else {
                return Vec::new();
            };
            let wrap = wanted(Part::Wrap(tile), e.count, &e.label);
            vec![lying(on_face(wrap, e.label_on_face), e.grain)]
        }
        PieceEntry::CornerPocket(e) => vec![lying(wanted(Part::Pocket, e.count, &e.label), e.grain)],
        PieceEntry::Biscuit(e) => vec![wanted(Part::Biscuit, e.count, &e.label)],
        PieceEntry::Post(e) => {
            let Some(post) = post_of(&name, e.arms, e.feet.as_ref(), e.base, problems) else { return Vec::new() };
            let post = Post { under: e.under.is_some_and(|under| under.0), ..post };
            let sleeve = on_face(wanted(Part::Sleeve(post), e.count, &e.label), e.label_on_face);
            let sleeve = lying(sleeve, e.grain);
            let under = if post.stand == Stand::BasePlate { &[Part::Plate, Part::Plug][..] } else { &[] };
            let under = under.iter().map(|part| wanted(part.clone(), e.count, &None));
            std::iter::once(sleeve).chain(under).collect()
        }
        PieceEntry::Cap(e) => {
            let cap = on_face(wanted(Part::Cap(cap_of(e.arms)), e.count, &e.label), e.label_on_face);
            vec![lying(cap, e.grain)]
        }
        PieceEntry::Coupler(e) => vec![lying(wanted(Part::Coupler(coupler_of(e.arms)), e.count, &e.label), e.grain)],
        PieceEntry::Wall(e) => {
            let designs = Designs { library: covers.library, parameters: p };
            let (opening, design) = (e.opening.as_ref(), e.design.as_ref());
            let asked = designs::Entry { span: e.span.modules(), opening, design, asked_by: &name, at: &at };
            let Some((wall, ornament)) = designs.wall(asked, problems) else { return Vec::new() };
            let wall = Wanted { ornament, ..wanted(Part::Wall(wall), e.count, &e.label) };
            vec![lying(on_face(wall, e.label_on_face), e.grain)]
        }
        PieceEntry::Stair(e) => {
            let stair = wanted(Part::Stair(flight_of(e)), e.count, &e.label);
            vec![lying(on_face(stair, e.label_on_face), e.grain)]
        }
        PieceEntry::HalfLanding(e) => {
            let landing = wanted(Part::Stair(landing_of(e)), e.count, &e.label);
            vec![lying(on_face(landing, e.label_on_face), e.grain)]
        }
        PieceEntry::StairMarker(e) => {
            let marker = wanted(Part::Stair(marker_of(e)), e.count, &e.label);
            vec![lying(on_face(marker, e.label_on_face), e.grain)]
        }
        PieceEntry::Pillar(e) => {
            let pillar = wanted(Part::Pillar(pillar_of(e, p)), e.count, &e.label);
            vec![lying(on_face(pillar, e.label_on_face), e.grain)]
        }
        PieceEntry::FreeWall(e) => {
            let designs = Designs { library: covers.library, parameters: p };
            let (opening, design) = (e.opening.as_ref(), e.design.as_ref());
            let asked = designs::Entry { span: e.span.modules(), opening, design, asked_by: &name, at: &at };
            let Some((Wall { span, opening }, ornament)) = designs.wall(asked, problems) else { return Vec::new() };
            let wall = Part::FreeWall(FreeWall { span, opening });
            let wall = Wanted { ornament, ..wanted(wall, e.count, &e.label) };
            vec![lying(on_face(wall, e.label_on_face), e.grain)]
        }
        PieceEntry::BentWall(e) => {
            let bend = bend_of(e.reach.0, e.form);
            let plain = BentWall { bend, opening: None };
            // A bend without room is told of when its piece is made; no design can be drawn for it.
            let span = if bend.check(p).is_ok() { plain.developed_span(p) } else { 1.0 };
            let designs = Designs { library: covers.library, parameters: p };
            let (opening, design) = (e.opening.as_ref(), e.design.as_ref());
            let asked = designs::Entry { span, opening, design, asked_by: &name, at: &at };
            let Some((Wall { opening, .. }, ornament)) = designs.wall(asked, problems) else { return Vec::new() };
            let wall = Part::BentWall(BentWall { opening, ..plain });
            let wall = Wanted { ornament, ..wanted(wall, e.count, &e.label) };
            vec![lying(on_face(wall, e.label_on_face), e.grain)]
        }
        PieceEntry::TurnTile(e) => {
            let Some(tile) = turn_tile_of(e, p, (&name, &at), problems) else { return Vec::new() };
            let wrap = on_face(wanted(Part::TurnWrap(tile), e.count, &e.label), e.label_on_face);
            let mut parts = vec![wanted(Part::TurnCore(tile), e.count, &e.label), lying(wrap, e.grain)];
            let corners = if e.pockets.is_none_or(|flag| flag.0) { tile.corners(p) } else { Vec::new() };
            // As those of other tiles, they carry no tile's name.
            let pocket = |corner: TurnCorner| corner.pocket.map_or(Part::Pocket, Part::BendPocket);
            for corner in corners {
                let pocket = wanted(pocket(corner), e.count, &None);
                match parts.iter_mut().find(|part| part.part == pocket.part) {
                    Some(alike) => alike.count = alike.count.saturating_add(pocket.count),
                    None => parts.push(pocket),
                }
            }
            parts
        }
        PieceEntry::Filler(e) => {
            let filler = wanted(Part::Filler(filler_of(e)), e.count, &e.label);
            vec![lying(on_face(filler, e.label_on_face), e.grain)]
        }
        PieceEntry::Grating(e) => {
            let Some(grating) = grating_of(e, problems) else { return Vec::new() };
            let face = own.or(Some(Cover::Colour(IRON)));
            let grating = Wanted { face, ..wanted(Part::Grating(grating), e.count, &e.label) };
            vec![lying(grating, e.grain)]
        }
        PieceEntry::Roof(e) => {
            let Some(roof) = roof_of(e, p, (&name, &at), problems) else { return Vec::new() };
            let face = own.or_else(|| covers.carried(ROOFS));
            let roof = Wanted { face, ..wanted(Part::Roof(roof), e.count, &e.label) };
            vec![lying(on_face(roof, e.label_on_face), e.grain)]
        }
        PieceEntry::Prop(e) => {
            let site = Site { parameters: p, span: 1.0, asked_by: &name, at: &at };
            let library = covers.library;
            let mut parts = Vec::new();
            for part in props::parts(&e.design, library, site, problems) {
                // The set's word goes before the prop's own.
                let face = own.or(covers.of(part.face, problems));
                let mut wanted = Wanted { face, ..wanted(Part::Prop(part.prop), e.count, &e.label) };
                wanted.count = wanted.count.saturating_mul(u32::try_from(part.at.len()).unwrap_or(u32::MAX));
                parts.push(lying(on_face(wanted, e.label_on_face), e.grain));
            }
            parts
        }
    }
}
