//! Goes through a certificate again. Nothing here is shared with the search for bounds: geometry,
//! grids and enumeration are its own, and it asks only for what the claimed number needs.

use flatwright_geometry::tolerance;
use kurbo::{Point, Rect, Vec2};

use super::{Bound, Certificate, Measure, Weights};
use crate::job::Job;

mod exclusion;
mod heaviest;
mod plane;
mod sizes;

/// Taken off on top of the checker's tolerance, mm.
const ROUNDING: f64 = 2e-6;

/// One thing that a certificate does not prove.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum Doubt {
    /// Parts of the certificate do not belong to this job.
    #[error("the certificate is not of this job: {0}")]
    OtherJob(&'static str),
    /// A class joins items that differ.
    #[error("class {class} joins items that differ in outline or turns")]
    Unlike {
        /// The class.
        class: usize,
    },
    /// A rectangle that is not within its outline.
    #[error("the rectangle of class {class} is not within its outline")]
    Rectangle {
        /// The class.
        class: usize,
    },
    /// Pieces that may lie on one sheet after all, or for which no proof was found.
    #[error("sheet kind {sheet} may hold the pieces of excluded set {set}")]
    Excluded {
        /// The sheet kind.
        sheet: usize,
        /// Which of its sets.
        set: usize,
    },
    /// A sheet that may hold more than is claimed.
    #[error("a sheet of kind {sheet} may hold a weight of {may}, more than {most}")]
    Heavier {
        /// The sheet kind.
        sheet: usize,
        /// What it may hold.
        may: u64,
        /// What the claim allows.
        most: u64,
    },
    /// More sets of pieces than can be gone through.
    #[error("what a sheet of kind {sheet} holds at most takes too long to find out")]
    TooMany {
        /// The sheet kind.
        sheet: usize,
    },
    /// A claim that does not follow from the weights.
    #[error("the weights do not prove {claim}")]
    Claim {
        /// What is claimed.
        claim: String,
    },
}

/// Proves anew that no layout of `job` takes fewer sheets, or costs less, than `bound` says.
///
/// # Errors
/// Every [`Doubt`] found.
pub fn recheck(job: &Job, bound: &Bound) -> Result<(), Vec<Doubt>> {
    let doubts = match belongs(job, &bound.certificate) {
        Err(doubt) => vec![doubt],
        Ok(()) => {
            let check = Recheck { job, bound, rules: Rules::of(job) };
            let mut doubts = check.classes();
            // The rest looks at one item of each class.
            if doubts.is_empty() {
                doubts.extend(check.exclusions());
                doubts.extend(check.sheets());
                doubts.extend(check.price());
            }
            doubts
        }
    };
    if doubts.is_empty() { Ok(()) } else { Err(doubts) }
}

/// What the checker refuses for sure, all mm.
#[derive(Clone, Copy)]
struct Rules {
    /// Outlines nearer than this.
    near: f64,
    /// Outlines that share a disc of this radius.
    disc: f64,
    /// By how much a sheet is wider and higher than its free area.
    wider: f64,
}

impl Rules {
    fn of(job: &Job) -> Self {
        let near = job.gap().get() - tolerance::FIT - ROUNDING;
        let wider = 2.0 * tolerance::FIT + ROUNDING;
        if near > 0.0 {
            Self { near, disc: 0.0, wider }
        } else {
            Self { near: 0.0, disc: 2.0 * tolerance::FIT + ROUNDING, wider }
        }
    }
}

/// Whether the certificate's lists have the lengths of the job's.
fn belongs(job: &Job, certificate: &Certificate) -> Result<(), Doubt> {
    let classes = certificate.classes.len();
    let mut items: Vec<usize> = certificate.classes.iter().flatten().copied().collect();
    items.sort_unstable();
    if items != (0..job.items().len()).collect::<Vec<_>>() || certificate.classes.iter().any(Vec::is_empty) {
        return Err(Doubt::OtherJob("not every item is in one class"));
    }
    let weights = || std::iter::once(&certificate.sheets).chain(&certificate.price);
    if certificate.inner.len() != classes || (classes > 0 && weights().any(|w| w.of_class.len() != classes)) {
        return Err(Doubt::OtherJob("not every class has a rectangle and a weight"));
    }
    let sheets = job.sheets().len();
    if classes > 0 && (certificate.limits.len() != sheets || weights().any(|w| w.most.len() != sheets)) {
        return Err(Doubt::OtherJob("not every kind of sheet has limits"));
    }
    let sets = || certificate.limits.iter().flat_map(|limits| &limits.excluded);
    if sets().any(|set| set.is_empty() || set.iter().any(|&(class, count)| class >= classes || count == 0)) {
        return Err(Doubt::OtherJob("an excluded set names no pieces of this job"));
    }
    Ok(())
}

struct Recheck<'a> {
    job: &'a Job,
    bound: &'a Bound,
    rules: Rules,
}

