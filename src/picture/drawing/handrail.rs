//! Where the handrail's shadow lies on the doors, drawn on the machine's side: one reads the machine instead
//! of a watch. May not enter: how the instants were chosen.

use super::{INK, OXIDE, SLATE, line, open, text};
use crate::mesh::model::{Handrail, HoodDoors};
use crate::picture::tone::decode;
use crate::sighting::closed_form::{handrail_drop_m, handrail_shift_m};
use crate::sighting::frame::Sighting;
use crate::sighting::rasterizer::{Around, Rasterizer};
use crate::sighting::shown::Side;
use crate::sighting::stage::Stage;
use crate::sighting::view::View;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use glam::{DVec2, DVec3};
use std::fmt::Write;

/// One of the three lines.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// What it is called: "start 09:40".
    pub label: String,
    /// Toward the sun, machine frame.
    pub toward: DVec3,
}

const WIDTH: f64 = 560.0;
const METRES_PER_PIXEL: f64 = 0.02;
/// The part that is drawn larger: this much of the side, metres.
const DETAIL_M: f64 = 5.2;
const DETAIL_HEIGHT: f64 = 124.0;

/// The drawing, or none for a machine without a side handrail or hood doors.
pub fn svg(
    rasterizer: &dyn Rasterizer,
    stage: &Stage,
    side: Side,
    moments: &[Moment],
) -> Option<String> {
    let (rail, doors) = (stage.model.handrail?, stage.model.doors?);
    let forward = DVec3::new(0.0, -side.sign(), 0.0);
    let view = View::elevation(forward, &stage.hull, METRES_PER_PIXEL);
    let per_m = WIDTH / (view.high.x - view.low.x);
    let whole_height = (view.high.y - view.low.y) * per_m;
    let height = whole_height + 14.0 + DETAIL_HEIGHT + 16.0;
    let png = STANDARD.encode(elevation_png(rasterizer, stage, &view));
    let mut svg = open(WIDTH, height, "The handrail's shadow on the doors");
    let image = |x: f64, y: f64, w: f64, h: f64| {
        format!(
            "<image x=\"{x:.1}\" y=\"{y:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" \
             preserveAspectRatio=\"none\" href=\"data:image/png;base64,{png}\"/>"
        )
    };
    let whole = Place {
        view: &view,
        origin: DVec2::ZERO,
        per_m,
    };
    svg += &image(0.0, 0.0, WIDTH, whole_height);
    svg += &lines(&whole, &rail, &doors, side, moments, 1.0);

    // The middle of the doors, larger, with an axis of metres below the rail.
    let middle_x = (doors.from_x_m + doors.to_x_m) / 2.0;
    let left_axis = 36.0;
    let big_m = (WIDTH - left_axis - 165.0) / DETAIL_M;
    let top_m = rail.height_m.max(doors.top_m) + 0.12;
    let corner = whole.plane(DVec3::new(middle_x, 0.0, top_m)) - DVec2::new(DETAIL_M / 2.0, 0.0);
    let tall_m = DETAIL_HEIGHT / big_m;
    let detail = Place {
        view: &view,
        origin: DVec2::new(
            left_axis - (corner.x - view.low.x) * big_m,
            whole_height + 14.0 - (view.high.y - corner.y) * big_m,
        ),
        per_m: big_m,
    };
    let (x0, y0) = (left_axis, whole_height + 14.0);
    let (w, h) = (DETAIL_M * big_m, tall_m * big_m);
    let _ = write!(
        svg,
        "<defs><clipPath id=\"detail\"><rect x=\"{x0:.1}\" y=\"{y0:.1}\" width=\"{w:.1}\" height=\"{h:.1}\"/>\
         </clipPath></defs><g clip-path=\"url(#detail)\">"
    );
    let size = view.high - view.low;
    svg += &image(
        detail.origin.x,
        detail.origin.y,
        size.x * big_m,
        size.y * big_m,
    );
    svg += &lines(&detail, &rail, &doors, side, moments, 2.0);
    svg += "</g>";
    let _ = write!(
        svg,
        "<rect x=\"{x0:.1}\" y=\"{y0:.1}\" width=\"{w:.1}\" height=\"{h:.1}\" fill=\"none\" stroke=\"{INK}\"/>"
    );
    svg += &axis(&detail, &rail, x0, y0, y0 + h);
    svg += &legend(&detail, &rail, &doors, side, moments, x0 + w + 6.0, y0);
    let note = "metres below the handrail's own height; the line on the doors means that light still reaches under";
    svg += &text(x0, height - 3.0, "start", note);
    Some(svg + "</svg>")
}

/// A placement of the elevation on the sheet.
struct Place<'a> {
    view: &'a View,
    origin: DVec2,
    per_m: f64,
}

impl Place<'_> {
    fn plane(&self, point: DVec3) -> DVec2 {
        self.view.on_plane(point).unwrap_or(DVec2::ZERO)
    }

    fn at(&self, x_m: f64, z_m: f64) -> DVec2 {
        let flat = self.plane(DVec3::new(x_m, 0.0, z_m));
        let off = DVec2::new(flat.x - self.view.low.x, self.view.high.y - flat.y);
        self.origin + off * self.per_m
    }
}

/// Form first: dashes for the start, whole for the best, dots for the end.
fn stroke(moment: usize, width: f64) -> String {
    let dashes = ["9 4", "none", "2 3"][moment.min(2)];
    let color = if moment == 1 { OXIDE } else { INK };
    format!("stroke=\"{color}\" stroke-width=\"{width:.1}\" stroke-dasharray=\"{dashes}\"")
}

