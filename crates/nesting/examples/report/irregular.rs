//! The irregular jigsaw sets JP1 and JP2 (Terashima-Marin et al. 2010, Lopez-Camacho 2012): their
//! reader, and a run over them.
//!
//! In 990 of the 1,020 instances square bins of 1,000 x 1,000 were cut into pieces, so the optimum is known: the
//! number of bins that were cut, 5,880 in all. The 30 of class TG were not cut from whole bins;
//! they are packed too, and counted apart. Every piece is given as it lies in the optimum, so it
//! needs no turn, and none is allowed here. Corners have whole coordinates; one is read as 1 mm.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::Instant;

use flatwright_geometry::contour::Contour;
use flatwright_geometry::units::Mm;
use flatwright_nesting::{Item, Job, Layout, PackedSheet, Placement, SheetKind, Turns, check, lower_bound, pack};
use kurbo::{Point, Rect, Vec2};

/// Steps spent on one instance.
pub const EFFORT: u32 = 25_000;
/// Steps for the bound: the area says it all where bins were cut without waste.
pub const BOUND_EFFORT: u32 = 500;
const SETS: [(&str, &str); 2] = [("JP1", "terashima1"), ("JP2", "terashima2")];

/// One instance as published.
pub struct Instance {
    pub set: &'static str,
    /// `TA001`, `TA001C5`.
    pub name: String,
    pub sheet: (f64, f64),
    pub pieces: Vec<Vec<Point>>,
    /// The pieces of each bin of the published optimum, where there is one.
    pub optimum: Option<Vec<Vec<Vec<Point>>>>,
}

impl Instance {
    /// The job: each piece once, as drawn, no gap.
    pub fn job(&self, seed: u64, effort: u32) -> Option<Job> {
        let items: Option<Vec<Item>> = self
            .pieces
            .iter()
            .enumerate()
            .map(|(i, piece)| {
                let outline = Contour::new(piece.iter().copied()).ok()?;
                Some(Item { name: format!("piece {}", i + 1), outline, copies: 1, turns: Turns::Fixed })
            })
            .collect();
        let free = Rect::new(0.0, 0.0, self.sheet.0, self.sheet.1);
        Job::new(items?, vec![SheetKind { name: "bin".into(), free, price: 1.0 }], Mm::ZERO, seed, effort).ok()
    }
}

/// All instances of both sets by name, or `None` where the data is not there.
pub fn instances() -> Option<Vec<Instance>> {
    let root = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../../shared/data/packing/irregular_bin");
    let mut all = Vec::new();
    for (set, folder) in SETS {
        let Ok(entries) = std::fs::read_dir(root.join(folder)) else {
            println!("skipped: there is no {}", root.join(folder).display());
            return None;
        };
        let mut names: Vec<String> = entries
            .flatten()
            .filter_map(|entry| entry.file_name().into_string().ok())
            .filter_map(|name| name.strip_suffix(".txt").map(str::to_owned))
            .filter(|name| name.starts_with('T'))
            .collect();
        names.sort();
        for name in names {
            match read(&root.join(folder), set, &name) {
                Some(instance) => all.push(instance),
                None => println!("unreadable: {set} {name}"),
            }
        }
    }
    Some(all)
}

/// Packs every `every`-th instance of `classes` (all where `None`) and prints what came of it.
pub fn run(every: usize, effort: u32, classes: Option<&str>) -> ExitCode {
    let Some(all) = instances() else { return ExitCode::SUCCESS };
    let wanted = |i: &Instance| classes.is_none_or(|c| c.split(',').any(|c| i.name.starts_with(c)));
    let mut tallies: BTreeMap<(&str, String), Tally> = BTreeMap::new();
    for instance in all.iter().filter(|i| wanted(i)).step_by(every.max(1)) {
        let (Some(job), Some(short)) = (instance.job(1, effort), instance.job(1, BOUND_EFFORT)) else {
            println!("no job: {} {}", instance.set, instance.name);
            continue;
        };
        let start = Instant::now();
        let bound = lower_bound(&short);
        let Ok(layout) = pack(&job, &bound, &mut |_| {}) else {
            println!("not packed: {} {}", instance.set, instance.name);
            continue;
        };
        let seconds = start.elapsed().as_secs_f64();
        let broken = check::check(&job, &layout).err().map_or(0, |v| v.len());
        let best = instance.optimum.as_ref().map(|bins| bins.len() as u64);
        if best.is_some_and(|best| layout.sheets_used() > best) || broken > 0 || seconds > 10.0 {
            let (set, name) = (instance.set, &instance.name);
            println!("{set} {name}: {} of {best:?}, {seconds:.2} s, {broken} violations", layout.sheets_used());
        }
        let tally = tallies.entry((instance.set, instance.name[..2].to_owned())).or_default();
        tally.add(layout.sheets_used(), best.unwrap_or(bound.sheets), seconds, broken);
    }
    println!("| set, class | instances | at best | sheets | ratio | at the optimum | mean s | max s | violations |");
    println!("| --- | --- | --- | --- | --- | --- | --- | --- | --- |");
    let mut sums: BTreeMap<&str, Tally> = BTreeMap::new();
    for ((set, class), tally) in &tallies {
        println!("{}", tally.row(&format!("{set} {class}")));
        // TG has no known optimum: it is shown, against the area bound, and left out of the sums.
        if class != "TG" {
            sums.entry(set).or_default().join(tally);
            sums.entry("both").or_default().join(tally);
        }
    }
    sums.iter().for_each(|(set, tally)| println!("{}", tally.row(set)));
    ExitCode::SUCCESS
}

