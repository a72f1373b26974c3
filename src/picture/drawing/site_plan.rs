//! The site from above, to scale, north up. May not enter: how marks and spots were chosen.

use super::{INK, OXIDE, SLATE, line, open, text};
use crate::mesh::solid::Solid;
use crate::scene::Scene;
use crate::scene::ground::Access;
use crate::scene::surroundings::Kind;
use crate::scene::track::RAIL_HEAD_M;
use crate::sighting::cover::hull;
use crate::units::rad;
use glam::{DVec2, DVec3};
use std::fmt::Write;

/// How wide a camera sees, degrees.
pub use crate::camera::lens::angle_of_view_deg as across_deg;

/// A thing that can be found on the ground, and how far the spot lies from it.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// Its name.
    pub name: String,
    /// Where it is, east and north.
    pub at_m: DVec2,
    /// Distance from the spot, level.
    pub distance_m: f64,
    /// Whether the way there lies on ground where one may stand.
    pub walkable: bool,
}

/// What the plan shows beside the scene itself.
#[derive(Clone, Debug)]
pub struct Standing<'a> {
    /// The camera's place, east and north.
    pub spot_m: DVec2,
    /// True bearing of its axis, degrees.
    pub heading_deg: f64,
    /// Its angle of view across, degrees.
    pub across_deg: f64,
    /// Distances to draw.
    pub marks: &'a [Mark],
    /// Toward the sun, site frame; none leaves the shadows out.
    pub sun_toward: Option<DVec3>,
    /// Names of minutes and the sun's bearing at each, degrees.
    pub suns: &'a [(&'a str, f64)],
}

const WIDTH: f64 = 560.0;
const HEIGHT: f64 = 310.0;

/// From site metres to the drawing.
struct Sheet {
    middle_m: DVec2,
    per_m: f64,
}

impl Sheet {
    fn at(&self, p: DVec2) -> DVec2 {
        let off = (p - self.middle_m) * self.per_m;
        DVec2::new(WIDTH / 2.0 + off.x, HEIGHT / 2.0 - off.y)
    }

    fn polygon(&self, points: &[DVec2], style: &str) -> String {
        let mut list = String::new();
        for p in points {
            let p = self.at(*p);
            let _ = write!(list, "{:.1},{:.1} ", p.x, p.y);
        }
        format!("<polygon points=\"{}\" {style}/>", list.trim_end())
    }

    fn polyline(&self, points: &[DVec2], style: &str) -> String {
        self.polygon(points, &format!("fill=\"none\" {style}"))
            .replace("<polygon", "<polyline")
    }

    fn line(&self, a: DVec2, b: DVec2, style: &str) -> String {
        let (a, b) = (self.at(a), self.at(b));
        line(a.x, a.y, b.x, b.y, style)
    }
}