fn drop_m(rail: &Handrail, doors: &HoodDoors, side: Side, moment: &Moment) -> Option<f64> {
    let drop = handrail_drop_m(rail.offset_m - doors.offset_m, moment.toward, side.sign())?;
    (moment.toward.z > 0.0).then_some(drop)
}

fn lines(
    place: &Place,
    rail: &Handrail,
    doors: &HoodDoors,
    side: Side,
    moments: &[Moment],
    width: f64,
) -> String {
    let mut svg = String::new();
    let (a, b) = (
        place.at(doors.from_x_m, doors.top_m),
        place.at(doors.to_x_m, doors.bottom_m),
    );
    let (low, high) = (a.min(b), a.max(b));
    let _ = write!(
        svg,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\" fill=\"none\" stroke=\"{SLATE}\" \
         stroke-width=\"{width:.1}\"/>",
        low.x,
        low.y,
        high.x - low.x,
        high.y - low.y
    );
    for (i, moment) in moments.iter().enumerate() {
        let standoff = rail.offset_m - doors.offset_m;
        let shift = handrail_shift_m(standoff, moment.toward, side.sign());
        if let (Some(drop), Some(shift)) = (drop_m(rail, doors, side, moment), shift) {
            let z = rail.height_m - drop;
            let (a, b) = (
                place.at(rail.from_x_m + shift, z),
                place.at(rail.to_x_m + shift, z),
            );
            svg += &line(
                a.x,
                a.y,
                b.x,
                b.y,
                "stroke=\"#fff\" stroke-width=\"3.6\" stroke-opacity=\"0.75\"",
            );
            svg += &line(a.x, a.y, b.x, b.y, &stroke(i, 0.9 * width));
        }
    }
    svg
}

fn axis(detail: &Place, rail: &Handrail, x: f64, top: f64, bottom: f64) -> String {
    let mut svg = String::new();
    for step in 0..40 {
        let below_m = step as f64 * 0.1;
        let y = detail.at(0.0, rail.height_m - below_m).y;
        if y > bottom {
            break;
        }
        if y < top {
            continue;
        }
        let long = if step % 2 == 0 { 6.0 } else { 3.0 };
        svg += &line(x - long, y, x, y, &format!("stroke=\"{INK}\""));
        if step % 2 == 0 {
            svg += &text(x - 8.0, y + 3.0, "end", &format!("{below_m:.1}"));
        }
    }
    svg
}

fn legend(
    detail: &Place,
    rail: &Handrail,
    doors: &HoodDoors,
    side: Side,
    moments: &[Moment],
    x: f64,
    top: f64,
) -> String {
    let mut svg = String::new();
    for (i, moment) in moments.iter().enumerate() {
        let y = top + 8.0 + 26.0 * i as f64;
        svg += &line(x, y, x + 26.0, y, &stroke(i, 1.8));
        svg += &text(x + 30.0, y + 3.0, "start", &moment.label);
        let where_m = match drop_m(rail, doors, side, moment) {
            Some(drop) if rail.height_m - drop < doors.bottom_m => {
                format!("{drop:.2} m: off the doors")
            }
            Some(drop) => format!("{drop:.2} m below the rail"),
            None => "no sun on this side".to_string(),
        };
        svg += &text(x + 30.0, y + 13.0, "start", &where_m);
    }
    let sill = detail.at(0.0, doors.bottom_m).y;
    svg + &text(x, sill + 3.0, "start", "doors' lower edge")
}

/// The machine's side as a flat drawing: pale paint, dark edges, white ground.
fn elevation_png(rasterizer: &dyn Rasterizer, stage: &Stage, view: &View) -> Vec<u8> {
    let mut sighting = Sighting::default();
    rasterizer.sight(stage, view, Around::Nothing, &mut sighting);
    let frame = &sighting.alone;
    let part = |i: usize| frame.ids[i].as_patch().map(|n| stage.patches.part[n]);
    let mut bytes = Vec::with_capacity(frame.ids.len());
    for row in 0..frame.height {
        for column in 0..frame.width {
            let i = row * frame.width + column;
            let right = if column + 1 < frame.width { i + 1 } else { i };
            let under = if row + 1 < frame.height {
                i + frame.width
            } else {
                i
            };
            let is_edge = [right, under].into_iter().any(|j| {
                let step = (frame.near[i] - frame.near[j]).abs();
                part(i) != part(j) || step > 0.03
            });
            let grey = match frame.ids[i].as_patch() {
                _ if is_edge => 0.5,
                Some(n) => {
                    let part = &stage.model.parts[stage.patches.part[n] as usize];
                    let paint = decode(stage.model.materials[part.material].color_srgb);
                    let facing = -stage.patches.normal[n].dot(view.forward);
                    0.76 + 0.2 * paint.dot(DVec3::new(0.2126, 0.7152, 0.0722)) + 0.06 * facing
                }
                None => 1.0,
            };
            bytes.push((grey.clamp(0.0, 1.0) * 255.0) as u8);
        }
    }
    let mut out = Vec::new();
    let mut encoder = png::Encoder::new(&mut out, frame.width as u32, frame.height as u32);
    encoder.set_color(png::ColorType::Grayscale);
    encoder.set_depth(png::BitDepth::Eight);
    encoder
        .write_header()
        .and_then(|mut writer| writer.write_image_data(&bytes))
        .expect("memory can be written");
    out
}
