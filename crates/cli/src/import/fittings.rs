//! Fittings of a floor plan: what its text calls, to what is folded and what that covers of the floor.

use std::sync::Arc;

use flatwright_folding::fixture;
use flatwright_folding::solid::Solid;
use flatwright_geometry::contour::Contour;
use flatwright_geometry::parameters::Parameters;
use flatwright_geometry::pattern::Pattern;
use flatwright_geometry::pieces::PieceError;
use flatwright_geometry::pieces::free_wall::FreeWall;
use flatwright_geometry::pieces::opening::Opening;
use flatwright_geometry::pieces::piece::Piece as Part;
use flatwright_geometry::pieces::pillar::Pillar;
use flatwright_geometry::pieces::solid::Shell;
use flatwright_geometry::pieces::solid::space::Vector;
use flatwright_geometry::pieces::stair::Stair;
use flatwright_geometry::region::{self, Region};
use flatwright_geometry::tolerance;
use flatwright_geometry::units::Mm;
use flatwright_planning::fittings::{FittingBody, FittingDesign, FittingPart, Form, Stance};
use flatwright_planning::text::{FittingCall, PlanText, Spot};
use kurbo::{Affine, Point, Rect};

use super::designs::{Designs, Ornament};
use super::entries::ROOFS;
use super::pieces::{Covers, Usual};
use super::{Cover, props};
use crate::problem::{At, Problem, Source, Spanned};
use crate::set_file::{Covering, DesignCall, Line, PropCall, Rgb};
use crate::templates::design_draw::{Given, Site};

/// What fittings, and what roofs are covered with, in the order of the plan's.
#[derive(Debug, Default)]
pub(super) struct Fitted(Vec<Worn>, Vec<Option<Spanned<String>>>);

/// What one wears.
#[derive(Clone, Debug, Default)]
struct Worn {
    /// As the plan says.
    face: Option<Spanned<String>>,
    /// As the prop's file says, part by part.
    parts: Vec<Option<Spanned<Covering>>>,
    /// What is painted on a free-standing wall.
    ornament: Ornament,
}

impl Fitted {
    /// What is painted on a fitting.
    pub fn ornament(&self, design: usize) -> Ornament {
        self.0.get(design).map(|worn| worn.ornament.clone()).unwrap_or_default()
    }

    /// The covers of every roof: planks where the plan says nothing.
    pub fn roofs(&self, covers: &mut Covers<'_>, problems: &mut Vec<Problem>) -> Vec<Option<Cover>> {
        let mut cover = |face: &Option<Spanned<String>>| match face {
            Some(face) => named(face, covers, problems),
            None => covers.carried(ROOFS),
        };
        self.1.iter().map(&mut cover).collect()
    }

    /// The covers of every part of every fitting: what the plan says goes before what a prop's file
    /// says, and that before what such pieces usually have.
    pub fn faces(
        &self,
        fittings: &[FittingDesign],
        covers: &mut Covers<'_>,
        usual: Usual,
        problems: &mut Vec<Problem>,
    ) -> Vec<Vec<Option<Cover>>> {
        let mut faces = Vec::new();
        for (worn, design) in self.0.iter().zip(fittings) {
            let own = worn.face.as_ref().and_then(|face| named(face, covers, problems));
            let mut of_parts = Vec::new();
            for (index, part) in design.body.parts.iter().enumerate() {
                let file = worn.parts.get(index).and_then(Option::as_ref);
                let face = own.or_else(|| covers.of(file, problems)).or(usual.of(&part.piece));
                of_parts.push(face);
            }
            faces.push(of_parts);
        }
        faces
    }
}

fn named(face: &Spanned<String>, covers: &mut Covers<'_>, problems: &mut Vec<Problem>) -> Option<Cover> {
    let digits = face.value.strip_prefix('#').filter(|digits| digits.len() == 6);
    let Some(number) = digits.and_then(|digits| u32::from_str_radix(digits, 16).ok()) else {
        return covers.art.named(&face.value, &face.at, covers.library, problems);
    };
    let [_, r, g, b] = number.to_be_bytes();
    Some(Cover::Colour(Rgb(r, g, b)))
}

