//! Glue flaps: for each side that is not folded, which of its two faces carries the flap, and how
//! the flap is tapered, so that no two of them meet, neither in the flat nor inside the shell.
//!
//! A flap is folded inside its seat, so its carrier ends c / sin A short of the shell's edge, A being
//! the angle by which the faces turn there; the seat has a lip as far beyond, which covers that.

use kurbo::{Point, Rect};

use super::flap_site::{LEAST, Site, has_inner_corner, is_inner, retreat};
use super::plane;
use super::space::{Prism, Vector};
use super::unfold::{Body, Layout};

/// Heights that are tried, mm. Common practice, no source.
const HEIGHTS: [f64; 6] = [6.0, 4.5, 3.5, 2.6, 1.9, 1.4];
/// How far a flap's fold ends beside its carrier's corner, mm.
const INSETS: [f64; 5] = [0.4, 0.8, 1.6, 3.0, 5.0];
/// How much a flap's end leans in for each mm of its height.
const TAPERS: [f64; 6] = [0.3, 0.6, 1.0, 1.7, 2.5, 3.7];
/// Where along its fold a flap is parted to look for its two ends.
const PARTED: [f64; 3] = [0.5, 0.8, 0.2];
/// The taper at which flaps of a right-angled corner leave each other half of it.
const MITRE: f64 = 1.0;
/// Room between two flaps, and from a flap to the walls beside it, inside the shell, mm.
const CLEAR: f64 = 0.2;
/// A lip keeps off its neighbours by this part of the caliper in the flat: about as much as folds
/// spread the faces round a point.
const LIP_APART: f64 = 0.08;
/// How many are looked at in all ways of unfolding together: some seconds' worth.
const MOST_LOOKS: usize = 1_000_000;
/// How many flaps are tried before the search gives up.
const BUDGET: usize = 80;

/// A flap and what belongs to it.
#[derive(Clone, Debug)]
pub(super) struct Flap {
    pub ridge: usize,
    /// Which of the ridge's two faces carries it.
    pub carrier: usize,
    /// From and to along the carrier's side: where its fold is.
    pub fold: (f64, f64),
    /// The flap from its fold on, in its net.
    pub outline: Vec<Point>,
    /// What the seat has beyond its side: along that, and outward.
    pub lip: [(f64, f64); 4],
    /// The lip with its side, in the seat's net.
    lip_outline: Vec<Point>,
    landed: Prism,
    area: f64,
}

/// Flaps for all sides that are not folded; else one side that finds none.
pub(super) fn flaps(body: &Body<'_>, layout: &Layout, tool: f64) -> Result<Vec<Flap>, usize> {
    let glued: Vec<usize> = (0..body.ridges.len()).filter(|ridge| !layout.hinged[*ridge]).collect();
    if let Some(valley) = glued.iter().find(|ridge| !body.ridges[**ridge].mountain) {
        return Err(*valley);
    }
    let mut cores = Vec::new();
    let mut cut = Vec::new();
    for face in 0..body.flat.len() {
        let whole = body.core(face, &body.offsets(face, &layout.hinged, |_, _| 0.0));
        let least = body.core(face, &body.offsets(face, &layout.hinged, |ridge, _| retreat(body, ridge)));
        match (whole, least) {
            (Some(whole), Some(least)) => {
                cores.push(whole.into_iter().map(|point| layout.motion[face] * point).collect());
                cut.push(least);
            }
            // A face that is used up by its own joints: the nearest of them is the reason.
            _ if body.shell.faces()[face].made => {
                let own = body.around(face).map(|(ridge, ..)| ridge).find(|ridge| !layout.hinged[*ridge]);
                return Err(own.unwrap_or(0));
            }
            _ => {
                cores.push(body.flat[face].clone());
                cut.push(body.flat[face].clone());
            }
        }
    }
    let bounds = cores.iter().map(|core: &Vec<Point>| plane::bounds(core)).collect();
    let (gap, convex) = (tool / 2.0, body.shell.is_convex());
    let mut search = Search { body, layout, cores, bounds, cut, gap, convex, tried: 0, deepest: 0 };
    // What finds no room by itself finds none beside others.
    let alone = |ridge: usize| [0, 1].iter().any(|carrier| search.shape(&[], ridge, *carrier, 0.0).is_some());
    if let Some(none) = glued.iter().find(|ridge| !alone(**ridge)) {
        return Err(*none);
    }
    let mut placed = Vec::new();
    if search.place(&glued, &mut placed) { Ok(placed) } else { Err(glued[search.deepest]) }
}