/// The plan as SVG.
pub fn svg(scene: &Scene, standing: &Standing) -> String {
    let frame = scene.machine.frame();
    let model = &scene.machine.model;
    let outline = scene.machine.outline_m();
    let sheet = fitted(
        outline
            .iter()
            .copied()
            .chain([standing.spot_m])
            .chain(standing.marks.iter().map(|mark| mark.at_m)),
    );
    let mut svg = open(
        WIDTH,
        HEIGHT,
        &format!("Site plan of {}, north up", scene.name),
    );
    let _ = write!(
        svg,
        "<defs><clipPath id=\"sheet\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\"/></clipPath>\
         <pattern id=\"public\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <circle cx=\"2\" cy=\"2\" r=\"0.7\" fill=\"{SLATE}\"/></pattern>\
         <pattern id=\"asked\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\">\
         <path d=\"M0 7L7 0\" stroke=\"{SLATE}\" stroke-width=\"0.6\"/></pattern></defs>\
         <g clip-path=\"url(#sheet)\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>"
    );
    for area in &scene.ground.areas {
        let fill = if area.access == Access::Public {
            "public"
        } else {
            "asked"
        };
        let style = format!("fill=\"url(#{fill})\" stroke=\"{SLATE}\" stroke-width=\"0.6\"");
        svg += &sheet.polygon(&area.polygon_m, &style);
    }
    // The strip in which nobody may stand covers the ground that it takes away.
    for track in &scene.tracks {
        let reach = 2.0 * (scene.ground.stand_off_m + track.gauge_m / 2.0 + RAIL_HEAD_M);
        let style = format!(
            "stroke=\"#e4e2dc\" stroke-width=\"{:.1}\"",
            reach * sheet.per_m
        );
        svg += &sheet.polyline(&track.points_m, &style);
    }
    if let Some(toward) = standing.sun_toward.filter(|toward| toward.z > 0.03) {
        svg += &shadows(scene, &sheet, toward);
    }
    for track in &scene.tracks {
        let wide = format!(
            "stroke=\"{INK}\" stroke-width=\"{:.1}\"",
            (track.gauge_m * sheet.per_m).max(2.4)
        );
        let inner = ((track.gauge_m - 0.15) * sheet.per_m - 1.0).max(1.0);
        svg += &sheet.polyline(&track.points_m, &wide);
        svg += &sheet.polyline(
            &track.points_m,
            &format!("stroke=\"#fff\" stroke-width=\"{inner:.1}\""),
        );
    }
    svg += &surroundings(scene, &sheet);
    svg += &sheet.polygon(&outline, &format!("fill=\"{SLATE}\" stroke=\"{INK}\""));
    svg += &wedge(&sheet, standing, scene.machine.centre_m);
    for mark in standing.marks {
        let style = format!("stroke=\"{INK}\" stroke-width=\"0.7\" stroke-dasharray=\"3 2\"");
        svg += &sheet.line(standing.spot_m, mark.at_m, &style);
    }
    let mut labels = Labels::default();
    // North mark, light and scale keep their corners.
    labels
        .taken
        .push((DVec2::new(WIDTH - 68.0, 0.0), DVec2::new(WIDTH, 128.0)));
    labels
        .taken
        .push((DVec2::new(0.0, HEIGHT - 32.0), DVec2::new(200.0, HEIGHT)));
    let spot = sheet.at(standing.spot_m);
    labels
        .taken
        .push((spot - DVec2::splat(6.0), spot + DVec2::splat(6.0)));
    let nose = frame
        .to_site(DVec3::new(model.head.coupler_x_m + 1.0, 0.0, 0.0))
        .truncate();
    svg += &labels.place(sheet.at(nose), "head end");
    for mark in standing.marks {
        let words = format!("{} {:.1} m", mark.name, mark.distance_m);
        svg += &labels.place(sheet.at(mark.at_m), &words);
    }
    let _ = write!(
        svg,
        "<circle cx=\"{0:.1}\" cy=\"{1:.1}\" r=\"5\" fill=\"#fff\" stroke=\"{OXIDE}\" stroke-width=\"2\"/>\
         <circle cx=\"{0:.1}\" cy=\"{1:.1}\" r=\"1.5\" fill=\"{OXIDE}\"/></g>",
        spot.x, spot.y
    );
    svg += &scale_and_north(&sheet);
    svg += &light(standing.suns);
    svg + "</svg>"
}

/// Labels set so far; a new one moves down, or up, until it covers none of them.
#[derive(Default)]
struct Labels {
    taken: Vec<(DVec2, DVec2)>,
}

impl Labels {
    fn place(&mut self, at: DVec2, words: &str) -> String {
        // A letter of this type is about half as wide as it is high.
        let size = DVec2::new(words.chars().count() as f64 * 4.6, 10.0);
        let free = |low: &DVec2| {
            let high = *low + size;
            let inside =
                low.y > 2.0 && high.y < HEIGHT - 2.0 && low.x > 2.0 && high.x < WIDTH - 2.0;
            inside
                && (self.taken.iter())
                    .all(|(l, h)| high.x < l.x || low.x > h.x || high.y < l.y || low.y > h.y)
        };
        let beside = [6.0, -6.0 - size.x, -size.x / 2.0];
        let rows = [0.0, 11.0, -11.0, 22.0, -22.0, 33.0, -33.0, 44.0, -44.0];
        let tries = rows
            .iter()
            .flat_map(|dy| beside.map(|dx| at + DVec2::new(dx, dy - 6.0)));
        let low = tries
            .into_iter()
            .find(free)
            .unwrap_or(at + DVec2::new(6.0, -6.0));
        self.taken.push((low, low + size));
        text(low.x, low.y + 8.0, "start", words)
    }
}