/// Puts every published optimum to the checker: our checker and their cutting must agree.
pub fn check_optima() -> ExitCode {
    let Some(all) = instances() else { return ExitCode::SUCCESS };
    let (mut bins, mut broken, mut unmatched) = (0, 0, 0);
    for instance in &all {
        let (Some(optimum), Some(job)) = (&instance.optimum, instance.job(1, 0)) else { continue };
        bins += optimum.len();
        match published(instance, optimum) {
            Some(layout) => {
                if let Err(violations) = check::check(&job, &layout) {
                    broken += violations.len();
                    println!("{} {}: {}", instance.set, instance.name, violations[0]);
                }
            }
            None => {
                unmatched += 1;
                println!("{} {}: a piece of the optimum is none of the instance", instance.set, instance.name);
            }
        }
    }
    println!("{bins} bins in the published optima, {unmatched} instances unmatched, {broken} violations");
    ExitCode::SUCCESS
}

/// The published optimum as a layout: every piece found among the instance's by shape.
fn published(instance: &Instance, optimum: &[Vec<Vec<Point>>]) -> Option<Layout> {
    let mut free: Vec<(usize, Vec<Point>)> = instance.pieces.iter().map(|p| at_origin(p)).enumerate().collect();
    let bins = optimum.iter().map(|bin| {
        let placements = bin.iter().map(|piece| {
            let key = at_origin(piece);
            let found = free.iter().position(|(_, other)| *other == key)?;
            let (item, _) = free.swap_remove(found);
            let shift = corner(piece) - corner(&instance.pieces[item]);
            Some(Placement { item, quarter_turns: 0, shift })
        });
        Some(PackedSheet { kind: 0, copies: 1, placements: placements.collect::<Option<_>>()? })
    });
    Some(Layout { sheets: bins.collect::<Option<_>>()? })
}

/// The piece moved to the origin, its first corner the lowest of the leftmost.
fn at_origin(piece: &[Point]) -> Vec<Point> {
    let low = corner(piece);
    let mut moved: Vec<Point> = piece.iter().map(|p| *p - low).collect();
    let first = (0..moved.len()).min_by(|&i, &j| {
        let key = |p: Point| (p.x, p.y);
        key(moved[i]).partial_cmp(&key(moved[j])).unwrap_or(std::cmp::Ordering::Equal)
    });
    moved.rotate_left(first.unwrap_or(0));
    moved
}

fn corner(piece: &[Point]) -> Vec2 {
    let fold = |key: fn(&Point) -> f64| piece.iter().map(key).fold(f64::INFINITY, f64::min);
    Vec2::new(fold(|p| p.x), fold(|p| p.y))
}

fn read(folder: &Path, set: &'static str, name: &str) -> Option<Instance> {
    let mut numbers = Numbers::open(&folder.join(format!("{name}.txt")))?;
    let count = numbers.count()?;
    let sheet = (numbers.next()?, numbers.next()?);
    let pieces: Option<Vec<_>> = (0..count).map(|_| numbers.polygon()).collect();
    let optimum = Numbers::open(&folder.join(format!("Op{name}.txt"))).and_then(|mut numbers| {
        let bins = numbers.count()?;
        let counts: Option<Vec<usize>> = (0..bins).map(|_| numbers.count()).collect();
        let _size = (numbers.next()?, numbers.next()?);
        counts?.into_iter().map(|n| (0..n).map(|_| numbers.polygon()).collect()).collect()
    });
    Some(Instance { set, name: name.to_owned(), sheet, pieces: pieces?, optimum })
}

/// The numbers of a file, one after the other.
struct Numbers(std::vec::IntoIter<f64>);

impl Numbers {
    fn open(path: &Path) -> Option<Self> {
        let text = std::fs::read_to_string(path).ok()?;
        let numbers: Result<Vec<f64>, _> = text.split_whitespace().map(str::parse).collect();
        Some(Self(numbers.ok()?.into_iter()))
    }

    fn next(&mut self) -> Option<f64> {
        self.0.next()
    }

    fn count(&mut self) -> Option<usize> {
        self.next().filter(|n| n.fract() == 0.0 && (0.0..1e6).contains(n)).map(|n| n as usize)
    }

    fn polygon(&mut self) -> Option<Vec<Point>> {
        let corners = self.count()?;
        (0..corners).map(|_| Some(Point::new(self.next()?, self.next()?))).collect()
    }
}

/// What came of some instances.
#[derive(Default)]
struct Tally {
    instances: usize,
    at_best: u64,
    sheets: u64,
    optimal: usize,
    seconds: f64,
    longest: f64,
    broken: usize,
}

impl Tally {
    fn add(&mut self, sheets: u64, at_best: u64, seconds: f64, broken: usize) {
        let longest = seconds;
        self.join(&Self {
            instances: 1,
            at_best,
            sheets,
            optimal: usize::from(sheets == at_best),
            seconds,
            longest,
            broken,
        });
    }

    fn join(&mut self, other: &Self) {
        self.instances += other.instances;
        self.at_best += other.at_best;
        self.sheets += other.sheets;
        self.optimal += other.optimal;
        self.seconds += other.seconds;
        self.longest = self.longest.max(other.longest);
        self.broken += other.broken;
    }

    fn row(&self, name: &str) -> String {
        let ratio = self.sheets as f64 / self.at_best as f64;
        let mean = self.seconds / self.instances as f64;
        format!(
            "| {name} | {} | {} | {} | {ratio:.4} | {} | {mean:.3} | {:.3} | {} |",
            self.instances, self.at_best, self.sheets, self.optimal, self.longest, self.broken
        )
    }
}
