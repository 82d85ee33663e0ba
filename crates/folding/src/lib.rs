//! Proof before paper: nets folded in space, flaps closed, pieces put together, collisions sought.
//!
//! ```
//! use flatwright_folding::prove::{prove, sheet};
//! use flatwright_geometry::parameters::Parameters;
//! use flatwright_geometry::pieces::post::{Arms, Feet, Post, Stand, sleeve};
//!
//! let p = Parameters::default();
//! let post = Post { arms: Arms::ALL, stand: Stand::Feet(Feet::ALL), under: false };
//! let pattern = sleeve(&p, post)?;
//! let stock = pattern.stock;
//! let proved = prove(pattern, sheet(&p, stock)).expect("a post folds");
//! assert_eq!(proved.folded().len(), 9); // four faces, four tongues, the flap
//! # Ok::<(), flatwright_geometry::pieces::PieceError>(())
//! ```

pub mod build;
pub mod collide;
pub mod fixture;
pub mod fold;
pub mod glb;
pub mod place;
pub mod prove;
pub mod report;
pub mod rules;
pub mod scene;
pub mod shell;
pub mod solid;
pub mod stack;