impl Designs<'_> {
    /// Draws the fittings of a plan: their pieces and what they cover of the floor.
    pub fn fittings(&self, text: &mut PlanText, source: &Source, problems: &mut Vec<Problem>) -> Fitted {
        let place = |spot: Spot| At::line(source, spot.line, spot.column, spot.length);
        let mut worn = Vec::new();
        for (index, design) in text.plan.fittings.iter_mut().enumerate() {
            let at = text.fitting_spots.get(index).map_or_else(|| At::line(source, 1, 1, 1), |spot| place(*spot));
            let call = text.fitting_calls.iter().find(|call| call.design == index);
            let asked_by = design.called();
            let site = Site { parameters: self.parameters, span: 1.0, asked_by: &asked_by, at: &at };
            let face = design.face.as_ref().map(|(face, (line, column))| {
                let at = At::line(source, *line, *column, face.chars().count());
                Spanned { value: face.clone(), at }
            });
            let mut wears = Worn { face, ..Worn::default() };
            let drawn = match (&design.form, call) {
                (Form::Prop, Some(call)) => self.prop(call, &place, site, &mut wears, problems),
                (Form::Prop, None) => continue,
                (form, call) => {
                    let opening = match (form, call) {
                        (Form::FreeWall(span), Some(call)) => {
                            let site = Site { span: *span, ..site };
                            let Some((opening, ornament)) = self.opening(call, &place, site, problems) else {
                                worn.push(wears);
                                continue;
                            };
                            wears.ornament = ornament;
                            Some(opening)
                        }
                        _ => None,
                    };
                    match whole(self.parameters, form, opening) {
                        Ok(body) => Some(body),
                        Err(error) => {
                            let problem = Problem::new(format!("{asked_by} cannot be built: {error}"));
                            problems.push(problem.at(&at, "here").help(error.help()));
                            None
                        }
                    }
                }
            };
            design.body = drawn.unwrap_or_default();
            worn.push(wears);
        }
        let roofs = text.plan.roofs.iter().map(|roof| {
            roof.face.as_ref().map(|(face, (line, column))| {
                let at = At::line(source, *line, *column, face.chars().count());
                Spanned { value: face.clone(), at }
            })
        });
        Fitted(worn, roofs.collect())
    }

    fn prop(
        &self,
        call: &FittingCall,
        place: &dyn Fn(Spot) -> At,
        site: Site<'_>,
        wears: &mut Worn,
        problems: &mut Vec<Problem>,
    ) -> Option<FittingBody> {
        let name = Spanned { value: Line(call.name.0.clone()), at: place(call.name.1) };
        let values = call.values.iter().map(|said| (said.key.clone(), said.value.clone(), place(said.at))).collect();
        let parts = props::parts(&PropCall(DesignCall { name, values }), self.library, site, problems);
        wears.parts = parts.iter().map(|part| part.face.cloned()).collect();
        let shells: Vec<(Part, Shell, Vec<Stance>)> = parts
            .into_iter()
            .map(|part| {
                let axes = part.axes();
                let stances = part.at.iter().map(|at| Stance { axes, at: *at }).collect();
                let shell = part.prop.outside.clone();
                (Part::Prop(part.prop), shell, stances)
            })
            .collect();
        (!shells.is_empty()).then(|| of_shells(self.parameters, shells))
    }

    fn opening(
        &self,
        call: &FittingCall,
        place: &dyn Fn(Spot) -> At,
        site: Site<'_>,
        problems: &mut Vec<Problem>,
    ) -> Option<(Opening, Ornament)> {
        let given = |said: &flatwright_planning::text::Said| Given {
            key: said.key.clone(),
            text: said.value.clone(),
            at: place(said.at),
        };
        let given: Vec<Given> = call.values.iter().map(given).collect();
        let drawn = self.named(&call.name.0, &place(call.name.1), &given, site, problems)?;
        Some((drawn.opening, Arc::new(drawn.ornament)))
    }
}

