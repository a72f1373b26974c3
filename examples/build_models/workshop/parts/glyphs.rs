//! Block letters and numerals as thin plates on a wall. May not enter: what they spell.

use super::super::shape::{Mesh, Solid};
use glam::{DVec2, DVec3};

/// Corners on the grid.
type Outline = &'static [(f64, f64)];

/// Outline and holes of a glyph on a grid 4 wide and 6 high, strokes 1 wide.
struct Glyph {
    outline: Outline,
    holes: &'static [Outline],
}

/// How wide a glyph's cell is against its height, gap included.
const ADVANCE: f64 = 5.1 / 6.0;

/// Height and width of the grid.
const GRID: (f64, f64) = (4.0, 6.0);

fn glyph(letter: char) -> Option<Glyph> {
    let (outline, holes): (Outline, &'static [Outline]) = match letter {
        'A' => (
            &[
                (0., 0.),
                (1., 0.),
                (1.35, 1.4),
                (2.65, 1.4),
                (3., 0.),
                (4., 0.),
                (2.6, 6.),
                (1.4, 6.),
            ],
            &[&[(1.6, 2.4), (2.4, 2.4), (2.0, 4.4)]],
        ),
        'E' => (
            &[
                (0., 0.),
                (3.8, 0.),
                (3.8, 1.),
                (1.1, 1.),
                (1.1, 2.55),
                (3.2, 2.55),
                (3.2, 3.5),
                (1.1, 3.5),
                (1.1, 5.),
                (3.8, 5.),
                (3.8, 6.),
                (0., 6.),
            ],
            &[],
        ),
        'L' => (
            &[
                (0., 0.),
                (3.7, 0.),
                (3.7, 1.),
                (1.1, 1.),
                (1.1, 6.),
                (0., 6.),
            ],
            &[],
        ),
        'N' => (
            &[
                (0., 0.),
                (1.05, 0.),
                (1.05, 3.9),
                (2.9, 0.),
                (4., 0.),
                (4., 6.),
                (2.95, 6.),
                (2.95, 2.1),
                (1.1, 6.),
                (0., 6.),
            ],
            &[],
        ),
        'R' => (
            &[
                (0., 0.),
                (1.1, 0.),
                (1.1, 2.2),
                (1.75, 2.2),
                (2.8, 0.),
                (4., 0.),
                (2.9, 2.35),
                (3.8, 3.1),
                (3.8, 5.2),
                (3., 6.),
                (0., 6.),
            ],
            &[&[
                (1.1, 3.2),
                (2.5, 3.2),
                (2.75, 3.45),
                (2.75, 4.75),
                (2.5, 5.),
                (1.1, 5.),
            ]],
        ),
        'T' => (
            &[
                (1.45, 0.),
                (2.55, 0.),
                (2.55, 5.),
                (4., 5.),
                (4., 6.),
                (0., 6.),
                (0., 5.),
                (1.45, 5.),
            ],
            &[],
        ),
        'V' => (
            &[
                (1.45, 0.),
                (2.55, 0.),
                (4., 6.),
                (2.9, 6.),
                (2.0, 1.9),
                (1.1, 6.),
                (0., 6.),
            ],
            &[],
        ),
        'Y' => (
            &[
                (1.45, 0.),
                (2.55, 0.),
                (2.55, 2.5),
                (4., 6.),
                (2.85, 6.),
                (2., 3.6),
                (1.15, 6.),
                (0., 6.),
                (1.45, 2.5),
            ],
            &[],
        ),
        '0' => (
            &[
                (0.9, 0.),
                (3.1, 0.),
                (4., 0.9),
                (4., 5.1),
                (3.1, 6.),
                (0.9, 6.),
                (0., 5.1),
                (0., 0.9),
            ],
            &[&[(1.1, 1.), (2.9, 1.), (2.9, 5.), (1.1, 5.)]],
        ),
        '1' => (
            &[
                (1.6, 0.),
                (2.7, 0.),
                (2.7, 6.),
                (1.8, 6.),
                (0.7, 5.1),
                (0.7, 4.1),
                (1.6, 4.6),
            ],
            &[],
        ),
        '3' => (
            &[
                (0.9, 0.),
                (3.1, 0.),
                (4., 0.9),
                (4., 2.6),
                (3.5, 3.05),
                (4., 3.5),
                (4., 5.1),
                (3.1, 6.),
                (0.9, 6.),
                (0., 5.1),
                (0., 4.3),
                (1.1, 4.3),
                (1.1, 5.),
                (2.9, 5.),
                (2.9, 3.5),
                (1.5, 3.5),
                (1.5, 2.55),
                (2.9, 2.55),
                (2.9, 1.),
                (1.1, 1.),
                (1.1, 1.7),
                (0., 1.7),
                (0., 0.9),
            ],
            &[],
        ),
        '7' => (
            &[
                (0.9, 0.),
                (2.05, 0.),
                (4., 5.),
                (4., 6.),
                (0., 6.),
                (0., 5.),
                (2.85, 5.),
            ],
            &[],
        ),
        _ => return None,
    };
    Some(Glyph { outline, holes })
}

/// How long a text of this height is.
pub fn length(text: &str, height: f64) -> f64 {
    let cells = text.chars().count() as f64;
    cells * ADVANCE * height - (ADVANCE - GRID.0 / GRID.1) * height
}

/// A text centred on (`along`, `up`) in wall coordinates, its face `proud` out of the wall. Characters
/// without a glyph leave a gap.
pub fn text(words: &str, along: f64, up: f64, height: f64, proud: f64) -> Mesh {
    let scale = height / GRID.1;
    let start = along - 0.5 * length(words, height);
    let mut all = Mesh::default();
    for (k, letter) in words.chars().enumerate() {
        let Some(shape) = glyph(letter) else { continue };
        let scaled = |points: &[(f64, f64)]| -> Vec<DVec2> {
            points
                .iter()
                .map(|p| DVec2::new(p.0 * scale, p.1 * scale))
                .collect()
        };
        let holes: Vec<Vec<DVec2>> = shape.holes.iter().map(|hole| scaled(hole)).collect();
        let plate = Solid::plate(&scaled(shape.outline), &holes, -0.01, proud).mesh();
        let at = start + k as f64 * ADVANCE * height;
        all.add(&plate.moved(DVec3::new(at, up - 0.5 * height, 0.0)));
    }
    all
}