/// The sheet that holds these points with room about them.
fn fitted(points: impl Iterator<Item = DVec2>) -> Sheet {
    let (low, high) = points.fold((DVec2::INFINITY, DVec2::NEG_INFINITY), |(low, high), p| {
        (low.min(p), high.max(p))
    });
    let size = (high - low).max(DVec2::splat(10.0));
    let per_m = ((WIDTH - 110.0) / size.x).min((HEIGHT - 56.0) / size.y);
    Sheet {
        middle_m: (low + high) / 2.0,
        per_m,
    }
}

fn shadows(scene: &Scene, sheet: &Sheet, toward: DVec3) -> String {
    let frame = scene.machine.frame();
    let below = scene.tracks[scene.machine.track].ground_below_rail_m;
    let fall = |p: DVec3| (p - toward * ((p.z + below).max(0.0) / toward.z)).truncate();
    let style = "fill=\"#22303a\"";
    // The shade of several pieces is no darker than that of one.
    let mut svg = String::from("<g opacity=\"0.22\">");
    for object in &scene.surroundings {
        for solid in &object.solids {
            let points = solid.convex().corners.into_iter().map(fall).collect();
            svg += &sheet.polygon(&hull(points), style);
        }
    }
    let machine = scene
        .machine
        .model
        .vertices
        .iter()
        .map(|v| fall(frame.to_site(*v)))
        .collect();
    svg + &sheet.polygon(&hull(machine), style) + "</g>"
}

fn surroundings(scene: &Scene, sheet: &Sheet) -> String {
    let mut svg = String::new();
    for wire in &scene.wires {
        let style = format!("stroke=\"{INK}\" stroke-width=\"0.5\" stroke-dasharray=\"1 2\"");
        svg += &sheet.line(wire.a.truncate(), wire.b.truncate(), &style);
    }
    for object in &scene.surroundings {
        let style = match object.kind {
            Kind::Crown | Kind::Bush => {
                "fill=\"#c9d0c2\" fill-opacity=\"0.8\" stroke=\"#4e6778\" stroke-width=\"0.6\""
            }
            Kind::Building | Kind::Bridge | Kind::Canopy => {
                "fill=\"#b9b4a8\" stroke=\"#b9b4a8\" stroke-width=\"0.4\""
            }
            Kind::Equipment => "fill=\"#d9d5cb\" stroke=\"#22303a\" stroke-width=\"0.6\"",
            _ => "fill=\"#22303a\" stroke=\"#22303a\" stroke-width=\"1\"",
        };
        let flats = object.solids.iter().map(|solid| {
            let corners = solid.convex().corners.into_iter();
            corners.map(|p| p.truncate()).collect::<Vec<DVec2>>()
        });
        // What is seen as one thing from above is one outline; walls may stand at any angle.
        if matches!(
            object.kind,
            Kind::Equipment | Kind::Crown | Kind::Bush | Kind::Trunk | Kind::Person
        ) {
            svg += &sheet.polygon(&hull(flats.flatten().collect()), style);
        } else {
            for flat in flats {
                svg += &sheet.polygon(&hull(flat), style);
            }
        }
        if matches!(
            object.kind,
            Kind::Pole | Kind::Mast | Kind::Signal | Kind::SwitchStand
        ) && let Some(Solid::Bar { a, .. }) = object
            .solids
            .iter()
            .find(|s| matches!(s, Solid::Bar { .. }))
        {
            let p = sheet.at(a.truncate());
            let _ = write!(
                svg,
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.6\" fill=\"{INK}\"/>",
                p.x, p.y
            );
        }
    }
    svg
}

