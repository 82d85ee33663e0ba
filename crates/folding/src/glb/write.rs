//! Nodes, meshes and materials as JSON, numbers as little-endian bytes, both in one container.
//!
//! Section numbers are those of the glTF 2.0 specification, version 2.0.1.

use std::collections::BTreeMap;

use flatwright_geometry::units::snapped;
use parry3d_f64::math::Pose;
use serde_json::{Value, json};

use super::mesh::{Look, Mesh, Meshes};
use super::{GlbError, Texture};
use crate::scene::{Rgb, Scene};

const MM_PER_METRE: f64 = 1000.0;
/// 3.6.1.1, accessor data types.
const FLOAT: u32 = 5126;
const UNSIGNED_INT: u32 = 5125;
/// 5.11.5, what a buffer view is for.
const ARRAY_BUFFER: u32 = 34962;
const ELEMENT_ARRAY_BUFFER: u32 = 34963;
/// 5.26, how a texture is looked up.
const LINEAR: u32 = 9729;
const LINEAR_MIPMAP_LINEAR: u32 = 9987;
const CLAMP_TO_EDGE: u32 = 33071;
/// The view of places on textures, where there is one.
const PLACES: usize = 3;
/// 4.4, binary container: `glTF`, version, and the types of its two chunks.
const MAGIC: &[u8; 4] = b"glTF";
const VERSION: u32 = 2;
const JSON: &[u8; 4] = b"JSON";
const BIN: &[u8; 4] = b"BIN\0";

pub(super) fn file(scene: &Scene<'_>, textures: &[Option<Texture>], meshes: &Meshes) -> Result<Vec<u8>, GlbError> {
    let materials = materials(meshes);
    let mut accessors = Vec::new();
    let mut data = Data::default();
    let list: Vec<Value> = meshes.list.iter().map(|mesh| data.mesh(mesh, &materials, &mut accessors)).collect();
    // Only what some face shows, in the order of the prints.
    let shown: Vec<(usize, &Texture)> = materials
        .keys()
        .filter_map(|look| match look {
            Look::Print(print) => Some((*print, textures.get(*print)?.as_ref()?)),
            Look::Plain(_) => None,
        })
        .collect();
    let (bytes, views, pictures) = data.joined(shown.iter().map(|(_, texture)| texture.png.as_slice()));
    let name = |print: usize| scene.prints.get(print).map(|print| print.id.as_str()).unwrap_or_default();
    let mut textured = 0;
    let materials: Vec<Value> = materials
        .keys()
        .map(|look| match look {
            Look::Plain(colour) => material(*colour),
            Look::Print(print) => {
                textured += 1;
                printed(name(*print), textured - 1)
            }
        })
        .collect();
    let mut document = json!({
        "asset": { "version": "2.0", "generator": "flatwright" },
        "scene": 0,
        "scenes": [{ "name": scene.title, "nodes": [0] }],
        "nodes": nodes(scene, meshes),
        "meshes": list,
        "materials": materials,
        "accessors": accessors,
        "bufferViews": views,
        "buffers": [{ "byteLength": bytes.len() }],
    });
    // Lists without entries are not allowed (5.1).
    if !shown.is_empty() {
        let image = |((print, _), view): (&(usize, &Texture), usize)| json!({ "name": name(*print), "bufferView": view, "mimeType": "image/png" });
        document["images"] = shown.iter().zip(pictures).map(image).collect();
        document["textures"] = (0..shown.len()).map(|source| json!({ "sampler": 0, "source": source })).collect();
        document["samplers"] = json!([{
            "magFilter": LINEAR, "minFilter": LINEAR_MIPMAP_LINEAR, "wrapS": CLAMP_TO_EDGE, "wrapT": CLAMP_TO_EDGE,
        }]);
    }
    container(document.to_string().into_bytes(), bytes)
}