/// What is no prop.
fn whole(p: &Parameters, form: &Form, opening: Option<Opening>) -> Result<FittingBody, PieceError> {
    let upright = vec![Stance { axes: UPRIGHT, at: Vector::default() }];
    let one = |piece: Part, shell: Shell| of_shells(p, vec![(piece, shell, upright.clone())]);
    let stair = |stair: Stair| -> Result<FittingBody, PieceError> {
        let piece = Part::Stair(stair);
        let shell = stair.outside(p)?;
        Ok(match shell {
            Some(shell) => one(piece, shell),
            None => {
                let (long, wide) = piece.patterns(p)?.first().map(Pattern::size).unwrap_or_default();
                flat(piece, (long, wide), p.card)
            }
        })
    };
    match form {
        Form::Prop => Ok(FittingBody::default()),
        Form::Pillar { sides, across, height } => {
            let pillar = Pillar { sides: *sides, across: *across, height: height.unwrap_or(p.wall_height) };
            let shell = pillar.outside()?;
            Ok(one(Part::Pillar(pillar), shell))
        }
        Form::FreeWall(span) => {
            let wall = FreeWall { span: *span, opening };
            wall.patterns(p)?;
            let size = wall.plate_size(p)?;
            let piece = Part::FreeWall(wall);
            // How high it is with its opening shows when it is folded; whether it folds is told later.
            let bodies = fixture::bodies(p, &piece).unwrap_or_default();
            let corners = bodies.iter().flat_map(|body| &body.solids).flat_map(Solid::corners);
            let height = corners.map(|corner| corner.z).fold(0.0, f64::max);
            Ok(flat(piece, size, Mm::new(height)))
        }
        Form::Flight(flight) => stair(Stair::Flight(*flight)),
        Form::Landing(landing) => stair(Stair::Landing(*landing)),
        Form::Marker(marker) => stair(Stair::Marker(*marker)),
    }
}

const UPRIGHT: [Vector; 3] = [Vector::new(1.0, 0.0, 0.0), Vector::new(0.0, 1.0, 0.0), Vector::new(0.0, 0.0, 1.0)];

/// What covers a rectangle and has its origin in the middle of it.
fn flat(piece: Part, (long, wide): (Mm, Mm), height: Mm) -> FittingBody {
    let area = Rect::from_center_size(Point::ORIGIN, (long.get(), wide.get()));
    let stances = vec![Stance { axes: UPRIGHT, at: Vector::default() }];
    FittingBody {
        parts: vec![FittingPart { piece, stances }],
        outline: Contour::rectangle(area).map(Region::from).into_iter().collect(),
        height,
    }
}

/// Shells as they stand, moved so that the middle of what they cover is the origin and nothing is below
/// the floor: where a side leans, the edge of its card is a little below its shell.
fn of_shells(p: &Parameters, shells: Vec<(Part, Shell, Vec<Stance>)>) -> FittingBody {
    let mut covered: Vec<Region> = Vec::new();
    let (mut low, mut high) = (0.0_f64, 0.0_f64);
    for (piece, shell, stances) in &shells {
        // Whether it folds is told later.
        let bodies = fixture::bodies(p, piece).unwrap_or_default();
        let corners = bodies.iter().flat_map(|body| &body.solids).flat_map(Solid::corners);
        let folded: Vec<Vector> = corners.map(|corner| Vector::new(corner.x, corner.y, corner.z)).collect();
        for stance in stances {
            let points: Vec<Vector> = shell.points().iter().map(|point| stood(stance, *point)).collect();
            let heights = folded.iter().map(|point| stood(stance, *point).z).chain(points.iter().map(|point| point.z));
            (low, high) = heights.fold((low, high), |(low, high), z| (low.min(z), high.max(z)));
            // Upright faces cover nothing.
            covered.extend(shell.faces().iter().filter_map(|face| {
                let corners = face.corners.iter().map(|corner| Point::new(points[*corner].x, points[*corner].y));
                let contour = Contour::new(corners).ok()?;
                (contour.area() > tolerance::FIT).then(|| Region::from(contour))
            }));
        }
    }
    let outline = region::union(&covered);
    let bounds = outline.iter().map(Region::bounds).reduce(|one, other| one.union(other)).unwrap_or_default();
    let middle = bounds.center();
    let shift = Vector::new(-middle.x, -middle.y, -low);
    let part = |(piece, _, stances): (Part, Shell, Vec<Stance>)| {
        let stances = stances.into_iter().map(|stance| Stance { at: stance.at + shift, ..stance }).collect();
        FittingPart { piece, stances }
    };
    FittingBody {
        parts: shells.into_iter().map(part).collect(),
        outline: outline.iter().map(|region| region.moved(Affine::translate(-middle.to_vec2()))).collect(),
        height: Mm::new(high - low),
    }
}

fn stood(Stance { axes: [east, north, up], at }: &Stance, point: Vector) -> Vector {
    *at + *east * point.x + *north * point.y + *up * point.z
}
