//! The site from above, to scale, north up, as a sheet. May not enter: how marks and spots were chosen, where things
//! lie.

use super::ground::{Look, NORTH_MARK, Paper, Plan, seen, shade};
use super::labels::Labels;
use super::{INK, OXIDE, SLATE, line, open, text};
use crate::scene::Scene;
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
    /// The machine's outermost points, in its own frame.
    pub hull_m: &'a [DVec3],
    /// Toward the sun, site frame; none leaves the shadows out.
    pub sun_toward: Option<DVec3>,
    /// Names of minutes and the sun's bearing at each, degrees.
    pub suns: &'a [(&'a str, f64)],
}

const WIDTH: f64 = 560.0;
const HEIGHT: f64 = 390.0;
/// What ties are drawn with, and how wide.
const TIMBER: &str = "#b9b4a8";
const TIE_WIDTH_M: f64 = 0.22;

/// Width and height left for what is to be seen.
const ROOM: DVec2 = DVec2::new(WIDTH - 110.0, HEIGHT - 56.0);
/// Width of a letter and height of a line of the drawing's type.
const LETTER: DVec2 = DVec2::new(4.6, 10.0);

fn places(paper: &Paper, points_m: &[DVec2]) -> String {
    let mut list = String::new();
    for point_m in points_m {
        let at = paper.at(*point_m);
        let _ = write!(list, "{:.1},{:.1} ", at.x, at.y);
    }
    list.trim_end().to_string()
}

fn polygon(paper: &Paper, points_m: &[DVec2], style: &str) -> String {
    format!("<polygon points=\"{}\" {style}/>", places(paper, points_m))
}

fn polyline(paper: &Paper, points_m: &[DVec2], style: &str) -> String {
    let list = places(paper, points_m);
    format!("<polyline points=\"{list}\" fill=\"none\" {style}/>")
}