/// Every look once, with its number.
fn materials(meshes: &Meshes) -> BTreeMap<Look, usize> {
    let mut materials: BTreeMap<Look, usize> =
        meshes.list.iter().flat_map(|mesh| mesh.groups.keys()).map(|look| (*look, 0)).collect();
    for (number, material) in materials.values_mut().enumerate() {
        *material = number;
    }
    materials
}

/// Paper and card: matt, not metal. Factors are linear (3.9.2).
fn material(Rgb(r, g, b): Rgb) -> Value {
    json!({
        "name": format!("#{r:02x}{g:02x}{b:02x}"),
        "pbrMetallicRoughness": {
            "baseColorFactor": [linear(r), linear(g), linear(b), 1.0],
            "metallicFactor": 0.0,
            "roughnessFactor": 0.9,
        },
    })
}

/// The same with a texture, which is sRGB by the format's rule (3.9.2).
fn printed(name: &str, texture: usize) -> Value {
    json!({
        "name": name,
        "pbrMetallicRoughness": {
            "baseColorTexture": { "index": texture, "texCoord": 0 },
            "metallicFactor": 0.0,
            "roughnessFactor": 0.9,
        },
    })
}

/// From sRGB to linear light (IEC 61966-2-1).
fn linear(channel: u8) -> f64 {
    let c = f64::from(channel) / 255.0;
    snapped(if c <= 0.04045 { c / 12.92 } else { ((c + 0.055) / 1.055).powf(2.4) })
}

/// A root that turns z up to y up, the pieces below it, and the panels of folded pieces below them.
fn nodes(scene: &Scene<'_>, meshes: &Meshes) -> Vec<Value> {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    let mut nodes = vec![Value::Null];
    let mut pieces = Vec::new();
    for (shown, of) in scene.shown.iter().zip(&meshes.of) {
        let name = &shown.body.name;
        pieces.push(nodes.len());
        match (&shown.solids()[..], &of[..]) {
            ([solid], [mesh]) => nodes.push(placed(name, *mesh, solid.pose)),
            (solids, _) => {
                let first = nodes.len() + 1;
                nodes.push(json!({ "name": name, "children": (first..first + solids.len()).collect::<Vec<_>>() }));
                for (part, (solid, mesh)) in solids.iter().zip(of).enumerate() {
                    nodes.push(placed(&format!("{name}, part {}", part + 1), *mesh, solid.pose));
                }
            }
        }
    }
    nodes[0] = json!({ "name": scene.title, "rotation": [-half, 0.0, 0.0, half], "children": pieces });
    nodes
}

fn placed(name: &str, mesh: usize, pose: Pose) -> Value {
    let at = pose.translation.to_array().map(|mm| snapped(mm) / MM_PER_METRE);
    let turn = pose.rotation.to_array().map(clean);
    json!({ "name": name, "mesh": mesh, "translation": at, "rotation": turn })
}

/// Without the noise of the last places, and never negative zero.
fn clean(value: f64) -> f64 {
    (value * 1e12).round() / 1e12 + 0.0
}

/// What the buffer holds, by use: each becomes one buffer view.
#[derive(Default)]
struct Data {
    positions: Vec<u8>,
    normals: Vec<u8>,
    places: Vec<u8>,
    indices: Vec<u8>,
}

