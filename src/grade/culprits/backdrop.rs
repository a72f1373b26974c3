//! What meets the machine's roofline or lies round its outline: taken from the eye's view, whose columns and band the
//! measures are defined by. May not enter: suns.

use super::{Culprits, Form, Mark, MarkRole, Scene};
use crate::camera::framing::margins;
use crate::grade::measure::eye::Eye;
use crate::grade::measure::surroundings::{band_px, frame_mask, is_behind_machine};
use crate::sighting::roofline::{Column, roofline, stretches};
use crate::sighting::silhouette::{crowds, each_of_band};
use glam::{DVec2, DVec3};

/// Width of the stripe over the roofline that shows what it meets, a share of the frame's width.
const STRIPE_SHARE: f64 = 0.012;
/// Every second stretch of the roofline is blamed less, so that the changes between them show.
const FAINT: f64 = 0.35;
/// So many pieces are asked of each piece of a wire.
const WIRE_STEPS: usize = 8;

impl Scene<'_> {
    fn name(&self, object: usize) -> String {
        format!("the {}", self.studio.stage.objects[object].name)
    }

    pub(super) fn detail(&self) -> Option<String> {
        self.measured().and_then(|one| one.detail)
    }

    pub(super) fn growths(&self, out: &mut Culprits) {
        let Some(found) = self.found() else { return };
        out.nothing = Some("nothing grows from the roofline".into());
        if found.outline.growths.is_empty() {
            return;
        }
        self.objects(out, &self.own().sighting, &found.outline.growths);
        out.label = self.detail();
        // Where the first of them meets the roof.
        if let Some(eye) = &self.composed.eye {
            let columns = self.roof_columns(eye);
            let touching = columns.iter().find(|column| {
                let grown = |k: &usize| found.outline.growths.contains(k);
                column.object.as_ref().is_some_and(grown)
            });
            out.anchor = touching.and_then(|at| self.place_in_frame(eye, at.column, at.row));
        }
    }

    fn roof_columns(&self, eye: &Eye) -> Vec<Column> {
        let mask = frame_mask(eye, self.camera);
        roofline(
            &self.studio.stage,
            &eye.view,
            &eye.sighting,
            &|pixel| mask[pixel],
            &|direction| self.studio.is_hill(direction),
        )
    }

    /// Where a pixel of the eye's view lies in the frame.
    fn place_in_frame(&self, eye: &Eye, column: usize, row: usize) -> Option<[f64; 2]> {
        self.finder.inside(eye.view.point(column, row, 0.1))
    }

    /// The stretches of backdrop along the roofline, every second one fainter, and a line at each change.
    pub(super) fn roofline(&self, out: &mut Culprits) {
        let Some(eye) = &self.composed.eye else {
            return;
        };
        let columns = self.roof_columns(eye);
        let stretches = stretches(&columns);
        if stretches.len() < 2 {
            out.nothing = Some("one kind of backdrop lies along the whole roofline".into());
            return;
        }
        let scale = self.view.pixels_per_unit() / eye.view.pixels_per_unit();
        let tall = (STRIPE_SHARE * out.mask.width as f64 / scale)
            .ceil()
            .max(1.0) as usize;
        let (wide, high) = (eye.view.width, eye.sighting.alone.height);
        let mut values = vec![0u8; wide * high];
        for (number, stretch) in stretches.iter().enumerate() {
            let share = if number % 2 == 0 { FAINT } else { 1.0 };
            for column in &columns[stretch.from..stretch.to] {
                for row in column.row.saturating_sub(tall - 1)..=column.row {
                    values[row * wide + column.column] = (255.0 * share) as u8;
                }
            }
            let first = columns[stretch.from];
            if number == 0 {
                continue;
            }
            let top = first.row.saturating_sub(2 * tall);
            let ends = [first.row, top].map(|row| self.place_in_frame(eye, first.column, row));
            if let [Some(foot), Some(head)] = ends {
                let word = stretch.kind.word().to_string();
                out.line(MarkRole::Value, Some([foot, head]), Some(word));
            }
        }
        self.spread(out, eye, &values);
        let changes = stretches.len() - 1;
        out.label = Some(self.told(
            changes as f64,
            if changes == 1 { "change" } else { "changes" },
        ));
        out.anchor = out.marks.first().map(|mark| mark.points[0]);
    }

    /// Brings values of the eye's view into the frame.
    fn spread(&self, out: &mut Culprits, eye: &Eye, values: &[u8]) {
        let (own, view) = (&self.view, &eye.view);
        let (wide, high) = (view.width, eye.sighting.alone.height);
        // The frame's window is a homography of the view's: its axes are taken apart once.
        let rows = [view.right, view.up, view.forward]
            .map(|axis| DVec3::new(own.right.dot(axis), own.up.dot(axis), own.forward.dot(axis)));
        let width = out.mask.width;
        out.mask.blame(|pixel| {
            let middle = DVec2::new((pixel % width) as f64 + 0.5, (pixel / width) as f64 + 0.5);
            let ray = own.plane_at(middle).extend(1.0);
            let depth = rows[2].dot(ray);
            if depth <= 0.0 {
                return 0.0;
            }
            let at = view.pixel(DVec2::new(rows[0].dot(ray), rows[1].dot(ray)) / depth);
            let inside = at.x >= 0.0 && at.y >= 0.0 && at.x < wide as f64 && at.y < high as f64;
            match inside {
                true => f64::from(values[at.y as usize * wide + at.x as usize]) / 255.0,
                false => 0.0,
            }
        });
    }

    pub(super) fn bars(&self, out: &mut Culprits) {
        let Some(found) = self.found() else { return };
        out.nothing = Some("no wide structure cuts through behind the machine".into());
        if !found.outline.bars.is_empty() {
            self.objects(out, &self.own().sighting, &found.outline.bars);
            out.label = self.detail();
        }
    }

    /// What fills the band round the silhouette.
    pub(super) fn band(&self, out: &mut Culprits) {
        let (Some(eye), Some(found)) = (&self.composed.eye, self.found()) else {
            return;
        };
        let stage = &self.studio.stage;
        let mask = frame_mask(eye, self.camera);
        let band_px = band_px(eye, margins(self.camera, &stage.hull));
        let mut values = vec![0u8; mask.len()];
        each_of_band(&eye.sighting, band_px, &|pixel| mask[pixel], &mut |pixel| {
            if crowds(stage, eye.sighting.all.ids[pixel]).is_some() {
                values[pixel] = 255;
            }
        });
        self.spread(out, eye, &values);
        out.label = found.outline.band_object.map(|k| self.name(k));
        out.nothing = Some("no equipment or building lies round the outline".into());
    }

    pub(super) fn wires_uprights(&self, out: &mut Culprits) {
        let (Some(eye), Some(found)) = (&self.composed.eye, self.found()) else {
            return;
        };
        if !found.outline.uprights_beside.is_empty() {
            self.objects(out, &self.own().sighting, &found.outline.uprights_beside);
        }
        for wire in &found.wires {
            let wire = &self.studio.stage.wires[*wire];
            for points in self.wire_runs(eye, &wire.points) {
                out.marks.push(Mark {
                    role: MarkRole::Value,
                    form: Form::Line,
                    points,
                    label: None,
                });
            }
        }
        out.label = self.detail();
        out.nothing =
            Some("no wire crosses above the machine and no upright stands beside it".into());
    }

    /// A wire in the frame, where the machine does not cover it.
    pub(super) fn wire_runs(&self, eye: &Eye, points: &[DVec3]) -> Vec<Vec<[f64; 2]>> {
        let mut runs: Vec<Vec<[f64; 2]>> = vec![vec![]];
        for ends in points.windows(2) {
            for step in 0..WIRE_STEPS {
                let at = |i: usize| ends[0].lerp(ends[1], i as f64 / WIRE_STEPS as f64);
                let piece = self.finder.line(at(step), at(step + 1));
                let covered =
                    is_behind_machine(eye, at(step)) || is_behind_machine(eye, at(step + 1));
                match (piece.filter(|_| !covered), runs.last_mut()) {
                    (Some([a, b]), Some(run)) => {
                        if run.last() != Some(&a) {
                            run.push(a);
                        }
                        run.push(b);
                    }
                    (None, Some(run)) if !run.is_empty() => runs.push(vec![]),
                    _ => {}
                }
            }
        }
        runs.retain(|run| run.len() >= 2);
        runs
    }
}
