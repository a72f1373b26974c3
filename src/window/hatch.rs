//! Hatchings: how bad something is, by the density of its strokes, told apart without colour. May not enter: grades'
//! meaning, where they are drawn.

pub use crate::picture::drawing::hatch::Density;
use egui::epaint::{Mesh, Vertex};
use egui::{
    Color32, ColorImage, Context, Id, Painter, Pos2, Rect, TextureHandle, TextureOptions,
    TextureWrapMode, pos2,
};

/// Pixels of a tile, across and down.
const TILE: usize = 32;

/// Fills a convex area with a hatching. Neighbouring areas' strokes run on into one another.
pub fn fill(painter: &Painter, corners: &[Pos2], density: Density, color: Color32) {
    let texture = texture(painter.ctx(), density);
    let per_point = painter.ctx().pixels_per_point() / TILE as f32;
    let mut mesh = Mesh::with_texture(texture.id());
    for corner in corners {
        mesh.vertices.push(Vertex {
            pos: *corner,
            uv: pos2(corner.x * per_point, corner.y * per_point),
            color,
        });
    }
    for i in 2..corners.len() as u32 {
        mesh.add_triangle(0, i - 1, i);
    }
    painter.add(mesh);
}

/// Fills a rectangle.
pub fn fill_rect(painter: &Painter, rect: Rect, density: Density, color: Color32) {
    let corners = [
        rect.left_top(),
        rect.right_top(),
        rect.right_bottom(),
        rect.left_bottom(),
    ];
    fill(painter, &corners, density, color);
}

fn texture(ctx: &Context, density: Density) -> TextureHandle {
    let id = Id::unique(("hatching", density as u8));
    if let Some(known) = ctx.data(|data| data.get_temp::<TextureHandle>(id)) {
        return known;
    }
    let (period, thick, open) = match density {
        Density::Sparse => (16, 1.2, false),
        Density::Close => (8, 1.6, false),
        Density::Dense => (4, 1.6, false),
        Density::Full => (16, 1.4, true),
    };
    let alpha = |i: usize| {
        let (x, y) = (i % TILE, i / TILE);
        // Distance from the nearest stroke, which rises to the right.
        let along = ((x + y) % period) as f32;
        let off = along.min(period as f32 - along) / std::f32::consts::SQRT_2;
        let stroke = (thick / 2.0 + 0.5 - off).clamp(0.0, 1.0);
        let share = if open { 1.0 - stroke } else { stroke };
        Color32::from_white_alpha((share * 255.0) as u8)
    };
    let image = ColorImage::new([TILE, TILE], (0..TILE * TILE).map(alpha).collect());
    let options = TextureOptions {
        wrap_mode: TextureWrapMode::Repeat,
        ..TextureOptions::LINEAR
    };
    let texture = ctx.load_texture(format!("hatching {}", density as u8), image, options);
    ctx.data_mut(|data| data.insert_temp(id, texture.clone()));
    texture
}
