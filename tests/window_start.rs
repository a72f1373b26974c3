//! The start page: what is wrong with a scene stands there as it is drawn in a terminal, and a site under the pointer looks
//! otherwise than one under the keys. May not enter: rehearsals.

use crate::window::{Size, Window};
use egui::{Key, Modifiers, Pos2, Shape, pos2, vec2};
use std::path::Path;

const SMALL: Size = Size(1024.0, 700.0, 1.0);
const WIDE: Size = Size(1600.0, 900.0, 1.0);

#[test]
fn carets_stand_under_what_they_mean() {
    let scene = Path::new("tests/broken/wrong_key.toml");
    for size in [SMALL, WIDE] {
        let Some(mut window) = Window::new(Some(scene), size) else {
            return;
        };
        window.until("the errors are told", |window| window.has("Scene file"));
        let shapes = &window.harness.output().shapes;
        let text = shapes.iter().find_map(|shape| match &shape.shape {
            Shape::Text(text) if text.galley.text().contains("wrong_key.toml") => Some(text),
            _ => None,
        });
        let galley = &text.unwrap().galley;
        // No line goes on below itself, and all letters are equally wide.
        assert_eq!(galley.rows.len(), galley.text().lines().count());
        assert!(galley.rows.len() > 4, "{}", galley.text());
        let glyphs = || galley.rows.iter().flat_map(|row| &row.glyphs);
        let width = glyphs().next().unwrap().advance_width;
        for glyph in glyphs() {
            assert!(
                (glyph.advance_width - width).abs() < 0.01,
                "{:?}",
                glyph.chr
            );
        }
        // The box reaches from edge to edge of the page, less its margins.
        let Size(across, ..) = size;
        let box_of = |shape: &Shape| match shape {
            Shape::Rect(rect) if rect.rect.contains(text.unwrap().pos) => Some(rect.rect.width()),
            _ => None,
        };
        let widths = shapes.iter().filter_map(|shape| box_of(&shape.shape));
        let inner = widths.filter(|width| *width < across).fold(0.0, f32::max);
        assert!(inner > across - 60.0, "{inner} of {across}");
    }
}

#[test]
fn a_site_under_the_pointer_is_lighter_and_one_under_the_keys_is_outlined() {
    let Some(mut window) = Window::new(None, SMALL) else {
        return;
    };
    let site = "Birch Fell";
    window.until("a site has come", |window| window.has(site));
    let label = window.all_holding(site)[0].clone();
    let place = window.place(&label);
    // Of the mount's corner, and of the page just outside the slide.
    let (mount, beside) = (place.min + vec2(3.0, 3.0), place.min + vec2(-1.5, 40.0));
    let seen = |window: &mut Window| {
        window.harness.step();
        let picture = window.picture();
        let at = |at: Pos2| picture.get_pixel(at.x as u32, at.y as u32).0;
        [at(mount), at(beside)]
    };
    window.harness.hover_at(pos2(4.0, 4.0));
    let rest = seen(&mut window);
    window.harness.hover_at(place.center());
    let under_pointer = seen(&mut window);
    window.harness.hover_at(pos2(4.0, 4.0));
    let mut steps = 0;
    while !window.has_focus(&label) {
        window.key(Modifiers::NONE, Key::Tab);
        steps += 1;
        assert!(steps < 40, "no key leads to {label}");
    }
    let under_keys = seen(&mut window);
    let light = |[r, g, b, _]: [u8; 4]| u32::from(r) + u32::from(g) + u32::from(b);
    assert!(
        light(under_pointer[0]) > light(rest[0]) + 30,
        "{rest:?} {under_pointer:?}"
    );
    assert_eq!(under_pointer[1], rest[1]);
    assert_eq!(under_keys[0], rest[0]);
    let off = light(under_keys[1]).abs_diff(light(rest[1]));
    assert!(off > 300, "{rest:?} {under_keys:?}");
}
