//! What is coupled, open, dirty or unsharp. May not enter: suns.

use super::{Culprits, MarkRole, Scene};
use crate::camera::focus::Focus;
use crate::grade::MeasureId;
use crate::grade::measure::capture;
use crate::grade::measure::composition::{COUPLER_HEIGHT_M, coupler_depths_m};
use crate::mesh::model::HingedDoor;
use crate::sighting::stage::StageKind;
use glam::DVec3;
use std::collections::BTreeSet;

/// A point this near to a door's box counts as the door's, metres: a pixel shows its place to about so much.
const DOOR_SLACK_M: f64 = 0.01;

impl Scene<'_> {
    /// The equipment at that end, as far as the frame shows it.
    pub(super) fn coupled(&self, out: &mut Culprits) {
        let front = self.measure == MeasureId::CoupledFront;
        if self.value() == Some(0.0) {
            out.nothing = Some("nothing is coupled there".into());
            return;
        }
        let stage = &self.studio.stage;
        let is_there = |k: &usize| {
            let [low, high] = stage.bounds[*k];
            stage.objects[*k].kind == StageKind::Coupled && (low.x + high.x > 0.0) == front
        };
        let there: BTreeSet<usize> = (0..stage.objects.len()).filter(is_there).collect();
        let names = there
            .iter()
            .next()
            .map(|k| format!("the {}", stage.objects[*k].name));
        self.objects(out, &self.own().sighting, &there);
        out.label = names;
        out.nothing = Some(match there.is_empty() {
            true => "the scene says so but places nothing there".into(),
            false => "what is coupled there lies outside the frame, or behind the machine".into(),
        });
    }

    /// The doors' own surfaces, as they stand.
    pub(super) fn doors(&self, out: &mut Culprits) {
        if self.value() == Some(0.0) {
            out.nothing = Some("no door stands open".into());
            return;
        }
        let model = self.model();
        let leaves: Vec<Leaf> = model
            .hinged_doors
            .iter()
            .map(|door| self.leaf(door))
            .collect();
        if leaves.is_empty() {
            out.nothing = Some("the scene says so, but the model states no doors that open".into());
            return;
        }
        let own = self.own();
        let alone = &own.sighting.alone;
        let mut seen: BTreeSet<usize> = BTreeSet::new();
        for (pixel, id) in own.sighting.all.ids.iter().enumerate() {
            if id.as_patch().is_none() {
                continue;
            }
            let (column, row) = (pixel % alone.width, pixel / alone.width);
            let point = own.view.point(column, row, alone.near[pixel]);
            if let Some(door) = leaves.iter().position(|leaf| leaf.holds(point)) {
                out.mask.set(pixel, 1.0);
                seen.insert(door);
            }
        }
        let names = seen
            .iter()
            .take(2)
            .map(|door| model.hinged_doors[*door].name.clone());
        out.label = Some(names.collect::<Vec<_>>().join(", ")).filter(|names| !names.is_empty());
        out.nothing = Some("the open doors cannot be seen from here".into());
    }

    /// A door in the mesh as it is drawn.
    fn leaf(&self, door: &HingedDoor) -> Leaf {
        let model = self.model();
        let [from, to] = door.hinge_m;
        let along = (to - from).normalize_or(DVec3::Z);
        // Outward from the hinge to the door's middle: its leaf lies along that.
        let corners: Vec<DVec3> = (door.triangles.iter())
            .flat_map(|t| model.triangles[*t as usize].corners)
            .map(|i| model.vertices[i as usize])
            .collect();
        let middle = corners.iter().sum::<DVec3>() / corners.len().max(1) as f64;
        let across = (middle - from)
            .reject_from(along)
            .normalize_or(along.any_orthonormal_vector());
        let mut leaf = Leaf {
            axes: [along, across, along.cross(across)],
            low: DVec3::INFINITY,
            high: DVec3::NEG_INFINITY,
        };
        for corner in corners {
            let at = leaf.flat(corner);
            (leaf.low, leaf.high) = (leaf.low.min(at), leaf.high.max(at));
        }
        leaf
    }

    pub(super) fn dirt(&self, out: &mut Culprits) {
        if self.value() == Some(0.0) {
            out.nothing = Some("the machine is clean".into());
            return;
        }
        let own = self.own();
        out.mask
            .blame(|pixel| f64::from(u8::from(own.sighting.all.ids[pixel].as_patch().is_some())));
        out.label = Some("stated of the whole machine".into());
        out.nothing = Some("the machine lies outside the frame".into());
    }

    /// Where the machine is drawn less sharp than the film tells from sharp: the more, the stronger.
    pub(super) fn focus(&self, out: &mut Culprits) {
        let model = self.model();
        let Some(focus) = capture::focused(model, self.camera, &self.composed.capture) else {
            return;
        };
        let own = self.own();
        let alone = &own.sighting.alone;
        out.mask
            .blame(|pixel| match own.sighting.all.ids[pixel].as_patch() {
                Some(_) => unsharp(&focus, 1.0 / f64::from(alone.near[pixel])),
                None => 0.0,
            });
        let depths = coupler_depths_m(model, self.camera);
        let outside = depths.map(|depth| focus.outside_depth_of_field_m(depth));
        let worse = if outside[0] >= outside[1] {
            &model.head
        } else {
            &model.rear
        };
        let coupler = DVec3::new(worse.coupler_x_m, 0.0, COUPLER_HEIGHT_M);
        if outside[0].max(outside[1]) > 0.0 {
            let upright = self.finder.line(coupler.with_z(0.0), coupler.with_z(3.0));
            out.line(MarkRole::Value, upright, None);
            out.anchor = self.finder.inside(coupler);
            let most = outside[0].max(outside[1]);
            out.say_length(|units| self.told_in(units, most, "outside"));
        }
        out.nothing = Some("the whole machine lies within the depth of field".into());
    }

    pub(super) fn exposure(&self, out: &mut Culprits) {
        out.nothing = Some("exposure is a matter of the whole frame, not of a place in it".into());
    }
}

/// Blame for a depth: from nothing at the circle of confusion to all at twice that.
fn unsharp(focus: &Focus, depth_m: f64) -> f64 {
    match focus.outside_depth_of_field_m(depth_m) > 0.0 {
        true => focus.blur_disc_mm(depth_m) / focus.circle_mm - 1.0,
        false => 0.0,
    }
}

/// A door's box, turned with it.
struct Leaf {
    axes: [DVec3; 3],
    low: DVec3,
    high: DVec3,
}

impl Leaf {
    fn flat(&self, point: DVec3) -> DVec3 {
        DVec3::from(self.axes.map(|axis| point.dot(axis)))
    }

    fn holds(&self, point: DVec3) -> bool {
        let at = self.flat(point);
        let slack = DVec3::splat(DOOR_SLACK_M);
        at.cmpge(self.low - slack).all() && at.cmple(self.high + slack).all()
    }
}
