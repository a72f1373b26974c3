//! Pairs of stand and minute one by one, as the plan would have to take them without its grids: drawn and graded, or by
//! a ray caster. For benches and examples. May not enter: the plan's own way.

use chrono::{DateTime, Utc};
use glam::{DVec2, DVec3};
use parry3d_f64::math::Vector;
use parry3d_f64::query::{Ray, RayCast};
use parry3d_f64::shape::TriMesh;
use sunside::grade::measure::eye::WIDEST_DEG;
use sunside::grade::{Stand, Studio, Verdict};
use sunside::plan::request::Request;
use sunside::plan::spots::spots;
use sunside::plan::survey::calendar;
use sunside::sighting::stage::Stage;
use sunside::sighting::view::View;

/// A stand and a minute.
pub type Pair = (Stand, DateTime<Utc>);

/// The score of a pair that is drawn and graded by itself, at the search's size.
pub fn drawn(studio: &Studio, (stand, at): &Pair) -> f64 {
    let size = &studio.rulebook.search;
    let minute = studio.minute_at_size(*at, size);
    let composed = studio.compose(stand, &studio.default_capture(), size, WIDEST_DEG);
    studio.grade_unmended(&composed, &minute).sheet.score
}

/// Pairs of stand and instant by daylight that closed form does not lose at once, spread by the golden section.
pub fn pairs(studio: &Studio, asked: &Request, wanted: usize) -> Vec<Pair> {
    let ground = spots(studio, asked.spacing_m.unwrap_or(1.0));
    let kit = &studio.scene.kit;
    let capture = studio.default_capture();
    let calendar = calendar(&studio.scene.place, asked);
    let turn = |k: usize, by: f64, count: usize| ((k as f64 * by).fract() * count as f64) as usize;
    let all = (1..200_000).filter_map(|k| {
        let spot = ground[turn(k, 0.618_033_988_75, ground.len())];
        let mut stand = Stand {
            spot_m: spot.at_m,
            height_m: kit.heights_m[k % kit.heights_m.len()],
            lens_mm: kit.lenses_mm[k % kit.lenses_mm.len()],
            heading_deg: 0.0,
            pitch_deg: 0.0,
            roll_deg: 0.0,
        };
        stand.heading_deg = studio.balanced_heading_deg(&stand);
        let at = calendar[turn(k, 0.754_877_666_25, calendar.len())].at;
        let geometry = studio.geometry_tally(&stand, &capture);
        let bound = studio.bound(&geometry, &stand, &studio.moment(at));
        (bound.verdict() > Verdict::Lost).then_some((stand, at))
    });
    all.take(wanted).collect()
}

/// The machine, and it with everything that casts a shadow, for a ray caster.
pub struct Meshes {
    machine_triangles: u32,
    all: TriMesh,
}

impl Meshes {
    /// Of a stage.
    pub fn of(stage: &Stage) -> Meshes {
        let vector = |v: &DVec3| Vector::new(v.x, v.y, v.z);
        let mut vertices: Vec<Vector> = stage.patches.vertices.iter().map(vector).collect();
        let mut triangles = stage.patches.triangles.clone();
        let machine_triangles = triangles.len() as u32;
        for (object, soup) in stage.objects.iter().zip(&stage.soups) {
            if object.is_caster() {
                let base = vertices.len() as u32;
                vertices.extend(soup.vertices.iter().map(vector));
                triangles.extend(soup.triangles.iter().map(|t| t.map(|i| i + base)));
            }
        }
        Meshes {
            machine_triangles,
            all: TriMesh::new(vertices, triangles).expect("triangles"),
        }
    }

    /// The share of the machine's pixels in the search's view that the sun reaches.
    pub fn lit(&self, studio: &Studio, (stand, at): &Pair) -> f64 {
        let toward = studio.moment(*at).toward;
        let width = studio.rulebook.search.width_px;
        let Some(view) = View::canonical(studio.eye(stand), &studio.stage.hull, width, WIDEST_DEG)
        else {
            return 0.0;
        };
        let vector = |v: DVec3| Vector::new(v.x, v.y, v.z);
        let (mut seen, mut lit) = (0u32, 0u32);
        for row in 0..view.height {
            for column in 0..view.width {
                let at = DVec2::new(column as f64 + 0.5, row as f64 + 0.5);
                let flat = view.plane_at(at);
                let way = view.forward + view.right * flat.x + view.up * flat.y;
                let ray = Ray::new(vector(view.eye), vector(way));
                let Some(hit) = self.all.cast_local_ray_and_get_normal(&ray, 1e4, false) else {
                    continue;
                };
                if hit.subshape >= self.machine_triangles {
                    continue;
                }
                seen += 1;
                let point = view.eye + way * hit.time_of_impact + toward * 0.005;
                let ray = Ray::new(vector(point), vector(toward));
                lit += u32::from(self.all.cast_local_ray(&ray, 1e4, false).is_none());
            }
        }
        f64::from(lit) / f64::from(seen.max(1))
    }
}
