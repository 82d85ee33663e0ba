//! The coupon for many stocks: everything has its room, and lengths are as long as they say.

use super::*;
use crate::furniture::text_box;
use crate::page::Shape;
use flatwright_geometry::parameters::WallBuild;
use kurbo::{PathSeg, Rect};

fn settings(paper: &str, change: impl FnOnce(&mut Parameters)) -> Settings {
    let mut parameters = Parameters::default();
    change(&mut parameters);
    let paper: PaperSize = paper.parse().unwrap();
    Settings {
        title: "Lamp store".into(),
        paper: (paper.clone(), "paper".into()),
        card: (paper, "card".into()),
        board: format!("board {}", parameters.board),
        parameters,
        margin: Mm::new(7.0),
        plays: (0..9).map(|i| Mm::new(0.1) * f64::from(i)).collect(),
    }
}

/// Straight lines of the page's own furniture.
fn lines(page: &Page) -> Vec<kurbo::Line> {
    let strokes = page.marks.iter().filter_map(|mark| match &mark.shape {
        Shape::Stroke { path, .. } => Some(path),
        _ => None,
    });
    strokes
        .flat_map(|path| path.segments().collect::<Vec<_>>())
        .filter_map(|segment| if let PathSeg::Line(line) = segment { Some(line) } else { None })
        .collect()
}

#[test]
fn every_length_of_the_first_page_is_drawn() {
    for paper in ["A4", "Letter", "A3"] {
        let made = coupon(&settings(paper, |_| {})).unwrap();
        let drawn = lines(&made.document.pages[0]);
        for length in &made.lengths {
            let same = |line: &&kurbo::Line| (line.p1 - line.p0 - length.vector).hypot() < 1e-9;
            let expected = made.lengths.iter().filter(|other| other.vector == length.vector).count();
            // The scale bars of every sheet may be as long.
            assert!(drawn.iter().filter(same).count() >= expected, "{paper} {}", length.letter);
        }
        let letters: std::collections::BTreeSet<_> = made.lengths.iter().map(|length| length.letter).collect();
        assert_eq!(letters.len(), made.lengths.len());
        assert_eq!(made.document.pages.len(), 3);
        assert!(crate::faults::of_document(&made.document).is_empty());
    }
}

/// No letter of the first page touches a line, and no two words touch.
#[test]
fn letters_keep_off_lines() {
    for paper in ["A4", "Letter"] {
        let made = coupon(&settings(paper, |_| {})).unwrap();
        for page in &made.document.pages {
            let texts: Vec<(String, Rect)> = page
                .marks
                .iter()
                .filter_map(|mark| match &mark.shape {
                    Shape::Text(text) => Some((text.text.clone(), text_box(text))),
                    _ => None,
                })
                .collect();
            for (i, (words, here)) in texts.iter().enumerate() {
                for line in lines(page) {
                    assert!(!meets(line, *here), "{paper} {}: {words:?} touches {line:?}", page.title);
                }
                for (other, there) in &texts[i + 1..] {
                    let both = here.intersect(*there);
                    assert!(both.width() <= 0.0 || both.height() <= 0.0, "{words:?} and {other:?}");
                }
            }
        }
    }
}

/// Whether a line runs through a rectangle, by looking along it.
fn meets(line: kurbo::Line, rect: Rect) -> bool {
    use kurbo::ParamCurve as _;
    let steps = ((line.p1 - line.p0).hypot() / 0.2).ceil().max(1.0) as u32;
    (0..=steps).any(|i| rect.contains(line.eval(f64::from(i) / f64::from(steps))))
}

/// Pieces lie on their page and apart, whatever the stocks are.
#[test]
fn pieces_have_their_room() {
    let changes: [fn(&mut Parameters); 5] = [
        |_| {},
        |p| p.board = Mm::new(10.0),
        |p| (p.walls, p.board) = (WallBuild::Board, Mm::new(10.0)),
        |p| p.wall_height = Mm::new(120.0),
        |p| p.card = Mm::new(1.0),
    ];
    for paper in ["A4", "Letter"] {
        for change in changes {
            let settings = settings(paper, change);
            let made = coupon(&settings).unwrap_or_else(|error| panic!("{paper} {:?}: {error}", settings.parameters));
            for page in &made.document.pages {
                let placed: Vec<Rect> = page
                    .marks
                    .iter()
                    .filter_map(|mark| match &mark.shape {
                        Shape::Place { form, motion } => {
                            Some(motion.transform_rect_bbox(made.document.forms[*form].bounds))
                        }
                        _ => None,
                    })
                    .collect();
                assert!(!placed.is_empty(), "{}", page.title);
                for (i, a) in placed.iter().enumerate() {
                    assert!(page.trim.inflate(-7.0, -7.0).contains_rect(*a), "{} {a:?}", page.title);
                    for b in &placed[i + 1..] {
                        let both = a.intersect(*b);
                        assert!(both.width() <= 0.0 || both.height() <= 0.0, "{}: {a:?} {b:?}", page.title);
                    }
                }
            }
        }
    }
}

#[test]
fn small_paper_is_refused() {
    let error = coupon(&settings("A5", |_| {})).unwrap_err();
    assert!(matches!(error, CouponError::PageTooSmall { .. }), "{error}");
    assert!(error.to_string().contains("A4, Letter or a larger sheet"));
}