struct Search<'a> {
    body: &'a Body<'a>,
    layout: &'a Layout,
    /// Faces in their nets, and the rectangles round them.
    cores: Vec<Vec<Point>>,
    bounds: Vec<Rect>,
    /// Faces in their own planes, as if they carried every flap.
    cut: Vec<Vec<Point>>,
    /// Room between two parts in the flat.
    gap: f64,
    convex: bool,
    tried: usize,
    deepest: usize,
}

impl Search<'_> {
    /// Places flaps on the ridges from the `placed`-th on, going back where one finds no room.
    fn place(&mut self, glued: &[usize], placed: &mut Vec<Flap>) -> bool {
        let Some(ridge) = glued.get(placed.len()) else { return true };
        self.deepest = self.deepest.max(placed.len());
        let corners = |end: usize| self.body.flat[self.body.ridges[*ridge].faces[end]].len();
        let mut options: Vec<Flap> = Vec::new();
        for carrier in [0, 1] {
            for taper in [0.0, MITRE] {
                options.extend(self.shape(placed, *ridge, carrier, taper));
            }
        }
        // The larger one; of two faces the one with fewer corners, so that lids stay plain.
        let worth = |flap: &Flap| {
            let plain = corners(flap.carrier) <= corners(1 - flap.carrier);
            flap.area * if plain { 1.0 } else { 0.8 }
        };
        options.sort_by(|a, b| worth(b).total_cmp(&worth(a)));
        options.dedup_by(|a, b| a.carrier == b.carrier && (a.area - b.area).abs() < 1e-9);
        for option in options {
            self.tried += 1;
            if self.tried > BUDGET {
                return false;
            }
            placed.push(option);
            if self.place(glued, placed) {
                return true;
            }
            placed.pop();
        }
        false
    }

    /// The largest flap that one of the ridge's faces can carry beside those that are placed.
    fn shape(&self, placed: &[Flap], ridge: usize, carrier: usize, least_taper: f64) -> Option<Flap> {
        let site = Site::new(self.body, self.layout, &self.cut, (ridge, carrier))?;
        if !self.lip_is_free(placed, &site) {
            return None;
        }
        let (low, high) = site.fold;
        for (height, part) in HEIGHTS.into_iter().flat_map(|height| PARTED.map(|part| (height, part))) {
            let middle = low + (high - low) * part;
            let end = |left: bool| {
                let room = if left { middle - low } else { high - middle };
                let mut ends: Vec<(f64, f64)> = TAPERS
                    .into_iter()
                    .filter(|taper| *taper >= least_taper)
                    .flat_map(|taper| INSETS.map(|inset| (inset, taper)))
                    .collect();
                let loss = |(inset, taper): (f64, f64)| inset * height + taper * height * height / 2.0;
                ends.sort_by(|a, b| loss(*a).total_cmp(&loss(*b)));
                ends.into_iter().find(|&(inset, taper)| {
                    let lean = taper * (height - site.start);
                    if inset + lean > room - LEAST.1 / 2.0 || inset > room - LEAST.0 / 2.0 {
                        return false;
                    }
                    let half = if left {
                        [
                            (low + inset, site.start),
                            (middle, site.start),
                            (middle, height),
                            (low + inset + lean, height),
                        ]
                    } else {
                        [
                            (middle, site.start),
                            (high - inset, site.start),
                            (high - inset - lean, height),
                            (middle, height),
                        ]
                    };
                    self.is_free(placed, &site, &half)
                })
            };
            let (Some(left), Some(right)) = (end(true), end(false)) else { continue };
            let lean = |taper: f64| taper * (height - site.start);
            let landed = [
                (low + left.0, site.start),
                (high - right.0, site.start),
                (high - right.0 - lean(right.1), height),
                (low + left.0 + lean(left.1), height),
            ];
            return Some(self.flap(&site, &landed, height));
        }
        None
    }

    fn flap(&self, site: &Site, landed: &[(f64, f64); 4], height: f64) -> Flap {
        let (from, to) = (landed[0].0, landed[1].0);
        let widths = (to - from) + (landed[2].0 - landed[3].0);
        Flap {
            ridge: site.ridge,
            carrier: site.carrier,
            fold: (site.length - to, site.length - from),
            outline: self.in_net(site, landed),
            lip: site.lip,
            lip_outline: self.lip_in_net(site),
            landed: self.prism(site, landed),
            area: widths / 2.0 * (height - site.start),
        }
    }

    /// The flap in its net, from its fold on: `landed` is along the seat's side, and inward from it.
    fn in_net(&self, site: &Site, landed: &[(f64, f64); 4]) -> Vec<Point> {
        let fold = site.allowance / 2.0 - site.retreat;
        let out = |inward: f64| inward - site.start + site.allowance - site.retreat;
        let [a, b, c, d] = *landed;
        let outline = [(a.0, fold), (b.0, fold), (b.0, out(b.1)), (c.0, out(c.1)), (d.0, out(d.1)), (a.0, out(a.1))];
        let at = |(along, out): (f64, f64)| {
            self.layout.motion[site.face] * self.body.at(site.face, site.side, site.length - along, out)
        };
        outline.into_iter().map(at).collect()
    }

    fn lip_in_net(&self, site: &Site) -> Vec<Point> {
        let at = |(along, out): (f64, f64)| {
            self.layout.motion[site.seat] * self.body.at(site.seat, site.seat_side, along, out)
        };
        site.lip.into_iter().map(at).collect()
    }

    /// The flap on its seat's inside.
    fn prism(&self, site: &Site, landed: &[(f64, f64); 4]) -> Prism {
        let shell = self.body.shell;
        let corners = shell.corners(site.seat);
        let (from, to) = (corners[site.seat_side], corners[(site.seat_side + 1) % corners.len()]);
        let normal = shell.normal(site.seat);
        let along = (to - from).unit();
        let inward = normal.cross(along);
        let area: Vec<Vector> = landed.iter().map(|(x, t)| from + along * *x + inward * *t).collect();
        Prism::new(&area, normal, self.body.card)
    }

    fn lip_is_free(&self, placed: &[Flap], site: &Site) -> bool {
        let lip = self.lip_in_net(site);
        let net = self.layout.net_of[site.seat];
        let gap = LIP_APART * self.body.card;
        let room = plane::bounds(&lip).inflate(gap, gap);
        let mut others = (0..self.cores.len())
            .filter(|face| *face != site.seat && self.layout.net_of[*face] == net && room.overlaps(self.bounds[*face]));
        others.all(|face| plane::apart(&lip, &self.cores[face], gap))
            && placed.iter().all(|flap| {
                let [carrier, seat] = self.faces(flap);
                let apart = |outline: &[Point], face: usize| {
                    self.layout.net_of[face] != net || plane::apart(&lip, outline, gap)
                };
                apart(&flap.outline, carrier) && (seat == site.seat || apart(&flap.lip_outline, seat))
            })
    }

    fn faces(&self, flap: &Flap) -> [usize; 2] {
        let faces = self.body.ridges[flap.ridge].faces;
        [faces[flap.carrier], faces[1 - flap.carrier]]
    }

    /// Whether a flap, or a half of it, is clear of everything in the flat and when folded.
    fn is_free(&self, placed: &[Flap], site: &Site, landed: &[(f64, f64); 4]) -> bool {
        let looks = self.body.looks.get();
        self.body.looks.set(looks + 1);
        looks < MOST_LOOKS
            && self.is_on_seat(site, landed)
            && self.is_flat_free(placed, site, landed)
            && self.is_inside_free(placed, site, landed)
    }

    /// Inside its seat, off what is beside that.
    fn is_on_seat(&self, site: &Site, landed: &[(f64, f64); 4]) -> bool {
        let body = self.body;
        let seat = &body.flat[site.seat];
        let landed: Vec<Point> = landed.iter().map(|(x, t)| body.at(site.seat, site.seat_side, *x, -*t)).collect();
        if !plane::contains(seat, landed[2]) || !plane::contains(seat, landed[3]) {
            return false;
        }
        plane::sides(seat).enumerate().filter(|(side, _)| *side != site.seat_side).all(|(side, segment)| {
            let margin = self.margin(site.seat, side) + CLEAR;
            plane::sides(&landed).all(|one| plane::distance(one, segment) >= margin)
        })
    }

    /// What the neighbour over a side takes of a face's inside.
    fn margin(&self, face: usize, side: usize) -> f64 {
        let body = self.body;
        let Some((ridge, _)) = body.beside(face, side) else { return 0.0 };
        let turn = body.ridges[ridge].turn;
        if !self.layout.hinged[ridge] {
            retreat(body, ridge).max(body.card * (turn / 2.0).tan())
        } else if body.ridges[ridge].mountain {
            (-body.card / turn.tan()).max(0.0)
        } else {
            body.back(ridge)
        }
    }

    fn is_flat_free(&self, placed: &[Flap], site: &Site, landed: &[(f64, f64); 4]) -> bool {
        let outline = self.in_net(site, landed);
        let net = self.layout.net_of[site.face];
        let room = plane::bounds(&outline).inflate(self.gap, self.gap);
        let mut others = (0..self.cores.len())
            .filter(|face| *face != site.face && self.layout.net_of[*face] == net && room.overlaps(self.bounds[*face]));
        self.is_off_carrier(site, landed)
            && others.all(|face| plane::apart(&outline, &self.cores[face], self.gap))
            && placed.iter().all(|flap| {
                let [carrier, seat] = self.faces(flap);
                (self.layout.net_of[carrier] != net || plane::apart(&outline, &flap.outline, self.gap))
                    && (self.layout.net_of[seat] != net
                        || plane::apart(&outline, &flap.lip_outline, LIP_APART * self.body.card))
            })
    }

    /// Beyond its fold a flap is clear of its own face, which can come round an inner corner.
    fn is_off_carrier(&self, site: &Site, landed: &[(f64, f64); 4]) -> bool {
        let corners = &self.body.flat[site.face];
        if !has_inner_corner(corners) {
            return true;
        }
        let out = |inward: f64| inward - site.start + site.allowance - site.retreat;
        let beyond: Vec<Point> =
            landed.iter().map(|(x, t)| self.body.at(site.face, site.side, site.length - x, out(*t))).collect();
        plane::apart(&beyond, &self.cut[site.face], self.gap.min(site.allowance / 2.0))
    }

    /// Off all other flaps, and inside of all walls that can be near.
    fn is_inside_free(&self, placed: &[Flap], site: &Site, landed: &[(f64, f64); 4]) -> bool {
        let prism = self.prism(site, landed);
        let body = self.body;
        // What lies under the lip is where the carrier's own end would be; from the edge on the flap
        // is inside.
        let within = if site.start < 0.0 {
            let [a, b, c, d] = *landed;
            let share = -site.start / (c.1 - site.start);
            let at = |from: (f64, f64), to: (f64, f64)| (from.0 + (to.0 - from.0) * share, 0.0);
            self.prism(site, &[at(a, d), at(b, c), c, d])
        } else {
            prism.clone()
        };
        let near: Vec<usize> = if self.convex {
            (0..body.flat.len()).filter(|face| body.shell.faces()[*face].made).collect()
        } else {
            // Only those round the two corners, and where the corner is no inner one.
            let seat = &body.flat[site.seat];
            let n = seat.len();
            let before = (site.seat_side, (site.seat_side + n - 1) % n);
            let after = ((site.seat_side + 1) % n, (site.seat_side + 1) % n);
            let outer = [before, after].into_iter().filter(|(corner, _)| !is_inner(seat, *corner));
            let ridges = outer.filter_map(|(_, side)| body.beside(site.seat, side));
            let walls = ridges.filter(|(ridge, _)| body.ridges[*ridge].mountain);
            walls.map(|(ridge, end)| body.ridges[ridge].faces[1 - end]).collect()
        };
        near.into_iter().filter(|face| *face != site.face && *face != site.seat).all(|face| {
            let plane = body.planes[face];
            within.corners().iter().all(|corner| plane.beyond(*corner) < -CLEAR / 4.0)
        }) && placed.iter().all(|flap| flap.landed.apart(&prism, CLEAR))
    }
}
