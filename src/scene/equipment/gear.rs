//! What all equipment stands and couples on: trucks, wheels, couplers, ladders. May not enter: bodies.

use crate::scene::coat::{Coat, Finish};
use crate::scene::shapes::build::{Build, bar, beam, block};
use glam::DVec3;

/// Undersides and running gear, dusty.
pub const DARK: Coat = Coat::new(Finish::Paint, [0x34, 0x30, 0x2c]);
/// Wheels and trucks, rusty brown.
const RUST: Coat = Coat::new(Finish::Steel, [0x4a, 0x3c, 0x32]);

/// A coat somewhat darker or lighter.
pub fn toned(coat: Coat, by: f64) -> Coat {
    let channel = |value: u8| (f64::from(value) * by).round().clamp(0.0, 255.0) as u8;
    Coat::new(coat.finish, coat.color_srgb.map(channel))
}

/// Both couplers, a sill between them, and the trucks, their axles so far from the trucks' middles.
pub fn running_gear(build: &mut Build, half_m: f64, truck_m: f64, axles_m: &[f64]) {
    for end in [-1.0, 1.0] {
        truck(build, end * truck_m, axles_m);
        let span = |from: f64, to: f64, width: f64, z: [f64; 2]| {
            let (near, far) = (end * from, end * to);
            block(
                DVec3::new(near, -width / 2.0, z[0]),
                DVec3::new(far, width / 2.0, z[1]),
            )
        };
        build.add(DARK, span(half_m - 0.95, half_m - 0.2, 0.17, [0.80, 0.97]));
        build.add(RUST, span(half_m - 0.27, half_m, 0.27, [0.74, 1.02]));
    }
}

/// A truck: side frames with their boxes, a bolster, wheels; between two axles springs, where one sees through
/// to the axles.
fn truck(build: &mut Build, centre_m: f64, axles_m: &[f64]) {
    let at = |x: f64, y: f64, z: f64| DVec3::new(centre_m + x, y, z);
    let reach = axles_m.iter().fold(0.0_f64, |far, x| far.max(x.abs()));
    for side in [-1.0, 1.0] {
        let part = |x: [f64; 2], y: [f64; 2], z: [f64; 2]| {
            let (near, far) = (side * y[0], side * y[1]);
            block(at(x[0], near, z[0]), at(x[1], far, z[1]))
        };
        // The frame's top chord bends down to the boxes; its lower chord carries the springs.
        build.add(
            RUST,
            part([-reach * 0.72, reach * 0.72], [0.93, 1.07], [0.60, 0.78]),
        );
        for end in [-1.0, 1.0] {
            let high = at(end * reach * 0.70, side, 0.68);
            let low = at(end * (reach + 0.16), side, 0.54);
            build.add(RUST, beam(high, low, 0.14, 0.16));
        }
        build.add(
            RUST,
            part([-reach * 0.5, reach * 0.5], [0.94, 1.06], [0.24, 0.36]),
        );
        if axles_m.len() == 2 {
            build.add(DARK, part([-0.22, 0.22], [0.90, 1.04], [0.36, 0.62]));
        }
        for axle in axles_m {
            build.add(
                DARK,
                part([axle - 0.13, axle + 0.13], [0.92, 1.12], [0.34, 0.60]),
            );
            let wheel = |y: f64| at(*axle, side * y, 0.46);
            // One bar per wheel, its tread on the rail.
            build.add(RUST, bar(wheel(0.69), wheel(0.82), 0.46));
        }
    }
    build.add(DARK, block(at(-0.2, -0.95, 0.48), at(0.2, 0.95, 0.72)));
    if let [first, last] = axles_m {
        for axle in [first, last] {
            let end = |y: f64| at(*axle, y, 0.46);
            build.add(RUST, beam(end(-0.7), end(0.7), 0.15, 0.15));
        }
    }
}

/// Grab irons one above the other on a side, from one x to another, standing off a face at `face_y_m`.
pub fn ladder(
    build: &mut Build,
    x: [f64; 2],
    face_y_m: f64,
    z: [f64; 2],
    rungs: usize,
    coat: Coat,
) {
    let y = face_y_m + 0.05 * face_y_m.signum();
    for rung in 0..rungs {
        let up_m = z[0] + (z[1] - z[0]) * rung as f64 / (rungs - 1).max(1) as f64;
        let end = |x: f64| DVec3::new(x, y, up_m);
        build.add(coat, beam(end(x[0]), end(x[1]), 0.03, 0.03));
    }
}

/// Upright ribs on both sides: their middles, half their width, how far they stand before a face at
/// `face_m` from the middle line, from one height to another.
pub fn ribs(
    build: &mut Build,
    middles_x_m: impl Iterator<Item = f64>,
    half_m: f64,
    [face_m, outer_m]: [f64; 2],
    z: [f64; 2],
    coat: Coat,
) {
    for x in middles_x_m {
        for side in [-1.0, 1.0] {
            let (a, b) = (side * (face_m - 0.02), side * outer_m);
            build.add(
                coat,
                block(
                    DVec3::new(x - half_m, a, z[0]),
                    DVec3::new(x + half_m, b, z[1]),
                ),
            );
        }
    }
}

/// So many places from one x to another, ends included.
pub fn places(from_x: f64, to_x: f64, count: usize) -> impl Iterator<Item = f64> {
    (0..count).map(move |i| from_x + (to_x - from_x) * i as f64 / (count - 1).max(1) as f64)
}