impl Data {
    /// Stores a mesh; its accessors are added to the list.
    fn mesh(&mut self, mesh: &Mesh, materials: &BTreeMap<Look, usize>, accessors: &mut Vec<Value>) -> Value {
        let metres = |p: &[f64; 3]| p.map(|mm| (mm / MM_PER_METRE) as f32 + 0.0);
        let positions: Vec<[f32; 3]> = mesh.positions.iter().map(metres).collect();
        let normals: Vec<[f32; 3]> = mesh.normals.iter().map(|n| n.map(|x| x as f32 + 0.0)).collect();
        let bound = |pick: fn(f32, f32) -> f32, from: f32| {
            positions.iter().fold([from; 3], |b, p| [pick(b[0], p[0]), pick(b[1], p[1]), pick(b[2], p[2])])
        };
        let first = accessors.len();
        accessors.push(json!({
            "bufferView": 0, "byteOffset": self.positions.len(), "componentType": FLOAT, "type": "VEC3",
            "count": positions.len(), "min": bound(f32::min, f32::MAX), "max": bound(f32::max, f32::MIN),
        }));
        accessors.push(json!({
            "bufferView": 1, "byteOffset": self.normals.len(), "componentType": FLOAT, "type": "VEC3",
            "count": normals.len(),
        }));
        self.positions.extend(positions.iter().flatten().flat_map(|x| x.to_le_bytes()));
        self.normals.extend(normals.iter().flatten().flat_map(|x| x.to_le_bytes()));
        let placed = !mesh.places.is_empty();
        if placed {
            accessors.push(json!({
                "bufferView": PLACES, "byteOffset": self.places.len(), "componentType": FLOAT, "type": "VEC2",
                "count": mesh.places.len(),
            }));
            self.places.extend(mesh.places.iter().flatten().flat_map(|x| (*x as f32 + 0.0).to_le_bytes()));
        }
        let mut primitives = Vec::new();
        for (look, indices) in &mesh.groups {
            let mut attributes = json!({ "POSITION": first, "NORMAL": first + 1 });
            if matches!(look, Look::Print(_)) {
                attributes["TEXCOORD_0"] = json!(first + 2);
            }
            primitives.push(json!({
                "attributes": attributes,
                "indices": accessors.len(),
                "material": materials.get(look),
            }));
            accessors.push(json!({
                "bufferView": 2, "byteOffset": self.indices.len(), "componentType": UNSIGNED_INT, "type": "SCALAR",
                "count": indices.len(),
            }));
            self.indices.extend(indices.iter().flat_map(|i| i.to_le_bytes()));
        }
        json!({ "primitives": primitives })
    }

    /// One buffer, its views, and which of them are the pictures. Every number has four bytes, so
    /// everything before the pictures is aligned.
    fn joined<'a>(self, pictures: impl Iterator<Item = &'a [u8]>) -> (Vec<u8>, Vec<Value>, Vec<usize>) {
        let mut bytes = Vec::new();
        let mut views = Vec::new();
        let mut add = |part: &[u8], more: Value| {
            let mut view = json!({ "buffer": 0, "byteOffset": bytes.len(), "byteLength": part.len() });
            if let (Value::Object(view), Value::Object(more)) = (&mut view, more) {
                view.extend(more);
            }
            bytes.extend(part);
            views.push(view);
            views.len() - 1
        };
        let corners = |stride: usize| json!({ "byteStride": stride, "target": ARRAY_BUFFER });
        add(&self.positions, corners(12));
        add(&self.normals, corners(12));
        add(&self.indices, json!({ "target": ELEMENT_ARRAY_BUFFER }));
        // A view of nothing is not allowed (5.11).
        if !self.places.is_empty() {
            add(&self.places, corners(8));
        }
        let pictures = pictures.map(|picture| add(picture, json!({}))).collect();
        (bytes, views, pictures)
    }
}

/// 4.4: a header of twelve bytes, then both chunks, padded to four bytes with spaces and zeros.
fn container(mut json: Vec<u8>, mut bytes: Vec<u8>) -> Result<Vec<u8>, GlbError> {
    json.resize(json.len().next_multiple_of(4), b' ');
    bytes.resize(bytes.len().next_multiple_of(4), 0);
    let length = |count: usize| u32::try_from(count).map_err(|_| GlbError::TooLarge);
    let total = 12 + 8 + json.len() + 8 + bytes.len();
    let mut file = Vec::with_capacity(total);
    file.extend(MAGIC);
    file.extend(VERSION.to_le_bytes());
    file.extend(length(total)?.to_le_bytes());
    for (kind, chunk) in [(JSON, json), (BIN, bytes)] {
        file.extend(length(chunk.len())?.to_le_bytes());
        file.extend(kind);
        file.extend(chunk);
    }
    Ok(file)
}
