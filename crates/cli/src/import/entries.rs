//! What an entry of the set file's list stands for.

use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::post::{Post, Stand};
use flatwright_geometry::pieces::wall::Wall;

use super::designs::{self, Designs, Ornament};
use super::inner::{cap_of, coupler_of, post_of, tile_of};
use super::pieces::{Covers, Usual, Wanted};
use super::props;
use super::roofs::roof_of;
use super::standing::{flight_of, landing_of, marker_of, pillar_of};
use crate::problem::{Problem, Spanned};
use crate::set_file::{Copies, Flag, Line, PieceEntry, PieceGrain};
use crate::templates::design_draw::Site;

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
            let tile = tile_of(e.size, e.reliefs);
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
        PieceEntry::TileCore(e) => vec![wanted(Part::Core(tile_of(e.size, e.reliefs)), e.count, &e.label)],
        PieceEntry::TileWrap(e) => {
            let wrap = wanted(Part::Wrap(tile_of(e.size, e.reliefs)), e.count, &e.label);
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
            let asked = designs::Entry { span: e.span, opening, design, asked_by: &name, at: &at };
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
            let asked = designs::Entry { span: e.span, opening, design, asked_by: &name, at: &at };
            let Some((Wall { span, opening }, ornament)) = designs.wall(asked, problems) else { return Vec::new() };
            let wall = Part::FreeWall(FreeWall { span, opening });
            let wall = Wanted { ornament, ..wanted(wall, e.count, &e.label) };
            vec![lying(on_face(wall, e.label_on_face), e.grain)]
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