/// The plan as SVG.
pub fn svg(scene: &Scene, standing: &Standing) -> String {
    let plan = Plan::of(scene);
    let marks = standing.marks.iter().map(|mark| mark.at_m);
    let shown = plan.machine.into_iter().chain([standing.spot_m]);
    let sheet = Paper {
        low: DVec2::ZERO,
        size: DVec2::new(WIDTH, HEIGHT),
        middle_m: DVec2::ZERO,
        per_m: 1.0,
        up_deg: 0.0,
    };
    let sheet = sheet.fitted(shown.chain(marks), ROOM);
    let title = format!("Site plan of {}, north up", scene.name);
    let mut svg = open(WIDTH, HEIGHT, &title);
    let _ = write!(
        svg,
        "<defs><clipPath id=\"sheet\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\"/></clipPath>\
         <pattern id=\"public\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">\
         <circle cx=\"2\" cy=\"2\" r=\"0.7\" fill=\"{SLATE}\"/></pattern>\
         <pattern id=\"asked\" width=\"7\" height=\"7\" patternUnits=\"userSpaceOnUse\">\
         <path d=\"M0 7L7 0\" stroke=\"{SLATE}\" stroke-width=\"0.6\"/></pattern></defs>\
         <g clip-path=\"url(#sheet)\"><rect width=\"{WIDTH}\" height=\"{HEIGHT}\" fill=\"#fff\"/>"
    );
    svg += &grounds(&plan, &sheet);
    if let Some(toward) = standing.sun_toward {
        svg += &shadows(scene, standing.hull_m, &sheet, toward);
    }
    svg += &tracks(scene, &plan, &sheet);
    svg += &surroundings(&plan, &sheet);
    let style = format!("fill=\"{SLATE}\" stroke=\"{INK}\"");
    svg += &polygon(&sheet, &plan.machine, &style);
    let style = format!("stroke=\"{OXIDE}\" stroke-width=\"1\" stroke-dasharray=\"7 2 1 2\"");
    let toward_m = scene.machine.centre_m;
    let wedge = seen(
        standing.spot_m,
        standing.heading_deg,
        standing.across_deg,
        toward_m,
    );
    svg += &polyline(&sheet, &wedge, &style);
    for mark in standing.marks {
        let style = format!("stroke=\"{INK}\" stroke-width=\"0.7\" stroke-dasharray=\"3 2\"");
        svg += &polyline(&sheet, &[standing.spot_m, mark.at_m], &style);
    }
    svg += &names(scene, &plan, standing, &sheet);
    let spot = sheet.at(standing.spot_m);
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

/// Names of the head end and of marks, with their distances.
fn names(scene: &Scene, plan: &Plan, standing: &Standing, sheet: &Paper) -> String {
    let mut labels = Labels::on(DVec2::splat(2.0), DVec2::new(WIDTH - 2.0, HEIGHT - 2.0));
    // North mark, light, scale and spot keep their places.
    labels.keep(DVec2::new(WIDTH - 68.0, 0.0), DVec2::new(WIDTH, 128.0));
    labels.keep(DVec2::new(0.0, HEIGHT - 32.0), DVec2::new(200.0, HEIGHT));
    let spot = sheet.at(standing.spot_m);
    labels.keep(spot - DVec2::splat(6.0), spot + DVec2::splat(6.0));
    // No word is struck through by a rail.
    for at in plan
        .rails
        .as_flattened()
        .iter()
        .flat_map(|rail| dots(rail, sheet))
    {
        labels.keep(at - DVec2::ONE, at + DVec2::ONE);
    }
    let beyond = scene.machine.model.head.coupler_x_m + 1.0;
    let nose = scene.machine.frame().to_site(DVec3::X * beyond).truncate();
    let head = (nose, "head end".to_string());
    let marks = standing.marks.iter();
    let marks = marks.map(|mark| (mark.at_m, format!("{} {:.1} m", mark.name, mark.distance_m)));
    let mut svg = String::new();
    for (at_m, words) in std::iter::once(head).chain(marks) {
        let size = DVec2::new(words.chars().count() as f64 * LETTER.x, LETTER.y);
        let low = labels.place(sheet.at(at_m), size);
        svg += &text(low.x, low.y + 8.0, "start", &words);
    }
    svg
}

/// Points of a rail on the sheet, closer together than a line of words is high.
fn dots(rail_m: &[DVec2], sheet: &Paper) -> impl Iterator<Item = DVec2> {
    let legs: Vec<[DVec2; 2]> = (rail_m.windows(2))
        .map(|leg| [sheet.at(leg[0]), sheet.at(leg[1])])
        .collect();
    let on_sheet = |at: &DVec2| at.cmpge(DVec2::ZERO).all() && at.x <= WIDTH && at.y <= HEIGHT;
    let of_leg = |[a, b]: [DVec2; 2]| {
        let steps = (a.distance(b) / (0.8 * LETTER.y)).ceil().clamp(1.0, 2000.0) as usize;
        (0..=steps).map(move |k| a.lerp(b, k as f64 / steps as f64))
    };
    legs.into_iter().flat_map(of_leg).filter(on_sheet)
}

/// Where one may stand, and the strips that take from it.
fn grounds(plan: &Plan, sheet: &Paper) -> String {
    let mut svg = String::new();
    for area in &plan.allowed {
        let fill = if area.is_asked { "asked" } else { "public" };
        let style = format!("fill=\"url(#{fill})\" stroke=\"{SLATE}\" stroke-width=\"0.6\"");
        svg += &polygon(sheet, &area.outline_m, &style);
    }
    for strip in &plan.stand_off {
        let wide = 2.0 * strip.half_m * sheet.per_m;
        let style = format!(
            "stroke=\"#e4e2dc\" stroke-width=\"{wide:.1}\" stroke-linejoin=\"round\" \
                             stroke-linecap=\"round\""
        );
        svg += &polyline(sheet, &strip.points_m, &style);
    }
    svg
}

fn shadows(scene: &Scene, hull_m: &[DVec3], sheet: &Paper, toward: DVec3) -> String {
    let mut path = String::new();
    for region in shade(scene, hull_m, toward) {
        for ring in region.rings_m() {
            let _ = write!(path, "M{}Z", places(sheet, &ring));
        }
    }
    format!("<path d=\"{path}\" fill=\"{INK}\" fill-opacity=\"0.22\" fill-rule=\"evenodd\"/>")
}

/// Ties and rails.
fn tracks(scene: &Scene, plan: &Plan, sheet: &Paper) -> String {
    let mut svg = String::new();
    for track in &scene.tracks {
        let mut path = String::new();
        for [a, b] in sheet.ties(track) {
            let _ = write!(path, "M{}L{}", places(sheet, &[a]), places(sheet, &[b]));
        }
        let wide = (TIE_WIDTH_M * sheet.per_m).max(1.0);
        let _ = write!(
            svg,
            "<path d=\"{path}\" stroke=\"{TIMBER}\" stroke-width=\"{wide:.1}\" fill=\"none\"/>"
        );
    }
    let style = format!("stroke=\"{INK}\" stroke-width=\"1.2\"");
    for rail in plan.rails.as_flattened() {
        svg += &polyline(sheet, rail, &style);
    }
    svg
}

fn surroundings(plan: &Plan, sheet: &Paper) -> String {
    let mut svg = String::new();
    for wire in &plan.wires {
        let style = format!("stroke=\"{INK}\" stroke-width=\"0.5\" stroke-dasharray=\"1 2\"");
        svg += &polyline(sheet, wire, &style);
    }
    for thing in &plan.things {
        let style = match thing.look {
            Look::Growth => {
                "fill=\"#c9d0c2\" fill-opacity=\"0.8\" stroke=\"#4e6778\" stroke-width=\"0.6\""
            }
            Look::Structure => "fill=\"#b9b4a8\" stroke=\"#b9b4a8\" stroke-width=\"0.4\"",
            Look::Equipment => "fill=\"#d9d5cb\" stroke=\"#22303a\" stroke-width=\"0.6\"",
            Look::Slender => "fill=\"#22303a\" stroke=\"#22303a\" stroke-width=\"1\"",
        };
        for outline in &thing.outlines_m {
            svg += &polygon(sheet, outline, style);
        }
        if let Some(foot_m) = thing.foot_m {
            let p = sheet.at(foot_m);
            let _ = write!(
                svg,
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"2.6\" fill=\"{INK}\"/>",
                p.x, p.y
            );
        }
    }
    svg
}

/// A bar of a round length, and the north mark.
fn scale_and_north(sheet: &Paper) -> String {
    let length_m = sheet.scale_m(150.0);
    let (x, y, w) = (14.0, HEIGHT - 14.0, length_m * sheet.per_m);
    let north = DVec2::new(WIDTH - 20.0, 30.0);
    let mark: Vec<String> = (NORTH_MARK.iter().map(|off| north + *off))
        .map(|at| format!("{},{}", at.x, at.y))
        .collect();
    format!(
        "<rect x=\"4\" y=\"{:.1}\" width=\"{:.1}\" height=\"30\" fill=\"#fff\" fill-opacity=\"0.85\"/>\
         <rect x=\"{x}\" y=\"{y}\" width=\"{w:.1}\" height=\"4\" fill=\"none\" stroke=\"{INK}\"/>\
         <rect x=\"{x}\" y=\"{y}\" width=\"{:.1}\" height=\"4\" fill=\"{INK}\"/>{}{}\
         <rect x=\"{:.1}\" y=\"2\" width=\"28\" height=\"44\" fill=\"#fff\" fill-opacity=\"0.85\"/>\
         <polygon points=\"{}\" fill=\"{INK}\"/>{}\
         <rect x=\"0.5\" y=\"0.5\" width=\"{:.0}\" height=\"{:.0}\" fill=\"none\" stroke=\"{INK}\"/>",
        y - 15.0,
        w + 34.0,
        w / 2.0,
        text(x, y - 4.0, "start", "0"),
        text(x + w, y - 4.0, "middle", &format!("{length_m:.0} m")),
        north.x - 14.0,
        mark.join(" "),
        text(north.x, north.y - 15.0, "middle", "N"),
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
