//! Draws one pattern of every family, one SVG each, into the folder given: to look at nets while
//! changing them. `cargo run -p flatwright-geometry --example gallery -- DIR`
use std::{env, fs, path::Path};

use flatwright_geometry::parameters::{Parameters, WallBuild};
use flatwright_geometry::pattern::{Fold, Pattern};
use flatwright_geometry::pieces::cap::{self, Cap};
use flatwright_geometry::pieces::opening::{HingeSide, Opening};
use flatwright_geometry::pieces::post::{self, Arms, Feet, Post, Stand};
use flatwright_geometry::pieces::tile::{self, Reliefs, Tile};
use flatwright_geometry::pieces::wall::Wall;
use flatwright_geometry::units::Mm;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let folder = env::args().nth(1).ok_or("give a folder")?;
    fs::create_dir_all(&folder)?;
    let mm = Mm::new;
    let card = Parameters::default();
    let board = Parameters { walls: WallBuild::Board, ..card.clone() };
    let tile = Tile::plain(2, 1, Reliefs::EveryModule);
    let post =
        |arms, feet| Post { arms: Arms::from_bits(arms), stand: Stand::Feet(Feet::from_bits(feet)), under: false };
    let door = Opening::Door { width: mm(26.0), height: mm(38.0), hinge: HingeSide::Left };
    let low = Opening::Low { height: mm(20.0) };
    let arch = Opening::Arch { width: mm(30.0), height: mm(42.0) };
    let mut all = vec![
        tile::core(&card, tile)?,
        tile::wrap(&card, tile)?,
        tile::corner_pocket(&card)?,
        tile::biscuit(&card)?,
        post::sleeve(&card, post(0b0111, 0b0011))?,
        post::sleeve(&card, post(0b1111, 0b1111))?,
        post::base_plate(&card)?,
        cap::net(&card, Cap { arms: Arms::NONE })?,
        cap::net(&card, Cap { arms: Arms::from_bits(0b1001) })?,
        cap::net(&board, Cap { arms: Arms::ALL })?,
    ];
    for opening in [None, Some(door), Some(low), Some(arch)] {
        let wall = Wall { span: 1.0, opening };
        all.extend(wall.patterns(&card)?);
        all.extend(wall.patterns(&board)?);
    }
    for (i, pattern) in all.iter().enumerate() {
        let name = format!("{i:02}-{}.svg", pattern.kind.name().replace(' ', "-"));
        fs::write(Path::new(&folder).join(name), svg(pattern))?;
    }
    Ok(())
}

fn svg(pattern: &Pattern) -> String {
    let bounds = pattern.material.bounds().inflate(5.0, 5.0);
    let mut body = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{w}mm' height='{h}mm' viewBox='{} {} {w} {h}'>\
         <rect x='-999' y='-999' width='3000' height='3000' fill='white'/><g transform='scale(1 -1)' fill='none' stroke-width='0.3'>",
        bounds.x0,
        -bounds.y1,
        w = bounds.width(),
        h = bounds.height()
    );
    for face in &pattern.face {
        body += &format!("<path d='{}' fill='#e8dcc0' fill-rule='evenodd'/>", face.path().to_svg());
    }
    for glue in &pattern.glue {
        body += &format!("<path d='{}' fill='#bde5d8' fill-rule='evenodd'/>", glue.path().to_svg());
    }
    for spot in &pattern.label_spots {
        body += &format!("<path d='{}' stroke='#c0c'/>", kurbo::Shape::to_path(&spot.rect, 0.1).to_svg());
    }
    body += &format!("<path d='{}' stroke='black'/>", pattern.material.path().to_svg());
    for slit in &pattern.slits {
        body += &format!("<path d='{}' stroke='black'/>", slit.to_svg());
    }
    for hinge in &pattern.net.hinges {
        let colour = if hinge.fold == Fold::Valley { "#0072B2" } else { "#D55E00" };
        body += &format!(
            "<path d='M{},{} L{},{}' stroke='{colour}' stroke-dasharray='2 1'/>",
            hinge.line.p0.x, hinge.line.p0.y, hinge.line.p1.x, hinge.line.p1.y
        );
    }
    body + "</g></svg>"
}