fn wedge(sheet: &Sheet, standing: &Standing, toward_m: DVec2) -> String {
    let reach = standing.spot_m.distance(toward_m) + 14.0;
    let side = |turn: f64| {
        let (east, north) = rad(standing.heading_deg + turn).sin_cos();
        // The wedge ends on a line square to the axis.
        standing.spot_m + DVec2::new(east, north) * (reach / rad(standing.across_deg / 2.0).cos())
    };
    let half = standing.across_deg / 2.0;
    let corners = [side(-half), standing.spot_m, side(half)];
    let style = format!("stroke=\"{OXIDE}\" stroke-width=\"1\" stroke-dasharray=\"7 2 1 2\"");
    sheet.polyline(&corners, &style)
}

/// A bar of a round length, and the north mark.
fn scale_and_north(sheet: &Sheet) -> String {
    let length_m = [2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0]
        .into_iter()
        .rfind(|m| m * sheet.per_m < 150.0)
        .unwrap_or(1.0);
    let (x, y, w) = (14.0, HEIGHT - 14.0, length_m * sheet.per_m);
    let (nx, ny) = (WIDTH - 20.0, 18.0);
    format!(
        "<rect x=\"4\" y=\"{:.1}\" width=\"{:.1}\" height=\"30\" fill=\"#fff\" fill-opacity=\"0.85\"/>\
         <rect x=\"{x}\" y=\"{y}\" width=\"{w:.1}\" height=\"4\" fill=\"none\" stroke=\"{INK}\"/>\
         <rect x=\"{x}\" y=\"{y}\" width=\"{:.1}\" height=\"4\" fill=\"{INK}\"/>{}{}\
         <rect x=\"{:.1}\" y=\"2\" width=\"28\" height=\"44\" fill=\"#fff\" fill-opacity=\"0.85\"/>\
         <path d=\"M{nx} {ny}l6 20l-6 -5l-6 5z\" fill=\"{INK}\"/>{}\
         <rect x=\"0.5\" y=\"0.5\" width=\"{:.0}\" height=\"{:.0}\" fill=\"none\" stroke=\"{INK}\"/>",
        y - 15.0,
        w + 34.0,
        w / 2.0,
        text(x, y - 4.0, "start", "0"),
        text(x + w, y - 4.0, "middle", &format!("{length_m:.0} m")),
        nx - 14.0,
        text(nx, ny - 3.0, "middle", "N"),
        WIDTH - 1.0,
        HEIGHT - 1.0,
    )
}

/// Which way the light falls: a ring with a tick on the sun's side for each minute and one arrow across it
/// for the best.
fn light(suns: &[(&str, f64)]) -> String {
    let (x, y, r) = (WIDTH - 34.0, 84.0, 13.0);
    let mut svg = format!(
        "<rect x=\"{:.0}\" y=\"50\" width=\"66\" height=\"76\" fill=\"#fff\" fill-opacity=\"0.85\"/>\
         <circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"none\" stroke=\"{SLATE}\" stroke-width=\"0.8\"/>{}",
        x - 33.0,
        text(x, 122.0, "middle", "light falls"),
    );
    for (name, azimuth_deg) in suns {
        let (east, north) = rad(*azimuth_deg).sin_cos();
        let at = |reach: f64| DVec2::new(x + east * reach, y - north * reach);
        let (a, b) = (at(r), at(r + 4.0));
        svg += &line(
            a.x,
            a.y,
            b.x,
            b.y,
            &format!("stroke=\"{INK}\" stroke-width=\"1\""),
        );
        if *name == "best" {
            let (from, tip) = (at(r), at(-r + 2.0));
            let stroke = format!("stroke=\"{OXIDE}\" stroke-width=\"1.6\"");
            svg += &line(from.x, from.y, tip.x, tip.y, &stroke);
            for turn_deg in [-28.0, 28.0] {
                let (e, n) = rad(*azimuth_deg + turn_deg).sin_cos();
                svg += &line(tip.x, tip.y, tip.x + e * 7.0, tip.y - n * 7.0, &stroke);
            }
        }
    }
    svg
}