impl Recheck<'_> {
    fn classes(&self) -> Vec<Doubt> {
        let items = self.job.items();
        let certificate = &self.bound.certificate;
        let mut doubts = Vec::new();
        for (class, members) in certificate.classes.iter().enumerate() {
            let first = &items[members[0]];
            if members.iter().any(|&i| items[i].outline != first.outline || items[i].turns != first.turns) {
                doubts.push(Doubt::Unlike { class });
            }
            let inner = certificate.inner[class];
            if inner.area() > 0.0 && !plane::rect_within(inner, first.outline.points()) {
                doubts.push(Doubt::Rectangle { class });
            }
        }
        doubts
    }

    fn exclusions(&self) -> Vec<Doubt> {
        let mut doubts = Vec::new();
        for (sheet, limits) in self.bound.certificate.limits.iter().enumerate() {
            let size = self.room(sheet);
            let mut prover = exclusion::Prover::new(size, self.rules, self.job.effort());
            for (set, pieces) in limits.excluded.iter().enumerate() {
                let shapes = pieces.iter().map(|&(class, count)| (class, count, self.turned(class)));
                if !prover.never(&shapes.collect::<Vec<_>>()) {
                    doubts.push(Doubt::Excluded { sheet, set });
                }
            }
        }
        doubts
    }

    /// The outlines of a class in all its turns.
    fn turned(&self, class: usize) -> Vec<(u8, Vec<Point>)> {
        let item = &self.job.items()[self.bound.certificate.classes[class][0]];
        let turned = |turn: u8| -> Vec<Point> {
            let quarter = |p: Point| match turn {
                0 => p,
                1 => Point::new(-p.y, p.x),
                2 => Point::new(-p.x, -p.y),
                _ => Point::new(p.y, -p.x),
            };
            let points: Vec<Point> = item.outline.points().iter().copied().map(quarter).collect();
            let corner =
                points.iter().fold(Vec2::new(f64::MAX, f64::MAX), |low, p| Vec2::new(low.x.min(p.x), low.y.min(p.y)));
            points.into_iter().map(|p| p - corner).collect()
        };
        (0..4).filter(|&turn| item.turns.allows(turn)).map(|turn| (turn, turned(turn))).collect()
    }

    /// Width and height in which outlines may lie.
    fn room(&self, sheet: usize) -> (f64, f64) {
        let free = self.job.sheets()[sheet].free;
        (free.width() + self.rules.wider, free.height() + self.rules.wider)
    }

    fn copies(&self) -> Vec<u64> {
        let items = self.job.items();
        let sum = |members: &Vec<usize>| members.iter().map(|&i| u64::from(items[i].copies)).sum();
        self.bound.certificate.classes.iter().map(sum).collect()
    }

    fn total(&self, weights: &Weights) -> u128 {
        weights.of_class.iter().zip(self.copies()).map(|(w, n)| u128::from(*w) * u128::from(n)).sum()
    }

    /// With more than `n - 1` times what a sheet holds, n sheets are needed.
    fn sheets(&self) -> Vec<Doubt> {
        let (sheets, weights) = (self.bound.sheets, &self.bound.certificate.sheets);
        let claim = || Doubt::Claim { claim: format!("{sheets} sheets") };
        if sheets <= 1 {
            return if sheets == 1 && self.job.items().is_empty() { vec![claim()] } else { Vec::new() };
        }
        let total = self.total(weights);
        let allowed = u64::try_from(total.saturating_sub(1) / u128::from(sheets - 1)).unwrap_or(u64::MAX);
        if total == 0 {
            return vec![claim()];
        }
        (0..self.job.sheets().len()).filter_map(|sheet| self.heavier(sheet, weights, allowed)).collect()
    }

    fn price(&self) -> Vec<Doubt> {
        let kinds = self.job.sheets();
        let claimed = self.bound.price;
        let claim = || Doubt::Claim { claim: format!("a price of {claimed}") };
        let cheapest = kinds.iter().map(|kind| kind.price).fold(f64::INFINITY, f64::min);
        if claimed <= self.bound.sheets as f64 * cheapest {
            return Vec::new();
        }
        let Some(weights) = &self.bound.certificate.price else { return vec![claim()] };
        // All sheets weigh as much as the pieces, at the least price per weight.
        let total = self.total(weights) as f64;
        let mut doubts = Vec::new();
        for (sheet, kind) in kinds.iter().enumerate() {
            let allowed = (kind.price * total / claimed * (1.0 + 1e-9)) as u64;
            doubts.extend(self.heavier(sheet, weights, allowed));
        }
        doubts
    }

    /// A doubt where a sheet may hold more than `allowed`.
    fn heavier(&self, sheet: usize, weights: &Weights, allowed: u64) -> Option<Doubt> {
        let certificate = &self.bound.certificate;
        let limits = &certificate.limits[sheet];
        let (width, height) = self.room(sheet);
        let sizer = sizes::Sizer { width, height, near: self.rules.near, disc: self.rules.disc };
        let first = |class: usize| &self.job.items()[certificate.classes[class][0]];
        let classes = 0..certificate.classes.len();
        let fits = |class: usize| sizer.fits(first(class));
        let copies = self.copies();
        let most = classes.clone().map(|class| if fits(class) { copies[class] } else { 0 });
        let sizes = limits.measures.iter().map(|&measure| {
            let size = |class: usize| match measure {
                Measure::Area => sizer.area(first(class)),
                Measure::Product(f, g) => sizer.product(first(class), certificate.inner[class], f, g),
            };
            classes.clone().map(size).collect()
        });
        let question = heaviest::Question {
            weights: &weights.of_class,
            most: most.collect(),
            sizes: sizes.collect(),
            excluded: &limits.excluded,
        };
        match question.more_than(allowed) {
            heaviest::Found::Nothing => None,
            heaviest::Found::Weight(may) => Some(Doubt::Heavier { sheet, may, most: allowed }),
            heaviest::Found::TooMany => Some(Doubt::TooMany { sheet }),
        }
    }
}

/// The box around some points.
fn bounds(points: &[Point]) -> Rect {
    points.iter().fold(Rect::from_points(points[0], points[0]), |bounds, p| bounds.union_pt(*p))
}
