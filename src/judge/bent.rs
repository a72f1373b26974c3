//! What a lens that bends straight lines, and a cut beside the middle, do to the frame: margins and the lean of verticals,
//! where a radial term was fitted or the axis left open. May not enter: limits, fitting.
//!
//! A radial term moves images along the rays from the frame's middle. It turns nothing about the optical axis, so roll
//! stays what it is; and what hides or shades what is a matter of the eye alone.

use super::pose::{Fit, Plate};
use crate::camera::framing::{Margins, margins_of};
use crate::grade::measure::composition::{framing, upright_edge};
use crate::grade::{MeasureId, Measured, Reading};
use crate::mesh::model::Model;
use crate::units::deg;
use glam::DVec3;

/// The room around points as the lens images them. All vertices count: under a bend the outermost one need not be
/// a corner of the hull.
pub fn margins(fit: &Fit, plate: &Plate, points: &[DVec3]) -> Margins {
    let image = |point: &DVec3| {
        let at = fit.image_px(plate, *point)?;
        Some((at.x / plate.width_px, at.y / plate.height_px))
    };
    margins_of(points.iter().map(image))
}

/// How much an upright edge, from foot to head, leans in the picture, were the camera not rolled; none where it is
/// not before the lens.
pub fn lean_deg(fit: &Fit, plate: &Plate, [foot, head]: [DVec3; 2]) -> Option<f64> {
    let mut plumb = fit.clone();
    plumb.pose.roll_deg = 0.0;
    let rise = plumb.image_px(plate, head)? - plumb.image_px(plate, foot)?;
    Some(deg(rise.x.atan2(rise.y.abs())).abs())
}

/// Puts what bend and cut change in place of what a straight lens in the middle would have given.
pub fn remeasure(measured: &mut Vec<Measured>, fit: &Fit, plate: &Plate, model: &Model) {
    if fit.radial == 0.0 && !fit.is_beside() {
        return;
    }
    let mut bent = Vec::new();
    framing(&margins(fit, plate, &model.vertices), &mut bent);
    let straight = measured.iter().find(|one| one.id == MeasureId::Lean);
    let straight_deg = straight.and_then(|one| match one.reading {
        Reading::Value(value) => Some(value),
        _ => None,
    });
    let ends = [&model.head, &model.rear].map(|end| upright_edge(end, fit.pose.eye));
    if let (Some(straight_deg), [Some(head), Some(rear)]) =
        (straight_deg, ends.map(|edge| lean_deg(fit, plate, edge)))
    {
        let lean = head.max(rear);
        let mut one = Measured::absolute(MeasureId::Lean, lean.copysign(fit.pose.pitch_deg));
        if fit.radial != 0.0 && lean > 2.0 * straight_deg {
            one = one.with_mend("the lens bends it: straighten that when developing");
        }
        bent.push(one);
    }
    measured.retain(|one| !bent.iter().any(|other| other.id == one.id));
    measured.extend(bent);
}

/// What is wrong about the margins of a picture that was cut was made when it was cut, not by turning the camera.
pub fn mend_by_cutting(measured: &mut [Measured]) {
    for one in measured {
        one.mend = match one.id {
            MeasureId::SideMargin | MeasureId::TopBottomMargin => {
                Some("leave more there when cutting".to_string())
            }
            MeasureId::Balance => Some("cut it with even margins".to_string()),
            _ => continue,
        };
    }
}
